"""What a sentence at any prompt says of the case: what may be recorded of it, each with the words that it is shown in.

A sentence may tell another complaint, a circumstance, the answer to a check that was not asked yet, a reading with its unit, or a danger.
Nothing here is recorded: a face shows it in one line, and the person says whether it is so.
"""

import re
from collections.abc import Sequence

from msgspec import Struct, structs

from .. import model
from ..advice import Card
from ..answers.likeness import mostly_said, speaks_of
from ..language.display import code
from ..language.features import parts
from ..language.matching import FactMatch, Heard, Match, hear
from .events import Event
from .state import fold
from .validation import answer_problems

_READING = re.compile(
    r"(?<![\w.])[-+]?\d+(?:[.,]\d+)?(?:\s*(?:-|and)?\s*\d+/\d+)?\s*(?:(?:feet|foot|ft|')\s*\d+(?:[.,]\d+)?\s*)?"
    r"(?:\"|''|[a-z\u00b0%/\u2032\u2033]+)(?:\s+(?:per|an?)\s+[a-z]+)?",
    re.IGNORECASE,
)
_WORD = re.compile(r"[a-z]{2,}")
MOST_LETTERS = 400  # letters of a sentence in which a reading is looked for
SURELY = 80.0  # from here on a complaint that nobody was asked for is offered at a card: "very likely" of the scale [%]
NOTED = 4  # words from which on what was not understood is kept as a note
NAMED = 2  # words of a check's title that a reading has to come with
MEASURED = "A reading, and no trouble named: what does the washer do?"
_LIGHT = frozenset(
    _WORD.findall("a an and at by for from in is it its near of on or that the to under was way while with below above")
)

_SAID_OF = {
    "high": "height",
    "tall": "height",
    "deep": "depth",
    "long": "length",
    "wide": "bore",
    "old": "age",
    "far": "distance",
}


class Mention(Struct, frozen=True):
    """One thing that a sentence says.

    Parameters
    ----------
    says
        what it is, for the person
    event
        what is recorded where it is so
    goes_with
        complaints beside which alone it means this; none: it stands by itself
    """

    says: str
    event: Event
    goes_with: frozenset[str] = frozenset()


class Told(Struct, frozen=True):
    """All that a sentence says.

    Parameters
    ----------
    answer
        what it answers to the card on screen, where it does
    hazards
        dangers, each with a gate, that it names
    offers
        what else may be recorded, complaints first
    code
        whether it tells of a code on the display
    """

    answer: Event | None
    hazards: list[str]
    offers: list[Mention]
    code: bool

    @property
    def understood(self) -> bool:
        """Whether anything was."""
        return bool(self.answer or self.hazards or self.offers)


def told(kb: model.KB, events: Sequence[Event], text: str, card: Card | None = None, proof: bool = False) -> Told:
    """Return what a sentence says of a case, beside what is known of it.

    Parameters
    ----------
    kb : KB
    events : sequence of Event
        The case so far.
    text : str
        As typed.
    card : Card, optional
        The card on screen: what answers it is told apart.
    proof : bool
        The card is the proof of a remedy: nothing but its own choices answers it.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> case = [Event(role="homeowner"), Event(heard="it walks", complaints=["walks"])]
    >>> [o.says for o in told(load_kb(), case, "the standpipe is 31 in high").offers]
    ['kind of drain: in an upright pipe', 'standpipe height: 31 in']
    """
    state = fold(kb, list(events))
    heard, values = listened(kb, text)
    known = set(state.complaints)
    offers = [
        Mention(kb.complaints[m.complaint].says, Event(heard=text, complaints=[m.complaint]))
        for m in _elsewhere(kb, heard, text, card)
        if m.likely and m.complaint not in known
    ]
    more = beside(kb, events, heard, known | {m.complaint for m in heard.complaints if m.likely})
    answer = None
    if card is not None and not proof and card.kind in ("fact", "check"):
        answer = next((o.event for o in more if card.id in (o.event.fact, o.event.check)), None)
        answer = answer or _own_reading(kb, text, values, card)
    offers += [o for o in more if card is None or card.id not in (o.event.fact, o.event.check)]
    offers += [mentioned(kb, v) for v in values if card is None or v.check != card.id]
    hazards = [h.hazard for h in heard.hazards if h.surely and kb.hazards[h.hazard].gate]
    return Told(answer, hazards, offers, code(text))


def _elsewhere(kb: model.KB, heard: Heard, text: str, card: Card | None) -> list[Match]:
    """Return the complaints that words tell of; at a card with choices only what is surely heard in the clauses that are not about the card."""
    if card is None or not card.choices:
        return heard.complaints
    clauses = parts(text) or [text]
    others = [p for p in clauses if not speaks_of(card, p)]
    if not others:
        return []
    found = heard if len(others) == len(clauses) else listened(kb, ". ".join(others))[0]
    return [m for m in found.complaints if m.score >= SURELY and mostly_said(m.words, ". ".join(others))]


