"""What a pupil names in free words: a check or a circumstance, a cause, a rule, a gate. Candidates with a score; a face lets them choose."""

import math
from collections.abc import Collection, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from msgspec import Struct, structs

from .. import model
from ..language.tokens import clauses, stem
from ..language.word_pieces import UNIT, piece_table
from .trade_words import read_as_one

MOST = 5  # candidates that are shown
# A name so good, and so much better than the next, needs no choosing (judgement, tried on the tables of the tests). A look that was not
# meant costs its minutes, a danger that was not meant a fifth of one; a verdict or a rule that was not meant costs the round.
SURE, LEAD = 0.62, 0.12
SURE_OF = {"check": (0.45, 0.07), "fact": (0.45, 0.07), "gate": (0.5, 0.08)}
NOWHERE: dict[str, str] = {}  # nothing is known of the place
LEAST = 0.3  # below this nothing is meant
TITLE, TEXT = 1.0, 0.45  # what a word counts that stands in a title, and in the question alone
OWN_NAME = 1.0  # what was typed is its name
NEARER = 0.08  # that what tells of the complaint is named, and not something else (judgement) [-]
LIKE = 0.5  # share of the score that likeness of meaning has; the words themselves have the rest
UNKNOWN = 0.35  # what a word counts against a name that nothing here has, beside the rarest that something has: it may be mere chat
# Parts of a machine and of a room. Whoever names one means it: what has nothing to do with it is not done at once in its place.
THINGS = "drum tub floor hose pipe standpipe pump tap outlet plug cord breaker filter foot load door lid coupling dryer wall sink soap screen trap vent washing heater"
# What it costs a look not to have the part that was named (judgement, tried on the tables of the tests) [-].
ELSEWHERE = 0.12
# Verbs with which a look is asked for, and words that every question has.
ASKED = "check checks measure measures look looks test tests try ask asks see inspect feel read put stick grab exactly doing how what where which is are does the at of whether"


class Named(Struct, frozen=True, kw_only=True):
    """Something that may be meant: its kind (check, fact, cause, rule, gate), its id, its title, and how well the words fit, 0 to 1."""

    kind: str
    id: str
    title: str
    score: float


class _Entry(Struct, frozen=True):
    kind: str
    id: str
    title: str
    weights: dict[str, float]


class _Book:
    """All that can be named of some kinds, ready to be searched."""

    def __init__(self, entries: list[tuple[str, str, str, list[str], list[str]]], safe: bool = False) -> None:
        self.safe = safe
        self.entries: list[_Entry] = []
        self.exact: dict[str, list[int]] = {}
        vectors = []
        table = piece_table()
        for kind, name, title, heads, texts in entries:
            weights: dict[str, float] = {}
            for text, weight in [*((t, TEXT) for t in texts), *((h, TITLE) for h in heads)]:
                for s in stems(text, safe):
                    weights[s] = max(weights.get(s, 0.0), weight)
            for key in dict.fromkeys(k for head in heads for k in (_plain(head), self.told(head)) if k):
                self.exact.setdefault(key, []).append(len(self.entries))
            self.entries.append(_Entry(kind, name, title, weights))
            vectors.append(table.vector(". ".join([*heads, *texts[:1]])))
        self.vectors = np.array(vectors, dtype=np.float64)
        seen: dict[str, int] = {}
        for entry in self.entries:
            for s in entry.weights:
                seen[s] = seen.get(s, 0) + 1
        self.idf = {s: math.log(1 + len(self.entries) / n) for s, n in seen.items()}

    def told(self, text: str) -> str:
        """Return the telling words of a name of two or more, whatever stands round them; nothing of a shorter one."""
        own = stems(text, self.safe)
        return " ".join(sorted(own)) if len(own) > 1 else ""

    def find(self, words: str) -> list[Named]:
        """Return what may be meant, best first, ties by id."""
        exact = self.exact.get(_plain(words)) or self.exact.get(self.told(words), [])
        asked = stems(words, self.safe)
        known = [_near(s, self.idf) for s in asked]
        rarest = max(self.idf.values(), default=1.0)
        total = sum(self.idf[s] if s else UNKNOWN * rarest for s in known)
        vector = piece_table().vector(words).astype(np.float64)
        like = self.vectors @ vector / UNIT**2 if total else np.zeros(len(self.entries))
        things = {stem(w) for w in THINGS.split()}
        named = [s for s in known if s in things]
        out = []
        for n, entry in enumerate(self.entries):
            said = sum(self.idf[s] * entry.weights.get(s, 0.0) for s in known if s) / total if total else 0.0
            score = OWN_NAME if n in exact else (1 - LIKE) * said + LIKE * max(0.0, float(like[n])) if said else 0.0
            if score >= LEAST:
                elsewhere = score < OWN_NAME and any(s not in entry.weights for s in named)
                score -= ELSEWHERE if elsewhere else 0.0
                out.append(Named(kind=entry.kind, id=entry.id, title=entry.title, score=round(score, 4)))
        return sorted(out, key=lambda x: (-x.score, x.kind, x.id))


