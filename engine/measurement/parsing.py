"""One tidied text -> one value in SI, or a question back to the person. Never a guess.

`quantity.py` is the door; this is the work behind it: units, signs, sums (3 ft 3 in), quotients (3 mm over 600 mm), products (24 x 20 x 14 in).
Several readings in one text (54 in minus 15 in) are taken apart in `combined.py`.
"""

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from ..errors import nearest as nearest_word
from . import numerals
from .combined import Unclear, combined
from .formatting import resolution, show, show_difference
from .numerals import NumeralPart, scan
from .units import EXAMPLES, NAMED, USUAL, Unit, measures_of, unit, units_of


class QuantityProblem(Exception):
    """A text that can't be taken as a value; its message is a question for the person who wrote it.

    Parameters
    ----------
    found : str
        What was written, tidied.
    expected : str
        What would do.
    nearest : str
        A text that can be read and is probably meant; empty where there is none.
    mend : str
        How to mend it.
    question : str
        What to ask the person.
    readings : tuple of str
        Texts that can be read, one of which may be meant; a face can offer them for choice.
    """

    def __init__(
        self,
        *,
        found: str,
        expected: str,
        nearest: str,
        mend: str,
        question: str,
        readings: tuple[str, ...] = (),
    ) -> None:
        self.found, self.expected, self.nearest, self.mend = found, expected, nearest, mend
        self.question, self.readings = question, readings
        super().__init__(question)


@dataclass(frozen=True)
class Ask:
    """One text being read."""

    text: str
    measures: str
    difference: bool = False
    final: bool = False  # a suggestion being tried: make no further suggestions

    def readable(self, texts: list[str]) -> tuple[str, ...]:
        """Return those texts that can be read as they stand."""
        good = []
        for text in () if self.final else dict.fromkeys(texts):
            try:
                read(replace(self, text=text, final=True))
            except QuantityProblem:
                continue
            good.append(text)
        return tuple(good)

    def problem(
        self,
        question: str,
        *,
        maybe: str = "",
        readings: list[str] | None = None,
        mend: str = "",
    ) -> QuantityProblem:
        """Return a problem, its suggestions tried."""
        meant = self.readable([maybe])[:1] if maybe else ()
        choices = self.readable(readings or []) or meant
        nearest = meant[0] if meant else (choices[0] if len(choices) == 1 else "")
        if nearest:
            question += f" Do you mean {nearest}?"
        elif len(choices) > 1:
            question += " Do you mean " + ", or ".join(self.doubled(one) for one in choices) + "?"
        example = EXAMPLES[self.measures]
        if not question.endswith("?"):
            question += f" What does it read, like {example}?"
        return QuantityProblem(
            found=self.text,
            expected=example,
            nearest=nearest,
            question=question,
            readings=choices,
            mend=mend or f"Type it like {example}.",
        )

    def doubled(self, text: str) -> str:
        """Return a reading with its value in the other system."""
        parts = scan(text)[1]
        try:
            system = unit(parts[-1].unit, self.measures).system
        except (KeyError, IndexError):
            return text
        if system == "any":
            return text
        write = show_difference if self.difference else show
        value = read(replace(self, text=text, final=True))
        return f"{text} ({write(value, self.measures, 'si' if system == 'us' else 'us')})"


