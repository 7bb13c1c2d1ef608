"""Solved problems on tipping: Wolfson 3e ch. 12 no. 48 (S), a cube (Giancoli type, S), a crate (Halliday type, S and M)."""

import math

import pytest

from dryfloor.engine.physics.stand.tipping import on_a_ramp, slide_angles_rad, tip_angle_rad


def test_wolfson_12_48() -> None:
    """tan = (h/4)/(h/2), friction .63: tips at 26.56, would slide at 32.2 degrees, within .05 (S)."""
    assert math.degrees(tip_angle_rad(0.5, 0.5)) == pytest.approx(26.56, abs=0.05)
    assert math.degrees(slide_angles_rad((0.5, 0.63))[1]) == pytest.approx(32.2, abs=0.05)
    assert on_a_ramp((0.62, 0.64), 0.5, 0.5) == "tips"


def test_cube_with_a_high_middle() -> None:
    """2.5 m cube, centre of gravity .19 m above its middle: 41 degrees, within .5 (S)."""
    assert math.degrees(tip_angle_rad(2.5, 1.25 + 0.19)) == pytest.approx(41, abs=0.5)


def test_crate_slides_or_tips_by_its_friction() -> None:
    """1.2 m crate, .30 m above its middle: .60 slides, .70 tips (S); 31 and 34 degrees from memory, unverified; .5."""
    assert on_a_ramp((0.55, 0.60), 1.2, 0.9) == "slides"
    assert on_a_ramp((0.70, 0.75), 1.2, 0.9) == "tips"
    assert on_a_ramp((0.60, 0.70), 1.2, 0.9) == "either"
    assert math.degrees(slide_angles_rad((0.55, 0.60))[1]) == pytest.approx(31, abs=0.5)
    assert math.degrees(tip_angle_rad(1.2, 0.9)) == pytest.approx(34, abs=0.5)
