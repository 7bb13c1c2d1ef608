"""A value in SI -> how the trade writes it, never finer than a tape, meter or bucket can tell.

Each measure has rows for its two systems: up to which size, in which unit, to which step. Below 12 ft that is 1/8 in.
"""

import math
from collections.abc import Callable
from contextvars import ContextVar
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from .units import SI, Unit, unit

Shown = Literal["both", "us", "si"]


class UnitStep(Struct, frozen=True):
    """Values below a size are shown in one unit, to a step.

    Parameters
    ----------
    below : float
        Upper end of the row [SI unit of the measure].
    unit : str
        Symbol of the unit.
    step : Fraction
        Resolution [that unit].
    halves : bool
        True to write fractions (39 1/2), False to write decimals.
    lesser : str
        A smaller unit for the rest: 13 ft 2 in. The step is then in the smaller unit.
    beside : Fraction, optional
        A coarser step where the value only stands beside another system's [that unit].
    """

    below: float
    unit: str
    step: Fraction
    halves: bool = False
    lesser: str = ""
    beside: Fraction | None = None


_ALL = math.inf
_F = Fraction
_TWELVE_FT = 3.6576

_ROWS: dict[tuple[str, str], tuple[UnitStep, ...]] = {
    ("length", "us"): (
        UnitStep(0.0005, "in", _F(1, 1000)),
        UnitStep(0.003175, "in", _F(1, 100)),
        UnitStep(0.0254, "in", _F(1, 16), halves=True),
        UnitStep(_TWELVE_FT, "in", _F(1, 8), halves=True),
        UnitStep(_ALL, "ft", _F(1), lesser="in"),
    ),
    ("length", "si"): (
        UnitStep(0.0005, "mm", _F(1, 100)),
        UnitStep(0.01, "mm", _F(1, 10)),
        UnitStep(0.1, "mm", _F(1)),
        UnitStep(_TWELVE_FT, "cm", _F(1, 10), beside=_F(1)),
        UnitStep(_ALL, "m", _F(1, 100)),
    ),
    ("slope", "us"): (
        UnitStep(0.0005, "in/ft", _F(1, 1000)),
        UnitStep(1 / 96, "in/ft", _F(1, 100)),
        UnitStep(_ALL, "in/ft", _F(1, 16), halves=True),
    ),
    ("slope", "si"): (UnitStep(0.01, "mm/m", _F(1, 10)), UnitStep(_ALL, "mm/m", _F(1))),
    ("flow", "us"): (UnitStep(_ALL, "gpm", _F(1, 10)),),
    ("flow", "si"): (UnitStep(10 / 60000, "L/min", _F(1, 10)), UnitStep(_ALL, "L/min", _F(1, 2), beside=_F(1))),
    ("volume", "us"): (
        UnitStep(0.00006, "tbsp", _F(1, 2), halves=True),
        UnitStep(0.0009, "fl oz", _F(1, 2), halves=True),
        UnitStep(0.0019, "fl oz", _F(1)),
        UnitStep(0.0379, "gal", _F(1, 10)),
        UnitStep(_ALL, "gal", _F(1)),
    ),
    ("volume", "si"): (
        UnitStep(0.00006, "mL", _F(1)),
        UnitStep(0.0009, "mL", _F(10)),
        UnitStep(0.01, "L", _F(1, 10)),
        UnitStep(_ALL, "L", _F(1)),
    ),
    ("pressure", "us"): (UnitStep(70000, "psi", _F(1, 10)), UnitStep(_ALL, "psi", _F(1))),
    ("pressure", "si"): (
        UnitStep(10000, "kPa", _F(1, 10)),
        UnitStep(100000, "kPa", _F(1)),
        UnitStep(_ALL, "kPa", _F(5)),
    ),
    ("temperature", "us"): (UnitStep(_ALL, "°F", _F(1)),),
    ("temperature", "si"): (UnitStep(_ALL, "°C", _F(1, 2), beside=_F(1)),),
    ("voltage", "si"): (UnitStep(1, "V", _F(1, 100)), UnitStep(_ALL, "V", _F(1, 10))),
    ("current", "si"): (
        UnitStep(0.01, "mA", _F(1, 20)),
        UnitStep(0.1, "mA", _F(1)),
        UnitStep(1, "A", _F(1, 100)),
        UnitStep(_ALL, "A", _F(1, 10)),
    ),
    ("time", "si"): (
        UnitStep(1, "ms", _F(1)),
        UnitStep(10, "s", _F(1, 10)),
        UnitStep(120, "s", _F(1)),
        UnitStep(600, "min", _F(1), lesser="s"),
        UnitStep(7200, "min", _F(1)),
        UnitStep(_ALL, "h", _F(1, 10)),
    ),
    ("age", "si"): (
        UnitStep(60 * 86400, "days", _F(1)),
        UnitStep(63115200, "months", _F(1)),
        UnitStep(_ALL, "years", _F(1, 2)),
    ),
    ("turns", "si"): (UnitStep(_ALL, "turns", _F(1, 24), halves=True),),
    ("mass", "us"): (UnitStep(0.4535, "oz", _F(1)), UnitStep(4.53, "lb", _F(1, 10)), UnitStep(_ALL, "lb", _F(1))),
    ("mass", "si"): (UnitStep(0.4535, "g", _F(10)), UnitStep(4.53, "kg", _F(1, 10)), UnitStep(_ALL, "kg", _F(1))),
    ("area", "us"): (
        UnitStep(0.0064, "sq in", _F(1, 10)),
        UnitStep(0.929, "sq in", _F(1)),
        UnitStep(_ALL, "sq ft", _F(1, 10)),
    ),
    ("area", "si"): (
        UnitStep(0.001, "cm2", _F(1, 10)),
        UnitStep(0.929, "cm2", _F(1), beside=_F(5)),
        UnitStep(_ALL, "m2", _F(1, 10)),
    ),
}
_ONE_OF = {"turns": "turn", "years": "year", "months": "month", "days": "day"}
_TURN_PARTS = (1, 2, 3, 4, 6, 8)  # the shares of a turn that people use: 2/3 with pliers, 1 1/3 at a foot


