"""Answers as people type them at a card: read, offered or asked back, never taken for another one, and no complaint made up of them."""

import pytest

from dryfloor.engine.advice import Card, Choice
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from dryfloor.engine.case.told import told
from tests.support.shipped import shipped

KB = shipped()
CASE = [Event(role="homeowner"), Event(heard="it washes cold", complaints=["wrong-temperature"])]
# Of somebody who tried it: card, words, what they mean.
TRIED = [
    ("drain-hose-joint", "clamp tight and dry", "firm"),
    ("drain-hose-pieced", "one piece, factory hose", "one-piece"),
    ("dry-paper-ten-minutes", "bone dry", "dry"),
    ("spin-stays-put", "didnt move", "stayed"),
    ("drain-hose-in-hook", "zip tied still", "held"),
    ("drain-hose-in-hook", "zip tied", "held"),
    ("when-water-shows", "when it pumps out", "draining"),
    ("when-water-shows", "right away", ""),
    ("when-water-shows", "at the wall, by the standpipe", ""),
    ("hose-sealed", "duct taped", "taped"),
    ("fill-hose-bulge", "no bulges, no cracks", "sound"),
    ("dry-paper-ten-minutes", "all dry", "dry"),
    ("rocks-by-hand", "still rocks", "rocks"),
    ("spin-stays-put", "still walks", "walked"),
    ("drain-hose-in-hook", "held", "held"),
    ("spin-stays-put", "stayed put", "stayed"),
    ("spin-stays-put", "did it", ""),
]
# Written before anything was looked at.
MORE = [
    ("drain-hose-joint", "wet round the clamp", "loose"),
    ("drain-hose-joint", "bit loose, drips", "loose"),
    ("drain-hose-joint", "feels firm, no drips", "firm"),
    ("drain-hose-pieced", "single piece no joints", "one-piece"),
    ("drain-hose-pieced", "two hoses, joint is dry", "dry-joint"),
    ("drain-hose-lie", "kinked flat behind it", "folded"),
    ("drain-hose-lie", "nice and round", "round"),
    ("drain-hose-inside", "blows through freely", "clear"),
    ("drain-hose-inside", "coated with slime, slow", "narrowed"),
    ("dry-paper-ten-minutes", "paper has a wet spot", "wet"),
    ("dry-paper-ten-minutes", "paper stayed dry", "dry"),
    ("spin-stays-put", "it moved two inches", "walked"),
    ("spin-stays-put", "foot still at the tape", "stayed"),
    ("rocks-by-hand", "doesnt rock at all", "firm"),
    ("rocks-by-hand", "rocks a bit at the front", "rocks"),
    ("hose-sealed", "gap all around", "loose"),
    ("hose-sealed", "no tape, tight", "tight"),
    ("pump-filter-content", "found a coin and lint", ""),
    ("pump-filter-content", "a button", "object"),
    ("plug-seated", "flat to the outlet", "fully-in"),
    ("things-on-top", "nothing on it", "bare"),
    ("screens-seen", "full of rust and grit", "clogged"),
    ("screens-seen", "screens clean", "clean"),
    ("tub-outlet", "runs off slow", "slow"),
    ("tub-outlet", "lint over the outlet", "covered"),
    ("when-water-shows", "during the spin", "spinning"),
    ("when-water-shows", "as it fills", "filling"),
    ("water-stands-in-pipe", "standing water near the top", "high"),
    ("machine", "front load", "front-loader"),
    ("floor", "its a concrete slab", "concrete"),
    ("drain", "goes over the tub", "tub"),
    ("rhythm", "every wash", "every-time"),
    ("tried-levelling", "set the feet again, still walks", "tried"),
    ("extension-cord-used", "wall outlet direct", "straight"),
]


def card_of(name: str) -> Card:
    """Return the card of a check or a fact with all its answers."""
    record = KB.checks.get(name) or KB.facts[name]
    kind, some = ("check", record.answers) if name in KB.checks else ("fact", record.options)
    ask = getattr(record, "ask", None)
    question = getattr(ask, "homeowner", "") if ask else ""
    choices = [Choice(id=a, says=x.says) for a, x in some.items()]
    return Card(kind=kind, id=name, title=record.title, question=question or "", choices=choices)


def meaning(name: str, text: str, proof: bool = False) -> tuple[str, str]:
    """Return what is taken of some words at a card, and what is offered of them."""
    reply = interpret(KB, card_of(name), text, proof)
    taken, offered = reply.event, reply.meant
    said = [(e.answer or e.is_ or "") if e else "" for e in (taken, offered)]
    return said[0], said[1]


@pytest.mark.parametrize(("name", "text", "means"), TRIED + MORE)
@pytest.mark.parametrize("proof", [False, True])
def test_no_words_at_a_card_are_taken_for_another_answer_or_make_up_a_complaint(
    name: str, text: str, means: str, proof: bool
) -> None:
    taken, offered = meaning(name, text, proof and name in KB.checks)
    assert taken in ("", means)
    # What is taken or asked about as an answer is heard as nothing else.
    assert taken or offered or not [o for o in told(KB, CASE, text, card_of(name), proof).offers if o.event.complaints]


@pytest.mark.parametrize(("name", "text", "means"), [row for row in TRIED if row[2]])
def test_what_somebody_typed_is_read_or_offered(name: str, text: str, means: str) -> None:
    assert means in meaning(name, text)


def test_most_answers_in_words_of_ones_own_are_read_or_offered() -> None:
    rows = [row for row in MORE if row[2]]
    assert sum(means in meaning(name, text) for name, text, means in rows) >= 0.7 * len(rows)
