"""Free words to complaints, circumstances, answers given beforehand and hazards: every one a suggestion that a face shows for confirmation.

Complaints come from weights learnt from phrases by many writers (`hearer.py`), their scores made chances by `calibration.py`: at or
above `LIKELY` a complaint is shown as heard; from `POSSIBLE` on it is offered below those; less is not shown. Both are bounds of
bands of the scale that the whole kb speaks in. Phrases of a kb that nobody learnt from, a shop's own, draw a text to their complaint
by likeness (`own_phrases.py`). Hazards are heard by what was learnt or by a phrase of the kb said nearly whole (`overlap.py`); facts by
both together; answers by phrases alone.
"""

import math
import re
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec

from .. import effort
from ..model import KB
from .calibration import (
    FACT_WORDS,
    chance_of,
    chances,
    fact_odds,
    fact_signs,
    siblings,
    tellable,
    topic_signs,
    weighed,
    word,
)
from .display import shown
from .features import parts
from .overlap import SaidPhrases, said_in
from .own_phrases import Likened, closest_phrase, likened
from .phrase_book import OTHER
from .phrases import Index, index_of
from .tokens import HEARD_MAX, Clause, clauses

LETTER = 5_000  # what it takes to hear one letter [cells] (measured)
LIKELY = 55.0  # lower end of "likely" in the scale [%]
POSSIBLE = 5.0  # upper end of "almost no chance" in the scale [%]
SURELY = 80.0  # lower end of "very likely": from here on a sentence by itself adds a complaint to a story's [%]
DISPLAYED = 90.0  # chance of what a display names in plain words: a machine rarely prints what is not so; judgement [%]
_SAYS_WHEN = re.compile(r"(?:since|when|whenever|while|after|before|until|because|so|as|if)\b", re.IGNORECASE)
MOST = 4  # complaints offered at once
THREE = 3  # complaints offered where none is likely
PLAINLY = 3.0  # log-odds that plain words are of a washer in trouble: all 127 such texts by writers were [-]
NEAR = 0.45  # likeness to a shop's own phrase from which on a text that names the washer is heard as it; judgement [-]
PLAIN_CLAUSES = 3  # of a text that may be plain words alone: a longer one is a story
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
        complaints at or above `POSSIBLE`, best first; empty with a reason where the text tells of something else

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
    split = parts(text)
    whole, *alone = _weighed([text, *split], index)
    said = said_in(story, index)
    topic = _topic(whole, alone, text, index)
    if topic < PLAINLY and len(story) <= PLAIN_CLAUSES and said.plainly():
        topic = PLAINLY
    whole = whole.with_topic(topic)
    order = sorted(whole.percent, key=lambda c: (-whole.percent[c], c))
    complaints: list[Match] = []
    # The bound was learnt without a shop's own complaints: of those, what is likelier meant than not is heard, and what is near to one.
    own = bool(order) and any(o.complaint == order[0] for o in index.own)
    near = own and whole.near.scores[order[0]] >= NEAR and any(t.stem == "washer" for c in story for t in c.tokens)
    if order and (near or topic > (0.0 if own else index.hearer.calibration["topic"])):
        complaints = whole.matches(order, index)
        complaints = _with_parts(split, alone, complaints, index)
    if not any(c.subject == "other" for c in story):
        complaints = _with_displayed(text, complaints, index)
    facts = [FactMatch(*f) for f in _facts(whole, alone, said, text, topic, index)]
    # "heater" on a display is no danger, unless a phrase of the kb says so.
    bound = math.inf if shown(text) and len(text.split()) < FACT_WORDS else index.hearer.calibration["gate"]
    hazards = [HazardMatch(*h) for h in _hazards(whole.scores, said, index, bound)]
    answers = [AnswerMatch(*a) for a in said.answers({m.complaint for m in complaints})]
    return Heard(complaints, facts, hazards, None if complaints else _reason(story), answers, order)


class _Weighed(NamedTuple):
    """A text's learnt scores, and the chance of each complaint of the kb [%] beside that of something else."""

    scores: dict[str, float]
    percent: dict[str, float]
    other: float
    vector: Any
    near: Likened

    def with_topic(self, log_odds: float) -> "_Weighed":
        """Return the same, something else as likely as log-odds say that no washer is in trouble."""
        on = sum(self.percent.values())
        chance = 100 * chance_of(log_odds)
        percent = {c: round(chance * p / on, 1) if on else 0.0 for c, p in self.percent.items()}
        return self._replace(percent=percent, other=round(100 - chance, 1))

    def matches(self, order: list[str], index: Index) -> list[Match]:
        """Return what is shown, best first; the best one always."""
        shown = [c for c in order if self.percent[c] >= POSSIBLE or c == order[0]]
        return [Match(c, self.percent[c], closest_phrase(c, self.vector, self.near, index)) for c in shown]