def stems(text: str, safe: bool = False) -> list[str]:
    """Return the stems of a text's telling words, each once; `safe`: it says that something is safe.

    Examples
    --------
    >>> stems("check the height of the standpipe")
    ['height', 'standpip']
    """
    verbs = {stem(w) for w in ASKED.split()}
    said = (t.stem for c in clauses(read_as_one(text, safe)) for t in c.tokens)
    return [s for s in dict.fromkeys(said) if s not in verbs and len(s) > 1]


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("-", " ").split()).rstrip(".?!")


def _near(s: str, known: dict[str, float]) -> str:
    """Return a stem that is known for one that was typed: itself, or that of a slip of the finger."""
    if s in known:
        return s
    if len(s) < 4:
        return ""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    found = process.extractOne(s, [k for k in known if abs(len(k) - len(s)) <= 1], scorer=OSA.distance, score_cutoff=1)
    return found[0] if found else ""


def parts(words: str) -> list[str]:
    """Return what is said to be safe, one thing at a time: parted by ; or by a comma.

    Examples
    --------
    >>> parts("machine stopped; no gas smell, floor dry")
    ['machine stopped', 'no gas smell', 'floor dry']
    """
    return [p.strip() for p in words.replace(";", ",").split(",") if p.strip()]


def sure(found: list[Named], careful: bool = False) -> Named | None:
    """Return the one that is meant, where the words leave no doubt; None where somebody must choose.

    Parameters
    ----------
    found : list of Named
        Best first.
    careful : bool
        To take it for something else would cost the round, as with a verdict: then little doubt is enough to ask.

    Examples
    --------
    >>> sure([Named(kind="check", id="a", title="A", score=0.9), Named(kind="check", id="b", title="B", score=0.4)]).id
    'a'
    """
    least, lead = SURE_OF.get(found[0].kind, (SURE, LEAD)) if found and not careful else (SURE, LEAD)
    if not found or found[0].score < least:
        return None
    lead = 0.0 if found[0].score == OWN_NAME else lead  # its own name leaves no doubt, whatever sounds like it
    if len(found) > 1 and (found[0].score - found[1].score < lead or found[1].score == OWN_NAME):
        return None
    return found[0]


_books: list[tuple[model.KB, dict[str, _Book]]] = []


def _book(kb: model.KB, which: str) -> _Book:
    """Return a book of a kb, made once."""
    books = next((held for known, held in _books if known is kb), None)
    if books is None:
        books = {}
        _books.insert(0, (kb, books))
        del _books[3:]
    if which not in books:
        books[which] = _Book(_entries(kb, which), which in ("gates", "cautions"))
    return books[which]


def _entries(kb: model.KB, which: str) -> list[tuple[str, str, str, list[str], list[str]]]:
    def plain(name: str) -> str:
        return name.replace("-", " ")

    def asks(v: model.Voices) -> list[str]:
        return [t for t in (v.technician, v.homeowner) if t]

    if which == "looks":
        checks = [
            (
                "check",
                c.id,
                c.title,
                [c.title, plain(c.id)],
                [*asks(c.ask), " ".join(a.says for a in c.answers.values())],
            )
            for c in kb.checks.values()
            if not c.only_proof
        ]
        facts = [("fact", f.id, f.title, [f.title, plain(f.id)], asks(f.ask)) for f in kb.facts.values()]
        return checks + facts
    if which == "causes":
        return [("cause", c.id, c.title, [c.title, plain(c.id)], [c.says]) for c in kb.causes.values()]
    if which == "rules":
        return [("rule", r.id, r.title, [r.title, plain(r.id)], [r.of, r.must or ""]) for r in kb.rules.values()]
    return [
        (
            "gate",
            h.id,
            h.title,
            [h.title, plain(h.id), h.gate.word],
            [*asks(h.gate.ask), h.says, " ".join(h.gate.do_now)],
        )
        for h in kb.hazards.values()
        if h.gate and which == "gates"
    ] or [("gate", h.id, h.title, [h.title, plain(h.id)], [h.says]) for h in kb.hazards.values() if not h.gate]


