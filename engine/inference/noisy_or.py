"""Noisy-OR evidence: what factors by cause is folded into that cause's weight; findings that several causes share stay variables.

A finding that nobody saw, and one with a single possible cause, is a factor of each cause's weight. A remedy splits its cause:
present and cured by it, or still at work; a cured cause explains only what was seen before.
"""

from dataclasses import dataclass, field

from .cause_factors import CauseFactor, CauseGroup
from .potentials import Array, Links, Showing
from .signs import Reported, UnlistedShowing


@dataclass(frozen=True)
class NoisyOr:
    """Evidence on one noisy-OR finding.

    Parameters
    ----------
    leak : float
        Chance that it is on with no listed cause [prob].
    links : dict of int to float
        Cause index -> strength [prob].
    on, off : float
        Likelihood of what was reported if the finding is on, and if it is off [-]. Seen: 1, 0. Not seen: 0, 1.
    epoch : int
        How many remedies had been done when it was reported.
    complaint : bool
        The person complains of it; causes are said to *explain* complaints only.
    gone_at : int, optional
        A complaint that was there and ended with this many remedies done; `off` is then the chance that what this kb
        does not list ended by itself.
    barred : frozenset of int
        Causes that, still at work, do not fire it in the worlds that are counted: see `any_of`.
    """

    leak: float
    links: dict[int, float]
    on: float
    off: float
    epoch: int = 0
    complaint: bool = False
    gone_at: int | None = None
    barred: frozenset[int] = frozenset()


# What is told to the posterior, one by one.
Finding = NoisyOr | Reported
# What is taken into tables.
Part = CauseFactor | CauseGroup | UnlistedShowing


@dataclass(frozen=True)
class CausePrior:
    """A cause's chance by its parent facts.

    Parameters
    ----------
    facts : tuple of int
        Which facts, ascending.
    chance : array
        One axis for each of them [prob].
    """

    facts: tuple[int, ...]
    chance: Array


def alternatives(cures: list[tuple[int, float]]) -> list[tuple[float, int | None]]:
    """Return the ways in which a present cause can have met its remedies: (share, cured at remedy or None).

    Parameters
    ----------
    cures : list of (int, float)
        Ordinal of each remedy done on this cause, and its chance to cure [prob].

    Examples
    --------
    >>> alternatives([(1, 0.9)])
    [(0.9, 1), (0.09999999999999998, None)]
    """
    out: list[tuple[float, int | None]] = []
    left = 1.0
    for ordinal, cure in cures:
        out.append((left * cure, ordinal))
        left *= 1 - cure
    return [*out, (left, None)]


def active(cured_at: int | None, epoch: int) -> bool:
    """Return whether a cause cured at some remedy was still at work with `epoch` remedies done."""
    return cured_at is None or epoch < cured_at


@dataclass
class _Way:
    """One way for a cause to be present: its share, when it was cured, what else weighs it, and the findings it may trigger."""

    share: float
    cured_at: int | None
    factor: float = 1.0
    links: Links = field(default_factory=list)
    showings: list[Showing] = field(default_factory=list)

    def take(self, quiet: float, links: dict[int, float], showings: list[Showing]) -> None:
        """Take in what signs weigh it, and what it may have shown."""
        self.factor *= quiet
        self.links += links.items()
        self.showings += showings


