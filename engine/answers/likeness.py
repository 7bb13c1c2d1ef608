"""Which answer shares most with what was typed, word by word, to be asked about; and whether words speak of a card at all."""

import re
from collections.abc import Iterable, Mapping

from ..advice import Card
from ..language.tokens import stem
from .asides import NOT
from .picking import EMPTY, VAGUE, WORD

CUT = re.compile(r"[,;.:()]|\b(?:but|though|although)\b")  # behind these a "not" reaches no further
# What an answer says behind these is when it is not so: "while it washes, before it pumps out" is not when it pumps.
ELSE = re.compile(r"\b(?:before|until|unless|except)\b.*")
OR = re.compile(r"\bor\b")
LEAST_SHARE = 1 / 3  # of the telling words that were typed, shared with the answer; judgement [-]
# Named in nearly every question: whoever says them speaks of no card in particular.
EVERYWHERE = frozenset(map(stem, ("washer", "machine", "washing", "water")))
Said = frozenset[tuple[str, bool]]  # stems, and whether they are denied


def said(text: str) -> Said:
    """Return the stems of the telling words of a text, each with whether a "not" before it reaches it.

    Examples
    --------
    >>> sorted(said("no bulges, all smooth"))
    [('bulg', True), ('smooth', False)]
    """
    found = set()
    for part in CUT.split(text.lower().replace("\u2019", "'")):
        denies = NOT.search(part)
        at = denies.start() if denies else len(part)
        for m in WORD.finditer(NOT.sub(lambda n: " " * len(n[0]), part)):
            if m[0] not in EMPTY | VAGUE and len(m[0]) > 1:
                found.add((stem(m[0]), m.start() > at))
    return frozenset(found)


def leaning(answers: Mapping[str, Iterable[str]], text: str, title: str = "") -> str | None:
    """Return the one answer that shares clearly more words with a text than any other; to be asked about, not taken.

    An answer whose own words the text contradicts is not meant, another way to say it that it contradicts counts for nothing, and a word of the card's own title for half.

    Parameters
    ----------
    answers : mapping of str to iterable of str
        Of each answer, the ways to say it, its own words first.
    text : str
        As typed.
    title : str
        Of the card.

    Examples
    --------
    >>> leaning({"pumps": ["while it pumps the water out"], "spins": ["only while it spins"]}, "when it pumps it out")
    'pumps'
    >>> leaning({"taped": ["taped round"], "loose": ["a gap"]}, "not taped") is None
    True
    """
    typed, own = said(text), said(title)
    shared = {name: _shared(typed, own, ways) for name, ways in answers.items()}
    best = max(shared.values(), default=0)
    most = [name for name, n in shared.items() if n == best]
    # A sentence that shares one word in passing speaks of something else.
    return most[0] if len(most) == 1 and LEAST_SHARE * _weight(typed, own) <= best and best > 0 else None


def _shared(typed: Said, title: Said, ways: Iterable[str]) -> float:
    """Return how many words an answer shares with what was typed."""
    own = set[tuple[str, bool]]()
    ways = [*ways]
    contrary = {(s, not n) for s, n in typed}
    # Whoever denies a part of an answer's own words does not mean it, whatever else of it was said. That "there is no screen"
    # is no answer to "screens clean" is another thing: what the card is about stands in what is typed for its name alone.
    if contrary & said(ELSE.sub("", ways[0].lower())) - {(s, True) for s, _ in title}:
        return 0
    for way in (w for text in ways for w in OR.split(ELSE.sub("", text.lower()))):
        words = said(way)
        if not contrary & words:
            own |= words
    return _weight(typed & own, title)


def _weight(words: Iterable[tuple[str, bool]], title: Said) -> float:
    return sum(0.5 if x in title else 1.0 for x in words)


def mostly_said(phrase: str, text: str) -> bool:
    """Return whether more than half of the telling words of a phrase stand in a text, as they are said there.

    Examples
    --------
    >>> mostly_said("puddle under the washer", "a puddle under it"), mostly_said("standpipe overflow", "by the standpipe")
    (True, False)
    """
    words = said(phrase)
    own = frozenset(x for x in words if x[0] not in EVERYWHERE) or words
    return 2 * len(own & said(text)) > len(own)


def speaks_of(card: Card, text: str) -> bool:
    """Return whether words share a telling one with the question, the title or the choices of a card.

    Examples
    --------
    >>> card = Card(kind="check", id="x", title="Hose held in its hook")
    >>> speaks_of(card, "hooked all right"), speaks_of(card, "there is a puddle under the washer")
    (True, False)
    """
    own = {s for t in (card.title, card.question, *(c.says for c in card.choices)) for s, _ in said(t)}
    return bool({s for s, _ in said(text)} & own - EVERYWHERE)
