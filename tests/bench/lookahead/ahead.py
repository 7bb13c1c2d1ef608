"""A rival's choice of the next step: by parallel rollout once few causes are left alive, else one step ahead.

A rollout is within a hundredth of the optimum where that can be worked out, but only while its followers reach far enough. They
don't over all that a fresh complaint leaves open, nor past handing on, where they close with the next role's remedies and so price
it too high; there the one-ply choice stands. Past handing on it was measured nearer the optimum, over a whole complaint as good. Which of the two chooses follows from the belief
and the view alone, never from a clock. Method: parallel rollout, Chang, Givan & Chong 2004.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from dryfloor.engine.planning.myopic import choose
from dryfloor.engine.planning.problem import RANK, ActionValue, Array, Decision, DecisionProblem, Referral, Test, normal

from .remaining import chain
from .rollout import Beliefs, Rollout

# All of these numbers are judgement. The most causes alive that a rollout is tried over; alive are those of the scenarios that hold so much of the belief.
CAUSES = 8
HELD = 0.985
# What is planned over: so much of the belief, in at most so many scenarios, and so many questions of each role.
KEPT = 0.995
SCENARIOS = 96
POOL = 12
# How many steps are followed after the first.
DEPTH = 7
# Share of the price of acting that a question must save [-]. What a rollout saves can really be saved, so this is smaller than
# what a optimistic leaf must promise; judgement.
LEAST_FOLLOWED_GAIN = 0.003


def causes_alive(root: Array, decision_problem: DecisionProblem) -> int:
    """Return how many causes a belief leaves alive: those of the scenarios that hold nearly all of it [-].

    Parameters
    ----------
    root : array (scenarios,)
    decision_problem : DecisionProblem
    """
    return int(decision_problem.needs[_heaviest(root, HELD)].any(axis=0).sum())


def looked_ahead(root: Array, decision_problem: DecisionProblem, most: int = CAUSES, handing_on: bool = False) -> bool:
    """Return whether a belief is small enough to be looked ahead from, by the last role in the chain.

    Parameters
    ----------
    root : array (scenarios,)
    decision_problem : DecisionProblem
    most, handing_on
        As for `choose_ahead`.
    """
    return (handing_on or decision_problem.referral.next_problem is None) and causes_alive(
        root, decision_problem
    ) <= most


def _heaviest(root: Array, held: float) -> NDArray[np.intp]:
    """Return the fewest scenarios that hold a share of the belief, heaviest first."""
    order = np.argsort(-np.round(root, 12), kind="stable")
    return order[: int(np.searchsorted(np.cumsum(root[order]) / root.sum(), held)) + 1]


def narrowed(decision_problem: DecisionProblem, kept: NDArray[np.intp], pools: list[set[str]]) -> DecisionProblem:
    """Return a view over some of its scenarios, with those of each role's questions that are in its pool.

    Parameters
    ----------
    decision_problem : DecisionProblem
    kept : array of int
        Scenarios.
    pools : list of set of str
        Ids of questions, for each role along the chain.
    """
    following = decision_problem.referral.next_problem
    needs = decision_problem.needs[kept]
    return DecisionProblem(
        [Test(q.id, q.cost, q.likelihood[:, kept]) for q in decision_problem.tests if q.id in pools[0]],
        [m for m in decision_problem.repairs if (needs & m.cures).any()],
        Referral(
            decision_problem.referral.price[kept],
            narrowed(following, kept, pools[1:]) if following else None,
            decision_problem.referral.fee,
        ),
        needs,
        decision_problem.unlisted[kept],
        np.unique(decision_problem.group[kept], return_inverse=True)[1],
    )


def questions_of(choice: Decision) -> list[ActionValue]:
    """Return the questions of a choice, cheapest first."""
    return [v for v in choice.ranked if v.kind == "question"]


def choose_ahead(
    root: Array,
    decision_problem: DecisionProblem,
    least_gain: float = 0.0,
    most: int = CAUSES,
    handing_on: bool = False,
) -> Decision:
    """Return the next step, looked ahead for where few causes are alive.

    Parameters
    ----------
    root : array (scenarios,)
        The belief, summing to 1 [prob].
    decision_problem : DecisionProblem
        What the role may do.
    least_gain : float
        As for `choose.choose`, where one step ahead is looked [-].
    most : int
        The most causes alive that are looked ahead over [-].
    handing_on : bool
        Look ahead too where another role would go on after this one, and hand on wherever that comes out cheapest.

    Returns
    -------
    Decision
        Where it was looked ahead, the prices of the best questions and of acting are what following them costs; the other
        questions are left out, since their prices are of another kind. Where the last role would hand on by that, but asks
        one step ahead, it is the choice of one step ahead.

    Examples
    --------
    >>> from dryfloor.engine.planning.problem import Repair
    >>> needs = np.eye(2, dtype=bool)
    >>> decision_problem = DecisionProblem([Test("q", 1.0, np.eye(2))],
    ...     [Repair("a", 10.0, needs[0], 1.0), Repair("b", 10.0, needs[1], 1.0)],
    ...     Referral(np.array([100.0, 100.0])), needs, np.zeros(2, bool), np.arange(2))
    >>> choice = choose_ahead(np.array([0.5, 0.5]), decision_problem)
    >>> choice.best.id, choice.best.price, choice.act
    ('q', 11.0, 15.0)
    """
    first = choose(root, decision_problem, least_gain)
    asking = questions_of(first)[:POOL]
    if not asking or not looked_ahead(root, decision_problem, most, handing_on):
        return first
    kept = np.sort(_heaviest(root, KEPT)[:SCENARIOS])
    pools = [{v.id for v in asking}]
    pools += [{v.id for v in questions_of(choose(root, later))[:POOL]} for later in chain(decision_problem)[1:]]
    found = _followed(first, asking, root[kept] / root[kept].sum(), narrowed(decision_problem, kept, pools))
    # The followers see a pool of questions and some steps of them; where the last role would give up by that, one step ahead
    # sees all questions, and asks on where that promises more.
    gives_up = found.best.kind == "hand-on" and not handing_on
    return first if gives_up and first.best.kind == "question" else found


def _followed(first: Decision, asking: list[ActionValue], root: Array, decision_problem: DecisionProblem) -> Decision:
    """Return the choice with every first step followed by the base policies."""
    ahead = Rollout(decision_problem, root)
    role, base = ahead.roles[0], ahead.root[None, :]
    place = {q.id: n for n, q in enumerate(decision_problem.tests)}
    pool = np.array([place[v.id] for v in asking], dtype=np.intp)
    stack, which = role.outcomes(pool)
    asked = np.zeros((len(stack), len(ahead.names)), dtype=bool)
    asked[np.arange(len(stack)), role.place[pool[which]]] = True
    rows, whose, belongs, paid = [base * role.like[stack]], [0] * len(stack), [*which], [*role.cost[pool]]
    steps = list(asking)
    plan = role.cost_model.plan(base)
    order, cut = plan.order, plan.cut
    if cut[0] > 0:
        k = int(order[0, 0])
        steps.append(ActionValue("remedy", decision_problem.repairs[k].id, 0.0))
        rows, whose, belongs = [*rows, base @ role.after[k]], [*whose, 0], [*belongs, len(paid)]
        paid.append(float(role.mending(k, base)[0]))
    if len(ahead.roles) > 1:
        steps.append(ActionValue("hand-on", "", 0.0))
        rows, whose, belongs = [*rows, base], [*whose, 1], [*belongs, len(paid)]
        paid.append(float(base[0] @ role.fee))
    joint = np.concatenate(rows)
    share = joint.sum(axis=1)
    n = len(joint)
    asked = np.concatenate([asked, np.zeros((n - len(asked), len(ahead.names)), dtype=bool)])
    start = Beliefs(
        np.tile(normal(joint), (2, 1)),
        np.tile(share, 2),
        np.tile(asked, (2, 1)),
        np.tile(np.array(whose, dtype=np.intp), 2),
        np.repeat([True, False], n),
        np.zeros(2 * n, dtype=np.intp),
        np.tile(share, 2),
    )
    best = ahead.values(start, DEPTH).reshape(2, n).min(axis=0)
    prices = np.array(paid) + np.bincount(np.array(belongs), share * best, len(paid))
    # Mending to the end as planned can be done, too; and all prices are over the same part of the belief.
    planned = float(role.closing(base, plan)[0])
    values = [
        replace(v, price=min(float(p), planned) if v.kind == "remedy" else float(p))
        for v, p in zip(steps, prices, strict=True)
    ]
    if len(ahead.roles) == 1:
        values.append(ActionValue("hand-on", "", float(base[0] @ role.fee)))
    ranked = sorted(values, key=lambda v: (round(v.price, 9), RANK[v.kind], v.id))
    hand = next(v for v in ranked if v.kind == "hand-on")
    acting = next(v for v in ranked if v.kind != "question")
    top = ranked[0] if ranked[0].price < (1 - LEAST_FOLLOWED_GAIN) * acting.price else acting
    return Decision(top, ranked, acting.price, hand.price, first.order, LEAST_FOLLOWED_GAIN)
