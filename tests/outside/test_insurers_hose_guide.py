"""Insurers' guide to washer hoses, citing an institute of the insurance industry; studylib.net/doc/18298494 (P)."""

import pytest

from dryfloor.engine.physics.supply import flow

GAL = 231 * 0.0254**3


def test_burst_hose() -> None:
    """P: about 650 gal/h, 10.83 gpm (D), 2.71 short tons an hour (D, where it rounds to 2 1/2); half a last digit."""
    assert flow.spilled_volume(3600) / GAL == pytest.approx(650, rel=1e-12)
    assert flow.spilled_volume(60) / GAL == pytest.approx(10.83, abs=0.005)
    assert flow.spilled_volume(3600) * 998.206 / 907.18474 == pytest.approx(2.71, abs=0.005)


def test_six_gpm_rejected() -> None:
    """Its "6 gpm" is 360 gal/h, wrong in print beside 650 gal/h."""
    assert flow.spilled_volume(3600, 6 * GAL / 60) / GAL == pytest.approx(360)
    assert flow.spilled_volume(60) / GAL > 10


def test_equal_to_a_sharp_hole() -> None:
    """D: at 60 psi it equals a sharp hole (Cd .62) of .275 in; within .0005."""
    speed = (2 * 60 * 6894.757 / 998.206) ** 0.5
    bore = (flow.BURST_HOSE_m3_s / (0.62 * speed) * 4 / 3.141592653589793) ** 0.5
    assert bore / 0.0254 == pytest.approx(0.275, abs=0.0005)
