"""ANSI C84.1, service voltage on a 120 V base (grade S), and IEC 60038 at 230 V (grade S)."""

import pytest

from dryfloor.engine.physics.power.circuit import SUPPLY_V, supply_band


def test_range_a_and_b() -> None:
    """Range A 114 to 126 V, range B 110 to 127 V, exact at the edges (S)."""
    volts = (109.9, 110.0, 113.9, 114.0, 126.0, 126.1, 127.0, 127.1)
    assert [supply_band(v) for v in volts] == ["below", "low", "low", "normal", "normal", "high", "high", "above"]


def test_ranges_per_unit() -> None:
    """.95 to 1.05 and .917 to 1.058 of 120 V, within .1 V (S)."""
    (a_low, a_high), (b_low, b_high) = SUPPLY_V["120"]
    assert (a_low, a_high) == pytest.approx((0.95 * 120, 1.05 * 120), abs=1e-9)
    assert (b_low, b_high) == pytest.approx((0.917 * 120, 1.058 * 120), abs=0.1)


def test_230_volts() -> None:
    """230 V +-10 %: 207 to 253; +10/-6 %: from 216.2, exact (S)."""
    assert [supply_band(v, "230") for v in (206.9, 207, 253, 253.1)] == ["below", "normal", "normal", "above"]
    assert [supply_band(v, "230 +10/-6") for v in (216.1, 216.2)] == ["below", "normal"]
    assert pytest.approx(230 * 0.94) == SUPPLY_V["230 +10/-6"][0][0]


def test_not_the_bands_that_are_wrong_in_print() -> None:
    """Washers "102 to 132 V" is no supply band; "+5/-10 %" is not 114 to 126, which is +-5 %."""
    assert supply_band(102) == "below"
    assert supply_band(132) == "above"
    low, high = SUPPLY_V["120"][0]
    assert low / 120 - 1 == pytest.approx(-0.05)
    assert high / 120 - 1 == pytest.approx(0.05)
