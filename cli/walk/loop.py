"""The walk: ask, hear, show, record. It loops around `advise` and decides nothing itself."""

from collections.abc import Callable

from ...engine import model
from ...engine.advice import Advice, Card
from ...engine.advise import advise, readings, worked
from ...engine.case.case_file import dump
from ...engine.case.events import Event
from ...engine.case.interpret import interpret
from ...engine.case.rows import leading
from ...engine.case.state import fold
from ...engine.case.status import standing
from ...engine.errors import InvalidInputError, Problem
from ...engine.language.sanitize import typed_line
from ..render import advice as ending
from ..render import card as render
from ..result import Exit, Result
from ..store.case_file import CaseKeep
from ..store.event_log import EventLog
from ..store.file import MEMORY
from ..store.store import CaseLine
from ..store.writer import CaseWriter
from ..terminal.asker import Asker, Quit
from ..terminal.env import Env
from ..terminal.layout import Layout
from . import intake, side_commands, takeover, trial
from .differences import summary
from .offer import FIRST
from .prefetch import Prefetch

CLOSED = {
    "handed-on": "This case was handed on. The next person goes on with it by --role ROLE, such as --role technician.",
    "on-trial": "It is on trial.",
    "given-up": "This case was given up.",
    "not-a-fault": "This was no fault.",
}


