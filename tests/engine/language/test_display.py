"""Twin of engine/language/display.py: plain words on a display are heard, codes never guessed."""

import pytest

from dryfloor.engine.language.display import MEANS, code, shown
from dryfloor.engine.language.matching import hear
from tests.support.shipped import shipped

WORDS = {
    "no water": "slow-fill",
    "supply": "slow-fill",
    "unbalanced": "walks",
    "drain": "no-drain",
    "door": "first-run",
    "suds": "suds-or-smell",
    "heater": "wrong-temperature",
}
SAID = ("{}", "it says {}", "the display shows {}", '"{}" on the screen', "Washer stops and says {}.", "it flashes {}")


@pytest.mark.parametrize(("words", "complaint"), WORDS.items())
def test_what_a_display_prints_is_heard_first(words: str, complaint: str) -> None:
    for said in SAID:
        assert complaint in shown(said.format(words)), said
        assert hear(said.format(words), shipped()).complaints[0].complaint == complaint, said


def test_every_meaning_is_a_complaint() -> None:
    assert MEANS.keys() <= shipped().complaints.keys()


@pytest.mark.parametrize(
    "text", ["my mother says no", "she reads in the laundry", "the door is blue", "drain the pasta"]
)
def test_words_that_no_display_prints_are_none(text: str) -> None:
    assert shown(text) == []


def test_another_machine_s_display_is_not_the_washer_s() -> None:
    found = hear("the dryer's screen says door", shipped()).complaints
    assert not [m for m in found if m.complaint == "first-run" and m.likely]


@pytest.mark.parametrize("text", ["it shows E18", "error code on the display", "F21 on the screen", "says dE", "E2"])
def test_a_code_is_noticed(text: str) -> None:
    assert code(text)


@pytest.mark.parametrize(
    "text", ["it says no water", "my wife says I broke it", "it shows nothing", "I paid 300", "a 40 wash"]
)
def test_plain_words_are_no_code(text: str) -> None:
    assert not code(text)
