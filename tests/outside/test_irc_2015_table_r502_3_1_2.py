"""IRC 2015, table R502.3.1(2), as quoted on an engineering forum (grade S): 2x10 spruce-pine-fir No.2, 16 in, 40+10 psf."""

import pytest

from dryfloor.engine.physics.stand.floor import WOOD_MODULUS_PA, sag_spread_m, second_moment_m4, stiffness_span_m

IN, PSF = 0.0254, 47.88026


def test_15_ft_5_in_is_governed_by_strength_and_stiff_enough() -> None:
    """15'-5" published (S); live load bends 185 in by .489 in, L/378, under the .514 of L/360 (D), within .001."""
    stiffness = WOOD_MODULUS_PA["spruce-pine-fir no.2"] * second_moment_m4(1.5 * IN, 9.25 * IN)
    live = 40 * PSF * 16 * IN
    sag_in = sag_spread_m(live, 185 * IN, stiffness) / IN
    assert sag_in == pytest.approx(0.489, abs=1e-3)
    assert 185 / sag_in == pytest.approx(378, abs=1)
    assert stiffness_span_m(stiffness, live, 360) / IN > 185
