"""The units that people on site use, each with its exact factor to the SI unit of its measure.

The gallon is the US liquid gallon; cup, spoon and fluid ounce are US customary too.
A year is 365.25 days. Factors are fractions, so that 3 ft 3 in, 39 in and 99.06 cm give one number to the last bit.
"""

import re
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

System = Literal["us", "si", "any"]


class Unit(Struct, frozen=True, kw_only=True):
    """A unit of one measure: value in SI = number * factor + offset.

    Parameters
    ----------
    symbol : str
        How it is written for people.
    measure : str
        The measure of the kb that it belongs to.
    factor, offset : Fraction
        To the SI unit of the measure; the offset serves temperatures only.
    names : tuple of str
        Other ways to write it.
    system : str
        Whose habit it is: us, si or any.
    exact_case : bool
        True where another case would be another unit (MPa, mPa).
    """

    symbol: str
    measure: str
    factor: Fraction
    offset: Fraction = Fraction(0)
    names: tuple[str, ...] = ()
    system: System = "any"
    exact_case: bool = False


SI = {
    "length": "m",
    "slope": "rise/run",
    "flow": "m3/s",
    "volume": "m3",
    "pressure": "Pa",
    "temperature": "°C",
    "voltage": "V",
    "current": "A",
    "time": "s",
    "age": "s",
    "turns": "turns",
    "count": "-",
    "mass": "kg",
    "area": "m2",
}

# The two units in which each measure is mostly given: the question about a missing unit offers them.
USUAL = {
    "length": ("in", "cm"),
    "slope": ("in/ft", "mm/m"),
    "flow": ("gpm", "L/min"),
    "volume": ("gal", "L"),
    "pressure": ("psi", "kPa"),
    "temperature": ("°F", "°C"),
    "voltage": ("V",),
    "current": ("A",),
    "time": ("s", "min"),
    "age": ("years", "months"),
    "turns": ("turns",),
    "count": (),
    "mass": ("lb", "kg"),
    "area": ("sq in", "cm2"),
}

NAMED = {
    "length": "a length",
    "slope": "a slope",
    "flow": "a flow",
    "volume": "a volume",
    "pressure": "a pressure",
    "temperature": "a temperature",
    "voltage": "a voltage",
    "current": "a current",
    "time": "a time",
    "age": "an age",
    "turns": "a number of turns",
    "count": "a count",
    "mass": "a weight",
    "area": "an area",
}

EXAMPLES = {
    "length": "39 1/2 in or 100 cm",
    "slope": "1/4 in/ft, 10 mm/m or 1.2 deg",
    "flow": "17 gpm or 64 L/min",
    "volume": "20 gal or 75 L",
    "pressure": "55 psi or 380 kPa",
    "temperature": "120 °F or 49 °C",
    "voltage": "118 V",
    "current": "9.8 A",
    "time": "90 s or 10 min",
    "age": "5 years or 6 months",
    "turns": "2/3 turn",
    "count": "3",
    "mass": "300 lb or 80 kg",
    "area": "100 sq in or 645 cm2",
}

_IN = Fraction("0.0254")
_GAL = 231 * _IN**3
_LB = Fraction("0.45359237")
_PSI = _LB * Fraction("9.80665") / _IN**2
_WATER = Fraction("9806.65")  # 1 m of water, conventional, in Pa
_YEAR = Fraction("31557600")

