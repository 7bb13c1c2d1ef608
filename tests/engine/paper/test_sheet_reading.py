"""A filled sheet read: what is not understood is listed at its place, and every other line is read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.strict_yaml import from_bytes
from dryfloor.engine.paper.filled_sheet import text_of
from dryfloor.engine.paper.sheet_reading import sheet_of


def parsed(kb, text, hands="technician"):
    """Return a sheet from its text."""
    return sheet_of(kb, from_bytes(text.encode(), "sheet.yaml"), hands)


def problems(kb, text, hands="technician"):
    """Return the problems of a sheet's text."""
    with pytest.raises(InvalidInputError) as caught:
        parsed(kb, text, hands)
    return caught.value.problems


def test_hands_come_from_the_sheet_else_from_the_role(kb):
    assert parsed(kb, "readings: {hose-depth: 6 in}", "homeowner").hands == "homeowner"
    assert parsed(kb, "hands: technician\nreadings: {hose-depth: 6 in}", "homeowner").hands == "technician"


def unread(kb, text, hands="technician"):
    """Return the lines of a sheet's text that were not understood."""
    return parsed(kb, text, hands).unread


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "near"),
    [
        ("readings:\n  standpipe-hight: 42 in\n", "S003", 2, 3, "standpipe-height"),
        ("readings:\n  house-pressure: 60 psi\n", "S003", 2, 3, "standing-pressure"),
        ("reading:\n  hose-depth: 6 in\nreadings: {hose-depth: 6 in}\n", "S002", 1, 1, "readings"),
        ("facts: {drian: tub}\nreadings: {hose-depth: 6 in}\n", "C012", 1, 9, "drain"),
        ("facts: {drain: tubb}\nreadings: {hose-depth: 6 in}\n", "C013", 1, 9, "tub"),
        ("readings:\n  standpipe-bore: 2\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-bore: 2 psi\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-height: 42 ft\n", "C023", 2, 3, "42 in"),
        ("readings:\n  hose-sealed: tapped\n", "C021", 2, 3, "taped"),
        ("hands: plummer\nreadings: {hose-depth: 6 in}\n", "S004", 1, 8, ""),
        ("stage: hookup\nreadings: {hose-depth: 6 in}\n", "S009", 1, 8, "hook-up"),
    ])  # fmt: skip
def test_what_is_not_understood_is_listed_at_its_place(kb, text, code, line, column, near):
    (found,) = unread(kb, text)
    assert (found.problem.code, found.problem.line, found.problem.column) == (code, line, column)
    assert found.problem.file == "sheet.yaml"
    assert found.problem.mend
    assert found.problem.nearest == near


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("- hose-depth: 6 in\n", "S001", 1, 1),
        ("title: nothing measured\nreadings:\n  hose-depth:\n", "S005", 1, 1),
        ("a: [1\n", "Y001", 2, 1),
    ],
)
def test_a_broken_file_is_refused_at_its_place(kb, text, code, line, column):
    found = next(p for p in problems(kb, text) if p.code == code)
    assert (found.file, found.line, found.column) == ("sheet.yaml", line, column)
    assert found.mend


def test_an_empty_file_points_to_the_blank_sheet(kb):
    assert "survey --blank" in problems(kb, "")[0].mend


def test_one_word_that_is_not_understood_leaves_the_others(kb):
    text = "readings:\n  standpipe-hight: 42 in\n  hose-depth: 6\n  hose-sealed: x\n  rocks-by-hand: firm\nfacts: {drain: gutter}\n"
    sheet = parsed(kb, text)
    assert sorted(u.problem.code for u in sheet.unread) == ["C013", "C021", "C023", "S003"]
    assert sheet.readings == {"rocks-by-hand": "firm"}


def test_a_line_that_lost_its_indent_is_a_line_all_the_same(kb):
    sheet = parsed(kb, "drain: tub\nhose-depth: 6 in\nreadings:\n- rocks-by-hand: firm\n- drip-rate: dry\n")
    assert (sheet.facts, sheet.unread) == ({"drain": "tub"}, ())
    assert sheet.readings == {"rocks-by-hand": "firm", "drip-rate": "dry", "hose-depth": "6 in"}


