"""Survey sheets: a filled one written and read back, and beside its machine's own sheet."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.paper.filled_sheet import FilledSheet, text_of, with_machine
from tests.engine.paper.test_sheet_reading import parsed
from tests.support.installations import NAMES, sound


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_is_written_and_read_back(kb, name):
    filled = sound(kb, name)
    assert parsed(kb, text_of(filled)) == filled


def test_a_value_with_quotes_and_marks_is_written_and_read_back(kb):
    filled = FilledSheet(
        'A "new" # house', {}, {"standpipe-height": '39 1/2"'}, "brook-front-loader", "homeowner", stage="door"
    )
    assert parsed(kb, text_of(filled)) == filled


def test_what_was_not_understood_is_written_as_it_stood(kb):
    filled = parsed(kb, "facts: {drain: gutter}\nreadings: {rocks-by-hand: heaps, drip-rate: dry}\n")
    again = parsed(kb, text_of(filled))
    assert [(u.name, u.said, u.block) for u in again.unread] == [(u.name, u.said, u.block) for u in filled.unread]
    assert again.readings == filled.readings == {"drip-rate": "dry"}


def test_a_machine_sheet_brings_its_facts_and_its_limits(kb):
    filled = FilledSheet("x", {}, {"hose-depth": "5 in"}, "brook-front-loader", "technician")
    own, known = with_machine(kb, filled, None)
    assert known.facts == {"machine": "front-loader"}
    assert own.rules["hose-insertion-depth"].max == "4.5 in"
    assert own.data["pump-rate"] == "9 gpm"
    named, _ = with_machine(kb, filled, "meadow-top-loader")
    assert named.rules["hose-insertion-depth"].max == "6 in"
    assert with_machine(kb, replace(filled, machine=None), None)[0] is kb


def test_a_survey_that_contradicts_its_machine_is_refused(kb):
    filled = FilledSheet("x", {"machine": "top-loader"}, {"hose-depth": "5 in"}, "brook-front-loader", "technician")
    with pytest.raises(InvalidInputError) as caught:
        with_machine(kb, filled, None)
    assert caught.value.problems[0].code == "S007"


def test_a_machine_that_has_no_sheet_is_judged_without_one(kb):
    filled = FilledSheet("x", {}, {"hose-depth": "5 in"}, "brok-front-loader", "technician")
    own, known = with_machine(kb, filled, None)
    assert own is kb
    assert [(u.name, u.problem.nearest) for u in known.unread] == [("machine", "brook-front-loader")]
    with pytest.raises(InvalidInputError):
        with_machine(kb, filled, "brok-front-loader")  # on the command line it is a mistake of the command
