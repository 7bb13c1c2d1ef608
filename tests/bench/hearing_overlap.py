"""The matcher of before: overlap of phrases with sixteen constants set by hand, kept to be compared with what replaced it.

The story is cut into clauses (`words.py`). Each `hear` phrase of the kb (`phrases.py`) is laid over each run of up to
three clauses: a phrase token is met by a clause token of the same stem, or by a misspelling near enough, and weighs as
much as it tells complaints apart. A token under a "not" meets only a token under a "not". Two coverages count: how
much of the phrase was said, and how much of the clause the phrase explains. Words that no single phrase holds together
still point to a complaint through its other phrases; that is a second, lighter share of the score.

Nothing here is a probability. The constants are judgement, chosen on the unheld part of `tests/phrases.yaml`. At or
above `LIKELY` a complaint is shown as heard; from `POSSIBLE` on it is offered below those; less is not shown.
"""

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

import msgspec

from dryfloor.engine.language.tokens import HEARD_MAX, Clause, clauses, stem
from dryfloor.engine.model import KB
from tests.bench.hearing_overlap_index import Index, Phrase, index_of, near_form

LIKELY = 55.0  # at or above: shown as heard, to be confirmed
POSSIBLE = 40.0  # at or above: offered below the likely ones; less is not shown
FACT = 80.0  # share of a fact's phrase that must have been said
ANSWER = 90.0  # share of an answer's phrase that must have been said: it stands for a look that nobody took [%]
HAZARD = 72.0  # the same for a hazard: lower, since a gate asked in vain costs less than one left out
RUN = 3  # clauses that one phrase may span
LEAN = 0.4  # share of the score that comes from the complaint's other phrases [-]
BRIDGE = 8.0  # added where a phrase is said whole across two clauses: it explains both
TELLING = 2.0  # weight of met tokens at which a phrase stands by itself in a long story [-]
ALONE = 0.8  # share of the weightiest met token that does not count towards that [-]
HISTORY = ("onset", "rhythm")  # facts that say since when and how often, and nothing of what is wrong
TURNED = 0.2  # what a token counts when only one side is under a "not" [-]
ASIDE = 0.5  # weight, for complaints, of a word that only facts know [-]
AT_LEAST = 1.5  # weight, for facts and hazards, of any token: "moved" alone is not "since we moved" [-]
STRANGE = 2.0  # weight of a word that the kb does not know [-]
STRANGE_OPENING = 3.5  # the same before the first known word of a clause that does not name the washer [-]
STRANGE_THING = 16.0  # the same after an article: "my boots leak" [-]


class Match(msgspec.Struct, frozen=True):
    """A complaint that was heard.

    Parameters
    ----------
    complaint
        its id
    score
        0 to 100, one decimal [-]; to be held against `LIKELY` and `POSSIBLE`
    words
        the phrase of the kb that came closest
    """

    complaint: str
    score: float
    words: str

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
    """A hazard that was heard, and the phrase of the kb that came closest."""

    hazard: str
    words: str


class Heard(msgspec.Struct, frozen=True):
    """All that was heard in a person's words.

    Parameters
    ----------
    complaints
        best first; ties by id
    facts
        at most one option of each fact, in the order of the kb
    hazards
        in the order of the kb
    off_topic
        why no complaint was heard, in words for the person; None where one was
    answers
        at most one answer of each check that a heard complaint goes with, in the order of the kb
    """

    complaints: list[Match]
    facts: list[FactMatch]
    hazards: list[HazardMatch]
    off_topic: str | None
    answers: list[AnswerMatch] = []


class _Met(NamedTuple):
    """A token of the story as the kb knows it: its stem ("" where unknown), likeness 0 to 1 and weight."""

    stem: str
    negated: bool
    like: float
    weight: float


class _Run(NamedTuple):
    """Neighbouring clauses taken together: the best likeness of every token, the weight of each stem, and the sum."""

    like: dict[tuple[str, bool], float]
    weight: dict[str, float]
    whole: float


