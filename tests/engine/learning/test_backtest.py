"""Scores of findings on cases whose cause is known, worked by hand."""

from math import log

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.learning.backtest import Backtest, Scored, compared, tenths, wilson
from tests.support.lessons import lessons
from tests.support.shipped import shipped


def test_the_scores_of_one_finding():
    right, wrong = Scored("a", 0.9, "a", 0.9), Scored("b", 0.1, "a", 0.8)
    assert right.log_score == pytest.approx(log(0.9))
    assert (right.brier, wrong.brier) == (pytest.approx(0.01), pytest.approx(0.64))
    assert Scored("b", 0.0, "a", 1.0).log_score == pytest.approx(log(1e-6))


def test_tenths_hold_all_and_their_intervals_hold_what_was_seen():
    some = [Scored("a", 0.9, "a", p / 20) for p in range(1, 21)] + [Scored("b", 0.1, "a", 1.0)]
    found = tenths(some)
    assert sum(t.count for t in found) == len(some)
    assert all(t.low <= t.right / t.count <= t.high for t in found)


def test_an_interval_worked_by_another_library():
    """Wilson's score at 90 in 100 (D: scipy's binomtest)."""
    from scipy.stats import binomtest

    low, high = wilson(8, 10)
    other = binomtest(8, 10).proportion_ci(0.90, "wilson")
    assert (low, high) == (pytest.approx(other.low, abs=1e-4), pytest.approx(other.high, abs=1e-4))


def test_a_kb_beside_itself_is_no_better():
    network = network_of(shipped())
    found = compared(network, network, 0, lessons())
    assert (found.gain, found.error) == (0.0, 0.0)
    assert not found.better


def test_few_cases_are_never_enough():
    assert not Backtest(5, 9, 9, 0.5, 0.1, (0.2, 0.1), [], []).better
    assert Backtest(5, 10, 10, 0.5, 0.1, (0.2, 0.1), [], []).better
    assert not Backtest(5, 10, 10, 0.5, 0.1, (0.1, 0.2), [], []).better
