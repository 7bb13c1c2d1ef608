"""Water-heater maker's formula sheet, 1986, reviewed 1997 and 2011 (P): percentage of 180 °F water in a mix."""

import pytest

from dryfloor.engine.physics.supply import mixing

SHEET = {
    140: {40: 71, 50: 69, 60: 67, 70: 64, 80: 60},
    120: {40: 57, 50: 54, 60: 50, 70: 45, 80: 40, 90: 33, 100: 25},
    100: {40: 43, 50: 38, 60: 33, 70: 27, 80: 20, 90: 11},
    110: {40: 50, 50: 46, 70: 36, 80: 30},
}
ROWS = [(mixed, cold, share) for mixed, row in SHEET.items() for cold, share in row.items()]


def celsius(F: float) -> float:
    """°F in °C."""
    return (F - 32) / 1.8


def test_entries() -> None:
    """22 entries are checked."""
    assert len(ROWS) == 22


@pytest.mark.parametrize(("mixed", "cold", "share"), ROWS)
def test_hot_share(mixed: float, cold: float, share: float) -> None:
    """P, within half a point."""
    assert 100 * mixing.hot_fraction(celsius(mixed), celsius(180), celsius(cold)) == pytest.approx(share, abs=0.5)


def test_wrong_entry_rejected() -> None:
    """Its 21 for 110 °F mixed, 90 °F cold is wrong in print: 22.2."""
    share = 100 * mixing.hot_fraction(celsius(110), celsius(180), celsius(90))
    assert share == pytest.approx(22.2, abs=0.05)
    assert abs(share - 21) > 0.5
