"""The calls that wait, in the order in which they can't: danger first, then a promise that is due, then by what waiting costs.

A call's waiting costs what its callback is expected to cost, by what is believed of it, and more where it is needed soon, where water comes
or something froze, and with each day: how much is in `kb/roles.yaml` (`waiting`, judgement; a kb without it adds nothing). What waits for a
part, a plumber, the owner or an hour that was agreed stands behind the rest, unless it is dangerous. Nothing personal is told of a call but
the reference that the shop finds it by.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Literal

from .. import model
from ..advice import Advice, Frozen
from ..advise import advise, heard_in
from ..advising.gates import RANK
from ..case.events import Event
from ..case.queue_marks import Queued
from ..case.state import State, fold
from ..errors import InvalidInputError
from ..planning import roles

FROZE = ("recent-frost", "frost")  # the fact that says so, and its answer

Danger = Literal["stop", "told", "gate", "none"]
DANGERS: tuple[Danger, ...] = ("stop", "told", "gate", "none")


class WaitingCall(Frozen, frozen=True, kw_only=True):
    """A call that is open or was handed on: its events, how it stands in the queue, when it began (UTC, ISO 8601, or empty)."""

    case: str
    reference: str
    state: str
    began: str
    events: list[Event]
    queued: Queued


class QueuePlace(Frozen, frozen=True, kw_only=True):
    """Where a call stands and why.

    `danger` is stop, told (a danger was told and nobody saw it gone), gate (one that its complaint asks first was never got past) or none;
    `cost` is what waiting costs [homeowner minutes]; `can` says whether it can be worked on now, `due` that it was to be rung back by now.
    """

    case: str
    reference: str
    state: str
    complaints: list[str]
    danger: Danger
    signal: str
    cost: float
    can: bool
    due: bool
    who: str
    ring_back: str
    waits: str
    soon: bool
    began: str
    why: list[str]


def queue(kb: model.KB, calls: Iterable[WaitingCall], now: datetime) -> list[QueuePlace]:
    """Return the calls in the order in which they are to be worked on.

    Parameters
    ----------
    kb : KB
    calls : iterable of WaitingCall
    now : datetime
        With its zone.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> queue(load_kb(), [], datetime(2026, 12, 1))
    []
    """
    return in_order(place(kb, call, now) for call in calls)


def in_order(places: Iterable[QueuePlace]) -> list[QueuePlace]:
    """Return places in the order of the queue: each call's own place hangs on nothing but itself, so they may be worked out anywhere."""
    return sorted(places, key=_rank)


def _rank(p: QueuePlace) -> tuple[object, ...]:
    # What a complaint asks first is asked of everybody: how grave it would be says nothing of this call.
    gravest = RANK.get(p.signal, len(RANK)) if p.danger in ("stop", "told") else 0
    return DANGERS.index(p.danger), gravest, not (p.can or p.due), not p.due, -p.cost, p.began, p.case


def place(kb: model.KB, call: WaitingCall, now: datetime, advice: Advice | None = None) -> QueuePlace:
    """Return where one call stands, and why.

    Parameters
    ----------
    kb : KB
    call : WaitingCall
    now : datetime
        With its zone.
    advice : Advice, optional
        On the call, where somebody has it already.
    """
    state = fold(kb, call.events)
    why: list[str] = []
    try:
        advice = advice or advise(kb, call.events)
    except InvalidInputError as refused:
        why.append(f"Look at its answers: {refused.problems[0].message}.")
    danger, signal, names = _danger(kb, state, advice)
    if names:
        why.append(f"{SAID[danger]}: {'; '.join(kb.hazards[n].title for n in names)}.")
    cost = _callback(kb, state, advice)
    why.append(f"A callback is expected to cost {cost:.0f} min of a household's time.")
    q = call.queued
    for text, more in _added(kb, state, advice, q, _days(call.began, now)):
        cost += more
        why.append(f"{text}: {more:.0f} min more." if more else f"{text}.")
    later, due = _ring_back(q.ring_back, now)
    if due:
        why.append("It was to be rung back by now.")
    elif later:
        why.append("It is to be rung back later.")
    if q.waits:
        why.append(f"It waits for the {q.waits}.")
    return QueuePlace(
        case=call.case,
        reference=call.reference,
        state=call.state,
        complaints=list(state.complaints or (advice.complaints if advice else ())),
        danger=danger,
        signal=signal,
        cost=round(cost, 1),
        can=not later and not q.waits,
        due=due,
        who=q.who,
        ring_back=q.ring_back,
        waits=q.waits,
        soon=q.soon,
        began=call.began,
        why=why,
    )


