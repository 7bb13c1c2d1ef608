"""A text as one fixed vector: the pieces of its words, each with numbers of its own that never change, averaged.

The numbers were distilled from a sentence model (data/PROVENANCE.md says from which, how, and under which licence) by
`distil.py`; at run time they are a table of whole numbers and nothing else. Words are cut greedily, longest piece first
(Wu et al. 2016, arXiv:1609.08144); pieces are averaged with weights a / (a + frequency), a = 0.001 (Arora, Liang and Ma 2017).
"""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from .features import folded, words_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

DATA = Path(__file__).parent / "data"
UNIT = 256  # a text's vector has this length, in whole numbers [-]
NUMBER_MAX = 127  # greatest number of a vector: dot products stay exact in single precision (127 * 127 * 128 < 2**24)


class PieceTable(NamedTuple):
    """The pieces by their place, a piece's vector (rows of int8) and its weight (uint16) by that place."""

    place: dict[str, int]
    vectors: "Array"
    weights: "Array"

    def vector(self, text: str) -> "Array":
        """Return a text's vector, (dims,) whole numbers of length about `UNIT`, as int64; zeros where nothing is known."""
        import numpy as np

        at = [p for word in words_of(folded(text)) for part in word.split("'") for p in self.pieces(part)]
        if not at:
            return np.zeros(self.vectors.shape[1], np.int64)
        total = self.weights[at].astype(np.int64) @ self.vectors[at].astype(np.int64)
        length = float((total * total).sum()) ** 0.5
        scaled = np.rint(total * (UNIT / length)) if length else total
        return np.clip(scaled, -NUMBER_MAX, NUMBER_MAX).astype(np.int64)

    def pieces(self, word: str) -> list[int]:
        """Return the places of a word's pieces, longest first from its start; nothing where a part of it is unknown."""
        out: list[int] = []
        at = 0
        while at < len(word):
            mark = "##" if at else ""
            end = next((e for e in range(len(word), at, -1) if mark + word[at:e] in self.place), 0)
            if not end:
                return []
            out.append(self.place[mark + word[at:end]])
            at = end
        return out


@lru_cache(maxsize=1)
def piece_table() -> PieceTable:
    """Return the table that comes with this package.

    Examples
    --------
    >>> table = piece_table()
    >>> [len(table.pieces(word)) for word in ("washer", "zzqx")]
    [2, 4]
    """
    import numpy as np

    names = (DATA / "pieces.txt").read_text("utf-8").split("\n")
    vectors = np.load(DATA / "piece_vectors.npy", mmap_mode="r", allow_pickle=False)
    weights = np.load(DATA / "piece_weights.npy", allow_pickle=False)
    return PieceTable({name: at for at, name in enumerate(names)}, vectors, weights)
