"""Learn from phrases which words tell of what: kernel ridge in closed form, at build only.

The kernel of two texts is the sum of their blocks' cosines (`features.py`), plus the cosine b of their vectors
(`word_pieces.py`) and its cube: a + b + b^3. Targets are one-hot; a row's ridge is the inverse of how common its class is.
What a writer's phrases would get from the other writers alone follows from one inverse (the leave-one-group-out identity of
linear smoothers): with G = (K + R)^-1 and A = G Y, the scores of group g are Y_g - (G_gg)^-1 A_g. Beside the ridge of complaints stands
multinomial logistic regression in the same kernel (`softmaxed`): its weights are added, so that what is shipped is one table.

Source
------
Kernel ridge: Saunders, Gammerman and Vovk 1998. Group-out identity: Pahikkala, Boberg and Salakoski 2006. From memory, unverified.
"""

import math
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .features import counts
from .word_pieces import UNIT, piece_table

Array = NDArray[Any]
SEEN_LEAST = (6, 4, 4)  # texts that must hold a feature of each block before it counts
COLUMN_MOST = 32_000  # greatest whole number of a column, so that a row's scale times its numbers fits 16 bits
NEWTON_STEPS = 30
NEWTON_NEAR = 1e-8
ENOUGH = 1e-4  # share of what the slope promises that a step must bring [-]
SHORTEST = 1e-6  # step, and bend, below which nothing is gained [-]
REMEMBERED = 8  # steps that tell how the loss bends
COARSE = 1024  # whole numbers of a weight of 1 [-]
SPREAD_MOST = 200  # texts that hold a feature: above, features are multiplied as a dense matrix, for speed alone


class Corpus(NamedTuple):
    """Texts as features: for each text its features' places and values, each scaled so that the kernel is a plain sum.

    Parameters
    ----------
    keys
        (features,) numbers of the features, ascending
    idf
        (features,) inverse document frequencies [-]
    block
        (features,) place in `BLOCKS`
    rows
        for each text its features' places and their values; the values of one block have length 1
    vectors
        (texts, dims) whole numbers
    """

    keys: Array
    idf: Array
    block: Array
    rows: list[tuple[Array, Array]]
    vectors: Array


def corpus(texts: Sequence[str]) -> Corpus:
    """Return the texts as features, with what is known of each feature from them."""
    counted = [counts(t) for t in texts]
    of: dict[int, int] = {}
    seen: dict[int, int] = {}
    for blocks in counted:
        for at, block in enumerate(blocks):
            for key in block:
                of[key] = at
                seen[key] = seen.get(key, 0) + 1
    keys = np.array(sorted(k for k, n in seen.items() if n >= SEEN_LEAST[of[k]]), np.uint32)
    place = {int(k): at for at, k in enumerate(keys)}
    idf = np.array([1 + math.log((1 + len(texts)) / (1 + seen[int(k)])) for k in keys])
    rows = [_row(blocks, place, idf) for blocks in counted]
    table = piece_table()
    vectors = np.array([table.vector(t) for t in texts])
    return Corpus(keys, idf, np.array([of[int(k)] for k in keys], np.uint8), rows, vectors)


def joined(known: Corpus, texts: Sequence[str]) -> Corpus:
    """Return other texts as features of a corpus; what it does not know of them is left out."""
    place = {int(k): at for at, k in enumerate(known.keys)}
    rows = [_row(counts(t), place, known.idf) for t in texts]
    table = piece_table()
    vectors = np.array([table.vector(t) for t in texts]).reshape(len(texts), known.vectors.shape[1])
    return known._replace(rows=rows, vectors=vectors)


def _row(blocks: Sequence[dict[int, float]], place: dict[int, int], idf: Array) -> tuple[Array, Array]:
    at_: list[Array] = []
    values: list[Array] = []
    for block in blocks:
        known = [(place[k], w) for k, w in block.items() if k in place]
        if known:
            where = np.array([k for k, _ in known])
            value = np.array([w for _, w in known]) * idf[where]
            at_.append(where)
            values.append(value / float(np.sqrt((value * value).sum())))
    return (np.concatenate(at_), np.concatenate(values)) if at_ else (np.zeros(0, int), np.zeros(0))


