"""Free words to complaints, circumstances, answers given beforehand and hazards: every one a suggestion that a face shows for confirmation.

Complaints come from weights learnt from phrases by many writers (`hearer.py`), their scores made chances by `calibration.py`: at or
above `LIKELY` a complaint is shown as heard; from `POSSIBLE` on it is offered below those; less is not shown. Both are bounds of
bands of the scale that the whole kb speaks in. Phrases of a kb that nobody learnt from, a shop's own, draw a text to their complaint
by likeness (`own_phrases.py`). Hazards are heard by what was learnt or by a phrase of the kb said nearly whole (`overlap.py`); facts by
both together; answers by phrases alone.
"""

import re
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec

from .. import effort
from ..model import KB
from .calibration import MILLION, chances, word
from .overlap import SaidPhrases, said_in
from .own_phrases import Likened, closest_phrase, likened
from .phrase_book import OTHER
from .phrases import Index, index_of
from .tokens import HEARD_MAX, Clause, clauses

LETTER = 5_000  # what it takes to hear one letter [cells] (measured)
LIKELY = 55.0  # lower end of "likely" in the scale [%]
POSSIBLE = 5.0  # upper end of "almost no chance" in the scale [%]
SURELY = 80.0  # lower end of "very likely": from here on a sentence by itself adds a complaint to a story's [%]
SENTENCES = 8  # sentences of a story that are heard by themselves
LEAST_WORDS = 2  # words of such a sentence
_SENTENCE = re.compile(r"[.!?;\n]+|,?\s\b(?:and|but|also|plus)\b", re.IGNORECASE)
MOST = 4  # complaints offered at once
THREE = 3  # complaints offered where none is likely
LEANS = 0.5  # share of the learnt bound from which a fact that was said by phrase is offered, where no other option is nearer [-]
HALF = 0.5  # a second hazard is raised beside the first from this learnt score on: nearer to so than to not so [-]


class Match(msgspec.Struct, frozen=True):
    """A complaint that was heard.

    Parameters
    ----------
    complaint
        its id
    score
        calibrated chance, 0 to 100, one decimal [%]; to be held against `LIKELY` and `POSSIBLE`, and shown as `chance`
    words
        the phrase of the kb that came closest
    told
        the sentence of the story that it was heard in, where the story as a whole did not tell of it
    """

    complaint: str
    score: float
    words: str
    told: str = ""

    @property
    def chance(self) -> str:
        """The score as a word of the scale."""
        return word(self.score)

    @property
    def likely(self) -> bool:
        """True where it is to be shown as heard, False where it is only offered."""
        return self.score >= LIKELY


class FactMatch(msgspec.Struct, frozen=True):
    """A circumstance that was heard: the fact, its option, and the phrase of the kb that came closest."""

    fact: str
    option: str
    words: str


class AnswerMatch(msgspec.Struct, frozen=True):
    """An answer that was given in the story before its check was asked: check, answer, and the closest phrase of the kb."""

    check: str
    answer: str
    words: str


class HazardMatch(msgspec.Struct, frozen=True):
    """A hazard that was heard, and the phrase of the kb that came closest; surely: named by a phrase, or likelier than not."""

    hazard: str
    words: str
    surely: bool = True


class Heard(msgspec.Struct, frozen=True):
    """All that was heard in a person's words.

    Parameters
    ----------
    complaints
        best first; ties by id
    facts
        at most one option of each fact, in the order of the kb
    hazards
        those named by a phrase of the kb, then those heard otherwise, each in the order of the kb
    off_topic
        why no complaint was heard, in words for the person; None where one was
    answers
        at most one answer of each check that a heard complaint goes with, in the order of the kb
    order
        all complaints of the kb, the likeliest first; ties by id
    """

    complaints: list[Match]
    facts: list[FactMatch]
    hazards: list[HazardMatch]
    off_topic: str | None
    answers: list[AnswerMatch] = []
    order: list[str] = []


def hear(text: str, kb: KB) -> Heard:
    """Suggest which complaints, circumstances and hazards a person's own words tell of.

    Parameters
    ----------
    text
        anything: slang, misspellings, half a story; only the first `tokens.HEARD_MAX` characters are heard
    kb
        the knowledge base, whose complaints, facts, hazards and `hear` phrases are meant

    Returns
    -------
    Heard
        complaints at or above `POSSIBLE`, best first; empty with a reason where "something else" is likelier than all of them

    Notes
    -----
    Never raises on text. A hazard is heard whatever the story is about.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> [m.complaint for m in hear("upstairs machine hops about when it spins", kb).complaints][0]
    'walks'
    >>> hear("my dryer won't heat", kb).off_topic
    'That sounds like a dryer. These rules are for clothes washers: what does the washer do?'
    """
    text = text[:HEARD_MAX]
    effort.spend_once(("heard", text), LETTER * len(text))
    return _heard(text, index_of(kb))


