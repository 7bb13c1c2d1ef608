"""frontier: the order of turns keeps few findings open, and every step back is the transpose of its step."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.frontier import Root, close, close_back, step, step_back, turns_of

SEEDS = st.integers(0, 10**6)


def roots(links: list[list[int]]) -> list[Root]:
    """Causes that are linked to findings by number; strengths don't matter to the order."""
    one = np.ones(1)
    return [Root(one, [(one, None)], [[(b, 0.5, True) for b in bs]]) for bs in links]


def widest(links: list[list[int]], count: int) -> int:
    return max(len(t.held) for t in turns_of(roots(links), count))


def test_a_chain_a_star_and_a_ladder_stay_narrow() -> None:
    """Known widths of elimination (D): a chain holds two findings open, a star all of its centre's, a ladder few."""
    rng = np.random.default_rng(0)
    name = rng.permutation(40).tolist()
    chain = [[name[k - 1], name[k]] for k in range(1, 40)]
    assert widest([chain[k] for k in rng.permutation(39)], 40) == 2
    assert widest([list(range(6)), *([k] for k in range(6))], 6) == 6
    rung = rng.permutation(24).tolist()
    ladder = [[rung[2 * k], rung[2 * k + 1]] for k in range(12)] + [[rung[k], rung[k + 2]] for k in range(22)]
    assert widest([ladder[k] for k in rng.permutation(len(ladder))], 24) <= 4


@settings(deadline=None)
@given(SEEDS)
def test_each_linked_cause_has_one_turn_and_each_finding_one_life(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 8))
    links = [[b for b in range(count) if rng.random() < 0.4] for _ in range(int(rng.integers(1, 9)))]
    turns = turns_of(roots(links), count)
    assert sorted(t.cause for t in turns) == [i for i, bs in enumerate(links) if bs]
    held: list[int] = []
    closed: list[int] = []
    for t in turns:
        assert t.held[: len(t.held) - t.opens] == held  # findings that are open already keep their places
        assert set(links[t.cause]) <= set(t.held)
        held = list(t.held)
        closed += [held.pop(place) for place in t.closes]
    assert held == []
    assert sorted(closed) == sorted({b for bs in links for b in bs})


@settings(deadline=None)
@given(SEEDS)
def test_steps_back_are_transposes(seed: int) -> None:
    """<step(v), u> = <v, step_back(u)> for any two messages, and the same for summing out."""
    rng = np.random.default_rng(seed)
    states, open_ = int(rng.integers(1, 4)), int(rng.integers(1, 5))
    v, u = rng.random((2, states, 1 << open_))
    links = [
        [(b, float(rng.random()), bool(rng.random() < 0.7)) for b in range(open_) if rng.random() < 0.6] for _ in range(2)
    ]
    cause = Root(rng.random(states), [(rng.random(states), 1), (rng.random(states), None)], [])
    assert (step(cause, links, v) * u).sum() == pytest.approx((v * step_back(cause, links, u)).sum(), rel=1e-12)
    place, weights = int(rng.integers(open_)), (float(rng.random()), float(rng.random()))
    narrow = rng.random((states, 1 << (open_ - 1)))
    assert (close(v, place, weights) * narrow).sum() == pytest.approx(
        (v * close_back(narrow, place, weights)).sum(), rel=1e-12
    )


def test_summing_out_takes_the_right_finding() -> None:
    """Low bit first: with two open, place 0 pairs (0, 1) and (2, 3), place 1 pairs (0, 2) and (1, 3)."""
    v = np.array([[1.0, 2.0, 4.0, 8.0]])
    assert close(v, 0, (1.0, 10.0)).tolist() == [[21.0, 84.0]]
    assert close(v, 1, (1.0, 10.0)).tolist() == [[41.0, 82.0]]
