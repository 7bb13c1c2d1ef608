"""How people write a number: 39 1/2, 39-1/2, 39½, 39,5, half a turn -> one exact fraction, or why it is unclear."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from .units import pattern

LONGEST = 80  # characters; no reading needs more, and the work stays bounded


class AmbiguousNumeralError(Exception):
    """A numeral that can be read in more than one way, or in none.

    Parameters
    ----------
    why : str
        What is wrong with it, as half a sentence.
    readings : tuple of str
        Clearer numerals that it may stand for.
    """

    def __init__(self, why: str, readings: tuple[str, ...] = ()) -> None:
        self.why, self.readings = why, readings
        super().__init__(why)


_VULGAR = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_GLYPHS = {
    **dict.fromkeys("′ʹ’‘´`", "'"),
    **dict.fromkeys("″ʺ“”", '"'),
    **dict.fromkeys("‐‑‒–—−", "-"),
    **{glyph: f" {text} " for glyph, text in _VULGAR.items()},
    "⁄": "/",
    "∕": "/",
    "º": "°",
    "˚": "°",
    "℃": "°C",
    "℉": "°F",
}
# In a unit (m², m³/h, inH₂O) it is the plain digit; beside a number it could be a power or a slip, so it is asked back.
_SET_OFF = re.compile(r"(?<=[A-Za-z])[²³₂]")
_WORDS = {
    "zero": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
}
_PARTS = {"half": 2, "third": 3, "quarter": 4, "eighth": 8, "sixteenth": 16}
_PART = re.compile(rf"\b(?:and\s+)?(?:(an?|{'|'.join(_WORDS)})\s+)?({'|'.join(_PARTS)}|halve)s?\b", re.IGNORECASE)
_WORD = re.compile(rf"\b({'|'.join(_WORDS)})\b", re.IGNORECASE)
_REPAIRS = tuple(
    (re.compile(found, re.IGNORECASE), mended)
    for found, mended in (
        (r"''", '"'),
        (r"(?<=\d)\s*/\s*(?=\d)", "/"),
        (r"\band\s+(?=\d)", ""),  # 39 and 1/2; 3 ft and 3 in
        (r"(\d/\d+)\s+(?:of\s+)?an?\s+(?=[a-z])", r"\1 "),  # 1/2 of a turn
        (
            r"^an?\s+(?=(?:inch|foot|yard|met|turn|gallon|lit|cup|minute|second|hour|day|week|month|year|pound)\w*$)",
            "1 ",
        ),
        (r"(?<=[a-z])\.+(?!\d)", ""),  # in. ft.
        (r"'\s*-\s*(?=\d)", "' "),  # 3'-6"
        (r"\s*(?:\bper\b(?!\s*cent)|/)\s*(?=[a-z\"'])", "/"),  # gallons per minute
        (r"(?<=\d)\s+(?=[\"'])", ""),
        (r",\s+", " "),  # 3 ft, 3 in
        (r"\s*°\s*(?=[cf]\b)", "°"),
        (r"\s*\bdeg(?:ree)?s?\s*(c|f)(?:elsius|ahrenheit|entigrade)?\b", r"°\1"),
        (r"(?<=\d)\s*deg(?:ree)?s?\s*(c|f)(?:elsius|ahrenheit|entigrade)?\b", r"°\1"),
        (r"^minus\s+", "-"),
    )
)
NUMBER = re.compile(r"\d+(?:\s+|-)\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)*|[.,]\d+", re.ASCII)
_MIXED = re.compile(r"(?:(\d+)(?:\s+|-))?(\d+)/(\d+)", re.ASCII)


def _part(match: re.Match[str]) -> str:
    count, part = match.groups()
    number = _WORDS.get((count or "one").lower(), 1)
    return f" {number}/{_PARTS['half' if part.lower() == 'halve' else part.lower()]} "


def tidy(text: str) -> str:
    """Return a text with one spelling for each mark: plain quotes, dashes, fractions, digits for number words.

    Parameters
    ----------
    text : str
        What a person typed or said [-].

    Returns
    -------
    str
        The same meaning in plain characters; letter case is kept.

    Examples
    --------
    >>> tidy("3′ 3½″"), tidy("half an inch"), tidy("17 gallons per minute")
    ('3\\' 3 1/2"', '1/2 inch', '17 gallons/minute')
    """
    for glyph, plain in _GLYPHS.items():
        text = text.replace(glyph, plain)
    text = _SET_OFF.sub(lambda m: "3" if m[0] == "³" else "2", text)
    text = "".join(c if c.isprintable() else " " for c in text)
    text = _WORD.sub(lambda m: str(_WORDS[m[1].lower()]), _PART.sub(_part, " ".join(text.split())))
    for found, mended in _REPAIRS:
        text = found.sub(mended, " ".join(text.split()))
    return " ".join(text.split()).rstrip(" .,;")


def value(numeral: str) -> Fraction:
    """Return the value of one numeral, exactly.

    Parameters
    ----------
    numeral : str
        Digits as `NUMBER` finds them in a tidied text [-].

    Returns
    -------
    Fraction
        Zero or more.

    Raises
    ------
    AmbiguousNumeralError
        If it has more than one reading (1,000; 11/4) or none (1/0).

    Examples
    --------
    >>> value("39 1/2"), value("39,5"), value("1,000.5")
    (Fraction(79, 2), Fraction(79, 2), Fraction(2001, 2))
    >>> value("1,000")
    Traceback (most recent call last):
    dryfloor.engine.measurement.numerals.AmbiguousNumeralError: the comma may part thousands or decimals
    """
    mixed = _MIXED.fullmatch(numeral)
    return _fraction(*mixed.groups()) if mixed else _decimal(numeral)


def _fraction(whole: str | None, top: str, under: str) -> Fraction:
    if not int(under):
        raise AmbiguousNumeralError("nothing can be divided by zero")
    if whole is None:
        # 391/2 and 11/4 may have lost the blank after the whole number.
        cuts = [i for i in range(1, len(top)) if 0 < int(top[i:]) < int(under) and top[i] != "0"]
        lost = [f"{top[:i]} {top[i:]}/{under}" for i in cuts]
        share = Fraction(int(top), int(under))
        if lost and share > 1:
            whole_part, rest = divmod(share, 1)
            meant = f"{whole_part} {rest}" if rest else f"{whole_part}"
            raise AmbiguousNumeralError("a blank may be missing after the whole number", (lost[-1], meant))
        return share
    if not int(whole):  # 0 and 1/4: two numbers
        raise AmbiguousNumeralError("a whole number before a fraction is 1 or more", (f"{top}/{under}",))
    if int(top) >= int(under):
        raise AmbiguousNumeralError("the fraction after a whole number must be less than one")
    return int(whole) + Fraction(int(top), int(under))


def _decimal(numeral: str) -> Fraction:
    commas, dots = numeral.count(","), numeral.count(".")
    head, _, tail = numeral.rpartition(",") if commas == 1 and not dots else ("", "", numeral)
    if commas == 1 and not dots:
        if len(tail) == 3 and 1 <= len(head) <= 3 and not head.startswith("0"):
            raise AmbiguousNumeralError("the comma may part thousands or decimals", (head + tail, f"{head}.{tail}"))
        return Fraction(f"{head or 0}.{tail}")
    if dots <= 1 and not commas:
        return Fraction(f"0{numeral}" if numeral.startswith(".") else numeral)
    # More than one mark: the last one parts decimals if it differs from those before it, which part groups of three.
    last = max(numeral.rfind(","), numeral.rfind("."))
    group = "," if numeral[last] == "." else "."
    if numeral.count(numeral[last]) > 1:
        group, last = numeral[last], len(numeral)
    groups, decimals = numeral[:last].split(group), numeral[last + 1 :]
    threes = all(len(three) == 3 for three in groups[1:])
    if not threes or len(groups[0]) > 3 or not all(three.isdigit() for three in groups):
        raise AmbiguousNumeralError("its commas and dots do not part groups of three")
    return Fraction("".join(groups) + (f".{decimals}" if decimals else ""))


@dataclass(frozen=True)
class NumeralPart:
    """A number with the unit that follows it, and whatever words come after."""

    digits: str
    unit: str = ""
    rest: str = ""

    def __str__(self) -> str:
        return self.digits + ("" if self.unit in ("'", '"', "°") else " ") * bool(self.unit) + self.unit


def scan(text: str) -> tuple[str, list[NumeralPart]]:
    """Cut a tidied text into numbers, the units after them, and other words."""
    lead, parts, at = "", list[NumeralPart](), 0
    while at < len(text):
        number = NUMBER.match(text, at)
        if not number:
            ahead = re.compile(r"[.,]?\d", re.ASCII).search(text, at + 1)
            stop = ahead.start() if ahead else len(text)
            words = text[at:stop].strip()
            if parts:
                parts[-1] = replace(parts[-1], rest=words)
            else:
                lead = words
            at = stop
            continue
        at = number.end() + len(text[number.end() :]) - len(text[number.end() :].lstrip())
        found = pattern().match(text, at)
        parts.append(NumeralPart(number.group(), found.group() if found else ""))
        at = found.end() if found else at
        at += len(text[at:]) - len(text[at:].lstrip())
    return lead, parts
