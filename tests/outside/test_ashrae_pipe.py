"""ASHRAE Fundamentals 2009, ch. 23 eq. 1, p. 23.4, as quoted (S): hours for still water in a pipe to reach 32 °F (values D)."""

import math

import pytest

from dryfloor.engine.physics.cold import pipe_frost

IN = 0.0254
K = 1055.05585262 * IN / (3600 * 0.3048**2 * (5 / 9))  # 1 Btu in/(h ft2 °F) in W/mK


def celsius(F: float) -> float:
    """°F in °C."""
    return (F - 32) / 1.8


def in_pounds_and_inches(D1: float, D2: float, D3: float, k: float, start_F: float, air_F: float) -> float:
    """The form as printed, 62.4 lb/ft3 and 1 Btu/lb°F, in hours."""
    RT = 12 * math.log(D3 / D2) / (2 * math.pi * k)
    return 62.4 * 1 * math.pi * (D1 / 24) ** 2 * RT * math.log((start_F - air_F) / (32 - air_F))


@pytest.mark.parametrize(("bore", "outside", "hours"), [(0.622, 0.84, 0.278), (2.067, 2.375, 1.538)])
def test_one_inch_of_insulation(bore: float, outside: float, hours: float) -> None:
    """D (published table not seen): k .30, 42 °F, 0 °F; half a last digit, and the printed form within .05 %."""
    shell = pipe_frost.shell_resistance(outside * IN, (outside + 2) * IN, 0.30 * K)
    ours = pipe_frost.pipe_time_to_zero(bore * IN, shell, celsius(42), celsius(0)) / 3600
    assert ours == pytest.approx(hours, abs=0.0005)
    assert ours == pytest.approx(in_pounds_and_inches(bore, outside, outside + 2, 0.30, 42, 0), rel=5e-4)


def test_insulation_does_not_prevent() -> None:
    """However thick, the time is finite below 32 °F, and infinite at it."""
    shell = pipe_frost.shell_resistance(0.02, 2.0, 0.03)
    assert math.isfinite(pipe_frost.pipe_time_to_zero(0.015, shell, 10, -1))
    assert pipe_frost.pipe_time_to_zero(0.015, shell, 10, 0) == math.inf