class LocalEvidence:
    """Evidence by cause: what factors is multiplied into the causes' weights, the other findings are kept as variables.

    Parameters
    ----------
    count : int
        How many causes there are [-].
    facts : int
        How many unknown facts; their numbers come before those of the findings [-].
    cures : dict
        Cause index -> remedies done on it, as (ordinal, chance to cure [prob]).

    Examples
    --------
    Not seen, by a finding that half of the time shows: its cause weighs half as much.

    >>> fold = LocalEvidence(1, 0, {})
    >>> fold.take(NoisyOr(0.1, {0: 0.5}, 0.0, 1.0))
    >>> fold.constant, fold.factor, fold.variables
    (0.9, [0.5], [])
    """

    def __init__(self, count: int, facts: int, cures: dict[int, list[tuple[int, float]]]) -> None:
        self.facts = facts
        self.constant = 1.0
        self.variables: list[NoisyOr] = []
        self.ways = [
            [_Way(share, at) for share, at in alternatives(cures[i])] if i in cures else [] for i in range(count)
        ]
        # Nearly every cause was never treated: one way, told by three lists.
        self.factor = [1.0] * count
        self.links: list[Links] = [[] for _ in range(count)]
        self.showings: dict[int, list[Showing]] = {}
        self.unlisted: list[UnlistedShowing] = []

    def take(self, f: Finding) -> None:
        """Take in one finding, or signs with their reports."""
        if isinstance(f, Reported):
            self._take_reported(f)
            return
        off = 1 - f.leak
        if f.on == f.off:
            self.constant *= f.on
        elif f.on == 0.0:
            self.constant *= f.off * off
            for i, strength in f.links.items():
                self._weigh(i, 1 - strength, f.epoch)
        elif len(f.links) <= 1 and not f.complaint and (f.off or f.leak):
            absent = f.on + (f.off - f.on) * off
            self.constant *= absent
            for i, strength in f.links.items():
                self._weigh(i, (f.on + (f.off - f.on) * off * (1 - strength)) / absent, f.epoch)
        else:
            self._keep(f)

    def _weigh(self, cause: int, factor: float, epoch: int) -> None:
        self.factor[cause] *= factor
        for way in self.ways[cause]:
            if active(way.cured_at, epoch):
                way.factor *= factor

    def _keep(self, f: NoisyOr) -> None:
        """Keep a finding as a variable; a link that may not fire must have stayed silent, which is a factor."""
        variable = self.facts + len(self.variables)
        self.variables.append(f)
        for i, strength in f.links.items():
            if f.gone_at is not None or i in f.barred:
                self.factor[i] *= 1 - strength
            else:
                self.links[i].append((variable, strength))
            for way in self.ways[i]:
                if active(way.cured_at, f.epoch):
                    if _may_fire(f, i, way.cured_at):
                        way.links.append((variable, strength))
                    else:
                        way.factor *= 1 - strength

    def _take_reported(self, f: Reported) -> None:
        """Take in signs: denials are factors of each cause, and each positive report is a variable."""
        own = f.showings(None)
        for r in f.reports:
            self.constant *= 1.0 if r.said else 1 - r.false_alarm
        for quiet, _, _ in own:
            self.constant *= quiet
        if len(f.said) == 1 and len(f.causes) <= 1:
            self._fold_reported(f)
            return
        first = self.facts + len(self.variables)
        place = {n: first + k for k, n in enumerate(f.said)}
        _, leaks, showings = caught_by(f, own, place)
        self.unlisted += [UnlistedShowing(tuple(v for v, _ in s.catches), s) for s in showings]
        self.variables += [NoisyOr(leaks.get(place[n], 0.0), {}, 1.0, f.reports[n].false_alarm) for n in f.said]
        for i in f.causes:
            quiet, links, more = caught_by(f, f.showings(i), place)
            self.factor[i] *= quiet
            self.links[i] += links.items()
            if more:
                self.showings.setdefault(i, []).extend(more)
            for way in self.ways[i]:
                way.take(*caught_by(f, f.showings(i, way.cured_at), place))

    def _fold_reported(self, f: Reported) -> None:
        """Take in signs of one cause at most, of which one report is positive: that is a factor of this cause."""
        (said,) = f.said
        false_alarm = f.reports[said].false_alarm
        place = {said: 0}

        def missed(cause: int | None, cured_at: int | None = None) -> tuple[float, float]:
            quiet, links, _ = caught_by(f, f.showings(cause, cured_at), place)
            return quiet, 1 - links.get(0, 0.0)

        _, free = missed(None)
        absent = 1 - (1 - false_alarm) * free
        self.constant *= absent
        for i in f.causes:
            quiet, silent = missed(i)
            self.factor[i] *= quiet * (1 - (1 - false_alarm) * free * silent) / absent
            for way in self.ways[i]:
                quiet, silent = missed(i, way.cured_at)
                way.factor *= quiet * (1 - (1 - false_alarm) * free * silent) / absent

    def parts(self, causes: list[CausePrior]) -> list[Part]:
        """Return the causes as they are taken into tables: grouped where they touch the same, and at most one finding."""
        alike: dict[tuple[tuple[int, ...], int | None], list[int]] = {}
        for i, t in enumerate(causes):
            if not self.ways[i] and len(self.links[i]) <= 1 and i not in self.showings:
                alike.setdefault((t.facts, self.links[i][0][0] if self.links[i] else None), []).append(i)
        out: list[Part] = [*self.unlisted]
        grouped: set[int] = set()
        for (facts, variable), some in alike.items():
            if len(some) > 1 or not facts:
                group = CauseGroup(facts, variable)
                for i in some:
                    group.add(i, causes[i].chance, self.factor[i], self.links[i][0][1] if self.links[i] else 0.0)
                out.append(group)
                grouped.update(some)
        for i, t in enumerate(causes):
            if i not in grouped:
                ways = [(w.share * w.factor, w.links) for w in self.ways[i]] or [(self.factor[i], self.links[i])]
                shown = [w.showings for w in self.ways[i]] or [self.showings.get(i, [])]
                out.append(
                    CauseFactor(
                        i,
                        t.facts,
                        1 - t.chance,
                        [(t.chance * weight, links) for weight, links in ways],
                        shown if any(shown) else [],
                    )
                )
        return out


def caught_by(
    f: Reported, showings: list[tuple[float, float, list[int]]], place: dict[int, int]
) -> tuple[float, dict[int, float], list[Showing]]:
    """Return what showings weigh by the denials, the links to reports that alone may have caught one, and those caught by several."""
    weight = 1.0
    silent: dict[int, float] = {}
    several = []
    for quiet, left, caught in showings:
        weight *= quiet
        if len(caught) == 1:
            v = place[caught[0]]
            silent[v] = silent.get(v, 1.0) * (1 - left * f.reports[caught[0]].hit)
        elif caught:
            several.append(Showing(left, [(place[n], f.reports[n].hit) for n in caught]))
    return weight, {v: 1 - s for v, s in silent.items()}, several


def _may_fire(f: NoisyOr, cause: int, cured_at: int | None) -> bool:
    """Return whether a firing of a finding by a cause counts; where it does not, the cause must have been silent."""
    if f.gone_at is not None:
        return not active(cured_at, f.gone_at)
    return cured_at is not None or cause not in f.barred
