"""Pump curve meets system curve: a hydraulics practice question with its answer. Grade S; 0.01.

The formulas are free of units, so the questions' own units stand in for SI.
"""

import math

import pytest

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import pump


def test_straight_curve() -> None:
    """60 - 0.8 Q meets 20 + 0.5 Q^2 (S)."""
    duty = pump.operating_point(pump.Pump(60, 60 / 0.8, power=1), 20, 0.5)
    assert duty == pytest.approx((8.18, 53.46), abs=0.01)


def test_parabola() -> None:
    """7.46 - 0.0453 Q^2 meets 3.52 + 0.0261 Q^2: statement S (a textbook's type), answer derived (D)."""
    duty = pump.operating_point(pump.Pump(7.46, math.sqrt(7.46 / 0.0453)), 3.52, 0.0261)
    assert duty == pytest.approx((7.428, 4.960), abs=0.01)


def test_parabola_against_pipe_friction() -> None:
    """180 - 6.10e-4 Q^2 ft, gpm; lift 50 ft, 600 ft of 4 in, f 0.02. Statement S with its exponent assumed, answer D."""
    area_ft2 = math.pi / 4 * (4 / 12) ** 2
    resistance = 0.02 * 600 / (4 / 12) / (2 * 32.174 * (area_ft2 * 448.831) ** 2)
    duty = pump.operating_point(pump.Pump(180, math.sqrt(180 / 6.10e-4)), 50, resistance)
    assert duty.flow_m3s == pytest.approx(365, abs=1)
    assert duty.head_m == pytest.approx(98.6, abs=0.3)


def test_affinity_laws() -> None:
    """Flow, head and power as the first, second and third power of speed (S)."""
    assert pump.affinity(1.0, 1.0, 1.0, 2.0) == (2.0, 4.0, 8.0)


def test_fifty_feet_of_tubing() -> None:
    """A grey-water FAQ (S): 50 ft of 1 in tubing on the flat costs 1.5 to 3 ft of lift at washer rates, 7 to 10 gpm."""
    for gpm, feet in ((7, 1.54), (10, 2.89)):
        loss = friction.darcy_head_loss(gpm * 3.785411784e-3 / 60, 1.049 * 0.0254, 50 * 0.3048) / 0.3048
        assert 1.5 <= loss <= 3
        assert loss == pytest.approx(feet, abs=0.006), "derived (D)"
