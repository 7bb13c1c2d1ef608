"""Twin of engine/language/overlap.py: what a story answers before its check is asked."""

import pytest

from dryfloor.engine.language.matching import hear
from dryfloor.engine.language.overlap import said_in
from dryfloor.engine.language.phrase_book import OTHER, written
from dryfloor.engine.language.phrases import index_of
from dryfloor.engine.language.tokens import clauses
from tests.support.places import TESTS
from tests.support.shipped import shipped

TOLD = [  # nobody's sentences of tests/households, and none of the kb's phrases word for word
    ("the lights in the whole house go dim when it spins", "lights-where", "whole-house"),
    ("the lights flicker only in the laundry", "lights-where", "near-laundry"),
    ("when it spins some of our lights get a lot brighter", "lights-do", "brighten"),
    ("pipes bang when the washer shuts off the water, you hear it in every room through all the pipes", "bang-spot", "all-over"),
    ("it hammers as the water stops, and the kitchen faucet bangs the pipes too", "other-valves-bang", "others-too"),
    ("won't drain, the pump only hums", "pump-sound", "hums"),
    ("won't drain and my boy had coins in his pockets, I found a penny in the pump", "pocket-things", "missing"),
    ("it won't drain, the filter was packed full of lint", "pump-filter-content", "lint"),
    ("water on the floor and it's soapy water", "water-soapy", "soapy"),
    ("water on the floor though the machine was not even running", "when-water-shows", "idle"),
    ("cold wash comes out hot, I think the hoses are swapped", "hoses-crossed", "crossed"),
    ("the hose leaks right at the tap end", "coupling-wet", "at-tap"),
    ("it walks across the floor, the shipping bolts are still in", "restraints-left", "bolts-or-rods"),
    ("it walks, and it walks even when it is empty", "walks-empty", "walks"),
    ("it fills very slowly and the shower is weak too", "other-taps-weak", "whole-house"),
    ("fills slowly ever since they flushed the hydrant, the water was brown", "dirt-in-water", "dirt"),
    ("it is foaming everywhere, somebody used dish soap", "detergent-kind", "soap"),
    ("the breaker trips the moment I plug it in", "trip-moment", "at-once"),
    ("the washer is dead but a lamp works in the same outlet", "outlet-gives-power", "outlet-live"),
]  # fmt: skip


@pytest.mark.parametrize(("story", "check", "answer"), TOLD)
def test_what_a_story_answers_is_heard(story: str, check: str, answer: str) -> None:
    assert answer in [a.answer for a in hear(story, shipped()).answers if a.check == check]


@pytest.mark.parametrize(
    ("story", "check"),
    [
        ("water on the floor, I bought the washer off a neighbor and the taps are on the wall", "washer-taps-turned"),
        ("it drained fine last year, now it leaves water in the drum", "water-soapy"),
        ("the washer is dead, I pressed the button ten times", "odd-at-start"),
        ("it walks with a load of laundry in it, right to the door", "bulky-loads-only"),
        ("the noise was loud and strange", "noise-crept-up"),
        ("it smells sour since I clean the seal with vinegar", "door-seal"),
    ],
)
def test_what_only_sounds_like_an_answer_is_none(story: str, check: str) -> None:
    assert check not in {a.check for a in hear(story, shipped()).answers}


def test_two_answers_to_one_check_are_none() -> None:
    found = hear("it is very noisy: it squeals, and it bangs", shipped()).answers
    assert "noise-kind" not in {a.check for a in found}


@pytest.mark.parametrize(
    ("text", "wholly"),
    [
        ("brand new front loader", True),
        ("every load", True),
        ("concrete slab, a gas dryer", True),
        ("brand new front loader leaks", False),
        ("not every load", False),
        ("it leaks", False),
        ("", False),
    ],
)
def test_a_text_of_facts_alone_is_known_as_such(text: str, wholly: bool) -> None:
    assert said_in(clauses(text), index_of(shipped())).wholly is wholly


def test_a_story_that_denies_by_nobody_answers_the_other_way() -> None:
    found = {(a.check, a.answer) for a in hear("it walks, nobody took the bolts out", shipped()).answers}
    assert ("restraints-left", "bolts-or-rods") in found
    assert ("restraints-left", "none") not in found


@pytest.mark.parametrize(
    ("text", "plainly"),
    [
        ("the new washer walks", True),
        ("it will not drain", True),
        ("what does the light mean", True),
        ("my desk walks", False),
        ("the new washer walks and my sister laughs", False),
        ("every load", False),  # a fact alone is no complaint
    ],
)
def test_plain_words_are_a_complaint_and_nothing_else(text: str, plainly: bool) -> None:
    assert said_in(clauses(text), index_of(shipped())).plainly() is plainly


def test_what_is_said_plainly_is_never_refused() -> None:
    assert hear("the new washer walks", shipped()).complaints[0].complaint == "walks"
    off = [e.say for e in written(TESTS / "phrases") if e.complaints[:1] == (OTHER,)]
    assert not [say for say in off if said_in(clauses(say), index_of(shipped())).plainly()]
