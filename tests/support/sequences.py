"""Small problems of repair: one fault, remedies, questions, handing on. Their optimum by dynamic programming, and the
cost of our policy by following `choose.choose` down its whole tree. The dynamic programme shares nothing with the engine.
"""

from dataclasses import dataclass, replace

import numpy as np

from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import DecisionProblem, Referral, Repair, Test

NOBODY = 1e6  # a price at which handing on is never worth it


@dataclass(frozen=True)
class Problem:
    """One fault out of several: chances, what each remedy costs and fixes, what each question costs and tells."""

    prior: np.ndarray
    repairs: dict[str, tuple[float, np.ndarray]]  # id -> (cost, which faults it fixes)
    tests: dict[str, tuple[float, np.ndarray]]  # id -> (cost, P(outcome | fault), a row for each outcome)
    hand: float = NOBODY


def fixes(count: int, *faults: int) -> np.ndarray:
    """Which of so many faults a remedy fixes."""
    return np.isin(np.arange(count), faults)


def parted(count: int, *faults: int) -> np.ndarray:
    """A yes-or-no question that tells some faults from the others without error."""
    return np.array([fixes(count, *faults), ~fixes(count, *faults)], dtype=float)


def optimum(problem: Problem, never: str = "") -> float:
    """The least expected cost of any strategy, by dynamic programming over unnormalised beliefs."""
    memo: dict[tuple, float] = {}

    def value(v: np.ndarray, mends: frozenset, questions: frozenset) -> float:
        mass = v.sum()
        if mass < 1e-15:
            return 0.0
        key = (np.round(v, 14).tobytes(), mends, questions)
        if key in memo:
            return memo[key]
        best = problem.hand * mass
        for name in mends:
            cost, fixed = problem.repairs[name]
            if v[fixed].any():
                best = min(best, cost * mass + value(np.where(fixed, 0.0, v), mends - {name}, questions))
        for name in questions:
            cost, table = problem.tests[name]
            if cost * mass < best:
                left = questions - {name}
                best = min(best, cost * mass + sum(value(v * row, mends, left) for row in table))
        memo[key] = best
        return best

    return value(problem.prior, frozenset(problem.repairs), frozenset(problem.tests) - {never})


def view_of(problem: Problem) -> DecisionProblem:
    """What the engine sees of a problem."""
    count = len(problem.prior)
    needs = np.eye(count, dtype=bool)
    fixed = [m for _, m in problem.repairs.values()]
    return DecisionProblem(
        [Test(name, cost, table) for name, (cost, table) in problem.tests.items()],
        [Repair(name, cost, fixed, 1.0) for name, (cost, fixed) in problem.repairs.items()],
        Referral(np.full(count, problem.hand)),
        needs,
        ~np.any(fixed, axis=0) if fixed else np.ones(count, bool),
        np.arange(count),
    )


def policy(problem: Problem, asked: set[str] | None = None) -> float:
    """The expected cost of doing what the engine says until it is mended or handed on; `asked` collects its questions."""
    total = problem.prior.sum()
    if total < 1e-15:
        return 0.0
    best = choose(problem.prior / total, view_of(problem)).best
    if best.kind == "hand-on":
        return problem.hand * total
    if best.kind == "remedy":
        cost, fixed = problem.repairs[best.id]
        left = {n: m for n, m in problem.repairs.items() if n != best.id}
        return cost * total + policy(replace(problem, prior=np.where(fixed, 0.0, problem.prior), repairs=left), asked)
    if asked is not None:
        asked.add(best.id)
    cost, table = problem.tests[best.id]
    left = {n: q for n, q in problem.tests.items() if n != best.id}
    return cost * total + sum(policy(replace(problem, prior=problem.prior * row, tests=left), asked) for row in table)
