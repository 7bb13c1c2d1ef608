"""The choice of the next step: one-ply expected cost over what may be wrong.

The leaf value of a belief is the smaller of two prices: mending by the best order of remedies (largest chance per cost first,
with the best cut to handing on), and knowing at once what is wrong plus a price per bit of what is not known. A check is worth
asking when it lowers the expected cost; a cheap remedy is itself a test, so nobody asks "until 95 % sure". Method and
worked numbers: Breese, Heckerman & Rommelse 1994 (p/c order, observation steps), Jensen et al. 2001 (questions); the entropy leaf
is derived here.

All arrays: rows are beliefs, columns are scenarios.
"""

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .. import effort
from .problem import RANK, ActionValue, Array, Decision, DecisionProblem, entropy, membership, normal

# A question that would tell less than this is not counted among those that tell something [bit] (judgement).
TELLS = 0.02
# From here on a fault is likelier there than not, and what would be learnt by one more question must be worth its trouble [-].
EVEN = 0.5


@dataclass(frozen=True)
class Plan:
    """The best remedies-only sequence of each row.

    Parameters
    ----------
    price : array (rows,)
        What it is expected to cost [minutes].
    order, cut : arrays (rows, mends), (rows,) of int
        Mends in turn, and how many of them are tried before handing on.
    last : array (rows, patterns) of int
        The place in the order of the last mend that scenarios of a pattern need; the number of mends where none can end them.
    paid : array (rows, mends + 1)
        What the first so many mends cost together [minutes].
    """

    price: Array
    order: NDArray[np.intp]
    cut: NDArray[np.intp]
    last: NDArray[np.intp]
    paid: Array


