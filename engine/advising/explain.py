"""Why: the weight that each answer carried, by leaving it out and looking again."""

from msgspec import Struct, structs

from .. import effort, model
from ..case.events import DEFAULT_HANDS, Event
from ..case.rows import leading
from ..case.state import Answered, State, fold
from ..diagnosis.network import network_of
from .analysis import Analysis, bounded
from .wording import in_100

# What it takes to fold one event [cells] (measured).
EVENT = 3_000
# What a case says of the complaint itself: whether it ends there hangs on the facts.
ENDING = ("proof", "still", "trial", "closed")
HANDS: tuple[model.Hands, ...] = ("homeowner", "technician")


class Weight(Struct, frozen=True):
    """What one answer did to one cause: chance that it explains the complaint without and with the answer."""

    what: str
    without: float
    with_it: float
    text: str


def weights(kb: model.KB, events: list[Event], cause: str | None = None) -> tuple[str | None, list[Weight]]:
    """Return the cause asked about (the likeliest unless said) and the weight of each answer for it, heaviest first.

    Parameters
    ----------
    kb : KB
    events : list of Event
    cause : str, optional

    Notes
    -----
    Leaving one answer out is not the same as the order in which they were said; weights need not add up.
    """
    with bounded(kb, events, effort.TOLD):
        return _weights(kb, events, cause)


def _weights(kb: model.KB, events: list[Event], cause: str | None) -> tuple[str | None, list[Weight]]:
    network = network_of(kb)
    state = fold(kb, events)
    if not state.complaints:
        return None, []
    whole = Analysis(network, state)
    name = cause or whole.beliefs[0].cause
    now = chance_of(whole, name)
    out = []
    for i, less in left_out(kb, events):
        before = less.get(name, 0.0)
        what = said(kb, events[i])
        out.append(Weight(what, before, now, f"{what}: {way(before, now)}"))
    return name, sorted(out, key=lambda w: (-abs(w.with_it - w.without), w.what))


def left_out(kb: model.KB, events: list[Event]) -> list[tuple[int, dict[str, float]]]:
    """Return for each answered check and fact its place in the case and what would be believed without it.

    Parameters
    ----------
    kb : KB
    events : list of Event

    Returns
    -------
    list of (int, dict)
        Cause -> chance that it explains the complaint [prob].

    Notes
    -----
    What was changed later is left out already, so a case of many changes costs no more than one of the answers that stand.
    """
    network = network_of(kb)
    state = fold(kb, events)
    now: dict[str, float] | None = None
    out = []
    for said_so in _answers(kb, events):
        if said_so.later and said_so.times == 2 and said_so.other >= 0:
            out.append((said_so.place, _believed(Analysis(network, _measured_once(state, said_so)))))
        elif said_so.later:
            now = now if now is not None else _believed(Analysis(network, state))
            out.append((said_so.place, now))
        else:
            out.append((said_so.place, _believed(Analysis(network, _without(kb, state, events, said_so)))))
    return out


class _Said(Struct):
    """An answer to a check or a fact: its place in the case, who gave it between which remedies, and what stood before and after it.

    `told` counts the proofs, and what else is said of the complaint, before it; `before` is the answer that it changed, if it did,
    and `other` the latest one by other hands; `later` is true where it was changed itself, so that leaving it out changes nothing, but where it
    makes the reading that stands one of hands that measured twice. `times` counts how often these hands said it between two remedies.
    """

    place: int
    name: str
    fact: bool
    hands: model.Hands
    epoch: int
    told: int
    before: "_Said | None" = None
    other: int = -1
    later: bool = False
    times: int = 1