def kernel(known: Corpus, *, letters: bool = True, vectors: bool = True) -> Array:
    """Return the kernel of all texts with each other, (texts, texts); parts may be left out, for comparison."""
    n = len(known.rows)
    out = np.zeros((n, n))
    if letters:
        where = np.concatenate([np.full(len(at), i) for i, (at, _) in enumerate(known.rows)])
        places = np.concatenate([at for at, _ in known.rows])
        values = np.concatenate([v for _, v in known.rows])
        order = np.argsort(places, kind="stable")
        where, places, values = where[order], places[order], values[order]
        ends = np.searchsorted(places, np.arange(len(known.keys) + 1))
        dense = []
        for f in range(len(known.keys)):
            texts, value = where[ends[f] : ends[f + 1]], values[ends[f] : ends[f + 1]]
            if len(texts) > SPREAD_MOST:
                column = np.zeros(n)
                column[texts] = value
                dense.append(column)
            else:
                out[np.ix_(texts, texts)] += value[:, None] * value
        if dense:
            wide = np.array(dense)
            out += wide.T @ wide
    if vectors:
        v = known.vectors / UNIT
        b = v @ v.T
        out += b + b**3
    return out


def ridged(k: Array, ridge: Array) -> Array:
    """Return the kernel with each text's own ridge on its diagonal."""
    out = k.copy()
    out[np.diag_indices(len(k))] += ridge
    return out


def left_out(k: Array, ridge: Array, targets: Array, groups: Sequence[str]) -> Array:
    """Return for every text the scores that it gets when all texts of its group are left out, (texts, outputs)."""
    out = np.zeros_like(targets)
    for _, at, scores, _ in leaving_out(k, ridge, targets, groups):
        out[at] = scores
    return out


def leaving_out(
    k: Array, ridge: Array, targets: Array, groups: Sequence[str]
) -> Iterator[tuple[str, Array, Array, Array]]:
    """Yield each group, its places, its scores from the other groups alone, and the weights of those, (texts, outputs)."""
    inverse = np.linalg.inv(ridged(k, ridge))
    weights = inverse @ targets
    for group in dict.fromkeys(groups):
        at = np.array([i for i, g in enumerate(groups) if g == group])
        own = np.linalg.solve(inverse[np.ix_(at, at)], weights[at])
        without = weights - inverse[:, at] @ own
        without[at] = 0
        yield group, at, targets[at] - own, without


def scored(texts: Corpus, learnt: Corpus, weights: Array) -> Array:
    """Return the scores of texts by weights on the texts learnt from, (texts, outputs)."""
    by_feature, _ = primal(learnt, weights)
    b = (texts.vectors / UNIT) @ (learnt.vectors / UNIT).T
    out = np.asarray((b + b**3) @ weights)
    for row, (at, value) in enumerate(texts.rows):
        out[row] += value @ by_feature[at]
    return out


def logistic(signs: Array, so: Array, ridge: float) -> tuple[Array, float]:
    """Return weights and bias under which signs tell whether something is so, least surprising with a ridge on standardized weights.

    Parameters
    ----------
    signs : array
        (texts, signs).
    so : array of bool
        (texts,).
    ridge : float
        Of each weight, not of the bias [-].
    """
    mean, spread = signs.mean(0), signs.std(0)
    spread = np.where(spread > 0, spread, 1.0)
    x = np.column_stack([(signs - mean) / spread, np.ones(len(signs))])
    hold = np.diag([*[ridge] * signs.shape[1], 1e-6])
    w = np.zeros(x.shape[1])
    for _ in range(NEWTON_STEPS):
        p = 1 / (1 + np.exp(-np.clip(x @ w, -30, 30)))
        bend = np.maximum(p * (1 - p), 1e-6)
        step = np.linalg.solve((x * bend[:, None]).T @ x + hold, x.T @ (so - p) - hold @ w)
        w += step
        if float(np.abs(step).max()) < NEWTON_NEAR:
            break
    weights = w[:-1] / spread
    return weights, float(w[-1] - weights @ mean)