class Walk:
    """One conversation.

    Parameters
    ----------
    env : Env
    asker : Asker
    kb : KB
    writer : CaseWriter
    events : list of Event
        What is already known; it is in the book.
    err : bool
        Write the conversation to stderr, because stdout is for the envelope.
    keep : callable, optional
        Given all events after each change, to keep them in a case file too; it may raise InvalidInputError.
    ahead : bool
        Work out what follows each answer while the card is read.
    """

    def __init__(
        self,
        env: Env,
        asker: Asker,
        kb: model.KB,
        writer: CaseWriter,
        events: list[Event],
        err: bool = False,
        keep: Callable[[list[Event]], None] | None = None,
        ahead: bool = False,
    ) -> None:
        self.env = env
        self.asker = asker
        self.kb = kb
        self.log = EventLog(writer, events, keep, self._unkept)
        self.prefetch = Prefetch(kb, ahead)
        self.err = err
        self.told = len(fold(kb, self.events).notices)
        self.worked: list[str] = []
        self.hinted = False
        self.named = False

    def say(self, lines: list[str] | str = "") -> None:
        """Write lines for the person."""
        for line in [lines] if isinstance(lines, str) else lines:
            self.env.say(line, self.err)

    @property
    def layout(self) -> Layout:
        """The layout at the terminal's size of this moment, so that a resize counts from the next card on."""
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    def problem(self, problem: Problem) -> None:
        """Show a question back to the person."""
        text = problem.message[0].upper() + problem.message[1:]
        lines = self.layout.wrap(text if text.endswith(("?", ".")) else text + ".", 3)
        if problem.nearest and problem.nearest not in text:
            lines += self.layout.wrap(f"Nearest: {problem.nearest}", 3)
        if problem.mend:
            mend = problem.mend[0].upper() + problem.mend[1:]
            lines += self.layout.wrap(mend if mend.endswith(".") else mend + ".", 3)
        self.say(lines)

    def _unkept(self, problem: Problem | None, after: str) -> None:
        if problem:
            self.problem(problem)
        if after:
            self.say(self.layout.wrap(after, 3))

    @property
    def events(self) -> list[Event]:
        """The case so far."""
        return self.log.events

    def record(self, event: Event) -> None:
        """Keep an event: on disk first, then in mind."""
        self.log.add(event)

    def ask(self, prompt: str, words: list[str] | None = None) -> str:
        """Ask for one line."""
        return self.asker.ask(prompt, words or [])

    def run(self, words: str | None = None) -> Result:
        """Hold the conversation to its end.

        Parameters
        ----------
        words : str, optional
            What is wrong, where it was said already; else it is asked, the question being on screen.

        Returns
        -------
        Result
            Its data is the last advice.
        """
        try:
            if words is not None or not self._begun():
                intake.listen(self, self.ask("> ") if words is None else words)
            ended = trial.asked(self)
            if ended is not None:
                return self._result(advise(self.kb, self.events), "on-trial", ended)
            while True:
                advice = self.prefetch.advise(self.events)
                self.log.writer.saw(len(self.events), summary(advice))
                self._named()
                self._notices(advice)
                if advice.next is None or advice.card is None:
                    return self._end(advice)
                if advice.next.kind == "stop":
                    self.say(render.stop(self.layout, advice.card, self.log.kept))
                    return self._result(advice, "stopped", Exit.SAFETY)
                if advice.next.kind == "hand-on":
                    return self._handed_on(advice)
                self._step(advice)
        except Quit:
            advice = advise(self.kb, self.events)
            self.say(
                self.layout.wrap(f"Left here. {self._later()}" if self._begun() else "Left here; nothing was said yet.")
            )
            return self._result(advice, advice.status, Exit.SAFETY if advice.status == "stopped" else Exit.NOTHING)
        except KeyboardInterrupt:
            self.say("")
            self.say(
                self.layout.wrap(
                    f"Interrupted. {self._later()}" if self._begun() else "Interrupted; nothing was said yet."
                )
            )
            return self._result(advise(self.kb, self.events), "interrupted", Exit.INTERRUPTED)

    def cleared(self, hazards: list[str]) -> bool:
        """Ask the gates of these hazards; False where one of them stopped the walk."""
        while True:
            advice = self.prefetch.advise(self.events)
            if advice.next is None or advice.next.kind == "stop":
                return False
            if advice.next.kind != "gate" or advice.next.id not in hazards:
                return True
            self._step(advice)

    def _begun(self) -> bool:
        return any(leading(e) in ("heard", "complaints") for e in self.events)

    def _later(self) -> str:
        """Return how to come back to this case."""
        if self.log.keep is not None:
            return "The case is in its file; go on with the same --case."
        writer = self.log.writer
        if not self.log.kept:
            trial_run = writer.store is not None and writer.store.path == MEMORY
            return "Nothing is kept of it, as you asked." if trial_run else "It could not be kept."
        return f"The case is kept; start dryfloor again, or dryfloor resume {writer.case}, to go on."

    def _named(self) -> None:
        """Say once by which id the case is found."""
        if self.named or not self.log.kept or self.log.writer.case is None:
            return
        self.named = True
        self.say(self.layout.paint(f"   case {self.log.writer.case}", "dim"))

    def handed_over(self, line: CaseLine) -> None:
        """Show whoever takes a case up what is known already, and what is worth another look."""
        self.named = True
        self.say(takeover.lines(self, line))

    def _notices(self, advice: Advice) -> None:
        for notice in advice.notices[self.told :]:
            self.say(self.layout.wrap(notice, 3))
        self.told = len(advice.notices)

    def _result(self, advice: Advice, status: str, code: Exit) -> Result:
        return Result(command="walk", status=status, exit=code, data=advice)

    def _handed_on(self, advice: Advice) -> Result:
        self.say("")
        self.say(ending.ending(self.layout, advice))
        self.record(Event(closed="handed-on", why=advice.hand_on.text if advice.hand_on else None))
        self._left_for_the_next()
        return self._result(advice, "handed-on", Exit.DONE if advice.beliefs else Exit.NOTHING)

    def _left_for_the_next(self) -> None:
        """Say where the case is, as a file that the next person goes on with."""
        if self.log.keep is not None or not self.log.kept:
            return
        writer = self.log.writer
        self.say(
            self.layout.wrap(
                f"Case {writer.case} waits for the next person: dryfloor resume {writer.case} --role technician."
            )
        )
        path = writer.beside
        if path is not None:
            try:
                CaseKeep(path).write(dump(self.events))
            except InvalidInputError:
                return
            self.say(
                self.layout.wrap("On another machine: the whole case is in this file (walk --case FILE --role ROLE):")
            )
            self.say(f"   {path}")

    def _end(self, advice: Advice) -> Result:
        self.say("")
        self.say(ending.ending(self.layout, advice))
        normal = advice.finding is not None and advice.finding.kind == "normal"
        closed, why = advice.status, None
        if advice.status == "on-trial":
            self.say(trial.begun(self))
        elif advice.status == "solved":
            text = "It is as it should be; the case is closed." if normal else trial.proved(self)
            self.say(self.layout.labelled("PROVED", text, "strong"))
            if normal and advice.finding:
                closed, why = "not-a-fault", advice.finding.title
        else:
            self.say(self.layout.wrap(CLOSED.get(advice.status, "Nothing is left that I could ask.")))
            if advice.status not in CLOSED:
                closed, why = "given-up", "nothing was left to ask"
        if standing(self.events).closed != closed:
            self.record(Event(closed=closed, why=why))
        done = advice.status == "solved" or advice.status in CLOSED
        return self._result(advice, advice.status, Exit.DONE if done else Exit.NOTHING)

    def _step(self, advice: Advice) -> None:
        step, card = advice.next, advice.card
        assert step is not None
        assert card is not None
        if step.id == "complaint":
            self.say(["", FIRST])
            intake.listen(self, self.ask("> "))
            return
        self.say("")
        number = len(side_commands.answered(self)) + 1 if step.kind in ("check", "fact") and not step.proof else 0
        if step.kind == "remedy":
            self._found(advice)
        if step.proof:
            self.say(self.layout.paint("PROVE IT", "strong"))
        self._show(card, number)
        self.prefetch.look(self.events, card, step.proof)
        if step.kind == "gate":
            # Keys pressed ahead must not vouch for somebody's safety.
            self.asker.flush()
        self._answer(card, step.proof, number)

    def _found(self, advice: Advice) -> None:
        """Show the finding before its remedy."""
        lines = ending.ending(self.layout, advice)
        if lines:
            self.say(lines)
            self.asker.pause("Enter goes on > ")
        normal = advice.finding is not None and advice.finding.kind == "normal"
        self.say(self.layout.paint("HOW TO TELL" if normal else "MEND" if advice.finding else "TRY", "strong"))

    def _show(self, card: Card, number: int) -> None:
        """Show a card, page by page."""
        pages = render.pages(self.layout, card, number, not self.hinted and card.kind in ("check", "fact"))
        for page in pages[:-1]:
            self.say(page)
            self.asker.pause("Enter goes on > ")
        self.say(pages[-1])
        self.hinted = self.hinted or card.kind in ("check", "fact")

    def _answer(self, card: Card, proof: bool, number: int) -> None:
        """Take lines until one of them is an answer or moves the walk."""
        words = [] if card.kind == "gate" else [*(c.says for c in card.choices), *render.ALWAYS.split(", ")]
        while True:
            reply = interpret(self.kb, card, self.ask("> ", words), proof)
            if reply.event is not None:
                self.record(reply.event)
                self._shown_reading(reply.event)
                return
            if reply.back is not None and reply.back.code == "A001" and card.kind != "gate":
                self._show(card, number)
            elif reply.back is not None:
                self.problem(reply.back)
            elif self._command(card, reply.command, reply.words):
                return

    def _shown_reading(self, event: Event) -> None:
        """Say at once what a reading means against its rule."""
        name = event.check or event.proof
        if event.value is None:
            return
        state = fold(self.kb, self.events)
        for m in readings(self.kb, state):
            if m.check == name:
                self.say(ending.reading(self.layout, m))
        for w in worked(self.kb, state):
            if w.text not in self.worked:
                self.worked.append(w.text)
                self.say(ending.worked_out(self.layout, w))

    def _command(self, card: Card, command: str, words: str) -> bool:
        """Do what was asked beside an answer; True where the card must be made anew."""
        if command == "help":
            self.say(side_commands.help_lines(self))
        elif command == "why":
            self.say(side_commands.why(self, card))
        elif command in ("cant", "skip"):
            name = f"remedy:{card.id}" if card.kind == "remedy" else card.id
            self.record(Event(cant=name) if command == "cant" else Event(skip=name))
            return True
        elif command == "back":
            return side_commands.back(self)
        elif command == "stop":
            raise Quit
        elif command == "note":
            text = words or typed_line(self.ask("note > "))
            if text:
                self.record(Event(note=text))
            self.say("   Noted." if text else "   No note.")
        elif command == "notes":
            self.say(side_commands.note_lines(self))
        elif command == "list":
            self.say(side_commands.list_lines(self))
        elif command == "besides":
            return side_commands.besides(self, words)
        elif command == "change":
            return side_commands.change(self, words)
        elif command == "also":
            if not words:
                self.say("What else?")
            intake.listen(self, words or self.ask("> "))
            return True
        return False
