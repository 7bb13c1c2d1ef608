"""A typed value held against a rule's limits: its uncertainty, and how likely it is if the rule is kept or broken."""

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
    below, within, above = conformity.likelihoods(low, high, first, last, value, verdict.u, gross_error(kb, hands))
    return Reading(check_id, rule.id, said, value, a, verdict, below, within, above)


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
