"""Phrases that nobody learnt from, a shop's own: they join by likeness, without solving anything again.

A text that is like such a phrase is drawn to its complaint by their likeness, the mean of the cosines that the learnt kernel is made
of, and away from all others by its square: a weak likeness adds, and takes little. A phrase said word for word is heard as its
complaint. (Bordering the learnt system would need its inverse, 270 MB.)
"""

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from .features import BLOCKS, counts
from .phrases import Index
from .word_pieces import UNIT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

NEAREST = 20  # own phrases, nearest by vector, whose features are compared too


@lru_cache(maxsize=4096)  # phrases come again with every text that is like them
def _blocks(words: str) -> tuple[dict[int, float], ...]:
    return counts(words)


class Likened(NamedTuple):
    """Scores of complaints and of something else, with own phrases joined; and for each complaint the phrase that came closest."""

    scores: dict[str, float]
    closest: dict[str, str]


def likened(text: str, vector: "Array", scores: dict[str, float], index: Index) -> Likened:
    """Return the scores of the kb's complaints, drawn by its own phrases.

    Parameters
    ----------
    text : str
    vector : array
        (dims,) its vector.
    scores : dict
        What was learnt, by name.
    index : Index
        Of the kb.
    """
    from .phrase_book import OTHER

    out = {c: scores.get(c, 0.0) for c in (*index.complaints, OTHER)}
    closest: dict[str, str] = {}
    drawn: dict[str, float] = {}
    if index.own:
        mine = counts(text)
        near = (index.own_vectors @ vector.astype("float32")).astype(int).tolist()
        for at in sorted(range(len(near)), key=lambda i: (-near[i], i))[:NEAREST]:
            own = index.own[at]
            blocks = _blocks(own.words)
            like = max(0.0, near[at] / UNIT**2)
            like += sum(_cosine(mine[b], blocks[b], index.hearer.places, index.hearer.idf) for b in range(len(BLOCKS)))
            like = round(min(1.0, like / (1 + len(BLOCKS))), 6)
            if like > drawn.get(own.complaint, 0.0):
                drawn[own.complaint] = like
                closest[own.complaint] = own.words
        kept = 1 - max(drawn.values(), default=0.0) ** 2
        out = {c: round(s * kept + drawn.get(c, 0.0) * (1 - s * kept), 6) for c, s in out.items()}
    return Likened(out, closest)


def _cosine(a: dict[int, float], b: dict[int, float], places: dict[int, int], idf: list[float]) -> float:
    """Return the cosine of two texts' features; one that was never met weighs as the rarest."""
    rarest = max(idf)

    def weighed(block: dict[int, float]) -> dict[int, float]:
        return {k: w * (idf[places[k]] if k in places else rarest) for k, w in block.items()}

    x, y = weighed(a), weighed(b)
    size = math.sqrt(math.fsum(w * w for w in x.values()) * math.fsum(w * w for w in y.values()))
    return math.fsum(x[k] * y[k] for k in x.keys() & y.keys()) / size if size else 0.0


def closest_phrase(complaint: str, vector: "Array", near: Likened, index: Index) -> str:
    """Return the phrase of a complaint that is closest to what was said, its first where none is near."""
    if complaint in near.closest:
        return near.closest[complaint]
    told = index.told[complaint]
    if not told:
        return next((p.words for p in index.own if p.complaint == complaint), complaint)
    dots = index.hearer.rows[[at for _, at in told]] @ vector.astype("float32")
    return told[int(dots.argmax())][0]
