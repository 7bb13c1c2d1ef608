"""The downward pass against derivatives by difference, and the marginals of variables against enumeration."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.cause_factors import CauseFactor
from dryfloor.engine.inference.elimination import buckets
from dryfloor.engine.inference.propagation import BucketTree


def network(seed: int) -> tuple[BucketTree, list[CauseFactor], list[np.ndarray], int]:
    """A random tree of causes over a few facts and findings, its causes, and positive weights."""
    rng = np.random.default_rng(seed)
    facts, findings = int(rng.integers(0, 4)), int(rng.integers(1, 6))
    sizes = [*(int(rng.integers(2, 4)) for _ in range(facts)), *(2 for _ in range(findings))]
    roots = []
    for cause in range(int(rng.integers(1, 8))):
        parents = tuple(n for n in range(facts) if rng.random() < 0.4)
        chance = rng.uniform(0.05, 0.6, [sizes[n] for n in parents])
        links = [(facts + b, float(rng.uniform(0.1, 0.9))) for b in range(findings) if rng.random() < 0.5]
        roots.append(CauseFactor(cause, parents, 1 - chance, [(chance, links)]))
    weights = [rng.uniform(0.1, 1.0, n) for n in sizes]
    order = buckets(tuple(r.scope for r in roots), tuple(sizes), facts)
    return BucketTree(order, roots, len(roots), facts), roots, weights, facts


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_marginals_are_derivatives_of_the_whole(seed: int) -> None:
    """The whole is linear in each variable's weights: what one value has is what vanishes with its weight (D)."""
    tree, roots, weights, facts = network(seed)
    whole = tree.marginals(weights, [])
    for v, weight in enumerate(weights):
        if v >= facts and v not in tree.touched:
            continue  # a finding that nothing can trigger has one value
        for k in range(len(weight)):
            less = [w.copy() for w in weights]
            less[v][k] = 0.0
            gone = 1 - tree.marginals(less, []).total / whole.total
            assert whole.variables[v][k] == pytest.approx(gone, abs=1e-12)
    for i, root in enumerate(roots):
        never = [*roots[:i], replace(root, ways=[(w * 0.0, links) for w, links in root.ways]), *roots[i + 1 :]]
        gone = 1 - BucketTree(tree.order, never, len(roots), facts).marginals(weights, []).total / whole.total
        assert whole.present[i] == pytest.approx(gone, abs=1e-12)


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_the_unexplained_are_those_that_nothing_triggered(seed: int) -> None:
    """With several standing complaints: one less the chance that each of them was triggered (D)."""
    tree, _, weights, facts = network(seed)
    standing = list(range(facts, len(weights)))[:3]
    out = tree.marginals(weights, standing)
    all_fired = [np.array([0.0, w[1]]) if v in standing else w for v, w in enumerate(weights)]
    if any(v not in tree.touched for v in standing):
        assert out.unknown == pytest.approx(1.0, abs=1e-12)
    else:
        assert out.unknown == pytest.approx(1 - tree.marginals(all_fired, []).total / out.total, abs=1e-12)
