"""How sure what was learned is: what the cases say of the numbers together, and how often causes will be at work in the cases to come.

Cases with hidden causes say less of a number than as many complete ones, and say it of several at once: a rate may be low and another
high, or the other way round. So their information is taken as a matrix, the sum of the squares of what each case says by itself (its score),
with what the judgement is worth added; numbers are drawn from the normal distribution that has it, and each draw foretells.

References
----------
Berndt, E., Hall, B., Hall, R. & Hausman, J. (1974). Estimation and inference in nonlinear structural models (from memory, unverified):
the information from outer products of scores.
Tierney, L. & Kadane, J. B. (1986). Accurate approximations for posterior moments (from memory, unverified): the normal approximation.
"""

from collections import Counter as Same
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from .. import model
from ..case.events import Event
from ..case.state import State, step
from ..diagnosis.evidence import gather_evidence
from ..diagnosis.network import Network, network_of
from ..inference.posterior import infer_by_fact
from ..inference.potentials import Array
from .counts import Counter, Counts, Parameters
from .em import Learned
from .lessons import CaseLesson
from .maximization import Prior, rates, shares
from .numbers import LEAST, Numbers, with_numbers
from .passing import Mapping, SpoolPart, decoded, summed

# So many numbers are taken together, those on which most cases bear; of the others the judgement is all that is known [-].
TOGETHER = 1500
# From so many draws an interval is read, and the quantiles that bound 90 in 100 [-].
DRAWS, LOW, HIGH = 64, 0.05, 0.95
SEED = 1
# From so many chunks of cases on, a sample of them tells how sure the numbers are [-].
MOST_PIECES = 40
# Shares sum to 1, so that what moves all of them alike says nothing; this keeps the matrix whole [-].
ROUGH = 1.0
# No chance is 0 [prob].
SMALLEST = 1e-12
# A number on which less than this bears has nothing to tell of another [cases].
BEARS = 0.01

# Where numbers stand among the parameters.
Places = NDArray[np.intp]


class Foretold(Struct, frozen=True, kw_only=True):
    """How many cases of those to come a thing is expected in: the mean, and the interval that holds the number 90 times in 100.

    Parameters
    ----------
    complaint : str
        What is complained of in them.
    key : list of str
        ("cause", its id), its id being empty for none that is listed, or ("fact", the fact, its option).
    of : int
        Cases to come [-].
    mean : float
        [cases]
    low, high : int
        [cases]
    """

    complaint: str
    key: list[str]
    of: int
    mean: float
    low: int
    high: int


@dataclass
class Weighed:
    """How many cases were weighed, and what they say of the chosen numbers together; it is summed in any order."""

    cases: int
    matrix: Array

    def __add__(self, other: "Weighed") -> "Weighed":
        return Weighed(self.cases + other.cases, self.matrix + other.matrix)


def slopes(parameters: Parameters, vector: Array, counts: Counts) -> Array:
    """Return how counts bend the chance of their cases: by the logarithm of rates and shares, by the log-odds of any other number.

    Parameters
    ----------
    parameters : Parameters
    vector : array
        The numbers that they were counted under [prob].
    counts : Counts
        With what the cases owe.
    """
    out: Array = counts.yes - vector * counts.of
    rate = np.array([k[0] in ("rate", "unlisted") for k in parameters.keys])
    out[rate] = (counts.yes - counts.of)[rate]
    for at in parameters.facts:
        apart = counts.yes[at] - counts.of[at]
        out[at] = apart - vector[at] * apart.sum()
    return out


def together(learned: Learned) -> Places:
    """Return the places of the numbers that cases bear on, most first, no more than are taken together."""
    counts = learned.counts
    bears = np.maximum(np.abs(counts.yes), np.abs(counts.of))
    order = np.argsort(-bears, kind="stable")[:TOGETHER]
    out: Places = np.sort(order[bears[order] > BEARS])
    return out


