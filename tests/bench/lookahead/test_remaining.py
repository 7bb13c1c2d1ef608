"""What is left after mends: mass goes nowhere but to resolved, in whatever order they are tried."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.planning.problem import DecisionProblem, Referral, Repair
from tests.bench.instances import made_up
from tests.bench.lookahead.remaining import cause_of, chain, remaining

pytestmark = pytest.mark.slow  # a rival of the bench: nothing that is shipped looks ahead


def view_of(sets, chances, unlisted=()):
    causes = len(chances)
    needs = np.array([[c in own for c in range(causes)] for own in sets])
    mends = [Repair(f"m{c}", 1.0, np.arange(causes) == c, p) for c, p in enumerate(chances) if p is not None]
    flags = np.array([s in unlisted for s in range(len(sets))])
    return DecisionProblem([], mends, Referral(np.full(len(sets), 9.0)), needs, flags, np.arange(len(sets)))


@given(st.lists(st.floats(0.1, 1.0), min_size=3, max_size=3))
def test_what_stands_after_all_mends_is_what_the_chances_leave(chances):
    """A scenario with several needs is over only when each of its mends works: 1 less their product stands."""
    sets = [{0}, {1, 2}, {0, 1, 2}]
    left = remaining(view_of(sets, chances))
    for order in permutations(range(3)):
        for s, own in enumerate(sets):
            row = np.zeros(len(left.decision_problem.unlisted))
            row[left.start[s]] = 1.0
            for cause in order:
                row = row @ left.after[cause]
            assert row.sum() == pytest.approx(1 - np.prod([chances[c] for c in own]), abs=1e-12)


def test_a_mend_is_not_tried_twice():
    left = remaining(view_of([{0}], [0.9]))
    once = np.eye(len(left.decision_problem.unlisted))[left.start[0]] @ left.after[0]
    assert once.sum() == pytest.approx(0.1)
    assert (once @ left.after[0]).sum() == pytest.approx(0.1)


def test_what_is_not_listed_and_what_has_no_mend_stays():
    left = remaining(view_of([{0}, {0, 1}, set()], [0.9, None], unlisted={0, 2}))
    for s in (0, 2):
        row = np.eye(len(left.decision_problem.unlisted))[left.start[s]]
        assert (row @ left.after[0] == row).all()
    pair = np.eye(len(left.decision_problem.unlisted))[left.start[1]] @ left.after[0]
    assert pair.sum() == pytest.approx(1.0)
    assert left.decision_problem.needs[int(pair.argmax())].tolist() == [False, True]


def test_a_failed_state_keeps_what_its_scenario_shows():
    """Its questions come out as before, and only the last in the chain ends it."""
    instance = made_up(2)
    left = remaining(instance.decision_problem)
    for s in range(len(instance.root)):
        failed = int(left.failing[left.start[s]].argmax())
        for before, wide in zip(instance.decision_problem.tests, left.decision_problem.tests, strict=True):
            assert (wide.likelihood[:, failed] == before.likelihood[:, s]).all()
        assert left.decision_problem.unlisted[failed] or failed == left.start[s]


def test_every_role_of_the_chain_stands_over_the_same_states():
    instance = made_up(1)
    first = DecisionProblem(
        [], [], Referral(np.zeros(len(instance.root)), instance.decision_problem, 5.0), instance.decision_problem.needs, instance.decision_problem.unlisted,
        instance.decision_problem.group,
    )  # fmt: skip
    left = remaining(first)
    assert len({len(v.unlisted) for v in chain(left.decision_problem)}) == 1
    assert set(left.after) == {cause_of(m.cures) for m in instance.decision_problem.repairs}
