"""IPC Table 909.1 (906.1 in older editions), trap weir to vent at 1/4 in/ft, as quoted by a trade magazine. S; exact."""

import pytest

from dryfloor.engine.physics.drain import air_gap, full_bore


@pytest.mark.parametrize(("inches", "feet"), [(1.25, 5), (1.5, 6), (2, 8), (3, 12), (4, 16)])
def test_weir_to_vent_is_the_bore_over_the_slope(inches: float, feet: int) -> None:
    assert air_gap.vent_distance(inches * 0.0254, (1 / 4) / 12) / 0.3048 == pytest.approx(feet, rel=1e-12)


def test_twenty_feet_at_a_quarter_inch_fall_five_inches() -> None:
    """A calculator page (S): exact. The slope is 2.083 %, not 2."""
    assert full_bore.run_head(0, 20 * 0.3048, 1e-9, 1 / 48) / 0.0254 == pytest.approx(5.0, abs=1e-6)
