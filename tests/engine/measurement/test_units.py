"""Every factor against pint, an independent table of units."""

import pytest

from dryfloor.engine.measurement.units import (
    BY_EYE,
    EXAMPLES,
    NAMED,
    SI,
    USUAL,
    Unit,
    measures_of,
    pattern,
    unit,
    units_of,
)
from tests.support.pint_units import registry

UREG = registry()
BASE = {
    "length": "m",
    "slope": "dimensionless",
    "flow": "m**3/s",
    "volume": "m**3",
    "pressure": "Pa",
    "temperature": "degC",
    "voltage": "V",
    "current": "A",
    "time": "s",
    "age": "s",
    "turns": "turn",
    "mass": "kg",
    "area": "m**2",
}
# Our symbol -> pint's words for the same unit; the others are spelled alike.
PINT = {
    "in/ft": "inch/foot",
    "%": "percent",
    "deg": "degree",
    "gpm": "gallon/minute",
    "gph": "gallon/hour",
    "L/min": "liter/minute",
    "L/s": "liter/second",
    "L/h": "liter/hour",
    "m3/h": "m**3/hour",
    "m3/s": "m**3/s",
    "gal": "gallon",
    "fl oz": "fluid_ounce",
    "tbsp": "tablespoon",
    "tsp": "teaspoon",
    "cup": "cup",
    "pt": "pint",
    "qt": "quart",
    "imp gal": "imperial_gallon",
    "cu ft": "foot**3",
    "cu in": "inch**3",
    "m3": "m**3",
    "°F": "degF",
    "°C": "degC",
    "K": "kelvin",
    "sq in": "inch**2",
    "sq ft": "foot**2",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "m2": "m**2",
    "turns": "turn",
    "h": "hour",
    "min": "minute",
    "in": "inch",
}
ALL = [one for measures in SI for one in units_of(measures)]
# A slope in degrees goes by its tangent: test_quantity.py. What is counted by eye is no unit of any table.
SCALED = [one for one in ALL if (one.measure, one.symbol) != ("slope", "deg") and one.symbol not in BY_EYE]


@pytest.mark.parametrize("one", SCALED, ids=lambda one: f"{one.measure}-{one.symbol}")
def test_factor_agrees_with_pint(one: Unit) -> None:
    if one.symbol.endswith("H2O"):
        # Conventional water column: 1000 kg/m3 times standard gravity, by definition.
        column = UREG.Quantity(12.5, one.symbol.removesuffix("H2O").replace("in", "inch").replace("ft", "foot"))
        theirs = (column * UREG.Quantity(1000, "kg/m**3") * UREG.Quantity(1, "standard_gravity")).to("Pa").magnitude
    else:
        theirs = UREG.Quantity(12.5, PINT.get(one.symbol, one.symbol)).to(BASE[one.measure]).magnitude
    assert 12.5 * float(one.factor) + float(one.offset) == pytest.approx(theirs, rel=1e-12, abs=1e-12)


def test_what_is_counted_by_eye() -> None:
    """C: a bank card is about .8 mm, a big step 3 ft; a hex nut has six flats, a clock twelve hours (D)."""
    assert {one.symbol for one in ALL if one.symbol in BY_EYE} == BY_EYE
    assert float(unit("cards", "length").factor) == pytest.approx(UREG.Quantity(0.8, "mm").to("m").magnitude)
    assert float(unit("steps", "length").factor) == pytest.approx(UREG.Quantity(3, "foot").to("m").magnitude)
    assert 6 * unit("flats", "turns").factor == 1
    assert 12 * unit("clock hours", "turns").factor == 1


@pytest.mark.parametrize("one", ALL, ids=lambda one: f"{one.measure}-{one.symbol}")
def test_every_name_leads_to_its_unit_and_is_found_whole(one: Unit) -> None:
    for name in (one.symbol, *one.names):
        assert name
        assert unit(name, one.measure).symbol == one.symbol
        found = pattern().match(name)
        assert found
        assert found.group() == name


def test_no_two_units_of_a_measure_share_a_name() -> None:
    for measures in SI:
        names = [name.casefold() for one in units_of(measures) for name in (one.symbol, *one.names)]
        assert len(names) == len(set(names)), measures


def test_every_measure_is_described_and_its_usual_units_exist() -> None:
    assert set(SI) == set(USUAL) == set(NAMED) == set(EXAMPLES)
    for measures, symbols in USUAL.items():
        assert [one.symbol for one in units_of(measures)][: len(symbols)] == list(symbols)


def test_case_is_kept_only_where_it_matters() -> None:
    assert unit("KPA", "pressure").symbol == "kPa"
    with pytest.raises(KeyError):
        unit("mPa", "pressure")
    assert measures_of("mPa") == []
