"""Whether numbers are worth it: learned from the earlier cases, held against what the later ones turned out to be."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import log, sqrt

import numpy as np

from ..diagnosis.evidence import gather_evidence
from ..diagnosis.network import Network
from ..effort import IntractableError
from ..inference.posterior import ImpossibleEvidenceError, infer_by_fact
from .lessons import CaseLesson

# The share of cases, in the order of time, that is learned from before the rest is looked at [-].
EARLIER = 0.7
# Under this a later part says nothing [cases].
FEWEST = 10
# No score runs off to infinity over one case [prob].
FLOOR = 1e-6
TENTHS = 10
# Of a normal distribution 90 in 100 lie within so many standard deviations [-].
NINETY = 1.645


@dataclass(frozen=True)
class Scored:
    """What was believed of one case before anything was mended, and what it turned out to be.

    Parameters
    ----------
    truth : str
        A cause, or empty for none that is listed.
    p : float
        What was believed of it [prob].
    best : str
        What was believed most; empty for none that is listed.
    stated : float
        How surely [prob].
    """

    truth: str
    p: float
    best: str
    stated: float

    @property
    def log_score(self) -> float:
        """The logarithm of what was believed of the truth [nat]."""
        return log(max(self.p, FLOOR))

    @property
    def brier(self) -> float:
        """The squared error of the finding: how surely it was stated, against whether it was right."""
        return (self.stated - (self.best == self.truth)) ** 2


@dataclass(frozen=True)
class Tenth:
    """The findings that were stated about so surely: how surely in the mean, how many, how many right, and the 90 % interval of that."""

    stated: float
    count: int
    right: int
    low: float
    high: float


@dataclass(frozen=True)
class Backtest:
    """How numbers that were learned from the earlier cases do on the later ones, beside the judgement.

    Parameters
    ----------
    earlier, later : int
        Cases [-].
    scored : int
        Later ones whose cause is known [-].
    gain, error : float
        In the log score of the true cause, and its standard error [nat].
    brier : tuple of float
        Before and after.
    before, after : list of Tenth
    """

    earlier: int
    later: int
    scored: int
    gain: float
    error: float
    brier: tuple[float, float]
    before: list[Tenth]
    after: list[Tenth]

    @property
    def better(self) -> bool:
        """Whether the later part is better by both scores."""
        return self.scored >= FEWEST and self.gain > 0 and self.brier[1] <= self.brier[0]


def scored(network: Network, lesson: CaseLesson) -> Scored | None:
    """Return what a network believes of a case before anything was mended; None where nobody knows what it was."""
    if lesson.truth is None:
        return None
    try:
        e = gather_evidence(network, lesson.begun)
        p = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
    except (IntractableError, ImpossibleEvidenceError):
        return None
    believed = {c: float(x) for c, x in zip(e.causes, p.explains, strict=True)} | {"": p.unknown}
    best = min(believed, key=lambda c: (-believed[c], c))
    return Scored(lesson.truth, believed.get(lesson.truth, 0.0), best, believed[best])


def tenths(some: Iterable[Scored]) -> list[Tenth]:
    """Return findings by how surely they were stated, in tenths; those without any are left out.

    Notes
    -----
    The interval is Wilson's (1927, from memory, unverified).

    Examples
    --------
    >>> [(round(t.stated, 2), t.right, t.count) for t in tenths([Scored("a", 0.9, "a", 0.95), Scored("b", 0.1, "a", 0.93)])]
    [(0.94, 1, 2)]
    """
    by: dict[int, list[Scored]] = {}
    for s in some:
        by.setdefault(min(int(s.stated * TENTHS), TENTHS - 1), []).append(s)
    out = []
    for _, own in sorted(by.items()):
        right = sum(s.best == s.truth for s in own)
        low, high = wilson(right, len(own))
        out.append(Tenth(sum(s.stated for s in own) / len(own), len(own), right, low, high))
    return out


def wilson(right: int, count: int) -> tuple[float, float]:
    """Return the 90 % interval of a share by Wilson's score [prob].

    Examples
    --------
    >>> [round(x, 3) for x in wilson(8, 10)]
    [0.541, 0.931]
    """
    z2 = NINETY**2
    middle = (right + z2 / 2) / (count + z2)
    half = NINETY / (count + z2) * sqrt(right * (count - right) / count + z2 / 4)
    return middle - half, middle + half


def compared(before: Network, after: Network, earlier: int, later: Iterable[CaseLesson]) -> Backtest:
    """Return how two networks do on the same cases.

    Parameters
    ----------
    before, after : Network
        As it is judged, and as it was learned from the earlier cases.
    earlier : int
        How many those were [-].
    later : iterable of CaseLesson
        Read once, so that there may be any number.
    """
    pairs, count = list[tuple[Scored, Scored]](), 0
    for lesson in later:
        count += 1
        a, b = scored(before, lesson), scored(after, lesson)
        if a is not None and b is not None:
            pairs.append((a, b))
    gains = np.array([b.log_score - a.log_score for a, b in pairs])
    n = len(pairs)
    return Backtest(
        earlier,
        count,
        n,
        float(gains.mean()) if n else 0.0,
        float(gains.std(ddof=1) / sqrt(n)) if n > 1 else 0.0,
        (_mean(a.brier for a, _ in pairs), _mean(b.brier for _, b in pairs)),
        tenths(a for a, _ in pairs),
        tenths(b for _, b in pairs),
    )


def _mean(values: Iterable[float]) -> float:
    some = [*values]
    return sum(some) / len(some) if some else 0.0