_SIGNED = {"temperature", "slope"}
_LESSER = {
    ("ft", "in"),
    ("yd", "ft"),
    ("yd", "in"),
    ("m", "cm"),
    ("m", "mm"),
    ("cm", "mm"),
    ("h", "min"),
    ("min", "s"),
    ("days", "h"),
    ("years", "months"),
    ("years", "weeks"),
    ("months", "weeks"),
    ("lb", "oz"),
    ("kg", "g"),
    ("gal", "qt"),
    ("turns", "flats"),
    ("turns", "clock hours"),
}
_QUOTIENTS = {"slope": ("length", "length"), "flow": ("volume", "time")}
# Units of another measure that people say when they mean this one.
_SAID_FOR = {
    ("time", "m"): "min",
    ("age", "m"): "months",
    ("age", "min"): "months",
    ("volume", "oz"): "fl oz",
    ("pressure", "lb"): "psi",
    ("flow", "gal"): "gpm",
    ("flow", "L"): "L/min",
    ("area", "in"): "sq in",
    ("current", "ms"): "mA",
}
_EXPONENT = re.compile(r"\d\s*e\s*[+-]?\d", re.IGNORECASE)
_HEDGE = re.compile(
    r"(?:about|approx\w*|around|roughly|nearly|almost|at least|at most|less than|more than|over|under|below|above|"
    r"maybe|~|≈|[<>≤≥]=?)\s*",
    re.IGNORECASE,
)
_OVER = re.compile(
    r"/(?!\d)|(?<!\d)/|\s+over\s+|\s+to the\s+|\s+(?:in\s+)?every\s+|(?<=[a-z\"'])\s+in\s+(?=\d)", re.IGNORECASE
)
_TIMES = re.compile(r"(?<=[\d\s\"'a-z])\s*(?:x|×|\*|\bby\b|\btimes\b)\s*(?=\d)", re.IGNORECASE)
_BLANKS = re.compile(r"\d{1,3}(?: \d{3})+(?![\d/])", re.ASCII)  # 1 000 mm
_BARE_DEGREES = {"°", "deg", "degs", "degree", "degrees"}


def read(ask: Ask) -> float:
    """Read a tidied text, with a second notation in brackets if there is one."""
    doubled = re.fullmatch(r"([^()]+)\(([^()]+)\)", ask.text)
    if not doubled:
        return _value(ask)
    first, second = (_value(replace(ask, text=half.strip())) for half in doubled.groups())
    if abs(first - second) > max(0.02 * abs(first), *(resolution(one, ask.measures) for one in (first, second))):
        halves = [half.strip() for half in doubled.groups()]
        raise ask.problem("The two values differ. Which one is right?", readings=halves)
    return first


def _value(ask: Ask) -> float:
    text = ask.text
    if re.search(r"\bbubble", text, re.IGNORECASE):
        raise ask.problem(
            "A bubble's share means nothing without the vial's radius. What is the slope in mm/m, in/ft or degrees?",
            mend="Shim the level's low end until the bubble is centred: the shim's thickness over the level's length "
            "is the slope, like 3 mm over 600 mm.",
        )
    if hedge := _HEDGE.match(text):
        question = f"'{text}' is no reading. What does it read, as near as you can tell?"
        raise ask.problem(question, maybe=text[hedge.end() :])
    if _EXPONENT.search(text):
        raise ask.problem(f"'{text}' is no plain number. What does it read, written out?")
    if ask.measures == "count" and text.lower() == "none":
        return 0.0
    together = (
        None
        if ask.difference
        else combined(text, ask.measures, lambda part: _tried(replace(ask, text=part, final=True)))
    )
    if isinstance(together, Unclear):
        raise ask.problem(together.question, readings=[f"{text} {symbol}" for symbol in USUAL[ask.measures]])
    if together is not None:
        return float(together)
    size = _signed(ask)
    if text.startswith("-") and (ask.difference or ask.measures not in _SIGNED):
        raise ask.problem(f"{NAMED[ask.measures].capitalize()} can't be below zero here.", maybe=text.lstrip("- "))
    if ask.measures == "temperature" and not ask.difference:
        return _celsius(ask, size)
    return float(size)


def _signed(ask: Ask) -> Fraction:
    size = _size(replace(ask, text=re.sub(r"^[+-]\s*", "", ask.text, count=1)))
    return -size if ask.text.startswith("-") else size


def _tried(ask: Ask) -> Fraction | None:
    try:
        return _signed(ask)
    except QuantityProblem:
        return None


def _celsius(ask: Ask, amount: Fraction) -> float:
    """Turn a temperature in its own unit into °C."""
    offset = unit(scan(ask.text)[1][0].unit, "temperature").offset
    if amount + offset < Fraction("-273.15"):
        raise ask.problem(f"Nothing can be as cold as {ask.text}.")
    return float(amount + offset)


