"""Prose with values in US units -> the same prose for a reader of SI: each value in SI, with what stood there beside it.

Sentences of the kb carry values as the trade writes them (`at most 8 in inside the pipe`). A value that already stands beside its SI twin is
left alone, and so are names of sizes (a 2 in pipe, a 3/4 in thread): those are asked for at the counter as they are written.
"""

import re
from fractions import Fraction
from typing import Any, TypeVar

from msgspec import Struct, structs

from .formatting import READER, show
from .units import Unit, unit

T = TypeVar("T")
_NUMBER = r"(?:\d+ \d+/\d+|\d+/\d+|\d+(?:,\d{3})+|\d+(?:\.\d+)?)"
# A name of a size, and what `in` is where it is no unit.
_SIZES = (
    "pipe|pipes|thread|threads|hose|hoses|trap|traps|branch|standpipe|fitting|coupling|valve|drain|line|joist|joists|screw|screws"
    "|plywood|socket|lumber|board|boards|copper"
)
_NO_UNIT = r"(?! ?\d| (?:the|a|an|its|his|her|their|your|one|two|three|ten|each|every|all|some|most|many|older|newer|this|it|order|place|use|front|turn|which|time)\b)"
_UNITS = {
    "in/ft": ("slope", "in/ft"),
    "gal/min": ("flow", "gpm"),
    "gallons an hour": ("flow", "gph"),
    "gallons a minute": ("flow", "gpm"),
    "gpm": ("flow", "gpm"),
    "gallons?": ("volume", "gal"),
    "gal": ("volume", "gal"),
    "fl oz": ("volume", "fl oz"),
    "tbsp": ("volume", "tbsp"),
    "psi": ("pressure", "psi"),
    "°?F": ("temperature", "°F"),
    "sq in": ("area", "sq in"),
    "sq ft": ("area", "sq ft"),
    "inch(?:es)?": ("length", "in"),
    "feet|foot|ft": ("length", "ft"),
    "pounds?|lb": ("mass", "lb"),
    "in": ("length", "in"),
}
_SYMBOLS = "|".join(_UNITS)
_SI_BEFORE = re.compile(r"(?:mm/m|L/min|cm2|m2|mm|cm|m|mL|L|kPa|°C|kg|g) \($")
_SI_BEHIND = re.compile(r" \([^()]*\d ?(?:mm/m|L/min|cm2|m2|mm|cm|m|mL|L|kPa|bar|°C|kg|g)\)")
_VALUE = re.compile(
    rf"(?<![\w/.,-])(?:(?P<first>{_NUMBER}) in then )?(?P<run>{_NUMBER}) in over (?P<over>{_NUMBER}) ft\b"
    rf"|(?<![\w/.,-])(?<!x )(?:(?P<low>{_NUMBER})(?P<to> to | or | and |-))?(?P<value>(?:(?<![^\s(])-)?{_NUMBER})[ -](?P<unit>{_SYMBOLS})(?!\w|/)"
)
_OVER_IN = re.compile(_NO_UNIT)
_SIZE = re.compile(rf" (?:[a-z-]+ )?(?:{_SIZES})\b")
# Fields that hold no prose: what was typed, and what shows how a reading is typed.
KEPT = frozenset(
    {"id", "said", "typed", "value", "example", "notes", "words", "rule_id", "remedy", "cause", "check", "events"}
)


def retold(text: str) -> str:
    """Return a text for the reader at hand: `formatting.READER` says whose units come first.

    Examples
    --------
    >>> token = READER.set("si-first")
    >>> retold("Hang the hose no more than 8 in down a pipe.")
    'Hang the hose no more than 20 cm (8 in) down a pipe.'
    >>> retold("39 to 96 in above the feet, in 2 in pipe, 1 in 10 times"), retold("99 cm (39 in)")
    ('99 to 244 cm (39 to 96 in) above the feet, in 2 in pipe, 1 in 10 times', '99 cm (39 in)')
    >>> READER.reset(token)
    >>> retold("Hang the hose no more than 8 in down a pipe.")
    'Hang the hose no more than 8 in down a pipe.'
    """
    return _VALUE.sub(_told, text) if READER.get() in ("si", "si-first") else text


