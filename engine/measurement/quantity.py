"""Trade notation (39 1/2", 3' 3", 2/3 turn, 120F, 17 gpm) -> a value in SI, or a question back to the person.

SI units: m, rise/run, m3/s, m3, Pa, °C, V, A, s (an age too), turns, count, kg, m2. Sums are done in fractions, so that
two ways to say one value give one number, and a reading on a limit is on it.
"""

import math
import re
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from . import numerals, parsing
from .formatting import show, show_difference
from .numerals import NumeralPart, scan
from .parsing import Ask, QuantityProblem, read
from .units import BY_EYE, EXAMPLES, SI, measures_of, unit, units_of

if TYPE_CHECKING:
    from ..model import Rule

__all__ = ["QuantityProblem", "check_plausible", "parse", "parse_tolerance", "plausible", "show", "show_difference"]

TOLERANCE = re.compile(r"(?:±|\+\s*/\s*-|\+-|plus or minus|give or take)\s*", re.IGNORECASE)

# Limits, tolerances and readings of a case are asked for again at every step. A refusal is not remembered.
REMEMBERED = 4096


def parse(text: str, measures: str) -> float:
    """Read one value in trade or metric notation.

    Parameters
    ----------
    text : str
        A number with its unit, such as 39 1/2", 3 ft 3 in, 2/3 turn, 120F, 17 gpm [-].
    measures : str
        A measure of the kb [-].

    Returns
    -------
    float
        The value [m, rise/run, m3/s, m3, Pa, °C, V, A, s, turns, count, kg or m2]. An age is in seconds too,
        a year being 365.25 days.

    Raises
    ------
    QuantityProblem
        If it can't be read in exactly one way, with a question for the person.
    ValueError
        If the measure is unknown.

    Notes
    -----
    Gallons are US. A slope in degrees is taken as its tangent (a vial's maker may mean the sine: below 5° they
    differ by less than 0.4 %). A zero needs no unit, unless it is a temperature. A count may name what is counted.

    Examples
    --------
    >>> parse('39 1/2"', "length") == parse("39,5 in", "length") == parse("3' 3 1/2\\"", "length")
    True
    >>> parse("120F", "temperature")
    48.888888888888886
    >>> parse("39", "length")
    Traceback (most recent call last):
    dryfloor.engine.measurement.parsing.QuantityProblem: 39 what? Do you mean 39 in (99.1 cm), or 39 cm (15 3/8 in)?
    """
    return _parsed(text, measures)


@lru_cache(maxsize=REMEMBERED)
def _parsed(text: str, measures: str) -> float:
    if measures == "rise":
        return _rise(text)
    return read(_ask(text, measures))


def _rise(text: str) -> float:
    """Read a length over a datum; below it is written with a minus."""
    tidy = numerals.tidy(text)
    below = tidy.startswith("-")
    value = read(_ask(tidy[1:] if below else tidy, "length"))
    return -value if below else value


def parse_tolerance(text: str, measures: str) -> float:
    """Read the half-width of a reading; 2 F is a difference of 1.11 K.

    Parameters
    ----------
    text : str
        Such as 1/4 in, ± 2 F, give or take 3 mm [-].
    measures : str
        A measure of the kb [-].

    Returns
    -------
    float
        The half-width, zero or more [SI unit of the measure, K for temperature].

    Raises
    ------
    QuantityProblem
        If it can't be read in exactly one way.
    ValueError
        If the measure is unknown.

    Examples
    --------
    >>> parse_tolerance("± 9 F", "temperature"), parse_tolerance("1/4 in", "length")
    (5.0, 0.00635)
    """
    return _tolerance(text, measures)


@lru_cache(maxsize=REMEMBERED)
def _tolerance(text: str, measures: str) -> float:
    ask = _ask(text, "length" if measures == "rise" else measures)
    return read(replace(ask, text=TOLERANCE.sub("", ask.text, count=1), difference=True))


def plausible(text: str, measures: str) -> tuple[float, float]:
    """Read a range in which a true value can lie.

    Parameters
    ----------
    text : str
        Two values parted by "to", such as 6 in to 120 in, or 6 to 120 in [-].
    measures : str
        A measure of the kb [-].

    Returns
    -------
    tuple of float
        Low and high end [SI unit of the measure].

    Raises
    ------
    QuantityProblem
        If it is no range, or its low end is not below its high end.
    ValueError
        If the measure is unknown.

    Examples
    --------
    >>> plausible("6 in to 120 in", "length")
    (0.1524, 3.048)
    """
    return _range(text, measures)