def _weighed(texts: list[str], index: Index) -> list[_Weighed]:
    calibration = index.hearer.calibration
    out = []
    for text, (scores, vector) in zip(texts, index.hearer.scores_of(texts), strict=True):
        near = likened(text, vector, scores, index)
        chance = chances(near.scores, calibration["slope"], calibration["shift"])
        percent = {c: 100 * p for c, p in chance.items()}
        other = percent.pop(OTHER)
        out.append(_Weighed(scores, percent, other, vector, near))
    return out


def _topic(whole: _Weighed, alone: list[_Weighed], text: str, index: Index) -> float:
    """Return the log-odds that a text tells of a washer in trouble."""
    learnt = index.hearer.names[: index.hearer.names.index(OTHER) + 1]

    def of(w: _Weighed) -> dict[str, float]:
        return {c: w.near.scores.get(c, w.scores[c]) for c in learnt}

    signs = topic_signs(of(whole), [of(part) for part in alone], text)
    # A complaint of a shop's own is none of those learnt.
    own = [s for c, s in whole.near.scores.items() if c not in learnt]
    signs[0] = max([signs[0], *own])
    signs[2] += math.fsum(max(0.0, s) for s in own)
    return weighed(signs, index.hearer.topic[:-1], index.hearer.topic[-1])


def _with_parts(split: list[str], alone: list[_Weighed], heard: list[Match], index: Index) -> list[Match]:
    """Return what the story tells of, and below the likely ones what a part of it surely tells of by itself."""
    found = {m.complaint: m for m in heard}
    for part, w in zip(split, alone, strict=True):
        if _SAYS_WHEN.match(part):
            continue
        best = min(w.percent, key=lambda c: (-w.percent[c], c))
        percent = round(w.percent[best], 1)
        score = round(min(percent, LIKELY - 0.1), 1)
        if percent >= SURELY and score > (found[best].score if best in found else 0.0):
            found[best] = Match(best, score, closest_phrase(best, w.vector, w.near, index), part)
    return sorted(found.values(), key=lambda m: (-m.score, m.complaint))


def _with_displayed(text: str, heard: list[Match], index: Index) -> list[Match]:
    """Return what was heard, and what plain words on the machine's display name."""
    found = {m.complaint: m for m in heard}
    for c in shown(text):
        if c in index.complaints and (c not in found or found[c].score < DISPLAYED):
            words = found[c].words if c in found else next(iter(dict(index.told[c])), c)
            found[c] = Match(c, DISPLAYED, words)
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


def _facts(
    whole: _Weighed, alone: list[_Weighed], said: SaidPhrases, text: str, topic: float, index: Index
) -> list[tuple[str, str, str]]:
    """Facts in the order of the kb: what was learnt from its likeliest option on; by phrase what was not, or where nothing else was said."""
    names = [n for n in index.hearer.names if n.startswith("fact:")]
    own = {n: whole.scores[n] for n in names}
    of_parts = [{n: part.scores[n] for n in names} for part in alone]
    best = {n: own[n] + max((p[n] for p in of_parts), default=own[n]) for n in names}
    out: list[tuple[str, str, str]] = []
    for fact, options in index.facts.items():
        learnt = [n for n in siblings(f"fact:{fact}:", names) if n.rpartition(":")[2] in options]
        option, words = said.facts.get(fact, ("", ""))
        if learnt and not said.wholly:
            name = max(learnt, key=lambda n: (best[n], n))
            phrased = name == f"fact:{fact}:{option}"
            if not tellable(phrased, text):
                continue
            signs = fact_signs(own, of_parts, name, phrased, text, topic)
            if fact_odds(index.hearer.fact, signs, names.index(name)) < index.hearer.calibration["fact"]:
                continue
            option = name.rpartition(":")[2]
            words = words if phrased else options[option]
        if option:
            out.append((fact, option, words))
    return out


def _reason(story: list[Clause]) -> str:
    """Why no complaint was heard, for the person."""
    if not story:
        return "I heard no word to go on. Say what the washer does, such as: water on the floor, or it will not drain."
    other = next((c.other for c in story if c.subject == "other"), "")
    if other:
        return f"That sounds like a {other}. These rules are for clothes washers: what does the washer do?"
    return "That fits none of the complaints that I know. Say what you see, hear or find wet at the washer."