SAID: dict[Danger, str] = {
    "stop": "Stopped for safety",
    "told": "A danger was told, and nobody has seen it gone",
    "gate": "Nobody has said yet that it is safe",
}


def _danger(kb: model.KB, state: State, advice: Advice | None) -> tuple[Danger, str, list[str]]:
    """Return how dangerous a call is, by which signal word, and by which hazards, the gravest first."""
    if state.stopped in kb.hazards:
        return "stop", kb.hazards[state.stopped].signal, [state.stopped]
    told = [*state.hazards, *(heard_in(kb, state)[1])]
    standing = [h.id for h in advice.hazards if h.state == "open"] if advice else list(told)
    named = _gravest(kb, [h for h in dict.fromkeys(standing) if h in told])
    if named:
        return "told", kb.hazards[named[0]].signal, named
    # What was cleared is kept nowhere: a call that got past its first gates has answers.
    first = _gravest(kb, standing)
    if first and not state.answers and not state.remedies:
        return "gate", kb.hazards[first[0]].signal, first
    return "none", "", []


def _gravest(kb: model.KB, names: Iterable[str]) -> list[str]:
    return sorted((n for n in names if n in kb.hazards), key=lambda n: RANK[kb.hazards[n].signal])


def _callback(kb: model.KB, state: State, advice: Advice | None) -> float:
    """Return what coming back is expected to cost by what is believed [homeowner minutes]; a technician's call-out where nothing is."""
    usual = roles.trade_card(kb, "technician").fee.n
    if advice is None or not advice.beliefs:
        return usual
    shares = [(b.cause, b.p) for b in advice.beliefs if b.cause in kb.causes]
    whole = sum(p for _, p in shares) + advice.unknown
    # Two causes can be at work at once: each callback is for one of them.
    costs = sum(p * _mend(kb, state, cause) for cause, p in shares) + advice.unknown * usual
    return costs / whole if whole > 0 else usual


def _mend(kb: model.KB, state: State, cause: str) -> float:
    remedy = kb.causes[cause].remedy
    trade = roles.work_of(remedy, state)
    parts = sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
    if trade == "anyone":  # nobody comes
        return remedy.minutes + parts
    card = roles.trade_card(kb, trade)
    return card.fee.n + card.per_minute.n * remedy.minutes + parts


def _added(kb: model.KB, state: State, advice: Advice | None, q: Queued, days: float) -> Iterator[tuple[str, float]]:
    """Yield what makes a call's waiting dearer than its callback, and by how much [homeowner minutes]."""
    costs = kb.roles.waiting
    if q.soon:
        yield "It is needed soon", costs.soon.n if costs else 0.0
    if _water(kb, state, advice):
        yield "Water may be coming, or something froze", costs.water.n if costs else 0.0
    counted = min(days, costs.most_days.n) if costs else days
    if counted >= 1:
        yield f"It has waited {counted:.0f} day{'s' * (round(counted) != 1)}", costs.a_day.n * counted if costs else 0.0


def _water(kb: model.KB, state: State, advice: Advice | None) -> bool:
    """Return whether water may come now, by a gate that begins with shutting it off at once, or something froze."""
    standing = [h.id for h in advice.hazards if h.state != "cleared"] if advice else list(state.hazards)
    gates = [kb.hazards[h] for h in standing if h in kb.hazards]
    shut = any(h.shut_off == "water" and h.gate is not None and h.gate.at_once is not None for h in gates)
    return shut or dict(state.facts).get(FROZE[0]) == FROZE[1]


def _days(began: str, now: datetime) -> float:
    try:
        return max(0.0, (now - datetime.fromisoformat(began)).total_seconds() / 86_400) if began else 0.0
    except (ValueError, TypeError):
        return 0.0


def _ring_back(at: str, now: datetime) -> tuple[bool, bool]:
    """Return whether a call is to be rung back later, and whether that hour has come."""
    try:
        when = datetime.fromisoformat(at) if at else None
        return (when is not None and when > now), (when is not None and when <= now)
    except (ValueError, TypeError):
        return False, False
