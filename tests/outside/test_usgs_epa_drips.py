"""Drips to volume: US Geological Survey (P, and S where said) and EPA WaterSense (S). Tolerance 0.1 % but where said."""

import pytest

from dryfloor.engine.physics.supply import leak_rate

GALLON = 3.785411784e-3


@pytest.mark.parametrize(
    ("drop_m3", "per_gallon"),
    [(leak_rate.DROP_THIRD_M3, 11350), (leak_rate.DROP_SINK_M3, 15140)],
    ids=["third mL, P", "quarter mL, S"],
)
def test_drips_per_gallon(drop_m3: float, per_gallon: int) -> None:
    a_day_long = per_gallon / 86400
    assert leak_rate.drip_volume_per_day(a_day_long, drop_m3) == pytest.approx(GALLON, rel=0.001)


def test_twenty_drips_a_minute() -> None:
    """USGS calculator as reported (S): 2 gal/day as a whole number, 925 gal/yr; its drop is 1/3 mL."""
    gal_day = leak_rate.drip_volume_per_day(20 / 60, leak_rate.DROP_THIRD_M3) / GALLON
    assert gal_day * 365 == pytest.approx(925, rel=0.001)
    assert int(gal_day) == 2


@pytest.mark.parametrize(("drips_per_s", "gal_year"), [(1, 3000), (1 / 6, 500)])
def test_epa(drips_per_s: float, gal_year: int) -> None:
    """EPA WaterSense (S): more than 3,000 and more than 500 gal a year; both imply 0.360 mL."""
    assert leak_rate.drip_volume_per_day(drips_per_s, leak_rate.DROP_EPA_M3) * 365 / GALLON == pytest.approx(
        gal_year, rel=0.001
    )


@pytest.mark.parametrize(
    ("per_minute", "quarter", "third", "digit"),
    [(1, 0.095, 0.127, 1e-3), (10, 0.951, 1.268, 1e-3), (30, 2.85, 3.80, 1e-2), (60, 5.71, 7.61, 1e-2)],
)
def test_gallons_a_day(per_minute: int, quarter: float, third: float, digit: float) -> None:
    """Derived (D) at 1/4 and 1/3 mL; half of the last digit given."""
    for drop, gallons in ((leak_rate.DROP_SINK_M3, quarter), (leak_rate.DROP_THIRD_M3, third)):
        assert leak_rate.drip_volume_per_day(per_minute / 60, drop) / GALLON == pytest.approx(gallons, abs=0.51 * digit)
