"""An open worked example of Manning's equation: 8 in pipe running full, n 0.013, slope 0.005. Grade S; 0.2 %."""

import pytest

from dryfloor.engine.physics.drain import sloping_drain

FOOT = 0.3048


def test_eight_inch_full() -> None:
    assert sloping_drain.drain_flow(8 * 0.0254, 0.005, 1.0, 0.013) / FOOT**3 == pytest.approx(0.854, rel=0.002)
    assert sloping_drain.drain_speed(8 * 0.0254, 0.005, 1.0, 0.013) / FOOT == pytest.approx(2.448, rel=0.002)


def test_two_inch_half_full_against_the_form_in_feet() -> None:
    """Derived (D): 0.52379 m/s in SI, 1.71857 ft/s by the form with 1.486; ratio 1.00005."""
    speed = sloping_drain.drain_speed(0.0508, 1 / 48, manning_n=0.015)
    assert speed == pytest.approx(0.52379, abs=5e-6)
    assert 1.71857 / (speed / FOOT) == pytest.approx(1.00005, abs=1e-5)
