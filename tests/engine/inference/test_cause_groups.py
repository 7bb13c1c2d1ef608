"""Causes taken in together against the same causes taken in one by one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.cause_factors import CauseFactor, CauseGroup, MarginalAccumulator
from dryfloor.engine.inference.potentials import Array

SEEDS = st.integers(0, 10**6)


def pair(
    rng: np.random.Generator, shape: list[int], facts: tuple[int, ...], variable: int | None
) -> tuple[CauseGroup, list[CauseFactor]]:
    """A group of causes, and each of them on its own; certain and impossible ones among them."""
    group, roots = CauseGroup(facts, variable), []
    for cause in range(int(rng.integers(1, 6))):
        chance = rng.choice([0.0, 1.0, *rng.random(3)], shape) if rng.random() < 0.2 else rng.random(shape)
        factor = float(rng.random())
        strength = float(rng.choice([1.0, 1e-9, rng.random()])) if variable is not None else 0.0
        group.add(cause, np.array(chance), factor, strength)
        links = [] if variable is None else [(variable, strength)]
        roots.append(CauseFactor(cause, facts, np.array(1 - chance), [(np.array(chance * factor), links)]))
    return group, roots


def one_by_one(
    roots: list[CauseFactor], scope: tuple[int, ...], v: Array, u: Array, standing: list[int]
) -> tuple[Array, Array, MarginalAccumulator]:
    """Forth and back through each cause in turn."""
    read = MarginalAccumulator([0.0] * len(roots), [0.0] * len(roots))
    tables = [v]
    for root in roots:
        tables.append(root.expand(scope).step(tables[-1]))
    for root, before in zip(roots[::-1], tables[-2::-1], strict=True):
        u = root.expand(scope).adjoint(before, u, standing, read)
    return tables[-1], u, read


@settings(deadline=None)
@given(SEEDS)
def test_a_bundle_is_its_causes_one_by_one(seed: int) -> None:
    rng = np.random.default_rng(seed)
    sizes = (*(int(rng.integers(2, 4)) for _ in range(int(rng.integers(0, 3)))), 2, 2)
    scope = tuple(range(len(sizes)))
    facts = tuple(n for n in scope[:-2] if rng.random() < 0.6)
    variable = int(rng.choice(scope[-2:])) if rng.random() < 0.8 else None
    group, roots = pair(rng, [sizes[n] for n in facts], facts, variable)
    v, u = rng.random((2, *sizes))
    standing = [n for n in scope[-2:] if rng.random() < 0.6]
    out, back, read = one_by_one(roots, scope, v, u, standing)
    mine = MarginalAccumulator([0.0] * len(roots), [0.0] * len(roots))
    taken = group.expand(scope)
    assert taken.step(v) == pytest.approx(out, rel=1e-12)
    assert taken.adjoint(v, u, standing, mine) == pytest.approx(back, rel=1e-12)
    assert mine.present == pytest.approx(read.present, rel=1e-11)
    assert mine.explains == pytest.approx(read.explains, rel=1e-11)
    absent = v
    for root in roots:
        absent = root.expand(scope).step_absent(absent)
    assert taken.step_absent(v) == pytest.approx(absent, rel=1e-12)
    assert group.scope == roots[0].scope


@given(SEEDS)
def test_causes_that_touch_nothing_are_shares(seed: int) -> None:
    rng = np.random.default_rng(seed)
    group, roots = pair(rng, [], (), None)
    mine, theirs = (MarginalAccumulator([0.0] * len(roots), [0.0] * len(roots)) for _ in range(2))
    if all(root.whole(False) > 0 for root in roots):
        group.read_alone(mine)
        for root in roots:
            root.read_alone(theirs)
        assert mine.present == pytest.approx(theirs.present, rel=1e-12)
    for absent_only in (False, True):
        whole = np.prod([root.whole(absent_only) for root in roots])
        assert group.whole(absent_only) == pytest.approx(whole, rel=1e-12)


def test_rare_triggers_keep_their_digits() -> None:
    """One less the product of what stays clear would lose all digits of 2e-17 (D)."""
    group = CauseGroup((), 0)
    for cause in range(2):
        group.add(cause, np.array(1e-8), 1.0, 1e-9)
    out = group.expand((0,)).step(np.array([1.0, 0.0]))
    assert out[1] == pytest.approx(2e-17, rel=1e-7)
