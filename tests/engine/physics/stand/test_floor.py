"""Joists: the beam's own equation solved another way, inverses, and derived figures (D)."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp
from scipy.linalg import eigh

from dryfloor.engine.physics.stand import floor

PSI, IN, LB_N = 6894.757, 0.0254, 4.4482216
SIZES = st.floats(0.03, 0.1), st.floats(0.08, 0.4)
STIFFNESS = st.floats(1e4, 1e7)
SPANS = st.floats(1, 8)
LOADS = st.floats(10, 2e4)


@pytest.mark.parametrize(
    ("depth_in", "expected"), [(3.5, 5.36), (5.5, 20.80), (7.25, 47.63), (9.25, 98.93), (11.25, 177.98)]
)
def test_second_moment_of_dressed_sizes(depth_in, expected):
    assert floor.second_moment_m4(1.5 * IN, depth_in * IN) / IN**4 == pytest.approx(expected, abs=0.005)


def test_the_beam_equation_gives_the_same_sag():
    span, stiffness, load = 3.24, 2215e3, 20e3

    def bend(x, y):  # y, slope, moment/EI, shear/EI
        return np.vstack((y[1], y[2], y[3], np.full_like(x, load / stiffness)))

    def ends(left, right):
        return np.array([left[0], left[2], right[0], right[2]])

    found = solve_bvp(bend, ends, np.linspace(0, span, 21), np.zeros((4, 21)), tol=1e-9)
    assert abs(found.sol(span / 2)[0]) == pytest.approx(floor.sag_spread_m(load, span, stiffness), rel=1e-6)


def test_a_chain_of_masses_has_the_same_frequency():
    span, stiffness, mass, parts = 3.6576, 2.8e5, 19.8, 200
    step = span / parts
    bend = (
        np.diag(np.full(parts - 1, -2.0)) + np.diag(np.ones(parts - 2), 1) + np.diag(np.ones(parts - 2), -1)
    ) / step**2
    lowest = eigh(stiffness * bend @ bend, eigvals_only=True, subset_by_index=[0, 0])[0]
    assert floor.frequency_Hz(span, stiffness, mass) == pytest.approx(
        math.sqrt(lowest / mass) / (2 * math.pi), rel=1e-4
    )


@given(STIFFNESS, LOADS, st.sampled_from([240, 250, 360]))
def test_at_its_stiffness_span_a_joist_sags_by_its_share(stiffness, load, share):
    span = floor.stiffness_span_m(stiffness, load, share)
    assert span / floor.sag_spread_m(load, span, stiffness) == pytest.approx(share, rel=1e-9)


@given(SPANS, STIFFNESS, LOADS)
def test_an_even_load_sags_five_eighths_of_the_same_load_at_mid_span(span, stiffness, load):
    assert floor.sag_spread_m(load, span, stiffness) == pytest.approx(
        5 / 8 * floor.sag_point_m(load * span, span, stiffness)
    )


@given(*SIZES, st.floats(1.01, 3))
def test_depth_counts_by_the_cube_width_once(width, depth, factor):
    once = floor.second_moment_m4(width, depth)
    assert floor.second_moment_m4(width * factor, depth) == pytest.approx(factor * once)
    assert floor.second_moment_m4(width, depth * factor) == pytest.approx(factor**3 * once)


def test_fifteen_feet_at_360_is_half_an_inch():
    assert 15 * 12 / 360 == 0.5
    stiffness, load = 1e5, 900.0
    span = floor.stiffness_span_m(stiffness, load, 360)
    assert floor.sag_spread_m(load, span, stiffness) == pytest.approx(span / 360)


def test_a_timber_calculator_page():
    # S: 1.5 x 9.25, 228 in, 133 lb, 1.4e6 psi, 9.1 Hz (truncated: 9.149)
    stiffness = 1.4e6 * PSI * floor.second_moment_m4(1.5 * IN, 9.25 * IN)
    span = 228 * IN
    sag = floor.sag_spread_m(133 * LB_N / span, span, stiffness)
    assert sag / IN == pytest.approx(0.1482, abs=1e-4)
    assert floor.frequency_Hz(span, stiffness, 133 * 0.45359237 / span) == pytest.approx(9.149, abs=0.002)


@pytest.mark.parametrize(("live_psf", "length_in"), [(40, 216), (30, 238)])
def test_a_joist_chart_page(live_psf, length_in):
    # S: 2x10 southern pine No.2 with the older 1.6e6 psi, 12 in, L/360: 18'-0" and 19'-10", 1 in
    stiffness = 1.6e6 * PSI * floor.second_moment_m4(1.5 * IN, 9.25 * IN)
    assert floor.stiffness_span_m(stiffness, live_psf * 47.88026 * 12 * IN, 360) / IN == pytest.approx(length_in, abs=1)


def test_footprints_of_300_lb():
    # 27 in wide, 30 to 34 in deep: 47 to 53 lb/ft2 (D), above 40 as a room average and no breach of it
    deep, shallow = (floor.footprint_Pa(300 * 0.45359237, 27 * IN, depth * IN) / 47.88026 for depth in (34, 30))
    assert (deep, shallow) == pytest.approx((47.06, 53.33), abs=0.01)
    assert pytest.approx(40, abs=0.01) == floor.ROOM_LIVE_LOAD_PA / 47.88026


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: floor.second_moment_m4(0, 1), "width_m: found 0 m"),
        (lambda: floor.sag_spread_m(-1, 1, 1), "load_N_per_m: found -1 N/m"),
        (lambda: floor.sag_point_m(1, 1, math.nan), "stiffness_Nm2: found nan"),
        (lambda: floor.stiffness_span_m(1, 1, 0), "span_per_sag: found 0"),
        (lambda: floor.frequency_Hz(1, 1, 0), "mass_kg_per_m: found 0 kg/m"),
        (lambda: floor.footprint_Pa(100, 0.6, 0), "depth_m: found 0 m"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
