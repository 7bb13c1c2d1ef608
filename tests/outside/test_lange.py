"""Lange's Handbook, 15th ed., T5.13 (P, page copy): propylene glycol; a fluid makers' guide (M); CoolProp's fit (D)."""

import pytest
from scipy.optimize import brentq

from dryfloor.engine.physics.cold import antifreeze

TABLE = [
    (5, -1.1, 30),
    (10, -2.2, 28),
    (15, -3.9, 25),
    (20, -6.7, 20),
    (25, -8.9, 16),
    (30, -12.8, 9),
    (35, -16.1, 3),
    (40, -20.6, -5),
    (45, -26.7, -16),
    (50, -33.3, -28),
]
FIT = [(10, -3.43), (20, -7.38), (30, -13.11), (40, -21.51), (50, -33.66)]


def freezes(share: float) -> float:
    """Freezing point of propylene glycol in water by CoolProp [°C]; its tables take seconds to load, so only where they are asked."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI("T_FREEZE", "T", 293.15, "P", 101325, f"INCOMP::APG[{share:.6f}]")) - 273.15


@pytest.mark.parametrize(("percent", "C", "F"), TABLE)
def test_table(percent: float, C: float, F: float) -> None:
    """P, exact; the °F column agrees within half a degree."""
    assert antifreeze.freezing_point(percent / 100) == C
    assert pytest.approx(F, abs=0.5) == C * 1.8 + 32


@pytest.mark.slow  # importing the library takes three seconds; the printed points are its quick twin
@pytest.mark.parametrize(("percent", "C"), FIT)
def test_against_coolprop(percent: int, C: float) -> None:
    """D: a fit after ASHRAE, computed now, is the printed one within .02 and lies within 1.3 °C of ours."""
    fit = freezes(percent / 100)
    assert fit == pytest.approx(C, abs=0.02)
    assert antifreeze.freezing_point(percent / 100) == pytest.approx(fit, abs=1.3)


@pytest.mark.slow
@pytest.mark.parametrize("percent", range(10, 51))
def test_colder_by_coolprop(percent: int) -> None:
    """D: over 10 to 50 % the fit is never warmer than ours, so that ours asks for no less glycol than it does."""
    assert antifreeze.freezing_point(percent / 100) > freezes(percent / 100)


@pytest.mark.parametrize(("percent", "C"), FIT)
def test_printed_fit(percent: float, C: float) -> None:
    """D: CoolProp's printed points, within 1.3 °C."""
    assert antifreeze.freezing_point(percent / 100) == pytest.approx(C, abs=1.3)


GUIDE = [(20, 18, 18.4), (10, 29, 28.7), (0, 36, 36.0), (-10, 42, 41.8), (-20, 46, 46.5)]


@pytest.mark.parametrize(("F", "guide", "inverted"), GUIDE)
def test_makers_guide(F: float, guide: float, inverted: float) -> None:
    """M, from memory, unverified: freeze protection. CoolProp inverted (D) agrees within .6 %; ours never asks for less glycol."""
    assert inverted == pytest.approx(guide, abs=0.6)
    ours = 100 * antifreeze.share_needed((F - 32) / 1.8)
    assert guide <= ours <= guide + 2


@pytest.mark.slow
@pytest.mark.parametrize(("F", "guide", "inverted"), GUIDE)
def test_inverted_by_coolprop(F: float, guide: float, inverted: float) -> None:
    """D: the printed inversions, computed now."""
    share = brentq(lambda x: freezes(x) - (F - 32) / 1.8, 0.1, 0.6)
    assert 100 * share == pytest.approx(inverted, abs=0.05)


def test_dilution() -> None:
    """D: 1 qt of 50 % and 1 pt of water make 33.3 %, about -15.0 °C (5 °F)."""
    mix = antifreeze.dilute(0.5, 2.0, 1.0)
    assert 100 * mix == pytest.approx(33.3, abs=0.05)
    assert antifreeze.freezing_point(mix) == pytest.approx(-15.0, abs=0.05)
    assert antifreeze.freezing_point(mix) * 1.8 + 32 == pytest.approx(5, abs=0.1)
