"""Words looked for in what was said of a case: exactly, in any order; and in its reference in close spellings, too."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

SHORT, LONG = 4, 8  # letters: a word of so many may have one letter wrong, of so many two (judgement)


def bare(text: str) -> str:
    """Return a text in small letters without accents.

    Examples
    --------
    >>> bare("Caf\\u00e9 M\\u00dcLLER")
    'cafe muller'
    """
    return "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))


def has(text: str, said: Sequence[str]) -> bool:
    """Return whether all words of a text stand somewhere in what was said.

    Examples
    --------
    >>> has("lane alder", ["Alder Lane 4"]), has("alder 9", ["Alder Lane 4"])
    (True, False)
    """
    whole = bare(" ".join(said))
    return all(word in whole for word in bare(text).split())


def close(text: str, said: Sequence[str], reference: str) -> bool:
    """Return whether all words of a text stand in what was said, or are a letter or two from a word of the reference.

    Parameters
    ----------
    text : str
    said : sequence of str
    reference : str
        Numbers in it must be as they were written: house 4 is not house 5.

    Examples
    --------
    >>> close("lnae aldr 4", [], "Alder Lane 4"), close("alder 5", [], "Alder Lane 4"), close("birch", [], "Alder Lane 4")
    (True, False, False)
    """
    whole, own = bare(" ".join([*said, reference])), bare(reference).split()
    return all(
        word in own if _numbered(word) else word in whole or any(_near(word, other) for other in own)
        for word in bare(text).split()
    )


def _numbered(word: str) -> bool:
    return any(c.isdigit() for c in word)


def _near(word: str, other: str) -> bool:
    if len(word) < SHORT or len(other) < SHORT:
        return False
    from rapidfuzz.distance import OSA

    most = 2 if min(len(word), len(other)) >= LONG else 1
    return OSA.distance(word, other, score_cutoff=most) <= most
