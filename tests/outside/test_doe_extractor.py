"""US DOE, 86 FR 49226 (1 Sep 2021, proposed rule): table 4.1 of the extractor, basket 20 in across (grade P, a copy)."""

import math

import pytest

from dryfloor.engine.physics.stand.unbalance import G_M_PER_S2, drum_g

TABLE = [(100, 594), (200, 840), (350, 1111), (500, 1328), (650, 1514)]


@pytest.mark.parametrize(("multiple", "rpm"), TABLE)
def test_drum_g(multiple: float, rpm: float) -> None:
    """100 to 650 g at 594 to 1514 rpm, within .3 % (P)."""
    assert drum_g(rpm / 60, 0.254) == pytest.approx(multiple, rel=3e-3)


@pytest.mark.parametrize(("multiple", "rpm"), TABLE)
def test_speed_back_from_g(multiple: float, rpm: float) -> None:
    """The speed that gives the rounded g exactly lies within 2 rpm of the table's (P; inverse D)."""
    speed = 60 * math.sqrt(multiple * G_M_PER_S2 / 0.254) / (2 * math.pi)
    assert drum_g(speed / 60, 0.254) == pytest.approx(multiple, rel=1e-12)
    assert speed == pytest.approx(rpm, abs=2)
