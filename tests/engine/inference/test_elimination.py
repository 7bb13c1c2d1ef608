"""Known widths, and that every cause and every variable is taken exactly once, in an order that holds together."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.elimination import buckets, largest, members

SEEDS = st.integers(0, 10**6)


def bits(links: list[list[int]]) -> tuple[int, ...]:
    return tuple(sum(1 << b for b in bs) for bs in links)


def widest(links: list[list[int]], count: int) -> int:
    """How many findings the largest table holds."""
    sizes = (2,) * count
    return largest(buckets(bits(links), sizes, 0), sizes).bit_length() - 1


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


def test_a_comb_needs_a_tree_and_not_a_line() -> None:
    """A full binary tree of causes: taken in one line it holds as many findings open as it is deep, as a tree two (D)."""
    tree = [[k, 2 * k + 1] for k in range(31)] + [[k, 2 * k + 2] for k in range(31)]
    assert widest(tree, 63) == 2


@settings(deadline=None)
@given(SEEDS)
def test_each_cause_is_taken_once_and_each_variable_summed_out_once(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count, facts = int(rng.integers(1, 9)), int(rng.integers(0, 4))
    links = [[b for b in range(count) if rng.random() < 0.4] for _ in range(int(rng.integers(1, 9)))]
    sizes = tuple(int(rng.integers(2, 4)) if b < facts else 2 for b in range(count))
    found = buckets(bits(links), sizes, facts)
    assert sorted(i for b in found for i in b.causes) == [i for i, bs in enumerate(links) if bs]
    assert sorted(b.variable for b in found) == sorted({b for bs in links for b in bs})
    parents = [child for b in found for child in b.children]
    assert len(parents) == len(set(parents))
    for n, b in enumerate(found):
        held = set(b.scope)
        assert b.variable in held
        assert all(set(links[i]) <= held for i in b.causes)
        assert all(child < n and set(found[child].rest) <= held for child in b.children)
        assert n in parents or b.rest == ()
    # Once a variable is summed out, nothing later speaks of it.
    for n, b in enumerate(found):
        assert all(b.variable not in later.scope for later in found[n + 1 :])


def test_sets_as_bits() -> None:
    assert members(sum(1 << v for v in (0, 5, 63))) == (0, 5, 63)