def _known(clause: Clause, index: Index) -> list[_Met]:
    """Tokens of a clause as the kb knows them: joined, split or mended where they are misspelt."""
    out: list[_Met] = []
    tokens = clause.tokens
    opening = 0.0 if clause.subject == "washer" else STRANGE_THING if clause.article else STRANGE_OPENING
    at = 0
    while at < len(tokens):
        t = tokens[at]
        after = tokens[at + 1] if at + 1 < len(tokens) else None
        joined = stem(t.form + after.form) if after else ""
        stems = [t.stem]
        like = 1.0
        if after and joined in index.weight and joined not in (t.stem, after.stem) and len(joined) > 5:
            stems = [joined]
            at += 1
        elif t.stem not in index.weight:
            halves = ([stem(t.form[:k]), stem(t.form[k:])] for k in range(4, min(len(t.form), 20) - 3))
            whole = next((h for h in halves if h[0] in index.weight and h[1] in index.weight), None)
            near = None if whole else near_form(t.form, index)
            stems = whole or ([index.forms[near[0]]] if near else [""])
            like = near[1] if near else 1.0
        at += 1
        for s in stems:
            opening = 0.0 if s else opening
            weight = max(opening, STRANGE)
            if s:  # a word of circumstances alone ("upstairs", "brand new") says nothing against a complaint
                weight = index.weight[s] if s in index.leaning else min(index.weight[s], ASIDE)
            out.append(_Met(s, t.negated, like if s else 0.0, weight))
    return out


def _without_history(met: list[_Met], index: Index) -> list[_Met]:
    """Tokens of a clause with those lightened that say since when or how often: "since it was installed" is no complaint."""
    run = _run(met)
    said: set[str] = set()
    for p in _met_by(run.weight, index.aside, index):
        if p.kind == "fact" and p.owner in HISTORY and len(p.tokens) > 1 and all(t in run.like for t in p.tokens):
            said |= {s for s, _ in p.tokens}
    return [m._replace(weight=min(m.weight, ASIDE)) if m.stem in said else m for m in met]


def _met_by(stems: Iterable[str], places: dict[str, list[int]], index: Index) -> list[Phrase]:
    """Phrases that share a stem with what was said, in the order of the kb."""
    return [index.phrases[at] for at in sorted({at for s in stems for at in places.get(s, ())})]


def _run(met: Sequence[_Met]) -> _Run:
    like: dict[tuple[str, bool], float] = {}
    weight: dict[str, float] = {}
    for m in met:
        if m.stem:
            like[m.stem, m.negated] = max(m.like, like.get((m.stem, m.negated), 0.0))
            weight[m.stem] = m.weight
    return _Run(like, weight, sum(weight.values()) + sum(m.weight for m in met if not m.stem))


def _said(phrase: Phrase, run: _Run, index: Index) -> tuple[float, float]:
    """Share of the phrase that was said, 0 to 1, and the weight of what it meets beyond its weightiest token."""
    got = met = total = most = 0.0
    for s, negated in phrase.tokens:
        w = index.weight[s] if phrase.kind == "complaint" else max(index.weight[s], AT_LEAST)
        total += w
        near = max(run.like.get((s, negated), 0.0), TURNED * run.like.get((s, not negated), 0.0))
        got += w * near
        if near > 0.5:
            met += w
            most = max(most, w)
    return got / total, met - ALONE * most


def _score(phrase: Phrase, run: _Run, index: Index) -> float:
    """How well a complaint's phrase fits a run of clauses, 0 to 1."""
    covered, met = _said(phrase, run, index)
    if covered < 0.3:
        return 0.0
    explains = sum(run.weight.get(s, 0.0) for s in dict.fromkeys(s for s, _ in phrase.tokens)) / run.whole
    much = 1 - math.exp(-met / TELLING)  # a long story hides a phrase; two telling words together still stand
    return covered * (1 - (1 - explains) * (1 - much))


def _leans(run: _Run, index: Index) -> dict[str, float]:
    """Share of a run's weight that leans to each complaint, 0 to 1."""
    out: dict[str, float] = {}
    for token, like in run.like.items():
        for complaint, share in index.lean.get(token, {}).items():
            out[complaint] = out.get(complaint, 0.0) + run.weight[token[0]] * share * like / run.whole
    return out


def _bridges(phrase: Phrase, start: Sequence[_Met], end: Sequence[_Met], run: _Run, index: Index) -> bool:
    """True where a phrase is said whole, and by both ends of a run: "it won't spin, and there is water in it"."""
    stems = set(phrase.telling)
    at_start, at_end = stems & {m.stem for m in start}, stems & {m.stem for m in end}
    return bool(at_start - at_end and at_end - at_start) and _said(phrase, run, index)[0] > 0.9


def hear(text: str, kb: KB) -> Heard:
    """Suggest which complaints, circumstances and hazards a person's own words tell of.

    Parameters
    ----------
    text
        anything: slang, misspellings, half a story; only the first `words.HEARD_MAX` characters are heard
    kb
        the knowledge base, whose `hear` phrases are matched

    Returns
    -------
    Heard
        complaints at or above `POSSIBLE`, best first; empty with a reason where nothing fits

    Notes
    -----
    Never raises on text. The score ranks; it is no probability. A hazard is heard whatever the story is about.
    """
    return _heard(text[:HEARD_MAX], index_of(kb))


