"""Why: the weight that each answer carried, by leaving it out and looking again."""

from msgspec import Struct

from .. import model
from ..case.events import Event
from ..case.rows import leading
from ..case.state import fold
from ..diagnosis.network import network_of
from .analysis import Analysis
from .wording import in_100


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
    """
    network = network_of(kb)
    out = []
    for i, event in enumerate(events):
        if leading(event) in ("check", "fact"):
            less = Analysis(network, fold(kb, events[:i] + events[i + 1 :]))
            out.append((i, {b.cause: b.p for b in less.beliefs}))
    return out


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
