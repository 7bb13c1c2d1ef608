"""van Zyl and Clayton 2006: flow through a fixed opening goes with the square root of pressure (exponent S, values D)."""

import pytest

from dryfloor.engine.physics.supply import flow


@pytest.mark.parametrize(("psi", "gpm"), [(20, 2.887), (30, 3.536), (40, 4.082), (80, 5.774), (120, 7.071)])
def test_five_gpm_at_sixty_psi(psi: float, gpm: float) -> None:
    """Within .001 gpm."""
    assert flow.flow_at_pressure(5, 60, psi) == pytest.approx(gpm, abs=0.001)


def test_field_exponents_are_higher() -> None:
    """S: leaks in the field often follow a higher exponent, so pressure matters more to them."""
    assert flow.flow_at_pressure(5, 60, 80, 1.0) > flow.flow_at_pressure(5, 60, 80)
