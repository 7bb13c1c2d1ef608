"""EN 12056-3:2000, vertical rainwater pipes, as restated by an engineering calculator. Grade S; 0.2 %."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics import drain


@given(st.floats(0.03, 0.5), st.floats(0.05, 1))
def test_si_form_over_inch_form(bore_m: float, fill: float) -> None:
    ratio = drain.stack_capacity_si(bore_m, fill) / drain.stack_capacity(bore_m, fill)
    assert ratio == pytest.approx(1, rel=0.002)
    assert ratio == pytest.approx(1.0012, abs=5e-5)


@pytest.mark.parametrize(("bore_mm", "litres_per_s"), [(50, 1.68), (75, 4.97), (100, 10.69)])
def test_a_third_full(bore_mm: int, litres_per_s: float) -> None:
    """Derived (D), f 0.33; two decimals. The standard's own table (1.7, 5.0, 10.7) is M, from memory, unverified."""
    assert drain.stack_capacity_si(bore_mm / 1000, 0.33) * 1000 == pytest.approx(litres_per_s, abs=0.006)
