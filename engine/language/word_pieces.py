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
PACKED = DATA / "pieces.npz"
HALF, FOUR = 8, 15  # a piece's number is kept in four bits, from -7 to 7, two in a byte
NUMBER_MAX = 127  # greatest number of a vector: dot products stay exact in single precision (127 * 127 * 128 < 2**24)


class PieceTable(NamedTuple):
    """The pieces by their place; by that place a piece's numbers, two in a byte, and its weight (uint16).

    `steps` says what a whole number of each dimension is worth.
    """

    place: dict[str, int]
    packed: "Array"
    steps: "Array"
    weights: "Array"

    @property
    def dims(self) -> int:
        """Numbers of a vector."""
        return len(self.steps)

    def vector(self, text: str) -> "Array":
        """Return a text's vector, (dims,) whole numbers of length about `UNIT`, as int64; zeros where nothing is known."""
        import numpy as np

        at = [p for word in words_of(folded(text)) for part in word.split("'") for p in self.pieces(part)]
        if not at:
            return np.zeros(self.dims, np.int64)
        total = self.weights[at].astype(np.int64) @ self.numbers(at)
        length = float((total * total).sum()) ** 0.5
        scaled = np.rint(total * (UNIT / length)) if length else total
        return np.clip(scaled, -NUMBER_MAX, NUMBER_MAX).astype(np.int64)

    def numbers(self, at: list[int]) -> "Array":
        """Return the vectors of some pieces, (pieces, dims) whole numbers."""
        import numpy as np

        packed = self.packed[at]
        both = np.stack([packed >> 4, packed & FOUR], 2).reshape(len(at), -1)
        return np.asarray((both.astype(np.int64) - HALF) * self.steps)

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

    with np.load(PACKED, allow_pickle=False) as kept:
        names = kept["names"].tobytes().decode().split("\n")
        return PieceTable(
            {name: at for at, name in enumerate(names)}, kept["packed"], kept["steps"].astype(np.int64), kept["weights"]
        )
