"""`dryfloor quiz`: limits asked for by number, in trade notation; what was missed comes back sooner."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..inputs import load
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.drill.repetition import Deck
    from ...engine.drill.rule_questions import Marked, RuleQuestion
    from ..terminal.asker import Asker

OPENING = (
    'Type each limit as it is written in the trade: 1 1/2 in, 39", 96 cm. A number alone is read in the unit that the question names.'
    " Enter: you don't know it. stop ends the quiz; what was answered counts."
)
UNITS = {"in": "inches", "ft": "feet", "turn": "turns", "in/ft": "inches per foot", "s": "seconds", "h": "hours"}
STOP = ("stop", "quit", "exit", "leave")
PASS = ("", "skip", "can't", "don't know", "?", "pass")


def run(args: argparse.Namespace, env: Env) -> Result:
    """Ask, mark, and keep what was missed after each answer."""
    from ...engine.drill.repetition import due
    from ...engine.drill.rule_questions import COUNT, MOST_COUNT, drawn, supply_of
    from ...engine.exercises.built import SUPPLY
    from ..arguments import UsageError
    from .begin import asker_of
    from .keeping import deck_path, read_deck

    count = COUNT if args.count is None else args.count
    if not 1 <= count <= MOST_COUNT:
        raise UsageError(f"--count is {count}, expected 1 to {MOST_COUNT}\ntry: dryfloor quiz --help")
    kb = load(args, env)
    path = deck_path(env, args.deck)
    deck = read_deck(env, path)
    seed = deck.rounds + 1 if args.seed is None else args.seed
    supply = supply_of(kb, args.supply or SUPPLY)
    asked = drawn(kb, seed, count, due(deck) if args.seed is None else (), args.area or "", supply)
    quiz = _Quiz(env, kb, path, asker_of(args, env), args.json)
    try:
        done = quiz.hold(asked, deck)
    except KeyboardInterrupt:
        return Result(
            command="quiz", status="interrupted", exit=Exit.INTERRUPTED, data=_data(seed, supply, quiz.done), lines=[""]
        )
    right = sum(m.right for m in done)
    sound = bool(done) and right == len(done)
    lines = ["", *quiz.pen.wrap(f"{right} of {len(done)} right." if done else "Nothing was answered.")]
    if done and not sound:
        lines += quiz.pen.wrap("What was missed comes back sooner: dryfloor quiz, dryfloor drill.")
    return Result(
        command="quiz",
        status="all-right" if sound else "missed" if done else "left",
        exit=Exit.DONE if sound else Exit.NOTHING,
        data=_data(seed, supply, done),
        lines=lines,
    )


def _data(seed: int, supply: str, done: list[Marked]) -> dict[str, object]:
    return {"seed": seed, "supply": supply, "asked": len(done), "right": sum(m.right for m in done), "answers": done}


class _Quiz:
    """One quiz by asking."""

    def __init__(self, env: Env, kb: model.KB, path: Path, asker: Asker, err: bool) -> None:
        self.env, self.kb, self.path, self.err = env, kb, path, err
        self.asker = asker
        self.done: list[Marked] = []
        self.unkept = False

    @property
    def pen(self) -> Layout:
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    def hold(self, asked: list[RuleQuestion], deck: Deck) -> list[Marked]:
        """Ask one after another until they end or the pupil does."""
        from ...engine.drill.repetition import after
        from ...engine.drill.rule_questions import marked
        from ..terminal.asker import Quit

        self.say(self.pen.wrap(OPENING))
        for n, question in enumerate(asked, 1):
            self.say(["", *self._front(n, len(asked), question)])
            try:
                typed = self._typed(question)
            except Quit:
                break
            mark = marked(self.kb, question, typed)
            self.done.append(mark)
            key = f"rule:{question.rule}"
            deck = after(deck, [] if mark.right else [key], [key] if mark.right else [])
            self._keep(deck)
            self.say(self._back(question, mark))
        return self.done

    def say(self, lines: list[str]) -> None:
        for line in lines:
            self.env.say(line, self.err)

    def _front(self, n: int, of: int, q: RuleQuestion) -> list[str]:
        head = [self.pen.paint(line, "strong") for line in self.pen.wrap(f"{n} of {of}  {q.title}")]
        out = [*head, *self.pen.wrap(f"{q.of[:1].upper()}{q.of[1:]}.", 3)]
        for where in q.where:
            out += self.pen.wrap(f"{where}.", 3)
        alone = f" (a number alone: in {UNITS.get(q.unit, q.unit)})" if q.unit else ""
        return [*out, *self.pen.wrap(f"{q.ask}{alone}", 3)]

    def _typed(self, q: RuleQuestion) -> str:
        """Return a value that can be read, or nothing where it is passed over; Quit ends the quiz."""
        from ...engine.drill.rule_questions import with_unit
        from ...engine.language.sanitize import typed_line
        from ...engine.measurement import quantity
        from ...engine.measurement.quantity import QuantityProblem
        from ..terminal.asker import Quit

        while True:
            typed = typed_line(self.asker.ask("> "))
            low = typed.lower()
            if low in STOP:
                raise Quit
            if low in PASS:
                return ""
            whole = with_unit(self.kb, q, typed)
            try:
                quantity.parse(whole, q.measures)
            except QuantityProblem as problem:
                self.say(self.pen.wrap(str(problem), 3))
                continue
            if whole != typed:
                self.say(self.pen.wrap(f"Read as {whole}.", 3))
            return whole

    def _back(self, q: RuleQuestion, mark: Marked) -> list[str]:
        out = self.pen.labelled("right" if mark.right else "wrong" if mark.given else "it is", q.limit, "strong")
        out += self.pen.labelled("whose", q.whose)
        for text in q.breaks:
            out += self.pen.labelled("why", text)
        return out + self.pen.labelled("source", q.source)

    def _keep(self, deck: Deck) -> None:
        """Keep the deck; where that can't be done the quiz goes on, and says so once."""
        from ...engine.errors import InvalidInputError
        from .keeping import write_deck

        try:
            write_deck(self.path, deck)
        except InvalidInputError as refused:
            if not self.unkept:
                self.unkept = True
                for line in refused.problems[0].lines():
                    self.env.say(line, err=True)