def beside(kb: model.KB, events: Sequence[Event], heard: Heard, complaints: set[str]) -> list[Mention]:
    """Return the circumstances and answers that were heard beside complaints and are not known yet, in the order of the kb.

    Parameters
    ----------
    kb : KB
    events : sequence of Event
    heard : Heard
    complaints : set of str
        Those of the case, and those that may be confirmed with these.
    """
    known = {e.fact for e in events if e.fact} | {e.check for e in events if e.check}
    out = []
    for f in heard.facts:
        if f.fact not in known:
            fact = kb.facts[f.fact]
            out.append(
                Mention(f"{_small(fact.title)}: {fact.options[f.option].says}", Event(fact=f.fact, is_=f.option))
            )
    for a in heard.answers:
        check = kb.checks[a.check]
        if a.check not in known and complaints & set(check.heard_with):
            said = f"{_small(check.title)}: {check.answers[a.answer].says}"
            out.append(Mention(said, Event(check=a.check, answer=a.answer), frozenset(check.heard_with)))
    return out


def listened(kb: model.KB, text: str) -> tuple[Heard, list[Event]]:
    """Return what is heard in a text, and the readings that it gives: a clause with a reading names what was measured, not what is wrong.

    Parameters
    ----------
    kb : KB
    text : str
        As typed.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> heard, values = listened(load_kb(), "the standpipe is 31 in high")
    >>> heard.off_topic, [(e.check, e.value) for e in values]
    ('A reading, and no trouble named: what does the washer do?', [('standpipe-height', '31 in')])
    """
    heard, values = hear(text, kb), readings(kb, text)
    if not values:
        return heard, []
    alone = hear(". ".join(p for p in parts(text) or [text] if not _READING.search(p.lower())), kb)
    why = None if alone.complaints else MEASURED
    facts = [*heard.facts, *_implied(kb, text, values, {f.fact for f in heard.facts})]
    return structs.replace(heard, complaints=alone.complaints, order=alone.order, off_topic=why, facts=facts), values


def _implied(kb: model.KB, text: str, values: list[Event], known: set[str]) -> list[FactMatch]:
    """Return the facts without which a reading makes no sense, where the words name their option: who measured the standpipe has one."""
    words = set(_WORD.findall(text.lower()))
    found: dict[str, FactMatch] = {}
    for event in values:
        for fact, option in kb.checks[event.check or ""].when.items():
            if not isinstance(option, str) or fact not in kb.facts or fact in known:
                continue
            if set(_WORD.findall(option)) <= words:
                found[fact] = FactMatch(fact, option, option)
    return [*found.values()]


def _own_reading(kb: model.KB, text: str, values: list[Event], card: Card) -> Event | None:
    """Return the reading of a card that measures: what names it, else the one number with a unit that fits it and was given of nothing else."""
    if not card.measures:
        return None
    named = next((v for v in values if v.check == card.id), None)
    numbers = [value for value in given(text) if not answer_problems(kb, card.id, None, value)]
    if named or values or len(numbers) != 1:
        return named
    return Event(check=card.id, value=numbers[0])


def mentioned(kb: model.KB, value: Event) -> Mention:
    """Return a reading as something that was said."""
    return Mention(f"{_small(kb.checks[value.check or ''].title)}: {value.value}", value)


def readings(kb: model.KB, text: str) -> list[Event]:
    """Return the readings that a text gives, clause by clause, one of a check; of two that differ neither.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [e.check for e in readings(load_kb(), "standing pressure was 62 psi, and the standpipe is 31 in high")]
    ['standing-pressure', 'standpipe-height']
    """
    found: dict[str, list[Event]] = {}
    for part in parts(text) or [text]:
        event = reading(kb, part)
        if event:
            found.setdefault(event.check or "", []).append(event)
    return [some[0] for some in found.values() if len({e.value for e in some}) == 1]


def given(text: str) -> list[str]:
    """Return the numbers with a unit in a text, each once.

    Examples
    --------
    >>> given("at most 96 in above the floor, and 40 in at the machine")
    ['96 in', '40 in']
    """
    return list(dict.fromkeys(m[0].strip() for m in _READING.finditer(text[:MOST_LETTERS])))


def reading(kb: model.KB, text: str) -> Event | None:
    """Return the reading that a sentence gives of one check; None where it has none, or it might be of several.

    The sentence has to name the check by `NAMED` words of its title.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> reading(load_kb(), "standing pressure was 62 psi").check, reading(load_kb(), "it took 20 min")
    ('standing-pressure', None)
    """
    text = text[:MOST_LETTERS]
    said = {_SAID_OF.get(w, w) for w in _WORD.findall(_READING.sub(" ", text.lower()))} - _LIGHT
    titles = {c.id: _title(c) for c in kb.checks.values() if c.kind == "measure"}
    shared = {name: words & said for name, words in titles.items() if words & said}
    for value in given(text):
        fits = {name: words for name, words in shared.items() if not answer_problems(kb, name, None, value)}
        most = max(map(len, fits.values()), default=0)
        best = [name for name, words in fits.items() if len(words) == most]
        if len(best) > 1:
            # "standpipe height" before "standpipe above the trap weir": what was named is more of its title.
            least = min(len(titles[name]) for name in best)
            best = [name for name in best if len(titles[name]) == least]
        if len(best) == 1 and most >= NAMED:
            return Event(check=best[0], value=value)
    return None


def _title(check: model.Check) -> set[str]:
    return set(_WORD.findall(f"{check.title} {check.id}".lower())) - _LIGHT


def _small(title: str) -> str:
    return title[:1].lower() + title[1:]
