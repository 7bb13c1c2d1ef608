"""Phrases of the kb that were said nearly whole: facts, hazards and answers by overlap of stems, word for word.

Each `hear` phrase (`phrases.py`) is laid over each clause of a story: a phrase token is met by a clause token of the same stem, or by
a misspelling near enough, and weighs as much as it tells. A token under a "not" meets only a token under a "not". The constants are
judgement.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from .phrases import Index, Phrase, near_form
from .tokens import Clause, stem

FACT = 80.0  # share of a fact's phrase that must have been said [%]
ANSWER = 90.0  # share of an answer's phrase that must have been said: it stands for a look that nobody took [%]
HAZARD = 72.0  # the same for a hazard: lower, since a gate asked in vain costs less than one left out [%]
TURNED = 0.2  # what a token counts when only one side is under a "not" [-]
AT_LEAST = 1.5  # weight of any token: "moved" alone is not "since we moved" [-]
MET = 0.5  # how surely a token must have been said to count as met [-]
ALONE = 0.8  # share of the weightiest met token that does not count where two phrases are held against each other [-]


Likeness = dict[tuple[str, bool], float]  # of one clause: (stem, negated) -> how surely it was said, 0 to 1


class SaidPhrases(NamedTuple):
    """What was said nearly whole in some clause of a story.

    Parameters
    ----------
    facts
        fact to its option and the phrase that came closest
    hazards
        hazard to the phrase that came closest
    denied
        hazards whose phrase was said under a "not", where nothing else was said: "there is no smell of gas"
    told
        all that was said by phrases of facts
    strange
        whether a word was said that no phrase of the kb has
    clauses
        what each clause holds
    phrases_of
        whose phrases they were held against
    """

    facts: dict[str, tuple[str, str]]
    hazards: dict[str, str]
    denied: frozenset[str]
    told: frozenset[tuple[str, bool]]
    strange: bool
    clauses: list[Likeness]
    phrases_of: Index

    @property
    def wholly(self) -> bool:
        """Whether nothing else was said than phrases of facts: "brand new front loader"."""
        return (
            bool(self.told)
            and not self.strange
            and all(token in self.told for clause in self.clauses for token in clause)
        )

    def plainly(self) -> bool:
        """Whether nothing else was said than phrases of complaints, whole, and of facts: "the new washer walks"."""
        if self.strange:
            return False
        told = set(self.told)
        for p in _met_by(self.clauses, self.phrases_of.telling, self.phrases_of):
            if any(all(clause.get(token, 0.0) > MET for token in p.tokens) for clause in self.clauses):
                told.update(p.tokens)
        return told > self.told and all(token in told for clause in self.clauses for token in clause)

    def answers(self, complaints: set[str]) -> list[tuple[str, str, str]]:
        """Return check, answer and phrase of answers that go with some complaints; two answers to one check give none."""
        index = self.phrases_of
        found: dict[str, dict[str, tuple[float, float, str]]] = {}
        for p in _met_by(self.clauses, index.answering, index):
            if complaints.isdisjoint(index.heard_with[p.owner]):
                continue
            covered, met = _covered(p, self.clauses, index)
            if covered >= ANSWER:
                best = found.setdefault(p.owner, {})
                best[p.option] = max(best.get(p.option, (0.0, 0.0, "")), (covered, met, p.words))
        return [
            (check, *next((a, w) for a, (_, _, w) in answers.items()))
            for check, answers in found.items()
            if len(answers) == 1
        ]


def said_in(story: Sequence[Clause], index: Index) -> SaidPhrases:
    """Return the facts and hazards whose phrases were said nearly whole, in the order of the kb."""
    likeness = [_known(clause, index) for clause in story]
    facts: dict[str, tuple[float, float, str, str]] = {}
    told: set[tuple[str, bool]] = set()
    hazards: dict[str, tuple[float, str]] = {}
    denied: set[str] = set()
    turned = [{(s, not negated): like for (s, negated), like in clause.items()} for clause in likeness]
    for p in _met_by(likeness, index.aside, index):
        covered, met = _covered(p, likeness, index)
        if p.kind == "fact" and covered >= FACT:
            told.update(p.tokens)
        if p.kind == "fact" and covered >= FACT and (covered, met) > facts.get(p.owner, (0.0, 0.0))[:2]:
            facts[p.owner] = covered, met, p.option, p.words
        elif p.kind == "hazard" and covered >= HAZARD and covered > hazards.get(p.owner, (0.0, ""))[0]:
            hazards[p.owner] = covered, p.words
        elif p.kind == "hazard" and len(story) == 1 and _covered(p, turned, index)[0] >= HAZARD:
            denied.add(p.owner)
    return SaidPhrases(
        {f: (option, words) for f, (_, _, option, words) in facts.items()},
        {h: words for h, (_, words) in hazards.items()},
        frozenset(denied - hazards.keys()),
        frozenset(told),
        any(t.stem not in index.weight for clause in story for t in clause.tokens),
        likeness,
        index,
    )


def _known(clause: Clause, index: Index) -> Likeness:
    """Tokens of a clause as the kb knows them: joined, split or mended where they are misspelt."""
    out: Likeness = {}
    tokens = clause.tokens
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
            stems = whole or ([index.forms[near[0]]] if near else [])
            like = near[1] if near else 1.0
        at += 1
        for s in stems:
            out[s, t.negated] = max(like, out.get((s, t.negated), 0.0))
    return out


def _met_by(likeness: Iterable[Likeness], places: dict[str, list[int]], index: Index) -> list[Phrase]:
    """Phrases that share a stem with what was said, in the order of the kb."""
    stems = {s for clause in likeness for s, _ in clause}
    return [index.phrases[at] for at in sorted({at for s in stems for at in places.get(s, ())})]


def _covered(phrase: Phrase, clauses: Sequence[Likeness], index: Index) -> tuple[float, float]:
    """Greatest share of a phrase that a clause says [%], and the weight of what it meets beyond its weightiest token."""
    best = 0.0, 0.0
    for likeness in clauses:
        got = met = total = most = 0.0
        for s, negated in phrase.tokens:
            w = max(index.weight[s], AT_LEAST)
            total += w
            near = max(likeness.get((s, negated), 0.0), TURNED * likeness.get((s, not negated), 0.0))
            got += w * near
            if near > MET:
                met += w
                most = max(most, w)
        best = max(best, (round(100 * got / total, 1), round(met - ALONE * most, 6)))
    return best
