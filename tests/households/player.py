"""A walk through one home: every question is answered by what is true there, every remedy is done, every proof is seen as it would be.

The player knows the home alone: what is not written down is as in a sound installation, never drawn from the kb's numbers. The
first words are heard as they would be; what is heard rightly is confirmed, what is not is struck out.
"""

from dataclasses import dataclass, field

from dryfloor.engine import model
from dryfloor.engine.advice import Advice, Step
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.endings import LANDLORD
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.language.matching import hear
from dryfloor.engine.measurement import quantity
from dryfloor.engine.measurement.readings import limits
from dryfloor.engine.planning.roles import work_of
from tests.support.answers import said

from .answers import Truth
from .homes import Home

MOST_CARDS = 90
ROLE: dict[str, model.Role] = {
    "homeowner": "homeowner",
    "tenant": "homeowner",
    "call desk": "desk",
    "technician": "technician",
}
# Who counts as the right one where the home names another trade for the same work.
SAME_HANDS = {"drain-service": {"plumber"}}
STRONG = 0.85  # so strongly a cause must show by a look that its denial contradicts it [-]


@dataclass
class Played:
    """How a walk through a home went.

    Parameters
    ----------
    cards, minutes
        Questions answered before the last finding was shown; minutes of the person's that they took [-], [min].
    reached
        Whether the true cause is the finding at the end, or was mended; None where the kb does not have it.
    named
        The cause that was shown as the finding at the end, if any.
    hands, right_hands
        Who was to put it right; whether that is who can.
    wrong_remedies, false_proofs, contradictions
        Causes mended that were not at work; proofs that passed with the fault still there; findings against their own look.
    asked_again
        Questions whose answer the first words had given.
    danger_first
        Of gates that were not safe at first, how many were asked before any check; and how many there were.
    """

    home: str
    role: str
    cards: int = 0
    minutes: float = 0.0
    reached: bool | None = None
    named: str | None = None
    hands: str = ""
    right_hands: bool = False
    wrong_remedies: list[str] = field(default_factory=list)
    false_proofs: list[str] = field(default_factory=list)
    contradictions: list[str] = field(default_factory=list)
    asked_again: list[str] = field(default_factory=list)
    danger_first: int = 0
    dangers: int = 0
    heard: bool = False
    path: list[str] = field(default_factory=list)


