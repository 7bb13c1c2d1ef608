"""Adding decibels: a hearing-protection guide (grade S), and the table of a Hong Kong EPD technical memorandum, T4 (grade P)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.calculators.calculator import work
from dryfloor.engine.physics.stand.noise import add_levels_dB, without_room_dB
from dryfloor.engine.physics.stand.unbalance import unbalance_force_N


@pytest.mark.parametrize(("one", "other", "together"), [(90, 90, 93.01), (90, 91, 93.54)])
def test_guide(one: float, other: float, together: float) -> None:
    """90 + 90 is 93 and 90 + 91 is 93.5 (S); .05 dB of the unrounded figure (D)."""
    assert add_levels_dB(one, other) == pytest.approx(together, abs=0.05)


BANDS = [(0, 0.5, 3), (1, 1.5, 2.5), (2, 3, 2), (3.5, 4.5, 1.5), (5, 7, 1), (7.5, 12, 0.5)]


@pytest.mark.parametrize(("low", "high", "added"), BANDS)
def test_table_4(low: float, high: float, added: float) -> None:
    """By the difference of two levels, this much goes onto the higher one (P); within .3 dB at both ends of each band."""
    for difference in (low, high):
        assert add_levels_dB(60, 60 - difference) - 60 == pytest.approx(added, abs=0.3)


def test_more_than_12_db_apart_adds_nothing() -> None:
    """0 above 12 dB (P), within .3."""
    assert add_levels_dB(60, 60 - 12.5) - 60 == pytest.approx(0, abs=0.3)


def test_twice_the_force_and_a_faster_spin() -> None:
    """D: +6.02 dB for twice the force, as four equal sounds; 1000 to 1400 rpm at one unbalance is (1.4)^2 in force, +5.85 dB; .01."""
    assert add_levels_dB(60, 60, 60, 60) - 60 == pytest.approx(6.02, abs=0.01)
    forces = [unbalance_force_N(0.5, 0.25, rpm / 60) for rpm in (1000, 1400)]
    assert 10 * math.log10((forces[1] / forces[0]) ** 2) == pytest.approx(5.85, abs=0.01)


@given(st.floats(20, 100), st.floats(20, 100))
def test_the_room_comes_out_as_it_went_in(machine: float, room: float) -> None:
    together = add_levels_dB(machine, room)
    assert together >= max(machine, room)
    if machine > room - 30:
        assert without_room_dB(together, room) == pytest.approx(machine, abs=1e-6)


def test_refusals_and_what_is_said() -> None:
    with pytest.raises(ValueError, match="levels_dB: found none"):
        add_levels_dB()
    with pytest.raises(ValueError, match="expected less than the reading"):
        without_room_dB(50, 50)
    assert "no change is shown" in work("sound-change", {"before": "65", "after": "62"}).says[0]
    quieter = work("sound-change", {"before": "72", "after": "60"})
    assert "12 dB quieter" in quieter.says[0]
    assert "nearly as loud" in work("sound-change", {"before": "42", "after": "41"}).says[1]
