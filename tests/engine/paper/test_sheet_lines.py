"""Sheets that are no YAML: the line that is wrong is named, and every other line is read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.knowledge.strict_yaml import from_bytes, parse
from dryfloor.engine.paper.sheet_lines import by_lines

KNOWN = frozenset(("title", "facts", "readings", "notes", "told", "drain", "hose-depth", "drip-rate", "rocks-by-hand"))
# A line as a pen leaves it, and what it says; YAML can't read one of them.
LINES = [
    ("\tdrip-rate: dry", "dry"),
    ("    drip-rate: dry", "dry"),
    (" drip-rate: dry", "dry"),
    ("  drip-rate:dry", "dry"),
    ("  drip-rate: dry: both sides", "dry: both sides"),
    ('  drip-rate: "dry', "dry"),
    ('  drip-rate: "dry" all round', '"dry" all round'),
    ("  drip-rate: ?", "?"),
    ("  drip-rate: -", "-"),
    ("  drip-rate: * see note", "* see note"),
    ("  drip-rate: &c", "&c"),
    ("  drip-rate: !dry", "!dry"),
    ("  drip-rate: %dry", "%dry"),
    ("  drip-rate: @home", "@home"),
    ("  drip-rate: > 20", "> 20"),
    ("  drip-rate: [dry", "[dry"),
    ("  drip-rate: dry\u200b", "dry"),
    ("  drip-rate:\u00a0dry", "dry"),
    ("  drip-rate: dry # looked twice", "dry"),
]


def lines(text):
    """Return a sheet as it is read, by lines where it is no YAML."""
    sheet = parse(text, "s.yaml")
    return by_lines(sheet, KNOWN) if sheet.problems else sheet


@pytest.mark.parametrize(("line", "said"), LINES)
def test_a_line_is_read_as_it_was_meant_and_the_others_with_it(line, said):
    sheet = lines(f"title: Elm 3\nfacts:\n  drain: tub\nreadings:\n  hose-depth: 6 in\n{line}\n  rocks-by-hand: firm\n")
    assert sheet.problems == []
    assert sheet.root.data() == {
        "title": "Elm 3",
        "facts": {"drain": "tub"},
        "readings": {"hose-depth": "6 in", "drip-rate": said, "rocks-by-hand": "firm"},
    }


def test_most_of_those_lines_are_no_yaml():
    broken = [line for line, _ in LINES if parse(f"readings:\n  hose-depth: 6 in\n{line}\n", "s").problems]
    assert len(broken) > len(LINES) * 2 // 3


@pytest.mark.parametrize(
    ("line", "code"),
    [("just some words", "Y001"), ("  hose-depth: 7 in", "Y006"), ("  12:30 done", "Y001"), ("  : x", "Y001")],
)
def test_a_line_without_name_and_value_is_a_problem_of_its_own(line, code):
    sheet = lines(f'readings:\n  hose-depth: 6 in\n{line}\n  drip-rate: "dry\n')
    assert [(p.code, p.line) for p in sheet.problems] == [(code, 3)]
    assert sheet.root.value["readings"].data()["drip-rate"] == "dry"
    assert line.strip() in sheet.problems[0].shown


def test_of_two_lines_of_one_name_neither_counts_where_they_differ():
    rows = "readings:\n  drip-rate: dry\n  drip-rate: drips\n  drip-rate: dry\n  hose-depth:\n  hose-depth: 6 in\n"
    sheet = lines(rows)
    assert sheet.root.value["readings"].data() == {"drip-rate": "", "hose-depth": "6 in"}
    assert {p.code for p in sheet.problems} == {"Y006"}


def test_a_braced_list_whose_quote_is_open_is_cut_at_its_commas():
    sheet = lines('readings: {drip-rate: "dry, hose-depth: 6 in, declined}\n')
    assert sheet.root.value["readings"].data() == {"drip-rate": "dry", "hose-depth": "6 in, declined"}


def test_what_is_no_sheet_stays_what_it_was():
    for raw in (b"a: [1\n", b"\xff\xfe", b"", b"[[[[[[[[[[[[[[[[[[[[[[", b"hello: [world\n"):
        sheet = from_bytes(raw, "s.yaml")
        assert by_lines(sheet, KNOWN) is sheet


@given(st.text(max_size=200))
def test_no_text_breaks_the_reading(text):
    sheet = lines(f'readings:\n  hose-depth: 6 in\n  drip-rate: "\n{text}\n')
    assert sheet.root is None or isinstance(sheet.root.data(), dict | list)