def _size(ask: Ask) -> Fraction:
    """Return an unsigned value in SI, temperatures before their offset."""
    ratio = re.fullmatch(r"(\d{1,6})\s*:\s*(\d{1,6})", ask.text, re.ASCII)
    if ratio and ask.measures == "slope" and int(ratio[2]):
        return Fraction(int(ratio[1]), int(ratio[2]))
    if ask.measures in _QUOTIENTS:
        halves = _OVER.split(ask.text)
        if len(halves) == 2 and scan(halves[0])[1]:
            return _quotient(ask, *halves)
    if ask.measures == "volume":
        sides = _TIMES.split(ask.text)
        if len(sides) == 3:
            return _product(ask, sides)
    lead, parts = scan(ask.text)
    if not parts:
        raise ask.problem(f"I find no number in '{ask.text}'.")
    if lead:
        question = f"I can't place '{lead}' before the number."
        raise ask.problem(question, maybe=ask.text.removeprefix(lead).strip())
    if _BLANKS.match(ask.text):
        question = f"A blank may part thousands in '{ask.text}', or two numbers."
        raise ask.problem(question, maybe=_BLANKS.sub(lambda m: m[0].replace(" ", ""), ask.text))
    if len(parts) > 1:
        return _sum(ask, parts)
    return _amount(ask, parts[0])


def _quotient(ask: Ask, top: str, under: str) -> Fraction:
    """Read 1/4 in per ft, 3 mm over 600 mm, 5 gal in 25 s."""
    of_top, of_under = _QUOTIENTS[ask.measures]
    lifts = scan(top)[1]
    if len(lifts) == 2 and lifts[0].unit in ("", lifts[1].unit):  # 1/4 in and 1/8 in over 2 ft
        raise ask.problem(
            f"I see two readings in '{ask.text}'.", maybe=f"{lifts[0]} then {lifts[1]} over {under.strip()}"
        )
    if not numerals.NUMBER.match(under.strip()):
        under = f"1 {under.strip()}"
    rise, run = (_half(ask, half.strip(), of) for half, of in ((top, of_top), (under, of_under)))
    if not run:
        raise ask.problem("Nothing can be divided by zero. Over how much is that?")
    return rise / run


def _product(ask: Ask, sides: list[str]) -> Fraction:
    """Read 24 x 20 x 14 in: three inside lengths of a tub; a side without a unit has the last one's."""
    last = scan(sides[-1])[1][-1:]
    if not any(part.unit or part.rest for side in sides for part in scan(side)[1]):
        raise ask.problem(f"{ask.text} what?", readings=[f"{ask.text} {symbol}" for symbol in USUAL["length"]])
    whole = Fraction(1)
    for side in sides:
        parts = scan(side)[1]
        bare = len(parts) == 1 and not parts[0].unit and last
        whole *= _half(ask, f"{side.strip()} {last[0].unit}" if bare else side.strip(), "length")
    return whole


def _half(ask: Ask, text: str, measures: str) -> Fraction:
    try:
        return _size(Ask(text, measures, final=True))
    except QuantityProblem:
        question = f"In '{ask.text}' I can't read '{text}' as {NAMED[measures]}."
    raise ask.problem(question)


def _amount(ask: Ask, part: NumeralPart) -> Fraction:
    """Return one number with its unit in SI."""
    number = _number(ask, part)
    if ask.measures == "count":
        return _count(ask, part, number)
    if part.rest and (not part.unit or part.rest[0] in "/^*"):
        raise _unknown(ask, part)
    degrees = ask.measures == "temperature" and part.unit.lower() in _BARE_DEGREES
    if degrees or not part.unit:
        if not number and ask.measures != "temperature":
            return Fraction(0)
        if not number and ask.difference:
            return Fraction(0)
        raise ask.problem(
            f"{part.digits} {'degrees ' if degrees else ''}what?",
            readings=[f"{part.digits} {symbol}" for symbol in USUAL[ask.measures]],
        )
    try:
        known = unit(part.unit, ask.measures)
    except KeyError:
        raise _wrong(ask, part) from None
    if part.rest:
        raise ask.problem(
            f"I read {part}, but can't place '{part.rest}' after it.",
            maybe=str(part),
            mend="Type the reading alone; anything else belongs in a note.",
        )
    return _in_si(ask, number, known)


def _in_si(ask: Ask, number: Fraction, known: Unit) -> Fraction:
    if known.measure == "slope" and known.symbol == "deg":
        if number >= 90:
            raise ask.problem(f"A slope of {ask.text} stands upright.")
        return Fraction(math.tan(math.radians(float(number))))
    return number * known.factor


