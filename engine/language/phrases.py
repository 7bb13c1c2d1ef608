"""The `hear` phrases of the kb, ready for matching: their tokens, and how much every word tells complaints apart."""

import math
from collections import Counter
from collections.abc import Iterable
from typing import Any, NamedTuple

import msgspec

from ..model import KB
from .hearer import Hearer, hearer, phrase_number
from .tokens import LIGHT, casefolded_words, clauses, stem
from .word_pieces import piece_table

SPREAD = 0.4  # share of its weight that a word keeps when it is spread evenly over all complaints [-]
RARE = 3.5  # greatest weight of a word, however rare [-]
LIGHTLY = 0.4  # weight of a word of `words.LIGHT` [-]
DOUBT = 0.01  # rate added to every word's leaning: one phrase among many is no proof [-]


class Phrase(msgspec.Struct, frozen=True):
    """One `hear` phrase: of which complaint, fact option, answer or hazard, and its tokens (stem, negated)."""

    kind: str
    owner: str
    option: str
    words: str
    tokens: tuple[tuple[str, bool], ...]


class OwnPhrase(NamedTuple):
    """A phrase and its complaint."""

    complaint: str
    words: str


def vectors_of(own: list[OwnPhrase]) -> Any:
    """Return the phrases' vectors, (phrases, dims), ready for exact products in single precision."""
    import numpy as np

    table = piece_table()
    return np.array([table.vector(p.words) for p in own], np.float32).reshape(len(own), table.dims)


class Index(msgspec.Struct, frozen=True, eq=False):
    """What is derived from the kb once: phrases, the weight of each stem, and where to look.

    `aside`, `answering` and `telling` say for a stem which phrases can be met by it, by their place: those of facts and hazards, those of
    answers, those of complaints. A story is held against these alone, however many phrases the kb has. `heard_with` has the complaints beside which a
    check's answers are heard. `complaints`, `hazards`, `facts` name what the kb has, a hazard or an option with its first
    phrase; `gated` are the hazards that were learnt. `told` has each complaint's phrases with their place in the vectors of
    `spoken`; `own` are phrases that nobody learnt from, `own_vectors` their vectors.
    """

    phrases: list[Phrase]
    weight: dict[str, float]
    forms: dict[str, str]
    opening: dict[str, list[str]]
    aside: dict[str, list[int]]
    answering: dict[str, list[int]]
    telling: dict[str, list[int]]
    heard_with: dict[str, frozenset[str]]
    complaints: list[str]
    hazards: dict[str, str]
    facts: dict[str, dict[str, str]]
    gated: list[str]
    told: dict[str, list[tuple[str, int]]]
    own: list[OwnPhrase]
    own_vectors: Any
    hearer: Hearer


_kept: list[tuple[KB, Index]] = []  # the last kbs and their indexes, as many as nets are kept; a kb never changes


def _phrases(kb: KB) -> Iterable[Phrase]:
    for kind, owner, option, said in (
        *(("complaint", c.id, "", [*c.hear, c.says]) for c in kb.complaints.values()),
        *(("fact", f.id, key, o.hear) for f in kb.facts.values() for key, o in f.options.items()),
        *(("hazard", h.id, "", h.hear) for h in kb.hazards.values()),
        *(("answer", c.id, key, a.hear) for c in kb.checks.values() for key, a in c.answers.items() if a.hear),
    ):
        for words in said:
            tokens = tuple(dict.fromkeys((t.stem, t.negated) for c in clauses(words) for t in c.tokens))
            if tokens:
                yield Phrase(kind, owner, option, words, tokens)


def index_of(kb: KB) -> Index:
    """Return what is derived from a kb, kept for the last few."""
    for known, index in _kept:
        if known is kb:
            return index
    index = index_with(kb, hearer())
    _kept.insert(0, (kb, index))
    del _kept[3:]
    return index


