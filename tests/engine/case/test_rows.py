"""The rows of a case: read without the records they say what the records say, or nothing at all."""

import json
from typing import Literal, get_args, get_origin

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.store.replay import replay
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.rows import CHOICES, FLAGS, LISTS, TEXTS, UncertainRowError, decode_rows
from dryfloor.engine.case.status import standing

STANDS = ("state", "closed", "why", "role", "complaints", "words", "answers")


def kind(field):
    """What a field of the records holds, besides nothing at all."""
    (held,) = [t for t in get_args(field.type) if t is not type(None)]
    return get_args(held) if get_origin(held) is Literal else held


def test_the_fields_are_those_of_the_records():
    held = {f.encode_name: kind(f) for f in msgspec.structs.fields(Event)}
    assert held == dict.fromkeys(TEXTS, str) | dict.fromkeys(LISTS, list[str]) | dict.fromkeys(FLAGS, bool) | CHOICES


events = st.one_of(
    st.builds(Event, role=st.sampled_from(CHOICES["role"]), hands=st.none() | st.sampled_from(CHOICES["hands"])),
    st.builds(Event, heard=st.text(max_size=9), complaints=st.none() | st.lists(st.text(max_size=3), max_size=2)),
    st.builds(Event, check=st.text(max_size=3), answer=st.text(max_size=3)),
    st.builds(Event, fact=st.text(max_size=3), is_=st.text(max_size=3)),
    st.builds(Event, closed=st.sampled_from(["handed-on", "on-trial", "solved"]), why=st.none() | st.text(max_size=3)),
    st.builds(Event, trial=st.sampled_from(["came-back", "stayed-away"])),
    st.just(Event(resumed=True)),
)
written = st.one_of(
    events,
    st.integers(0, 9).map(lambda n: {"undo": n}),
    st.tuples(st.integers(0, 9), events).map(lambda x: {"at": x[0], "put": x[1]}),
).map(lambda record: msgspec.json.encode(record).decode())
# What nobody wrote, but a file may hold.
leaves = st.none() | st.booleans() | st.integers(-3, 2**70) | st.floats() | st.text(max_size=4)
names = st.sampled_from(
    ["undo", "at", "put", "role", "hands", "heard", "complaints", "closed", "resumed", "is", "is_", "x"]
)
values = st.recursive(leaves, lambda v: st.lists(v, max_size=2) | st.dictionaries(names, v, max_size=2), max_leaves=5)
strange = st.one_of(
    values.map(json.dumps),
    st.dictionaries(names, values, max_size=3).map(json.dumps),
    st.tuples(names, values, values).map(lambda x: f'{{"{x[0]}": {json.dumps(x[1])}, "{x[0]}": {json.dumps(x[2])}}}'),
    st.text(max_size=12),
    st.sampled_from(
        ['{"undo": -0}', '{"undo": 1.0}', '{"undo": true}', '{"heard": "\\ud800"}', '{"heard": "\\uD83D\\uDE00"}', '{"heard": "\x07"}', '{"heard": "\x7f"}',
         '\ufeff{"undo": 1}', ' {"undo": 1}\n', '{"undo": 1}x', '{"undo": 1,}', "[" * 3000, '{"undo": 01}', '{"at": 0}', '{"at": 0, "put": {}}', "{}", ""]
    ),
)  # fmt: skip


def by_records(bodies):
    held = []
    return held if all(replay(held, body) for body in bodies) else None


@given(st.lists(written, max_size=9))
def test_what_the_records_wrote_is_read_alike(bodies):
    held = by_records(bodies)
    assert [e.__dict__ for e in decode_rows(bodies)] == msgspec.to_builtins(held)


@given(st.lists(strange | written, max_size=4))
def test_whatever_a_file_holds_is_read_alike_or_not_at_all(bodies):
    try:
        found = decode_rows(bodies)
    except UncertainRowError:
        return
    held = by_records(bodies)
    assert held is not None
    assert [{k: v for k, v in e.__dict__.items() if v is not None} for e in found] == msgspec.to_builtins(held)
    ours, theirs = standing(found), standing(held)
    assert [getattr(ours, name) for name in STANDS] == [getattr(theirs, name) for name in STANDS]


@pytest.mark.parametrize(
    "body",
    [
        b'{"undo": 1}',
        None,
        3,
        "",
        "{",
        "3",
        '{"heard": 3}',
        '{"role": "cat"}',
        '{"x": "y"}',
        '{"still": ["a", 1]}',
        '{"undo": 9999999999}',
    ],
)
def test_what_may_be_refused_is_unclear(body):
    with pytest.raises(UncertainRowError):
        decode_rows([body])