def _row(value: float, measures: str, system: str) -> UnitStep:
    rows = _ROWS.get((measures, system)) or _ROWS[measures, "si"]
    return next(row for row in rows if abs(value) < row.below or row.below == _ALL)


def _number(number: Fraction, row: UnitStep) -> str:
    """Write a number that already is a multiple of the step."""
    sign, number = ("-", -number) if number < 0 else ("", number)
    whole, rest = divmod(number, 1)
    if not rest:
        return f"{sign}{whole}"
    if row.halves:
        return sign + (f"{whole} " if whole else "") + str(rest)
    return sign + f"{float(number):.3f}".rstrip("0")


def _steps(value: float, step: Fraction) -> Fraction:
    return round(value / float(step)) * step


def _turns(value: float) -> Fraction:
    shares = [Fraction(round(value * part), part) for part in _TURN_PARTS]
    return min(shares, key=lambda share: (abs(float(share) - value), share.denominator))


def _one(value: float, measures: str, system: str, beside: bool, in_unit: Callable[[float, Unit], float]) -> str:
    """Write a value in one system."""
    row = _row(value, measures, system)
    chosen = unit(row.unit, measures)
    if row.lesser:
        lesser = unit(row.lesser, measures)
        sign = "-" if value < 0 else ""
        greater, rest = divmod(round(abs(in_unit(value, lesser))), round(chosen.factor / lesser.factor))
        return f"{sign}{greater} {row.unit}" + (f" {rest} {row.lesser}" if rest else "")
    amount = in_unit(value, chosen)
    number = _turns(amount) if measures == "turns" else _steps(amount, (beside and row.beside) or row.step)
    single = number == 1 or (measures == "turns" and 0 < number < 1)
    return f"{_number(number, row)} {_ONE_OF.get(row.unit, row.unit) if single else row.unit}"


