"""Spaced repetition: what was missed comes back soon, and later each time that it is known. Counted in rounds: no clock is read.

Boxes after Leitner (from memory, unverified): what is known moves up a box, what is missed falls to the first.
"""

import msgspec
from msgspec import Struct, field, structs

from .. import model
from ..exercises.order import Order, family_of
from ..simulation.world import Installation

VERSION = 1
TOP = 5  # highest box; what was known there is let go
OFTEN = 2 / 3  # of the rounds without a seed, so many ask what is due where something is (judgement) [-]


class Missed(Struct, frozen=True):
    """A rule or a fault that was missed: its box, and the round from which on it is due."""

    box: int
    due: int


class Deck(Struct, frozen=True, kw_only=True):
    """A pupil's own state: how many rounds were played, and what was missed, by `rule:ID` or `cause:ID`."""

    version: int = VERSION
    rounds: int = 0
    cards: dict[str, Missed] = field(default_factory=dict)


def after(deck: Deck, missed: list[str], right: list[str]) -> Deck:
    """Return the deck after one more round.

    Parameters
    ----------
    deck : Deck
    missed, right : list of str
        What was missed, and what was known; what was never missed is not kept.

    Examples
    --------
    >>> deck = after(Deck(), ["rule:standpipe-height"], [])
    >>> due(deck)
    ['rule:standpipe-height']
    >>> due(after(deck, [], ["rule:standpipe-height"]))
    []
    """
    rounds = deck.rounds + 1
    cards = dict(deck.cards)
    for key in right:
        if key in cards and key not in missed:
            box = cards[key].box + 1
            if box > TOP:
                del cards[key]
            else:
                cards[key] = Missed(box, rounds + 2**box)
    for key in missed:
        cards[key] = Missed(0, rounds)
    return structs.replace(deck, rounds=rounds, cards=cards)


def due(deck: Deck) -> list[str]:
    """Return what is due now, longest first, ties by name."""
    ready = [(c.due, c.box, key) for key, c in deck.cards.items() if c.due <= deck.rounds]
    return [key for _, _, key in sorted(ready)]


def next_order(kb: model.KB, deck: Deck, wanted: Order) -> Order:
    """Return the order of the next round: mostly with a fault that breaks a rule that is due, of the family that was wanted, else as it was wanted.

    Parameters
    ----------
    kb : KB
    deck : Deck
    wanted : Order
        What a pupil asked for; its seed is taken from the rounds played.
    """
    order = structs.replace(wanted, seed=deck.rounds + 1)
    dice = Installation(f"deck|{deck.rounds}", {}, frozenset(), {})
    if wanted.fault or wanted.faults == 0 or dice.draw("due") >= OFTEN:
        return order
    for key in due(deck):
        kind, _, name = key.partition(":")
        faults = [name] if kind == "cause" and name in kb.causes else []
        if kind == "rule":
            faults = sorted(c.id for c in kb.causes.values() if c.breaks and c.breaks.rule == name)
        faults = [c for c in faults if wanted.family in ("", family_of(kb, c))]
        if faults:
            fault = faults[min(int(dice.draw("fault") * len(faults)), len(faults) - 1)]
            if kb.causes[fault].kind != "normal" or not wanted.faults:
                return structs.replace(order, fault=fault)
    return order


def encoded(deck: Deck) -> bytes:
    """Return a deck as the text of its file."""
    return msgspec.json.format(msgspec.json.encode(deck, order="sorted"), indent=1) + b"\n"


def decoded(text: bytes) -> Deck:
    """Return the deck of a file's text.

    Raises
    ------
    ValueError
        If it is none, or of a later version.
    """
    deck = msgspec.json.decode(text, type=Deck)
    if deck.version != VERSION or deck.rounds < 0 or any(c.box < 0 or c.box > TOP for c in deck.cards.values()):
        raise ValueError("not a deck of this version")
    return deck
