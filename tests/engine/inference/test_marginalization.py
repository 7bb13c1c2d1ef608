"""Summing out against one einsum over everything."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.potentials import marginalized, product

LETTERS = "abcdefgh"


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_summing_out_is_one_big_sum(seed: int) -> None:
    """numpy's einsum as the second opinion."""
    rng = np.random.default_rng(seed)
    dims = rng.integers(2, 4, int(rng.integers(1, 6))).tolist()
    factors = []
    for _ in range(int(rng.integers(1, 7))):
        scope = tuple(n for n in range(len(dims)) if rng.random() < 0.5)
        factors.append((scope, rng.random([dims[n] for n in scope])))
    used = {v for scope, _ in factors for v in scope}
    keep = {v for v in used if rng.random() < 0.4}
    left = marginalized(factors, keep)
    assert {v for scope, _ in left for v in scope} <= keep
    scope, table = product(left)
    out = "".join(LETTERS[v] for v in scope)
    rule = ",".join("".join(LETTERS[v] for v in s) for s, _ in factors) + "->" + out
    assert table == pytest.approx(np.einsum(rule, *(t for _, t in factors)), rel=1e-12)
