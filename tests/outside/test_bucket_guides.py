"""Calculator guides to the bucket method (S), a hose-bibb range (C), and arithmetic (D)."""

import math

import pytest

from dryfloor.engine.physics.supply import flow as supply

GAL = 231 * 0.0254**3
GPM = GAL / 60


@pytest.mark.parametrize(("gal", "s", "gpm"), [(5, 38, 7.895), (5, 30, 10.0), (15, 45, 20.0), (5, 25, 12.0)])
def test_bucket(gal: float, s: float, gpm: float) -> None:
    """S, exact to the three decimals given."""
    assert round(supply.bucket_flow(gal * GAL, s).flow_m3_s / GPM, 3) == gpm


def test_bucket_truncated_in_print() -> None:
    """S, 5 gal in 45 s: 6.67 gpm and 25.2 L/min within .01 and .05; a page truncates to 6.6, wrong in print."""
    flow = supply.bucket_flow(5 * GAL, 45).flow_m3_s
    assert flow / GPM == pytest.approx(6.67, abs=0.01)
    assert flow * 60e3 == pytest.approx(25.2, abs=0.05)
    assert round(flow / GPM, 1) != 6.6


def test_hose_bibb_is_plausible() -> None:
    """C: a hose bibb gives 5 to 12 gpm; each worked bucket but the 15 gal one lies inside."""
    for s in (38, 30, 25, 45):
        assert 5 <= round(supply.bucket_flow(5 * GAL, s).flow_m3_s / GPM, 9) <= 12


def test_fill_time() -> None:
    """D, exact: 15 gal at 3 and 5 gpm; at 20 psi a fill takes sqrt 3 as long as at 60."""
    assert supply.fill_time(15 * GAL, 3 * GPM) == pytest.approx(300, rel=1e-12)
    assert supply.fill_time(15 * GAL, 5 * GPM) == pytest.approx(180, rel=1e-12)
    slow = supply.fill_time(15 * GAL, supply.flow_at_pressure(5 * GPM, 60, 20))
    assert slow / 180 == pytest.approx(math.sqrt(3), rel=1e-12)


def test_psi_in_feet_of_water() -> None:
    """D: 1 psi = 2.31 ft, 2.311 at 62.3 lb/ft3; within 0.2 %."""
    density = 62.3 * 0.45359237 / 0.3048**3
    assert supply.water_column(6894.757, density) / 0.3048 == pytest.approx(2.311, abs=0.0005)
    assert supply.water_column(6894.757) / 0.3048 == pytest.approx(2.31, rel=0.002)
