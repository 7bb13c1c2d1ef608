"""A case: a list of events, and the state that is a fold over them.

Undo drops an event, resume replays them, a hand-over is the same list with another role at its end. The case file and the
journal are this list and nothing else.
"""

from typing import Any

import msgspec
from msgspec import Struct

from .. import model
from ..errors import InvalidInputError, Problem
from .events import DEFAULT_HANDS, Event
from .rows import leading
from .status import TURNED_OUT

# A walk of a long day has some hundred [-].
MOST_EVENTS = 10_000
# What is put to a case while it is thought over: a role, gates, the facts of a machine's sheet [-].
BESIDE = 200
# So many remedies and notes are copied from step to step; more are put aside [-].
KEPT = 64


class Answered(Struct, frozen=True):
    """One answer to a check: an answer's id, or a reading as it was said; `epoch` counts the remedies done before it.

    `again`: a reading in the place of an earlier one by the same hands, who have measured twice. `then`: it was seen at the installation
    that the case comes after, and stands because it can't change.
    """

    check: str
    said: str
    hands: model.Hands
    epoch: int
    proof: bool = False
    again: bool = False
    then: bool = False


class Earlier(Struct, frozen=True):
    """A reading or look at the installation that a case comes after: a report from then, not of today.

    `left` says what became of a break that was seen: it was `left`, or `declined`; else it is empty.
    """

    check: str
    said: str
    hands: model.Hands
    left: str = ""


class Tried(Struct, frozen=True):
    """One remedy: of which cause, whether it was done, how many remedies were done with it, and what its proof said."""

    cause: str
    did: str
    epoch: int
    passed: bool | None = None


class FoundOut(Struct, frozen=True):
    """What a case turned out to be: in whose words, which cause of the kb that is (None: none fits), by whose hands, on which day."""

    words: str
    cause: str | None = None
    by: str = ""
    date: str = ""


