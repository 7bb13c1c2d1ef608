"""Twin of engine/language/training.py: kernel and left-out scores against the definition, brute force."""

import math

import numpy as np

from dryfloor.engine.language import training
from dryfloor.engine.language.features import counts
from dryfloor.engine.language.word_pieces import UNIT, piece_table

TEXTS = [
    "it leaks on the floor", "water on the floor again", "it walks across the room", "it hops and walks",
    "the dryer is not hot", "no leak but it walks", "leaks and leaks", "floor is wet", "the room is wet", "it hops",
]  # fmt: skip
GROUPS = ["a", "b", "c", "a", "b", "c", "a", "b", "c", "a"]


def test_the_kernel_is_the_sum_of_cosines_and_the_cube() -> None:
    known = training.corpus(TEXTS)
    found = training.kernel(known)
    blocks = [counts(t) for t in TEXTS]
    many = {k: sum(any(k in b for b in bs) for bs in blocks) for bs in blocks for b in bs for k in b}

    def cosine(x: dict[int, float], y: dict[int, float]) -> float:
        def weighed(z: dict[int, float]) -> dict[int, float]:
            return {k: w * (1 + math.log((1 + len(TEXTS)) / (1 + many[k]))) for k, w in z.items() if many[k] > 1}

        x, y = weighed(x), weighed(y)
        size = math.sqrt(sum(w * w for w in x.values()) * sum(w * w for w in y.values()))
        return sum(w * y.get(k, 0.0) for k, w in x.items()) / size if size else 0.0

    vectors = [piece_table().vector(t) / UNIT for t in TEXTS]
    for i in range(len(TEXTS)):
        for j in range(len(TEXTS)):
            b = float(vectors[i] @ vectors[j])
            expected = sum(cosine(x, y) for x, y in zip(blocks[i], blocks[j], strict=True)) + b + b**3
            assert abs(found[i, j] - expected) < 1e-12


def test_left_out_scores_are_those_of_a_fit_without_the_group() -> None:
    k = training.kernel(training.corpus(TEXTS))
    ridge = np.linspace(0.2, 0.6, len(TEXTS))
    targets = np.array([[i % 2, i % 3 == 0] for i in range(len(TEXTS))], float)
    found = training.left_out(k, ridge, targets, GROUPS)
    for group in "abc":
        out = np.array([g == group for g in GROUPS])
        weights = np.linalg.solve(k[np.ix_(~out, ~out)] + np.diag(ridge[~out]), targets[~out])
        assert np.allclose(found[out], k[np.ix_(out, ~out)] @ weights, atol=1e-10)


def test_weights_by_feature_and_by_vector_give_the_linear_share_of_the_kernel() -> None:
    known = training.corpus(TEXTS)
    alpha = np.random.default_rng(2).normal(size=(len(TEXTS), 3))
    by_feature, by_vector = training.primal(known, alpha)
    v = known.vectors / UNIT
    b = v @ v.T
    expected = (training.kernel(known) - b**3) @ alpha
    found = np.array([value @ by_feature[at] for at, value in known.rows]) + v @ by_vector
    assert np.allclose(found, expected, atol=1e-10)