@lru_cache(maxsize=32)  # every advice hears the words of its case again
def _heard(text: str, index: Index) -> Heard:
    story = clauses(text)
    plainly = [_known(c, index) for c in story]
    known = [_without_history(met, index) for met in plainly]
    only_history = [all(m.weight <= ASIDE for m in met) and met != was for met, was in zip(known, plainly, strict=True)]
    best: dict[str, tuple[float, str]] = {}
    for first in range(len(story)):
        for last in range(first, min(first + RUN, len(story))):
            if story[last].subject == "other":
                break
            if all(only_history[first : last + 1]) and not all(only_history):
                continue  # "since it was installed" says when, beside a clause that says what
            run = _run([m for met in known[first : last + 1] for m in met])
            leans = _leans(run, index)
            for p in _met_by(run.weight, index.telling, index):
                lean = leans.get(p.owner, 0.0)
                known_best = best.get(p.owner, (0.0, ""))[0]
                if 100 * (1 - LEAN + LEAN * lean) + BRIDGE > known_best:  # else no fit could better it
                    fit = 100 * ((1 - LEAN) * _score(p, run, index) + LEAN * lean)
                    if last > first and _bridges(p, known[first], known[last], run, index):
                        fit = min(100.0, fit + BRIDGE)
                    if fit > known_best:
                        best[p.owner] = fit, p.words
    complaints = sorted(
        (Match(c, round(score, 1), words) for c, (score, words) in best.items() if round(score, 1) >= POSSIBLE),
        key=lambda m: (-m.score, m.complaint),
    )
    runs = [_run(met) for met in plainly]
    facts, hazards = _aside(runs, index)
    answers = _answers(runs, {m.complaint for m in complaints}, index)
    return Heard(complaints, facts, hazards, None if complaints else _reason(story), answers)


def _aside(runs: Sequence[_Run], index: Index) -> tuple[list[FactMatch], list[HazardMatch]]:
    """Facts and hazards: a phrase must be said nearly whole within one clause; they come in the order of their phrases, the kb's."""
    facts: dict[str, tuple[float, float, str, str]] = {}
    hazards: dict[str, tuple[float, str]] = {}
    heard = {s for run in runs for s in run.weight}
    for p in _met_by(heard, index.aside, index):
        covered, met = max((_said(p, run, index) for run in runs), default=(0.0, 0.0))
        covered, met = round(100 * covered, 1), round(met, 6)
        if p.kind == "fact" and covered >= FACT and (covered, met) > facts.get(p.owner, (0.0, 0.0))[:2]:
            facts[p.owner] = covered, met, p.option, p.words
        elif p.kind == "hazard" and covered >= HAZARD and covered > hazards.get(p.owner, (0.0, ""))[0]:
            hazards[p.owner] = covered, p.words
    return (
        [FactMatch(f, option, words) for f, (_, _, option, words) in facts.items()],
        [HazardMatch(h, words) for h, (_, words) in hazards.items()],
    )


def _answers(runs: Sequence[_Run], complaints: set[str], index: Index) -> list[AnswerMatch]:
    """Answers said nearly whole within one clause; a story that gives two answers to one check gives none."""
    found: dict[str, dict[str, tuple[float, float, str]]] = {}
    for p in _met_by({s for run in runs for s in run.weight}, index.answering, index):
        if complaints.isdisjoint(index.heard_with[p.owner]):
            continue
        covered, met = max((_said(p, run, index) for run in runs), default=(0.0, 0.0))
        if round(100 * covered, 1) >= ANSWER:
            best = found.setdefault(p.owner, {})
            best[p.option] = max(best.get(p.option, (0.0, 0.0, "")), (round(covered, 3), round(met, 6), p.words))
    return [
        AnswerMatch(c, *next((a, w) for a, (_, _, w) in answers.items()))
        for c, answers in found.items()
        if len(answers) == 1
    ]


def _reason(story: Sequence[Clause]) -> str:
    """Why no complaint was heard, for the person."""
    if not story:
        return "I heard no word to go on. Say what the washer does, such as: water on the floor, or it will not drain."
    other = next((c.other for c in story if c.subject == "other"), "")
    if other:
        return f"That sounds like a {other}. These rules are for clothes washers: what does the washer do?"
    return "That fits none of the complaints that I know. Say what you see, hear or find wet at the washer."


MOST = 4  # complaints offered at once
