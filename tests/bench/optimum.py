"""The exact optimum of a small view by dynamic programming, and the exact cost of following a policy in it.

A state says which questions came out how and which causes somebody tried to mend; values are unnormalised (weighted by the
chance of the state), after shared knowledge of troubleshooting by dynamic programming (Vomlelova 2003). A question comes out
once and for all; a mend that fails is not tried again, and one that ends nothing costs its `vain` on top; the last in the chain always ends it. Nothing here is shared with the
engine but its records.
"""

from itertools import combinations

import numpy as np

from dryfloor.engine.planning.problem import DecisionProblem, Referral, Test


def chain(decision_problem):
    """Return a view and those of the roles it is handed on to, in order."""
    out = [decision_problem]
    while out[-1].referral.next_problem is not None:
        out.append(out[-1].referral.next_problem)
    return out


class Optimum:
    """All values of a small view and of what it is handed on to.

    Parameters
    ----------
    root : array (scenarios,)
    decision_problem : DecisionProblem
        Questions of one id have one table in every role's view.
    """

    def __init__(self, root, decision_problem):
        self.root, self.views = np.asarray(root, float), chain(decision_problem)
        self.ids = sorted({q.id for v in self.views for q in v.tests})
        tables = {q.id: q.likelihood for v in self.views for q in v.tests}
        self.tables = [tables[i] for i in self.ids]
        self.causes = sorted({int(np.flatnonzero(m.cures)[0]) for v in self.views for m in v.repairs})
        chances = {int(np.flatnonzero(m.cures)[0]): m.chance for v in self.views for m in v.repairs}
        self.chances = [chances[c] for c in self.causes]
        self.base = [len(t) + 1 for t in self.tables]
        self.stride = np.concatenate([[1], np.cumprod(self.base)]).astype(int)
        self.unsolved = np.column_stack([self._unsolved(t) for t in range(1 << len(self.causes))])
        self.values = []
        for which in reversed(range(len(self.views))):
            self.values.insert(0, self._solve(which))

    @property
    def cost(self):
        """Expected cost to resolution of the best policy [minutes]."""
        return float(self.values[0][0, 0])

    def _unsolved(self, tried):
        """Return the chance that each scenario still stands after some mends, shape (scenarios,)."""
        decision_problem = self.views[0]
        bits = [c for n, c in enumerate(self.causes) if tried >> n & 1]
        out = np.ones(len(self.root))
        for s, (needs, unlisted) in enumerate(zip(decision_problem.needs, decision_problem.unlisted, strict=True)):
            wanted = [int(c) for c in np.flatnonzero(needs)]
            if not unlisted and set(wanted) <= set(bits):
                out[s] = 1 - np.prod([self.chances[self.causes.index(c)] for c in wanted])
        return out

    def _levels(self):
        """Return the question states by how many were asked, most first."""
        count = int(self.stride[-1])
        digits = (
            (np.arange(count)[:, None] // self.stride[:-1]) % np.array(self.base, int)
            if self.ids
            else np.zeros((1, 0), int)
        )
        asked = (digits > 0).sum(axis=1)
        return digits, [np.flatnonzero(asked == n) for n in range(len(self.ids), -1, -1)]

    def _solve(self, which):
        decision_problem = self.views[which]
        after = self.values[0] if self.values else None
        digits, levels = self._levels()
        count, tried = int(self.stride[-1]), 1 << len(self.causes)
        out = np.zeros((count, tried))
        masks = np.arange(tried)
        for states in levels:
            like = np.ones((len(states), len(self.root)))
            for j, table in enumerate(self.tables):
                padded = np.concatenate([np.ones((1, table.shape[1])), table])
                like *= padded[digits[states, j]]
            mass = (like * self.root) @ self.unsolved
            best = (
                like * self.root * (decision_problem.referral.price + decision_problem.referral.fee)
            ) @ self.unsolved
            if after is not None:
                best = best + after[states]
            for q in decision_problem.tests:
                j = self.ids.index(q.id)
                free = digits[states, j] == 0
                price = q.cost * mass[free]
                for k in range(len(q.likelihood)):
                    price = price + out[states[free] + (k + 1) * self.stride[j]]
                best[free] = np.minimum(best[free], price)
            for mask in sorted(range(tried), key=lambda m: (-bin(m).count("1"), m)):
                for mend in decision_problem.repairs:
                    n = self.causes.index(int(np.flatnonzero(mend.cures)[0]))
                    if not mask >> n & 1:
                        price = mend.cost * mass[:, mask] + self._in_vain(mend, like, mass[:, mask])
                        best[:, mask] = np.minimum(best[:, mask], price + best[:, masks[mask | 1 << n]])
            out[states] = best
        return out

    def _in_vain(self, mend, like, mass):
        """Return what a mend costs on top where it ends nothing: no cause of its own is there, or it is not cured [minutes].

        Whatever needs it stands for certain before it was tried, so that its share is cured by its chance.
        """
        needed = self.views[0].needs[:, int(np.flatnonzero(mend.cures)[0])]
        return mend.vain * (mass - mend.chance * ((like * self.root) @ needed))

    def under(self, policy, floor=0.0):
        """Return the expected cost of following a policy, a function (root, view) -> Choice [minutes].

        States that are reached with a smaller chance than `floor` are closed at their optimum, so that what is returned is a
        lower bound that misses the policy's cost by less than the floor's share of it; 0 follows every state.
        """
        known = {}

        def value(which, state, tried):
            key = (which, state, tried)
            if key not in known:
                like = np.ones(len(self.root))
                for j, table in enumerate(self.tables):
                    digit = state // int(self.stride[j]) % self.base[j]
                    if digit:
                        like = like * table[digit - 1]
                mass = float((like * self.root) @ self.unsolved[:, tried])
                known[key] = (
                    float(self.values[which][state, tried]) if mass <= floor else step(which, state, tried, like, mass)
                )
            return known[key]

        def step(which, state, tried, like, mass):
            row, decision_problem = self.standing(which, state, tried, like)
            best = policy(row, decision_problem).best
            own = self.views[which]
            if best.kind == "question":
                q = next(q for q in own.tests if q.id == best.id)
                j = self.ids.index(q.id)
                return q.cost * mass + sum(
                    value(which, state + (k + 1) * int(self.stride[j]), tried) for k in range(len(q.likelihood))
                )
            if best.kind == "remedy":
                mend = next(m for m in own.repairs if m.id == best.id)
                n = self.causes.index(int(np.flatnonzero(mend.cures)[0]))
                price = mend.cost * mass + float(self._in_vain(mend, like, mass))
                return price + value(which, state, tried | 1 << n)
            price = float((like * self.root * (own.referral.price + own.referral.fee)) @ self.unsolved[:, tried])
            return price + (value(which + 1, state, tried) if which + 1 < len(self.views) else 0.0)

        return value(0, 0, 0)

    def standing(self, which, state, tried, like):
        """Return the belief and the view that a policy sees in a state: what was tried and failed can't be tried again."""
        base = self.views[0]
        origin, needs, weight = [], [], []
        done = [c for n, c in enumerate(self.causes) if tried >> n & 1]
        for s in range(len(self.root)):
            mine = [c for c in done if base.needs[s, c] and not base.unlisted[s]]
            for size in range(len(mine) + 1):
                for cured in combinations(mine, size):
                    chance = 1.0
                    for c in mine:
                        p = self.chances[self.causes.index(c)]
                        chance *= p if c in cured else 1 - p
                    left = base.needs[s].copy()
                    left[list(cured)] = False
                    if chance * like[s] * self.root[s] > 0 and (left.any() or base.unlisted[s]):
                        origin.append(s)
                        needs.append(left)
                        weight.append(chance * like[s] * self.root[s])
        origin, needs, weight = np.array(origin), np.array(needs), np.array(weight)
        asked = {i for j, i in enumerate(self.ids) if state // int(self.stride[j]) % self.base[j]}
        keys = {}
        group = np.array(
            [
                keys.setdefault((n.tobytes(), bool(base.unlisted[s])), len(keys))
                for s, n in zip(origin, needs, strict=True)
            ]
        )
        decision_problem = None
        for own in reversed(self.views[which:]):
            decision_problem = DecisionProblem(
                [Test(q.id, q.cost, q.likelihood[:, origin]) for q in own.tests if q.id not in asked],
                [m for m in own.repairs if int(np.flatnonzero(m.cures)[0]) not in done],
                Referral(own.referral.price[origin], decision_problem, own.referral.fee),
                needs,
                base.unlisted[origin],
                group,
            )
        return weight / weight.sum(), decision_problem
