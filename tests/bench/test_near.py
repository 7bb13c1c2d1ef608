"""The bench beside the optimum: the shipped choice on cuts from the kb, and that nothing else is shipped for some views."""

import numpy as np
import pytest

from dryfloor.engine.advising.next_step import LEAST_GAIN, least_cost
from dryfloor.engine.planning.myopic import choose
from tests.bench import near
from tests.bench.instances import cuts, made_up
from tests.bench.optimum import Optimum


def test_every_role_chooses_one_step_ahead_however_few_causes_are_alive():
    instances = [*cuts(3), made_up(0, causes=3, checks=3)]
    assert {i.decision_problem.referral.next_problem is None for i in instances} == {True, False}
    for instance in instances:
        assert least_cost(instance.root, instance.decision_problem) == choose(
            instance.root, instance.decision_problem, LEAST_GAIN
        )


def test_a_gap_is_what_following_a_policy_costs_over_the_optimum(monkeypatch):
    instance = made_up(15, causes=5, checks=5)
    monkeypatch.setattr(near, "POLICIES", {"ours": lambda _: least_cost, "fixed": lambda i: near.fixed(i.order)})
    found = near.gaps([instance])
    best = Optimum(instance.root, instance.decision_problem)
    assert found["ours"] == [pytest.approx(best.under(least_cost) / best.cost - 1, abs=near.FLOOR)]
    assert -1e-12 <= found["ours"][0] < found["fixed"][0]


def test_a_missed_aim_is_said():
    assert "within 3: MISSED" in near.said([0.0, 0.031], near.CUTS_AIM)
    assert "MISSED" not in near.said([0.0, 0.01], near.CUTS_AIM)


@pytest.mark.slow
def test_cuts_from_the_kb_are_near_their_optimum():
    mean, worst = near.CUTS_AIM
    gaps = [
        100 * (b.under(least_cost, near.FLOOR) / b.cost - 1)
        for b in (Optimum(i.root, i.decision_problem) for i in cuts(6))
    ]
    assert np.mean(gaps) <= mean
    assert max(gaps) <= worst
