"""What a text tells of, by weights learnt from phrases: scores in whole-number arithmetic, the same on every machine.

Weights, vectors and a text's own numbers are whole, and every sum stays below 2**53: no order of adding, no number of threads and
no linear-algebra library can change a score. Scores are rounded to 1e-6 before they are compared. `learn.py` makes the weights.
"""

import json
import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple
from zlib import crc32

from .calibration import MILLION
from .features import BLOCKS, counts
from .word_pieces import DATA, UNIT, piece_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

VALUE_UNIT = 1 << 14  # a feature's value of 1, in whole numbers
IDF_UNIT = 1024
BLOCK_CELLS = 200_000  # multiplications of one product; a product of whole numbers is the same in any order
DIGITS = 6  # decimals that scores are compared by


class Hearer(NamedTuple):
    """The shipped weights.

    Parameters
    ----------
    key
        hash of the weights and of the word pieces
    names
        what each score is of: a complaint's id, `other`, `hazard:<id>`, `gate` (any danger), `fact:<id>:<option>`
    calibration
        numbers fitted on writers left out
    topic, fact
        weights of the signs of `calibration.topic_signs` and of `fact_terms`, the bias last
    places
        feature number to its place
    idf
        (features,) in units of 1 / `IDF_UNIT`
    of_features, of_vector, of_rows
        whole-number weights, (features, names), (dims, names), (phrases, names)
    units
        three arrays, (names,): what a whole number of each is worth
    rows
        (phrases, dims) vectors of the phrases learnt from
    owners
        number of a kb phrase (`phrase_number`) to its place in `rows`
    """

    key: str
    names: list[str]
    calibration: dict[str, float]
    topic: list[float]
    fact: list[float]
    places: dict[int, int]
    idf: list[float]
    of_features: "Array"
    of_vector: "Array"
    of_rows: "Array"
    units: tuple["Array", "Array", "Array"]
    rows: "Array"
    owners: dict[int, int]

    def scores(self, text: str) -> tuple[dict[str, float], "Array"]:
        """Return the score of each name, rounded to 1e-6, and the text's vector."""
        return self.scores_of([text])[0]

    def scores_of(self, texts: Sequence[str]) -> list[tuple[dict[str, float], "Array"]]:
        """Return the same of several texts, in one sweep over the phrases learnt from."""
        import numpy as np

        table = piece_table()
        vectors = np.array([table.vector(text) for text in texts])
        # A pair of texts at least, and phrases by the block: products this small are done at once, and wait for no second thread.
        pair = np.vstack([vectors, np.zeros((int(len(texts) == 1), vectors.shape[1]), np.int64)])
        single, wide = pair.astype(np.float32), np.zeros((len(pair), len(self.names)))
        step = max(1, BLOCK_CELLS // (len(pair) * max(pair.shape[1], len(self.names))))
        for first in range(0, len(self.rows), step):
            near = (single @ self.rows[first : first + step].T).astype(np.int64)  # exact: whole numbers below 2**24
            cubed = near * near * near >> 32  # b^3 in units of 2**-16
            wide += cubed.astype(np.float64) @ self.of_rows[first : first + step]  # exact: whole numbers below 2**53
        sums = (
            np.array([self._by_features(text) for text in texts]),
            vectors @ self.of_vector.astype(np.int64),
            wide[: len(texts)],
        )
        unit = (1 / VALUE_UNIT, 1 / UNIT, 2.0**-16)
        total = np.asarray(sum(s * u * w for s, u, w in zip(sums, unit, self.units, strict=True)))
        return [
            ({name: round(t, DIGITS) for name, t in zip(self.names, row, strict=True)}, vector)
            for row, vector in zip(total.tolist(), vectors, strict=True)
        ]

    def _by_features(self, text: str) -> "Array":
        import numpy as np

        at: list[int] = []
        values: list[int] = []
        for block in counts(text)[: len(BLOCKS)]:
            known = [(self.places[k], w) for k, w in block.items() if k in self.places]
            weighed = [w * self.idf[place] for place, w in known]
            size = VALUE_UNIT / math.sqrt(math.fsum([w * w for w in weighed])) if weighed else 0.0
            at += [place for place, _ in known]
            values += [round(w * size) for w in weighed]
        if not at:
            return np.zeros(len(self.names), np.int64)
        return np.asarray(np.array(values, np.int64) @ self.of_features[at].astype(np.int64))


def phrase_number(words: str) -> int:
    """Return the number by which a phrase of the kb is known among those learnt from."""
    return crc32(words.encode("utf-8", "replace"))


@lru_cache(maxsize=1)
def hearer() -> Hearer:
    """Return the weights that come with this package.

    Examples
    --------
    >>> scores, _ = hearer().scores("it walks across the floor when it spins")
    >>> max(scores, key=scores.__getitem__)
    'walks'
    """
    return load(DATA)


def load(folder: Path) -> Hearer:
    """Return the weights in a folder."""
    import numpy as np

    said = json.loads((folder / "hearing.json").read_text("utf-8"))
    with np.load(folder / "hearing.npz", allow_pickle=False) as kept:
        return Hearer(
            key=said["key"],
            names=said["names"],
            calibration={name: n / MILLION for name, n in said["calibration"].items()},
            topic=[n / MILLION for n in said["topic"]],
            fact=[n / MILLION for n in said["fact"]],
            places={key: at for at, key in enumerate(kept["key_steps"].cumsum().tolist())},
            idf=(kept["idf"] / IDF_UNIT).tolist(),
            of_features=kept["of_features"] * kept["feature_scales"].astype(np.int16)[:, None],
            of_vector=kept["of_vector"],
            of_rows=kept["of_rows"] * kept["row_scales"].astype(np.float64)[:, None],
            units=tuple(np.array(said["units"][name]) for name in ("of_features", "of_vector", "of_rows")),  # type: ignore[arg-type]
            rows=kept["rows"].astype(np.float32),
            owners={key: at for at, key in enumerate(kept["phrases"].tolist()) if key},
        )
