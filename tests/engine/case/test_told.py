"""Twin of engine/case/told.py: what a sentence at any prompt says of a case."""

import pytest

from dryfloor.engine.advice import Card
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.told import reading, told
from dryfloor.engine.case.validation import answer_problems
from tests.support.shipped import shipped

CASE = [Event(role="homeowner"), Event(heard="it walks", complaints=["walks"])]


@pytest.mark.parametrize(
    ("text", "check", "value"),
    [
        ("the standpipe is 31 in high", "standpipe-height", "31 in"),
        ("standing pressure was 62 psi", "standing-pressure", "62 psi"),
        ("hot water at the tap is 130 F", "hot-tap-temperature", "130 F"),
        ("the fill hoses are 12 years old", "fill-hose-years", "12 years"),
        ("laundry tub holds 20 gal", "tub-volume", "20 gal"),
    ],
)
def test_a_reading_goes_to_the_check_that_its_words_name(text: str, check: str, value: str) -> None:
    found = reading(shipped(), text)
    assert found is not None
    assert (found.check, found.value) == (check, value)
    assert not answer_problems(shipped(), check, None, value)


@pytest.mark.parametrize(
    "text",
    ["it took 20 min", "my washer is 3 years old", "I paid 300 dollars", "the pipe is 2 inches", "4 loads a week", ""],
)
def test_a_number_that_names_no_check_is_no_reading(text: str) -> None:
    assert reading(shipped(), text) is None


def test_what_is_known_is_not_offered_again() -> None:
    text = "there is a puddle under the washer"
    assert [o.event.complaints for o in told(shipped(), CASE, text).offers] == [["water-on-floor"]]
    known = [*CASE, Event(heard=text, complaints=["water-on-floor"])]
    assert not told(shipped(), known, text).offers


def test_an_answer_to_the_card_is_told_apart_from_the_rest() -> None:
    card = Card(kind="fact", id="machine", title="")
    said = told(shipped(), CASE, "it hops about, brand new front loader, every load", card)
    assert said.answer is not None
    assert (said.answer.fact, said.answer.is_) == ("machine", "front-loader")
    assert "machine" not in {o.event.fact for o in said.offers}
    assert {o.event.fact for o in said.offers} >= {"onset"}


def test_words_never_prove() -> None:
    card = Card(kind="fact", id="machine", title="")
    assert told(shipped(), CASE, "it is a front loader and it hops", card, proof=True).answer is None


def test_nothing_said_is_not_understood() -> None:
    assert not told(shipped(), CASE, "my aunt sends her regards from Ohio").understood
