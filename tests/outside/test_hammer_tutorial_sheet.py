"""Water hammer: a tutorial sheet with answers (S), a calculator page (S), and house sizes (D from sizes of grade M)."""

import math

import pytest

from dryfloor.engine.physics.supply import hammer

IN, FT, PSI, GPM = 0.0254, 0.3048, 6894.757, 231 * 0.0254**3 / 60


def test_problem_3() -> None:
    """S: 1238.35 m/s and 3095.9 kPa within .01 %; the stop in 1 s is rapid, as 2 L / a is 1.70 s."""
    speed = hammer.wave_speed(2060e6, 1000, 0.600, 0.018, 200_000e6)
    assert speed == pytest.approx(1238.345, rel=1e-4)
    stop = hammer.hammer(2.5, 1050, 1.0, speed, 1000)
    assert stop.rise_Pa == pytest.approx(3095.863e3, rel=1e-4)
    assert stop.return_s == pytest.approx(1.70, abs=0.005)
    assert stop.closing == "rapid"


def test_problem_4() -> None:
    """S, exact: a rigid pipe and K 2.0164 GPa give 1420 m/s."""
    assert hammer.wave_speed(2.0164e9, 1000, 0.5, 0.01, math.inf) == pytest.approx(1420, rel=1e-12)


def test_slow_closure() -> None:
    """S, calculator page, V and t inferred from its outputs: 1.6787 s, 242.98 m, 81.58 m; within .1 %."""
    slow, full = hammer.hammer(2, 1000, 5, 1191.4), hammer.hammer(2, 1000, 0, 1191.4)
    assert slow.return_s == pytest.approx(1.6787, rel=1e-3)
    assert full.rise_Pa / (998.206 * 9.80665) == pytest.approx(242.98, rel=1e-3)
    assert slow.rise_Pa / (998.206 * 9.80665) == pytest.approx(81.58, rel=1e-3)
    assert slow.closing == "slow"


def test_rule_of_thumb_rejected() -> None:
    """S: "0.07 V L / t" is no physics. A rigid column gives .0134 and Michaud .0269; it is 2.6 times ours."""
    ours = hammer.hammer(1 * FT, 100 * FT, 10, 1300).rise_Pa / PSI / (1 * 100 / 10)
    assert ours == pytest.approx(0.0269, abs=0.0001)
    assert ours / 2 == pytest.approx(0.0134, abs=0.0001)
    assert 0.07 / ours == pytest.approx(2.6, abs=0.01)


@pytest.mark.parametrize(
    ("bore", "wall", "modulus", "speed", "per", "velocity", "psi", "ms"),
    [
        (0.545, 0.040, 117e9, 1323, 58.4, 6.88, 401, 9.2),
        (0.785, 0.045, 117e9, 1287, 56.8, 3.31, 188, 9.5),
        (0.485, 0.070, 0.8e9, 332, 14.6, 8.68, 127, 37),
    ],
)
def test_house_sizes(
    bore: float, wall: float, modulus: float, speed: float, per: float, velocity: float, psi: float, ms: float
) -> None:
    """D, half a last digit plus .2 %; tube sizes and moduli from memory, unverified (M): copper's 117 GPa is read back from the row."""
    a = hammer.wave_speed(2.193e9, 998.206, bore * IN, wall * IN, modulus)
    v = hammer.pipe_velocity(5 * GPM, bore * IN)
    stop = hammer.hammer(v, 20 * FT, 0, a)
    assert a == pytest.approx(speed, rel=0.002)
    assert hammer.hammer(FT, 20 * FT, 0, a).rise_Pa / PSI == pytest.approx(per, rel=0.002, abs=0.05)
    assert v / FT == pytest.approx(velocity, abs=0.005)
    assert stop.rise_Pa / PSI == pytest.approx(psi, rel=0.003)
    assert stop.return_s * 1e3 == pytest.approx(ms, abs=0.5 if ms > 10 else 0.05)
