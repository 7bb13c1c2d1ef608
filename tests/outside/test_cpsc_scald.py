"""US CPSC tap-water alert as quoted (S): four burn times; a water-heater leaflet (S) shows what lies between is no promise."""

import math

import pytest

from dryfloor.engine.measurement.quantity import parse
from dryfloor.engine.physics.supply import scald
from tests.support.shipped import shipped

NODES = {150: 2, 140: 6, 130: 30, 120: 300}


def celsius(F: float) -> float:
    """°F in °C."""
    return (F - 32) / 1.8


@pytest.mark.parametrize(("F", "s"), NODES.items())
def test_nodes(F: float, s: float) -> None:
    """S, exact at the nodes."""
    burn = scald.burn_time(celsius(F))
    assert burn.published_s == burn.at_least_s == burn.at_most_s == s


def test_nodes_in_celsius() -> None:
    """48.9, 54.4, 60.0 and 65.6 °C, within .05, are the nodes; times fall strictly."""
    printed = [48.9, 54.4, 60.0, 65.6]
    assert [C for C, _ in scald.ADULT_NODES] == [pytest.approx(C, abs=0.05) for C in printed]
    times = [scald.burn_time(C).published_s or 0 for C in printed]
    assert times == sorted(times, reverse=True)
    assert len(set(times)) == 4


@pytest.mark.parametrize(("F", "s", "slowest"), [(125, 94.9, 120), (135, 13.4, 10), (145, 3.46, 3)])
def test_between_is_never_a_safe_time(F: int, s: float, slowest: float) -> None:
    """S: log-linear 94.9, 13.4, 3.46 s, half a last digit; optimistic by up to 35 % against the leaflet. Only bounds are published."""
    burn = scald.burn_time(celsius(F))
    assert burn.estimate_s == pytest.approx(s, rel=0.005)
    assert burn.estimate_s is not None
    assert burn.estimate_s <= 1.35 * slowest
    assert burn.published_s is None
    assert burn.caution == "never show as a safe time"
    assert burn.at_least_s == NODES[F + 5] <= slowest


def test_outside_the_nodes() -> None:
    """Above 150 °F nothing is promised from below; under 120 °F no time is published at all."""
    assert scald.burn_time(70)[:4] == (0.0, 2.0, None, None)
    assert scald.burn_time(45)[:4] == (300.0, math.inf, None, None)
    assert scald.burn_time(45).caution == "never show as a safe time"


def fit_s(C: float) -> float:
    """Feldman and others' fit of Moritz and Henriques, adult full thickness, as a medical calculator prints it (S)."""
    if C >= 58.3:
        return 0.05322 * C**2 - 7.437 * C + 262.4
    if C >= 52.1:
        return 1.441 * C**2 - 168.2 * C + 4917
    if C >= 51.3:
        return 2675 - 50 * C
    x = math.log(C)
    return math.exp(34.58 * x**2 - 294.8 * x + 629.2)


def test_fit_of_burn_experiments() -> None:
    """S: within 3 % of the alert at 120 and 130 °F; the order of magnitude at 140 and 150 (7.8 and 3.6 s)."""
    for F in (120, 130):
        assert fit_s(celsius(F)) == pytest.approx(scald.burn_time(celsius(F)).published_s, rel=0.03)
    for F, s in ((140, 7.8), (150, 3.6)):
        assert fit_s(celsius(F)) == pytest.approx(s, abs=0.05)
        assert 0.5 < s / NODES[F] < 2


def test_infants_burn_sooner() -> None:
    """S, a trade leaflet: 150 °F .5 s, 140 °F 1 s, 120 °F 4 min."""
    for F, s in ((150, 0.5), (140, 1), (120, 240)):
        burn = scald.burn_time(celsius(F), scald.INFANT_NODES)
        assert burn.published_s == s < NODES[F]


def test_heater_setting() -> None:
    """S: a heater at 120 °F; the kb's rule has the same limit."""
    assert pytest.approx(120) == scald.HEATER_C * 1.8 + 32
    assert parse(shipped().rules["water-heater-setting"].max or "", "temperature") == pytest.approx(scald.HEATER_C)
