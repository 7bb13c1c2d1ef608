"""A text as counted features, each named by a number: letters within words, words and pairs of words, and what is said of what.

Letters within word borders hear misspellings by themselves; words and pairs hold a phrase together; the third block has the
stems of `tokens.py` with their polarity and with what their clause talks about, so that "no leak" and "the dishwasher leaks"
share nothing with "it leaks". A feature's number is the CRC-32 of its name: no list of names has to be shipped or read.

Notes
-----
Term weights as in Salton and Buckley 1988 (doi:10.1016/0306-4573(88)90021-0): 1 + ln(count), times the inverse document
frequency, each block scaled to length 1. With and without the third block, by writers left out: tests/bench/RESULTS.md.
"""

import itertools
import math
import re
import unicodedata
from functools import lru_cache
from zlib import crc32

from .tokens import HEARD_MAX, clauses

BLOCKS = ("letters", "words", "said")
GRAMS = (3, 4, 5)  # letters taken together, the blank before and after a word counted [letters]
WORD_MAX = 40  # letters of a word that are looked at; no word of a story is longer
WORDS_MAX = 600  # words of a text that are looked at
PART_LEAST = 3  # words of a part of a story that is heard by itself
PARTS_MOST = 12
_CUT = re.compile(r"[.!?;:\n]+|,\s|\s-+\s|,?\s\b(?:and|but|also|plus|so|because|then|when|while)\b", re.IGNORECASE)
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*|[?!]")


def folded(text: str) -> str:
    """Return a text in lower case without accents, its apostrophes straight, cut at `HEARD_MAX` characters.

    Examples
    --------
    >>> folded("Où’s ma MACHINE")
    "ou's ma machine"
    """
    text = unicodedata.normalize("NFKD", text[:HEARD_MAX]).lower().replace("\u2019", "'").replace("\u2018", "'")
    return "".join(c for c in text if not unicodedata.combining(c))[: 2 * HEARD_MAX]


def words_of(text: str) -> list[str]:
    """Return the words of a folded text in order, a question or exclamation mark counting as one.

    Examples
    --------
    >>> words_of("it's wet. why?")
    ["it's", 'wet', 'why', '?']
    """
    return [w[:WORD_MAX] for w in _WORD.findall(text)[:WORDS_MAX]]


def parts(text: str) -> list[str]:
    """Return the sentences and clauses of a story, those of `PART_LEAST` words or more, at most `PARTS_MOST`; none of a text that is one.

    Examples
    --------
    >>> parts("We moved last week, it walks about. And the floor is wet")
    ['We moved last week', 'it walks about', 'the floor is wet']
    """
    found = [p.strip() for p in _CUT.split(text[:HEARD_MAX].strip())]
    if len(found) < 2:
        return []
    return [p for p in found if len(p.split()) >= PART_LEAST][:PARTS_MOST]


@lru_cache(maxsize=4096)
def _letters(word: str) -> tuple[int, ...]:
    padded = f" {word} "
    grams = [
        padded[at : at + n] for n in GRAMS for at in range(max(1, len(padded) - n + 1)) if at == 0 or n <= len(padded)
    ]
    return tuple(crc32(f"c{g}".encode("utf-8", "replace")) for g in dict.fromkeys(grams))


def _said(text: str) -> list[str]:
    out: list[str] = []
    for clause in clauses(text):
        other = "~" if clause.subject == "other" else ""
        marked = [f"{other}{'!' if t.negated else ''}{t.stem}" for t in clause.tokens]
        out += marked
        out += [f"{a} {b}" for a, b in itertools.pairwise(marked)]
        if clause.subject != "unsaid":
            out.append(f"<{clause.subject}>")
    return out


def counts(text: str) -> tuple[dict[int, float], ...]:
    """Return, for each of `BLOCKS`, the features of a text and their weights 1 + ln(count) [-].

    Parameters
    ----------
    text : str
        Anything a person may type.

    Returns
    -------
    tuple of dict of int to float
        Feature number to weight.

    Examples
    --------
    >>> [len(block) for block in counts("it leaks")]
    [15, 3, 1]
    """
    words = words_of(folded(text))
    found: tuple[dict[int, int], ...] = ({}, {}, {})
    for word in words:
        for key in _letters(word):
            found[0][key] = found[0].get(key, 0) + 1
    for name in (*words, *(f"{a} {b}" for a, b in itertools.pairwise(words))):
        key = crc32(f"w{name}".encode("utf-8", "replace"))
        found[1][key] = found[1].get(key, 0) + 1
    for name in _said(text):
        key = crc32(f"s{name}".encode("utf-8", "replace"))
        found[2][key] = found[2].get(key, 0) + 1
    return tuple({key: 1 + math.log(n) for key, n in block.items()} for block in found)