def primal(known: Corpus, weights: Array) -> tuple[Array, Array]:
    """Return the same weights by feature, (features, outputs), and by vector number, (dims, outputs)."""
    out = np.zeros((len(known.keys), weights.shape[1]))
    for (at, value), w in zip(known.rows, weights, strict=True):
        out[at] += value[:, None] * w
    return out, (known.vectors / UNIT).T @ weights


def whole_numbers(values: Array) -> tuple[Array, Array]:
    """Return columns as 16-bit whole numbers and the unit of each column."""
    unit = np.maximum(np.abs(values).max(0), 1e-12) / COLUMN_MOST
    return np.rint(values / unit).astype(np.int16), unit


def by_row(numbers: Array, most: int) -> tuple[Array, Array]:
    """Return whole numbers as ones up to `most`, at most 127, and the scale of each row.

    Examples
    --------
    >>> small, scales = by_row(np.array([[1000, -7], [3, 2]], np.int16), 63)
    >>> small.tolist(), scales.tolist()
    ([[62, 0], [3, 2]], [16, 1])
    """
    scales = np.maximum(1, -(-np.abs(numbers.astype(np.int64)).max(1) // most))
    return np.rint(numbers / scales[:, None]).astype(np.int8), scales.astype(np.uint16)


def softmaxed(k: Array, targets: Array, spread: float, steps: int, held: Array | None = None) -> Array:
    """Return weights of multinomial logistic regression in the kernel's space, (texts, outputs), as multiples of 1/1024.

    Parameters
    ----------
    k : array
        (texts, texts).
    targets : array
        (texts, outputs), each row adding up to 1.
    spread : float
        Variance of a weight beforehand [-].
    steps : int
        Of limited-memory BFGS, with the kernel's own inner product: where it stops is a ridge, too.
    held : array of bool, optional
        (texts,) those left out; their weights are zero.

    Source
    ------
    Kernel logistic regression: Zhu and Hastie 2005; two-loop recursion: Nocedal 1980. From memory, unverified.
    """
    kept: list[tuple[Array, Array, Array, Array, float]] = []
    learnt = np.ones((len(k), 1)) if held is None else (~held[:, None]).astype(float)

    def loss(a: Array, f: Array) -> tuple[float, Array]:
        z = f - f.max(1, keepdims=True)
        p = np.exp(z)
        total = p.sum(1, keepdims=True)
        surprise = (np.log(total) - (targets * z).sum(1, keepdims=True)) * learnt
        return float(surprise.sum() + (a * f).sum() / (2 * spread)), (p / total - targets) * learnt + a / spread

    a, f = np.zeros(targets.shape), np.zeros(targets.shape)
    value, g = loss(a, f)
    kg = k @ g
    for _ in range(steps):
        d, kd = -g, -kg
        taken = []
        for _s, ks, y, ky, curve in reversed(kept):
            share = float((ks * d).sum()) / curve
            taken.append(share)
            d, kd = d - share * y, kd - share * ky
        scale = kept[-1][4] / float((kept[-1][2] * kept[-1][3]).sum()) if kept else 1 / float(np.sqrt((g * kg).sum()))
        d, kd = d * scale, kd * scale
        for (s, ks, _y, ky, curve), share in zip(kept, reversed(taken), strict=True):
            more = share - float((ky * d).sum()) / curve
            d, kd = d + more * s, kd + more * ks
        slope, t = float((kg * d).sum()), 1.0
        while (new := loss(a + t * d, f + t * kd))[0] > value + ENOUGH * t * slope and t > SHORTEST:
            t /= 2
        kg_new = k @ new[1]
        s, ks, y, ky = t * d, t * kd, new[1] - g, kg_new - kg
        if (curve := float((ks * y).sum())) > SHORTEST:
            kept = [*kept, (s, ks, y, ky, curve)][-REMEMBERED:]
        a, f, value, g, kg = a + s, f + ks, new[0], new[1], kg_new
    # Coarse, so that another order of adding gives the same weights.
    return np.asarray(np.rint(a * learnt * COARSE) / COARSE)
