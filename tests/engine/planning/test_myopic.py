"""The order with the best cut, the leaf and every price against exhaustive search and a second computation."""

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import entropy as scipy_entropy

from dryfloor.engine.planning.myopic import CostModel, choose
from dryfloor.engine.planning.problem import (
    ActionValue,
    DecisionProblem,
    Referral,
    Repair,
    Test,
    entropy,
    membership,
    normal,
)

SEEDS = st.integers(0, 10**6)


def one_fault(
    rng: np.random.Generator, faults: int, questions: int = 0, perfect: bool = False
) -> tuple[np.ndarray, DecisionProblem]:
    """One fault of several, or something unlisted; a remedy for each; noisy questions of two or three outcomes."""
    root = rng.dirichlet(np.full(faults + 1, 0.8))
    needs = np.zeros((faults + 1, faults), dtype=bool)
    needs[np.arange(faults), np.arange(faults)] = True
    mends = [
        Repair(f"m{i}", float(rng.uniform(1, 40)), needs[i], 1.0 if perfect else float(rng.uniform(0.5, 1.0)))
        for i in range(faults)
    ]
    asked = [
        Test(f"q{n}", float(rng.uniform(0.2, 8)), rng.dirichlet(np.full(2 + n % 2, 0.5), faults + 1).T)
        for n in range(questions)
    ]
    hand = Referral(np.full(faults + 1, float(rng.uniform(5, 120))))
    unlisted = np.arange(faults + 1) == faults
    return root, DecisionProblem(asked, mends, hand, needs, unlisted, np.arange(faults + 1))


def best_order(
    root: np.ndarray, decision_problem: DecisionProblem, handed: float | None = None
) -> tuple[float, tuple[int, ...]]:
    """The cheapest sequence of remedies, then handing on: every subset in every order. One fault at a time."""
    price = float(decision_problem.referral.price[0]) + decision_problem.referral.fee if handed is None else handed
    best = (price * root.sum(), ())
    count = len(decision_problem.repairs)
    for size in range(1, count + 1):
        for order in permutations(range(count), size):
            left, total = root.copy(), 0.0
            for k in order:
                total += decision_problem.repairs[k].cost * left.sum()
                left = np.where(
                    (decision_problem.needs & decision_problem.repairs[k].cures).any(axis=1),
                    left * (1 - decision_problem.repairs[k].chance),
                    left,
                )
            total += price * left.sum()
            if total < best[0] - 1e-12:
                best = (total, order)
    return best


def leaf(root: np.ndarray, decision_problem: DecisionProblem, bit: float) -> float:
    """The leaf of a normalised belief, one fault at a time: act, or know at once and pay for the bits."""
    price = float(decision_problem.referral.price[0]) + decision_problem.referral.fee
    known = []
    for s, unlisted in enumerate(decision_problem.unlisted):
        fitting = [m for m in decision_problem.repairs if (decision_problem.needs[s] & m.cures).any()]
        known.append(price if unlisted else min(price, fitting[0].cost + (1 - fitting[0].chance) * price))
    informed = float(root @ known) + bit * float(scipy_entropy(root, base=2))
    return min(best_order(root, decision_problem)[0], informed)


def price_of_a_bit(root: np.ndarray, decision_problem: DecisionProblem) -> float:
    best = np.inf
    for q in decision_problem.tests:
        gain = scipy_entropy(root, base=2)
        for row in q.likelihood:
            if (row @ root) > 0:
                gain -= (row @ root) * scipy_entropy(row * root, base=2)
        if gain > 1e-9:
            best = min(best, q.cost / gain)
    return best


