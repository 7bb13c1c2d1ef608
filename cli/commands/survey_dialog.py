"""A survey by asking, line by line in the order of a walk round the machine; what was entered is kept at every step."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..terminal.asker import PlainAsker, Quit
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.advice import Card
    from ...engine.errors import Problem
    from ...engine.survey.filled_sheet import FilledSheet

OPENING = "Enter, skip or can't leaves a line out; back goes one line back; stop ends the survey with what there is."
CARE = "Water near the outlet, a smell of gas, live parts: stop, leave it alone, and call the trade. Local code and the manual govern."
SKIPS = ("", "skip", "can't", "cant", "can't tell", "don't know")


def _free(folder: Path) -> Path:
    """Return a file of a folder that is not there yet: no survey writes over another."""
    number = 1
    while (folder / f"survey-{number}.yaml").exists():
        number += 1
    return folder / f"survey-{number}.yaml"


class Back(Exception):
    """The person wants the line before."""


class Asking:
    """One survey by asking.

    Parameters
    ----------
    env : Env
    kb : KB
        With a machine sheet applied where one was named.
    role, hands : str
        Who asks, and whose hands are at the machine.
    err : bool
        Write to stderr, so that stdout stays data.
    start : FilledSheet
        What is known beforehand: the machine and its facts.
    """

    def __init__(
        self, env: Env, kb: "model.KB", role: "model.Role", hands: "model.Hands", err: bool, start: "FilledSheet"
    ) -> None:
        self.env, self.kb, self.role, self.hands, self.err = env, kb, role, hands, err
        self.machine = start.machine
        self.facts = dict(start.facts)
        self.given = frozenset(start.facts)
        self.readings: dict[str, str] = {}
        self.asker = PlainAsker(env, err=err)
        self.warned: set[str] = set()
        self.path = _free(env.data_dir / "surveys")

    def run(self) -> "FilledSheet":
        """Return the sheet that was filled by asking."""
        for text in (OPENING, CARE):
            self._say(self._pen.wrap(text))
        try:
            self._walk(self._facts_left)
            self._walk(self._checks_left)
        except Quit:
            pass
        finally:
            # After Ctrl-C too: nothing that was entered is lost.
            if self.readings:
                self._say(["", f"What was entered is kept: dryfloor survey {self.path}", ""])
        return self._filled()

    @property
    def _pen(self) -> Layout:
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    def _filled(self) -> "FilledSheet":
        from ...engine.survey.filled_sheet import FilledSheet

        return FilledSheet("Survey", self.facts, self.readings, self.machine, self.hands)

    def _say(self, lines: list[str]) -> None:
        for line in lines:
            self.env.say(line, err=self.err)

    def _facts_left(self) -> "list[model.Fact | model.Check]":
        from ...engine.model import holds
        from ...engine.survey.areas import asked_facts

        return [f for f in asked_facts(self.kb) if f.id not in self.given and holds(f.when, self.facts)]

    def _checks_left(self) -> "list[model.Fact | model.Check]":
        from ...engine.survey.blank_sheet import blank_lines

        return list(blank_lines(self.kb, self.hands, self.facts))

    def _walk(self, left: Any) -> None:
        """Ask one after another; an answer can change what is asked later, never what was passed."""
        done: list[str] = []
        while True:
            ahead = [x for x in left() if x.id not in done]
            if not ahead:
                return
            try:
                self._ask(ahead[0])
                done.append(ahead[0].id)
            except Back:
                if done:
                    done.pop()
                else:
                    self._say(self._pen.wrap("This is the first line here.", 3))

    def _ask(self, record: Any) -> None:
        from ...engine.language.sanitize import typed_line
        from ..render.card import card as draw

        card = self._card(record)
        self._say(["", *draw(self._pen, card)])
        while True:
            typed = typed_line(self.asker.ask("> "))
            low = typed.lower()
            if low == "stop":
                raise Quit
            if low == "back":
                raise Back
            if low in SKIPS:
                self._values(card).pop(record.id, None)
            else:
                said, problem = self._read(card, typed)
                if problem:
                    self._say(self._problem(card, problem))
                    continue
                self._values(card)[record.id] = said
            self._keep()
            return

    def _values(self, card: "Card") -> dict[str, str]:
        return self.facts if card.kind == "fact" else self.readings

    def _card(self, record: Any) -> "Card":
        from msgspec import structs

        from ...engine.survey.blank_sheet import line_card

        card = line_card(self.kb, record.id, self.role, self.hands, self.facts)
        # A note that was read once is called to mind by its signal word and title.
        notes = [structs.replace(n, says=n.title + ".") if n.hazard in self.warned else n for n in card.notes]
        self.warned |= {n.hazard for n in card.notes}
        return structs.replace(card, notes=notes)

    def _read(self, card: "Card", typed: str) -> "tuple[str, Problem | None]":
        from ...engine.case.interpret import pick
        from ...engine.case.validation import answer_problems

        if card.measures:
            problems = answer_problems(self.kb, card.id, None, typed)
            return typed, problems[0] if problems else None
        chosen, problem = pick(card, typed.lower())
        return chosen or "", problem

    def _problem(self, card: "Card", problem: "Problem") -> list[str]:
        said = problem.message.removeprefix(f"'{card.id}': ")
        more = () if card.measures else (problem.expected, problem.mend)
        return [line for text in (said, *more) if text for line in self._pen.wrap(text[0].upper() + text[1:], 3)]

    def _keep(self) -> None:
        """Write the sheet so far; where that can't be done the survey goes on."""
        from ...engine.survey.filled_sheet import text_of

        try:
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.path.write_text(text_of(self._filled()), encoding="utf-8")
        except OSError:
            return
