"""Scores of findings on cases whose cause is known, worked by hand."""

from math import log

import numpy as np
import pytest
from msgspec.structs import replace

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.learning.backtest import Backtest, Comparison, Scored, compared, scored, tenths, wilson
from dryfloor.engine.learning.numbers import numbers_of, with_numbers
from tests.support.lessons import lessons
from tests.support.shipped import shipped


def test_the_scores_of_one_finding():
    right, wrong = Scored("a", 0.9, "a", 0.9), Scored("b", 0.1, "a", 0.8)
    assert right.log_score == pytest.approx(log(0.9))
    assert (right.brier, wrong.brier) == (pytest.approx(0.01), pytest.approx(0.64))
    assert Scored("b", 0.0, "a", 1.0).log_score == pytest.approx(log(1e-6))


def test_tenths_hold_all_and_their_intervals_hold_what_was_seen():
    """Of a comparison of a kb with itself: the counts are those of the scores one by one, a wrong finding among them."""
    network = network_of(shipped())
    wrong = next(x for x in lessons() if x.truth)
    cases = [*lessons() * 3, replace(wrong, truth="foot-unloaded")]
    found = compared(network, network, cases)
    some = [s for x in cases if (s := scored(network, x))]
    assert not all(s.best == s.truth for s in some)
    table = tenths(found.before)
    assert sum(t.count for t in table) == len(some) == found.scored
    assert sum(t.right for t in table) == sum(s.best == s.truth for s in some)
    assert sum(t.stated * t.count for t in table) == pytest.approx(sum(s.stated for s in some))
    assert all(t.low <= t.right / t.count <= t.high for t in table)


def test_a_comparison_is_the_mean_and_its_error_however_it_is_parted():
    """Against numpy over the cases one by one."""
    before = network_of(shipped())
    judged = numbers_of(before)
    after = Network(with_numbers(shipped(), {k: p * 0.6 for k, p in judged.items() if k[0] in ("rate", "strength")}))
    some = [*lessons(), *lessons()[:3]]  # what is the same is scored once and counted as often as it came
    parts = compared(before, after, some[1:]) + compared(before, after, some[:1]) + Comparison()
    found = Backtest.of(7, parts)
    pairs = [(a, b) for x in some if (a := scored(before, x)) and (b := scored(after, x))]
    gains = np.array([b.log_score - a.log_score for a, b in pairs])
    assert gains.std() > 0
    assert (found.earlier, found.later, found.scored) == (7, len(some), len(pairs))
    assert found.gain == pytest.approx(gains.mean(), rel=1e-9)
    assert found.error == pytest.approx(gains.std(ddof=1) / np.sqrt(len(gains)), rel=1e-9)
    assert found.brier == pytest.approx((np.mean([a.brier for a, _ in pairs]), np.mean([b.brier for _, b in pairs])))


def test_an_interval_worked_by_another_library():
    """Wilson's score at 90 in 100 (D: scipy's binomtest)."""
    from scipy.stats import binomtest

    low, high = wilson(8, 10)
    other = binomtest(8, 10).proportion_ci(0.90, "wilson")
    assert (low, high) == (pytest.approx(other.low, abs=1e-4), pytest.approx(other.high, abs=1e-4))


def test_a_kb_beside_itself_is_no_better():
    network = network_of(shipped())
    found = Backtest.of(0, compared(network, network, lessons()))
    assert (found.gain, found.error) == (0.0, 0.0)
    assert not found.better


def test_few_cases_are_never_enough():
    assert not Backtest(5, 9, 9, 0.5, 0.1, (0.2, 0.1), [], []).better
    assert Backtest(5, 10, 10, 0.5, 0.1, (0.2, 0.1), [], []).better
    assert not Backtest(5, 10, 10, 0.5, 0.1, (0.1, 0.2), [], []).better
