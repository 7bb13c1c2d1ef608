"""A month of closed cases told on one page: causes, rules broken, installations that came back, chances and minutes held, parts, visits saved."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from math import sqrt

from .. import model
from ..advice import Frozen
from ..case.events import Event
from ..case.installed import surveyed
from ..case.state import State, fold
from ..diagnosis.evidence import gather_evidence
from ..diagnosis.network import network_of
from ..effort import IntractableError
from ..inference.posterior import ImpossibleEvidenceError, infer_by_fact
from .on_site import OnSite, TimedCase, against_bring

# Closed without a technician's hands, a case saved a visit; so ends count. What was only reported is counted apart.
SAVED = "solved"
REPORTED = "reported-solved"
ON_TRIAL = "on-trial"  # somebody may have to come again
NINETY = 1.645


class MonthCase(Frozen, frozen=True, kw_only=True):
    """A kept case of the month: its id, what the shop finds it by, its events, and when each was kept (UTC; empty where not known)."""

    id: str = ""
    reference: str
    events: list[Event]
    times: tuple[str, ...] = ()


class Counted(Frozen, frozen=True, kw_only=True):
    """One thing, and in how many cases of the month."""

    id: str
    title: str
    cases: int


class Held(Frozen, frozen=True, kw_only=True):
    """Findings that were stated about so surely: how surely in the mean, how many, how many were right, the 90 % interval of that share."""

    stated: float
    cases: int
    right: int
    low: float
    high: float


class Month(Frozen, frozen=True, kw_only=True):
    """What a month was.

    `ends` counts how cases ended, `causes` those whose proof was seen, `rules` the rules that these break, `came_back` the references of
    surveyed installations of which somebody complained later, with what was wrong there, `saved` the cases solved with no technician, `reported`
    those that were only reported solved, with none, `visits` those with one, `parts` what the mends that were done take, `held` how often
    findings were right, and `on_site` what visits took against what `bring` said of them; None where no case can tell.
    """

    of: str
    cases: int
    ends: dict[str, int]
    causes: list[Counted]
    rules: list[Counted]
    came_back: dict[str, list[str]]
    saved: int
    reported: int
    visits: int
    parts: list[Counted]
    held: list[Held]
    on_site: OnSite | None = None


def month(
    kb: model.KB,
    of: str,
    cases: Iterable[MonthCase],
    surveys: Iterable[str] = (),
    told: Callable[[int, int], None] | None = None,
) -> Month:
    """Return what a month was.

    Parameters
    ----------
    kb : KB
    of : str
        The month, as 2026-11.
    cases : iterable of MonthCase
        The cases of the month.
    surveys : iterable of str
        References of all installations that were surveyed, in whatever month.
    told : callable, optional
        Is told how many cases are held against what `bring` said, of how many [-]: that takes seconds a case.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> month(load_kb(), "2026-11", []).cases
    0
    """
    installed = {s for s in surveys if s}
    ends: Counter[str] = Counter()
    causes: Counter[str] = Counter()
    rules: Counter[str] = Counter()
    parts: Counter[str] = Counter()
    back: dict[str, list[str]] = {}
    stated: list[tuple[float, bool]] = []
    timed: list[TimedCase] = []
    saved = reported = visits = count = 0
    for case in cases:
        if surveyed(case.events) is not None:
            continue
        state = fold(kb, case.events)
        if not state.complaints:
            continue
        count += 1
        ends[state.closed or "open"] += 1
        came = any(e.role == "technician" for e in case.events)
        visits += came
        saved += state.closed == SAVED and not came
        reported += state.closed == REPORTED and not came
        if state.closed not in (None, ON_TRIAL):
            timed.append((case.id, case.events, case.times))
        proved = [t.cause for t in state.remedies if t.did == "done" and t.passed]
        causes.update(dict.fromkeys(proved, 1))
        broken = dict.fromkeys(r.rule for c in proved if (r := kb.causes[c].breaks))
        rules.update(dict.fromkeys(broken, 1))
        done = [t.cause for t in state.remedies if t.did == "done"]
        parts.update(p for c in done for p in kb.causes[c].remedy.parts)
        if case.reference in installed:
            back.setdefault(case.reference, []).extend(kb.causes[c].title for c in proved)
        if len(proved) == 1 and state.closed == SAVED and (found := _finding(kb, case.events)):
            stated.append((found[1], found[0] == proved[0]))
    return Month(
        of=of,
        cases=count,
        ends=dict(sorted(ends.items())),
        causes=_titled(causes, {c: kb.causes[c].title for c in causes}),
        rules=_titled(rules, {r: kb.rules[r].title for r in rules}),
        came_back={r: sorted(set(back[r])) for r in sorted(back)},
        saved=saved,
        reported=reported,
        visits=visits,
        parts=_titled(parts, {p: kb.parts[p].title for p in parts}),
        held=_held(stated),
        on_site=against_bring(kb, timed, told),
    )


def _titled(counts: Counter[str], titles: dict[str, str]) -> list[Counted]:
    return [Counted(id=i, title=titles[i], cases=n) for i, n in sorted(counts.items(), key=lambda p: (-p[1], p[0]))]


def _finding(kb: model.KB, events: Sequence[Event]) -> tuple[str, float] | None:
    """Return what was believed most before anything was mended, and how surely."""
    first = next((n for n, e in enumerate(events) if e.remedy), len(events))
    state: State = fold(kb, [*events[:first]])
    if not state.complaints:
        return None
    try:
        e = gather_evidence(network_of(kb), state)
        p = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
    except (IntractableError, ImpossibleEvidenceError):
        return None
    believed = {c: float(x) for c, x in zip(e.causes, p.explains, strict=True)}
    best = min(believed, key=lambda c: (-believed[c], c), default=None)
    return (best, believed[best]) if best else None


def _held(stated: list[tuple[float, bool]]) -> list[Held]:
    """Return findings by thirds of how surely they were stated: a month has too few for tenths. Intervals are Wilson's (1927, from memory, unverified)."""
    by: dict[int, list[tuple[float, bool]]] = {}
    for p, right in stated:
        by.setdefault(min(int(3 * p), 2), []).append((p, right))
    out = []
    for _, own in sorted(by.items()):
        n, hits, z2 = len(own), sum(r for _, r in own), NINETY**2
        middle, half = (hits + z2 / 2) / (n + z2), NINETY / (n + z2) * sqrt(hits * (n - hits) / n + z2 / 4)
        out.append(Held(stated=sum(p for p, _ in own) / n, cases=n, right=hits, low=middle - half, high=middle + half))
    return out
