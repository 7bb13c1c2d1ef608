"""Strict YAML: what plain YAML would misread is text or refused, and every message stands under its mistake."""

import os
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.errors import InvalidInputError, Problem
from dryfloor.engine.knowledge import strict_yaml
from dryfloor.engine.knowledge.strict_yaml import MOST_DEPTH, at_path, checked, from_bytes, parse, read, scalar


def only(sheet: strict_yaml.Sheet) -> Problem:
    """Return the single problem of a sheet."""
    assert len(sheet.problems) == 1, [p.message for p in sheet.problems]
    return sheet.problems[0]


def under_caret(problem: Problem) -> str:
    """Return the letter of the shown line that the caret points at."""
    shown, caret = problem.lines()[1:3]
    return (shown + " ")[caret.index("^")]


@pytest.mark.parametrize(
    "text",
    [
        "no",
        "yes",
        "on",
        "off",
        "No",
        "NO",
        "True",
        "TRUE",
        "010",
        "1_000",
        "12:30",
        "2024-05-01",
        "0x1F",
        "0o17",
        "+1",
        "1.",
        "1e999",
        ".inf",
        ".nan",
        "NULL",
        "None",
        "y",
        "1e",
        "--1",
        "00",
        "-",
    ],
)
def test_what_plain_yaml_would_turn_into_something_else_stays_text(text):
    assert scalar(text, True) == text
    if text != "-":
        assert parse(f"a: {text}", "f").root.data() == {"a": text}


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("0", 0),
        ("-7", -7),
        ("1.5", 1.5),
        (".5", 0.5),
        ("1e-3", 0.001),
        ("1E2", 100.0),
        ("999999999999999", 999999999999999),
    ],
)
def test_json_like_scalars_have_their_value_and_type(text, value):
    found = parse(f"a: {text}", "f").root.data()["a"]
    assert found == value
    assert type(found) is type(value)


def test_a_quoted_scalar_is_text():
    assert parse("{a: '1', b: \"true\", c: 'null', d: ''}", "f").root.data() == {
        "a": "1",
        "b": "true",
        "c": "null",
        "d": "",
    }
    assert parse("a: >-\n  one\n  2", "f").root.data() == {"a": "one 2"}


def test_keys_that_look_like_booleans_or_numbers_are_text():
    assert parse("on: 1\n1: 2\nnull: 3", "f").root.data() == {"on": 1, "1": 2, "null": 3}


@pytest.mark.parametrize(
    ("text", "code", "line", "column"),
    [
        ("a: 1\nb: 2\na: 3\n", "Y006", 3, 1),
        ("x:\n  - {k: 1, j: 2, k: 3}\n", "Y006", 2, 18),
        ("a: &there 1\n", "Y003", 1, 4),
        ("a: 1\nb: *there\n", "Y003", 2, 4),
        ("base: {a: 1}\nb: {<<: *base}\n", "Y003", 2, 9),
        ("a: !!str 1\n", "Y004", 1, 4),
        ("a: !thing {b: 1}\n", "Y004", 1, 4),
        ("a: !!python/object:os.system [x]\n", "Y004", 1, 4),
        ("a: 1\n---\nb: 2\n", "Y007", 3, 1),
        ("a: 1\nb: one\u200btwo\n", "Y008", 2, 7),
        ("a: 1\nb: one\u00adtwo\n", "Y008", 2, 7),
        ("a: 1\n\ufeffb: 2\n", "Y008", 2, 1),
        ("a: 1\nb: \x07\n", "Y008", 2, 4),
        ("a: 1\nb: x\u202ey\n", "Y008", 2, 5),
        ("? [a, b]\n: 1\n", "Y005", 1, 3),
        ("? {a: b}\n: 1\n", "Y005", 1, 3),
        ("a: 1\n\tb: 2\n", "Y001", 2, 1),
        ("a: [1, 2\nb: 3\n", "Y001", 2, 2),
        ("a: b: c\n", "Y001", 1, 5),
        ("a: 'open\nb: 1\n", "Y001", 3, 1),
        ("a: @x\n", "Y001", 1, 4),
        ("%\n", "Y001", 1, 2),
    ],
)
def test_each_mistake_is_placed(text, code, line, column):
    problem = next(p for p in parse(text, "kb/x.yaml").problems if p.code == code)
    assert (problem.line, problem.column) == (line, column)
    assert problem.lines()[0].startswith(f"kb/x.yaml:{line}:{column} {code} ")
    assert problem.mend


