"""Shigley's Mechanical Engineering Design, 9e, example 8-3, pp. 439-440, and table 8-15 (grade P, a copy)."""

import math

import pytest

from dryfloor.engine.physics.stand.locknut import NUT_FACTOR, nut_torque_Nm, thread_torque_Nm

LBF, IN = 4.4482216152605, 0.0254
PULL, DIAMETER, PITCH = 25e3 * LBF, 0.75 * IN, IN / 16


def test_8_3b_by_the_torque_coefficient() -> None:
    """25 kip, 3/4 in, K .2: 3750 lbf in, exact (P)."""
    assert nut_torque_Nm(PULL, DIAMETER, 0.2) / (LBF * IN) == pytest.approx(3750, rel=1e-12)


def test_8_3c_by_the_thread() -> None:
    """16 threads per inch, both frictions .15: 3551 lbf in, within .1 % (P)."""
    assert thread_torque_Nm(PULL, DIAMETER, PITCH, 0.15, 0.15) / (LBF * IN) == pytest.approx(3551, rel=1e-3)
    mean_in = 0.75 - 0.649519 / 16
    assert mean_in == pytest.approx(0.7093, abs=2e-4)
    assert math.degrees(math.atan(1 / 16 / (math.pi * mean_in))) == pytest.approx(1.6066, abs=5e-4)


def test_table_8_15() -> None:
    """Torque coefficients, exact (P)."""
    assert [NUT_FACTOR[k] for k in ("black", "zinc", "lubricated", "cadmium", "anti-seize")] == [
        0.30,
        0.20,
        0.18,
        0.16,
        0.12,
    ]


@pytest.mark.parametrize(
    ("diameter_in", "pitch_in", "lbf_ft"),
    [(1 / 4, 1 / 20, 6), (5 / 16, 1 / 18, 12), (3 / 8, 1 / 16, 21), (1 / 2, 1 / 13, 51)],
)
def test_grade_2_bolts_of_a_conveyor_maker(diameter_in: float, pitch_in: float, lbf_ft: float) -> None:
    """Conveyor maker's safety guide p. 10: 75 % of yield (43 000 psi on the stress area), K .2; within .5 lbf ft (P)."""
    area_in2 = math.pi / 4 * (diameter_in - 0.9743 * pitch_in) ** 2
    pull = 43_000 * area_in2 * LBF
    assert nut_torque_Nm(pull, diameter_in * IN, NUT_FACTOR["zinc"]) / (LBF * 12 * IN) == pytest.approx(lbf_ft, abs=0.5)