class CostModel:
    """The parts of a view that are the same for every row, and the price of a bit at the belief we stand at."""

    def __init__(self, decision_problem: DecisionProblem, root: Array) -> None:
        self.decision_problem = decision_problem
        count = len(decision_problem.unlisted)
        self.count = len(decision_problem.repairs)
        self.chance = np.array([m.chance for m in decision_problem.repairs])
        self.vain = np.array([m.vain for m in decision_problem.repairs])
        fix = np.zeros((count, self.count), dtype=bool)
        covered = np.zeros_like(decision_problem.needs)
        for k, mend in enumerate(decision_problem.repairs):
            fix[:, k] = (decision_problem.needs & mend.cures).any(axis=1)
            covered |= decision_problem.needs & mend.cures
        self.stuck = decision_problem.unlisted | (decision_problem.needs & ~covered).any(axis=1)
        self.fix = fix & ~self.stuck[:, None]
        # Where somebody else must come in any case, what is mended before they do is spared them.
        self.part = (fix & self.stuck[:, None]).astype(np.float64)
        self.success = np.where(
            self.stuck, 0.0, np.where(self.fix, self.chance, 1.0).prod(axis=1) if self.count else 1.0
        )
        # Scenarios that need the same mends end at the same place of any order: what is summed by place is summed over patterns.
        self.patterns, self.pattern = np.unique(self.fix, axis=0, return_inverse=True)
        self.next: CostModel | None = (
            CostModel(decision_problem.referral.next_problem, root) if decision_problem.referral.next_problem else None
        )
        self.next_perfect_information_cost = (
            (self.next.perfect_information_cost if self.next else 0.0)
            + decision_problem.referral.price
            + decision_problem.referral.fee
        )
        onward = self.next.relief if self.next else decision_problem.referral.work
        curing = [int(np.flatnonzero(m.cures)[0]) if m.cures.any() else -1 for m in decision_problem.repairs]
        self.spared = np.array([0.0 if onward is None or k < 0 else onward[k] for k in curing])
        self._priced(np.array([m.cost for m in decision_problem.repairs]))
        self.relief: Array = np.zeros(decision_problem.needs.shape[1]) if onward is None else onward.copy()
        for k, cost in zip(curing, self.cost, strict=True):
            if k >= 0 and cost < self.relief[k]:
                self.relief[k] = cost
        self.solving = np.where(self.patterns, self.chance, 1.0).prod(axis=1) * self.patterns.any(axis=1)
        one = np.eye(len(self.patterns))[self.pattern]
        self.by_pattern = np.concatenate([one, one * self.next_perfect_information_cost[:, None]], axis=1)
        self.member = membership(decision_problem.group)
        self.bit = self._price_of_a_bit(root)

    def _priced(self, cost: Array) -> None:
        self.cost = cost
        right = cost + (1 - self.chance) * self.vain
        mending = np.where(self.fix, right, 0.0).sum(axis=1) + (1 - self.success) * self.next_perfect_information_cost
        worth = np.maximum(self.chance * self.spared - right, 0.0)
        self.perfect_information_cost: Array = np.where(
            self.stuck,
            self.next_perfect_information_cost - self.part @ worth,
            np.minimum(mending, self.next_perfect_information_cost),
        )

    def after(self, test: str) -> "CostModel":
        """Return the parts as they are once a test was made: what must be looked at before a repair is paid only once."""
        looked = np.array([m.looking if m.look == test else 0.0 for m in self.decision_problem.repairs])
        if not looked.any():
            return self
        out = copy(self)
        out._priced(self.cost - looked)
        return out

    def hand_on(self, rows: Array) -> Array:
        """Return the price of handing on at once: the fee plus what the next role expects to spend from this belief."""
        base: Array = rows @ (self.decision_problem.referral.price + self.decision_problem.referral.fee)
        return base + self.next.leaf(rows) if self.next else base

    def _price_of_a_bit(self, root: Array) -> float:
        """Return the cheapest price of a bit among the questions, at a belief [minutes/bit]."""
        # How many bits are not known, and how many questions would tell of them: where one stands (`advising/progress.py`).
        self.unknown_bits, self.telling = 0.0, 0
        if not self.decision_problem.tests:
            return float("inf")
        before = float(entropy(root[None, :], self.member)[0])
        rows = np.concatenate([q.likelihood * root for q in self.decision_problem.tests])
        left = rows.sum(axis=1) * entropy(normal(rows), self.member)
        start = np.cumsum([0, *(len(q.likelihood) for q in self.decision_problem.tests)])[:-1]
        gain = before - np.add.reduceat(left, start)
        cost = np.array([q.cost for q in self.decision_problem.tests])
        self.unknown_bits, self.telling = before, int((gain > TELLS).sum())
        return float(np.where(gain > 1e-9, cost / np.where(gain > 1e-9, gain, 1.0), np.inf).min())

    def plan(self, rows: Array) -> "Plan":
        """Return for each row the best remedies-only sequence."""
        n, k = len(rows), self.count
        effort.spend(n * (2 * rows.shape[1] + 4 * (k + 2) * len(self.patterns)))
        hand = self.hand_on(rows)
        known = rows @ self.next_perfect_information_cost
        if k == 0:
            nothing = np.zeros((n, 0), dtype=np.intp)
            last = np.zeros((n, len(self.patterns)), dtype=np.intp)
            return Plan(hand, nothing, np.zeros(n, dtype=np.intp), last, np.zeros((n, 1)))
        # Finding out costs the next role the same overhead whatever was tried before.
        overhead = np.maximum(hand - known, 0.0)
        sums = rows @ self.by_pattern
        by_pattern, priced = sums[:, : len(self.patterns)], sums[:, len(self.patterns) :]
        # A mend that spares the next role a part of its work counts as that part of ending the case.
        parted = (rows @ self.part) * self.chance * (self.spared + self.vain)
        ending = np.divide(parted, known[:, None], out=np.zeros_like(parted), where=known[:, None] > 0)
        # Each is paid as if it were in vain; what that costs is given back where it was not.
        cost = self.cost + self.vain
        rate = ((by_pattern @ self.patterns) * self.chance + ending) / cost
        order = np.argsort(-rate, axis=1, kind="stable")
        place = np.empty_like(order)
        np.put_along_axis(place, order, np.arange(k)[None, :].repeat(n, 0), axis=1)
        paid = np.concatenate([np.zeros((n, 1)), np.cumsum(cost[order], axis=1)], axis=1)
        last = np.where(self.patterns.any(axis=1), -1, k)[None, :].repeat(n, axis=0)
        for mend, wanted in enumerate(self.patterns.T):
            np.maximum(last, place[:, mend, None] - np.where(wanted, 0, k + 1), out=last)
        at = (np.arange(0, n * (k + 1), k + 1)[:, None] + last).ravel()
        solved = by_pattern * self.solving

        def up_to(values: Array) -> Array:
            sums = np.bincount(at, values.ravel(), n * (k + 1)).reshape(n, k + 1)
            return np.asarray(np.cumsum(sums, axis=1)[:, :k], dtype=np.float64)

        done = up_to(solved)
        # What nothing ends stands in the last place, which is left out again; what it has paid is of no account.
        back = self.patterns @ self.vain
        spent = up_to(solved * (paid.ravel().take(at + 1, mode="clip").reshape(solved.shape) - back))
        spared = up_to(priced * self.solving + overhead[:, None] * solved)
        mass = rows.sum(axis=1)
        total = known + overhead * mass
        at_cut = spent + (mass[:, None] - done) * paid[:, 1:] + total[:, None] - spared
        at_cut -= np.cumsum(np.take_along_axis(parted, order, axis=1), axis=1)
        values = np.concatenate([hand[:, None], at_cut], axis=1)
        cut = values.argmin(axis=1)
        best: Array = values[np.arange(n), cut]
        return Plan(best, order, cut, last, paid)

    def leaf(self, rows: Array) -> Array:
        """Return the leaf value of each row [minutes]."""
        return self.informed(rows, self.plan(rows).price)

    def informed(self, rows: Array, act: Array) -> Array:
        """Return the smaller of acting and of knowing at once what is wrong, with the bits that are not known at their price.

        Parameters
        ----------
        rows : array (rows, scenarios)
        act : array (rows,)
            What the best remedies-only sequence costs [minutes].
        """
        if not np.isfinite(self.bit):
            return act
        out: Array = np.minimum(act, rows @ self.perfect_information_cost + self.bit * entropy(rows, self.member))
        return out


