"""Base policies followed from many beliefs at once, as far as a fixed number of beliefs goes.

Two policies are followed: both ask the question whose one-ply price is least among those that tell most per minute, one with the
entropy leaf of `choose.py`, one with remedies alone as leaf; where asking does not pay they mend, and where mending does not pay
they hand on. A belief that is not followed any further is closed with mending, which somebody can really do. The work is bounded
by numbers of beliefs, never by a clock. Method: parallel rollout, Chang, Givan & Chong 2004.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dryfloor.engine.planning.myopic import CostModel, Plan
from dryfloor.engine.planning.problem import Array, DecisionProblem, normal, times_log

from .remaining import Remaining, cause_of, chain, remaining

# Questions priced in each belief, of those that tell most per minute.
TELLING = 3
# Beliefs followed at each depth; those that are reached with the least chance are closed.
ROWS = 96
Made = list[tuple[Array, Array, NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]]]


class Stacked:
    """One role's view over what remains, with its questions stacked."""

    def __init__(
        self,
        decision_problem: DecisionProblem,
        left: Remaining,
        root: Array,
        union: list[str],
        following: "Stacked | None" = None,
    ) -> None:
        self.next = following
        self.failing = left.failing
        self.decision_problem = decision_problem
        self.cost_model = CostModel(decision_problem, root)
        self.after = [left.after[cause_of(m.cures)] for m in decision_problem.repairs]
        self.fee = decision_problem.referral.price + decision_problem.referral.fee
        self.place = np.array([union.index(q.id) for q in decision_problem.tests], dtype=np.intp)
        self.cost = np.array([q.cost for q in decision_problem.tests])
        self.size = np.array([len(q.likelihood) for q in decision_problem.tests], dtype=np.intp)
        self.start = np.cumsum([0, *self.size])[:-1].astype(np.intp)
        self.like = np.concatenate([np.zeros((0, len(root))), *(q.likelihood for q in decision_problem.tests)])
        groups = [np.flatnonzero(states) for states in self.cost_model.member.T]
        self.alike = [(states, self.like[:, states].T) for states in groups]

    def closing(self, rows: Array, plan: Plan) -> Array:
        """Return what mending and then handing on really costs: what the mends leave, the next role mends as it can.

        The price of the plan itself hopes that finding out costs the next role no more than before the mends failed.
        """
        if self.next is None:
            return plan.price
        last = plan.last[:, self.cost_model.pattern]
        done = last < plan.cut[:, None]
        each = np.arange(len(rows))
        at_cut = plan.paid[each, plan.cut]
        ended = np.where(done, rows * self.cost_model.success, 0.0)
        until = plan.paid[each[:, None], np.where(done, last + 1, 0)]
        left = rows - ended
        left = np.where(done, 0.0, left) + np.where(done, left, 0.0) @ self.failing
        share = left.sum(axis=1)
        rest = normal(left)
        onward = rest @ self.fee + self.next.closing(rest, self.next.cost_model.plan(rest))
        out: Array = (ended * until).sum(axis=1) + share * (at_cut + onward)
        return out

    def mending(self, k: int, rows: Array) -> Array:
        """Return what trying a mend costs, its price in vain for the share that it does not cure included [minutes]."""
        model = self.cost_model
        cured = model.chance[k] * (rows @ (model.fix[:, k] | (model.part[:, k] > 0)))
        return np.asarray(model.cost[k] + model.vain[k] * (1 - cured))

    def telling(self, rows: Array, asked: NDArray[np.bool_]) -> NDArray[np.intp]:
        """Return for each row the questions that tell most per minute, shape (rows, at most TELLING)."""
        n, q = len(rows), len(self.cost)
        parts = np.empty((len(self.alike), n, len(self.like)))
        for part, (states, like) in zip(parts, self.alike, strict=True):
            np.matmul(rows[:, states], like, out=part)
        # What is left to know falls by a constant less this sum, so that the gain ranks as the sum does.
        terms = times_log(parts).sum(axis=0) - times_log(parts.sum(axis=0))
        before = times_log(rows @ self.cost_model.member).sum(axis=1)
        gain = np.add.reduceat(terms, self.start, axis=1) - before[:, None]
        rate = np.where(asked[:, self.place], -1.0, np.round(gain / self.cost, 12))
        out: NDArray[np.intp] = np.argsort(-rate, axis=1, kind="stable")[:, : min(TELLING, q)]
        return out

    def outcomes(self, questions: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return for questions their outcomes' rows in the stack, and which of the questions each belongs to."""
        size = self.size[questions]
        parent = np.repeat(np.arange(len(questions)), size)
        first = np.repeat(np.cumsum(size) - size, size)
        return np.arange(len(parent)) - first + self.start[questions][parent], parent


@dataclass
class Beliefs:
    """Beliefs that are reached after as many steps, and what their base policy does in each.

    Parameters
    ----------
    rows : array (beliefs, states)
        Each summing to 1 [prob].
    mass : array (beliefs,)
        With what chance each is reached; decides which are followed [prob].
    asked : array (beliefs, questions) of bool
        Over the questions of all roles.
    role : array (beliefs,) of int
        Whose turn it is, along the chain of views.
    optimistic : array (beliefs,) of bool
        Which base policy: entropy in the leaf, or remedies alone.
    parent, share : arrays (beliefs,)
        The belief before, and the chance of this one there.
    """

    rows: Array
    mass: Array
    asked: NDArray[np.bool_]
    role: NDArray[np.intp]
    optimistic: NDArray[np.bool_]
    parent: NDArray[np.intp]
    share: Array

    def __post_init__(self) -> None:
        self.act: Array = np.zeros(len(self.rows))
        # What is paid for the step that is followed; nothing is followed where this is infinite.
        self.paid: Array = np.full(len(self.rows), np.inf)


class Rollout:
    """Base policies followed over what remains of a view, all beliefs of one depth at once.

    Parameters
    ----------
    decision_problem : DecisionProblem
    root : array (scenarios,)
        The belief that the price of a bit is taken at.
    """

    def __init__(self, decision_problem: DecisionProblem, root: Array) -> None:
        self.left = remaining(decision_problem)
        self.root = np.zeros(len(self.left.decision_problem.unlisted))
        np.add.at(self.root, self.left.start, root)
        views = chain(self.left.decision_problem)
        self.names = sorted({q.id for v in views for q in v.tests})
        self.roles: list[Stacked] = []
        for v in reversed(views):
            following = self.roles[0] if self.roles else None
            self.roles.insert(0, Stacked(v, self.left, self.root, self.names, following))

    def values(self, start: Beliefs, depth: int) -> Array:
        """Return what each belief costs under its base policy, followed for some steps [minutes].

        Parameters
        ----------
        start : Beliefs
        depth : int
            How many steps are followed [-].
        """
        levels = [start]
        for _ in range(depth):
            following = self._expand(levels[-1])
            if following is None:
                break
            levels.append(following)
        last = levels[-1]
        for r, role in enumerate(self.roles):
            at = np.flatnonzero(last.role == r)
            if len(at):
                last.act[at] = role.closing(last.rows[at], role.cost_model.plan(last.rows[at]))
        value = last.act
        for before, after in zip(levels[-2::-1], levels[:0:-1], strict=True):
            led = before.paid + np.bincount(after.parent, after.share * value, len(before.paid))
            value = np.minimum(before.act, led)
        return value

    def _expand(self, level: Beliefs) -> Beliefs | None:
        live = np.argsort(-np.round(level.mass, 12), kind="stable")[:ROWS]
        followed = np.zeros(len(level.mass), dtype=bool)
        followed[live[level.mass[live] > 0]] = True
        made: Made = []
        for r, role in enumerate(self.roles):
            at = np.flatnonzero(level.role == r)
            if not len(at):
                continue
            plan = role.cost_model.plan(level.rows[at])
            act, order, cut = plan.price, plan.order, plan.cut
            level.act[at] = role.closing(level.rows[at], plan)
            inside = followed[at]
            own, act, order, cut = at[inside], act[inside], order[inside], cut[inside]
            asks = self._ask(level, r, own, act, made)
            own, order, cut = own[~asks], order[~asks], cut[~asks]
            for k in sorted({int(k) for k in order[cut > 0, 0]}) if order.shape[1] else []:
                mine = own[(cut > 0) & (order[:, 0] == k)]
                level.paid[mine] = role.mending(k, level.rows[mine])
                made.append(
                    (level.rows[mine] @ role.after[k], level.mass[mine], mine, level.role[mine], level.asked[mine])
                )
            mine = own[cut == 0]
            if r + 1 < len(self.roles) and len(mine):
                level.paid[mine] = level.rows[mine] @ role.fee
                made.append((level.rows[mine], level.mass[mine], mine, level.role[mine] + 1, level.asked[mine]))
        if not made:
            return None
        joint, mass, parent, roles, asked = (np.concatenate(part) for part in zip(*made, strict=True))
        share = joint.sum(axis=1)
        return Beliefs(normal(joint), mass * share, asked, roles, level.optimistic[parent], parent, share)

    def _ask(self, level: Beliefs, r: int, own: NDArray[np.intp], act: Array, made: Made) -> NDArray[np.bool_]:
        """Enter the question that the base policy asks in each belief; return where it asks."""
        role = self.roles[r]
        if not len(own) or not len(role.cost):
            return np.zeros(len(own), dtype=bool)
        rows = level.rows[own]
        best = role.telling(rows, level.asked[own])
        flat = best.ravel()
        line = np.repeat(np.arange(len(own)), best.shape[1])
        stack, which = role.outcomes(flat)
        joint = rows[line[which]] * role.like[stack]
        share = joint.sum(axis=1)
        child = normal(joint)
        mended = role.cost_model.plan(child).price
        leaf = np.where(level.optimistic[own][line[which]], role.cost_model.informed(child, mended), mended)
        price = role.cost[flat] + np.bincount(which, share * leaf, len(flat))
        price[level.asked[own][line, role.place[flat]]] = np.inf
        price = price.reshape(best.shape)
        top = price.argmin(axis=1)
        every = np.arange(len(own))
        asks: NDArray[np.bool_] = price[every, top] < act - 1e-9
        chosen = every * best.shape[1] + top
        level.paid[own[asks]] = role.cost[best[every, top][asks]]
        keep = asks[line[which]] & (chosen[line[which]] == which)
        parent = own[line[which[keep]]]
        seen = level.asked[parent].copy()
        seen[np.arange(len(parent)), role.place[flat[which[keep]]]] = True
        made.append((joint[keep], level.mass[parent], parent, level.role[parent], seen))
        return asks
