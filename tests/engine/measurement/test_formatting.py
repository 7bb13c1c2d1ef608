"""How values are shown, and that what is shown reads back to within its step."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.measurement import formatting, quantity
from dryfloor.engine.measurement.units import SI

RANGES = {
    "length": (0, 12),
    "slope": (-0.2, 0.2),
    "flow": (0, 0.005),
    "volume": (0, 0.5),
    "pressure": (0, 1.5e6),
    "temperature": (-40, 110),
    "voltage": (0, 480),
    "current": (0, 40),
    "time": (0, 20000),
    "age": (0, 9e8),
    "turns": (0, 12),
    "count": (0, 40),
    "mass": (0, 400),
    "area": (0, 3),
}


@pytest.mark.parametrize(
    ("value", "measures", "system", "shown"),
    [
        (1.0033, "length", "both", "39 1/2 in (100 cm)"),
        (1.0033, "length", "us", "39 1/2 in"),
        (1.0033, "length", "si", "100.3 cm"),
        (0.9906, "length", "both", "39 in (99 cm)"),
        (0.0254 * 39 + 0.001, "length", "us", "39 in"),  # 1 mm is less than half an eighth of an inch
        (0.0254 * 38.875, "length", "both", "38 7/8 in (99 cm)"),
        (0.0254 * 0.75, "length", "both", "3/4 in (19 mm)"),
        (0.002, "length", "both", "0.08 in (2 mm)"),
        (0.0, "length", "both", "0 in (0 mm)"),
        (0.0254 * 158, "length", "both", "13 ft 2 in (4.01 m)"),
        (0.0254 * 168, "length", "us", "14 ft"),
        (1 / 48, "slope", "both", "1/4 in/ft (21 mm/m)"),
        (-1 / 96, "slope", "us", "-1/8 in/ft"),
        (0.0010725, "flow", "both", "17 gpm (64 L/min)"),
        (0.0757, "volume", "both", "20 gal (76 L)"),
        (2.957e-5, "volume", "both", "2 tbsp (30 mL)"),
        (379212, "pressure", "both", "55 psi (380 kPa)"),
        (48.889, "temperature", "both", "120 °F (49 °C)"),
        (-10, "temperature", "si", "-10 °C"),
        (118.04, "voltage", "both", "118 V"),
        (113.9, "voltage", "us", "113.9 V"),
        (0.006, "current", "both", "6 mA"),
        (9.84, "current", "both", "9.8 A"),
        (90, "time", "both", "90 s"),
        (150, "time", "both", "2 min 30 s"),
        (600, "time", "both", "10 min"),
        (157788000, "age", "both", "5 years"),
        (15778800, "age", "both", "6 months"),
        (2 / 3, "turns", "both", "2/3 turn"),
        (1.333, "turns", "both", "1 1/3 turns"),
        (2, "turns", "both", "2 turns"),
        (4, "count", "both", "4"),
        (136.08, "mass", "both", "300 lb (136 kg)"),
        (0.064516, "area", "both", "100 sq in (645 cm2)"),
    ],
)
def test_shown_as_the_trade_writes_it(value: float, measures: str, system: formatting.Shown, shown: str) -> None:
    assert formatting.show(value, measures, system) == shown


@pytest.mark.parametrize("measures", list(SI))
@pytest.mark.parametrize("system", ["both", "us", "si"])
@given(data=st.data())
def test_what_is_shown_reads_back_to_within_its_step(
    measures: str, system: formatting.Shown, data: st.DataObject
) -> None:
    value = data.draw(st.floats(*RANGES[measures]))
    again = quantity.parse(formatting.show(value, measures, system), measures)
    # Half a step; a value just below the end of a row may round up into the coarser row.
    step = max(formatting.resolution(value, measures), formatting.resolution(again, measures))
    assert abs(again - value) <= 0.5000001 * step + 1e-12


@given(value=st.floats(0, 50))
def test_a_difference_of_temperatures_knows_no_zero_point(value: float) -> None:
    again = quantity.parse_tolerance(formatting.show_difference(value, "temperature"), "temperature")
    assert abs(again - value) <= 0.51
    assert formatting.show_difference(0, "temperature", "us") == "0 °F"


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_number_is_shown_for_what_is_none(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        formatting.show(value, "length")


def test_an_unknown_measure_is_named() -> None:
    with pytest.raises(ValueError, match="'weight' is no measure; expected one of length"):
        formatting.show(1, "weight")
