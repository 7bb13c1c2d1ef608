"""UPC 804.1 (2018, 2024) and its commentary: standpipe 18 to 30 in above a trap that is 6 to 18 in above the floor.

So its top is 24 to 48 in above the floor. Grade P; exact.
"""

import pytest

from dryfloor.engine.physics.drain import standpipe

INCH = 0.0254


@pytest.mark.parametrize(("over_trap", "trap", "over_floor"), [(18, 6, 24), (30, 18, 48)])
def test_standpipe_top_over_the_floor(over_trap: int, trap: int, over_floor: int) -> None:
    assert standpipe.above_floor(over_trap * INCH, trap * INCH) / INCH == pytest.approx(over_floor, abs=1e-9)
    assert standpipe.above_weir(over_floor * INCH, trap * INCH) / INCH == pytest.approx(over_trap, abs=1e-9)


def test_a_top_that_the_code_allows_lies_lower_over_the_feet_of_a_raised_washer() -> None:
    """Derived (D): 48 in above the floor is 33 in above feet on a 15 in pedestal, below common practice (C, 39 in)."""
    assert standpipe.above_feet(48 * INCH, 15 * INCH) / INCH == pytest.approx(33, abs=1e-9)
