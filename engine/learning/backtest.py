"""Whether numbers are worth it: learned from the earlier cases, held against what the later ones turned out to be."""

from collections import Counter as Same
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import log, sqrt

import numpy as np

from .. import model
from ..diagnosis.evidence import gather_evidence
from ..diagnosis.network import Network, network_of
from ..effort import IntractableError
from ..inference.posterior import ImpossibleEvidenceError, infer_by_fact
from ..inference.potentials import Array
from .lessons import CaseLesson
from .numbers import Numbers, with_numbers
from .passing import decoded

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


@dataclass
class Comparison:
    """How two sets of numbers did on some cases; it is summed over cases in any order.

    Parameters
    ----------
    later, scored : int
        Cases, and those whose cause is known [-].
    gains : array (2,)
        The gain in log score and its square, summed [nat].
    brier : array (2,)
        Summed, before and after.
    before, after : array (tenths, 3)
        By how surely a finding was stated: how surely, how many, how many right, summed.
    """

    later: int = 0
    scored: int = 0
    gains: Array = field(default_factory=lambda: np.zeros(2))
    brier: Array = field(default_factory=lambda: np.zeros(2))
    before: Array = field(default_factory=lambda: np.zeros((TENTHS, 3)))
    after: Array = field(default_factory=lambda: np.zeros((TENTHS, 3)))

    def __add__(self, other: "Comparison") -> "Comparison":
        return Comparison(
            self.later + other.later,
            self.scored + other.scored,
            self.gains + other.gains,
            self.brier + other.brier,
            self.before + other.before,
            self.after + other.after,
        )


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

    @classmethod
    def of(cls, earlier: int, found: Comparison) -> "Backtest":
        """Return what a comparison comes to, where so many cases were learned from."""
        n = found.scored
        mean = found.gains / n if n else np.zeros(2)
        variance = max(float(mean[1] - mean[0] ** 2), 0.0) * n / (n - 1) if n > 1 else 0.0
        brier = found.brier / max(n, 1)
        return cls(
            earlier,
            found.later,
            n,
            float(mean[0]),
            sqrt(variance / n) if n else 0.0,
            (float(brier[0]), float(brier[1])),
            tenths(found.before),
            tenths(found.after),
        )

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


def tenths(table: Array) -> list[Tenth]:
    """Return findings by how surely they were stated, in tenths; those without any are left out.

    Parameters
    ----------
    table : array (tenths, 3)
        How surely, how many, how many right, summed.

    Notes
    -----
    The interval is Wilson's (1927, from memory, unverified).

    Examples
    --------
    >>> [(round(t.stated, 2), t.right, t.count) for t in tenths(np.array([[0.0, 0, 0], [1.88, 2, 1]]))]
    [(0.94, 1, 2)]
    """
    out = []
    for stated, many, hits in table:
        count, right = round(many), round(hits)
        if count:
            out.append(Tenth(float(stated) / count, count, right, *wilson(right, count)))
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


class Comparing:
    """The work of holding two sets of numbers against the later cases.

    Parameters
    ----------
    kb : KB
        As it is judged.
    numbers : dict
        As they were learned from the earlier cases.
    """

    def __init__(self, kb: model.KB, numbers: Numbers) -> None:
        self.kb = kb
        self.numbers = numbers
        self._ready: tuple[Network, Network] | None = None

    def __getstate__(self) -> tuple[model.KB, Numbers]:
        return self.kb, self.numbers

    def __setstate__(self, state: tuple[model.KB, Numbers]) -> None:
        self.__init__(*state)  # type: ignore[misc]

    def none(self) -> Comparison:
        """Return what no case says."""
        return Comparison()

    def count(self, chunk: bytes) -> Comparison:
        """Return what the cases of one chunk say."""
        if self._ready is None:
            self._ready = network_of(self.kb), Network(with_numbers(self.kb, self.numbers))
        return compared(*self._ready, decoded(chunk))


def compared(before: Network, after: Network, later: Iterable[CaseLesson]) -> Comparison:
    """Return how two networks do on the same cases.

    Parameters
    ----------
    before, after : Network
        As it is judged, and as it was learned from the earlier cases.
    later : iterable of CaseLesson
    """
    out = Comparison()
    for lesson, times in Same(later).items():
        out.later += times
        a, b = scored(before, lesson), scored(after, lesson)
        if a is None or b is None:
            continue
        gain = b.log_score - a.log_score
        out.scored += times
        out.gains += times * np.array([gain, gain**2])
        out.brier += times * np.array([a.brier, b.brier])
        for table, one in ((out.before, a), (out.after, b)):
            table[min(int(one.stated * TENTHS), TENTHS - 1)] += times * np.array(
                [one.stated, 1.0, one.best == one.truth]
            )
    return out