def _absolute(value: float, of: Unit) -> float:
    return (value - float(of.offset)) / float(of.factor)


def _difference(value: float, of: Unit) -> float:
    return value / float(of.factor)


# Whose units a reader is shown where a text asks for both: both, si-first, us or si. A face sets it for its own run; data that
# goes to other programs keeps both.
READER: ContextVar[str] = ContextVar("reader", default="both")


def _show(value: float, measures: str, system: Shown, in_unit: Callable[[float, Unit], float]) -> str:
    if measures not in SI:
        raise ValueError(f"'{measures}' is no measure; expected one of {', '.join(SI)}")
    if not math.isfinite(value):
        raise ValueError(f"{value} can't be shown; expected a finite number")
    if measures == "count":
        return str(round(value))
    if (measures, "us") not in _ROWS:
        return _one(value, measures, "si", False, in_unit)
    wanted = READER.get() if system == "both" else system
    if wanted in ("us", "si"):
        return _one(value, measures, wanted, False, in_unit)
    first, beside = ("si", "us") if wanted == "si-first" else ("us", "si")
    return f"{_one(value, measures, first, False, in_unit)} ({_one(value, measures, beside, True, in_unit)})"


def show(value: float, measures: str, system: Shown = "both") -> str:
    """Write a value as the trade does, rounded to what can be read on site.

    Parameters
    ----------
    value : float
        The value [SI unit of the measure, °C for temperature].
    measures : str
        A measure of the kb [-].
    system : str
        both, us or si [-]; volts, amps, times, turns and counts have only one.

    Returns
    -------
    str
        Such as 39 1/2 in (100 cm); the value in brackets stands beside the first and is coarser.

    Raises
    ------
    ValueError
        If the value is not finite, or the measure is unknown.

    Examples
    --------
    >>> show(1.0033, "length"), show(1.0033, "length", "si")
    ('39 1/2 in (100 cm)', '100.3 cm')
    >>> show(49, "temperature"), show(2 / 3, "turns"), show(4, "count")
    ('120 °F (49 °C)', '2/3 turn', '4')
    >>> show(-0.1016, "rise")
    '-4 in (-10 cm)'
    """
    # What lies below its datum is below it in both systems.
    return _show(value, "length" if measures == "rise" else measures, system, _absolute)


def show_difference(value: float, measures: str, system: Shown = "both") -> str:
    """Write a difference or a give-or-take; a temperature difference knows no zero point.

    Parameters
    ----------
    value : float
        The difference [SI unit of the measure, K for temperature].
    measures : str
        A measure of the kb [-].
    system : str
        both, us or si [-].

    Returns
    -------
    str
        Such as 5 °F (3 °C).

    Raises
    ------
    ValueError
        If the value is not finite, or the measure is unknown.

    Examples
    --------
    >>> show_difference(25 / 9, "temperature"), show_difference(0.00635, "length", "us")
    ('5 °F (3 °C)', '1/4 in')
    """
    return _show(value, "length" if measures == "rise" else measures, system, _difference)


def resolution(value: float, measures: str) -> float:
    """Return the coarsest step to which a value is shown.

    Parameters
    ----------
    value : float
        The value [SI unit of the measure].
    measures : str
        A measure of the kb [-].

    Returns
    -------
    float
        The step [SI unit of the measure]; 1 for a count.

    Examples
    --------
    >>> resolution(1.0, "length")
    0.01
    """
    if measures == "count":
        return 1.0
    steps = []
    for system in ("us", "si"):
        row = _row(value, measures, system)
        if measures == "turns":
            steps.append(1 / 8)  # the widest gap between two shares, on either side of a whole turn
        else:
            steps.append(float((row.beside or row.step) * unit(row.lesser or row.unit, measures).factor))
    return max(steps)
