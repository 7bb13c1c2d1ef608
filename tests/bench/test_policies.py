"""The bench's other policies on instances worked out by hand or by a second computation."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from dryfloor.engine.planning.problem import DecisionProblem, Referral, Repair, Test
from tests.bench.policies import LEAST_BIT, gain_of, one_step, remedies_only, until_sure, without_questions
from tests.engine.planning.test_myopic import best_order, one_fault

# W11, the golden planning instance (D: two independent programs agree to 1e-6): causes A, B, C and another one.
ROOT = np.array([0.50, 0.30, 0.15, 0.05])
NEEDS = np.vstack([np.eye(3, dtype=bool), np.zeros((1, 3), bool)])


def asked(name, cost, positive):
    return Test(name, cost, np.array([positive, 1 - np.array(positive)]))


W11 = DecisionProblem(
    [
        asked("q0", 4.0, [0.90, 0.05, 0.05, 0.05]),
        asked("q1", 6.0, [0.05, 0.85, 0.05, 0.05]),
        asked("q2", 3.0, [0.70, 0.70, 0.10, 0.30]),
    ],
    [Repair(name, cost, NEEDS[i], 1.0) for i, (name, cost) in enumerate([("a", 50.0), ("b", 30.0), ("c", 80.0)])],
    Referral(np.full(4, 200.0)),
    NEEDS,
    np.array([False, False, False, True]),
    np.arange(4),
)


def walked(weight, decision_problem, policy):
    """Return the expected cost of the whole tree of a policy's choices; a belief that is not scaled, one fault at a time."""
    if weight.sum() < 1e-15:
        return 0.0
    best = policy(weight / weight.sum(), decision_problem).best
    if best.kind == "hand-on":
        return float(weight @ (decision_problem.referral.price + decision_problem.referral.fee))
    if best.kind == "question":
        question = next(q for q in decision_problem.tests if q.id == best.id)
        rest = replace(decision_problem, tests=[q for q in decision_problem.tests if q is not question])
        return question.cost * weight.sum() + sum(walked(row * weight, rest, policy) for row in question.likelihood)
    mend = next(m for m in decision_problem.repairs if m.id == best.id)
    left = np.where((decision_problem.needs & mend.cures).any(axis=1), weight * (1 - mend.chance), weight)
    return mend.cost * weight.sum() + walked(
        left, replace(decision_problem, repairs=[m for m in decision_problem.repairs if m is not mend]), policy
    )


def test_w11_remedies_only():
    assert remedies_only(ROOT, W11).act == pytest.approx(91.0, abs=1e-9)
    assert walked(ROOT, W11, remedies_only) == pytest.approx(91.0, abs=1e-9)


def test_w11_one_step():
    choice = one_step(ROOT, W11)
    price = {v.id: v.price for v in choice.ranked}
    assert [price[q] for q in ("q0", "q1", "q2")] == pytest.approx([79.125, 84.325, 94.0], abs=1e-6)
    assert choice.best.id == "q0"
    assert walked(ROOT, W11, one_step) == pytest.approx(77.555375, abs=1e-6)


def test_w11_until_sure_by_hand():
    """Asked in order of bits per minute, worked out here from 1 - H(error); it ends dearer than mending by one step."""
    choice = until_sure(ROOT, W11)
    bits = {}
    for q in W11.tests:
        yes = q.likelihood[0] @ ROOT
        after = [row * ROOT / (row @ ROOT) for row in q.likelihood]
        held = [-(p * np.log2(p)).sum() for p in (ROOT, *after)]
        bits[q.id] = (held[0] - yes * held[1] - (1 - yes) * held[2]) / q.cost
    assert choice.best.id == max(bits, key=bits.get)
    assert gain_of(W11.tests[0], ROOT, W11) == pytest.approx(bits["q0"] * 4.0)
    assert walked(ROOT, W11, until_sure) > 77.555375


def test_sure_is_mended_though_another_order_is_cheaper():
    sure = np.array([0.96, 0.04, 0.0, 0.0])
    cheap = replace(W11, repairs=[W11.repairs[0], replace(W11.repairs[1], cost=1.0), W11.repairs[2]])
    assert remedies_only(sure, cheap).best.id == "b"
    assert until_sure(sure, cheap).best.id == "a"
    assert until_sure(sure, cheap, 0.97).best.kind == "question"


def test_sure_of_what_these_hands_can_not_mend_is_handed_on():
    assert until_sure(np.array([0.01, 0.01, 0.01, 0.97]), W11).best.kind == "hand-on"
    assert until_sure(np.array([0.97, 0.01, 0.01, 0.01]), replace(W11, repairs=W11.repairs[1:])).best.kind == "hand-on"


def test_where_nothing_tells_more_the_remedies_go_on():
    dull = asked("dull", 1.0, [0.5, 0.5, 0.5, 0.5])
    assert abs(gain_of(dull, ROOT, W11)) < 1e-12 < LEAST_BIT
    assert until_sure(ROOT, replace(W11, tests=[dull])).best.id == remedies_only(ROOT, W11).best.id


@pytest.mark.parametrize("seed", range(20))
def test_prices_by_a_second_computation(seed):
    """Remedies only: every subset in every order. One step: that after every outcome; never dearer than acting."""
    rng = np.random.default_rng(seed)
    root, decision_problem = one_fault(rng, 4, questions=3)
    assert remedies_only(root, decision_problem).act == pytest.approx(best_order(root, decision_problem)[0])
    price = {v.id: v.price for v in one_step(root, decision_problem).ranked}
    for q in decision_problem.tests:
        expected = q.cost + sum(best_order(row * root, decision_problem)[0] for row in q.likelihood)
        assert price[q.id] == pytest.approx(expected)
    assert walked(root, decision_problem, one_step) <= one_step(root, decision_problem).best.price + 1e-9
    assert walked(root, decision_problem, remedies_only) == pytest.approx(best_order(root, decision_problem)[0])


def test_the_next_role_asks_nothing_either():
    onward = replace(W11, referral=Referral(np.full(4, 500.0)))
    decision_problem = replace(W11, referral=Referral(np.zeros(4), onward, 10.0), repairs=[])
    assert without_questions(decision_problem).referral.next_problem.tests == []
    assert remedies_only(ROOT, decision_problem).hand_on == pytest.approx(10 + best_order(ROOT, onward)[0])


def test_sites_of_a_kb_are_played_by_each(kb):
    from dryfloor.engine.diagnosis.network import Network
    from dryfloor.engine.simulation.simulator import Steps, play
    from dryfloor.engine.simulation.world import installation_with

    network = Network(kb)
    installation = installation_with(network, ["hose-sealed-in-pipe"], "siphons")
    for policy in (one_step, remedies_only, until_sure, partial(until_sure, level=0.8)):
        outcome = play(network, installation, "technician", Steps(network, policy))
        assert outcome.moves[0].kind == "gate"
        # Without a look it is handed on before the right remedy has its turn.
        assert outcome.found == ["hose-sealed-in-pipe"] or (policy is remedies_only and outcome.by == "specialist")
    # Who asks nothing still looks at what a remedy stands on, and at what proves it.
    moves = play(network, installation, "desk", Steps(network, remedies_only)).moves
    looks = {look.check for c in kb.causes.values() for look in (c.defines, c.remedy.only_if, c.proof) if look}
    rules = {c.defines.rule for c in kb.causes.values() if c.defines and c.defines.rule}
    made = [m.id for m in moves if m.kind == "check"]
    assert all(name in looks or kb.checks[name].rule in rules for name in made), made
    # One of each hands.
    assert len(made) == len({m.role for m in moves if m.kind == "check"})