class Player:
    """One home, played once with one kb."""

    def __init__(self, kb: model.KB, home: Home, truth: Truth) -> None:
        self.kb, self.home, self.truth = kb, home, truth
        self.right = {*truth.cause, *truth.near}
        self.mended: set[str] = set()
        self.left: set[str] = set()
        self.unsafe = {*truth.unsafe}
        self.played = Played(home.id, ROLE[home.speaker], dangers=len(truth.unsafe))

    def begin(self) -> list[Event]:
        """Return the first events: who speaks, what was said, and what was heard rightly in it."""
        heard = hear(self.home.says, self.kb)
        self.played.heard = bool({m.complaint for m in heard.complaints[:3]} & {*self.truth.complaints})
        events = [Event(role=ROLE[self.home.speaker])]
        complaints = self.truth.complaints or [m.complaint for m in heard.complaints[:1]] or heard.order[:1]
        events.append(Event(heard=self.home.says, complaints=complaints))
        known = self._known()
        events += [Event(fact=f.fact, is_=f.option) for f in heard.facts if known.get(f.fact) == f.option]
        true = self.truth.answers | self.truth.told
        events += [
            Event(check=a.check, answer=a.answer)
            for a in heard.answers
            if true.get(a.check) == a.answer and {*complaints} & {*self.kb.checks[a.check].heard_with}
        ]
        return events

    def play(self) -> Played:
        """Return how it went."""
        events = self.begin()
        checked = False
        advice = advise(self.kb, events)
        for _ in range(MOST_CARDS):
            step = advice.next
            if step is None or step.kind == "hand-on":
                break
            self.played.path.append(f"{step.kind}:{step.id}")
            self._counted(step, checked, advice)
            checked |= step.kind == "check"
            events = [*events, *self.reply(step, events)]
            advice = advise(self.kb, events)
        return self._ended(advice, events)

    def _counted(self, step: Step, checked: bool, advice: Advice) -> None:
        if step.kind == "gate":
            if step.id in self.unsafe and not checked:
                self.played.danger_first += 1
        elif step.id in (self.truth.told_facts if step.kind == "fact" else self.truth.told) and not step.proof:
            self.played.asked_again.append(step.id)
        if step.kind in ("gate", "fact", "check") and not step.proof and not self.mended | self.left:
            self.played.cards += 1
            self.played.minutes += step.minutes
        if step.kind == "remedy" and step.id not in self.right:
            self.played.wrong_remedies.append(step.id)
        if step.kind == "remedy" and advice.finding:
            self._contradicted(advice)

    def reply(self, step: Step, events: list[Event]) -> list[Event]:
        """Return what the person says to a step."""
        if step.kind == "gate":
            if step.id in self.unsafe:
                # What is not safe is made safe as the stop says, and the case is taken up again.
                self.unsafe.discard(step.id)
                return [Event(stopped=step.id), Event(resumed=True)]
            gate = self.kb.hazards[step.id].gate
            return [Event(cleared=step.id, word=gate.word if gate else "")]
        if step.id == "still-there":
            return [Event(still=[] if self._sound() else self._standing(events))]
        if step.kind == "fact":
            return [self._fact(step.id)]
        if step.kind == "remedy":
            if step.id in self.right and not self._theirs():
                # It is what is wrong, but in that home it takes somebody else.
                self.left.add(step.id)
                return [Event(remedy=step.id, did="could-not")]
            if step.id in self.right:
                self.mended.add(step.id)
            elif self.kb.causes[step.id].kind == "normal":
                # Told how to tell what is healthy, people see that it is something else.
                return [Event(remedy=step.id, did="could-not")]
            return [Event(remedy=step.id, did="done")]
        return [self._proof(step, len(self._standing(events)) > 1) if step.proof else self._check(step.id)]

    def _theirs(self) -> bool:
        """Whether whoever is there may put it right themselves in that home."""
        own = {"anyone", "nobody"} | ({"technician"} if self.played.role == "technician" else set())
        return bool(own & {*self.truth.hands})

    def _known(self) -> dict[str, str]:
        """Return the circumstances of the home; who lives there for rent says so."""
        return {"tenure": "rented" if self._rented() else "owned"} | self.truth.facts | self.truth.told_facts

    def _rented(self) -> bool:
        return self.home.speaker == "tenant" or "landlord" in self.truth.hands

    def _standing(self, events: list[Event]) -> list[str]:
        state = fold(self.kb, events)
        return [c for c in state.complaints if c not in dict(state.gone)]

    def _sound(self) -> bool:
        """Whether all that was wrong is mended."""
        done = {*self.truth.cause} <= self.mended or bool(self.mended & {*self.truth.near})
        return bool(self.mended) and done and self.home.causes <= max(1, len(self.truth.cause))

    def _fact(self, name: str) -> Event:
        known = self._known()
        if name in known:
            return Event(fact=name, is_=known[name])
        options = self.kb.facts[name].options
        return Event(fact=name, is_=max(options, key=lambda o: options[o].share_per_1000))

    def _check(self, name: str) -> Event:
        if name in self.truth.cant:
            return Event(cant=name)
        true = self.truth.answers.get(name) or self.truth.told.get(name) or sound(self.kb, name)
        return (
            Event(check=name, value=true) if self.kb.checks[name].kind == "measure" else Event(check=name, answer=true)
        )

    def _proof(self, step: Step, several: bool = False) -> Event:
        passing = sound(self.kb, step.id)
        passes = self.kb.causes[step.cause].proof.passes if step.cause else passing
        good = passing if passes == "within" else passes
        if self._sound() or (step.cause in self.mended and len(self.truth.cause) > 1 and several):
            # Where one thing is complained of, it stands as long as a fault is left that brings it.
            now = good
        else:
            now = self.truth.answers.get(step.id) or self.truth.told.get(step.id) or passing
            if now == good:
                self.played.false_proofs.append(f"{step.cause} by {step.id}")
        measured = self.kb.checks[step.id].kind == "measure"
        return Event(proof=step.id, value=now) if measured else Event(proof=step.id, answer=now)

    def _contradicted(self, advice: Advice) -> None:
        """Count a finding whose strongest look was made and came out otherwise."""
        assert advice.finding is not None
        cause = self.kb.causes[advice.finding.cause]
        only = cause.remedy.only_if
        if only and only.answer and cause.id not in self.right:
            true = self.truth.answers.get(only.check) or sound(self.kb, only.check)
            if true != only.answer and f"check:{only.check}" in self.played.path:
                self.played.contradictions.append(cause.id)

    def _ended(self, advice: Advice, events: list[Event]) -> Played:
        played, state = self.played, fold(self.kb, events)
        played.named = advice.finding.cause if advice.finding else None
        done = [t.cause for t in state.remedies if t.did == "done"]
        if advice.next is not None and advice.next.kind == "hand-on":
            played.hands = advice.hand_on.to if advice.hand_on else advice.next.id
            self._contradicted(advice) if advice.finding else None
        elif done:
            played.named = done[-1]
            last = self.kb.causes[done[-1]]
            played.hands = "nobody" if last.kind == "normal" else work_of(last.remedy, state)
        if self.truth.covered:
            found = self.mended | self.left | ({played.named} & self.right)
            # What the home counts as one fault may be two entries of the kb: either names it.
            need = min(len(self.truth.cause), max(1, self.home.causes))
            played.reached = bool(found & {*self.truth.near}) or len(found & {*self.truth.cause}) >= need
        wanted = {h for hands in self.truth.hands for h in {hands, *SAME_HANDS.get(hands, set())}}
        if played.role == "technician" and "technician" in wanted:
            # What anybody may do the technician at the machine does.
            wanted.add("anyone")
        if "nobody" in wanted and self.mended:
            # A setting put back by whoever is there: nobody was called.
            wanted.add("anyone")
        if played.role == "homeowner" and advice.hand_on and LANDLORD in advice.hand_on.until and self._rented():
            # Who rents is told so, whether or not the words had said it.
            wanted |= {played.hands} if "landlord" in wanted else set()
        played.right_hands = played.hands in wanted
        return played


def sound(kb: model.KB, name: str) -> str:
    """Return what a check says in a sound installation: its last answer, or a reading well inside its rule."""
    check = kb.checks[name]
    if check.kind != "measure":
        return list(check.answers)[-1]
    rule = kb.rules[check.rule or ""]
    least, most = limits(rule)
    low, high = quantity.plausible(rule.plausible, rule.measures)
    return said(((least if least is not None else low) + (most if most is not None else high)) / 2, rule.measures)
