"""Siphon speeds: a textbook's problem as solved by two others, and a university practice final. Grade S; 0.01 m/s.

Then vectors derived here (D): levels over the floor, and hoses with losses at 1 %.
"""

import math

import pytest

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import siphon

INCH, FOOT, GPM = 0.0254, 0.3048, 3.785411784e-3 / 60


@pytest.mark.parametrize(("head", "speed"), [(1.00, 4.43), (4.00, 8.85)])
def test_textbook_and_exam(head: float, speed: float) -> None:
    assert siphon.siphon_speed(head) == pytest.approx(speed, abs=0.01)


def test_a_question_bank_takes_the_loss_off_the_head() -> None:
    """v = sqrt(2 g (H - h_f)) (S): the same thing as K speed heads of loss."""
    speed = siphon.siphon_speed(1.0, 1.5)
    lost = 1.5 * speed**2 / (2 * friction.GRAVITY_MS2)
    assert speed == pytest.approx(math.sqrt(2 * friction.GRAVITY_MS2 * (1.0 - lost)), rel=1e-12)


@pytest.mark.parametrize(
    ("level", "end", "weir", "sealed", "head", "ft_s"),
    [
        (20, 36, 12, False, -16, 0),
        (20, 36, 12, True, 8, 6.55),
        (20, 12, 6, False, 8, 6.55),
        (30, 28, 10, False, 2, 3.28),
    ],
)
def test_levels_over_the_floor(level: int, end: int, weir: int, sealed: bool, head: int, ft_s: float) -> None:
    """Derived (D); inches, speeds to two decimals."""
    found = siphon.siphon_head(level * INCH, siphon.siphon_outlet(end * INCH, weir * INCH, sealed))
    assert found / INCH == pytest.approx(head, abs=1e-9)
    assert siphon.siphon_speed(found) / FOOT == pytest.approx(ft_s, abs=0.006)


@pytest.mark.parametrize(
    ("bore_in", "times", "gpm"),
    [
        (0.875, 1, (3.39, 4.90, 7.07)),
        (1.0, 1, (4.62, 6.66, 9.58)),
        (0.875, 2, (2.72, 3.98, 5.79)),
        (1.0, 2, (3.78, 5.50, 7.99)),
    ],
)
def test_six_feet_of_hose(bore_in: float, times: int, gpm: tuple[float, ...]) -> None:
    """Derived (D): K 1.5, smooth, Colebrook, heads of 3, 6 and 12 in; 1 %."""
    for head, expected in zip((3, 6, 12), gpm, strict=True):
        flow = siphon.siphon_flow(head * INCH, bore_in * INCH, 6 * FOOT, 1.5, friction_times=times)
        assert flow / GPM == pytest.approx(expected, rel=0.01)
