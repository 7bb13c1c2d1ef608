"""Survey sheets: a filled one read back, and every mistake placed."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.strict_yaml import from_bytes
from dryfloor.engine.survey.filled_sheet import FilledSheet, sheet_of, text_of, with_machine
from tests.support.installations import NAMES, sound


def parsed(kb, text, hands="technician"):
    """Return a sheet from its text."""
    return sheet_of(kb, from_bytes(text.encode(), "sheet.yaml"), hands)


def problems(kb, text, hands="technician"):
    """Return the problems of a sheet's text."""
    with pytest.raises(InvalidInputError) as caught:
        parsed(kb, text, hands)
    return caught.value.problems


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_is_written_and_read_back(kb, name):
    filled = sound(kb, name)
    assert parsed(kb, text_of(filled)) == filled


def test_a_value_with_quotes_and_marks_is_written_and_read_back(kb):
    filled = FilledSheet('A "new" # house', {}, {"standpipe-height": '39 1/2"'}, "brook-front-loader", "homeowner")
    assert parsed(kb, text_of(filled)) == filled


def test_hands_come_from_the_sheet_else_from_the_role(kb):
    assert parsed(kb, "readings: {hose-depth: 6 in}", "homeowner").hands == "homeowner"
    assert parsed(kb, "hands: technician\nreadings: {hose-depth: 6 in}", "homeowner").hands == "technician"


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "near"),
    [
        ("readings:\n  standpipe-hight: 42 in\n", "S003", 2, 3, "standpipe-height"),
        ("readings:\n  house-pressure: 60 psi\n", "S003", 2, 3, "standing-pressure"),
        ("reading:\n  hose-depth: 6 in\n", "S002", 1, 1, "readings"),
        ("hose-depth: 6 in\n", "S002", 1, 1, "hose-depth"),
        ("facts: {drian: tub}\nreadings: {hose-depth: 6 in}\n", "C012", 1, 9, "drain"),
        ("facts: {drain: tubb}\nreadings: {hose-depth: 6 in}\n", "C013", 1, 9, "tub"),
        ("readings:\n  standpipe-bore: 2\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-bore: 2 psi\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-height: 42 ft\n", "C023", 2, 3, "42 in"),
        ("readings:\n  hose-sealed: tapped\n", "C021", 2, 3, "taped"),
        ("hands: plummer\nreadings: {hose-depth: 6 in}\n", "S004", 1, 8, ""),
        ("- hose-depth: 6 in\n", "S001", 1, 1, ""),
        ("title: nothing measured\nreadings:\n  hose-depth:\n", "S005", 1, 1, ""),
        ("a: [1\n", "Y001", 2, 1, ""),
    ])  # fmt: skip
def test_a_wrong_sheet_is_refused_at_its_place(kb, text, code, line, column, near):
    found = next(p for p in problems(kb, text) if p.code == code)
    assert (found.file, found.line, found.column) == ("sheet.yaml", line, column)
    assert found.mend
    assert found.nearest == near


def test_an_empty_file_points_to_the_blank_sheet(kb):
    assert "survey --blank" in problems(kb, "")[0].mend


def test_all_mistakes_of_a_sheet_come_at_once(kb):
    text = "readings:\n  standpipe-hight: 42 in\n  hose-depth: 6\n  hose-sealed: x\nfacts: {drain: gutter}\n"
    assert sorted(p.code for p in problems(kb, text)) == ["C013", "C021", "C023", "S003"]


def test_a_homeowners_live_reading_is_refused(kb):
    text = "readings: {outlet-voltage: 120 V}"
    assert problems(kb, text, "homeowner")[0].code == "S006"
    assert parsed(kb, text).readings == {"outlet-voltage": "120 V"}


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
    with pytest.raises(InvalidInputError):
        with_machine(kb, replace(filled, machine="brok-front-loader"), None)


def test_a_reading_that_is_told_is_a_line_of_the_sheet(kb):
    text = "told: [hose-depth]\nreadings: {hose-depth: 6 in}"
    assert parsed(kb, text).told == ("hose-depth",)
    with pytest.raises(InvalidInputError) as refused:
        parsed(kb, text.replace("told: [hose-depth]", "told: [hose-dept]"))
    assert [(p.code, p.nearest) for p in refused.value.problems] == [("S003", "hose-depth")]
