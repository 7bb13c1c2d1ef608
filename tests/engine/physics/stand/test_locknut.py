"""Lock nut: energy of a turn, inverses, and why a bolt table is too much for a foot."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.stand import locknut

PULLS = st.floats(10, 1e5)
DIAMETERS = st.floats(0.004, 0.03)


@given(PULLS, DIAMETERS, st.sampled_from(sorted(locknut.NUT_FACTOR)))
def test_torque_and_pull_are_inverses(pull, diameter, finish):
    factor = locknut.NUT_FACTOR[finish]
    torque = locknut.nut_torque_Nm(pull, diameter, factor)
    assert locknut.nut_pull_N(torque, diameter, factor) == pytest.approx(pull)


@given(PULLS, st.floats(0.006, 0.02), st.floats(0.0008, 0.002))
def test_without_friction_a_turn_of_the_nut_does_the_work_of_its_pitch(pull, diameter, pitch):
    torque = locknut.thread_torque_Nm(pull, diameter, pitch, 0, 0)
    assert 2 * math.pi * torque == pytest.approx(pull * pitch)


@given(PULLS, st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0.01, 0.2))
def test_friction_only_adds(pull, thread, collar, more):
    once = locknut.thread_torque_Nm(pull, 0.010, 0.0015, thread, collar)
    assert locknut.thread_torque_Nm(pull, 0.010, 0.0015, thread + more, collar) > once
    assert locknut.thread_torque_Nm(pull, 0.010, 0.0015, thread, collar + more) > once


@given(st.floats(0.12, 0.16), st.sampled_from([(0.008, 1.25e-3), (0.010, 1.5e-3), (0.012, 1.75e-3)]))
def test_usual_frictions_give_the_usual_coefficient(friction, thread):
    diameter, pitch = thread
    factor = locknut.thread_torque_Nm(1000, diameter, pitch, friction, friction) / (1000 * diameter)
    assert 0.15 < factor < 0.22


def test_a_calculator_page_for_m12():
    # S: M12 8.8 at 70 % of proof (580 MPa, 84.3 mm2), K .2: 34.2 kN, 82.1 N m; 0.5 %
    pull = 0.7 * 580e6 * 84.3e-6
    assert pull == pytest.approx(34.23e3, rel=5e-3)
    assert locknut.nut_torque_Nm(pull, 0.012, locknut.NUT_FACTOR["zinc"]) == pytest.approx(82.14, rel=5e-3)


def test_fifteen_newton_metres_pull_three_quarters_of_a_ton():
    assert locknut.nut_pull_N(15, 0.010, locknut.NUT_FACTOR["zinc"]) == pytest.approx(7500)  # (D)


def test_impossible_inputs_are_refused():
    with pytest.raises(ValueError, match="pull_N: found 0 N"):
        locknut.nut_torque_Nm(0, 0.01, 0.2)
    with pytest.raises(ValueError, match=r"nut_factor: found -0\.2"):
        locknut.nut_pull_N(10, 0.01, -0.2)
    with pytest.raises(ValueError, match=r"collar_friction: found -0\.1"):
        locknut.thread_torque_Nm(10, 0.01, 0.0015, 0.1, -0.1)
    with pytest.raises(ValueError, match=r"less than 1\.5 times the diameter"):
        locknut.thread_torque_Nm(10, 0.01, 0.02, 0.1, 0.1)
    with pytest.raises(ValueError, match="where it locks"):
        locknut.thread_torque_Nm(10, 0.01, 0.0015, 30, 0.1)
