"""The shake of a drum: laws of the single mass on springs, and its equation of motion solved step by step."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from dryfloor.engine.physics.stand import unbalance

RATIOS = st.floats(0.05, 20)
DAMPINGS = st.floats(0.01, 1.5)


@given(DAMPINGS)
def test_at_root_two_springs_pass_on_all_of_it_for_every_damping(damping):
    assert unbalance.transmissibility(math.sqrt(2), damping) == pytest.approx(1, abs=1e-12)


@given(RATIOS, DAMPINGS)
def test_below_root_two_springs_make_it_worse_above_it_better(ratio, damping):
    assume(abs(ratio - math.sqrt(2)) > 1e-6)
    passed = unbalance.transmissibility(ratio, damping)
    assert (passed > 1) == (ratio < math.sqrt(2))


@given(RATIOS, DAMPINGS)
def test_restraints_left_in_pass_on_all_of_it(ratio, damping):
    assert unbalance.transmissibility(ratio, damping, restrained=True) == 1.0


@given(st.floats(30, 200), DAMPINGS)
def test_far_above_resonance_the_swing_forgets_the_springs(ratio, damping):
    assert unbalance.unbalance_swing_m(0.5, 0.25, 30, ratio, damping) == pytest.approx(0.5 * 0.25 / 30, rel=0.02)


@given(st.floats(0.01, 5), st.floats(0.1, 0.4), st.floats(1, 30), st.floats(1.1, 3))
def test_force_grows_with_the_square_of_speed_and_with_mass(mass_kg, radius_m, spin_Hz, factor):
    once = unbalance.unbalance_force_N(mass_kg, radius_m, spin_Hz)
    assert unbalance.unbalance_force_N(mass_kg, radius_m, factor * spin_Hz) == pytest.approx(factor**2 * once)
    assert unbalance.unbalance_force_N(factor * mass_kg, radius_m, spin_Hz) == pytest.approx(factor * once)


@pytest.mark.parametrize("ratio", [0.6, 1.0, 1.6, 3.0])
@pytest.mark.parametrize("damping", [0.1, 0.3])
def test_the_equation_of_motion_gives_the_same_swing_and_force(ratio, damping):
    mass_kg, me, natural = 20.0, 0.125, 10.0  # kg, kg m, rad/s
    spin = ratio * natural

    def motion(t, state):
        force = me * spin**2 * math.cos(spin * t)
        return [state[1], force / mass_kg - 2 * damping * natural * state[1] - natural**2 * state[0]]

    settle_s = 14 / (damping * natural)
    times = np.linspace(settle_s, settle_s + 2 * math.pi / spin, 721)
    found = solve_ivp(motion, (0, times[-1]), [0, 0], t_eval=times, rtol=1e-9, atol=1e-12)
    swing = np.abs(found.y[0]).max()
    passed = np.abs(mass_kg * (natural**2 * found.y[0] + 2 * damping * natural * found.y[1])).max()
    assert unbalance.unbalance_swing_m(0.5, 0.25, mass_kg, ratio, damping) == pytest.approx(swing, rel=1e-4)
    force_N = unbalance.unbalance_force_N(0.5, 0.25, spin / (2 * math.pi))
    assert force_N * unbalance.transmissibility(ratio, damping) == pytest.approx(passed, rel=1e-4)


def test_static_sag_page():
    # calculator page (S): 25 mm, 1500 rpm, damping .05 (inferred): 3.15 Hz, r 7.93, T .0206, 97.9 %
    natural_Hz = unbalance.sag_frequency_Hz(0.025)
    ratio = 25 / natural_Hz
    passed = unbalance.transmissibility(ratio, 0.05)
    assert (natural_Hz, ratio, passed, 1 - passed) == pytest.approx((3.152, 7.931, 0.02062, 0.9794), rel=5e-3)
    assert natural_Hz == pytest.approx(15.76 / math.sqrt(25), rel=5e-4)


def test_a_suspended_tub_passes_on_little():
    # natural frequency 3.5 Hz, damping .15, both assumed (D)
    found = [unbalance.transmissibility(rpm / 60 / 3.5, 0.15) for rpm in (600, 1000, 1400)]
    assert found == pytest.approx([0.183, 0.080, 0.051], abs=6e-4)


def test_force_and_drum_g_by_hand():
    assert unbalance.unbalance_force_N(0.5, 0.25, 20) == pytest.approx(1973.9, rel=1e-3)  # from memory, unverified
    found = [unbalance.drum_g(rpm / 60, 0.25) for rpm in (1000, 1200, 1400)]
    assert found == pytest.approx([279.6, 402.6, 547.9], rel=1e-3)  # (D)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: unbalance.magnification(1.0, 0.0), "resonance"),
        (lambda: unbalance.magnification(0.0, 0.1), "ratio: found 0"),
        (lambda: unbalance.transmissibility(2.0, -0.1), "damping: found -0.1"),
        (lambda: unbalance.unbalance_force_N(0.5, 0.25, -3), "spin_Hz: found -3 Hz"),
        (lambda: unbalance.unbalance_swing_m(1, 1, 0, 2, 0.1), "moving_kg: found 0 kg"),
        (lambda: unbalance.sag_frequency_Hz(0), "sag_m: found 0 m"),
        (lambda: unbalance.drum_g(20, math.inf), "radius_m: found inf"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
