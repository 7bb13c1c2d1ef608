"""University of Illinois Building Research Council, Gordon 1996 (report P, 20 °F figure S), against the machine's 32 °F (C)."""

import pytest

from dryfloor.engine.measurement.quantity import parse
from dryfloor.engine.physics.cold import frost_alert
from tests.support.shipped import shipped


def celsius(F: float) -> float:
    """°F in °C."""
    return (F - 32) / 1.8


@pytest.mark.parametrize(("F", "on"), [(20, True), (21, False), (-10, True), (31, False)])
def test_supply_pipe(F: float, on: bool) -> None:
    """S, exact: outdoor air at 20 °F alerts, 21 does not; and it warns that wind and gaps freeze pipes above it."""
    pipe, machine = frost_alert.cold_alerts(outdoor_C=celsius(F))
    assert pipe.on is on
    assert machine.on is None
    assert "Wind and gaps" in pipe.note
    assert pipe.grade == "S"
    assert pipe.limit_C == pytest.approx(-6.7, abs=0.05)


@pytest.mark.parametrize(("F", "on"), [(31.9, True), (32, False), (20, True), (40, False)])
def test_machine(F: float, on: bool) -> None:
    """C: below 32 °F beside the machine, another datum and a stricter limit."""
    pipe, machine = frost_alert.cold_alerts(machine_C=celsius(F))
    assert machine.on is on
    assert pipe.on is None
    assert machine.grade == "C"
    assert "common practice" in machine.whose


def test_kb_has_the_same_limits() -> None:
    """The alerts carry the ids and the limits of the kb's rules."""
    rules = shipped().rules
    for alert in frost_alert.cold_alerts():
        assert parse(rules[alert.id].min or "", "temperature") == pytest.approx(alert.limit_C)
