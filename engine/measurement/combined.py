"""Readings that only together make the value: 54 in minus 15 in, 14 steps plus 9 ft, 1/4 in then 1/8 in over 2 ft.

The person says what the tape or the watch shows; what follows from it is worked out here, in fractions.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from .numerals import scan
from .units import NAMED

_ADDED = {"length", "voltage"}  # a height less a pedestal's, a run and its climb; without load and under it
_REPEATED = {"slope", "flow", "time"}  # a level turned round, a bucket filled again: the middle of them counts
_SIGN = re.compile(r"(?<! or)\s+(plus|minus|less)\s+(?=[\d.,])", re.IGNORECASE)
_THEN = re.compile(r"\s+then\s+(?=[-+\d.,])", re.IGNORECASE)
_OVER = re.compile(r"\s+over\s.*$", re.IGNORECASE)


@dataclass(frozen=True)
class Unclear:
    """Several readings that can't be taken together, and what to ask."""

    question: str


def combined(text: str, measures: str, one: Callable[[str], Fraction | None]) -> Fraction | Unclear | None:
    """Return what several readings in one text come to; None where there is only one.

    Parameters
    ----------
    text : str
        Tidied [-].
    measures : str
        A measure of the kb [-].
    one : callable
        Reads one of them, in SI; None for what it can't read.

    Returns
    -------
    Fraction, Unclear or None
        A sum and difference (plus, minus, less), or the middle of repeated readings (then) [SI unit of the measure].

    Notes
    -----
    A number without a unit has the unit of the next reading that has one. "1/4 in then 1/8 in over 2 ft" is over 2 ft both
    times; a second lift under the other end has a minus.

    Examples
    --------
    >>> from dryfloor.engine.measurement.quantity import parse
    >>> parse("54 in minus 15 in", "length") == parse("39 in", "length")
    True
    >>> parse("1/4 in then 1/8 in over 2 ft", "slope") == parse("3/32 in/ft", "slope")
    True
    """
    if measures in _REPEATED and len(texts := _THEN.split(text)) > 1:
        signs, texts = [1] * len(texts), _over_the_same(texts)
    elif measures in _ADDED and len(cut := _SIGN.split(text)) > 1:
        signs, texts = [1, *(1 if word.lower() == "plus" else -1 for word in cut[1::2])], _with_units(cut[::2])
    else:
        return None
    total = Fraction(0)
    for sign, part in zip(signs, texts, strict=True):
        reading = one(part)
        if reading is None:
            return Unclear(f"In '{text}' I can't read '{part}' as {NAMED[measures]}.")
        total += sign * reading
    if measures in _REPEATED:
        return total / len(texts)
    return Unclear(f"'{text}' comes out below zero. Which of them is the greater?") if total < 0 else total


def _over_the_same(texts: list[str]) -> list[str]:
    """Give every lift the run that the last one has."""
    over = _OVER.search(texts[-1])
    if not over:
        return _with_units(texts)
    lifts = _with_units([*texts[:-1], texts[-1][: over.start()]])
    return [lift if _OVER.search(lift) else lift + over[0] for lift in lifts]


def _with_units(texts: list[str]) -> list[str]:
    """Give a bare number the unit of the next reading that has one, else of the last before it."""
    scanned = [scan(text)[1] for text in texts]
    units = [parts[-1].unit if parts else "" for parts in scanned]
    out = []
    for at, (text, parts) in enumerate(zip(texts, scanned, strict=True)):
        bare = len(parts) == 1 and not parts[0].unit and not parts[0].rest
        unit = next((u for u in [*units[at:], *reversed(units[:at])] if u), "")
        out.append(f"{text.strip()} {unit}" if bare and unit else text.strip())
    return out
