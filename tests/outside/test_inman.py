"""Inman, Engineering Vibration, problems 5.6 and 5.8 (grade P, a copy of the publisher's solutions)."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from dryfloor.engine.physics.stand import unbalance

R_58 = 300 * 2 * math.pi / 60 / math.sqrt(1000 / 20)  # 300 rpm over sqrt(k/m)


def test_5_8_a_washing_machine_swings_and_pushes_the_floor() -> None:
    """m0 10 kg in 20 kg moving, 2e .50 m, 300 rpm, k 1000 N/m, damping .01: .1317 m, 132 N, within .5 % (P)."""
    assert pytest.approx(4.443, rel=1e-3) == R_58
    assert unbalance.unbalance_swing_m(10, 0.25, 20, R_58, 0.01) == pytest.approx(0.1317, rel=5e-3)
    force = unbalance.unbalance_force_N(10, 0.25, 300 / 60) * unbalance.transmissibility(R_58, 0.01)
    assert force == pytest.approx(132, rel=5e-3)


def test_5_8_step_by_step_in_time() -> None:
    """The same machine integrated until its start has died out (D): five digits."""
    natural, spin, damping = math.sqrt(50), 10 * math.pi, 0.01

    def motion(t: float, state: list[float]) -> list[float]:
        push = 10 * 0.25 * spin**2 / 20 * math.sin(spin * t)
        return [state[1], push - 2 * damping * natural * state[1] - natural**2 * state[0]]

    settle = 14 / (damping * natural)
    times = np.linspace(settle, settle + 0.2, 721)
    found = solve_ivp(motion, (0, times[-1]), [0, 0], t_eval=times, rtol=1e-8, atol=1e-10, method="DOP853")
    swing = np.abs(found.y[0]).max()
    passed = 20 * np.abs(natural**2 * found.y[0] + 2 * damping * natural * found.y[1]).max()
    assert unbalance.unbalance_swing_m(10, 0.25, 20, R_58, damping) == pytest.approx(swing, rel=5e-5)
    force = unbalance.unbalance_force_N(10, 0.25, 5) * unbalance.transmissibility(R_58, damping)
    assert force == pytest.approx(passed, rel=5e-5)


def test_5_6_a_machine_on_mounts() -> None:
    """100 kg, 700 kN/m, 350 N at 3000 rpm, damping .2: 3.79e-5 m, T .1368, 47.9 N, within .3 % (P)."""
    ratio = 3000 * 2 * math.pi / 60 / math.sqrt(700e3 / 100)
    swing = 350 / 700e3 * unbalance.magnification(ratio, 0.2)
    passed = unbalance.transmissibility(ratio, 0.2)
    assert (swing, passed, 350 * passed) == pytest.approx((3.79e-5, 0.1368, 47.9), rel=3e-3)
