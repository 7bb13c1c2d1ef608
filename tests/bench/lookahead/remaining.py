"""What can be left of a view's scenarios after any of its mends, so that a plan can look past a mend that fails.

A mend takes its cause out of a scenario's needs, or fails: then nobody tries it again, and the scenario waits for the last in
the chain. Derived here.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from dryfloor.engine.planning.problem import Array, DecisionProblem, Referral, Test

# A scenario, the causes that are left to mend in it, and whether a mend failed.
RemainingState = tuple[int, tuple[int, ...], bool]


@dataclass(frozen=True)
class Remaining:
    """What can still be the matter after any of the mends: a view over it, and where each mend leads.

    Parameters
    ----------
    decision_problem : DecisionProblem
        Over states: a scenario with the needs that are left of it, or with a mend that failed.
    start : array (scenarios,) of int
        The state in which each scenario begins.
    after : dict of array (states, states)
        For a cause that can be mended, with what chance trying it leads from each state to each other; what a row lacks of 1
        is resolved.
    failing : array (states, states)
        From each state to its failed one; a state that no mend can end stays.
    """

    decision_problem: DecisionProblem
    start: NDArray[np.intp]
    after: dict[int, Array]
    failing: Array


def chain(decision_problem: DecisionProblem) -> list[DecisionProblem]:
    """Return a view and those of the roles that it is handed on to, in order."""
    out = [decision_problem]
    while out[-1].referral.next_problem is not None:
        out.append(out[-1].referral.next_problem)
    return out


def cause_of(cures: NDArray[np.bool_]) -> int:
    """Return the one cause that a mend cures."""
    return int(np.flatnonzero(cures)[0])


def remaining(decision_problem: DecisionProblem) -> Remaining:
    """Return a view over what can be left of its scenarios after any mends.

    Parameters
    ----------
    decision_problem : DecisionProblem

    Examples
    --------
    One cause with a mend that cures nine times in ten: it stands untouched, or with the mend failed.

    >>> from dryfloor.engine.planning.problem import Repair
    >>> one = np.array([[True]])
    >>> left = remaining(DecisionProblem([], [Repair("a", 5.0, one[0], 0.9)], Referral(np.array([50.0])), one, one[:, 0] < 0, np.array([0])))
    >>> left.after[0].round(2).tolist()
    [[0.0, 0.1], [0.0, 1.0]]
    """
    views = chain(decision_problem)
    chance = {cause_of(m.cures): m.chance for v in views for m in v.repairs}
    wanted = [tuple(int(c) for c in np.flatnonzero(needs)) for needs in decision_problem.needs]
    states = [
        state
        for s, needs in enumerate(wanted)
        for state in _states(s, needs, bool(decision_problem.unlisted[s]), chance)
    ]
    at = {state: n for n, state in enumerate(states)}
    after = {}
    for cause, p in chance.items():
        move = np.eye(len(states))
        for n, (s, left, failed) in enumerate(states):
            if cause in left and not failed and not decision_problem.unlisted[s]:
                move[n, n] = 0.0
                move[n, at[s, wanted[s], True]] = 1 - p
                rest = (s, tuple(c for c in left if c != cause), False)
                if rest in at:
                    move[n, at[rest]] = p
        after[cause] = move
    origin = np.array([s for s, _, _ in states], dtype=np.intp)
    needs = np.zeros((len(states), decision_problem.needs.shape[1]), dtype=bool)
    for n, (_, left, _) in enumerate(states):
        needs[n, list(left)] = True
    stuck = np.array([failed or bool(decision_problem.unlisted[s]) for s, _, failed in states])
    keys: dict[tuple[bytes, bool], int] = {}
    group = np.array([keys.setdefault((n.tobytes(), bool(u)), len(keys)) for n, u in zip(needs, stuck, strict=True)])
    wide: DecisionProblem | None = None
    for own in reversed(views):
        questions = [Test(q.id, q.cost, q.likelihood[:, origin]) for q in own.tests]
        wide = DecisionProblem(
            questions, own.repairs, Referral(own.referral.price[origin], wide, own.referral.fee), needs, stuck, group
        )
    assert wide is not None
    start = np.array([at[s, left, False] for s, left in enumerate(wanted)], dtype=np.intp)
    failing = np.eye(len(states))
    for n, (s, _, failed) in enumerate(states):
        if not failed and (s, wanted[s], True) in at:
            failing[n, n], failing[n, at[s, wanted[s], True]] = 0.0, 1.0
    return Remaining(wide, start, after, failing)


def _states(s: int, wanted: tuple[int, ...], unlisted: bool, chance: dict[int, float]) -> list[RemainingState]:
    """Return what a scenario can be in: untouched, with some of its needs cured, with a mend that failed."""
    own = [] if unlisted else [c for c in wanted if c in chance]
    out: list[RemainingState] = [(s, wanted, False)]
    for size in range(1, len(own) + 1):
        for cured in combinations(own, size):
            if left := tuple(c for c in wanted if c not in cured):
                out.append((s, left, False))
    return [*out, (s, wanted, True)] if own else out
