"""A typed value held against a rule's limits: its uncertainty, and how likely it is if the rule is kept or broken."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .. import model
from . import conformity, quantity


@dataclass(frozen=True)
class Reading:
    """A measurement as it was said, against its rule: SI value and half-width, verdict, likelihoods of below, within, above."""

    check: str
    rule: str
    said: str
    value: float
    half_width: float
    verdict: conformity.Verdict
    below: float | None
    within: float
    above: float | None


def half_width(kb: model.KB, check: model.Check, hands: str) -> float:
    """Return the half-width of a reading by some hands [SI]."""
    rule = kb.rules[check.rule or ""]
    spread = check.give_or_take
    text = (
        spread if isinstance(spread, str) else (spread or {}).get(hands) or next(iter((spread or {"": "0"}).values()))
    )
    return quantity.parse_tolerance(text, rule.measures)


def limits(rule: model.Rule) -> tuple[float | None, float | None]:
    """Return a rule's limits [SI]."""
    return (
        quantity.parse(rule.min, rule.measures) if rule.min else None,
        quantity.parse(rule.max, rule.measures) if rule.max else None,
    )


def size_below(rule: model.Rule) -> float | None:
    """Return the next size under a rule's lower limit, where what it measures comes in sizes [SI]."""
    return quantity.parse(rule.size_below, rule.measures) if rule.size_below else None


def gross_error(kb: model.KB, hands: str) -> float:
    """Return how often some hands report something quite wrong [prob]."""
    return next(r.gross_error_per_1000.n for r in kb.roles.roles if r.id == hands) / 1000


def reading(kb: model.KB, check_id: str, said: str, hands: str) -> Reading:
    """Return a measurement against its rule.

    Raises
    ------
    quantity.QuantityProblem
        If it can't be read, or can't be true.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> reading(load_kb(), "standpipe-height", "31 in", "technician").verdict.side
    'below'
    """
    check = kb.checks[check_id]
    rule = kb.rules[check.rule or ""]
    value = quantity.parse(said, rule.measures)
    problem = quantity.check_plausible(value, rule, said)
    if problem:
        raise problem
    low, high = limits(rule)
    a = half_width(kb, check, hands)
    verdict = conformity.judge(low, high, value, a, rule.guarded)
    first, last = quantity.plausible(rule.plausible or "", rule.measures)
    below, within, above = conformity.likelihoods(
        low, high, first, last, value, verdict.u, gross_error(kb, hands), size_below(rule)
    )
    return Reading(check_id, rule.id, said, value, a, verdict, below, within, above)


def agree(a: Reading, b: Reading) -> bool:
    """Return whether two readings of one thing can both be right, each within its own give or take.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> one, other = (reading(kb, "standpipe-height", said, "homeowner") for said in ("31 in", "33 in"))
    >>> agree(one, one), agree(one, other)
    (True, False)
    """
    # Half-widths are rounded numbers of a tape: a last digit more or less is no disagreement.
    return abs(a.value - b.value) <= (a.half_width + b.half_width) * (1 + 1e-9)


def weighted(values: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    """Return several readings of one thing as one, each weighing by the inverse of its variance.

    Parameters
    ----------
    values : sequence of (float, float, float)
        Value and half-width [same unit], and how often such hands are quite wrong [prob].

    Returns
    -------
    tuple
        Value, half-width and gross-error rate of all together; in any order of the readings.

    Notes
    -----
    The weighted mean of independent readings, variance 1 / sum(1 / u_i^2) with u = half-width / sqrt 3 (D: the product of their normal
    densities is one, with that mean and variance). Exact readings leave the others out. Hands that err grossly err in one reading, so the
    rate is the mean by the same weights: two readings are never surer than the surest of them, were it exact. A reading without bound says nothing.

    Examples
    --------
    >>> weighted([(1.0, 0.1, 0.03), (1.2, 0.1, 0.03)])
    (1.1, 0.07071067811865475, 0.03)
    >>> weighted([(1.0, 0.1, 0.03), (5.0, math.inf, 0.005)])
    (1.0, 0.1, 0.03)
    """
    exact = sorted(v for v in values if v[1] == 0)
    if exact:
        n = len(exact)
        return math.fsum(v[0] for v in exact) / n, 0.0, math.fsum(v[2] for v in exact) / n
    finest = min(v[1] for v in values)
    # Against the finest of them, so that no weight overflows.
    weights = [(finest / v[1]) ** 2 for v in values]
    whole = math.fsum(weights)
    value = math.fsum(w * v[0] for w, v in zip(weights, values, strict=True)) / whole
    gross = math.fsum(w * v[2] for w, v in zip(weights, values, strict=True)) / whole
    return value, finest / math.sqrt(whole), gross


def together(kb: model.KB, check_id: str, said: Sequence[tuple[str, str]]) -> Reading:
    """Return what several hands read of one thing as one reading, against its rule: taken together on the value, then judged.

    Parameters
    ----------
    kb : KB
    check_id : str
    said : sequence of (str, str)
        Each reading as it was said, and by whose hands; they agree.

    Raises
    ------
    quantity.QuantityProblem
        If one of them can't be read, or can't be true.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> r = together(load_kb(), "standpipe-height", [("38 in", "homeowner"), ("38 1/2 in", "technician")])
    >>> r.verdict.state, round(r.value / 0.0254, 2)
    ('broken', 38.47)
    """
    each = [reading(kb, check_id, text, hands) for text, hands in said]
    if len(each) == 1:
        return each[0]
    rule = kb.rules[each[0].rule]
    rates = [gross_error(kb, hands) for _, hands in said]
    value, a, gross = weighted([(r.value, r.half_width, g) for r, g in zip(each, rates, strict=True)])
    low, high = limits(rule)
    verdict = conformity.judge(low, high, value, a, rule.guarded)
    first, last = quantity.plausible(rule.plausible or "", rule.measures)
    below, within, above = conformity.likelihoods(low, high, first, last, value, verdict.u, gross, size_below(rule))
    return Reading(check_id, rule.id, each[-1].said, value, a, verdict, below, within, above)


def held_against(kb: model.KB, r: Reading, rule: model.Rule) -> Reading:
    """Return a reading held against another rule on the same datum; it is judged, but enters no belief.

    Parameters
    ----------
    kb : KB
    r : Reading
    rule : Rule
        A neighbour that counts from the same datum, perhaps under a condition.
    """
    verdict = conformity.judge(*limits(rule), r.value, r.half_width, rule.guarded)
    return Reading(r.check, rule.id, r.said, r.value, r.half_width, verdict, None, 1.0, None)
