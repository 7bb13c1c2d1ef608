"""How well faults can be seen and told apart by a set of tests: detection, isolation, ambiguity groups.

Definitions after MIL-STD-2165 and IEEE 1522, from memory, unverified: fraction of faults detected, fraction isolated to
groups of at most L, both weighted by rate. The noisy version replaces equal signatures by expected log-likelihood ratios.
"""

import math
from collections.abc import Hashable, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from ..inference.potentials import Array

# Posterior odds of twenty to one are expected: the same as being nineteen parts in twenty sure (judgement).
APART = math.log(20)
LEVELS = (1, 2, 3)


class Diagnosability(Struct, frozen=True, kw_only=True):
    """What a set of tests can do.

    Parameters
    ----------
    detected : float
        Fraction of faults detected, by rate [-].
    isolated : list of float
        Fraction of the detected ones isolated to 1, 2 and 3, by rate [-].
    mean_size : float
        Mean size of the ambiguity group of a detected fault, by rate [-].
    groups : list of list of str
        Ambiguity groups of two and more, the most frequent first.
    unseen : list of str
        Faults that no test detects, the most frequent first.
    """

    detected: float
    isolated: list[float]
    mean_size: float
    groups: list[list[str]]
    unseen: list[str]


def measure(
    names: Sequence[str],
    rates: Sequence[float],
    seen: NDArray[np.bool_],
    apart: NDArray[np.bool_],
    remedies: Sequence[Hashable] | None = None,
) -> Diagnosability:
    """Return detection and isolation from who is seen and who is told apart.

    Parameters
    ----------
    names : sequence of str
        Faults.
    rates : sequence of float
        How frequent each is, in any one unit [-].
    seen : array (faults,) of bool
        Whether some test detects it.
    apart : array (faults, faults) of bool
        Whether two are told apart; symmetric.
    remedies : sequence, optional
        What mends each fault; faults with the same remedy count as one in a group's size.

    Examples
    --------
    Two faults that look alike, each as frequent as the third:

    >>> apart = np.array([[False, False, True], [False, False, True], [True, True, False]])
    >>> found = measure("abc", [1, 1, 1], np.ones(3, bool), apart)
    >>> found.isolated[0] * 3, found.groups
    (1.0, [['a', 'b']])
    """
    rate = np.asarray(rates, dtype=float)
    remedy = list(remedies) if remedies is not None else list(range(len(names)))
    sets = [
        tuple(j for j in range(len(names)) if j == i or (seen[j] and not apart[i, j])) if seen[i] else ()
        for i in range(len(names))
    ]
    size = np.array([len({remedy[j] for j in own}) for own in sets])
    total, found = float(rate.sum()), float(rate[seen].sum())
    weight = {own: float(rate[list(own)].sum()) for own in sets if len({remedy[j] for j in own}) > 1}
    return Diagnosability(
        detected=found / total if total else 0.0,
        isolated=[float(rate[seen & (size <= most)].sum()) / found if found else 0.0 for most in LEVELS],
        mean_size=float((rate * size)[seen].sum()) / found if found else 0.0,
        groups=[[names[j] for j in own] for own in sorted(weight, key=lambda own: (-weight[own], own))],
        unseen=[names[i] for i in sorted(range(len(names)), key=lambda i: (-rate[i], names[i])) if not seen[i]],
    )


def by_signature(
    names: Sequence[str],
    rates: Sequence[float],
    matrix: NDArray[np.bool_],
    apart: NDArray[np.bool_] | None = None,
    remedies: Sequence[Hashable] | None = None,
) -> Diagnosability:
    """Return detection and isolation from a fault-test matrix: a fault without a mark is unseen, equal rows are ambiguous.

    Parameters
    ----------
    names, rates, remedies
        As `measure`.
    matrix : array (faults, tests) of bool
        Which tests a fault fails.
    apart : array (faults, faults) of bool, optional
        Who is told apart by something other than these tests.

    Examples
    --------
    >>> by_signature("abc", [1, 1, 2], np.array([[1, 0], [1, 0], [0, 0]], bool)).detected
    0.5
    """
    differ = np.array((matrix[:, None, :] != matrix[None, :, :]).any(axis=2))
    return measure(names, rates, np.array(matrix.any(axis=1)), differ if apart is None else differ | apart, remedies)


def divergence(tables: Sequence[Array]) -> Array:
    """Return the expected log-likelihood ratio of each fault against each other, summed over tests, shape (faults, faults) [nat].

    Parameters
    ----------
    tables : sequence of array (outcomes, faults)
        P(outcome | fault) of each test; no zeros.

    Examples
    --------
    >>> round(float(divergence([np.array([[0.9, 0.1], [0.1, 0.9]])])[0, 1]), 6)
    1.75778
    """
    count = tables[0].shape[1]
    out: Array = np.zeros((count, count))
    for table in tables:
        logs = np.log(table)
        out += (table * logs).sum(axis=0)[:, None] - table.T @ logs
    return np.maximum(out, 0.0)


def by_odds(
    names: Sequence[str],
    rates: Sequence[float],
    tables: Sequence[Array],
    apart: NDArray[np.bool_] | None = None,
    remedies: Sequence[Hashable] | None = None,
) -> Diagnosability:
    """Return detection and isolation under noise: what no sum of expected log-likelihood ratios carries to twenty to one.

    Two faults are told apart where the sum reaches that whichever of them is at work; one is detected where it reaches
    that against no fault at all.

    Parameters
    ----------
    names, rates, apart, remedies
        As `by_signature`.
    tables : sequence of array (outcomes, faults + 1)
        P(outcome | fault) of each test; the last column is that of no fault.

    Examples
    --------
    >>> sure = np.array([[0.999, 0.001, 0.001], [0.001, 0.999, 0.999]])
    >>> by_odds("ab", [1, 1], [sure]).unseen
    ['b']
    """
    n = len(names)
    sums = divergence(tables) if tables else np.zeros((n + 1, n + 1))
    told = np.minimum(sums, sums.T) >= APART
    pairs = told[:n, :n]
    return measure(names, rates, sums[:n, n] >= APART, pairs if apart is None else pairs | apart, remedies)
