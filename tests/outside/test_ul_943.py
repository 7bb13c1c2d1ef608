"""UL 943, class A ground-fault devices, as quoted on three pages and in NEC article 100 (grade S)."""

import pytest

from dryfloor.engine.physics.power.ground_fault import longest_trip_s, trips


@pytest.mark.parametrize(("fault_mA", "time_s", "within"), [(20, 1.0, 1e-3), (264, 0.025, 1e-4)])
def test_published_times(fault_mA: float, time_s: float, within: float) -> None:
    """20 mA 1.0 s within .1 %, 264 mA .025 s within .0001 (S)."""
    assert longest_trip_s(fault_mA / 1000) == pytest.approx(time_s, abs=within)


@pytest.mark.parametrize(
    ("fault_mA", "time_s"),
    [(6, 5.5939), (10, 2.6945), (15, 1.5089), (30, 0.5600), (50, 0.2697), (100, 0.1001), (200, 0.0372), (264, 0.02498)],
)
def test_times_between(fault_mA: float, time_s: float) -> None:
    """Derived (D), within half a unit of the last place; 5.59 s at 6 mA is also from memory, unverified (M)."""
    assert longest_trip_s(fault_mA / 1000) == pytest.approx(time_s, abs=5.1e-5)


def test_back_from_the_time() -> None:
    """25 ms is 263.85 mA, 5.59 s is 6.003 mA (D), within .1 %."""
    for time_s, fault_mA in ((0.025, 263.85), (5.59, 6.003)):
        assert 20 / time_s ** (1 / 1.43) == pytest.approx(fault_mA, rel=1e-3)  # the inverse, by hand
        assert longest_trip_s(fault_mA / 1000) == pytest.approx(time_s, rel=1.43e-3)


def test_thresholds() -> None:
    """Not below 4 mA, at 6 mA and more always (S). Wrong in print: "5 mA is below the 4 mA threshold"."""
    assert [trips(mA / 1000) for mA in (3.9, 4.0, 5.0, 5.9, 6.0)] == ["must not", "may", "may", "may", "must"]
