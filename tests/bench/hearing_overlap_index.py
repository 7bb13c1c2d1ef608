"""The `hear` phrases of the kb, as the matcher of before had them: their tokens, and how much every word tells complaints apart."""

import math
from collections import Counter
from collections.abc import Iterable

import msgspec

from dryfloor.engine.language.tokens import LIGHT, casefolded_words, clauses, stem
from dryfloor.engine.model import KB

SPREAD = 0.4  # share of its weight that a word keeps when it is spread evenly over all complaints [-]
RARE = 3.5  # greatest weight of a word, however rare [-]
LIGHTLY = 0.4  # weight of a word of `words.LIGHT` [-]
DOUBT = 0.01  # rate added to every word's leaning: one phrase among many is no proof [-]


class Phrase(msgspec.Struct, frozen=True):
    """One `hear` phrase: of which complaint, fact option, answer or hazard, its tokens (stem, negated), the telling ones."""

    kind: str
    owner: str
    option: str
    words: str
    tokens: tuple[tuple[str, bool], ...]
    telling: tuple[str, ...]


class Index(msgspec.Struct, frozen=True, eq=False):
    """What is derived from the kb once: phrases, the weight of each stem, how each token leans, and where to look.

    `telling`, `aside` and `answering` say for a stem which phrases can be met by it, by their place: those of complaints, of
    facts and hazards, of answers. A story is held against these alone, however many phrases the kb has. `heard_with` has the
    complaints beside which a check's answers are heard.
    """

    phrases: list[Phrase]
    weight: dict[str, float]
    lean: dict[tuple[str, bool], dict[str, float]]
    leaning: frozenset[str]
    forms: dict[str, str]
    opening: dict[str, list[str]]
    telling: dict[str, list[int]]
    aside: dict[str, list[int]]
    answering: dict[str, list[int]]
    heard_with: dict[str, frozenset[str]]


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
                telling = tuple(s for s, _ in tokens if s not in LIGHT)
                yield Phrase(kind, owner, option, words, tokens, telling)


def index_of(kb: KB) -> Index:
    """Weigh every stem by how rare it is among phrases and how much it keeps to one complaint."""
    for known, index in _kept:
        if known is kb:
            return index
    phrases = list(_phrases(kb))
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
    lean: dict[tuple[str, bool], dict[str, float]] = {}
    keeps: dict[str, float] = {}
    for token, by in share.items():
        rates = {c: n / (per[c] + 5) for c, n in by.items()}
        total = sum(rates.values()) + DOUBT  # one phrase among many is no proof that a word belongs to a complaint
        lean[token] = {c: r / total for c, r in rates.items()}
        keeps[token[0]] = max(keeps.get(token[0], 0.0), *lean[token].values())
    rare = {s: min(RARE, math.log(1 + len(weighed) / n)) for s, n in seen.items()}
    weight = {s: LIGHTLY if s in LIGHT else r * (SPREAD + (1 - SPREAD) * keeps.get(s, 0.5)) for s, r in rare.items()}
    forms = {
        w: stem(w) for p in phrases for w in casefolded_words(p.words).replace("'", " ").split() if stem(w) in weight
    }
    leaning = frozenset(s for p in phrases if p.kind in ("complaint", "hazard") for s, _ in p.tokens)
    opening: dict[str, list[str]] = {}
    for f in forms:
        opening.setdefault(f[:1], []).append(f)
    telling: dict[str, list[int]] = {}  # stem -> the complaints' phrases that it tells of, by their place
    aside: dict[str, list[int]] = {}
    answering: dict[str, list[int]] = {}
    for at, p in enumerate(phrases):
        if p.kind == "complaint":
            for s in dict.fromkeys(p.telling):
                telling.setdefault(s, []).append(at)
        else:
            for s in dict.fromkeys(s for s, _ in p.tokens):
                (answering if p.kind == "answer" else aside).setdefault(s, []).append(at)
    beside = {p.owner: frozenset(kb.checks[p.owner].heard_with) for p in phrases if p.kind == "answer"}
    index = Index(phrases, weight, lean, leaning, forms, opening, telling, aside, answering, beside)
    _kept.insert(0, (kb, index))
    del _kept[3:]
    return index


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
