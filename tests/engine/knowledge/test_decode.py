"""Nodes to records: each field against its type, every mistake placed, none raised."""

from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Meta, Struct, field

from dryfloor.engine import model
from dryfloor.engine.knowledge.decode import BAD, convert, describe, hints, record
from dryfloor.engine.knowledge.strict_yaml import parse


class Inner(Struct, frozen=True, forbid_unknown_fields=True):
    """A record inside another."""

    n: Annotated[float, Meta(gt=0, lt=1)]
    word: str | None = None


class Outer(Struct, frozen=True, forbid_unknown_fields=True):
    """A record with every kind of field."""

    id: Annotated[str, Meta(pattern=r"^[a-z]+(-[a-z]+)*$", description="a slug")]
    kind: Literal["look", "measure"]
    many: Annotated[list[str], Meta(min_length=2)]
    count: int = 1
    on: bool = False
    table: dict[str, float] = field(default_factory=dict)
    inner: Inner | None = None
    either: str | Inner | None = None
    both: str | list[str] | None = None
    is_: str | None = field(default=None, name="is")


GOOD = "id: a-b\nkind: look\nmany: [x, y]\n"


def read(text, kind=Outer):
    """Return the record of a text, and the problems."""
    sheet = parse(text, "f")
    assert not sheet.problems
    return convert(sheet, sheet.root, kind), sheet.problems


def test_a_good_record_has_its_values_and_defaults():
    found, problems = read(
        GOOD + "table: {a: 1, b: .5}\ninner: {n: 0.5}\neither: word\nboth: [p, q]\nis: tub\non: true\ncount: 3"
    )
    assert problems == []
    assert found == Outer(
        id="a-b",
        kind="look",
        many=["x", "y"],
        count=3,
        on=True,
        table={"a": 1.0, "b": 0.5},
        inner=Inner(n=0.5),
        either="word",
        both=["p", "q"],
        is_="tub",
    )
    assert isinstance(found.table["a"], float)


@pytest.mark.parametrize(
    ("more", "code", "line", "column", "words"),
    [
        ("knid: x", "K001", 4, 1, "unknown field 'knid'"),
        ("inner: {n: 0.5, wrod: x}", "K001", 4, 17, "unknown field 'inner.wrod'"),
        ("count: 1.5", "K002", 4, 8, "'count' is 1.5"),
        ("count: true", "K002", 4, 8, "'count' is true"),
        ("count: no", "K002", 4, 8, "'count' is 'no'"),
        ("on: 1", "K002", 4, 5, "'on' is 1"),
        ("on: no", "K002", 4, 5, "'on' is 'no'"),
        ("table: [1]", "K002", 4, 8, "'table' is a list"),
        ("table: {a: x}", "K002", 4, 12, "'table.a' is 'x'"),
        ("table: {a: true}", "K002", 4, 12, "'table.a' is true"),
        ("inner: word", "K002", 4, 8, "'inner' is 'word'"),
        ("inner: {word: x}", "K003", 4, 8, "the field 'inner.n' is missing"),
        ("inner: {n: 1}", "K006", 4, 12, "'inner.n' is 1"),
        ("inner: {n: 0}", "K006", 4, 12, "'inner.n' is 0"),
        ("either: [x]", "K002", 4, 9, "'either' is a list"),
        ("either: {n: 2}", "K006", 4, 13, "'either.n' is 2"),
        ("both: {a: 1}", "K002", 4, 7, "'both' is a mapping"),
        ("both: [x, [y]]", "K002", 4, 11, "'both[1]' is a list"),
        ("is: [x]", "K002", 4, 5, "'is' is a list"),
        ("is_: x", "K001", 4, 1, "unknown field 'is_'"),
    ],
)
def test_each_mistake_has_its_code_and_place(more, code, line, column, words):
    found, problems = read(GOOD + more)
    assert found is BAD
    assert [(p.code, p.line, p.column) for p in problems] == [(code, line, column)]
    assert words in problems[0].message
    assert problems[0].expected
    assert problems[0].mend


