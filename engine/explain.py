"""Why: the weight that each answer carried, by leaving it out and looking again."""

from msgspec import Struct

from . import model
from .cards import in_100
from .case import Event, fold, leading
from .thought import Thought, net_of


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
    net = net_of(kb)
    state = fold(kb, events)
    if not state.complaints:
        return None, []
    whole = Thought(net, state)
    name = cause or whole.beliefs[0].cause
    now = _p(whole, name)
    out = []
    for i, event in enumerate(events):
        kind = leading(event)
        if kind not in ("check", "fact"):
            continue
        less = Thought(net, fold(kb, events[:i] + events[i + 1 :]))
        before = _p(less, name)
        out.append(Weight(_what(kb, event), before, now, f"{_what(kb, event)}: {_way(before, now)}"))
    return name, sorted(out, key=lambda w: (-abs(w.with_it - w.without), w.what))


def _p(thought: Thought, cause: str) -> float:
    return next((b.p for b in thought.beliefs if b.cause == cause), 0.0)


def _what(kb: model.KB, event: Event) -> str:
    if event.check:
        check = kb.checks[event.check]
        said = event.answer or event.value or ""
        return f"{check.title}: {check.answers[said].says if said in check.answers else said}"
    fact = kb.facts[event.fact or ""]
    return f"{fact.title}: {fact.options[event.is_ or ''].says}"


def _way(before: float, now: float) -> str:
    if abs(now - before) < 0.005:
        return "says nothing either way here"
    word = "speaks for it" if now > before else "speaks against it"
    return f"{word}: {in_100(before)} without it, {in_100(now)} with it"