def choose(root: Array, decision_problem: DecisionProblem, least_gain: float = 0.0) -> Decision:
    """Return the cheapest next step from a belief, with every alternative's price.

    Parameters
    ----------
    root : array (scenarios,)
        The belief, summing to 1 [prob].
    decision_problem : DecisionProblem
        What the role may do.
    least_gain : float
        Share of the price of mending now that a question must save before it is asked instead [-]. The leaf is optimistic
        about what is learnt, so at 0 a walk goes on asking at 98 in 100 for half a minute of 56.

    Returns
    -------
    Decision
        `act` is the price of mending without another question, `hand_on` of handing on at once [minutes]; ties go to
        acting, then to the smaller id.

    Examples
    --------
    One fault of two, equal remedies of 10, a perfect question of 1 that is worth asking, handing on 100:

    >>> from dryfloor.engine.planning.problem import Referral, Repair, Test
    >>> needs = np.eye(2, dtype=bool)
    >>> decision_problem = DecisionProblem([Test("q", 1.0, np.eye(2))],
    ...     [Repair("a", 10.0, needs[0], 1.0), Repair("b", 10.0, needs[1], 1.0)],
    ...     Referral(np.array([100.0, 100.0])), needs, np.zeros(2, bool), np.arange(2))
    >>> choice = choose(np.array([0.5, 0.5]), decision_problem)
    >>> choice.best.id, choice.best.price, choice.act
    ('q', 11.0, 15.0)
    """
    cost_model = CostModel(decision_problem, root)
    plan = cost_model.plan(root[None, :])
    act = float(plan.price[0])
    hand = float(cost_model.hand_on(root[None, :])[0])
    ids = [decision_problem.repairs[k].id for k in plan.order[0][: plan.cut[0]]]
    first = ActionValue("remedy", ids[0], act) if ids else ActionValue("hand-on", "", hand)
    values = [first]
    if ids:
        values.append(ActionValue("hand-on", "", hand))
    if np.isfinite(cost_model.bit):
        rows = np.concatenate([q.likelihood * root for q in decision_problem.tests])
        share, beliefs = rows.sum(axis=1), normal(rows)
        leaves = share * cost_model.leaf(beliefs)
        end = np.cumsum([len(q.likelihood) for q in decision_problem.tests])
        looks = {m.look for m in decision_problem.repairs}
        for q, b in zip(decision_problem.tests, end, strict=True):
            here = slice(b - len(q.likelihood), b)
            if q.id in looks:
                leaves[here] = share[here] * cost_model.after(q.id).leaf(beliefs[here])
            values.append(ActionValue("question", q.id, q.cost + float(leaves[here].sum())))
    ranked = sorted(values, key=lambda v: (round(v.price, 9), RANK[v.kind], v.id))
    best = ranked[0]
    if best.kind == "question" and ids and best.price > (1 - least_gain) * first.price:
        mend = next(m for m in decision_problem.repairs if m.id == ids[0])
        # What is likelier not the fault than the fault is mended only once no question is worth asking any more.
        if float(root @ (decision_problem.needs & mend.cures).any(axis=1)) >= EVEN:
            best = first
    return Decision(best, ranked, act, hand, ids, least_gain, cost_model.unknown_bits, cost_model.telling)