def information(
    network: Network, parameters: Parameters, vector: Array, chosen: Places, lessons: Iterable[CaseLesson]
) -> Array:
    """Return what some cases say of chosen numbers together; it is summed over cases in any order.

    Parameters
    ----------
    network : Network
        Of the numbers that were learned.
    parameters : Parameters
    vector : array
        The same numbers [prob].
    chosen : array of int
        Places of numbers.
    lessons : iterable of CaseLesson

    Returns
    -------
    array (chosen, chosen)
    """
    out = np.zeros((len(chosen), len(chosen)))
    owed: dict[str, Array] = {}
    for lesson, times in Same(lessons).items():
        counter = Counter(network, parameters)
        counter.take(lesson)
        if not counter.counts.cases:
            continue
        complaints = "+".join(sorted(lesson.state.complaints))
        if complaints not in owed:
            debtor = Counter(network, parameters)
            debtor.owes(complaints, 1.0)
            owed[complaints] = slopes(parameters, vector, debtor.counts)
        score = (slopes(parameters, vector, counter.counts) + owed[complaints])[chosen]
        some = np.flatnonzero(score)
        out[some[:, None], some] += times * np.outer(score[some], score[some])
    return out


class Weighing:
    """The work of telling what chunks of cases say of chosen numbers together.

    Parameters
    ----------
    kb : KB
        As it is judged.
    learned : dict
        The numbers.
    chosen : list of int
        Places of some of them.
    """

    def __init__(self, kb: model.KB, learned: Numbers, chosen: list[int]) -> None:
        self.kb = kb
        self.learned = learned
        self.chosen = chosen
        self._ready: tuple[Network, Parameters, Array] | None = None

    def __getstate__(self) -> tuple[model.KB, Numbers, list[int]]:
        return self.kb, self.learned, self.chosen

    def __setstate__(self, state: tuple[model.KB, Numbers, list[int]]) -> None:
        self.__init__(*state)  # type: ignore[misc]

    def none(self) -> Weighed:
        """Return what no case says."""
        return Weighed(0, np.zeros((len(self.chosen), len(self.chosen))))

    def count(self, chunk: bytes) -> Weighed:
        """Return what the cases of one chunk say."""
        if self._ready is None:
            parameters = Parameters(network_of(self.kb))
            network = Network(with_numbers(self.kb, self.learned))
            self._ready = network, parameters, parameters.vector(self.learned)
        some = decoded(chunk)
        return Weighed(len(some), information(*self._ready, np.array(self.chosen, dtype=np.intp), some))


