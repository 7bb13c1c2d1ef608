"""Joins against every pair of sets, and what goes back is the transpose of what went forth."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.potentials import (
    combined,
    combined_adjoint,
    expanded,
    explained_weight,
    fire,
    fire_adjoint,
    marginalized_to,
    opened,
    opened_adjoint,
)

SEEDS = st.integers(0, 10**6)


def tables(rng: np.random.Generator, facts: int, findings: int) -> tuple[np.ndarray, np.ndarray, list[int]]:
    """Two tables lifted to the same axes, each with some of them, and the axes of findings in both."""
    sizes = [*(int(rng.integers(2, 4)) for _ in range(facts)), *(2 for _ in range(findings))]
    has = [[rng.random() < 0.7 for _ in sizes] for _ in range(2)]
    a, b = (rng.random([n if h else 1 for n, h in zip(sizes, which, strict=True)]) for which in has)
    return a, b, [k for k in range(facts, len(sizes)) if has[0][k] and has[1][k]]


@settings(deadline=None)
@given(SEEDS)
def test_a_join_is_a_sum_over_all_pairs_of_sets(seed: int) -> None:
    """A finding is triggered when either side triggered it: brute force over both sides' sets (D)."""
    rng = np.random.default_rng(seed)
    a, b, both = tables(rng, 0, int(rng.integers(1, 5)))
    out = combined(a, b, both)
    expected = np.zeros_like(out)
    for i, j in product(np.ndindex(a.shape), np.ndindex(b.shape)):
        expected[tuple(max(p, q) for p, q in zip(i, j, strict=True))] += a[i] * b[j]
    assert out == pytest.approx(expected, rel=1e-12)


@settings(deadline=None)
@given(SEEDS)
def test_joins_back_are_transposes(seed: int) -> None:
    """The join is linear in each side: <join(a, b), u> = <a, back_a> = <b, back_b>."""
    rng = np.random.default_rng(seed)
    a, b, both = tables(rng, int(rng.integers(0, 3)), int(rng.integers(0, 4)))
    out = combined(a, b, both)
    u = rng.random(out.shape)
    back_a, back_b = combined_adjoint(u, a, b, both)
    assert back_a.shape == a.shape
    assert back_b.shape == b.shape
    assert (a * back_a).sum() == pytest.approx((out * u).sum(), rel=1e-12)
    assert (b * back_b).sum() == pytest.approx((out * u).sum(), rel=1e-12)


@settings(deadline=None)
@given(SEEDS)
def test_openings_back_are_transposes(seed: int) -> None:
    """<opened(v), u> = <v, opened_back(u)>."""
    rng = np.random.default_rng(seed)
    facts, findings = int(rng.integers(0, 3)), int(rng.integers(1, 4))
    shape = (*(int(rng.integers(2, 4)) for _ in range(facts)), *(2 for _ in range(findings)))
    u = rng.random(shape)
    new = list(range(facts, facts + findings))
    narrow = rng.random([n if rng.random() < 0.5 else 1 for n in shape])
    wide = opened(narrow, shape, new)
    assert (wide * u).sum() == pytest.approx((narrow * opened_adjoint(u, narrow.shape, new)).sum(), rel=1e-12)
    # A finding that is newly open is triggered by nobody yet.
    for axis in new:
        if narrow.shape[axis] == 1:
            assert wide.take(1, axis=axis).sum() == 0


@settings(deadline=None)
@given(SEEDS)
def test_firing_back_is_the_transpose_of_firing(seed: int) -> None:
    """<fire(v), u> = <v, fire_back(u)>."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 4))
    v, u = rng.random((2, *(2,) * count))
    links = [(k, float(rng.random())) for k in range(count) if rng.random() < 0.7]
    forth, back = v.copy(), u.copy()
    fire(forth, links)
    fire_adjoint(back, links)
    assert (forth * u).sum() == pytest.approx((v * back).sum(), rel=1e-12)


def test_a_cause_fires_each_link_on_its_own() -> None:
    v = np.array([[1.0, 0.0], [0.0, 0.0]])
    fire(v, [(0, 0.3), (1, 0.5)])
    assert v.tolist() == [[0.35, 0.35], [0.15, 0.15]]


@settings(deadline=None)
@given(SEEDS)
def test_fired_counts_every_way_to_fire_a_standing_complaint(seed: int) -> None:
    """P(some standing link fires) by listing every set of links that fire (D)."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 4))
    before, after = rng.random((2, *(2,) * count))
    links = [(k, float(rng.random())) for k in range(count) if rng.random() < 0.8]
    standing = [k for k in range(count) if rng.random() < 0.6]
    total = 0.0
    for firing in product((False, True), repeat=len(links)):
        if not any(f and link[0] in standing for f, link in zip(firing, links, strict=True)):
            continue
        p = float(np.prod([s if f else 1 - s for f, (_, s) in zip(firing, links, strict=True)]))
        on = {a for f, (a, _) in zip(firing, links, strict=True) if f}
        for i in np.ndindex(before.shape):
            total += p * before[i] * after[tuple(1 if a in on else k for a, k in enumerate(i))]
    assert explained_weight(before, links, standing, after) == pytest.approx(total, rel=1e-12)


def test_axes_are_lifted_and_summed() -> None:
    assert expanded(np.ones((3, 2)), (1, 4), (0, 1, 2, 4)).shape == (1, 3, 1, 2)
    assert marginalized_to(np.ones((3, 2)), (1, 2)).tolist() == [[3.0, 3.0]]
