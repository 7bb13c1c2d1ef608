"""Base policies followed: a longer look never costs more, beliefs don't disturb each other, closings can be had."""

from itertools import pairwise

import numpy as np
import pytest

from dryfloor.engine.planning.problem import entropy, normal
from tests.bench.instances import cuts, made_up
from tests.bench.lookahead import rollout
from tests.bench.lookahead.rollout import Beliefs, Rollout
from tests.bench.optimum import Optimum

pytestmark = pytest.mark.slow  # a rival of the bench: nothing that is shipped looks ahead


def beliefs(ahead, rows, optimistic=True):
    n = len(rows)
    none = np.zeros(n, dtype=np.intp)
    return Beliefs(
        rows, np.ones(n), np.zeros((n, len(ahead.names)), dtype=bool), none, np.full(n, optimistic), none, np.ones(n)
    )


def several(ahead, count, seed=0):
    rng = np.random.default_rng(seed)
    rows = np.zeros((count, len(ahead.root)))
    rows[:, ahead.left.start] = rng.dirichlet(np.ones(len(ahead.left.start)), count)
    return rows


@pytest.mark.parametrize("optimistic", [True, False])
def test_beliefs_followed_together_cost_what_they_cost_alone(optimistic, monkeypatch):
    monkeypatch.setattr(rollout, "ROWS", 10**6)
    instance = made_up(4, causes=5, checks=5)
    ahead = Rollout(instance.decision_problem, instance.root)
    rows = several(ahead, 6)
    together = ahead.values(beliefs(ahead, rows, optimistic), 4)
    alone = [ahead.values(beliefs(ahead, row[None, :], optimistic), 4)[0] for row in rows]
    assert together == pytest.approx(alone, rel=1e-12)


def followed(ahead, row, asked, depth):
    """The policy with remedies alone as leaf, followed belief by belief."""
    role = ahead.roles[0]
    plan = role.cost_model.plan(row[None, :])
    act, order, cut = plan.price[0], plan.order[0], plan.cut[0]
    if depth == 0:
        return act
    price = {}
    for n, q in enumerate(role.decision_problem.tests):
        if n not in asked:
            after = q.likelihood * row
            price[n] = q.cost + float(after.sum(axis=1) @ role.cost_model.plan(normal(after)).price)
    best = min(price, key=lambda n: (price[n], n)) if price else None
    if best is not None and price[best] < act - 1e-9:
        q = role.decision_problem.tests[best]
        parts = [(w.sum(), w / w.sum()) for w in q.likelihood * row if w.sum() > 0]
        return min(act, q.cost + sum(p * followed(ahead, w, {*asked, best}, depth - 1) for p, w in parts))
    if cut == 0:
        return act
    rest = row @ ahead.left.after[int(np.flatnonzero(role.decision_problem.repairs[order[0]].cures)[0])]
    if rest.sum() == 0:
        return min(act, role.decision_problem.repairs[order[0]].cost)
    onward = followed(ahead, rest / rest.sum(), asked, depth - 1)
    return min(act, role.decision_problem.repairs[order[0]].cost + rest.sum() * onward)


def test_beliefs_are_followed_as_one_would_follow_them_by_hand(monkeypatch):
    monkeypatch.setattr(rollout, "ROWS", 10**6)
    monkeypatch.setattr(rollout, "TELLING", 10**3)
    for seed in range(3):
        instance = made_up(seed, causes=4, checks=4)
        ahead = Rollout(instance.decision_problem, instance.root)
        rows = several(ahead, 4, seed)
        by_hand = [followed(ahead, row, set(), 4) for row in rows]
        assert ahead.values(beliefs(ahead, rows, False), 4) == pytest.approx(by_hand, rel=1e-9)


def test_not_followed_at_all_it_is_mended():
    instance = made_up(5, causes=5, checks=5)
    ahead = Rollout(instance.decision_problem, instance.root)
    rows = several(ahead, 4)
    assert ahead.values(beliefs(ahead, rows), 0) == pytest.approx(ahead.roles[0].cost_model.plan(rows).price)


def test_what_remedies_alone_as_leaf_leads_to_never_costs_more_for_looking_further(monkeypatch):
    """That policy asks only where asking once and then mending is cheaper than mending, so each step further can but save."""
    monkeypatch.setattr(rollout, "ROWS", 10**6)
    instance = made_up(6, causes=5, checks=5)
    ahead = Rollout(instance.decision_problem, instance.root)
    rows = several(ahead, 8)
    costs = [ahead.values(beliefs(ahead, rows, False), depth) for depth in range(5)]
    for shorter, longer in pairwise(costs):
        assert (longer <= shorter + 1e-9).all()


def test_handing_on_after_mends_is_priced_at_what_it_really_costs():
    """Closings are bounds: at the belief that a cut stands at, no closing is below the exact optimum of its chain."""
    for instance in (i for i in cuts(3) if i.decision_problem.referral.next_problem is not None):
        ahead = Rollout(instance.decision_problem, instance.root)
        role, row = ahead.roles[0], ahead.root[None, :]
        assert (
            role.closing(row, role.cost_model.plan(row))[0]
            >= Optimum(instance.root, instance.decision_problem).cost - 1e-9
        )


def test_the_most_telling_questions_are_those_with_most_information_per_minute():
    instance = made_up(7)
    ahead = Rollout(instance.decision_problem, instance.root)
    role = ahead.roles[0]
    rows = several(ahead, 3, seed=1)
    asked = np.zeros((3, len(ahead.names)), dtype=bool)
    asked[:, 0] = True
    for row, found in zip(rows, role.telling(rows, asked), strict=True):
        rate = []
        for q in role.decision_problem.tests:
            after = q.likelihood * row
            left = float(after.sum(axis=1) @ entropy(normal(after), role.cost_model.member))
            rate.append((float(entropy(row[None, :], role.cost_model.member)[0]) - left) / q.cost)
        rate[role.place.tolist().index(0)] = -1.0
        assert sorted(found.tolist()) == sorted(np.argsort(rate)[::-1][: rollout.TELLING].tolist())
