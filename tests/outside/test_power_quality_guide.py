"""A meter maker's power-quality guide, p. 6, and its page on outlets (grade P); trade press beside it (grade S)."""

import pytest

from dryfloor.engine.physics.power.receptacle import diagnose, neutral_ground, sum_gap_V


def test_sum_of_a_loaded_outlet() -> None:
    """118.5 + 1.5 = 120.0, exact (P)."""
    assert sum_gap_V(118.5, 120.0, 1.5) == 0.0
    finding = diagnose(118.5, 120.0, 1.5, load="elsewhere", load_A=12)
    assert [fault.id for fault in finding.faults] == ["correct"]
    assert finding.sum_holds
    assert finding.settled


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [(0.05, "suspect bond"), (1.5, "fine"), (2.0, "fine"), (3.0, "high"), (5.0, "high"), (5.1, "over")],
)
def test_neutral_to_ground_under_load(volts: float, verdict: str) -> None:
    """Up to 2 V fine, 5 V the upper limit (P); at most .10 V under 8 A or more is suspect (S)."""
    assert neutral_ground(volts, 8) == verdict