@lru_cache(maxsize=256)  # every advice hears the words of its case again
def _heard(text: str, index: Index) -> Heard:
    story = clauses(text)
    if not story:
        return Heard([], [], [], _reason(story), [], list(index.complaints))
    whole = _weighed(text, index)
    order = sorted(whole.percent, key=lambda c: (-whole.percent[c], c))
    complaints = whole.matches(order, index)
    if complaints:
        complaints = _with_sentences(text, complaints, index)
    scores, calibration = whole.scores, whole.calibration
    said = said_in(story, index)
    facts = [FactMatch(f, option, words) for f, option, words in _facts(scores, said, calibration["fact"])]
    hazards = [HazardMatch(*h) for h in _hazards(scores, said, index, calibration["gate"])]
    answers = [AnswerMatch(*a) for a in said.answers({m.complaint for m in complaints})]
    return Heard(complaints, facts, hazards, None if complaints else _reason(story), answers, order)


class _Weighed(NamedTuple):
    """A text's learnt scores, and the chance of each complaint of the kb [%] beside that of something else."""

    scores: dict[str, float]
    calibration: dict[str, float]
    percent: dict[str, float]
    other: float
    vector: Any
    near: Likened

    def matches(self, order: list[str], index: Index) -> list[Match]:
        """Return what is shown, best first; nothing where something else is likelier than all complaints."""
        if not order or self.percent[order[0]] <= self.other:
            return []
        shown = [c for c in order if self.percent[c] >= POSSIBLE]
        return [Match(c, self.percent[c], closest_phrase(c, self.vector, self.near, index)) for c in shown]


def _weighed(text: str, index: Index) -> _Weighed:
    scores, vector = index.hearer.scores(text)
    calibration = {name: n / MILLION for name, n in index.hearer.calibration.items()}
    near = likened(text, vector, scores, index)
    chance = chances(near.scores, calibration["slope"], calibration["shift"])
    percent = {c: round(100 * p, 1) for c, p in chance.items()}
    other = percent.pop(OTHER)
    return _Weighed(scores, calibration, percent, other, vector, near)


def _with_sentences(text: str, heard: list[Match], index: Index) -> list[Match]:
    """Return what the story tells of, and below the likely ones what a sentence of it surely tells of by itself."""
    found = {m.complaint: m for m in heard}
    parts = [p.strip() for p in _SENTENCE.split(text) if len(p.split()) >= LEAST_WORDS]
    for part in parts[:SENTENCES] if len(parts) > 1 else []:
        alone = _weighed(part, index)
        for m in alone.matches(sorted(alone.percent, key=lambda c: (-alone.percent[c], c))[:1], index):
            score = min(m.score, LIKELY - 0.1)
            if m.score >= SURELY and score > (found[m.complaint].score if m.complaint in found else 0.0):
                found[m.complaint] = Match(m.complaint, round(score, 1), m.words, part)
    return sorted(found.values(), key=lambda m: (-m.score, m.complaint))


def _hazards(scores: dict[str, float], said: SaidPhrases, index: Index, bound: float) -> list[tuple[str, str, bool]]:
    """Hazards said by phrase, then those that the learnt scores raise, each in the order of the kb: what was named comes first."""
    by = {h: scores[f"hazard:{h}"] for h in index.gated if h not in said.denied}
    raised: set[str] = set()
    if by and max(by.values()) + scores["gate"] >= bound:
        most = max(by.values())
        raised = {h for h, s in by.items() if s == most or s >= HALF}
    named = [(h, said.hazards[h], True) for h in index.hazards if h in said.hazards]
    learnt = [(h, words) for h, words in index.hazards.items() if h in raised and h not in said.hazards]
    return named + [(h, words, by[h] >= HALF) for h, words in learnt]


def _facts(scores: dict[str, float], said: SaidPhrases, bound: float) -> list[tuple[str, str, str]]:
    """Facts said by phrase, in the order of the kb; of those learnt, only where the learnt score agrees, or leans to no other option."""
    learnt: dict[str, dict[str, float]] = {}
    for name in scores:
        kind, _, rest = name.partition(":")
        if kind == "fact":
            fact, _, option = rest.partition(":")
            learnt.setdefault(fact, {})[option] = scores[name]
    found = []
    for fact, (option, words) in said.facts.items():
        by = learnt.get(fact, {option: bound})
        leans = by.get(option, 0.0) == max(by.values()) and by.get(option, 0.0) >= LEANS * bound
        if by.get(option, 0.0) >= bound or leans:
            found.append((fact, option, words))
    return found


def _reason(story: list[Clause]) -> str:
    """Why no complaint was heard, for the person."""
    if not story:
        return "I heard no word to go on. Say what the washer does, such as: water on the floor, or it will not drain."
    other = next((c.other for c in story if c.subject == "other"), "")
    if other:
        return f"That sounds like a {other}. These rules are for clothes washers: what does the washer do?"
    return "That fits none of the complaints that I know. Say what you see, hear or find wet at the washer."