@pytest.mark.parametrize("seed", range(60))
def test_the_order_with_the_best_cut_is_optimal(seed: int) -> None:
    """Largest chance per cost first, every cut tried: optimal for one fault against all subsets and orders (D; that the
    order itself is optimal: Kadane & Simon 1977 as cited by Lín 2014, P)."""
    rng = np.random.default_rng(seed)
    root, decision_problem = one_fault(rng, int(rng.integers(1, 6)))
    price, order = best_order(root, decision_problem)
    choice = choose(root, decision_problem)
    assert choice.act == pytest.approx(price, rel=1e-9)
    assert choice.order == [f"m{k}" for k in order]
    assert choice.best.id == (choice.order[0] if order else "")
    assert choice.best.kind == ("remedy" if order else "hand-on")
    assert choice.hand_on == pytest.approx(float(decision_problem.referral.price[0]), rel=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_what_is_in_vain_is_paid_where_nothing_ended(seed: int) -> None:
    """Each remedy costs more where it ends nothing: the order, its price and the price of knowing against every order."""
    rng = np.random.default_rng(3000 + seed)
    root, decision_problem = one_fault(rng, int(rng.integers(2, 5)), questions=2)
    repairs = [replace(m, vain=float(rng.uniform(0, 30))) for m in decision_problem.repairs]
    decision_problem = replace(decision_problem, repairs=repairs)
    hand = float(decision_problem.referral.price[0])
    best, chosen = hand, ()
    for size in range(1, len(repairs) + 1):
        for order in permutations(range(len(repairs)), size):
            left, total = root.copy(), 0.0
            for k in order:
                ended = left[k] * repairs[k].chance
                total += repairs[k].cost * left.sum() + repairs[k].vain * (left.sum() - ended)
                left[k] -= ended
            total += hand * left.sum()
            if total < best - 1e-12:
                best, chosen = total, order
    choice = choose(root, decision_problem)
    assert choice.act == pytest.approx(best, rel=1e-9)
    assert choice.order == [f"m{k}" for k in chosen]
    known = [m.cost + (1 - m.chance) * (m.vain + hand) for m in repairs]
    model = CostModel(decision_problem, root)
    assert model.perfect_information_cost == pytest.approx([*np.minimum(known, hand), hand], rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_every_price_by_a_second_computation(seed: int) -> None:
    """What each question would cost: its own price, then the leaf after each outcome, worked out outcome by outcome."""
    rng = np.random.default_rng(1000 + seed)
    root, decision_problem = one_fault(rng, int(rng.integers(2, 5)), questions=3)
    choice = choose(root, decision_problem)
    bit = price_of_a_bit(root, decision_problem)
    prices = {v.id: v.price for v in choice.ranked if v.kind == "question"}
    assert set(prices) == {q.id for q in decision_problem.tests}
    for q in decision_problem.tests:
        expected = q.cost
        for row in q.likelihood:
            share = float(row @ root)
            expected += share * leaf(row * root / share, decision_problem, bit)
        assert prices[q.id] == pytest.approx(expected, rel=1e-9)
    assert choice.best.price == pytest.approx(min([*prices.values(), choice.act]), abs=1e-9)


@settings(deadline=None)
@given(SEEDS)
def test_nothing_is_asked_that_costs_more_than_acting(seed: int) -> None:
    rng = np.random.default_rng(seed)
    root, decision_problem = one_fault(rng, int(rng.integers(1, 7)), questions=int(rng.integers(0, 6)))
    choice = choose(root, decision_problem)
    prices = [v.price for v in choice.ranked]
    assert prices == sorted(prices) or np.allclose(np.diff(prices), np.maximum(np.diff(prices), 0), atol=1e-9)
    assert choice.best.price <= choice.act + 1e-9
    assert choice.act <= choice.hand_on + 1e-9
    if choice.best.kind == "question":
        assert choice.best.price < choice.act
    # A question that tells nothing is never worth its price.
    dull = Test("a-dull-one", 0.1, np.full((2, len(root)), 0.5))
    assert choose(root, replace(decision_problem, tests=[*decision_problem.tests, dull])).best.id != "a-dull-one"


@settings(deadline=None)
@given(SEEDS)
def test_a_fault_that_needs_several_remedies(seed: int) -> None:
    """Scenarios with any needs, perfect remedies: the price said for the chosen order is what that order costs."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 5))
    needs = rng.random((6, count)) < 0.5
    needs[np.arange(6), rng.integers(0, count, 6)] = True
    unlisted = rng.random(6) < 0.2
    root = rng.dirichlet(np.ones(6))
    hand = float(rng.uniform(5, 200))
    mends = [Repair(f"m{i}", float(rng.uniform(1, 30)), np.arange(count) == i, 1.0) for i in range(count)]
    choice = choose(root, DecisionProblem([], mends, Referral(np.full(6, hand)), needs, unlisted, np.arange(6)))
    if not choice.order:
        assert choice.act == pytest.approx(hand)
        return
    order = [int(name[1:]) for name in choice.order]
    paid, total = 0.0, 0.0
    left, open_ = needs.copy(), np.ones(6, bool)
    for i in order:
        paid += mends[i].cost
        left[:, i] = False
        solved = open_ & ~left.any(axis=1) & ~unlisted
        total += paid * root[solved].sum()
        open_ &= ~solved
    total += (paid + hand) * root[open_].sum()
    assert choice.act == pytest.approx(total, rel=1e-9)


@settings(deadline=None)
@given(SEEDS)
def test_entropy_against_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows = rng.dirichlet(np.full(7, 0.3), 4)
    rows[0, 0] = 0.0
    group = rng.permutation([0, 1, 2, 3, *rng.integers(0, 4, 3)])
    summed = np.array([[row[group == g].sum() for g in range(4)] for row in normal(rows)])
    assert entropy(normal(rows), membership(group)) == pytest.approx(scipy_entropy(summed, base=2, axis=1), abs=1e-12)


def test_scenarios_with_the_same_needs_are_one_to_entropy() -> None:
    """What a question tells apart is worth nothing if the same thing must be mended either way."""
    needs = np.array([[True, False], [True, False], [False, True]])
    mends = [Repair("m0", 10.0, np.array([True, False]), 1.0), Repair("m1", 10.0, np.array([False, True]), 1.0)]
    apart = Test("q", 0.5, np.array([[1.0, 0.0, 0.5], [0.0, 1.0, 0.5]]))
    decision_problem = DecisionProblem(
        [apart], mends, Referral(np.full(3, 500.0)), needs, np.zeros(3, bool), np.array([0, 0, 1])
    )
    assert choose(np.array([0.25, 0.25, 0.5]), decision_problem).best.kind == "remedy"


@pytest.mark.parametrize("seed", range(20))
def test_handing_on_costs_its_fee_and_what_the_next_role_expects(seed: int) -> None:
    """Fee, travel by scenario, and the leaf of the next role from this very belief, worked out a second time."""
    rng = np.random.default_rng(seed)
    faults = int(rng.integers(2, 5))
    root, onward = one_fault(rng, faults, questions=3)
    _, decision_problem = one_fault(rng, faults, questions=2)
    price = np.full(faults + 1, float(rng.uniform(0, 5)))
    decision_problem = replace(decision_problem, referral=Referral(price, onward, 90.0))
    choice = choose(root, decision_problem)
    expected = 90.0 + price[0] + leaf(root, onward, price_of_a_bit(root, onward))
    assert choice.hand_on == pytest.approx(expected, rel=1e-9)
    assert choice.act <= choice.hand_on + 1e-9
    # Nothing to do here at all: handing on is the next step, and its price is the price.
    idle = choose(root, replace(decision_problem, tests=[], repairs=[]))
    assert (idle.best.kind, idle.best.price) == ("hand-on", pytest.approx(expected, rel=1e-9))


def test_a_dearer_next_role_is_handed_on_to_later() -> None:
    rng = np.random.default_rng(3)
    root, onward = one_fault(rng, 3, questions=2)
    _, decision_problem = one_fault(rng, 3, questions=2)
    prices = [
        choose(root, replace(decision_problem, referral=Referral(np.zeros(4), onward, fee))).best.price
        for fee in (0, 10, 50, 200)
    ]
    assert prices == sorted(prices)
    assert (
        choose(
            root, replace(decision_problem, referral=Referral(np.zeros(4), onward, 0.0), repairs=[], tests=[])
        ).best.kind
        == "hand-on"
    )


def test_ties_go_to_acting_then_to_the_smaller_id() -> None:
    needs = np.eye(2, dtype=bool)
    even = np.array([0.5, 0.5])
    mends = [Repair(name, 10.0, needs[i], 1.0) for i, name in enumerate(("a", "b"))]
    twins = [Test(name, 1.0, np.eye(2)) for name in ("z", "y", "x")]
    decision_problem = DecisionProblem(
        twins, mends, Referral(np.full(2, 100.0)), needs, np.zeros(2, bool), np.arange(2)
    )
    choice = choose(even, decision_problem)
    assert [v.id for v in choice.ranked[:3]] == ["x", "y", "z"]
    assert choice.order == ["a", "b"]
    # Mending costs 15, a perfect answer and the right remedy cost 10 more than the answer: at 5 it is a tie.
    tie = replace(decision_problem, tests=[Test("x", 5.0, np.eye(2))])
    assert [round(v.price, 9) for v in choose(even, tie).ranked[:2]] == [15.0, 15.0]
    assert choose(even, tie).best.kind == "remedy"
    # A difference below what prices are rounded to is a tie as well.
    close = replace(decision_problem, tests=[Test("x", 1.0 + 1e-12, np.eye(2)), Test("y", 1.0, np.eye(2))])
    assert choose(even, close).best.id == "x"


@settings(deadline=None, max_examples=30)
@given(SEEDS)
def test_two_runs_are_equal_to_the_bit(seed: int) -> None:
    def run() -> bytes:
        rng = np.random.default_rng(seed)
        root, onward = one_fault(rng, 4, questions=3)
        _, decision_problem = one_fault(rng, 4, questions=4)
        choice = choose(
            root, replace(decision_problem, referral=Referral(decision_problem.referral.price, onward, 30.0))
        )
        return repr(choice).encode() + np.array([v.price for v in choice.ranked]).tobytes()

    assert run() == run()


def test_a_row_costs_the_same_alone_and_among_others() -> None:
    rng = np.random.default_rng(11)
    root, decision_problem = one_fault(rng, 5, questions=3)
    rows = rng.dirichlet(np.ones(6), 8)
    cost_model = CostModel(decision_problem, root)
    together = cost_model.leaf(rows)
    for n, row in enumerate(rows):
        assert cost_model.leaf(row[None, :])[0] == pytest.approx(together[n], rel=1e-12)


def stuck(work: float) -> DecisionProblem:
    """One listed fault beside something that nothing listed ends, and the same without it; somebody else must come for the second."""
    needs = np.ones((2, 1), dtype=bool)
    mend = Repair("a", 5.0, np.array([True]), 1.0)
    price = np.array([100.0, 100.0 + 60.0])
    return DecisionProblem(
        [], [mend], Referral(price, work=np.array([work])), needs, np.array([False, True]), np.arange(2)
    )


def test_what_is_mended_before_somebody_must_come_is_spared_them() -> None:
    """By hand: with something unlisted for certain, mending for 5 first pays where it spares the next 20, and not where it spares 3."""
    sure = np.array([0.0, 1.0])
    assert [v.id for v in choose(sure, stuck(20.0)).ranked] == ["a", ""]
    assert choose(sure, stuck(20.0)).act == pytest.approx(5.0 + 160.0 - 20.0)
    assert choose(sure, stuck(3.0)).best == ActionValue("hand-on", "", 160.0)
    # At even odds the mend ends it all in one case, and is spared the next in the other.
    assert choose(np.array([0.5, 0.5]), stuck(20.0)).act == pytest.approx(5.0 + 0.5 * (160.0 - 20.0))


def test_a_look_that_a_mend_waits_for_is_paid_once() -> None:
    """By hand: a perfect look of 10 that both mends count in their 30 leaves 20 to pay for whichever it names, not 30."""
    needs = np.eye(2, dtype=bool)
    mends = [Repair(name, 30.0, needs[i], 1.0, "q", 10.0) for i, name in enumerate(("a", "b"))]
    root = np.array([0.5, 0.5])
    problem = DecisionProblem(
        [Test("q", 10.0, np.eye(2))], mends, Referral(np.full(2, 500.0)), needs, np.zeros(2, bool), np.arange(2)
    )
    values = {v.id: v.price for v in choose(root, problem).ranked}
    assert values["q"] == pytest.approx(10.0 + 20.0)
    unpaid = replace(problem, repairs=[replace(m, look="") for m in mends])
    assert {v.id: v.price for v in choose(root, unpaid).ranked}["q"] == pytest.approx(10.0 + 30.0)
