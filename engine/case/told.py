"""What a sentence at any prompt says of the case: what may be recorded of it, each with the words that it is shown in.

A sentence may tell another complaint, a circumstance, the answer to a check that was not asked yet, a reading with its unit, or a danger.
Nothing here is recorded: a face shows it in one line, and the person says whether it is so.
"""

import re
from collections.abc import Sequence

from msgspec import Struct

from .. import model
from ..advice import Card
from ..language.display import code
from ..language.features import parts
from ..language.matching import Heard, hear
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
NAMED = 2  # words of a check's title that a reading has to come with
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
    heard = hear(text, kb)
    known = set(state.complaints)
    value = reading(kb, text)
    # A clause with a reading names what was measured, not what is wrong.
    told_of = [p for p in parts(text) or [text] if not (value and _READING.search(p.lower()))]
    complaints = (
        heard.complaints if len(told_of) == len(parts(text) or [text]) else hear(". ".join(told_of), kb).complaints
    )
    offers = [
        Mention(kb.complaints[m.complaint].says, Event(heard=text, complaints=[m.complaint]))
        for m in complaints
        if m.likely and m.complaint not in known
    ]
    more = beside(kb, events, heard, known | {m.complaint for m in complaints if m.likely})
    answer = None
    if card is not None and not proof and card.kind in ("fact", "check"):
        answer = next((o.event for o in more if card.id in (o.event.fact, o.event.check)), None)
    offers += [o for o in more if card is None or card.id not in (o.event.fact, o.event.check)]
    if value and (card is None or value.check != card.id):
        check = kb.checks[value.check or ""]
        offers.append(Mention(f"{_small(check.title)}: {value.value}", value))
    hazards = [h.hazard for h in heard.hazards if h.surely and kb.hazards[h.hazard].gate]
    return Told(answer, hazards, offers, code(text))


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
    for value in (m[0].strip() for m in _READING.finditer(text)):
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