def _number(ask: Ask, part: NumeralPart) -> Fraction:
    try:
        return numerals.value(part.digits)
    except numerals.AmbiguousNumeralError as unclear:
        raise ask.problem(
            f"{unclear.why.capitalize()}. How is {part.digits} meant?",
            readings=[f"{digits} {part.unit}".strip() for digits in unclear.readings],
        ) from None


def _count(ask: Ask, part: NumeralPart, number: Fraction) -> Fraction:
    """Return a count; "4 feet" are the feet of a machine, and other things may be named too."""
    others = [m for m in measures_of(part.unit) if m != "count"] if part.unit else []
    if others and part.unit.lower() not in ("feet", "foot"):
        raise ask.problem(f"{part} is {NAMED[others[0]]}; this asks how many there are. How many?", maybe=part.digits)
    if not part.unit and part.rest and not re.fullmatch(r"[A-Za-z]{2,}(?: [A-Za-z]{2,}){0,2}", part.rest):
        raise ask.problem(f"I can't place '{part.rest}' after the number. How many?", maybe=part.digits)
    if number.denominator != 1:
        raise ask.problem(f"{part.digits} is no whole number. How many are there?")
    return number


def _sum(ask: Ask, parts: list[NumeralPart]) -> Fraction:
    """Add up 3 ft 3 in; refuse two readings in one text."""
    try:
        known = [unit(part.unit, ask.measures) for part in parts if part.unit]
    except KeyError:
        known = []
    greater, lesser = parts[0], parts[-1]
    if any(part.rest for part in parts) or len(known) < len(parts) - 1:
        known = []
    pairs = [(a.symbol, b.symbol) for a, b in pairwise(known)]
    if len(known) == len(parts) and all(pair in _LESSER for pair in pairs):
        numbers = [_number(ask, part) for part in parts]
        if any(number.denominator != 1 for number in numbers[:-1]):
            raise ask.problem(f"A part of {greater} and then {lesser}: what is it in one unit?")
        for (more, less), number in zip(pairwise(known), numbers[1:], strict=True):
            if number * less.factor >= more.factor:
                raise ask.problem(f"{number} {less.symbol} alone make 1 {more.symbol} or more. What is the whole?")
        return sum((number * one.factor for number, one in zip(numbers, known, strict=True)), Fraction(0))
    if known and not lesser.unit and not pairs:
        symbol = known[0].symbol
        ends = [f"{greater.digits} {symbol} {lesser.digits} {small}" for big, small in sorted(_LESSER) if big == symbol]
        ends.append(f"{greater.digits} {lesser.digits} {symbol}")  # 39 in 1/2
        raise ask.problem(f"{lesser.digits} what, after {greater}?", readings=ends)
    last = lesser.unit
    raise ask.problem(
        f"I see more than one number in '{ask.text}'. Which one is the reading?",
        readings=[str(replace(part, unit=part.unit or last)) for part in parts],
    )


def _unknown(ask: Ask, part: NumeralPart) -> QuantityProblem:
    word = f"{part.unit}{part.rest}".strip()
    names = {name.lower(): one.symbol for one in units_of(ask.measures) for name in (one.symbol, *one.names)}
    near = nearest_word(word.lower(), names)
    return ask.problem(
        f"'{word}' is no unit for {NAMED[ask.measures]} that I know.",
        maybe=f"{part.digits} {names[near]}" if near else "",
    )


def _wrong(ask: Ask, part: NumeralPart) -> QuantityProblem:
    others = measures_of(part.unit)
    if not others:  # a known unit in another case: mPa
        return _unknown(ask, part)
    if (ask.measures, others[0]) == ("flow", "time"):  # how long a bucket takes, and not which bucket
        raise ask.problem(f"{part} is {NAMED['time']}. How much ran in that time?", maybe=f"1 gal in {part}")
    meant = _SAID_FOR.get((ask.measures, unit(part.unit, others[0]).symbol), "")
    return ask.problem(
        f"{part} is {NAMED[others[0]]}; this asks for {NAMED[ask.measures]}.",
        maybe=f"{part.digits} {meant}" if meant else "",
    )