def _nearer(found: Sequence[Named], near: Collection[str]) -> list[Named]:
    """Return what was found with what is near at hand before what is as good: it tells of what they complain of."""
    raised = [
        structs.replace(n, score=round(min(OWN_NAME - 1e-3, n.score + NEARER), 4))
        if n.id in near and n.score < OWN_NAME
        else n
        for n in found
    ]
    return sorted(raised, key=lambda x: (-x.score, x.kind, x.id))


def _possible(kb: model.KB, found: Sequence[Named], facts: dict[str, str]) -> list[Named]:
    """Return what can be at the place as far as it is known; all of it where nothing can."""
    records: dict[str, dict[str, Any]] = {"check": kb.checks, "fact": kb.facts, "cause": kb.causes, "rule": kb.rules}
    return [n for n in found if model.holds(records[n.kind][n.id].when, facts)] or list(found)


@lru_cache(1024)
def _found(book: _Book, words: str) -> tuple[Named, ...]:
    return tuple(book.find(words))


def looks(
    kb: model.KB,
    words: str,
    facts: dict[str, str] = NOWHERE,
    near: Collection[str] = (),
    senseless: Collection[str] = (),
) -> list[Named]:
    """Return the checks and circumstances that words may mean, best first.

    Parameters
    ----------
    kb : KB
    words : str
    facts : dict
        What is known of the place: fact -> option. What can't be done there is left out, unless nothing else is meant.
    near : collection of str
        Checks that tell of what they complain of: of two that are named as well, these come first.
    senseless : collection of str
        Checks that make no sense after what was said: of two that are named as well, these come last.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> looks(load_kb(), "how high is the standpipe")[0].id
    'standpipe-height'
    """
    found = _nearer(_possible(kb, _found(_book(kb, "looks"), words), facts), near)
    return _less(found, senseless)


def _less(found: Sequence[Named], ids: Collection[str]) -> list[Named]:
    """Return what was found, with some of it behind what is named as well: it hardly goes with what they complain of."""
    less = [
        structs.replace(n, score=round(n.score - ELSEWHERE, 4)) if n.id in ids and n.score < OWN_NAME else n
        for n in found
    ]
    return sorted(less, key=lambda x: (-x.score, x.kind, x.id))


def causes(kb: model.KB, words: str, facts: dict[str, str] = NOWHERE, near: Collection[str] = ()) -> list[Named]:
    """Return the causes that words may mean, best first.

    Parameters
    ----------
    kb : KB
    words : str
    facts : dict
        What is known of the place: fact -> option.
    near : collection of str
        Causes that explain what they complain of: of two that are named as well, these come first.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> causes(load_kb(), "transport bolts left in")[0].id
    'restraints-left-in'
    """
    found = _nearer(_possible(kb, _found(_book(kb, "causes"), words), facts), near)
    return _less(found, {n.id for n in found} - {*near}) if near else found


def rules(kb: model.KB, words: str, facts: dict[str, str] = NOWHERE) -> list[Named]:
    """Return the rules that words may mean, best first.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rules(load_kb(), "hose depth in the pipe")[0].id
    'hose-insertion-depth'
    """
    return _possible(kb, _found(_book(kb, "rules"), words), facts)


def gates(kb: model.KB, words: str, near: Collection[str] = ()) -> list[Named]:
    """Return the gates that words may mean, best first; where none is meant well, also hazards that no gate hangs on, such as a cord to unplug.

    Parameters
    ----------
    kb : KB
    words : str
    near : collection of str
        Gates of what they complain of: of two that are named as well, these come first.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> gates(load_kb(), "machine has stopped, drum at rest")[0].id
    'walking-machine'
    """
    found = _nearer(_found(_book(kb, "gates"), words), near)
    others = _found(_book(kb, "cautions"), words)
    by_name = bool(others) and others[0].score == OWN_NAME  # a caution by its own name is no gate that sounds like it
    if found and found[0].score >= SURE and not by_name:
        return found
    return sorted([*found, *others], key=lambda x: (-x.score, x.kind, x.id))


def all_gates(kb: model.KB) -> list[Named]:
    """Return all gates by title, for whoever asks what there is."""
    found = [Named(kind="gate", id=h.id, title=h.title, score=1.0) for h in kb.hazards.values() if h.gate]
    return sorted(found, key=lambda x: x.title)
