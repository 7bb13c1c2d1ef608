"""Speeds at which a hung tub's shake reaches a limit: a scan over all speeds, another library's roots, and limiting cases."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from dryfloor.engine.physics.stand import grip
from dryfloor.engine.physics.stand.slip_speed import slip_speeds_Hz

FORCES, MASSES, RADII = st.floats(50, 800), st.floats(0.05, 3), st.floats(0.15, 0.3)
NATURALS, DAMPINGS = st.floats(1, 12), st.floats(0.02, 0.6)


def passed_on_N(spin_Hz, unbalance_kg, radius_m, natural_Hz, damping):
    """Force on the floor by the complex stiffness of spring and damper, written apart from the engine (Inman 2.75, P)."""
    w, w0 = 2 * math.pi * np.asarray(spin_Hz), 2 * math.pi * natural_Hz
    spring = w0**2 + 2j * damping * w0 * w  # for a kilogram
    return np.abs(spring / (spring - w**2)) * unbalance_kg * radius_m * w**2


def scanned(force_N, *machine, to_Hz=4000.0):
    """Every change of sign on a fine scan over the speed, each closed in by scipy."""
    natural_Hz = machine[2]
    near = np.linspace(0.01 * natural_Hz, 4 * natural_Hz, 40_001)
    spins = np.concatenate((near, np.geomspace(4 * natural_Hz, to_Hz, 4001)[1:]))
    over = passed_on_N(spins, *machine) > force_N
    at = np.flatnonzero(over[1:] != over[:-1])
    return [brentq(lambda n: float(passed_on_N(n, *machine)) - force_N, spins[i], spins[i + 1], xtol=1e-13) for i in at]


def found(*values):
    speeds = slip_speeds_Hz(*values)
    return [*(speeds.band_Hz or ()), *(() if speeds.above_Hz is None else (speeds.above_Hz,))]


@settings(max_examples=60, deadline=None)
@given(FORCES, MASSES, RADII, NATURALS, DAMPINGS)
def test_a_scan_over_all_speeds_finds_the_same_crossings(force_N, mass_kg, radius_m, natural_Hz, damping):
    machine = (mass_kg, radius_m, natural_Hz, damping)
    speeds = found(force_N, *machine)
    scan = scanned(force_N, *machine)
    if len(scan) == len(speeds) - 2:  # a peak that a scan of this step may miss: the band must be that thin
        assert min(b - a for a, b in pairwise(speeds)) < 5e-4 * natural_Hz
        return
    expected = [n for n in speeds if n < 4000]
    assert scan == pytest.approx(expected, rel=1e-8)


@given(FORCES, MASSES, RADII, NATURALS, DAMPINGS, st.floats(0.2, 200))
def test_below_and_between_the_crossings_the_feet_hold(force_N, mass_kg, radius_m, natural_Hz, damping, spin_Hz):
    machine = (mass_kg, radius_m, natural_Hz, damping)
    crossed = sum(n < spin_Hz for n in found(force_N, *machine))
    force = float(passed_on_N(spin_Hz, *machine))
    assume(abs(force / force_N - 1) > 1e-9)
    assert (force > force_N) == (crossed % 2 == 1)


def test_the_reference_case_passes_on_what_the_sheet_derives():
    """D: fn 3.5 Hz, damping .15, T .183 at 600, .080 at 1000, .051 at 1400 rpm; as a limit each force is met at that speed."""
    for rpm, share in ((600, 0.183), (1000, 0.080), (1400, 0.051)):
        force_N = 0.5 * 0.25 * (2 * math.pi * rpm / 60) ** 2
        speeds = found(force_N * share, 0.5, 0.25, 3.5, 0.15)
        assert len(speeds) == 3
        assert 60 * speeds[2] == pytest.approx(rpm, rel=2e-2)  # the shares are given in two digits


@pytest.mark.parametrize("damping", [0.0, 0.15, 1.0])
def test_rigid_mounts_slip_where_the_whole_force_does(damping):
    """D: 70 kg, .5 kg at .25 m, friction .6, T = 1: 548 rpm, within .1 %."""
    stiff = slip_speeds_Hz(411.9, 0.5, 0.25, 1e5, damping)
    first = stiff.band_Hz[0] if stiff.band_Hz else stiff.above_Hz
    assert first == pytest.approx(grip.speed_at_force_Hz(411.9, 0.5, 0.25), rel=1e-6)
    assert 60 * first == pytest.approx(548, rel=1e-3)


@given(FORCES, MASSES, RADII, NATURALS)
def test_without_damping_the_roots_are_in_closed_form(force_N, mass_kg, radius_m, natural_Hz):
    """D: with l = limit over m e w0^2, the ratio squared is l/(1 + l), and l/(l - 1) where l is above 1; beyond that never again."""
    level = force_N / (mass_kg * radius_m * (2 * math.pi * natural_Hz) ** 2)
    assume(abs(level - 1) > 1e-6)
    speeds = slip_speeds_Hz(force_N, mass_kg, radius_m, natural_Hz, 0.0)
    low = natural_Hz * math.sqrt(level / (1 + level))
    if level < 1:
        assert speeds == (None, pytest.approx(low))
    else:
        assert speeds == (pytest.approx((low, natural_Hz * math.sqrt(level / (level - 1)))), None)


@given(FORCES, MASSES, RADII, NATURALS)
def test_much_damping_is_as_good_as_rigid(force_N, mass_kg, radius_m, natural_Hz):
    speeds = slip_speeds_Hz(force_N, mass_kg, radius_m, natural_Hz, 1e5)
    assert speeds == (None, pytest.approx(grip.speed_at_force_Hz(force_N, mass_kg, radius_m), rel=1e-3))


@given(FORCES, MASSES, RADII, NATURALS, DAMPINGS, st.floats(1.01, 3))
def test_more_grip_never_slips_at_fewer_rpm(force_N, mass_kg, radius_m, natural_Hz, damping, more):
    less, better = (found(f, mass_kg, radius_m, natural_Hz, damping) for f in (force_N, more * force_N))
    assert better[0] > less[0]
    assert better[-1] > less[-1]


@given(*(st.floats(1e-9, 1e9) for _ in range(4)), st.floats(0, 1e6))
def test_nothing_given_breaks_it(force_N, mass_kg, radius_m, natural_Hz, damping):
    speeds = found(force_N, mass_kg, radius_m, natural_Hz, damping)
    assert speeds == sorted(speeds)
    assert all(0 < n < math.inf for n in speeds)


@pytest.mark.parametrize("at", range(5))
def test_impossible_inputs_are_refused(at):
    values = [200.0, 0.5, 0.25, 3.5, 0.15]
    values[at] = -1.0
    name = ("force_N", "unbalance_kg", "radius_m", "natural_Hz", "damping")[at]
    with pytest.raises(ValueError, match=f"{name}: found -1"):
        slip_speeds_Hz(*values)
