"""Highest siphon crest at 101.325 kPa from IAPWS-IF97 saturation pressure and density. Grade D; 0.02 m."""

import pytest

from dryfloor.engine.physics import friction
from dryfloor.engine.physics.drain import siphon

WATER = {20: (2339.2, 998.21, 10.11), 40: (7384.9, 992.2, 9.65), 60: (19946.0, 983.2, 8.44)}  # C: Pa, kg/m^3, m


@pytest.mark.parametrize("celsius", WATER)
def test_crest(celsius: int) -> None:
    vapour, density, crest = WATER[celsius]
    assert siphon.max_crest(101325, vapour, density) == pytest.approx(crest, abs=0.005)


def test_without_vapour_pressure() -> None:
    assert siphon.max_crest(101325, 0, 998.206) == pytest.approx(10.35, abs=0.005)


def test_one_inch_of_water() -> None:
    """A plumbing text of the 1920s (S): 1 in of water is 0.579 oz/in^2; 0.5 %."""
    ounces_per_in2 = friction.pressure_of_head(0.0254) / 6894.757 * 16
    assert ounces_per_in2 == pytest.approx(0.579, rel=0.005)
