"""Eurocode 5, clause 7.3.3, in an open notebook (grade S): 45 by 220 mm at .4 m, 9 GPa, 3.7 m, 35 kg/m2."""

import pytest

from dryfloor.engine.physics.stand.floor import frequency_Hz, sag_point_m, second_moment_m4

PER_METRE = 9e9 * second_moment_m4(0.045, 0.220) / 0.4  # EI of a strip of floor 1 m wide


def test_first_frequency() -> None:
    """18.38 Hz, within .1 % (S)."""
    assert frequency_Hz(3.7, PER_METRE, 35) == pytest.approx(18.38, rel=1e-3)


def test_sag_under_1_kn() -> None:
    """.630 mm, which is the strip's own sag times the notebook's sharing factor .536, within .1 % (S)."""
    assert sag_point_m(1000, 3.7, PER_METRE) * 0.536 * 1000 == pytest.approx(0.630, rel=1e-3)