@pytest.mark.parametrize(
    ("text", "letter"),
    [
        ("b: 2\na: 1\n\na: 3 # second\n", "a"),
        ("x:  &here 1", "&"),
        ("x: [1, *here]", "*"),
        ("abc:   !tag x", "!"),
        ("q: {" + ", ".join(f"k{i}: {i}" for i in range(40)) + ", *z : 1}", "*"),
        ("x:\t&here 1", "&"),
    ],
)
def test_the_caret_stands_under_the_mistake(text, letter):
    assert under_caret(next(p for p in parse(text, "f").problems)) == letter


def test_a_repeated_key_names_the_first_and_keeps_nothing_in_silence():
    problem = only(parse("a: 1\nb: 2\na: 3", "f"))
    assert "line 1" in problem.expected
    with pytest.raises(InvalidInputError):
        checked(parse("a: 1\na: 2", "f"))


def test_an_alias_bomb_is_refused_with_one_message_and_nothing_is_built():
    names = "abcdefghi"
    text = "a: &a [x, x]\n" + "".join(f"{n}: &{n} [{', '.join(['*' + p] * 9)}]\n" for p, n in pairwise(names))
    problem = only(parse(text, "f"))
    assert (problem.code, problem.line) == ("Y003", 1)


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
@pytest.mark.parametrize("depth", [MOST_DEPTH + 1, 20_000])
def test_deep_nesting_is_refused_before_it_exhausts_anything(opening, depth):
    sheet = parse(opening * depth, "f")
    assert sheet.root is None
    assert sheet.problems[0].code in ("Y009", "Y005", "Y001")
    assert sheet.problems[0].line == 1


def test_nesting_up_to_the_limit_is_read():
    assert not parse("[" * MOST_DEPTH + "]" * MOST_DEPTH, "f").problems
    assert only(parse("[" * (MOST_DEPTH + 1) + "]" * (MOST_DEPTH + 1), "f")).code == "Y009"


def test_line_ends_of_other_systems_are_read_and_counted():
    for raw in (b"a: 1\r\nb: 2\r\na: 3\r\n", b"a: 1\rb: 2\ra: 3\r"):
        problem = only(from_bytes(raw, "f"))
        assert (problem.line, problem.column, problem.shown) == (3, 1, "a: 3")
    assert from_bytes(b"a: one\r\nb: two\r\n", "f").root.data() == {"a": "one", "b": "two"}


def test_a_byte_order_mark_at_the_start_is_dropped():
    assert from_bytes(b"\xef\xbb\xbfrole: desk\n", "f").root.data() == {"role": "desk"}


@pytest.mark.parametrize(
    ("raw", "code", "words"),
    [
        (b"", "Y010", "empty"),
        (b"   \n\n# only a remark\n", "Y010", "empty"),
        (b"a: 1\nb: caf\xe9\n", "Y002", "not UTF-8"),
        (b"\xff\xfea\x00:\x00", "Y002", "binary"),
        (b"\x7fELF\x00\x01\x02", "Y002", "binary"),
        (b"a" * 1_000_001, "Y002", "over 1 MB"),
    ],
)
def test_bytes_that_are_no_yaml_text(raw, code, words):
    problem = only(from_bytes(raw, "f"))
    assert problem.code == code
    assert words in problem.message
    assert problem.mend


def test_a_byte_that_is_not_utf8_is_placed():
    problem = only(from_bytes(b"a: 1\nb: caf\xe9\n", "f"))
    assert (problem.line, problem.column) == (2, 7)
    assert problem.lines()[0].startswith("f:2:7 ")


def test_a_lone_document_mark_is_one_document():
    assert parse("---\na: 1\n", "f").root.data() == {"a": 1}


