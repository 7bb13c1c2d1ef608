"""The walk: ask, hear, show, record. It loops around `advise`, decides nothing itself, and alone prints and keeps.

What is more than a line or two is a part (`conversation`): it hands back what is to be shown, asked and recorded, and `_do` does it.
"""

from pathlib import Path

from ...engine import model
from ...engine.advice import Advice, Card, Step
from ...engine.advise import advise, readings, worked
from ...engine.case.case_file import dump
from ...engine.case.clearance import kept_of
from ...engine.case.events import Event
from ...engine.case.interpret import interpret
from ...engine.case.rows import leading
from ...engine.case.state import fold
from ...engine.case.status import TURNED_OUT, standing
from ...engine.errors import InvalidInputError
from ...engine.language.sanitize import typed_line
from ..render import advice as ending
from ..render import card as render
from ..result import Exit, Result
from ..store.case_file import CaseKeep
from ..store.event_log import EventLog, Notice
from ..store.store import CaseLine
from ..terminal.asker import Asker, Quit
from ..terminal.env import Env
from ..terminal.layout import Layout
from ..terminal.yes_no import agreed
from . import anything, intake, outcome, side_commands, takeover, trial
from .conversation import ClearGates, Keep, Part, Prompt, Replace, Say, T, TakeBack, Wish, problem_lines
from .differences import summary
from .offer import FIRST
from .prefetch import Prefetch

CLOSED = {
    "handed-on": "This case was handed on. The next person goes on with it by --role ROLE, such as --role technician.",
    "on-trial": "It is on trial.",
    "given-up": "This case was given up.",
    "not-a-fault": "This was no fault.",
    "reported-solved": "This was reported solved; nobody has seen it.",
    "turned-out": "The case is closed with what it turned out to be.",
}