@lru_cache(maxsize=REMEMBERED)
def _range(text: str, measures: str) -> tuple[float, float]:
    if measures == "rise":
        low_text, _, high_text = text.partition(" to ")
        return _rise(low_text), _rise(high_text)
    ask = _ask(text, measures)
    ends = re.split(r"\s+to\s+", ask.text)
    if len(ends) != 2:
        raise ask.problem("From what to what can a true value lie?", mend="Write it like 6 in to 120 in.")
    low_text, high_text = ends
    shared = scan(high_text)[1]
    if shared and shared[-1].unit and numerals.NUMBER.fullmatch(low_text.lstrip("-")):
        low_text = f"{low_text} {shared[-1].unit}"
    low, high = (read(replace(ask, text=end)) for end in (low_text, high_text))
    if not low < high:
        question = f"{low_text} is not below {high_text}. Which is the low end?"
        raise ask.problem(question, mend="Write the low end first.")
    return low, high


def check_plausible(value: float, rule: "Rule", said: str = "") -> QuantityProblem | None:
    """Question a reading that no true value can have.

    Parameters
    ----------
    value : float
        The reading [SI unit of what the rule measures].
    rule : Rule
        The rule that it is read against; without a plausible range nothing is questioned.
    said : str
        How the person put it [-]; left out, the plainest notation of the value is taken.

    Returns
    -------
    QuantityProblem or None
        None inside the range. Its `nearest` has the same digits in another unit, if that lands inside.

    Raises
    ------
    QuantityProblem
        If the rule's own range can't be read.

    Examples
    --------
    >>> from dryfloor.engine.model import Cite, Rule
    >>> rule = Rule(title="Standpipe height", id="standpipe-height", measures="length", of="top",
    ...     plausible="6 in to 120 in", authority="practice", sources=[Cite(source="trade-practice")])
    >>> print(check_plausible(parse("39 ft", "length"), rule, "39 ft"))
    39 ft (11.89 m) is outside what I expect of "Standpipe height": 6 in to 120 in. Do you mean 39 in?
    """
    if not rule.plausible:
        return None
    low, high = plausible(rule.plausible, rule.measures)
    if low <= value <= high:
        return None
    part = _as_said(value, rule.measures, said)
    shown = numerals.tidy(said) or (str(part) if part else show(value, rule.measures))
    ask = Ask(shown, rule.measures)
    landed = []
    if part:
        typed = unit(part.unit, rule.measures)
        others = [u for u in units_of(rule.measures) if u.symbol not in {typed.symbol, *BY_EYE}]
        for other in sorted(others, key=lambda u: u.system != typed.system):
            text = f"{part.digits} {other.symbol}"
            if ask.readable([text]) and low <= parse(text, rule.measures) <= high:
                landed.append((other, text))
        same = [one for one in landed if one[0].system == typed.system]
        landed = same or landed
    other_way = ask.doubled(ask.text) if ask.readable([ask.text]) else ask.text
    question = f'{other_way} is outside what I expect of "{rule.title}": {rule.plausible}.'
    if not landed:
        question += " Is the unit right? If so, measure once more."
    return ask.problem(
        question,
        maybe=landed[0][1] if landed else "",
        readings=[text for _, text in landed],
        mend="Check the unit, then measure once more from the datum that the question names.",
    )


def _as_said(value: float, measures: str, said: str) -> NumeralPart | None:
    """Return a value as one number and unit: as it was said, else in the unit that needs the fewest digits."""
    if said:
        parts = scan(numerals.tidy(said))[1]
        known = len(parts) == 1 and measures in measures_of(parts[0].unit)
        return parts[0] if known else None
    found = []
    for one in units_of(measures):
        amount = (value - float(one.offset)) / float(one.factor or 1)
        digits = f"{amount:.6g}"
        if (
            one.factor
            and one.symbol not in BY_EYE
            and "e" not in digits
            and math.isclose(float(digits), amount, rel_tol=1e-9)
        ):
            found.append(NumeralPart(digits, one.symbol))
    return min(found, key=lambda part: len(part.digits), default=None)


def _ask(text: str, measures: str) -> Ask:
    """Tidy a text and refuse what no reading can be."""
    if measures not in SI and measures != "state":
        raise ValueError(f"'{measures}' is no measure; expected one of {', '.join(SI)}")
    if measures == "state":
        raise QuantityProblem(
            found=text[: numerals.LONGEST],
            expected="one of the answers",
            nearest="",
            mend="Choose an answer.",
            question="This is seen, not measured. Which of the answers fits?",
        )
    if len(text) > numerals.LONGEST:
        raise Ask(text[:40] + "...", measures).problem("That is long for one reading. What is the value?")
    ask = Ask(numerals.tidy(text), measures)
    if not ask.text:
        raise ask.problem(f"Nothing was typed. What does it read, like {EXAMPLES[measures]}?")
    return ask


@lru_cache(4096)
def value_of(text: str, measures: str, tolerance: bool = False) -> float | parsing.QuantityProblem:
    """Return the value of a quantity, or why it can't be read."""
    try:
        return (parse_tolerance if tolerance else parse)(text, measures)
    except parsing.QuantityProblem as problem:
        return problem


@lru_cache(4096)
def ends_of(text: str, measures: str) -> tuple[float, float] | parsing.QuantityProblem:
    """Return the ends of a plausible range, or why it can't be read."""
    try:
        return plausible(text, measures)
    except parsing.QuantityProblem as problem:
        return problem
