"""The drill by asking, line by line; every wrong word is asked again, and nothing that was entered is lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress

from ...engine.case.events import Event
from ...engine.case.told import NOTED, given, listened
from ...engine.drill import naming
from ...engine.drill.first_round import Hint, held_back, is_first, lesson
from ...engine.drill.marks import apart
from ...engine.drill.moves import LONGEST, SOUND, Act, Brought
from ...engine.drill.naming import Named
from ...engine.drill.round import Round
from ...engine.exercises.site import Exercise
from ...engine.language.sanitize import typed_line
from ...engine.measurement import quantity
from ...engine.measurement.quantity import QuantityProblem
from ..render import drill as render
from ..terminal.asker import Asker, Quit
from ..terminal.env import Env
from ..terminal.layout import Layout
from ..terminal.yes_no import agreed

TYPE_CHECKING = False
if TYPE_CHECKING:
    from ...engine import model
    from ...engine.diagnosis.network import Network

LEAVE = ("leave", "stop", "quit", "exit", "give up")
HELP = ("help", "?")
SAFE = ("safe", "clear", "secure")
SOUNDS = ("sound", "nothing", "nothing is wrong", "nothing wrong", "healthy", "normal", "all is well", "ok", "fine")
NO_RULE = ("no rule", "no rule is broken")  # beside a no
WHO = {
    "me": "technician", "i": "technician", "myself": "technician", "technician": "technician", "installer": "technician",
    "anyone": "anyone", "customer": "anyone", "household": "anyone", "they": "anyone", "homeowner": "anyone", "owner": "anyone",
    "plumber": "plumber", "electrician": "electrician", "utility": "electrician",
}  # fmt: skip
SHOWN = 8  # of a list
UNCLEAR = "Before that: you began to make sure of something. Which of these is it? (a number, or other words; then the look again)"
WHICH, ONE = "Which do you mean? (a number, or other words)", "Do you mean this? (yes, or other words)"


OTHER = "Then say it in other words; list WORDS shows what there is."
UNASKED = "Nothing was asked that a yes answers. Name a look in words."


class Cancelled(Exception):
    """The pupil goes back to looking."""


class Dialog:
    """One drill by asking.

    Parameters
    ----------
    env : Env
    network : Network
    exercise : Exercise
    asker : Asker
    err : bool
        Write to stderr, so that stdout stays data.
    """

    def __init__(self, env: Env, network: Network, exercise: Exercise, asker: Asker, err: bool = False) -> None:
        self.env, self.network, self.kb, self.exercise, self.err = env, network, network.kb, exercise, err
        self.round = Round(network, exercise)
        self.asker = asker
        self.warned: set[str] = set()
        self.first = is_first(self.kb, exercise.order)
        self.taught: Hint | None = None
        self.offered: list[Named] = []
        self.unclear: list[Named] = []  # dangers that were on offer, and none was chosen
        self.noted: list[str] = []
        self.then: Callable[[Named], None] = self._do_look

    @property
    def pen(self) -> Layout:
        """The layout at the terminal's width of this moment."""
        return Layout(self.env.width, self.env.colour and not self.err, self.env.height)

    @property
    def known(self) -> dict[str, str]:
        """What the pupil knows of the place: fact -> option."""
        return dict(self.round.state.facts)

    def say(self, lines: list[str]) -> None:
        """Write lines for the pupil."""
        for line in lines:
            self.env.say(line, self.err)

    def run(self) -> Round:
        """Hold the round to its end, and return it."""
        self.say(render.opening(self.pen, self.kb, self.exercise))
        try:
            while not self.round.ended:
                self._teach()
                self._line(typed_line(self.asker.ask(f"{self.round.left:g} min left > ")))
        except Quit:
            self._do(Act(kind="leave"))
        return self.round

    def _teach(self) -> None:
        """Say what comes next in a first round, once each time that it changes."""
        step = lesson(self.round) if self.first else None
        if step is not None and step != self.taught:
            self.say([*render.lesson_lines(self.pen, step), ""])
        self.taught = step

    # --- one line -----------------------------------------------------------------------------------------------------

    def _line(self, typed: str) -> None:
        low = typed.lower().rstrip(".!")
        head, _, rest = typed.partition(" ")
        word = head.lower().rstrip(":")
        meant = agreed(typed)
        if meant and len(self.offered) > 1:
            self.say(self.pen.wrap(f"Yes to which? The numbers go from 1 to {len(self.offered)}.", 3))
            return
        if meant and self.offered:
            low = "1"
        chosen = self._chosen(rest.strip() if word in SAFE and rest.strip().isdecimal() else low)
        if chosen is not None:
            self.then(chosen)
        elif meant is not None:
            self.say(self.pen.wrap(OTHER if meant is False else UNASKED, 3))
        elif low.isdecimal():
            self.say(self.pen.wrap("There is nothing of that number to choose now. Name it in words.", 3))
        elif not typed or low in HELP:
            self.say(render.help_lines(self.pen))
            self.taught = None
        elif low in LEAVE:
            self._leave()
        elif low == "notes":
            self._notes()
        elif word in ("list", "find"):
            self._list(rest)
        elif word in SAFE:
            self._safe(rest)
        elif word == "verdict":
            try:
                self._verdict(rest)
            except Cancelled:
                self.say(self.pen.wrap("No verdict yet; go on looking.", 3))
        else:
            self._name(typed)

    def _chosen(self, low: str) -> Named | None:
        """Return what a typed number chooses of what is on offer; the offer is over with any line."""
        offered, self.offered = self.offered, []
        if low.isdecimal() and 1 <= int(low[:4]) <= len(offered):
            return offered[int(low[:4]) - 1]
        return None

    def _offer(
        self,
        found: list[Named],
        then: Callable[[Named], None],
        head: str = WHICH,
    ) -> None:
        self.offered, self.then = found, then
        self.say(self.pen.wrap(ONE if len(found) == 1 and head == WHICH else head, 3))
        self.say(render.choices(self.pen, self.kb, found, self.round.episode.hands))

    def _name(self, typed: str) -> None:
        found = naming.looks(self.kb, typed, self.known, self.round.telling(), self.round.senseless())
        meant = naming.sure(found)
        if meant and self.round.over_a_gate(meant.id):
            meant = naming.sure(found, careful=True)
        if meant:
            self._do_look(meant)
        elif found:
            self._offer(found[: naming.MOST], self._do_look)
        else:
            self._heard(typed)

    def _heard(self, typed: str) -> None:
        """Offer what a sentence speaks of by number, a danger first; what is not understood is a note of the pupil's."""
        heard, values = listened(self.kb, typed)
        gates = [h.hazard for h in heard.hazards if self.kb.hazards[h.hazard].gate]
        if gates:
            found = [Named(kind="gate", id=h, title=self.kb.hazards[h].title, score=1.0) for h in gates]
            self._offer(found, self._do_safe, "You speak of a danger; its number makes sure of it.")
            return
        facts = [Named(kind="fact", id=f.fact, title=self.kb.facts[f.fact].title, score=1.0) for f in heard.facts]
        checks = dict.fromkeys([*(a.check for a in heard.answers), *(v.check or "" for v in values)])
        looks = [Named(kind="check", id=c, title=self.kb.checks[c].title, score=1.0) for c in checks]
        if facts or looks:
            self._offer([*facts, *looks][: naming.MOST], self._do_look, "That can be looked at; its number does it.")
            return
        self.say(
            self.pen.wrap("I know no look of that name. Say it in other words; list WORDS shows what there is.", 3)
        )
        if len(typed.split()) >= NOTED:
            self.noted.append(typed[:LONGEST])
            self.say(self.pen.wrap("These words are kept as a note; notes shows them.", 3))

    def _list(self, words: str) -> None:
        every = naming.looks(self.kb, words, self.known, self.round.telling(), self.round.senseless())
        found = every[:SHOWN]
        if not words.strip():
            self.say(self.pen.wrap("List what? Such as: list hose. safe alone lists the dangers.", 3))
        elif found:
            more = f"{len(found)} of {len(every)} that have" if len(every) > len(found) else "These have"
            self._offer(found, self._do_look, f"{more} to do with it; a number does one.")
        else:
            self.say(self.pen.wrap("Nothing has to do with that. Such as: list hose.", 3))

    def _do_look(self, meant: Named) -> None:
        self._do(Act(kind="fact" if meant.kind == "fact" else "check", id=meant.id))

    def _do(self, act: Act) -> Brought | None:
        """Do a move and say what it brought; None where a first round holds it back."""
        if act.kind == "check" and self.round.asked_back(act.id, {u.id for u in self.unclear}):
            found, self.unclear = self.unclear, []
            self._offer(found, self._do_safe, UNCLEAR)
            return None
        why = held_back(self.round, act) if self.first else ""
        if why:
            self.say(self.pen.wrap(why, 3))
            return None
        answer = self.round.do(act)
        self.say(render.brought(self.pen, answer, self.warned))
        return answer

    def _leave(self) -> None:
        """Leave it; where something was found not to be safe, with what is to be done now."""
        said = ""
        if self.round.unsafe:
            try:
                said = self._ask("What are they to do now, and whom do they call? (Enter passes; back goes on)")
            except Cancelled:
                return
            except Quit:
                self.say([""])
        self._do(Act(kind="leave", sentence=said[:LONGEST]))

    def _notes(self) -> None:
        out: list[str] = []
        for event in self.round.events:
            out += self._note(event)
        for text in self.noted:
            out += self.pen.wrap(text, 5, "   -")
        if self.round.unsafe:
            out += self.pen.wrap(f"NOT SAFE: {self.kb.hazards[self.round.unsafe].title.lower()}", 3)
        self.say(out or self.pen.wrap("Nothing yet.", 3))

    def _note(self, event: Event) -> list[str]:
        kb = self.kb
        if event.fact and event.is_:
            return self.pen.wrap(f"{kb.facts[event.fact].title}: {kb.facts[event.fact].options[event.is_].says}", 3)
        if event.check:
            said = kb.checks[event.check].answers[event.answer].says if event.answer else event.value
            return self.pen.wrap(f"{kb.checks[event.check].title}: {said}", 3)
        if event.cleared:
            return self.pen.wrap(f"safe: {kb.hazards[event.cleared].title.lower()}: {event.word}", 3)
        return []

    # --- gates --------------------------------------------------------------------------------------------------------

    def _safe(self, words: str) -> None:
        parts = naming.parts(words)
        if not parts:
            self._offer(
                naming.all_gates(self.kb),
                self._do_safe,
                "Make sure of what? In words, such as: safe machine stopped; or a number.",
            )
        for part in parts:
            found = naming.gates(self.kb, part, self.round.waiting())
            if not found:
                self.say(
                    self.pen.wrap(
                        f"'{part[:40]}' names no danger that I know. Say what must be stopped, dry, closed, or not there.",
                        3,
                    )
                )
                continue
            meant = naming.sure(found)
            if meant:
                self._do(Act(kind="safe", id=meant.id))
            else:
                self.unclear = found[: naming.MOST]
                self._offer(self.unclear, self._do_safe)

    def _do_safe(self, meant: Named) -> None:
        self.unclear = []
        self._do(Act(kind="safe", id=meant.id))

    # --- the verdict --------------------------------------------------------------------------------------------------

    def _ask(self, question: str) -> str:
        self.say(self.pen.wrap(question, 3))
        typed = typed_line(self.asker.ask("> "))
        if typed.lower() in ("back", "cancel"):
            raise Cancelled
        return typed

    def _verdict(self, words: str) -> None:
        cause = self._cause(words or self._ask("What is wrong? (in your words; sound if nothing is; back looks on)"))
        if cause == SOUND:
            told = ""
            try:
                told = self._ask("What do you tell them, in one sentence? (Enter passes)")
            except Quit:
                self.say([""])
            self._do(Act(kind="verdict", id=SOUND, sentence=told[:LONGEST]))
            return
        said: dict[str, str] = {}
        try:
            self._rest(said)
        except Quit:
            # The end of the input: what was entered so far is the verdict.
            self.say([""])
        act = Act(kind="verdict", id=cause, **{name: text[:LONGEST] for name, text in said.items()})
        with suppress(Quit):
            self._before_mending(act)
        self._do(act)

    def _before_mending(self, act: Act) -> None:
        """Ask what was made sure of, where the mend waits for something, until nothing more is said."""
        question = "Before anybody does it: what do you make sure of? (such as: floor and plug dry; list shows what there is; Enter: of nothing more)"
        while self.round.mend_gates(act):
            typed = self._ask(question)
            if not typed or agreed(typed) is False or typed.lower() == "nothing":
                return
            for name in self._dangers(typed):
                if name not in self.kb.hazards:
                    continue
                self._do(Act(kind="safe", id=name))
                if self.round.unsafe:
                    raise Cancelled

    def _dangers(self, typed: str) -> Iterator[str]:
        """Give the dangers that are meant, one after the other; of all there are, the one that is chosen."""
        head, _, rest = typed.partition(" ")
        words = rest if head.lower() in SAFE else typed
        if not words.strip() or words.lower() in (*HELP, "list"):
            every = naming.all_gates(self.kb)
            yield self._pick(every, "", len(every))
            return
        for part in naming.parts(words):
            found = naming.gates(self.kb, part, self.round.waiting())
            meant = naming.sure(found)
            yield meant.id if meant else self._pick(found, "I know no danger of that name. Which, in other words?")

    def _rest(self, said: dict[str, str]) -> None:
        """Ask for all that goes with a verdict, one after the other."""
        rule = said["rule"] = self._rule()
        if rule and rule != "none":
            record = self.kb.rules[rule]
            if record.measures == "state":
                said["limit"] = self._ask("What must be seen, by that rule? (Enter passes)")
            else:
                said["limit"] = self._limit(record)
            said["datum"] = self._ask("Measured or seen where, and from what? (Enter passes)")
        said["mend"] = self._ask("How is it mended, in a few words? (Enter passes)")
        said["by"] = self._by()
        said["sentence"] = self._ask("What do you tell the customer, in one sentence? (Enter passes)")

    def _cause(self, typed: str) -> str:
        """Return the cause that is meant: at once where the words leave no doubt, else by number."""
        while True:
            if typed.lower().rstrip(".!") in SOUNDS:
                return SOUND
            found = naming.causes(self.kb, typed, self.known, self.round.explaining())
            meant = naming.sure(found)
            if meant:
                self.say(self.pen.wrap(f"Your verdict: {meant.title}.", 3))
                return meant.id
            typed = self._pick(found, "I know no fault of that name. What is wrong, in other words? (sound, or back)")
            if typed in self.kb.causes:
                return typed

    def _rule(self) -> str:
        """Return the rule that is meant, `none`, or nothing where it is passed over."""
        typed = self._ask("Which rule is broken? (in your words; none if there is none; Enter passes)")
        while typed:
            if agreed(typed) is False or typed.lower().rstrip(".!") in NO_RULE:
                return "none"
            found = apart(self.kb, naming.rules(self.kb, typed, self.known))
            meant = naming.sure(found)
            if meant:
                self.say(self.pen.wrap(f"The rule: {meant.title}.", 3))
                return meant.id
            typed = self._pick(found, "I know no rule of that name. Which, in other words? (none, or Enter)")
            if typed in self.kb.rules:
                return typed
        return ""

    def _pick(self, found: list[Named], unknown: str, most: int = naming.MOST) -> str:
        """Return the id that a number chooses, or other words."""
        found = found[:most]
        if not found:
            return self._ask(unknown)
        self.say(self.pen.wrap(WHICH if len(found) > 1 else ONE, 3))
        self.say([line for n, one in enumerate(found, 1) for line in self.pen.wrap(one.title, 6, f"   {n}")])
        while True:
            typed = typed_line(self.asker.ask("> "))
            low = typed.lower()
            if low in ("back", "cancel"):
                raise Cancelled
            if low.isdecimal() and 1 <= int(low[:4]) <= len(found):
                return found[int(low[:4]) - 1].id
            meant = agreed(typed)
            if meant and len(found) == 1:
                return found[0].id
            if meant:
                self.say(self.pen.wrap(f"Yes to which? The numbers go from 1 to {len(found)}.", 3))
                continue
            if meant is False:
                return self._ask("Then which, in other words? (back leaves it)")
            if not low.isdecimal():
                return typed
            self.say(self.pen.wrap(f"The numbers go from 1 to {len(found)}.", 3))

    def _limit(self, rule: model.Rule) -> str:
        from ...engine.measurement.units import EXAMPLES

        while True:
            typed = self._ask(f"Its limit, with the unit? (such as {EXAMPLES[rule.measures]}; Enter passes)")
            if not typed:
                return ""
            try:
                quantity.parse(typed, rule.measures)
            except QuantityProblem as problem:
                numbers = [text for text in given(typed) if _is_one(text, rule.measures)]
                if len(numbers) == 1:
                    return numbers[0]
                self.say(self.pen.wrap(str(problem), 3))
                continue
            return typed

    def _by(self) -> str:
        while True:
            typed = self._ask("Who mends it: anyone, technician, plumber, or electrician? (Enter passes)").lower()
            words = [w.strip(".,!") for w in typed.split()]
            if not words:
                return ""
            found = {WHO[w] for w in words if w in WHO}
            if len(found) == 1:
                return found.pop()
            self.say(self.pen.wrap("Name one of the four.", 3))


def _is_one(text: str, measures: str) -> bool:
    try:
        quantity.parse(text, measures)
    except QuantityProblem:
        return False
    return True
