"""EN 12056-3:2000, vertical rainwater pipes, as restated by an engineering calculator. Grade S; 0.2 %."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.drain import stack


def capacity_si(bore_m: float, fill: float, roughness_mm: float = 0.25) -> float:
    """Return the standard's own form, Q = 2.5e-4 k^(-1/6) d^(8/3) f^(5/3), L/s and mm, in m3/s: a second opinion on ours in inches (S)."""
    return 2.5e-4 * roughness_mm ** (-1 / 6) * (bore_m * 1000) ** (8 / 3) * fill ** (5 / 3) / 1000


@given(st.floats(0.03, 0.5), st.floats(0.05, 1))
def test_si_form_over_inch_form(bore_m: float, fill: float) -> None:
    ratio = capacity_si(bore_m, fill) / stack.stack_capacity(bore_m, fill)
    assert ratio == pytest.approx(1, rel=0.002)
    assert ratio == pytest.approx(1.0012, abs=5e-5)


@pytest.mark.parametrize(("bore_mm", "litres_per_s"), [(50, 1.68), (75, 4.97), (100, 10.69)])
def test_a_third_full(bore_mm: int, litres_per_s: float) -> None:
    """Derived (D), f 0.33; two decimals. The standard's own table (1.7, 5.0, 10.7) is M, from memory, unverified."""
    assert capacity_si(bore_mm / 1000, 0.33) * 1000 == pytest.approx(litres_per_s, abs=0.006)