# measure, symbol, factor, system, other names
_TABLE: tuple[tuple[str, str, Fraction, System, str], ...] = (
    ("length", "in", _IN, "us", 'inch|inches|ins|"'),
    ("length", "ft", 12 * _IN, "us", "foot|feet|'"),
    ("length", "yd", 36 * _IN, "us", "yard|yards|yds"),
    ("length", "cm", Fraction(1, 100), "si", "centimetre|centimetres|centimeter|centimeters|cms"),
    ("length", "mm", Fraction(1, 1000), "si", "millimetre|millimetres|millimeter|millimeters|mms"),
    ("length", "m", Fraction(1), "si", "metre|metres|meter|meters"),
    ("length", "cards", Fraction(1, 1250), "any", "card|bank card|bank cards"),
    ("length", "steps", 36 * _IN, "any", "step|big step|big steps|pace|paces"),
    ("slope", "in/ft", Fraction(1, 12), "us", 'in/foot|inch/foot|inches/foot|"/ft|"/foot|"/\''),
    ("slope", "mm/m", Fraction(1, 1000), "si", "mm/metre|mm/meter"),
    ("slope", "cm/m", Fraction(1, 100), "si", "cm/metre|cm/meter"),
    ("slope", "%", Fraction(1, 100), "any", "percent|per cent|pct"),
    ("slope", "deg", Fraction(0), "any", "°|degree|degrees|degs"),  # by its tangent, see quantity.py
    ("flow", "gpm", _GAL / 60, "us", "gal/min|gals/min|gallons/min|gallons/minute|gallon/minute"),
    ("flow", "gph", _GAL / 3600, "us", "gal/h|gal/hr|gal/hour|gallons/hour"),
    ("flow", "L/min", Fraction(1, 60000), "si", "lpm|l/minute|liters/minute|litres/minute|liter/minute|litre/minute"),
    ("flow", "L/s", Fraction(1, 1000), "si", "lps|l/sec|l/second|liters/second|litres/second"),
    ("flow", "L/h", Fraction(1, 3600000), "si", "lph|l/hr|l/hour|liters/hour|litres/hour"),
    ("flow", "m3/h", Fraction(1, 3600), "si", "m3/hr|m3/hour"),
    ("flow", "m3/s", Fraction(1), "si", "m3/sec"),
    ("volume", "gal", _GAL, "us", "gals|gallon|gallons|us gal"),
    ("volume", "L", Fraction(1, 1000), "si", "liter|liters|litre|litres|ltr"),
    ("volume", "mL", Fraction(1, 10**6), "si", "milliliter|milliliters|millilitre|millilitres|cc"),
    ("volume", "fl oz", _GAL / 128, "us", "fluid ounce|fluid ounces|floz"),
    ("volume", "tbsp", _GAL / 256, "us", "tablespoon|tablespoons|tbsps"),
    ("volume", "tsp", _GAL / 768, "us", "teaspoon|teaspoons|tsps"),
    ("volume", "cup", _GAL / 16, "us", "cups"),
    ("volume", "pt", _GAL / 8, "us", "pint|pints"),
    ("volume", "qt", _GAL / 4, "us", "quart|quarts|qts"),
    ("volume", "imp gal", Fraction("0.00454609"), "any", "imperial gallon|imperial gallons|uk gal|uk gallons"),
    ("volume", "cu ft", (12 * _IN) ** 3, "us", "ft3|cubic foot|cubic feet"),
    ("volume", "cu in", _IN**3, "us", "in3|cubic inch|cubic inches"),
    ("volume", "m3", Fraction(1), "si", "cubic metre|cubic metres|cubic meter|cubic meters"),
    ("pressure", "psi", _PSI, "us", "psig|lb/in2|lbs/in2|pounds/square inch"),
    ("pressure", "kPa", Fraction(1000), "si", "kilopascal|kilopascals"),
    ("pressure", "bar", Fraction(100000), "si", "bars"),
    ("pressure", "mbar", Fraction(100), "si", "millibar|millibars"),
    ("pressure", "MPa", Fraction(10**6), "si", "megapascal|megapascals"),
    ("pressure", "Pa", Fraction(1), "si", "pascal|pascals"),
    ("pressure", "inH2O", _IN * _WATER, "us", "in h2o|in wc|inwc|inches of water|in of water"),
    ("pressure", "ftH2O", 12 * _IN * _WATER, "us", "ft h2o|ft of water|feet of water|ft of head|feet of head|ft head"),
    ("pressure", "mH2O", _WATER, "si", "m h2o|m of water|metres of water|meters of water|m of head|m head"),
    ("temperature", "°F", Fraction(5, 9), "us", "f|fahrenheit"),
    ("temperature", "°C", Fraction(1), "si", "c|celsius|centigrade"),
    ("temperature", "K", Fraction(1), "si", "kelvin|kelvins"),
    ("voltage", "V", Fraction(1), "any", "volt|volts|vac|v ac|volts ac|vrms"),
    ("voltage", "mV", Fraction(1, 1000), "any", "millivolt|millivolts"),
    ("voltage", "kV", Fraction(1000), "any", "kilovolt|kilovolts"),
    ("current", "A", Fraction(1), "any", "amp|amps|ampere|amperes"),
    ("current", "mA", Fraction(1, 1000), "any", "milliamp|milliamps|milliampere|milliamperes"),
    ("time", "s", Fraction(1), "any", "sec|secs|second|seconds"),
    ("time", "min", Fraction(60), "any", "mins|minute|minutes"),
    ("time", "h", Fraction(3600), "any", "hr|hrs|hour|hours"),
    ("time", "days", Fraction(86400), "any", "day"),
    ("time", "ms", Fraction(1, 1000), "any", "msec|millisecond|milliseconds"),
    ("age", "years", _YEAR, "any", "year|yr|yrs|y|years old|year old"),
    ("age", "months", _YEAR / 12, "any", "month|mo|mos|mths|months old|month old"),
    ("age", "weeks", Fraction(7 * 86400), "any", "week|wk|wks|weeks old"),
    ("age", "days", Fraction(86400), "any", "day|days old"),
    ("turns", "turns", Fraction(1), "any", "turn|rev|revs|revolution|revolutions|rotation|rotations"),
    ("turns", "deg", Fraction(1, 360), "any", "°|degree|degrees|degs"),
    ("turns", "flats", Fraction(1, 6), "any", "flat|flats of a nut|flats of the nut|flat of the nut"),
    (
        "turns",
        "clock hours",
        Fraction(1, 12),
        "any",
        "clock hour|hours on a clock|hour on a clock|hours on the clock|hour on the clock|hours of a clock",
    ),
    ("mass", "lb", _LB, "us", "lbs|pound|pounds"),
    ("mass", "oz", _LB / 16, "us", "ounce|ounces"),
    ("mass", "kg", Fraction(1), "si", "kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"),
    ("mass", "g", Fraction(1, 1000), "si", "gram|grams|gramme|grammes"),
    ("area", "sq in", _IN**2, "us", "in2|sqin|square inch|square inches|sq inch|sq inches"),
    ("area", "sq ft", (12 * _IN) ** 2, "us", "ft2|sqft|square foot|square feet|sq feet"),
    ("area", "cm2", Fraction(1, 10**4), "si", "sq cm|square centimetre|square centimetres|square centimeters"),
    ("area", "mm2", Fraction(1, 10**6), "si", "sq mm|square millimetres|square millimeters"),
    ("area", "m2", Fraction(1), "si", "sq m|square metre|square metres|square meter|square meters"),
)
# What a person without a tool counts: a bank card is about 0.8 mm and a big step 3 ft (judgement), a hex nut has 6 flats. Read where
# somebody says them, never suggested to anybody who measured.
BY_EYE = {"cards", "steps", "flats", "clock hours"}
_OFFSETS = {"°F": Fraction(-160, 9), "K": Fraction("-273.15")}
_EXACT = {"MPa"}  # mPa is a thousandth of a pascal: never fold the two into one


