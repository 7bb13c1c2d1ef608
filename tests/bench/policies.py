"""Other ways of choosing the next step, over the same view and belief as the shipped choice.

Each is a plain function `(root, view) -> Choice`, so that it can be played at made-up sites and walked on small instances alike.
Permissions are in the view: no policy sees a step that its role may not take.

Sources: remedies in order of largest chance per cost, Kadane & Simon 1977 as cited by Lín 2014 (P), with the best cut to handing on
(optimal for one fault: D); one-step expected cost of repair, Heckerman, Breese & Rommelse 1995 (P).
"""

from dataclasses import replace

import numpy as np

from dryfloor.engine.planning.myopic import CostModel
from dryfloor.engine.planning.problem import (
    ActionValue,
    Array,
    Decision,
    DecisionProblem,
    Repair,
    Test,
    entropy,
    membership,
    normal,
)

# A question whose expected gain is smaller is said to tell nothing (judgement) [bit]: without a bound somebody who wants to be
# sure would ask on for crumbs.
LEAST_BIT = 0.01
RANK = {"remedy": 0, "hand-on": 1, "question": 2}


def without_questions(decision_problem: DecisionProblem) -> DecisionProblem:
    """Return a view in which nobody asks anything, neither this role nor the next."""
    onward = decision_problem.referral.next_problem
    return replace(
        decision_problem,
        tests=[],
        referral=replace(decision_problem.referral, next_problem=onward and without_questions(onward)),
    )


def remedies_only(root: Array, decision_problem: DecisionProblem) -> Decision:
    """Return the next remedy of the best sequence that asks nothing, or handing on.

    Parameters
    ----------
    root : array (scenarios,)
        The belief, summing to 1 [prob].
    decision_problem : DecisionProblem
        What the role may do.
    """
    return _choice(root, decision_problem, {})


def one_step(root: Array, decision_problem: DecisionProblem) -> Decision:
    """Return the step that costs least one step ahead, where after one question nothing but remedies follows.

    A question costs its price and, over its outcomes, the best sequence of remedies with its cut to handing on; there is no
    term of entropy, and nothing is asked that does not lower the expected cost at once.

    Parameters
    ----------
    root : array (scenarios,)
        The belief, summing to 1 [prob].
    decision_problem : DecisionProblem
        What the role may do.
    """
    cost_model = CostModel(without_questions(decision_problem), root)
    prices = {}
    if decision_problem.tests:
        rows = np.concatenate([q.likelihood * root for q in decision_problem.tests])
        ends = np.cumsum([len(q.likelihood) for q in decision_problem.tests])[:-1]
        after = np.split(rows.sum(axis=1) * cost_model.plan(normal(rows)).price, ends)
        prices = {q.id: q.cost + float(own.sum()) for q, own in zip(decision_problem.tests, after, strict=True)}
    return _choice(root, decision_problem, prices)


def until_sure(root: Array, decision_problem: DecisionProblem, level: float = 0.95) -> Decision:
    """Return the question with the most information per minute until one explanation is sure, then its remedy.

    An explanation is a set of causes to be mended. Once the likeliest has the wanted chance it is mended, or handed on where
    these hands can't have it mended; where nothing tells more before that, the best sequence of remedies goes on.

    Parameters
    ----------
    root : array (scenarios,)
        The belief, summing to 1 [prob].
    decision_problem : DecisionProblem
        What the role may do.
    level : float
        How sure is sure [prob].
    """
    chance = np.bincount(decision_problem.group, root)
    top = int(np.argmax(np.round(chance, 9)))
    plain = remedies_only(root, decision_problem)
    if chance[top] < level:
        rate = {
            q.id: gain / q.cost
            for q in decision_problem.tests
            if (gain := gain_of(q, root, decision_problem)) > LEAST_BIT
        }
        if rate:
            best = min(rate, key=lambda name: (-round(rate[name], 12), name))
            price = next(q.cost for q in decision_problem.tests if q.id == best)
            found = ActionValue("question", best, price)
            return replace(plain, best=found, ranked=[found, *plain.ranked])
        return plain
    one = int(np.flatnonzero(decision_problem.group == top)[0])
    fitting = [m for m in decision_problem.repairs if (decision_problem.needs[one] & m.cures).any()]
    covered = (
        np.logical_or.reduce([m.cures for m in fitting])
        if fitting
        else np.zeros(decision_problem.needs.shape[1], dtype=bool)
    )
    if decision_problem.unlisted[one] or not fitting or (decision_problem.needs[one] & ~covered).any():
        found = ActionValue("hand-on", "", plain.hand_on)
    else:
        found = ActionValue("remedy", min(fitting, key=_ease).id, plain.act)
    return replace(plain, best=found)


def gain_of(question: Test, root: Array, decision_problem: DecisionProblem) -> float:
    """Return what a question is expected to tell of the explanation [bit]."""
    rows, member = question.likelihood * root, membership(decision_problem.group)
    before = float(entropy(root[None, :], member)[0])
    return before - float(rows.sum(axis=1) @ entropy(normal(rows), member))


def _ease(mend: Repair) -> tuple[float, str]:
    return -mend.chance / mend.cost, mend.id


def _choice(root: Array, decision_problem: DecisionProblem, questions: dict[str, float]) -> Decision:
    """Return the cheapest of mending in the best order, handing on and some questions; ties go in that order."""
    cost_model = CostModel(without_questions(decision_problem), root)
    plan = cost_model.plan(root[None, :])
    act = float(plan.price[0])
    hand = float(cost_model.hand_on(root[None, :])[0])
    ids = [decision_problem.repairs[k].id for k in plan.order[0][: plan.cut[0]]]
    values = [
        ActionValue("hand-on", "", hand),
        *(ActionValue("question", name, price) for name, price in questions.items()),
    ]
    if ids:
        values.append(ActionValue("remedy", ids[0], act))
    ranked = sorted(values, key=lambda v: (round(v.price, 9), RANK[v.kind], v.id))
    return Decision(ranked[0], ranked, act, hand, ids)
