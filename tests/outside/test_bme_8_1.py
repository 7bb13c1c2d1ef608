"""Budapest University of Technology (BME), problem 8.1, solutionmanual.bme.hu (grade P)."""

import pytest

from dryfloor.engine.physics.stand import resonance
from dryfloor.engine.physics.stand.floor import frequency_Hz, sag_spread_m

LOAD, STIFFNESS = 20e3, 2215e3  # N/m, N m2


def test_at_3_24_m_the_sag_limit_and_5_hz_coincide() -> None:
    """L/250 = 12.96 mm and 5 Hz at 3.24 m, within .5 % (P); the source's 18/sqrt(mm) is 1.4 % above the exact 17.75."""
    sag = sag_spread_m(LOAD, 3.24, STIFFNESS)
    assert sag * 1000 == pytest.approx(12.96, rel=5e-3)
    assert 3.24 / sag == pytest.approx(250, rel=5e-3)
    assert 18 / (sag * 1000) ** 0.5 == pytest.approx(5, rel=5e-3)
    exact = resonance.sag_frequency_Hz(sag)
    assert exact * 18 / 17.752 == pytest.approx(5, rel=5e-3)
    assert exact == pytest.approx(frequency_Hz(3.24, STIFFNESS, LOAD / 9.80665), rel=1e-9)
