"""Ground-fault trips: the formula's range, its inverse, and leakage that adds up (D)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.power import ground_fault as gf

IN_RANGE = st.floats(0.006, 0.264)


@given(IN_RANGE)
def test_time_and_current_are_inverses(fault):
    time = gf.longest_trip_s(fault)
    assert 0.020 / time ** (1 / 1.43) == pytest.approx(fault, rel=1e-9)


@given(IN_RANGE, IN_RANGE)
def test_more_current_never_takes_longer(one, other):
    low, high = sorted((one, other))
    assert gf.longest_trip_s(high) <= gf.longest_trip_s(low)


@given(IN_RANGE)
def test_the_formula_is_a_straight_line_on_log_paper(fault):
    assert math.log(gf.longest_trip_s(fault)) == pytest.approx(1.43 * math.log(0.020 / fault), abs=1e-12)


@pytest.mark.parametrize("fault", [0.0, 0.0059, 0.2641, -0.02, math.nan, math.inf])
def test_outside_its_range_there_is_no_time(fault):
    with pytest.raises(ValueError, match="expected 6 to 264 mA"):
        gf.longest_trip_s(fault)


def test_a_sound_washer_alone_never_trips_it():
    # .75 mA each (S): five make 3.75 mA, still under 4 (D)
    assert [gf.leakage(count) for count in (0, 1, 5, 6, 8)] == ["must not", "must not", "must not", "may", "must"]
    assert math.floor(gf.MAY_TRIP_A / gf.WASHER_LEAKAGE_A) == 5
    with pytest.raises(ValueError, match="appliances: found -1"):
        gf.leakage(-1)
    with pytest.raises(ValueError, match="fault_A: found -1 A"):
        gf.trips(-1)
