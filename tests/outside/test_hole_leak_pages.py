"""Leaks through sharp holes at 60 psi, Cd 0.62: pages of towns, a water district, EPA, an insurer's guide.

P: the town, second town and district pages and the insurer's guide; S: EPA as reproduced by a metropolitan council.
"""

import pytest

from dryfloor.engine.physics.supply import leak_rate

INCH, GALLON, PSI = 0.0254, 3.785411784e-3, 6894.757
MONTH_D = 30.44


def gallons_a_day(inches: float) -> float:
    return leak_rate.hole_volume_per_day(inches * INCH, 60 * PSI) / GALLON


@pytest.mark.parametrize(("inches", "gal_day"), [(1 / 16, 800), (1 / 8, 3200), (1 / 4, 13000)])
def test_town_page(inches: float, gal_day: int) -> None:
    """P; 2 %."""
    assert gallons_a_day(inches) == pytest.approx(gal_day, rel=0.02)


@pytest.mark.parametrize(("inches", "gal_month"), [(1 / 32, 6000), (1 / 16, 25000), (1 / 8, 100000), (1 / 4, 400000)])
def test_second_town_page(inches: float, gal_month: int) -> None:
    """P; 3 %."""
    assert gallons_a_day(inches) * MONTH_D == pytest.approx(gal_month, rel=0.03)


@pytest.mark.parametrize(("inches", "gallons"), [(1 / 16, 74000), (1 / 8, 296000), (3 / 16, 666000), (1 / 4, 1181500)])
def test_water_district_quarter(inches: float, gallons: int) -> None:
    """P, pressure unstated and the period read as three months; 1 %."""
    assert gallons_a_day(inches) * 3 * MONTH_D == pytest.approx(gallons, rel=0.01)


def test_epa() -> None:
    """S; about 6,300 gal a month through 1/32 in; 5 %."""
    assert gallons_a_day(1 / 32) * MONTH_D == pytest.approx(6300, rel=0.05)


def test_the_constant_of_the_trade_form() -> None:
    """Q[gpm] = 29.851 Cd d^2 sqrt(p), in and psi (D, 20 C)."""
    assert leak_rate.hole_flow(INCH, PSI, 1.0) / (GALLON / 60) == pytest.approx(29.851, abs=5e-4)


def test_a_burst_hose_of_650_gallons_an_hour() -> None:
    """Insurer's guide (P), 650 gal/h or 2.5 tons: like a sharp hole of 0.275 in (D)."""
    assert gallons_a_day(0.275) / 24 == pytest.approx(650, rel=0.01)