def test_files_that_cannot_be_read(tmp_path, monkeypatch):
    (tmp_path / "visit.yaml").write_text("role: desk")
    assert "folder" in only(read(tmp_path)).message
    missing = only(read(tmp_path / "vsit.yaml"))
    assert "no such file" in missing.message
    assert missing.nearest == "visit.yaml"
    assert "no such file" in only(read(tmp_path / "none" / "x.yaml")).message
    assert only(read(tmp_path / "visit.yaml" / "x.yaml")).code == "Y002"
    assert only(read("a\0b")).code == "Y002"
    assert only(read("x" * 5000)).code == "Y002"
    big = tmp_path / "big.yaml"
    big.write_bytes(b"a: 1\n" * 2_000_000)
    assert "10.0 MB" in only(read(big)).message

    def refuse(self, *args, **kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(tmp_path), "open", refuse)
    assert "may not be read by you" in only(read(tmp_path / "visit.yaml")).message


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission(tmp_path):
    path = tmp_path / "visit.yaml"
    path.write_text("role: desk")
    path.chmod(0)
    assert "may not be read by you" in only(read(path)).message


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_named_pipe_is_refused_unread_and_nobody_waits_for_whoever_would_pour(tmp_path):
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert "pipe" in only(read(path)).message


@pytest.mark.skipif(not os.path.exists("/dev/fd"), reason="no /dev/fd here")
def test_what_a_shell_pours_in_is_read():
    reader, writer = os.pipe()
    os.write(writer, b"role: desk")
    os.close(writer)
    try:
        assert read(f"/dev/fd/{reader}").problems == []
    finally:
        os.close(reader)


def test_the_name_in_messages_can_be_given(tmp_path):
    path = tmp_path / "x.yaml"
    path.write_text("a: 1\na: 1")
    assert only(read(path, "kb/x.yaml")).file == "kb/x.yaml"
    assert only(read(path)).file == str(path)


def test_at_path_finds_the_node_or_the_deepest_one_on_the_way():
    root = parse("a:\n  - b: one\n    c: [x, y]\nd: 4", "f").root
    assert at_path(root, ("a", 0, "b")).line == 2
    assert (at_path(root, ("a", 0, "c", 1)).line, at_path(root, ("a", 0, "c", 1)).column) == (3, 12)
    assert at_path(root, ("a", 0, "c")) == (3, 5)
    assert at_path(root, ("a", 7, "b")) == (1, 1)
    node = at_path(root, ())
    assert node is root


@given(st.text(max_size=200))
def test_no_text_raises_and_every_refusal_can_be_shown(text):
    sheet = parse(text, "f")
    for problem in sheet.problems:
        assert problem.lines()
        assert problem.mend
        assert 0 <= problem.line <= text.count("\n") + text.count("\r") + 2


@given(st.text(alphabet="ab:-[]{}&*!|>'\"#%@? \n\t01,~", max_size=60))
def test_no_mix_of_yaml_signs_raises(text):
    sheet = parse(text, "f")
    assert all(p.line > 0 and p.column > 0 for p in sheet.problems)


@given(st.binary(max_size=200))
def test_no_bytes_raise(raw):
    sheet = from_bytes(raw, "f")
    assert sheet.problems or sheet.root is not None


plain_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**14), 10**14)
    | st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text("abcdef", min_size=1, max_size=5), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(plain_values)
def test_json_is_read_as_json(value):
    import json

    sheet = parse(json.dumps(value), "f")
    if not sheet.problems:
        assert sheet.root.data() == value
    else:
        assert sheet.problems[0].code == "Y009"


@pytest.mark.parametrize("text", ["a: {says: x: y}", "a: {says: x\nb: 1", "a: [x, y\nb: 1", 'a: {says: "x" y}'])
def test_a_bracket_that_does_not_close_is_told_of_what_stands_in_it(text):
    problem = only(parse(text, "f"))
    assert problem.code == "Y001"
    assert "a text with a comma or a colon stands in quotes" in problem.mend
    assert "indentation" in only(parse("a: b: c\n", "f")).mend