class State(Struct, frozen=True, kw_only=True):
    """What a case amounts to."""

    role: model.Role = "homeowner"
    hands: model.Hands = "homeowner"
    words: tuple[str, ...] = ()
    complaints: tuple[str, ...] = ()
    confirmed: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    gone: tuple[tuple[str, int], ...] = ()
    stands: tuple[tuple[str, int], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    answers: tuple[Answered, ...] = ()
    earlier: tuple[Earlier, ...] = ()
    passed_over: tuple[tuple[str, str], ...] = ()
    cleared: tuple[str, ...] = ()
    stopped: str | None = None
    remedies: tuple[Tried, ...] = ()
    epoch: int = 0
    asked_still: int = 0
    notes: tuple[str, ...] = ()
    closed: str | None = None
    machine: str | None = None
    outcome: FoundOut | None = None
    outcomes_before: tuple[FoundOut, ...] = ()  # what was said of it before that; the last decides
    notices: tuple[str, ...] = ()


def passes(kb: model.KB, cause: str, said: str, hands: str) -> bool:
    """Return whether an answer to a cause's proof check proves its remedy; a measured proof must be within its rule."""
    proof = kb.causes[cause].proof
    if proof.passes != "within":
        return said == proof.passes
    from ..measurement.readings import reading

    return reading(kb, proof.check, said, hands).verdict.state == "within"


def fold(kb: model.KB, events: list[Event]) -> State:
    """Return the state after all events, in a time that grows as their number does.

    Parameters
    ----------
    kb : KB
        Needed to know which answer proves a remedy.
    events : list of Event
        Already checked by `casefile.check`.

    Raises
    ------
    InvalidInputError
        With more than MOST_EVENTS of them, not counting BESIDE.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> fold(load_kb(), [Event(role="desk"), Event(complaints=["walks"])]).complaints
    ('walks',)
    """
    if len(events) > MOST_EVENTS + BESIDE:
        raise InvalidInputError([too_long(MOST_EVENTS)])
    state = State()
    aside = _Aside()
    for event in events:
        state = step(kb, state, event)
        if state.notices or len(state.remedies) > KEPT or len(state.notes) > KEPT:
            state = aside.take(state)
    return aside.give(state)


class _Aside:
    """What a long case holds and no later step looks at, put aside while it is folded: each step copies what its state holds."""

    def __init__(self) -> None:
        self.notices: list[str] = []
        self.notes: list[str] = []
        self.remedies: list[Tried] = []
        # Where the last remedy that was done stands; it leads the state's own, for a proof may still judge it.
        self.last: int | None = None

    def take(self, state: State) -> State:
        """Return a state without what is put aside here."""
        self.notices += state.notices
        self.notes += state.notes
        remedies = state.remedies
        if self.last is not None:
            self.remedies[self.last] = remedies[0]
            remedies = remedies[1:]
        begun = len(self.remedies)
        self.remedies += remedies
        self.last = next(
            (n for n in reversed(range(begun, len(self.remedies))) if self.remedies[n].did == "done"), self.last
        )
        kept = () if self.last is None else (self.remedies[self.last],)
        return msgspec.structs.replace(state, notices=(), notes=(), remedies=kept)

    def give(self, state: State) -> State:
        """Return the whole state."""
        if not (self.notices or self.notes or self.remedies):
            return state
        self.take(state)
        return msgspec.structs.replace(
            state, notices=tuple(self.notices), notes=tuple(self.notes), remedies=tuple(self.remedies)
        )


def too_long(most: int) -> Problem:
    """Return what is wrong with a case of more events than are read."""
    return Problem(
        code="C032",
        message="the case is too long",
        expected=f"at most {most:,} events",
        mend="leave out what was changed later, or begin a new case with what stands now",
    )


def step(kb: model.KB, state: State, event: Event) -> State:
    """Return the state after one more event."""
    kind = leading(event)
    change: dict[str, Any] = {}
    if kind in ("role", "hands"):
        role = event.role or state.role
        hands = event.hands or DEFAULT_HANDS[role]
        # Whoever is new at the machine has not seen that it is safe: gates are asked again, and what could not
        # be done by the hands before may be done by these.
        # A case that was handed on goes on with whoever takes it up.
        closed = None if state.closed == "handed-on" else state.closed
        change = {"role": role, "hands": hands, "cleared": (), "stopped": None, "closed": closed}
        if hands != state.hands:
            change["passed_over"] = ()
    elif kind == "resumed":
        change = {"cleared": (), "stopped": None}
    elif kind == "heard":
        change = {"words": (*state.words, event.heard or "")} | _complain(state, event.complaints or [], True)
        change |= _told_facts(kb, state, event.complaints or [])
        change["cleared"] = _still_clear(kb, state, event.heard or "")
    elif kind == "complaints":
        change = _complain(state, event.complaints or [], True)
        change |= _told_facts(kb, state, event.complaints or [])
    elif kind == "hazard":
        # Heard in words that were not kept; as with the words themselves, what they name is not clear any more.
        name = event.hazard or ""
        change = {
            "hazards": (*(h for h in state.hazards if h != name), name),
            "cleared": tuple(c for c in state.cleared if c != name),
        }
    elif kind == "fact":
        change = _fact(kb, state, event.fact or "", event.is_ or "")
    elif kind == "cleared":
        change = {
            "cleared": (*state.cleared, event.cleared),
            "stopped": None if state.stopped == event.cleared else state.stopped,
        }
    elif kind == "stopped":
        change = {"stopped": event.stopped, "cleared": tuple(c for c in state.cleared if c != event.stopped)}
    elif kind == "check":
        change = _answer(kb, state, event.check or "", event.answer or event.value or "")
        record = kb.checks[event.check or ""].answers.get(event.answer or "")
        if record and record.raises:
            # It was cleared before this was seen; now it must be cleared again.
            change["cleared"] = tuple(c for c in state.cleared if c != record.raises)
    elif kind in ("cant", "skip"):
        name = event.cant or event.skip or ""
        # What is known stays known: passing over its question again takes nothing back.
        if name not in dict(state.facts):
            change = {"passed_over": (*(p for p in state.passed_over if p[0] != name), (name, kind))}
        if name == "still-there":
            # Who can't tell what is left is asked again after the next fix, and not at once.
            change["asked_still"] = state.epoch
    elif kind == "note":
        change = {"notes": (*state.notes, event.note or ""), "cleared": _still_clear(kb, state, event.note or "")}
    elif kind == "remedy":
        done = (event.did or "done") == "done"
        epoch = state.epoch + done
        # What is no fault needs no proof that it went away: the person says that this is how it is.
        healthy = done and kb.causes[event.remedy or ""].kind == "normal"
        tried = Tried(event.remedy or "", event.did or "done", epoch, True if healthy else None)
        change = {"epoch": epoch, "remedies": (*state.remedies, tried)}
        left = [c for c in state.complaints if c not in dict(state.gone)]
        if healthy and len(left) == 1:
            change |= {"gone": (*state.gone, (left[0], epoch)), "closed": "solved"}
    elif kind == "proof":
        change = _proof(kb, state, event)
    elif kind == "still":
        change = _still(kb, state, event.still or [])
    elif kind == "trial":
        change = _trial(state, event)
    elif kind == "closed":
        change = {"closed": event.closed}
    elif kind == "machine":
        change = {"machine": event.machine}
    elif kind == "earlier":
        change = _earlier(kb, state, event)
    elif kind == "turned_out":
        # Told afterwards: it is no evidence of this case, and a stop for safety stands until somebody clears it.
        by = event.by or state.hands
        outcome = FoundOut(event.turned_out or "", event.cause, by, event.date or "")
        before = (*state.outcomes_before, *([state.outcome] if state.outcome else []))
        change = {"outcome": outcome, "outcomes_before": before, "closed": TURNED_OUT}
    return msgspec.structs.replace(state, **change)


def _still_clear(kb: model.KB, state: State, words: str) -> tuple[str, ...]:
    """Return the hazards that stay cleared when somebody says some words: what they name is not clear any more."""
    if not state.cleared:
        return ()
    from ..language.matching import hear

    named = {h.hazard for h in hear(words, kb).hazards}
    return tuple(c for c in state.cleared if c not in named)


def _complain(state: State, names: list[str], confirmed: bool) -> dict[str, Any]:
    new = tuple(n for n in dict.fromkeys(names) if n not in state.complaints)
    # What was gone and is said again is seen again: it stands after all that was mended.
    back = {g[0] for g in state.gone if g[0] in names}
    return {
        "complaints": state.complaints + new,
        "confirmed": state.confirmed + (new if confirmed else ()),
        "stands": (*((n, state.epoch if n in back else e) for n, e in state.stands), *((n, state.epoch) for n in new)),
        "gone": tuple(g for g in state.gone if g[0] not in names),
    }


def _told_facts(kb: model.KB, state: State, names: list[str]) -> dict[str, Any]:
    """Return the facts of a case with those that complaints say by themselves; what was said before, or is said later, holds."""
    known = dict(state.facts)
    for name in names:
        for fact, option in sorted(kb.complaints[name].tells.facts.items()):
            known.setdefault(fact, option)
    return {"facts": tuple(known.items()), "passed_over": tuple(p for p in state.passed_over if p[0] not in known)}


def _fact(kb: model.KB, state: State, name: str, option: str) -> dict[str, Any]:
    old = dict(state.facts).get(name)
    notices = state.notices
    if old is not None and old != option:
        fact = kb.facts[name]
        told = [fact.options[o].says if o in fact.options else o for o in (old, option)]
        notices = (*notices, f"{fact.title}: was '{told[0]}'; it is now '{told[1]}'.")
    return {
        "facts": (*(f for f in state.facts if f[0] != name), (name, option)),
        "notices": notices,
        "passed_over": tuple(p for p in state.passed_over if p[0] != name),
    }


def _answer(kb: model.KB, state: State, check: str, said: str) -> dict[str, Any]:
    new = Answered(check, said, state.hands, state.epoch)
    kept = []
    measures = kb.checks[check].kind == "measure"
    notices = state.notices
    # Answers stand in the order of their epochs: those before the last remedy stay as they are.
    start = len(state.answers)
    while start and state.answers[start - 1].epoch == state.epoch:
        start -= 1
    for old in state.answers[start:]:
        # Asked again by the same hands with nothing mended in between, it is a change of answer.
        if old.check == check and old.hands == state.hands and not old.proof:
            if old.said != said:
                answers = kb.checks[check].answers
                told = [answers[a].says if a in answers else a for a in (old.said, said)]
                notices = (*notices, f"{kb.checks[check].title}: was '{told[0]}'; it is now '{told[1]}'.")
            new = msgspec.structs.replace(new, again=measures)
        else:
            kept.append(old)
    return {
        "answers": (*state.answers[:start], *kept, new),
        "notices": notices,
        "passed_over": tuple(p for p in state.passed_over if p[0] != check),
    }


def _earlier(kb: model.KB, state: State, event: Event) -> dict[str, Any]:
    """Keep a report from then; what was right, seen by able hands, and can't change, stands as an answer and is not asked again."""
    by: model.Hands = "homeowner" if event.why == "told" else "technician"
    left = event.why if event.why in ("left", "declined") else ""
    said = Earlier(event.earlier or "", event.answer or event.value or "", by, left)
    change: dict[str, Any] = {"earlier": (*(e for e in state.earlier if e.check != said.check), said)}
    check = kb.checks[said.check]
    if check.lasts and not said.left and said.hands == "technician" and not check.wrong(said.said):
        stands = {said.check: said.said, **(check.on_sheet.same_as.get(said.said, {}) if check.on_sheet else {})}
        change["answers"] = (
            *state.answers,
            *(Answered(n, s, said.hands, state.epoch, then=True) for n, s in stands.items()),
        )
    return change


def reports_of_then(state: State) -> list[Earlier]:
    """Return the earlier readings that count as reports: what nobody has seen since, and does not stand as an answer.

    Examples
    --------
    >>> then = Earlier("drip-rate", "dripping", "technician", "left")
    >>> [e.check for e in reports_of_then(State(earlier=(then,)))]
    ['drip-rate']
    >>> reports_of_then(State(earlier=(then,), answers=(Answered("drip-rate", "dry", "homeowner", 0),)))
    []
    """
    seen = {a.check for a in state.answers}
    return [e for e in state.earlier if e.check not in seen]


def not_standing(state: State) -> list[Earlier]:
    """Return the earlier readings that do not stand as answers, those among them that were taken anew since.

    Examples
    --------
    >>> then = Earlier("drip-rate", "dripping", "technician", "left")
    >>> [e.check for e in not_standing(State(earlier=(then,), answers=(Answered("drip-rate", "dry", "homeowner", 0),)))]
    ['drip-rate']
    """
    standing = {a.check for a in state.answers if a.then}
    return [e for e in state.earlier if e.check not in standing]


def _proof(kb: model.KB, state: State, event: Event) -> dict[str, Any]:
    """A failed proof says that the complaint still stands; a passed one waits for the question what is left."""
    said = event.answer or event.value or ""
    at = next((n for n in reversed(range(len(state.remedies))) if state.remedies[n].did == "done"), None)
    if at is None or kb.causes[state.remedies[at].cause].proof.check != event.proof:
        # A case file can't say this; the journal of an older kb can.
        return {"notices": (*state.notices, f"'{event.proof}' proves nothing that was done; it is left out.")}
    last = state.remedies[at]
    passed = passes(kb, last.cause, said, state.hands)
    change: dict[str, Any] = {
        "answers": (*state.answers, Answered(event.proof or "", said, state.hands, state.epoch, True)),
        "remedies": _judged(state.remedies, at, passed),
    }
    left = [c for c in state.complaints if c not in dict(state.gone)]
    if not passed and kb.causes[last.cause].kind == "normal":
        # A case of an older program, which asked for a proof: what was taken for healthy is not, so it stands again.
        back = [c for c, e in state.gone if e == state.epoch]
        change |= {"closed": None} | _complain(state, back, True)
    elif not passed:
        shown = [s.complaint for s in kb.causes[last.cause].shows if s.complaint in left] or left
        change["stands"] = tuple((c, state.epoch if c in shown else e) for c, e in state.stands)
    elif len(left) == 1 and repeated(kb, event.proof or "", left[0]):
        change |= {"gone": (*state.gone, (left[0], state.epoch)), "closed": _ended(kb, state)}
    return change


def repeated(kb: model.KB, proof: str, complaint: str) -> bool:
    """Return whether a proof repeats the condition of a complaint, so that its passing shows that the complaint is gone.

    Parameters
    ----------
    kb : KB
    proof, complaint : str

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [repeated(load_kb(), "pump-out-time", c) for c in ("no-drain", "suds-or-smell")]
    [True, False]
    """
    told = kb.checks[proof].repeats
    return told is None or complaint in told


def _judged(remedies: tuple[Tried, ...], at: int, passed: bool) -> tuple[Tried, ...]:
    """Return the remedies with what the proof of one of them said."""
    return (*remedies[:at], msgspec.structs.replace(remedies[at], passed=passed), *remedies[at + 1 :])


def _still(kb: model.KB, state: State, names: list[str]) -> dict[str, Any]:
    left = [c for c in state.complaints if c not in dict(state.gone)]
    ended = [c for c in left if c not in names]
    change: dict[str, Any] = {
        "gone": (*state.gone, *((c, state.epoch) for c in ended)),
        "stands": tuple((c, state.epoch if c in names else e) for c, e in state.stands),
        "asked_still": state.epoch,
    }
    if len(ended) == len(left):
        change["closed"] = _ended(kb, state)
    return change


def seen_to_work(state: State) -> bool:
    """Return whether the proof of something that was mended passed, or it was no fault and needs none.

    Examples
    --------
    >>> seen_to_work(State(remedies=(Tried("foot-unloaded", "done", 1, None),)))
    False
    """
    return any(t.passed for t in state.remedies)


def washes_to_watch(kb: model.KB, facts: dict[str, str]) -> int:
    """Return how many washes must pass after a proof before the case may close; 0 where one proof is enough.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> washes_to_watch(load_kb(), {"rhythm": "every-time"}), washes_to_watch(load_kb(), {"rhythm": "now-and-then"}) > 5
    (0, True)
    """
    options = [kb.facts[f].options.get(o) for f, o in facts.items() if f in kb.facts]
    return int(max((o.watch.n for o in options if o and o.watch), default=0))


def _ended(kb: model.KB, state: State) -> str:
    """Return how a case closes whose proof passed: what comes and goes is on trial until it stayed away long enough."""
    mended = [t.cause for t in state.remedies if t.did == "done"]
    # What was no fault has nothing to come back.
    fault = not mended or kb.causes[mended[-1]].kind != "normal"
    return "on-trial" if fault and washes_to_watch(kb, dict(state.facts)) else "solved"


def _trial(state: State, event: Event) -> dict[str, Any]:
    """Return what a trial's end changes: solved where nothing came back, else the complaint stands after all that was mended."""
    if state.closed != "on-trial":
        return {"notices": (*state.notices, "No trial was running; what was said of it is left out.")}
    if event.trial != "came-back":
        return {"closed": "solved"}
    back = event.complaints or [c for c, e in state.gone if e == state.epoch]
    at = next((n for n in reversed(range(len(state.remedies))) if state.remedies[n].did == "done"), None)
    # The proof that passed showed too little: of a fault that comes and goes, one good wash says next to nothing.
    remedies = state.remedies if at is None else _judged(state.remedies, at, False)
    return {"closed": None, "cleared": (), "stopped": None, "remedies": remedies} | _complain(state, back, True)