def index_with(kb: KB, learnt: Hearer) -> Index:
    """Weigh every stem by how rare it is among phrases and how much it keeps to one complaint; set apart what was not learnt.

    Parameters
    ----------
    kb : KB
    learnt : Hearer
        The weights, which say which phrases were learnt from.
    """
    phrases = list(_phrases(kb))
    weight = _weights(phrases)
    forms = {
        w: stem(w) for p in phrases for w in casefolded_words(p.words).replace("'", " ").split() if stem(w) in weight
    }
    opening: dict[str, list[str]] = {}
    for f in forms:
        opening.setdefault(f[:1], []).append(f)
    places: dict[str, dict[str, list[int]]] = {"aside": {}, "answer": {}, "complaint": {}}
    for at, p in enumerate(phrases):
        met_by = places.get(p.kind, places["aside"])
        for s in dict.fromkeys(s for s, _ in p.tokens):
            met_by.setdefault(s, []).append(at)
    spoken = {c.id: list(dict.fromkeys([*c.hear, c.says])) for c in kb.complaints.values()}
    told = {
        c: [(words, learnt.owners[n]) for words in said if (n := phrase_number(words)) in learnt.owners]
        for c, said in spoken.items()
    }
    own = [OwnPhrase(c, w) for c, said in spoken.items() for w in said if phrase_number(w) not in learnt.owners]
    return Index(
        phrases,
        weight,
        forms,
        opening,
        places["aside"],
        places["answer"],
        places["complaint"],
        {p.owner: frozenset(kb.checks[p.owner].heard_with) for p in phrases if p.kind == "answer"},
        list(kb.complaints),
        {h.id: next(iter(h.hear), h.title) for h in kb.hazards.values()},
        {f.id: {key: next(iter(o.hear), o.says) for key, o in f.options.items()} for f in kb.facts.values()},
        [h for h in kb.hazards if f"hazard:{h}" in learnt.names],
        told,
        own,
        vectors_of(own) if own else None,
        learnt,
    )


def _weights(phrases: list[Phrase]) -> dict[str, float]:
    """Return the weight of each stem."""
    # Words of answers weigh what they weigh elsewhere: how often a part of the cycle is named says nothing of complaints.
    weighed = [p for p in phrases if p.kind != "answer"]
    seen: Counter[str] = Counter(s for p in weighed for s in dict.fromkeys(s for s, _ in p.tokens))
    for s in dict.fromkeys(s for p in phrases for s, _ in p.tokens):
        seen[s] = seen[s] or 1
    per: Counter[str] = Counter(p.owner for p in phrases if p.kind == "complaint")
    share: dict[tuple[str, bool], Counter[str]] = {}
    for p in phrases:
        if p.kind == "complaint":
            for token in p.tokens:
                share.setdefault(token, Counter())[p.owner] += 1
    keeps: dict[str, float] = {}
    for token, by in share.items():
        rates = {c: n / (per[c] + 5) for c, n in by.items()}
        total = sum(rates.values()) + DOUBT  # one phrase among many is no proof that a word belongs to a complaint
        keeps[token[0]] = max(keeps.get(token[0], 0.0), *(r / total for r in rates.values()))
    rare = {s: min(RARE, math.log(1 + len(weighed) / n)) for s, n in seen.items()}
    return {s: LIGHTLY if s in LIGHT else r * (SPREAD + (1 - SPREAD) * keeps.get(s, 0.5)) for s, r in rare.items()}


def near_form(form: str, index: Index) -> tuple[str, float] | None:
    """The form of the kb that a misspelt word stands for, and their likeness 0 to 1."""
    from rapidfuzz import fuzz, process
    from rapidfuzz.distance import OSA

    size = len(form)
    if size < 4:
        return None
    opened = index.forms if size >= 8 else index.opening.get(form[0], ())
    near = [f for f in opened if abs(len(f) - size) <= 2]
    best = process.extractOne(
        form, near, scorer=fuzz.ratio, score_cutoff=90 if size < 5 else 86 if size < 6 else 82 if size < 8 else 80
    )
    if best is not None:
        return best[0], best[1] / 100
    # two letters that changed places, or, in a word of four, a vowel that was swallowed: "wter", "flor"
    short = size < 5
    mended = [
        f
        for f in near
        if (sorted(f) == sorted(form) or (short and len(f) == size + 1 and _bones(f) == _bones(form)))
        and OSA.distance(f, form) == 1
    ]
    return (min(mended), 0.88) if mended else None


def _bones(word: str) -> str:
    return "".join(c for c in word if c not in "aeiouy")
