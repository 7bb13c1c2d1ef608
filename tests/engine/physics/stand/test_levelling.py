"""Slopes, feet and rocking: laws that hold for every machine, and figures derived by hand on the reference machine (D)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.stand import levelling
from dryfloor.engine.physics.stand.levelling import Feet

SLOPES = st.floats(-0.2, 0.2)
SPACINGS = st.floats(0.3, 0.9)
HEIGHTS = st.floats(-0.05, 0.05)


@pytest.mark.parametrize(
    ("value", "unit", "mm_per_m", "in_per_ft", "degrees"),
    [
        (1.0, "deg", 17.455, 0.20946, 1.0),
        (0.5, "deg", 8.727, 0.10472, 0.5),
        (1 / 8, "in/ft", 10.417, 0.125, 0.5968),
        (1 / 4, "in/ft", 20.833, 0.25, 1.1935),
        (20.833, "mm/m", 20.833, 0.25, 1.1935),
    ],
)
def test_slopes_agree_in_all_notations(value, unit, mm_per_m, in_per_ft, degrees):
    rise = levelling.slope(value, unit)
    found = [levelling.slope_in(rise, unit) for unit in ("mm/m", "in/ft", "deg")]
    assert found == pytest.approx([mm_per_m, in_per_ft, degrees], rel=5e-4)


@given(st.floats(-60, 60), st.sampled_from(levelling.SLOPE_UNITS))
def test_a_slope_comes_back_as_it_went(value, unit):
    assert levelling.slope_in(levelling.slope(value, unit), unit) == pytest.approx(value, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (1, "%", "in/ft, mm/m, deg"),
        (90, "deg", "between -90 and 90"),
        (math.nan, "mm/m", "finite"),
        (math.inf, "deg", "finite"),
    ],
)
def test_impossible_slopes_are_refused_with_what_was_expected(value, unit, said):
    with pytest.raises(ValueError, match=said):
        levelling.slope(value, unit)


def test_an_unknown_unit_is_refused_on_the_way_back():
    with pytest.raises(ValueError, match="found 'grad', expected one of in/ft"):
        levelling.slope_in(0.1, "grad")  # type: ignore[arg-type]


def test_half_a_bubble_depends_on_the_vial():
    # 2 mm on a carpenter's vial of about 200 mm radius is .573 deg: navigation forum (S)
    assert levelling.slope_in(levelling.vial_slope(0.002, 0.200), "deg") == pytest.approx(0.573, abs=5e-4)
    assert levelling.slope_in(levelling.vial_slope(0.002, 0.060), "deg") == pytest.approx(1.91, abs=0.01)
    with pytest.raises(ValueError, match="quarter circle"):
        levelling.vial_slope(0.4, 0.2)
    with pytest.raises(ValueError, match="vial_radius_m: found 0"):
        levelling.vial_slope(0.002, 0)


def test_feet_of_the_derived_machine():
    # 560 x 500 mm, right low 6, front low 4 mm/m (D)
    lifts = levelling.foot_lifts_m(-0.006, 0.004, 0.560, 0.500)
    assert [lift * 1000 for lift in lifts] == pytest.approx([2.00, 5.36, 0.0, 3.36], abs=0.005)
    for thread, turns in (
        ("M10", [1.33, 3.57, 0, 2.24]),
        ("M12", [1.14, 3.06, 0, 1.92]),
        ("3/8-16", [1.26, 3.38, 0, 2.12]),
    ):
        assert list(levelling.foot_turns(lifts, levelling.THREAD_PITCH_M[thread])) == pytest.approx(turns, abs=0.01)


def test_inch_threads_are_25_4_over_threads_per_inch():
    inch = [levelling.THREAD_PITCH_M[thread] * 1000 for thread in ("5/16-18", "3/8-16", "1/2-13")]
    assert inch == pytest.approx([1.4111, 1.5875, 1.9538], abs=1e-4)


@given(SLOPES, SLOPES, SPACINGS, SPACINGS, st.sampled_from(sorted(levelling.THREAD_PITCH_M)))
def test_turns_times_pitch_is_the_lift_and_levels_the_top(right_high, rear_high, width_m, depth_m, thread):
    lifts = levelling.foot_lifts_m(right_high, rear_high, width_m, depth_m)
    pitch_m = levelling.THREAD_PITCH_M[thread]
    moved = [turns * pitch_m for turns in levelling.foot_turns(lifts, pitch_m)]
    assert moved == pytest.approx(list(lifts), abs=1e-15)
    assert min(moved) == 0
    corners = [(0, 0), (width_m, 0), (0, depth_m), (width_m, depth_m)]
    heights = [right_high * x + rear_high * y + lift for (x, y), lift in zip(corners, moved, strict=True)]
    assert max(heights) - min(heights) == pytest.approx(0, abs=1e-12)


@given(SLOPES, SLOPES, SPACINGS, SPACINGS, HEIGHTS)
def test_a_plane_tilt_has_no_rocking_residual(right_high, rear_high, width_m, depth_m, height_m):
    across, back = right_high * width_m, rear_high * depth_m
    found = levelling.rocking(Feet(height_m, height_m + across, height_m + back, height_m + across + back))
    assert found.residual_m == pytest.approx(0, abs=1e-15)
    assert (found.gap_m, found.feet) == (0.0, ())


@given(st.integers(0, 3), st.floats(1e-4, 0.02), SLOPES, SLOPES)
def test_one_short_foot_is_named_whatever_the_tilt_and_its_gap_ends_the_rocking(short, gap_m, across, back):
    names = Feet._fields
    heights = [0.0, across, back, across + back]
    heights[short] += gap_m
    found = levelling.rocking(Feet(*heights))
    assert found.gap_m == pytest.approx(gap_m, rel=1e-9)
    assert names[short] in found.feet
    for foot in found.feet:  # either foot of the loose diagonal will do
        mended = Feet(*heights)
        mended = mended._replace(**{foot: getattr(mended, foot) - found.gap_m})
        assert levelling.rocking(mended).residual_m == pytest.approx(0, abs=1e-12)


def test_two_millimetres_under_the_right_front_foot():
    found = levelling.rocking(Feet(0, 0.002, 0, 0))  # derived: residual -2 mm, 1.33 turns of M10 (D)
    assert found.residual_m == pytest.approx(-0.002)
    assert found.feet[0] == "right_front"
    assert found.gap_m / levelling.THREAD_PITCH_M["M10"] == pytest.approx(1.33, abs=0.01)


def test_a_level_reading_is_no_finer_than_a_quarter_turn():
    lifts = levelling.foot_lifts_m(0.0005, 0, 0.560, 0.5)  # .5 mm/m of a good level is .19 turn of M10 (D)
    assert max(levelling.foot_turns(lifts, 0.0015)) == pytest.approx(0.19, abs=0.005)


def test_impossible_feet_are_refused():
    with pytest.raises(ValueError, match="width_m: found 0 m, expected"):
        levelling.foot_lifts_m(0, 0, 0, 0.5)
    with pytest.raises(ValueError, match="pitch_m: found -1 m"):
        levelling.foot_turns(Feet(0, 0, 0, 0), -1)
    with pytest.raises(ValueError, match="right_rear: found nan"):
        levelling.rocking(Feet(0, 0, 0, math.nan))
