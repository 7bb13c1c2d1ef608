"""Twin of engine/answers/likeness.py: what shares most words, what contradicts, and what speaks of a card."""

import pytest

from dryfloor.engine.advice import Card, Choice
from dryfloor.engine.answers.likeness import leaning, mostly_said, said, speaks_of

ANSWERS = {
    "cracked": ["a crack or a white line"],
    "sound": ["smooth and whole", "no crack"],
    "before": ["while it washes, before it pumps out"],
    "pumps": ["while it pumps the water out"],
}


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("no cracks", "sound"),
        ("white line on it", "cracked"),
        ("when it is pumping", "pumps"),
        ("not smooth", None),
        ("the cat sat on a smooth mat in the garden", None),
        ("smooth white", None),
        ("", None),
    ],
)
def test_the_answer_that_shares_most_and_denies_nothing(text, means):
    assert leaning(ANSWERS, text) == means


def test_what_denies_a_part_of_an_answer_does_not_mean_it():
    answers = {"wet": ["wet at the hose joint"], "dry": ["dry all along"]}
    assert leaning(answers, "at the hose joint") == "wet"
    assert leaning(answers, "hose joint is not wet") is None
    belt = {"off": ["belt off its wheel, or glazed"], "on": ["it sits well"]}
    assert leaning(belt, "glazed") == "off"
    assert leaning(belt, "never off its wheel, glazed") is None
    ways = {"firm": ["it stands", "rock solid"], "other": ["a nut"]}
    assert leaning(ways, "solid as a rock") == "firm"
    assert leaning(ways, "solid, it will never rock") is None
    clean = {"clean": ["clean, or there is no screen"], "rust": ["rust in a screen"]}
    assert leaning(clean, "screens clean", "Screens seen") == "clean"


def test_a_not_reaches_to_the_next_comma():
    assert said("no crack, smooth") == said("smooth; no cracks")
    assert {n for _, n in said("crack and smooth")} == {False}


def test_words_of_every_card_speak_of_none():
    card = Card(kind="check", id="x", title="Water under the washer", choices=[Choice(id="a", says="at the hose")])
    assert not speaks_of(card, "the washer walks")
    assert speaks_of(card, "the hoses jump")


def test_half_a_phrase_is_not_said():
    assert not mostly_said("wet hose at the wall", "the blue hose")
    assert mostly_said("it leaks", "now it leaks as well")
    assert not mostly_said("it does nothing at all", "nothing on it")
