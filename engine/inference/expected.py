"""What a network is expected to have done, given the evidence: which causes were there, which links fired, what a leak did, who caught what.

These are the expected complete counts of the EM algorithm (Dempster, Laird & Rubin 1977, from memory, unverified; for networks Lauritzen
1995, from memory, unverified), a noisy-OR being taken apart into a link for each cause and a leak (causal independence, Heckerman 1993,
from memory, unverified). They are exact: read off the same tables as the posterior.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from .. import effort
from . import cost
from .noisy_or import CausePrior, Finding, LocalEvidence, NoisyOr, active, alternatives, caught_by
from .part_tally import PartTally
from .posterior import demand_possible, final_weights, worked_out
from .potentials import Array
from .signs import Reported, UnlistedShowing

# Of a thing that may have happened: that it did, and that it could have [prob].
Counted = tuple[float, float]


@dataclass(frozen=True)
class FindingExpected:
    """What was behind one finding.

    Parameters
    ----------
    leak : tuple of float
        That it was on of itself; it always could.
    links : dict
        Cause -> that its link fired, and that it was at work then.
    """

    leak: Counted
    links: dict[int, Counted]


@dataclass
class ReportExpected:
    """How far one report went.

    Parameters
    ----------
    hit : tuple of float
        How many showings it caught, of how many that it could have caught [-].
    false_alarm : tuple of float
        That it was a false alarm, whatever else it caught; it always could be.
    """

    hit: Counted = (0.0, 0.0)
    false_alarm: Counted = (0.0, 1.0)


@dataclass
class SignsExpected:
    """What was behind some signs and their reports; each sign as a finding is."""

    signs: list[FindingExpected]
    reports: list[ReportExpected]


@dataclass(frozen=True)
class Expected:
    """What everything is expected to have done.

    Parameters
    ----------
    evidence : float
        The chance of the evidence [prob].
    present : array (causes,)
        That each cause was there, cured since or not [prob].
    exposed : array (causes,)
        How much each was absent, each time by its odds: `present` less `exposed` is the slope of the log evidence by its log rate [-].
    explains : array (causes,)
        As of a posterior [prob].
    unknown : float
        As of a posterior [prob].
    cured : dict
        Cause -> for each of its remedies that it cured, and that there was something to cure.
    findings : list
        One for each finding that went in; None of one that says nothing.
    facts : tuple of array
        The options of each unknown fact [prob].
    """

    evidence: float
    present: Array
    exposed: Array
    explains: Array
    unknown: float
    cured: dict[int, list[Counted]]
    findings: list[FindingExpected | SignsExpected | None]
    facts: tuple[Array, ...]


@dataclass
class _Read:
    """The tally of one network, with how its causes met their remedies, and how many showings of each way were read so far."""

    tally: PartTally
    local: LocalEvidence
    cures: dict[int, list[tuple[int, float]]]
    marginals: tuple[Array, ...]
    read: dict[tuple[int, int], int] = field(default_factory=dict)

    def ways(self, cause: int) -> list[tuple[float, int | None]]:
        """Return how likely a cause was there in each way, and when it was cured."""
        ends = [at for _, at in alternatives(self.cures.get(cause, []))]
        return list(zip(self.tally.ways[cause], ends, strict=True))


def expected(
    causes: list[CausePrior],
    shares: list[Array],
    findings: Sequence[Finding],
    cures: dict[int, list[tuple[int, float]]] | None = None,
) -> Expected:
    """Return what a network is expected to have done, given the evidence.

    Parameters
    ----------
    causes, shares, findings, cures
        As `posterior.infer_by_fact` takes them.

    Raises
    ------
    ImpossibleEvidenceError, IntractableError
        As `posterior.infer_by_fact`.

    Examples
    --------
    A cause of one in ten, strength .8, leak .05, and the finding seen (worked by hand: .642857 and .634921):

    >>> seen = expected([CausePrior((), np.array(0.1))], [], [NoisyOr(0.05, {0: 0.8}, 1.0, 0.0)])
    >>> seen.present.round(6), [round(x, 6) for x in seen.findings[0].links[0]]
    (array([0.642857]), [0.634921, 0.642857])
    """
    done = cures or {}
    with effort.limit():
        effort.spend(cost.entering(findings, done))
        local = LocalEvidence(len(causes), len(shares), done)
        opened = []
        for finding in findings:
            before, beside = len(local.variables), len(local.unlisted)
            local.take(finding)
            opened.append((range(before, len(local.variables)), local.unlisted[beside:]))
        tally = PartTally()
        out, evidence = worked_out(local, causes, shares, tally)
    demand_possible(evidence)
    read = _Read(tally, local, done, out.variables)
    counted: list[FindingExpected | SignsExpected | None] = []
    for finding, (own, unlisted) in zip(findings, opened, strict=True):
        variables = [len(shares) + n for n in own]
        if isinstance(finding, Reported):
            counted.append(_signs(read, finding, variables, unlisted))
        else:
            counted.append(_finding(read, finding, variables))
    present = np.array([sum(tally.ways[i]) for i in range(len(causes))])
    exposed = np.array([tally.exposed[i] for i in range(len(causes))])
    facts = out.variables[: len(shares)]
    return Expected(evidence, present, exposed, out.explains, out.unknown, _cured(tally, done), counted, facts)


def _cured(tally: PartTally, cures: dict[int, list[tuple[int, float]]]) -> dict[int, list[Counted]]:
    """Return of each remedy on a cause that it cured, and that there was something to cure."""
    out = {}
    for cause in cures:
        masses = tally.ways[cause]
        out[cause] = [(masses[n], sum(masses[n:])) for n in range(len(masses) - 1)]
    return out


def _finding(read: _Read, f: NoisyOr, variables: list[int]) -> FindingExpected | None:
    if f.on == f.off:
        return None
    at_work = {i: [(n, m) for n, (m, at) in enumerate(read.ways(i)) if active(at, f.epoch)] for i in f.links}
    mass = {i: sum(m for _, m in some) for i, some in at_work.items()}
    if f.on == 0.0:
        return FindingExpected((0.0, 1.0), {i: (0.0, m) for i, m in mass.items()})
    for variable in variables:
        clear, triggered = (float(x) for x in read.marginals[variable])
        weights = final_weights(f)
        on = (f.off, f.leak * f.off) if f.gone_at is not None else (f.on, f.leak * f.on)
        # Not triggered: on of itself, or off and reported so; triggered: the leak stands apart, but for a complaint that ended.
        behind = f.leak * on[0] / weights[0] if weights[0] else 0.0
        beside = on[1] / weights[1] if weights[1] else 0.0
        links = {
            i: (sum(read.tally.fired.get((i, n, variable), 0.0) for n, _ in some), mass[i])
            for i, some in at_work.items()
        }
        return FindingExpected((clear * behind + triggered * beside, 1.0), links)
    # One possible cause: a factor of its weight.
    quiet = f.on + (f.off - f.on) * (1 - f.leak)
    out, leak, left = {}, 0.0, 1.0
    for i, strength in f.links.items():
        weight = f.on + (f.off - f.on) * (1 - f.leak) * (1 - strength)
        out[i] = (mass[i] * strength * f.on / weight, mass[i])
        leak += mass[i] * f.leak * f.on / weight
        left -= mass[i]
    return FindingExpected((leak + left * f.leak * f.on / quiet, 1.0), out)


def _signs(read: _Read, f: Reported, variables: list[int], unlisted: list[UnlistedShowing]) -> SignsExpected:
    """Return what was behind some signs: cause by cause and way by way, then what showed of itself."""
    out = SignsExpected(
        [FindingExpected((0.0, 1.0), {}) for _ in f.signs], [ReportExpected((0.0, 0.0), (0.0, 1.0)) for _ in f.reports]
    )
    place = dict(zip(f.said, variables, strict=False))
    alone = _Alone(read, f) if f.said and not variables else None
    for i in f.causes:
        for n, (mass, cured_at) in enumerate(read.ways(i)):
            fired = {m: read.tally.fired.get((i, n, v), 0.0) for m, v in place.items()}
            if alone is not None:
                fired = {f.said[0]: alone.by_cause(mass, cured_at)}
            several = iter(read.tally.shown.get((i, n), [])[read.read.get((i, n), 0) :])
            taken = _author(f, i, cured_at, mass, fired, several, out)
            read.read[i, n] = read.read.get((i, n), 0) + taken
    if alone is not None:
        _author(f, None, None, 1.0, {f.said[0]: alone.by_leak()}, iter(()), out)
        out.reports[f.said[0]].false_alarm = (alone.by_alarm(), 1.0)
        return out
    fired = {}
    for m, v in place.items():
        leak, alarm = read.local.variables[v - read.local.facts].leak, f.reports[m].false_alarm
        clear, triggered = (float(x) for x in read.marginals[v])
        whole = leak + (1 - leak) * alarm
        share, false = (leak / whole, alarm / whole) if whole else (0.0, 0.0)
        fired[m] = clear * share + triggered * leak
        out.reports[m].false_alarm = (clear * false + triggered * alarm, 1.0)
    _author(f, None, None, 1.0, fired, (read.tally.unlisted[id(u)] for u in unlisted), out)
    return out


def _author(
    f: Reported,
    cause: int | None,
    cured_at: int | None,
    mass: float,
    fired: dict[int, float],
    several: Iterator[tuple[float, list[float]]],
    out: SignsExpected,
) -> int:
    """Enter what one cause in one way, or the leak, showed; return how many of its showings several reports may have caught.

    Parameters
    ----------
    f : Reported
    cause : int, optional
    cured_at : int, optional
    mass : float
        That it was there so [prob].
    fired : dict
        Place of a positive report -> that it was there so, and this report caught a showing of its own that no other could [prob].
    several : iterator
        Of each showing that several may have caught: that it happened, and that each caught it [prob].
    out : SignsExpected
    """
    showings = f.showings(cause, cured_at)
    missed: dict[int, float] = {}
    for _, left, caught in showings:
        if len(caught) == 1:
            missed[caught[0]] = missed.get(caught[0], 1.0) * (1 - left * f.reports[caught[0]].hit)
    shown = [k for k, s in enumerate(f.signs) if (s.leak if cause is None else s.links.get(cause, 0.0))]
    taken = 0
    for k, (_, left, caught) in zip(shown, showings, strict=True):
        about = [n for n, r in enumerate(f.reports) if k in r.of and (cured_at is None or r.epoch < cured_at)]
        happened, hits = mass * left, [0.0] * len(caught)
        if len(caught) == 1:
            hit = f.reports[caught[0]].hit
            whole = 1 - missed[caught[0]]
            # Caught, and of what was not: that it happened all the same.
            hits = [fired.get(caught[0], 0.0) * left * hit / whole if whole else 0.0]
            happened = hits[0] + (mass - hits[0]) * left * (1 - hit) / (1 - left * hit)
        elif caught:
            happened, hits = next(several)
            taken += 1
        for n in about:
            before = out.reports[n].hit
            out.reports[n].hit = (before[0], before[1] + happened)
        for n, hit in zip(caught, hits, strict=True):
            before = out.reports[n].hit
            out.reports[n].hit = (before[0] + hit, before[1])
        if cause is None:
            out.signs[k] = FindingExpected((happened, 1.0), out.signs[k].links)
        elif about:
            yes, could = out.signs[k].links.get(cause, (0.0, 0.0))
            out.signs[k].links[cause] = (yes + happened, could + mass)
    return taken


class _Alone:
    """Signs of one cause at most, of which one report is positive: no variable stands for it, so its ways are told apart here."""

    def __init__(self, read: _Read, f: Reported) -> None:
        (self.said,) = f.said
        self.alarm = f.reports[self.said].false_alarm
        self.f = f
        self.free = self._missed(None, None)
        ways = [(m, self._missed(i, at)) for i in f.causes for m, at in read.ways(i)]
        self.ways = [*ways, (1 - sum(m for m, _ in ways), 1.0)]

    def _missed(self, cause: int | None, cured_at: int | None) -> float:
        _, links, _ = caught_by(self.f, self.f.showings(cause, cured_at), {self.said: 0})
        return 1 - links.get(0, 0.0)

    def _said(self, missed: float) -> float:
        return 1 - (1 - self.alarm) * self.free * missed

    def by_cause(self, mass: float, cured_at: int | None) -> float:
        """Return that the one cause was there in a way, and the report caught what it showed [prob]."""
        missed = self._missed(self.f.causes[0], cured_at)
        return mass * (1 - missed) / self._said(missed)

    def by_leak(self) -> float:
        """Return that the report caught what showed of itself [prob]."""
        return sum(m * (1 - self.free) / self._said(missed) for m, missed in self.ways)

    def by_alarm(self) -> float:
        """Return that the report was a false alarm [prob]."""
        return sum(m * self.alarm / self._said(missed) for m, missed in self.ways)