class Walk:
    """One conversation.

    Parameters
    ----------
    env : Env
    asker : Asker
    kb : KB
    log : EventLog
        The case so far, and where it is kept.
    err : bool
        Write the conversation to stderr, because stdout is for the envelope.
    ahead : bool
        Work out what follows each answer while the card is read.
    """

    def __init__(
        self, env: Env, asker: Asker, kb: model.KB, log: EventLog, err: bool = False, ahead: bool = False
    ) -> None:
        self.env = env
        self.asker = asker
        self.kb = kb
        self.log = log
        self.prefetch = Prefetch(kb, ahead)
        self.err = err
        self.told = len(fold(kb, self.events).notices)
        self.worked: list[str] = []
        self.hinted = False
        self.named = False
        self.asked: set[str] = set()  # the questions that were put in this walk
        self.earlier: str | None = None  # the case that this one comes after
        self.folder: Path | None = None  # of the file in which the case is kept, too
        self.found: tuple[int, str | None] | None = None

    @property
    def events(self) -> list[Event]:
        """The case so far."""
        return self.log.events

    @property
    def layout(self) -> Layout:
        """The layout at the terminal's size of this moment, so that a resize counts from the next card on."""
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    @property
    def kept_as(self) -> str | None:
        """The id under which the case can be taken up again from the store; None where it can't."""
        return self.log.case if self.log.kept and self.log.keep is None else None

    @property
    def pictures(self) -> Path:
        """The folder of drawings beside the case: beside its file, else beside the store, else here."""
        beside = self.log.beside if self.log.keep is None else None
        return (self.folder or (beside.parent if beside else Path())) / "pictures"

    def say(self, lines: list[str] | str = "") -> None:
        """Write lines for the person."""
        for line in [lines] if isinstance(lines, str) else lines:
            self.env.say(line, self.err)

    def record(self, event: Event) -> None:
        """Keep an event: on disk first, then in mind."""
        self._tell(self.log.add(event))
        self.env.case = (self.log.case or "") if self.log.kept else ""

    def _tell(self, notices: list[Notice]) -> None:
        """Say what came of the keeping."""
        for notice in notices:
            if notice.problem:
                self.say(problem_lines(self.layout, notice.problem))
            if notice.words:
                self.say(self.layout.wrap(notice.words, 3))

    def _do(self, part: Part[T]) -> T:
        """Do what a part wants, one wish after the other, and return what it returns."""
        answer: object = None
        while True:
            try:
                wish = part.send(answer)
            except StopIteration as end:
                result: T = end.value
                return result
            answer = self._grant(wish)

    def _grant(self, wish: Wish) -> object:
        match wish:
            case Say(lines):
                self.say(list(lines))
            case Prompt(prompt, words):
                return self.asker.ask(prompt, list(words))
            case Keep(event):
                self.record(event)
            case Replace(at, event):
                self._tell(self.log.put(at, event))
            case TakeBack(at):
                self._tell(self.log.take_back(at))
            case ClearGates(hazards):
                return self._cleared(list(hazards))
        return None

    def close(self) -> None:
        """Work on nothing any more, and put the case out of these hands."""
        self.prefetch.close()
        self._tell(self.log.close())

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
            before = intake.unconfirmed(self.events) if words is None else None
            if before is not None:
                # It ended at the danger that the words told of: what else they said would be lost.
                self._do(intake.listen(self, before, kept=True))
            elif words is not None or not self._begun():
                self._do(intake.listen(self, self.asker.ask("> ", []) if words is None else words))
            ended = self._do(trial.asked(self))
            if ended is not None:
                return self._result(advise(self.kb, self.events), "on-trial", ended)
            while True:
                advice = self.prefetch.advise(self.events)
                self.log.saw(len(self.events), summary(advice))
                self._named()
                self._notices(advice)
                if advice.move is None:
                    return self._end(advice)
                step, card = advice.move
                if step.kind == "stop":
                    self.say(render.stop(self.layout, card, self.log.kept))
                    return self._result(advice, "stopped", Exit.SAFETY)
                if step.kind == "hand-on":
                    return self._handed_on(advice)
                self._step(advice, step, card)
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

    def _cleared(self, hazards: list[str]) -> bool:
        """Ask the gates of these hazards; False where one of them stopped the walk."""
        while True:
            advice = self.prefetch.advise(self.events)
            if advice.move is None:
                return False
            step, card = advice.move
            if step.kind == "stop":
                return False
            if step.kind != "gate" or step.id not in hazards:
                return True
            self._step(advice, step, card)

    def _begun(self) -> bool:
        return any(leading(e) in ("heard", "complaints") for e in self.events)

    def _later(self) -> str:
        """Return how to come back to this case."""
        if self.log.keep is not None:
            return "The case is in its file; go on with the same --case."
        if not self.log.kept:
            return "Nothing is kept of it, as you asked." if self.log.in_memory else "It could not be kept."
        return f"The case is kept; start dryfloor again, or dryfloor resume {self.log.case}, to go on."

    def _named(self) -> None:
        """Say once by which id the case is found."""
        if self.named or not self.log.kept or self.log.case is None:
            return
        self.named = True
        self.say(self.layout.paint(f"   case {self.log.case}", "dim"))

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
        self._afterwards()
        return self._result(advice, "handed-on", Exit.DONE if advice.beliefs else Exit.NOTHING)

    def _left_for_the_next(self) -> None:
        """Say where the case is, as a file that the next person goes on with."""
        if self.log.keep is not None or not self.log.kept:
            return
        case, path = self.log.case, self.log.beside
        self.say(self.layout.wrap(f"Case {case} waits for the next person: dryfloor resume {case} --role technician."))
        if path is not None:
            try:
                CaseKeep(path).write(dump(kept_of(self.events)))
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
            seen = normal or trial.seen(self)
            self.say(self.layout.labelled("PROVED" if seen else "GONE", text, "strong"))
            if normal and advice.finding:
                closed, why = "not-a-fault", advice.finding.title
        else:
            self.say(self.layout.wrap(CLOSED.get(advice.status, "Nothing is left that I could ask.")))
            if advice.status not in CLOSED:
                closed, why = "given-up", "nothing was left to ask"
        if standing(self.events).closed != closed:
            self.record(Event(closed=closed, why=why))
            if closed == "solved":
                self._told_installation()
        if closed != TURNED_OUT:
            self._afterwards()
        done = advice.status == "solved" or advice.status in CLOSED
        return self._result(advice, advice.status, Exit.DONE if done else Exit.NOTHING)

    def _told_installation(self) -> None:
        """Say what this case put right of the installation that it comes after, and what is still open there."""
        from .installed import became

        found = became(self.log.store, self.earlier)
        mine = [x for x in found.mended if f"by case {self.log.case}," in x.text] if found else []
        if found is None or not mine:
            return
        self.say(["", self.layout.paint(f"AT THE INSTALLATION {self.earlier}", "strong")])
        for x in mine:
            self.say(self.layout.labelled("mended", f"{x.told}."))
        for kind, some in (("to mend", found.to_mend), ("to see", found.to_see)):
            for x in some:
                self.say(self.layout.labelled(kind, f"{x.told}."))

    def _afterwards(self) -> None:
        """At the end of a case: one key says that it turned out to be something else; whoever leaves, leaves."""
        try:
            self._do(outcome.afterwards(self))
        except (Quit, KeyboardInterrupt):
            return

    def _step(self, advice: Advice, step: Step, card: Card) -> None:
        if step.id == "complaint":
            self.say(["", FIRST])
            self._do(intake.listen(self, self.asker.ask("> ", [])))
            return
        self.say("")
        number = self._number(step.id) if step.kind in ("check", "fact") and not step.proof else 0
        if (step.kind == "remedy" or (step.kind == "gate" and step.cause)) and self._found(advice):
            return
        if step.kind == "remedy":
            normal = advice.finding is not None and advice.finding.kind == "normal"
            self.say(self.layout.paint("HOW TO TELL" if normal else "MEND" if advice.finding else "TRY", "strong"))
        if step.proof:
            self.say(self.layout.paint("PROVE IT", "strong"))
        if self._show(card, number):
            return
        self.prefetch.look(self.events, card, step.proof)
        if step.kind == "gate":
            # Keys pressed ahead must not vouch for somebody's safety.
            self.asker.flush()
        self._answer(card, step.proof, number)

    def _number(self, name: str) -> int:
        """Return the number of a question in this walk: what was told, or asked of somebody else before, is none of it."""
        self.asked.add(name)
        done = {n for e in self.events for n in (e.check, e.fact, e.cant, e.skip) if n}
        return len((self.asked - {name}) & done) + 1

    def _found(self, advice: Advice) -> bool:
        """Show the finding before its remedy and the gates of it, once; True where what was typed meanwhile makes the step anew."""
        said = (len([e for e in self.events if not e.cleared]), advice.finding_cause)
        lines = ending.ending(self.layout, advice)
        shown, self.found = self.found, said
        if not lines or said == shown:
            return False
        self.say(lines)
        return self._pause()

    def _show(self, card: Card, number: int) -> bool:
        """Show a card, page by page; True where what was typed between pages makes it anew."""
        pages = render.pages(self.layout, card, number, not self.hinted and card.kind in ("check", "fact"))
        for page in pages[:-1]:
            self.say(page)
            if self._pause():
                return True
        self.say(pages[-1])
        self.hinted = self.hinted or card.kind in ("check", "fact")
        return False

    def _pause(self) -> bool:
        """Wait until a page was read; a sentence typed there is heard like one at any prompt; True where it makes the card anew."""
        typed = typed_line(self.asker.pause("Enter goes on > "))
        if typed.lower().rstrip(".!") in ("stop", "quit", "exit"):
            raise Quit
        return bool(typed) and self._do(anything.aside(self, typed))

    def _answer(self, card: Card, proof: bool, number: int) -> None:
        """Take lines until one of them is an answer or moves the walk."""
        words = [] if card.kind == "gate" else [*(c.says for c in card.choices), *render.ALWAYS.split(", ")]
        instead = offered = ""  # offered: a value that a yes takes
        while True:
            typed, instead = instead or self.asker.ask("> ", words), ""
            if offered and agreed(typed):
                typed = offered
            offered = ""
            reply = interpret(self.kb, card, typed, proof)
            if reply.event is not None:
                self.record(reply.event)
                self._shown_reading(reply.event)
                if card.kind == "gate" and not (reply.event.cleared or reply.event.stopped):
                    self.say(render.left(self.layout, card))
                return
            if reply.back is not None and reply.back.code == "A001" and card.kind != "gate":
                if self._show(card, number):
                    return
            elif reply.back is not None and card.kind == "gate":
                if self._do(side_commands.at_gate(self, card, typed)):
                    return
                self.say(problem_lines(self.layout, reply.back))
            elif reply.back is not None:
                offered = reply.back.nearest if card.measures and reply.back.nearest in reply.back.message else ""
                heard = self._do(anything.heard_at(self, card, typed, proof, reply.back, meant=reply.meant))
                if heard is True:
                    return
                instead = heard if isinstance(heard, str) else ""
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

    def _own_words(self, card: Card, words: str) -> bool:
        """Keep what somebody says where no answer fits: a note that weighs nothing, and the question is left; True where it was said."""
        text = words or typed_line(self.asker.ask("in your own words > ", []))
        if not text:
            self.say("   No words.")
            return False
        self.record(Event(note=f"{card.title}: {text}"))
        self.say("   Kept in your words for the next person; it changes no chance.")
        asked = (
            self.kb.checks if card.kind == "check" else {"still-there", *self.kb.facts} if card.kind == "fact" else {}
        )
        left = card.id in asked
        if left:
            self.record(Event(cant=card.id))
        # Of a danger in them its gate comes next; a gate that stands is asked again.
        return self._do(anything.aside(self, text, noted=True)) or left or card.kind == "gate"

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
        elif command == "words":
            return self._own_words(card, words)
        elif command == "turned out":
            return self._do(outcome.told(self, words))
        elif command == "back":
            return self._do(side_commands.back(self))
        elif command == "stop":
            raise Quit
        elif command == "note":
            text = words or typed_line(self.asker.ask("note > ", []))
            if not text:
                self.say("   No note.")
                return False
            self.record(Event(note=text))
            self.say("   Noted.")
            return self._do(anything.aside(self, text, noted=True))
        elif command == "notes":
            self.say(side_commands.note_lines(self))
        elif command == "tell":
            self.say(side_commands.tell_lines(self))
        elif command == "picture":
            self.say(side_commands.picture_lines(self, card, self.pictures))
        elif command == "list":
            self.say(side_commands.list_lines(self))
        elif command == "besides":
            return self._do(side_commands.besides(self, words))
        elif command == "change":
            return self._do(side_commands.change(self, words))
        elif command == "also":
            if not words:
                self.say("What else?")
            self._do(intake.listen(self, words or self.asker.ask("> ", [])))
            return True
        return False
