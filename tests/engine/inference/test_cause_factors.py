"""A cause taken into a table and back, against the transpose and against what is left without its being at work."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.cause_factors import CauseFactor, MarginalAccumulator

SEEDS = st.integers(0, 10**6)


def made(rng: np.random.Generator) -> tuple[CauseFactor, tuple[int, ...], tuple[int, ...]]:
    """A cause with one or two ways to be present, a scope around it, and the scope's sizes."""
    facts, findings = int(rng.integers(0, 3)), int(rng.integers(1, 4))
    sizes = (*(int(rng.integers(2, 4)) for _ in range(facts)), *(2 for _ in range(findings)))
    parents = tuple(n for n in range(facts) if rng.random() < 0.6)
    shape = [sizes[n] for n in parents]
    ways = [
        (rng.random(shape), [(facts + b, float(rng.random())) for b in range(findings) if rng.random() < 0.6])
        for _ in range(int(rng.integers(1, 3)))
    ]
    return CauseFactor(0, parents, rng.random(shape), ways), tuple(range(facts + findings)), sizes


@settings(deadline=None)
@given(SEEDS)
def test_a_step_back_is_the_transpose_of_the_step(seed: int) -> None:
    """<step(v), u> = <v, back(u)> (D)."""
    rng = np.random.default_rng(seed)
    root, scope, sizes = made(rng)
    v, u = rng.random((2, *sizes))
    taken = root.expand(scope)
    back = taken.adjoint(v, u, [], MarginalAccumulator([0.0], [0.0]))
    assert (taken.step(v) * u).sum() == pytest.approx((v * back).sum(), rel=1e-12)


@settings(deadline=None)
@given(SEEDS)
def test_what_is_read_is_what_vanishes_without_it(seed: int) -> None:
    """Its weight at work is what is lost without the last way; of having fired, what is lost where no standing link can (D)."""
    rng = np.random.default_rng(seed)
    root, scope, sizes = made(rng)
    v, u = rng.random((2, *sizes))
    axes = [n for n, size in enumerate(sizes) if n in {a for a, _ in root.ways[-1][1]} and rng.random() < 0.7]
    read = MarginalAccumulator([0.0], [0.0])
    root.expand(scope).adjoint(v, u, axes, read)
    whole = (root.expand(scope).step(v) * u).sum()

    def without(links: list[tuple[int, float]], factor: float) -> float:
        weight = root.ways[-1][0] * factor
        less = CauseFactor(0, root.facts, root.absent, [*root.ways[:-1], (weight, links)])
        return float((less.expand(scope).step(v) * u).sum())

    assert read.present[0] == pytest.approx(whole - without([], 0.0), rel=1e-9)
    silent = float(np.prod([1 - s for a, s in root.ways[-1][1] if a in axes]))
    quiet = without([link for link in root.ways[-1][1] if link[0] not in axes], silent)
    assert read.explains[0] == pytest.approx(whole - quiet, rel=1e-9, abs=1e-12)


def test_a_cause_that_touches_nothing_is_a_share() -> None:
    root = CauseFactor(1, (), np.array(0.5), [(np.array(0.3), []), (np.array(0.2), [])])
    read = MarginalAccumulator([0.0, 0.0], [0.0, 0.0])
    root.read_alone(read)
    assert root.scope == 0
    assert (root.whole(False), root.whole(True), read.present) == (1.0, 0.5, [0.0, 0.2])
