"""Drain figures that are wrong in print: each is asserted not to be what we produce, beside what we do produce (D)."""

import math

import pytest

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import siphon, sloping_drain
from dryfloor.engine.physics.supply import leak_rate

INCH, FOOT, GPM, PSI = 0.0254, 0.3048, 3.785411784e-3 / 60, 6894.757


def test_appendix_k_prose_fits_no_single_roughness() -> None:
    """2 in at 1/4 in/ft below 2 ft/s needs n of .0129 and more; 3 in at 1/8 reaching it needs .0120 and less."""
    for n in (step / 10000 for step in range(80, 181)):
        two = sloping_drain.drain_speed(2 * INCH, 1 / 48, manning_n=n)
        three = sloping_drain.drain_speed(3 * INCH, 1 / 96, manning_n=n)
        assert not (two < sloping_drain.SCOURING_SPEED_MS <= three), n


def test_old_table_sixty_gallons_in_three_inches() -> None:
    """12 in per 100 ft, full: 60 gpm would take n 0.0086, smoother than any pipe here."""
    for n in (0.009, 0.011, 0.013, 0.015):
        assert sloping_drain.drain_flow(3 * INCH, 0.01, 1.0, n) / GPM < 0.97 * 60
    assert sloping_drain.drain_flow(3 * INCH, 0.01, 1.0, 0.0086) / GPM == pytest.approx(60, rel=0.01)


def test_manning_constant_is_not_1_49() -> None:
    n = 0.013
    radius_ft = 8 / 12 / 4
    constant = sloping_drain.drain_speed(8 * INCH, 0.005, 1.0, n) / FOOT * n / radius_ft ** (2 / 3) / math.sqrt(0.005)
    assert constant == pytest.approx(1.486, abs=5e-4)
    assert constant != pytest.approx(1.49, abs=2e-3)


def test_quarter_and_eighth_inch_a_foot_are_not_2_and_1_percent() -> None:
    """A printed 2 % is 4 % off in slope and 2 % in flow."""
    assert sloping_drain.drain_flow(2 * INCH, 0.02) != pytest.approx(
        sloping_drain.drain_flow(2 * INCH, 1 / 48), rel=0.015
    )


def test_twelve_millimetre_hole() -> None:
    """50 psi, Cd 0.62: printed 73.8 L/min; 110.6."""
    litres_min = leak_rate.hole_flow(0.012, 50 * PSI) * 60000
    assert litres_min == pytest.approx(110.6, abs=0.05)
    assert litres_min != pytest.approx(73.8, rel=0.3)


def test_two_millimetre_hole() -> None:
    """50 psi: printed 1,400 L/day; 4,420 (and not 4,348, an earlier figure)."""
    litres_day = leak_rate.hole_volume_per_day(0.002, 50 * PSI) * 1000
    assert litres_day == pytest.approx(4420, rel=0.002)
    for wrong in (1400, 4348):
        assert litres_day != pytest.approx(wrong, rel=0.01)


def test_ten_square_millimetres_under_five_metres() -> None:
    """Cd 0.6: printed 5.4 m/s and 0.054 L/s; 5.94 and 0.0594."""
    hole = math.sqrt(4 * 10e-6 / math.pi)
    flow = leak_rate.hole_flow(hole, friction.pressure_of_head(5.0), 0.6)
    assert flow * 1000 == pytest.approx(0.0594, abs=5e-5)
    assert flow / 10e-6 == pytest.approx(5.94, abs=0.005)
    assert flow / 10e-6 != pytest.approx(5.4, abs=0.1)


def test_burst_hose_is_not_six_gallons_a_minute() -> None:
    """The guide's 6 gpm stands beside 650 gal/h, which is 10.83 gpm."""
    gpm = leak_rate.hole_flow(0.275 * INCH, 60 * PSI) / GPM
    assert gpm == pytest.approx(650 / 60, rel=0.01)
    assert gpm != pytest.approx(6, rel=0.3)


def test_darcy_over_hazen_williams_is_not_52_percent() -> None:
    """At 1 gpm in 1 in pipe: 37 %; 52 comes only from a misprinted row, 0.07 ft for 0.078."""
    darcy = friction.darcy_head_loss(GPM, 1.049 * INCH, 100 * FOOT)
    hazen = friction.hazen_williams_head_loss(GPM, 1.049 * INCH, 100 * FOOT)
    assert hazen / FOOT == pytest.approx(0.078, abs=5e-4)
    assert darcy / hazen - 1 == pytest.approx(0.37, abs=0.005)
    assert darcy / FOOT / 0.07 - 1 == pytest.approx(0.52, abs=0.01)


def test_crest_at_40_degrees_is_not_9_66() -> None:
    assert round(siphon.max_crest(101325, 7384.9, 992.2), 2) == 9.65