def weighed(kb: model.KB, learned: Learned, part: SpoolPart, mapping: Mapping[Weighed]) -> tuple[Places, Array]:
    """Return which numbers cases bear on, and what they say of these together; of very many cases a sample is read.

    Parameters
    ----------
    kb : KB
        As it is judged.
    learned : Learned
    part : SpoolPart
    mapping : callable
        Who counts.
    """
    chosen = together(learned)
    every = max(1, part.pieces // MOST_PIECES)
    found = summed(Weighing(kb, learned.numbers, [*map(int, chosen)]), part, mapping, every=every)
    return chosen, found.matrix * (part.cases / max(found.cases, 1))


def judgement_information(parameters: Parameters, prior: Prior, vector: Array) -> Array:
    """Return what the judgement says of all numbers: how its logarithm bends, by the logarithm of rates and shares, by other numbers' log-odds.

    Parameters
    ----------
    parameters : Parameters
    prior : Prior
    vector : array
        Where it is taken [prob].
    """
    bend = (prior.yes + prior.no) * vector * (1 - vector)
    rate = rates(prior)
    bend[rate] = (prior.worth * vector / prior.judged)[rate]
    out = np.diag(bend)
    for at, alpha in shares(parameters, prior):
        p = vector[at]
        out[at[:, None], at] = alpha.sum() * (np.diag(p) - np.outer(p, p)) + ROUGH * np.eye(len(at))
    return out


def drawn(
    parameters: Parameters, prior: Prior, vector: Array, chosen: Places, info: Array, count: int
) -> Iterator[Array]:
    """Yield numbers as likely as the cases and the judgement leave them, in pairs on both sides of what was learned.

    Parameters
    ----------
    parameters : Parameters
    prior : Prior
    vector : array
        What was learned [prob].
    chosen : array of int
        The numbers that cases bear on.
    info : array (chosen, chosen)
        What the cases say of them.
    count : int
        How many draws [-].
    """
    whole = judgement_information(parameters, prior, vector)
    alone = 1 / np.sqrt(np.diag(whole))
    root = np.linalg.cholesky(whole[np.ix_(chosen, chosen)] + info)
    rng = np.random.default_rng(SEED)
    logs = rates(prior) | np.array([k[0] == "share" for k in parameters.keys])
    place = np.where(logs, np.log(vector), np.log(vector) - np.log1p(-vector))
    for _ in range(count // 2):
        by = rng.standard_normal(len(vector)) * alone
        by[chosen] = np.linalg.solve(root.T, rng.standard_normal(len(chosen)))
        for side in (by, -by):
            moved = place + side
            out = np.where(logs, np.exp(np.minimum(moved, 0.0)), 1 / (1 + np.exp(-moved)))
            for at in parameters.facts:
                out[at] /= out[at].sum()
            yield np.clip(out, LEAST, 1 - LEAST)


def foretold(kb: model.KB, draws: Iterable[Numbers], complaints: Iterable[str], of: int) -> list[Foretold]:
    """Return how often causes and circumstances are expected in cases to come of some complaints, what is expected most first.

    Parameters
    ----------
    kb : KB
    draws : iterable of dict
        Numbers that are equally likely.
    complaints : iterable of str
        Each is told of by itself.
    of : int
        How many cases of it are to come [-].

    Notes
    -----
    The interval has the scatter of the cases to come, and how unsure the numbers are.
    """
    chances: dict[tuple[str, ...], list[float]] = {}
    for numbers in draws:
        network = Network(with_numbers(kb, numbers))
        for complaint in complaints:
            for key, p in _alone(network, complaint).items():
                chances.setdefault((complaint, *key), []).append(p)
    out = []
    for (complaint, *about), own in chances.items():
        low, high = _ninety(np.clip(np.array(own), SMALLEST, 1 - SMALLEST), of)
        mean = of * float(np.mean(own))
        out.append(Foretold(complaint=complaint, key=about, of=of, mean=mean, low=low, high=high))
    return sorted(out, key=lambda f: (f.complaint, f.key[0], -round(f.mean, 9), f.key))


def _alone(network: Network, complaint: str) -> dict[tuple[str, ...], float]:
    """Return what is believed where nothing but a complaint is known: of each cause that it brought it about, and of each circumstance."""
    e = gather_evidence(network, step(network.kb, State(), Event(complaints=[complaint])))
    p = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
    out: dict[tuple[str, ...], float] = {("cause", c): float(x) for c, x in zip(e.causes, p.explains, strict=True)}
    out["cause", ""] = p.unknown
    for fact, options, own in zip(e.facts.names, e.facts.options, p.facts, strict=True):
        out |= {("fact", fact, o): float(x) for o, x in zip(options, own, strict=True)}
    return out


def _ninety(chances: Array, of: int) -> tuple[int, int]:
    """Return the numbers of cases that hold 90 in 100, where each of some chances is equally likely.

    Examples
    --------
    The binomial distribution of 10 fair draws (D: 1 + 10 + 45 of 1024 are 2 or fewer, 1 + 10 are 1 or fewer):

    >>> _ninety(np.array([0.5]), 10)
    (2, 8)
    """
    n = np.arange(of + 1)
    logs = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, of + 1)))])
    ways = logs[of] - logs - logs[::-1]
    each = ways + np.outer(np.log(chances), n) + np.outer(np.log1p(-chances), of - n)
    whole = np.cumsum(np.exp(each).mean(axis=0))
    low, high = np.searchsorted(whole, (LOW, HIGH))
    return int(low), int(min(high, of))
