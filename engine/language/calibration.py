"""Scores made chances: one slope and one shift for "something else", fitted on writers left out (after Platt 1999).

The chances of all complaints and of "something else" add up to 1: a softmax of slope times score. They are shown as words of the
scale (kb/scales.yaml, ICD 203), never as a bare number. Whether a text tells of a washer in trouble at all, and whether it tells a
fact, is weighed from signs by weights learnt in the same way (logistic regression).
"""

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from .phrase_book import OTHER
from .tokens import clauses

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

MILLION = 1_000_000
SLOPES = [s / 2 for s in range(4, 41)]
SHIFTS = [s / 20 for s in range(-10, 11)]
OWN_SIGNS = (
    0,
    1,
    5,
)  # signs of a fact that tell more of one option than of another: the text's score, its best part's, a phrase
FACT_WORDS = 4  # words of a text from which on a fact is heard without a phrase of the kb
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


def topic_signs(whole: Mapping[str, float], parts: Sequence[Mapping[str, float]], text: str) -> list[float]:
    """Return the signs by which a text tells of a washer in trouble or of something else; their weights are learnt.

    Parameters
    ----------
    whole : mapping
        Score of each complaint and of `OTHER`, `OTHER` last.
    parts : sequence of mapping
        The same of each part of the story; none where it is one.
    text : str

    Returns
    -------
    list of float
        The two best complaints, all that is above zero, something else; the same of the best part, and of the part that tells least of
        something else; the share of parts that tell of a complaint; how long it is, whether it asks, and what it talks about; then
        every complaint's own score.
    """
    *own, other = whole.values()
    own_best = sorted(own, reverse=True)
    rows = [list(p.values()) for p in parts] or [[*own, other]]
    tops = [max(column) for column in list(zip(*rows, strict=True))[:-1]]
    top_best = sorted(tops, reverse=True)
    told = sum(max(r[:-1]) > r[-1] for r in rows) / len(rows)
    long = math.log(1 + len(text.split()))
    subjects = [c.subject for c in clauses(text)]
    return [
        *own_best[:2],
        math.fsum(max(0.0, s) for s in own),
        other,
        *top_best[:2],
        max(r[-1] for r in rows),
        min(r[-1] for r in rows),
        told,
        long,
        long * long,
        float("?" in text),
        float("washer" in subjects),
        float("other" in subjects),
        float(subjects[:1] == ["other"]),
        *own,
    ]


def fact_signs(
    whole: Mapping[str, float], parts: Sequence[Mapping[str, float]], name: str, phrased: bool, text: str, topic: float
) -> list[float]:
    """Return the signs by which a text tells a fact; `fact_terms` has what is weighed of them.

    Parameters
    ----------
    whole, parts
        Scores of all options of all facts, of the text and of each of its parts.
    name : str
        `fact:<id>:<option>`.
    phrased : bool
        Whether a phrase of the kb was said for it.
    text : str
    topic : float
        Log-odds that the text tells of a washer in trouble.
    """
    among = [n for n in siblings(name, whole) if n != name]
    best = {n: max((p[n] for p in parts), default=whole[n]) for n in (name, *among)}
    return [
        whole[name],
        best[name],
        max(whole[name], best[name]),
        whole[name] - max((whole[n] for n in among), default=0.0),
        best[name] - max((best[n] for n in among), default=0.0),
        float(phrased),
        phrased * whole[name],
        math.log(1 + len(text.split())),
        min(6.0, max(-6.0, topic)),
    ]


def fact_terms(signs: Sequence[float], place: int) -> list[tuple[int, float]]:
    """Return what is weighed of a fact's signs, as (place of the weight, value): signs, products of two, and the option's own.

    Products let a high score count for less where another option of the same fact stands near it, or the text is of something else.

    Parameters
    ----------
    signs : sequence of float
        Of `fact_signs`.
    place : int
        The option's place among all options.

    Examples
    --------
    >>> len(fact_terms([0.0] * 9, 2)), max(fact_terms([0.0] * 9, 21))[0] + 1
    (58, 142)
    """
    pairs = itertools.combinations_with_replacement(signs, 2)
    shared = [*signs, *(a * b for a, b in pairs)]
    first = len(shared) + place * (1 + len(OWN_SIGNS))
    return [*enumerate(shared), (first, 1.0), *((first + 1 + n, signs[at]) for n, at in enumerate(OWN_SIGNS))]


def fact_odds(weights: Sequence[float], signs: Sequence[float], place: int) -> float:
    """Return the log-odds that a text tells a fact, rounded to 1e-6.

    Parameters
    ----------
    weights : sequence of float
        Of all terms, the bias last.
    signs, place
        As for `fact_terms`.
    """
    terms = fact_terms(signs, place)
    return weighed([value for _, value in terms], [weights[at] for at, _ in terms], weights[-1])


def tellable(phrased: bool, text: str) -> bool:
    """Return whether a fact may be heard by what was learnt: a few words ("new hose") tell one only by a phrase of the kb.

    Examples
    --------
    >>> tellable(False, "new hose"), tellable(True, "every load")
    (False, True)
    """
    return phrased or len(text.split()) >= FACT_WORDS


def siblings(name: str, names: Iterable[str]) -> list[str]:
    """Return the options of the same fact.

    Examples
    --------
    >>> siblings("fact:floor:concrete", ["fact:floor:concrete", "fact:floor:wood-joists", "fact:drain:tub"])
    ['fact:floor:concrete', 'fact:floor:wood-joists']
    """
    fact = name.rpartition(":")[0] + ":"
    return [n for n in names if n.startswith(fact)]


def weighed(signs: Sequence[float], weights: Sequence[float], bias: float) -> float:
    """Return the log-odds of signs, rounded to 1e-6.

    Examples
    --------
    >>> weighed([1.0, 2.0], [0.5, -1.0], 0.25)
    -1.25
    """
    return round(math.fsum([bias, *(s * w for s, w in zip(signs, weights, strict=True))]), 6)


def chance_of(log_odds: float) -> float:
    """Return the chance that log-odds stand for.

    Examples
    --------
    >>> chance_of(0.0)
    0.5
    """
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, log_odds))))


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