def labelled(text: str) -> str:
    """Return a few words for a drawing, where one value has room: for a reader of SI that one alone.

    Examples
    --------
    >>> token = READER.set("si-first")
    >>> labelled("39 to 96 in")
    '99 to 244 cm'
    >>> READER.reset(token)
    """
    if READER.get() not in ("si", "si-first"):
        return text
    token = READER.set("si")
    try:
        return retold(text)
    finally:
        READER.reset(token)


def _told(match: re.Match[str]) -> str:
    text, at, end = match.string, match.start(), match.end()
    written = match.group()
    if _SI_BEFORE.search(text, 0, at) or _SI_BEHIND.match(text, end):
        return written
    if match["run"]:
        slopes = [_amount(n) / (12 * _amount(match["over"])) for n in (match["first"], match["run"]) if n]
        return _beside(" then ".join(show(float(slope), "slope", "si") for slope in slopes), written)
    measure, symbol = next(v for k, v in _UNITS.items() if re.fullmatch(k, match["unit"]))
    if symbol == "in" and (not _OVER_IN.match(text, end) or _SIZE.match(text, end)):
        return written
    if symbol == "ft" and match["value"] in ("0", "1") and not match["low"]:
        return written  # "within a foot": so roughly said that nothing is gained
    of = unit(symbol, measure)
    high = _shown(match["value"], of)
    if not match["low"]:
        return _beside(high, written)
    low = _shown(match["low"], of, high.partition(" ")[2])
    return _beside(f"{low.partition(' ')[0]}{match['to']}{high}", written)


def _beside(shown: str, written: str) -> str:
    return shown if READER.get() == "si" else f"{shown} ({written})"


def _amount(number: str) -> Fraction:
    sign = -1 if number.startswith("-") else 1
    return sign * sum((Fraction(part.replace(",", "")) for part in number.removeprefix("-").split()), Fraction(0))


def _shown(number: str, of: Unit, symbol: str = "") -> str:
    """Return a value in SI, to three figures at most: no more is meant by a value in prose."""
    value = float(_amount(number) * of.factor + of.offset)
    figure, _, usual = show(value, of.measure, "si").partition(" ")
    if of.symbol == "ft" and value >= 1:
        usual = "m"
    symbol = symbol or usual
    chosen = unit(symbol, of.measure)
    amount = (value - float(chosen.offset)) / float(chosen.factor)
    if of.measure not in ("length", "temperature", "mass") and symbol == usual:
        amount = float(figure)  # as a gauge or a bucket tells it
    elif number.removeprefix("-").isdigit() and of.symbol != "ft":
        amount = round(amount, 0 if abs(amount) >= 10 else 1)
    rounded = f"{amount:.3g}"
    return f"{float(rounded):g} {symbol}"


def for_reader(record: T) -> T:
    """Return a record with its prose for the reader at hand; what was typed and what is an id stay as they are.

    Parameters
    ----------
    record : Struct
    """
    if READER.get() not in ("si", "si-first"):
        return record
    made: T = _walked(record)
    return made


def _is_text(value: Any) -> bool:
    return isinstance(value, str) or (isinstance(value, list) and all(isinstance(v, str) for v in value))


def _walked(value: Any) -> Any:
    if isinstance(value, str):
        return retold(value) if " " in value or "-" in value else value
    if isinstance(value, list | tuple):
        return type(value)(_walked(v) for v in value)
    if isinstance(value, Struct):
        changes = {}
        for name in value.__struct_fields__:
            old = getattr(value, name)
            if old is None or isinstance(old, int | float) or (name in KEPT and _is_text(old)):
                continue
            new = _walked(old)
            if new != old:
                changes[name] = new
        return structs.replace(value, **changes) if changes else value
    return value