@pytest.mark.parametrize(
    ("text", "code", "where"),
    [
        ("kind: look\nmany: [x, y]", "K003", (1, 1)),
        ("id: A-b\nkind: look\nmany: [x, y]", "K004", (1, 5)),
        ("id: a--b\nkind: look\nmany: [x, y]", "K004", (1, 5)),
        ("id: a\nkind: lok\nmany: [x, y]", "K002", (2, 7)),
        ("id: a\nkind: [look]\nmany: [x, y]", "K002", (2, 7)),
        ("id: a\nkind:\nmany: [x, y]", "K002", (2, 6)),
        ("id: a\nkind: look\nmany: [x]", "K005", (3, 7)),
        ("id: a\nkind: look\nmany: x", "K002", (3, 7)),
        ("[id, a]", "K002", (1, 1)),
        ("word", "K002", (1, 1)),
    ],
)
def test_required_fields(text, code, where):
    found, problems = read(text)
    assert found is BAD
    assert [(p.code, (p.line, p.column)) for p in problems] == [(code, where)]


def test_the_nearest_name_and_choice_are_said():
    _, problems = read("id: a\nkind: mesure\nmany: [x, y]\ncuont: 1")
    assert [p.nearest for p in problems] == ["measure", "count"]
    assert "look, measure" in problems[0].expected


def test_all_mistakes_of_a_record_come_at_once():
    _, problems = read("id: B\nkind: x\nmany: [y]\ncount: z\ninner: {n: 7, q: 1}\nnew: 1")
    assert sorted(p.code for p in problems) == ["K001", "K001", "K002", "K002", "K004", "K005", "K006"]


def test_a_bare_number_is_text_as_it_was_written():
    found, problems = read("id: a\nkind: look\nmany: [39.50, 1e3]  # two\nis: 0   # none")
    assert problems == []
    assert (found.many, found.is_) == (["39.50", "1e3"], "0")


def test_fields_given_from_outside_may_not_be_written():
    sheet = parse("id: x\nkind: look\nmany: [a, b]", "f")
    assert record(sheet, sheet.root, Outer, given={"id": "stem"}) is BAD
    assert "unknown field 'id'" in sheet.problems[0].message
    sheet = parse("kind: look\nmany: [a, b]", "f")
    assert record(sheet, sheet.root, Outer, given={"id": "stem"}).id == "stem"


def test_types_are_said_in_words():
    assert describe(list[str]) == "a list of text"
    assert describe(str | None) == "text"
    assert describe(int | str) == "a whole number or text"
    assert describe(dict[str, float]) == "a mapping of names to a number"
    assert describe(Inner) == "a mapping with n"
    assert describe(Literal["b", "a"]) == "one of a, b"


def test_every_field_of_the_kb_can_be_described_and_hinted():
    for name in dir(model):
        kind = getattr(model, name)
        if isinstance(kind, type) and issubclass(kind, model.Record):
            for text in map(describe, hints(kind).values()):
                assert "<class" not in text
                assert "typing." not in text


nodes = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.floats(-2, 2) | st.sampled_from(["a", "look", "no", ""]),
    lambda x: (
        st.lists(x, max_size=3)
        | st.dictionaries(st.sampled_from(["id", "kind", "many", "inner", "n", "either", "both", "x"]), x, max_size=4)
    ),
    max_leaves=10,
)


@given(nodes, st.sampled_from([Outer, Inner, model.Rule, model.Check, model.Cause, model.Roles, model.Machine]))
def test_no_shape_raises_and_what_is_bad_is_said(value, kind):
    import json

    sheet = parse(json.dumps(value), "f")
    if sheet.root is None or sheet.problems:
        return
    found = convert(sheet, sheet.root, kind)
    assert (found is BAD) == bool(sheet.problems)
    assert all(p.line == 1 and p.column > 0 and p.message and p.mend for p in sheet.problems)