def _answers(kb: model.KB, events: list[Event]) -> list[_Said]:
    """Return the answers of a case in their order."""
    role: model.Role = "homeowner"
    hands: model.Hands = DEFAULT_HANDS[role]
    epoch = told = 0
    out: list[_Said] = []
    last: dict[tuple[str, str, int], _Said] = {}
    times: dict[tuple[str, str, int], int] = {}
    for i, event in enumerate(events):
        kind = leading(event)
        if kind in ("role", "hands"):
            role = event.role or role
            hands = event.hands or DEFAULT_HANDS[role]
        elif kind == "remedy":
            epoch += (event.did or "done") == "done"
        elif kind in ENDING:
            told += 1
        elif kind in ("check", "fact"):
            name = event.check or event.fact or ""
            one = _Said(i, name, kind == "fact", hands, epoch, told)
            key = (name, "fact" if one.fact else hands, 0 if one.fact else epoch)
            one.before = last.get(key)
            if one.before is not None:
                # A proof that stands between may have been judged by the first.
                one.before.later = one.before.told == told or not _watched(kb, one)
                one.before.before = None
            last[key] = one
            times[key] = times.get(key, 0) + 1
            out.append(one)
    for one in out:
        if not one.fact:
            one.times = times[one.name, one.hands, one.epoch]
            one.other = max(
                (o.place for h in HANDS if h != one.hands and (o := last.get((one.name, h, one.epoch)))), default=-1
            )
    return out


def _watched(kb: model.KB, one: _Said) -> bool:
    """Return whether a proof may put a case on trial by this answer."""
    return one.fact and any(o.watch for o in kb.facts[one.name].options.values())


def _without(kb: model.KB, state: State, events: list[Event], one: _Said) -> State:
    """Return the state without an answer that nothing changed later, as far as the belief goes."""
    if one.fact:
        if _watched(kb, one) and any(leading(e) in ENDING for e in events[one.place :]):
            effort.spend(EVENT * len(events))
            return fold(kb, events[: one.place] + events[one.place + 1 :])
        rest = tuple(f for f in state.facts if f[0] != one.name)
        known = ((one.name, events[one.before.place].is_ or ""),) if one.before else ()
        return structs.replace(state, facts=(*rest, *known))
    same = (one.name, one.hands, one.epoch)
    answers = tuple(a for a in state.answers if a.proof or (a.check, a.hands, a.epoch) != same)
    if one.before is None:
        return structs.replace(state, answers=answers)
    was = events[one.before.place]
    # Of two hands' answers to one check, the one given last counts.
    again = one.times > 2 and kb.checks[one.name].kind == "measure"
    back = Answered(one.name, was.answer or was.value or "", one.hands, one.epoch, again=again)
    answers = (*answers, back) if one.before.place > one.other else (back, *answers)
    return structs.replace(state, answers=answers)


def _measured_once(state: State, one: _Said) -> State:
    """Return the state in which these hands said only what stands: where another's reading differs, who measured twice counts."""
    same = (one.name, one.hands, one.epoch)
    answers = (structs.replace(a, again=False) if (a.check, a.hands, a.epoch) == same else a for a in state.answers)
    return structs.replace(state, answers=tuple(answers))


def _believed(analysis: Analysis) -> dict[str, float]:
    return {b.cause: b.p for b in analysis.beliefs}


def chance_of(analysis: Analysis, cause: str) -> float:
    """Return the chance that a cause explains the complaint; 0 where it is not in play [prob]."""
    return next((b.p for b in analysis.beliefs if b.cause == cause), 0.0)


def said(kb: model.KB, event: Event) -> str:
    """Return an answered check, proof or fact in words."""
    name = event.check or event.proof
    if name:
        check = kb.checks[name]
        answer = event.answer or event.value or ""
        return f"{check.title}: {check.answers[answer].says if answer in check.answers else answer}"
    fact = kb.facts[event.fact or ""]
    return f"{fact.title}: {fact.options[event.is_ or ''].says}"


def way(before: float, now: float) -> str:
    """Return which way an answer speaks, with the chances without and with it."""
    if abs(now - before) < 0.005:
        return "says nothing either way here"
    word = "speaks for it" if now > before else "speaks against it"
    return f"{word}: {in_100(before)} without it, {in_100(now)} with it"
