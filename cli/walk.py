"""The walk: ask, hear, show, record. It loops around `advise` and decides nothing itself."""

from typing import Any

from ..engine import model
from ..engine.advice import Advice, Card
from ..engine.case import Event, leading
from ..engine.problems import Problem, Refused
from . import render
from .env import Env
from .journal import Journal
from .plain import Asker, Quit
from .result import Exit, Result

FIRST = "What is wrong? Say it in your own words."
HELP = (
    "Type an answer, its number, or: why (the reasons so far), back (take the last answer back), skip, can't (you can't tell), "
    "change (another answer than before), also WORDS (one more complaint), note WORDS, notes, stop (leave; the case is kept)."
)
YES = ("yes", "y", "right", "ok", "yeah", "yep")
UNDONE = ("check", "fact", "cleared", "cant", "skip", "remedy", "proof", "still", "complaints", "heard", "stopped")


class Walk:
    """One conversation.

    Parameters
    ----------
    env : Env
    asker : Asker
    kb : KB
    journal : Journal
    events : list of Event
        What is already known; it is in the journal.
    err : bool
        Write the conversation to stderr, because stdout is for the envelope.
    """

    def __init__(
        self, env: Env, asker: Asker, kb: model.KB, journal: Journal, events: list[Event], err: bool = False
    ) -> None:
        self.env = env
        self.asker = asker
        self.kb = kb
        self.journal = journal
        self.events = list(events)
        self.err = err
        self.number = 0
        self.told = 0
        self.kept = True

    def say(self, lines: list[str] | str = "") -> None:
        """Write lines for the person."""
        for line in [lines] if isinstance(lines, str) else lines:
            self.env.say(line, self.err)

    @property
    def pen(self) -> render.Pen:
        """A pen at the terminal's width of this moment, so that a resize counts from the next card on."""
        return render.Pen(self.env.width, self.env.colour and not self.err)

    def problem(self, problem: Problem) -> None:
        """Show a question back to the person."""
        text = problem.message[0].upper() + problem.message[1:]
        lines = self.pen.wrap(text if text.endswith(("?", ".")) else text + ".", 3)
        if problem.nearest and problem.nearest not in text:
            lines += self.pen.wrap(f"Nearest: {problem.nearest}", 3)
        if problem.mend:
            lines += self.pen.wrap(
                problem.mend[0].upper() + problem.mend[1:] + ("" if problem.mend.endswith(".") else "."), 3
            )
        self.say(lines)

    def record(self, event: Event) -> None:
        """Keep an event: on disk first, then in mind. A disk that fails is said once; the walk goes on."""
        try:
            self.journal.add(event)
        except Refused as refused:
            if self.kept:
                self.kept = False
                self.problem(refused.problems[0])
                self.say(self.pen.wrap("This walk goes on, but it will not be kept.", 3))
            self.journal = Journal(None)
        self.events.append(event)

    def ask(self, prompt: str, words: list[str] | None = None) -> str:
        """Ask for one line."""
        return self.asker.ask(prompt, words or [])

    def run(self) -> Result:
        """Hold the conversation to its end.

        Returns
        -------
        Result
            Its data is the last advice.
        """
        from ..engine.advise import advise

        try:
            while True:
                advice = advise(self.kb, self.events)
                self._notices(advice)
                if advice.next is None or advice.card is None:
                    return self._end(advice)
                if advice.next.kind == "stop":
                    self.say(render.card(self.pen, advice.card))
                    return self._result(advice, "stopped", Exit.SAFETY)
                if advice.next.kind == "hand-on":
                    self.say("")
                    self.say(render.ending(self.pen, advice))
                    self.record(Event(closed="handed-on"))
                    return self._result(advice, "handed-on", Exit.DONE if advice.beliefs else Exit.NOTHING)
                self._step(advice)
        except Quit:
            advice = advise(self.kb, self.events)
            self.say(
                self.pen.wrap(
                    "Left here. The case is kept; start dryfloor again to go on."
                    if self.kept and self.journal.path
                    else "Left here."
                )
            )
            return self._result(advice, advice.status, Exit.SAFETY if advice.status == "stopped" else Exit.NOTHING)
        except KeyboardInterrupt:
            self.say("")
            self.say(
                self.pen.wrap(
                    "Interrupted. The case is kept; start dryfloor again to go on."
                    if self.kept and self.journal.path
                    else "Interrupted."
                )
            )
            return self._result(advise(self.kb, self.events), "interrupted", Exit.INTERRUPTED)

    def _notices(self, advice: Advice) -> None:
        for notice in advice.notices[self.told :]:
            self.say(self.pen.wrap(notice, 3))
        self.told = len(advice.notices)

    def _result(self, advice: Advice, status: str, code: Exit) -> Result:
        return Result(command="walk", status=status, exit=code, data=advice)

    def _end(self, advice: Advice) -> Result:
        self.say("")
        self.say(render.ending(self.pen, advice))
        words = {
            "solved": "PROVED  It was seen to work. The case is closed.",
            "handed-on": "This case was handed on.",
            "given-up": "This case was given up.",
            "not-a-fault": "This was no fault.",
        }
        self.say(self.pen.wrap(words.get(advice.status, "Nothing is left that I could ask.")))
        return self._result(advice, advice.status, Exit.DONE if advice.status in words else Exit.NOTHING)

    def _step(self, advice: Advice) -> None:
        step, card = advice.next, advice.card
        assert step is not None
        assert card is not None
        if step.id == "complaint":
            self.hear_complaint(self.ask("> "))
            return
        self.say("")
        if step.kind == "gate":
            # Keys pressed ahead must not vouch for somebody's safety.
            self.asker.flush()
        else:
            self.number += 1
        if step.kind == "remedy" and advice.finding:
            self.say(render.ending(self.pen, advice))
            self.say(self.pen.paint("MEND", "strong"))
        if step.proof:
            self.say(self.pen.paint("PROVE", "strong"))
        self.say(render.card(self.pen, card, self.number if step.kind in ("check", "fact") else 0))
        self._answer(card, step.proof)

    def _answer(self, card: Card, proof: bool) -> None:
        """Take lines until one of them is an answer or moves the walk."""
        from ..engine.interpret import interpret

        words = [] if card.kind == "gate" else [c.id for c in card.choices]
        while True:
            reply = interpret(self.kb, card, self.ask("> ", words), proof)
            if reply.event is not None:
                self.record(reply.event)
                self._shown_reading(reply.event)
                return
            if reply.back is not None:
                self.problem(reply.back)
            elif self._command(card, reply.command, reply.words):
                return

    def _shown_reading(self, event: Event) -> None:
        """Say at once what a reading means against its rule."""
        if event.value is None:
            return
        from ..engine.advise import readings
        from ..engine.case import fold

        name = event.check or event.proof
        for m in readings(self.kb, fold(self.kb, self.events)):
            if m.check == name:
                self.say(render.reading(self.pen, m))

    def _command(self, card: Card, command: str, words: str) -> bool:
        """Do what was asked beside an answer; True where the card must be made anew."""
        if command == "help":
            self.say(self.pen.wrap(HELP, 3))
        elif command == "why":
            self.say(self._why(card))
        elif command in ("cant", "skip"):
            name = f"remedy:{card.id}" if card.kind == "remedy" else card.id
            self.record(Event(cant=name) if command == "cant" else Event(skip=name))
            return True
        elif command == "back":
            return self._back()
        elif command == "stop":
            raise Quit
        elif command == "note":
            self.record(Event(note=words or self.ask("note> ")))
            self.say("   Noted.")
        elif command == "notes":
            self.say(
                [line for e in self.events if e.note for line in self.pen.wrap(e.note, 3, " -")]
                or "   No notes yet. note WORDS adds one."
            )
        elif command == "also":
            self.hear_complaint(words or self.ask("what else> "))
            return True
        elif command in ("list", "change"):
            return self._change(words) if command == "change" else self._list()
        return False

    def _why(self, card: Card) -> list[str]:
        from ..engine.advise import advise
        from ..engine.explain import weights

        pen = self.pen
        cause, found = weights(self.kb, self.events)
        lines = pen.wrap(f"This question now: {card.why}.", 3) if card.why else []
        advice = advise(self.kb, self.events)
        for b in advice.beliefs[:4]:
            lines += pen.wrap(f"{b.title}: explains it {round(100 * b.p)} in 100", 3)
        lines += pen.wrap(f"Something this kb does not know: {round(100 * advice.unknown)} in 100", 3)
        if cause and found:
            lines += pen.wrap(f"What was said, for {self.kb.causes[cause].title.lower()}:", 3)
            for w in found[:8]:
                lines += pen.wrap(w.text, 5, "   -")
        return lines

    def _back(self) -> bool:
        """Take back the last answer and all after it."""
        for i in range(len(self.events) - 1, -1, -1):
            if leading(self.events[i]) in UNDONE:
                gone = self.events[i:]
                try:
                    self.journal.undo(len(gone))
                except Refused as refused:
                    self.problem(refused.problems[0])
                del self.events[i:]
                self.say(self.pen.wrap("Taken back.", 3))
                if not any(leading(e) in ("heard", "complaints") for e in self.events):
                    self.say(FIRST)
                return True
        self.say("   There is nothing to take back.")
        return False

    def _answered(self) -> list[tuple[str, str, Event]]:
        found: dict[str, tuple[str, str, Event]] = {}
        for e in self.events:
            if e.check in self.kb.checks and e.check:
                answers = self.kb.checks[e.check].answers
                said = e.answer or e.value or ""
                found[e.check] = (self.kb.checks[e.check].title, answers[said].says if said in answers else said, e)
            elif e.fact in self.kb.facts and e.fact:
                found[e.fact] = (self.kb.facts[e.fact].title, self.kb.facts[e.fact].options[e.is_ or ""].says, e)
        return list(found.values())

    def _list(self) -> bool:
        rows = self._answered()
        self.say(
            [
                line
                for n, (title, said, _) in enumerate(rows, 1)
                for line in self.pen.wrap(f"{title}: {said}", 6, f"   {n}")
            ]
            or "   Nothing was answered yet."
        )
        return False

    def _change(self, words: str) -> bool:
        """Ask an earlier question again; the new answer takes the old one's place."""
        from ..engine.advise import card_of

        rows = self._answered()
        if not rows:
            return self._list()
        if not words:
            self._list()
            words = self.ask("change which number> ")
        if not words.strip().isdigit() or not 1 <= int(words) <= len(rows):
            self.problem(
                Problem(
                    code="A004",
                    message=f"there is no answer '{words[:40]}'",
                    expected=f"1 to {len(rows)}",
                    mend=f"type a number from 1 to {len(rows)}",
                )
            )
            return False
        card = card_of(self.kb, self.events, rows[int(words) - 1][2])
        self.say(render.card(self.pen, card))
        self._answer(card, False)
        return True

    def hear_complaint(self, text: str) -> None:
        """Hear a complaint in free words, show what was heard, and record what the person confirms."""
        from ..engine.hear import hear
        from ..engine.interpret import plain

        text = plain(text)
        if text.lower() in ("stop", "quit", "exit"):
            raise Quit
        while True:
            heard = hear(text, self.kb)
            names = [m.complaint for m in heard.complaints][:4]
            likely = [m.complaint for m in heard.complaints if m.likely]
            if not names:
                if heard.hazards:
                    self.record(Event(heard=text))
                    return
                self.say(self.pen.wrap(heard.off_topic or "I know nothing that fits these words.", 3))
                names = sorted(self.kb.complaints)
                likely = []
            chosen = self._confirm(names, likely)
            if isinstance(chosen, str):
                text = chosen
                continue
            self.record(Event(heard=text, complaints=chosen))
            self._confirm_facts(heard.facts)
            return

    def _confirm(self, names: list[str], likely: list[str]) -> list[str] | str:
        """Return the complaints that a person confirms, or other words to hear instead."""
        self.say(self.pen.wrap("I hear:" if likely else "Is it one of these?"))
        for n, name in enumerate(names, 1):
            self.say(self.pen.wrap(self.kb.complaints[name].says, 6, f" {n}{' *' if name in likely else ''}"))
        hint = (
            "yes, or other words"
            if len(names) == 1
            else "yes (those with *), numbers such as 1 3, or other words"
            if likely
            else "a number such as 1, or other words"
        )
        while True:
            typed = self.ask(f"Right? {hint} > ", ["yes"] if likely else []).strip()
            low = typed.lower().rstrip(".")
            numbers = low.replace(",", " ").replace("and", " ").split()
            if (likely or len(names) == 1) and low in YES:
                return likely or names
            if numbers and all(x.isdigit() for x in numbers):
                if all(1 <= int(x) <= len(names) for x in numbers):
                    return [names[int(x) - 1] for x in dict.fromkeys(numbers)]
                self.problem(
                    Problem(
                        code="A002", message=f"there is no choice {low}", mend=f"type numbers from 1 to {len(names)}"
                    )
                )
            elif low in ("stop", "quit", "exit"):
                raise Quit
            elif low in ("no", "n", "change"):
                return self.ask("Say it in other words > ")
            elif low:
                return typed

    def _confirm_facts(self, facts: list[Any]) -> None:
        known = {e.fact for e in self.events if e.fact}
        facts = [f for f in facts if f.fact not in known]
        if not facts:
            return
        said = "; ".join(
            f"{self.kb.facts[f.fact].title.lower()}: {self.kb.facts[f.fact].options[f.option].says}" for f in facts
        )
        self.say(self.pen.wrap(f"Also: {said}."))
        low = self.ask("Right? yes, or no (then I ask when it matters) > ", ["yes", "no"]).strip().lower()
        if low in YES:
            for f in facts:
                self.record(Event(fact=f.fact, is_=f.option))
