"""A standpipe as it fills: stepped in time with another library's friction, a plugged and a free trap, and what must grow with what."""

import math

import numpy as np
import pytest
from fluids.friction import Colebrook
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from dryfloor.engine.physics.drain.full_bore import full_bore_flow, run_head, standpipe_run
from dryfloor.engine.physics.drain.standpipe_filling import standpipe_filling_time

GPM, INCH, G = 3.785411784e-3 / 60, 0.0254, 9.80665
NU = 1.0016e-3 / 998.206  # water at 20 C (IAPWS-IF97)
PIPE = (39 * INCH, 1.5 * INCH, 36 * INCH, 1.5 * INCH)
HOSE = {"hose_diameter_m": 0.0286, "insertion_m": 6 * INCH}

HEIGHTS, BORES, ARMS = st.floats(0.3, 1.2), st.floats(0.035, 0.06), st.floats(0, 2.5)
INFLOWS, CLOSED = st.floats(5 * GPM, 25 * GPM), st.floats(0, 0.95)


def friction_m(flow, bore, length):
    speed = flow / (math.pi * bore**2 / 4)
    reynolds = speed * bore / NU
    factor = 64 / reynolds if reynolds < 2040 else Colebrook(reynolds, 1.5e-6 / bore)
    return factor * length / bore * speed**2 / (2 * G)


def leaves(level, bore, arm, trap, closed):
    """Outflow at a level above the weir; pipe as wide as the trap, so that there is no step between them."""
    head, lined = level + arm / 48 - trap / 2, trap * math.sqrt(1 - closed)
    if head <= 0:
        return 0.0

    def spare(flow):
        speed = flow / (math.pi * lined**2 / 4)
        return head - friction_m(flow, bore, level) - friction_m(flow, lined, 0.3 + arm) - 2.5 * speed**2 / (2 * G)

    return brentq(spare, 1e-9, 0.1, xtol=1e-15) if spare(1e-9) > 0 else 0.0


def stepped(inflow, height, bore, arm, trap, closed, hose, inside, dt=2e-4):
    """Water in the pipe, step by step in time, until it stands at the top."""
    levels = np.linspace(0, height, 300)
    off = np.array([leaves(z, bore, arm, trap, closed) for z in levels])
    level, now = 0.0, 0.0
    while level < height:
        area = math.pi / 4 * (bore**2 - (hose**2 if level > height - inside else 0))
        level += (inflow - np.interp(level, levels, off)) / area * dt
        now += dt
        if now > 60:
            return math.inf
    return now


@pytest.mark.parametrize(
    ("inflow", "height", "bore", "arm", "closed"),
    [
        (17 * GPM, 39 * INCH, 1.5 * INCH, 36 * INCH, 0.60),
        (17 * GPM, 39 * INCH, 1.5 * INCH, 36 * INCH, 0.75),
        (17 * GPM, 30 * INCH, 2.067 * INCH, 60 * INCH, 0.80),
        (20 * GPM, 18 * INCH, 1.61 * INCH, 60 * INCH, 0.50),
        (10 * GPM, 42 * INCH, 1.5 * INCH, 0.0, 0.90),
        (17 * GPM, 30 * INCH, 2.067 * INCH, 60 * INCH, 0.30),  # keeps up
    ],
)
def test_stepping_through_time_gives_the_same(inflow, height, bore, arm, closed):
    expected = stepped(inflow, height, bore, arm, bore, closed, 0.0286, 6 * INCH)
    found = standpipe_filling_time(inflow, height, bore, arm, bore, blocked_share=closed, **HOSE)
    assert found == (math.inf if expected == math.inf else pytest.approx(expected, rel=2e-3))


def test_the_example_is_seconds_and_not_a_minute():
    """D: volume over the surplus at full head says 57 s; the surplus is that small for the last inch only."""
    assert standpipe_filling_time(17 * GPM, *PIPE, blocked_share=0.6, **HOSE) == pytest.approx(4.7, abs=0.05)


@given(INFLOWS, HEIGHTS, BORES, ARMS, st.floats(0, 0.03), st.floats(0, 1.5))
def test_plugged_it_is_volume_over_inflow(inflow, height, bore, arm, hose, inside):
    volume = math.pi / 4 * (bore**2 * height - hose**2 * min(inside, height))
    found = standpipe_filling_time(inflow, height, bore, arm, bore, 1 / 48, 1.0, hose, inside)
    assert found == pytest.approx(volume / inflow, rel=1e-12)


@given(INFLOWS, HEIGHTS, BORES, ARMS, CLOSED)
def test_it_runs_over_just_where_a_full_pipe_passes_less_than_comes(inflow, height, bore, arm, closed):
    passes = full_bore_flow(run_head(height, arm, bore), standpipe_run(height, bore, arm, bore, closed))
    found = standpipe_filling_time(inflow, height, bore, arm, bore, blocked_share=closed)
    assert (found == math.inf) == (passes >= inflow)
    if passes < inflow:  # between nothing and all of a full pipe's outflow leaving from the start
        volume = math.pi / 4 * bore**2 * height
        assert volume / inflow * (1 - 1e-9) <= found <= volume / (inflow - passes) * (1 + 1e-9)


@settings(max_examples=150)
@given(INFLOWS, HEIGHTS, BORES, BORES, ARMS, CLOSED, st.floats(1.02, 1.5), st.floats(0.01, 0.5))
def test_more_lint_more_water_and_a_shorter_pipe_run_over_sooner(inflow, height, bore, trap, arm, closed, times, more):
    def full_in(q=inflow, h=height, b=closed):
        return standpipe_filling_time(q, h, bore, arm, trap, blocked_share=b, **HOSE)

    assume(bore > 0.03)
    usual, slack = full_in(), 1 - 1e-3  # of the steps
    assert full_in(q=inflow * times) * slack <= usual
    assert full_in(b=closed + (1 - closed) * more) * slack <= usual
    assert full_in(h=height * times) >= usual * slack or usual == math.inf


@given(INFLOWS, HEIGHTS, BORES, BORES, ARMS, CLOSED, st.floats(0, 0.2))
def test_any_pipe_has_a_time(inflow, height, bore, trap, arm, closed, slope):
    found = standpipe_filling_time(inflow, height, bore, arm, trap, slope, closed)
    assert found > 0


def test_near_the_balance_it_grows_without_a_jump():
    edge = brentq(
        lambda b: full_bore_flow(run_head(PIPE[0], PIPE[2], PIPE[3]), standpipe_run(*PIPE, b)) - 17 * GPM, 0.3, 0.9
    )
    times = [standpipe_filling_time(17 * GPM, *PIPE, blocked_share=edge + d) for d in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6)]
    assert times == sorted(times)
    steps = np.diff(times)
    assert steps[1:] == pytest.approx(steps[-1], rel=0.1)  # a logarithm: the same for each tenth of the surplus


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ((-1e-3, 1, 0.04, 1, 0.04), "inflow_m3s"),
        ((1e-3, -1, 0.04, 1, 0.04), "standpipe_m"),
        ((1e-3, 1, 0.0, 1, 0.04), "bore_m"),
        ((1e-3, 1, 0.04, 1, 0.04, 0.02, 2.0), "blocked_share"),
        ((1e-3, 1, 0.04, 1, 0.04, 0.02, 0.0, 0.05), "hose_diameter_m"),
    ],
)
def test_impossible_inputs_are_refused(values, said):
    with pytest.raises(ValueError, match=said):
        standpipe_filling_time(*values)
