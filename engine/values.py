"""Quantities of a kb, each text read once: a kb says the same few hundred over and over."""

from functools import lru_cache

from . import quantity


@lru_cache(4096)
def value_of(text: str, measures: str, tolerance: bool = False) -> float | quantity.QuantityProblem:
    """Return the value of a quantity, or why it can't be read."""
    try:
        return (quantity.parse_tolerance if tolerance else quantity.parse)(text, measures)
    except quantity.QuantityProblem as problem:
        return problem


@lru_cache(4096)
def ends_of(text: str, measures: str) -> tuple[float, float] | quantity.QuantityProblem:
    """Return the ends of a plausible range, or why it can't be read."""
    try:
        return quantity.plausible(text, measures)
    except quantity.QuantityProblem as problem:
        return problem