@cache
def units_of(measures: str) -> tuple[Unit, ...]:
    """Return the units of a measure, the usual ones first.

    Parameters
    ----------
    measures : str
        A measure of the kb, such as length [-].

    Returns
    -------
    tuple of Unit
        Empty for a count, and for what is no measure.

    Examples
    --------
    >>> [unit.symbol for unit in units_of("mass")]
    ['lb', 'kg', 'oz', 'g']
    """
    found = [
        Unit(
            symbol=symbol,
            measure=measure,
            factor=factor,
            offset=_OFFSETS.get(symbol, Fraction(0)),
            system=system,
            names=tuple(names.split("|")),
            exact_case=symbol in _EXACT,
        )
        for measure, symbol, factor, system, names in _TABLE
        if measure == measures
    ]
    usual = USUAL.get(measures, ())
    return tuple(sorted(found, key=lambda u: usual.index(u.symbol) if u.symbol in usual else len(usual)))


@cache
def unit(symbol: str, measures: str) -> Unit:
    """Return the unit of a measure that is written so.

    Parameters
    ----------
    symbol : str
        Its symbol or one of its names [-].
    measures : str
        A measure of the kb [-].

    Returns
    -------
    Unit
        With its factor to SI.

    Raises
    ------
    KeyError
        If the measure has no such unit.

    Examples
    --------
    >>> float(unit("inches", "length").factor)
    0.0254
    """
    for one in units_of(measures):
        if symbol in (one.symbol, *one.names):
            return one
    folded = symbol.casefold()
    for one in units_of(measures):
        if not one.exact_case and folded in (one.symbol.casefold(), *one.names):
            return one
    raise KeyError(symbol)


def measures_of(symbol: str) -> list[str]:
    """Return the measures that have a unit written so.

    Parameters
    ----------
    symbol : str
        A unit as somebody wrote it [-].

    Returns
    -------
    list of str
        Measures of the kb, possibly several: "deg" is a slope and a share of a turn.

    Examples
    --------
    >>> measures_of("psi"), measures_of("deg"), measures_of("bubble")
    (['pressure'], ['slope', 'turns'], [])
    """
    found = []
    for measures in SI:
        try:
            unit(symbol, measures)
        except KeyError:
            continue
        found.append(measures)
    return found


@cache
def pattern() -> re.Pattern[str]:
    """Return the expression that finds any unit, the longest first, ended by anything but a letter.

    Returns
    -------
    re.Pattern
        Ignoring case; `unit` decides where case matters.

    Examples
    --------
    >>> pattern().match("sq in of opening").group(), pattern().match("inn")
    ('sq in', None)
    """
    words = {word for row in _TABLE for word in (row[1], *row[4].split("|"))}
    longest = sorted(words, key=lambda word: (-len(word), word))
    ends = (re.escape(word) + ("" if word[-1] in "'\"°%" else r"(?![^\W\d_])") for word in longest)
    return re.compile("|".join(ends), re.IGNORECASE)
