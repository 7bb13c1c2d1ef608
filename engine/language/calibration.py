"""Scores made chances: one slope and one shift for "something else", fitted on writers left out (after Platt 1999).

The chances of all complaints and of "something else" add up to 1: a softmax of slope times score. They are shown as words of the
scale (kb/scales.yaml, ICD 203), never as a bare number.
"""

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from .phrase_book import OTHER

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

MILLION = 1_000_000
SLOPES = [s / 2 for s in range(4, 41)]
SHIFTS = [s / 20 for s in range(-10, 11)]
BANDS = (  # upper end of each word's band in percent, ICD 203
    (5.0, "almost no chance"),
    (20.0, "very unlikely"),
    (45.0, "unlikely"),
    (55.0, "roughly even"),
    (80.0, "likely"),
    (95.0, "very likely"),
    (100.0, "almost certain"),
)


def chances(scores: Mapping[str, float], slope: float, shift: float) -> dict[str, float]:
    """Return the chance of each complaint and of `OTHER`, which add up to 1.

    Examples
    --------
    >>> {k: round(p, 2) for k, p in chances({"walks": 0.9, "noisy": 0.4, "other": 0.1}, 6.0, 0.0).items()}
    {'walks': 0.95, 'noisy': 0.05, 'other': 0.01}
    """
    most = max(scores.values())
    raised = {c: math.exp(slope * (s + (shift if c == OTHER else 0.0) - most)) for c, s in scores.items()}
    total = math.fsum(raised.values())
    return {c: r / total for c, r in raised.items()}


def word(percent: float) -> str:
    """Return the word of the scale for a chance in percent.

    Examples
    --------
    >>> word(60.0), word(99.0)
    ('likely', 'almost certain')
    """
    return next(name for end, name in BANDS if percent < end or end == 100.0)


def fitted(scores: "Array", meant: "Array", other: int) -> tuple[float, float]:
    """Return the slope and shift under which what was meant is least surprising.

    Parameters
    ----------
    scores : array
        (texts, classes), each text's from writers that are not its own.
    meant : array of bool
        (texts, classes), the classes that were meant.
    other : int
        Column of `OTHER`.
    """
    import numpy as np

    best = (math.inf, SLOPES[0], 0.0)
    for shift in SHIFTS:
        moved = scores.copy()
        moved[:, other] += shift
        moved -= moved.max(1, keepdims=True)
        for slope in SLOPES:
            raised = np.exp(slope * moved)
            p = (raised * meant).sum(1) / raised.sum(1)
            loss = float(-np.log(np.maximum(p, 1e-9)).mean())
            best = min(best, (round(loss, 9), slope, shift))
    return best[1], best[2]


def threshold(scores: Sequence[float], right: Sequence[bool], recall: float) -> float:
    """Return the greatest bound that at least `recall` of the right ones reach.

    Examples
    --------
    >>> threshold([0.9, 0.8, 0.7, 0.1], [True, True, False, True], 0.6)
    0.8
    """
    found = sorted((s for s, r in zip(scores, right, strict=True) if r), reverse=True)
    return found[max(0, math.ceil(recall * len(found) - 1e-9) - 1)]
