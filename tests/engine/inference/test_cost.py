"""cost: no table that is built was not counted, the count follows what is done, and nothing is built where it is too much."""

import numpy as np
import pytest

from dryfloor.engine import effort
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.inference import cost, propagation
from dryfloor.engine.inference.cause_factors import CauseGroup
from dryfloor.engine.inference.elimination import buckets
from dryfloor.engine.inference.noisy_or import NoisyOr
from dryfloor.engine.inference.posterior import infer, infer_by_fact
from tests.support.heavy_cases import all_abnormal


def built(monkeypatch, work):
    """Return how many numbers stand in the tables that some work builds on its way up, and how often it goes up."""
    numbers, passes = 0, 0
    plain = propagation.BucketTree._collect

    def counted(self, *given):
        nonlocal numbers, passes
        out = plain(self, *given)
        numbers += sum(
            w.full.size + sum(b.size for b in w.before) + sum(a.size + o.size for a, o, _ in w.joins) for w in out
        )
        passes += 1
        return out

    monkeypatch.setattr(propagation.BucketTree, "_collect", counted)
    work()
    monkeypatch.undo()
    return numbers, passes


@pytest.mark.parametrize("complaints", [1, 2, 3])
def test_all_tables_are_counted_and_little_else(kb, monkeypatch, complaints):
    events = all_abnormal(kb, complaints)[:110]
    e = gather_evidence(network_of(kb), fold(kb, events))
    with effort.limit(100) as spent:
        numbers, passes = built(monkeypatch, lambda: infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures))
    assert passes == 1 + max(0, complaints - 1)
    assert numbers < spent.spent < 30 * numbers + 4e6


def test_joins_over_shared_findings_are_counted_as_the_power_that_they_are(monkeypatch):
    """Ten causes over n findings that all share: the one table has 2 ** n numbers, and so grows the count."""
    spent = []
    for n in (8, 10, 12):
        shared = [NoisyOr(0.1, dict.fromkeys(range(10), 0.5), 1.0, 0.0)] * n
        with effort.limit(100) as all_of_it:
            infer(np.full((1, 10), 0.1), np.ones(1), shared)
        spent.append(all_of_it.spent)
    assert 3.0 < (spent[2] - spent[1]) / (spent[1] - spent[0]) < 6.0


def test_nothing_is_built_of_what_is_too_much(monkeypatch):
    monkeypatch.setattr(propagation.BucketTree, "__init__", lambda *_: pytest.fail("tables were built"))
    with pytest.raises(effort.IntractableError):
        infer(np.full((1, 10), 0.1), np.ones(1), [NoisyOr(0.1, dict.fromkeys(range(10), 0.5), 1.0, 0.0)] * 40)


def test_many_findings_are_refused_before_they_are_put_in_order(monkeypatch):
    monkeypatch.setattr("dryfloor.engine.inference.posterior.buckets", lambda *_: pytest.fail("they were ordered"))
    many = [NoisyOr(0.1, {i: 0.5, i + 1: 0.5}, 1.0, 0.0) for i in range(5000)]
    with pytest.raises(effort.IntractableError):
        infer(np.full((1, 5001), 0.1), np.ones(1), many)


def test_ways_through_many_remedies_are_counted():
    few = [NoisyOr(0.1, {0: 0.5}, 1.0, 0.0, epoch=3)]
    assert cost.entering(few, {0: [(n, 0.9) for n in range(1000)]}) > 50 * cost.entering(few, {}) > 0


def test_what_no_float_holds_is_counted_and_refused():
    """Two messages that share 700 variables of three values: 3 ** 700 times 1.5 ** 700 cells are in no float; it was a fault once."""
    common = (1 << 700) - 1
    sizes = (3,) * 702
    order = buckets((common | 1 << 700, common | 1 << 701), sizes, 0)
    assert len(order) == 702
    assert cost.passing(order, [CauseGroup((), 0, [0])] * 2, sizes, 0, []) > 1000 * effort.MOST_CELLS
