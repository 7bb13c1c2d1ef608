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

    def cosine(x: dict[int, float], y: dict[int, float], least: int) -> float:
        def weighed(z: dict[int, float]) -> dict[int, float]:
            return {k: w * (1 + math.log((1 + len(TEXTS)) / (1 + many[k]))) for k, w in z.items() if many[k] >= least}

        x, y = weighed(x), weighed(y)
        size = math.sqrt(sum(w * w for w in x.values()) * sum(w * w for w in y.values()))
        return sum(w * y.get(k, 0.0) for k, w in x.items()) / size if size else 0.0

    vectors = [piece_table().vector(t) / UNIT for t in TEXTS]
    for i in range(len(TEXTS)):
        for j in range(len(TEXTS)):
            b = float(vectors[i] @ vectors[j])
            pairs = zip(blocks[i], blocks[j], training.SEEN_LEAST, strict=True)
            expected = sum(cosine(x, y, least) for x, y, least in pairs) + b + b**3
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


def test_parts_are_scored_by_the_other_groups_alone() -> None:
    known = training.corpus(TEXTS)
    k = training.kernel(known)
    ridge, targets = np.full(len(TEXTS), 0.7), np.eye(2)[[0, 0, 1, 1, 0, 1, 0, 0, 0, 1]]
    pieces = training.joined(known, ["leaks on the floor", "nothing that was ever said"])
    for group, at, scores, weights in training.leaving_out(k, ridge, targets, GROUPS):
        rest = np.array([i for i, g in enumerate(GROUPS) if g != group])
        alone = np.linalg.solve(training.ridged(k[np.ix_(rest, rest)], ridge[rest]), targets[rest])
        np.testing.assert_allclose(scores, k[np.ix_(at, rest)] @ alone, atol=1e-9)
        np.testing.assert_allclose(weights[rest], alone, atol=1e-9)
        assert not weights[at].any()
        # A text of the corpus, taken as a piece, scores what its row of the kernel says.
        same = training.joined(known, TEXTS)
        np.testing.assert_allclose(training.scored(same, known, weights), k @ weights, atol=1e-9)
        assert np.isfinite(training.scored(pieces, known, weights)).all()


def test_the_weights_of_signs_are_those_of_least_surprise() -> None:
    rng = np.random.default_rng(5)
    signs = rng.normal(size=(400, 3)) * [1.0, 10.0, 0.1] + [0.0, 3.0, -1.0]
    so = rng.random(400) < 1 / (1 + np.exp(-(signs[:, 0] - 0.2 * signs[:, 1] + 1)))
    weights, bias = training.logistic(signs, so, 2.0)
    spread = signs.std(0)

    def loss(w: np.ndarray, b: float) -> float:
        z = signs @ w + b
        return float(np.logaddexp(0, np.where(so, -z, z)).sum() + 1.0 * ((w * spread) ** 2).sum())

    least = loss(weights, bias)
    for n in range(3):
        for step in (-0.01, 0.01):
            moved = weights.copy()
            moved[n] += step / spread[n]
            assert loss(moved, bias - float((moved - weights) @ signs.mean(0))) > least
    assert loss(weights, bias + 0.01) > least


def test_logistic_weights_are_where_the_surprise_has_no_slope_and_leave_out_what_is_held() -> None:
    """Outside: the gradient of the penalized likelihood, by scipy from another start."""
    from scipy.optimize import minimize

    rng = np.random.default_rng(3)
    x = rng.normal(size=(40, 5))
    k = x @ x.T
    targets = np.eye(3)[rng.integers(0, 3, 40)]
    held = np.arange(40) >= 34

    def loss(w):
        z = x[~held] @ w.reshape(5, 3)
        z = z - z.max(1, keepdims=True)
        return float((np.log(np.exp(z).sum(1)) - (targets[~held] * z).sum(1)).sum() + (w**2).sum() / 4)

    best = minimize(loss, rng.normal(size=15), tol=1e-12).x.reshape(5, 3)
    found = training.softmaxed(k, targets, 2.0, 60, held)
    assert not found[held].any()
    assert np.abs(x.T @ found - best).max() < 0.05
    assert (np.rint(found * 1024) == found * 1024).all()


def test_whole_numbers_by_row_are_off_by_half_a_scale_at_most() -> None:
    numbers = np.random.default_rng(5).integers(-training.COLUMN_MOST, training.COLUMN_MOST, (60, 9)).astype(np.int16)
    numbers[3] = 0
    small, scales = training.by_row(numbers, 63)
    assert np.abs(small).max() <= 63
    back = small.astype(np.int64) * scales.astype(np.int64)[:, None]
    assert (np.abs(back - numbers) <= scales[:, None] / 2).all()
    assert np.abs(back).max() < 2**15