@pytest.mark.parametrize("said", ["?", "n/a", "-", "not checked", "don't know", "--"])
def test_what_says_that_nobody_knows_is_an_empty_line_and_is_told(kb, said):
    sheet = parsed(
        kb, f"facts:\n  floor: {said}\nreadings:\n  hose-depth: {said}\n  drip-rate: {said}\n  rocks-by-hand: ok\n"
    )
    assert (sheet.facts, sheet.readings, sheet.unread) == ({}, {"rocks-by-hand": "firm"}, ())
    assert sheet.read_as["drip-rate"] == (said, "not seen")


def test_a_remark_is_kept_as_a_note(kb):
    sheet = parsed(kb, "readings:\n  drip-rate: dry (checked twice)\n  hose-depth: 6 in, by the label\n")
    assert sheet.readings == {"drip-rate": "dry", "hose-depth": "6 in"}
    assert sheet.notes == ("Drips at hoses and taps: dry (checked twice)", "Hose depth in the pipe: 6 in, by the label")


def test_what_is_only_about_so_much_has_a_customers_give_or_take(kb):
    sheet = parsed(kb, "facts: {supply-system: us-120}\nreadings: {standpipe-height: about 40, hose-depth: 6 in}\n")
    assert sheet.readings["standpipe-height"] == "40 in"
    assert (sheet.by("standpipe-height"), sheet.by("hose-depth")) == ("homeowner", "technician")
    assert sheet.told == ()
    assert parsed(kb, text_of(sheet)).by("standpipe-height") == "homeowner"


@pytest.mark.parametrize(
    ("said", "hands"), [("installer", "technician"), ("Customer", "homeowner"), ("tech", "technician")]
)
def test_hands_are_named_as_a_trade_names_them(kb, said, hands):
    assert parsed(kb, f"hands: {said}\nreadings: {{hose-depth: 6 in}}", "technician").hands == hands


def test_a_homeowners_live_reading_is_not_judged(kb):
    text = "readings: {outlet-voltage: 120 V, hose-depth: 6 in}"
    sheet = parsed(kb, text, "homeowner")
    assert (sheet.unread[0].problem.code, sheet.readings) == ("S006", {"hose-depth": "6 in"})
    assert parsed(kb, text).readings["outlet-voltage"] == "120 V"


def test_a_reading_that_is_told_is_a_line_of_the_sheet(kb):
    text = "told: [hose-depth]\nreadings: {hose-depth: 6 in}"
    assert parsed(kb, text).told == ("hose-depth",)
    (found,) = unread(kb, text.replace("told: [hose-depth]", "told: [hose-dept]"))
    assert (found.problem.code, found.problem.nearest) == ("S003", "hose-depth")


PEN = st.sampled_from(
    [
        "31",
        "in",
        "about",
        "~",
        "not",
        "no",
        "dry",
        "ok",
        "?",
        "-",
        "(",
        '"',
        "'",
        ":",
        "#",
        "4",
        "1/2",
        "per",
        "but",
        "yes",
        "{",
        "]",
        "&a",
        "!c",
        "|",
        ">",
        "1e9",
        "null",
        "declined",
        "a)",
        "4 of 4",
        "½",
        "\t",
        "\u200b",
    ]
)
LINE = st.tuples(
    st.sampled_from(["drip-rate", "hose-depth", "level-front", "restraints-counted", "taps-reachable", "no-such-line"]),
    st.lists(PEN, max_size=4).map(" ".join),
)


@given(st.lists(LINE, max_size=5))
def test_whatever_a_pen_leaves_is_read_or_listed_and_written_again(kb, lines):
    text = "\n".join(["readings:", "  rocks-by-hand: firm", *(f"  {name}: {said}" for name, said in lines)])
    sheet = parsed(kb, text)
    assert sheet.readings["rocks-by-hand"] == "firm"
    again = parsed(kb, text_of(sheet))
    assert (again.readings, again.declined) == (sheet.readings, sheet.declined)
    assert {u.said for u in again.unread if u.block} == {u.said for u in sheet.unread if u.block}
