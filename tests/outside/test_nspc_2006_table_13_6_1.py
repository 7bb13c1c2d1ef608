"""National Standard Plumbing Code 2006 Illustrated, Table 13.6.1 and its footnote 1: vertical conductors 7/24 full.

Grade P (page copy). Capacities to the whole gpm; the same rows as roof area at 1 in/h, area/96.25, to 0.05 %.
"""

import pytest

from dryfloor.engine.physics.drain import stack

INCH, GPM = 0.0254, 3.785411784e-3 / 60
GALLONS = {2: 23, 3: 67, 4: 144, 5: 261, 6: 424, 8: 913, 10: 1655, 12: 2692, 15: 4880}
ROOF_FT2 = {2: 2180, 3: 6426, 4: 13840, 5: 25094, 6: 40805, 8: 87878, 10: 159334, 12: 259095, 15: 469771}


@pytest.mark.parametrize(("inches", "gpm"), GALLONS.items())
def test_whole_gallons(inches: int, gpm: int) -> None:
    assert round(stack.stack_capacity(inches * INCH, 7 / 24) / GPM) == gpm


@pytest.mark.parametrize(("inches", "area_ft2"), ROOF_FT2.items())
def test_roof_area_recovers_the_unrounded_capacity(inches: int, area_ft2: int) -> None:
    assert stack.stack_capacity(inches * INCH, 7 / 24) / GPM == pytest.approx(area_ft2 / 96.25, rel=5e-4)


@pytest.mark.parametrize(
    ("inches", "quarter", "seven_24ths", "third"),
    [(1.5, 8.13, 10.51, 13.13), (2, 17.51, 22.64, 28.29), (3, 51.63, 66.76, 83.40), (1.610, 9.82, 12.70, 15.86),
     (2.067, 19.12, 24.72, 30.89), (3.068, 54.81, 70.87, 88.54)],
)  # fmt: skip
def test_other_fills_and_true_bores(inches: float, quarter: float, seven_24ths: float, third: float) -> None:
    """Derived (D) from the form the table confirms; two decimals."""
    for fill, gpm in ((1 / 4, quarter), (7 / 24, seven_24ths), (1 / 3, third)):
        assert stack.stack_capacity(inches * INCH, fill) / GPM == pytest.approx(gpm, abs=0.006)


def test_terminal_speed_and_length() -> None:
    """2 in at 7/24: 7.92 ft/s, and 3.3 ft or 1.3 times a 30 in standpipe (D); the two forms are M, from memory, unverified."""
    flow = stack.stack_capacity(2 * INCH, 7 / 24)
    assert stack.terminal_speed(flow, 2 * INCH) / 0.3048 == pytest.approx(7.92, abs=0.005)
    length = stack.terminal_length(flow, 2 * INCH)
    assert length / 0.3048 == pytest.approx(3.3, abs=0.05)
    assert length / (30 * INCH) == pytest.approx(1.3, abs=0.05)
