"""The looked-ahead choice: near the exact optimum on small views, one step ahead on large ones, the same every time."""

from dataclasses import replace

import numpy as np
import pytest

from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import ActionValue, Decision, DecisionProblem, Referral, Repair, Test
from tests.bench.instances import cuts, made_up
from tests.bench.lookahead import ahead
from tests.bench.lookahead.ahead import CAUSES, causes_alive, choose_ahead, looked_ahead
from tests.bench.optimum import Optimum

pytestmark = pytest.mark.slow  # a rival of the bench: nothing that is shipped looks ahead


def golden():
    """W11: three causes and one that is not listed; shared reference, engine, 3.1 (D)."""

    def table(*p):
        return np.array([p, [1 - x for x in p]])

    needs = np.vstack([np.eye(3, dtype=bool), np.zeros((1, 3), dtype=bool)])
    decision_problem = DecisionProblem(
        [
            Test("q0", 4.0, table(0.9, 0.05, 0.05, 0.05)),
            Test("q1", 6.0, table(0.05, 0.85, 0.05, 0.05)),
            Test("q2", 3.0, table(0.7, 0.7, 0.1, 0.3)),
        ],
        [Repair(n, c, needs[i], 1.0) for i, (n, c) in enumerate((("a", 50.0), ("b", 30.0), ("c", 80.0)))],
        Referral(np.full(4, 200.0)),
        needs,
        ~needs.any(axis=1),
        np.arange(4),
    )
    return np.array([0.5, 0.3, 0.15, 0.05]), decision_problem


def test_the_golden_instance_is_followed_to_its_optimum():
    """Reference figures: optimum 77.555375, one-ply 78.4535, parallel rollout 77.555375 (D), within 1e-4."""
    root, decision_problem = golden()
    best = Optimum(root, decision_problem)
    assert best.cost == pytest.approx(77.555375, abs=1e-4)
    assert best.under(choose) == pytest.approx(78.4535, abs=1e-4)
    assert best.under(choose_ahead) == pytest.approx(77.555375, abs=1e-4)


@pytest.mark.parametrize("seed", [15, 18])
def test_a_small_view_is_near_its_optimum_where_one_step_ahead_is_not(seed):
    """Seeds picked for that: one step ahead is over 3 % above the exact optimum there."""
    instance = made_up(seed, causes=5, checks=6)
    best = Optimum(instance.root, instance.decision_problem)
    assert best.under(lambda root, decision_problem: choose(root, decision_problem, 0.02)) / best.cost - 1 > 0.03
    assert (
        -1e-12
        <= best.under(lambda root, decision_problem: choose_ahead(root, decision_problem, 0.02)) / best.cost - 1
        <= 0.01
    )


def test_cuts_from_the_kb_are_near_their_optimum():
    for instance in cuts(6):
        best = Optimum(instance.root, instance.decision_problem)
        assert (
            best.under(lambda root, decision_problem: choose_ahead(root, decision_problem, 0.02), 1e-4) / best.cost - 1
            <= 0.03
        )


def test_what_a_step_is_said_to_cost_is_no_less_than_the_optimum(monkeypatch):
    """Followed policies and their closings can really be done: over the whole belief their price bounds the optimum from above."""
    monkeypatch.setattr(ahead, "KEPT", 1.0)
    for instance in [*(made_up(n, causes=4, checks=4) for n in range(4)), *cuts(1)]:
        choice = choose_ahead(instance.root, instance.decision_problem, handing_on=True)
        assert min(v.price for v in choice.ranked) >= Optimum(instance.root, instance.decision_problem).cost - 1e-9


def test_a_belief_that_leaves_many_causes_alive_is_decided_one_step_ahead():
    rng = np.random.default_rng(1)
    n = CAUSES + 1
    needs = np.eye(n, dtype=bool)
    on = rng.uniform(0.1, 0.9, n)
    decision_problem = DecisionProblem(
        [Test("q", 1.0, np.array([on, 1 - on]))],
        [Repair(f"m{i}", 10.0, needs[i], 1.0) for i in range(n)],
        Referral(np.full(n, 100.0)),
        needs,
        np.zeros(n, dtype=bool),
        np.arange(n),
    )
    root = np.full(n, 1 / n)
    assert causes_alive(root, decision_problem) == n
    assert choose_ahead(root, decision_problem, 0.02) == choose(root, decision_problem, 0.02)
    fewer = np.where(np.arange(n) < 2, 0.4999, 0.0002 / (n - 2))
    assert causes_alive(fewer / fewer.sum(), decision_problem) == 2


def test_where_another_role_goes_on_it_is_decided_one_step_ahead():
    for instance in cuts(3):
        last = instance.decision_problem.referral.next_problem is None
        assert looked_ahead(instance.root, instance.decision_problem) is last
        if not last:
            assert choose_ahead(instance.root, instance.decision_problem, 0.02) == choose(
                instance.root, instance.decision_problem, 0.02
            )


def test_the_last_role_asks_on_where_one_step_ahead_would(monkeypatch):
    """Looked ahead for, giving up comes out cheapest in each of these views; it is done where one step ahead gives up, too."""
    root, decision_problem = golden()
    giving_up = Decision(ActionValue("hand-on", "", 1.0))
    monkeypatch.setattr(ahead, "_followed", lambda *_: giving_up)
    assert choose(root, decision_problem).best.kind == "question"
    assert choose_ahead(root, decision_problem) == choose(root, decision_problem)
    assert choose_ahead(root, decision_problem, handing_on=True) == giving_up
    cheap = replace(decision_problem, referral=Referral(np.full(4, 1.0)))
    assert choose(root, cheap).best.kind == "hand-on"
    assert choose_ahead(root, cheap) == giving_up


def test_the_order_in_which_scenarios_and_questions_stand_changes_nothing():
    instance = made_up(3, causes=5, checks=5)
    decision_problem, root = instance.decision_problem, instance.root
    turn = np.random.default_rng(2).permutation(len(root))
    back = np.argsort(turn)
    turned = DecisionProblem(
        [Test(q.id, q.cost, q.likelihood[:, turn]) for q in reversed(decision_problem.tests)],
        decision_problem.repairs,
        Referral(decision_problem.referral.price[turn]),
        decision_problem.needs[turn],
        decision_problem.unlisted[turn],
        decision_problem.group[turn],
    )
    assert (turned.needs[back] == decision_problem.needs).all()
    one, other = choose_ahead(root, decision_problem), choose_ahead(root[turn], turned)
    assert one.best.id == other.best.id
    assert one.best.price == pytest.approx(other.best.price, rel=1e-6)


def test_a_question_must_save_something():
    """Two thousandths of the price of acting are too little to be asked for."""
    needs = np.eye(2, dtype=bool)
    mends = [Repair("a", 10.0, needs[0], 1.0), Repair("b", 10.0, needs[1], 1.0)]
    for saved, asks in ((0.001, False), (0.01, True)):
        cost = 5.0 - saved * 15
        decision_problem = DecisionProblem(
            [Test("q", cost, np.eye(2))], mends, Referral(np.full(2, 100.0)), needs, np.zeros(2, bool), np.arange(2)
        )
        assert (choose_ahead(np.full(2, 0.5), decision_problem).best.kind == "question") is asks
