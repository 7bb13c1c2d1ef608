"""The short mapping of a case file: the same as its events, and each mistake in it placed."""

import msgspec
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import dump, parse_case
from tests.support.refusals import problems_of, refused


@pytest.mark.parametrize(
    "text",
    [
        "role: [desk]",
        "say: {a: b}",
        "complaints: walks",
        "facts: [drain]",
        "answers: none",
        "cleared: {a: b}",
        "facts:",
        "role:",
        "facts: {drain: [tub]}",
        "answers: {restraints-left: true}",
    ],
)
def test_a_wrong_type_in_the_short_mapping_is_the_case_files_fault_not_the_kbs(kb, run, text):
    assert {p.code for p in problems_of(kb, text)} == {"K002"}
    refused(run, "advise", "-", typed=text)


def test_all_mistakes_of_a_case_come_at_once(kb):
    text = "role: dsk\ncomplaints: [wlaks]\nfacts: {drian: tub}\nanswers:\n  standpipe-height: 39\n  restraints-left: non\n"
    assert [(p.line, p.code) for p in problems_of(kb, text)] == [
        (1, "C005"),
        (2, "C012"),
        (3, "C012"),
        (5, "C023"),
        (6, "C021"),
    ]


def test_two_answers_to_one_check_in_the_mapping_are_an_error(run):
    err = refused(
        run,
        "advise",
        "-",
        typed="complaints: [walks]\nanswers:\n  restraints-left: none\n  restraints-left: base-block\n",
    )
    assert "<stdin>:4:3 Y006 the key 'restraints-left' stands twice" in err
    assert "the first is at line 3" in err


def test_the_short_mapping_is_the_same_as_its_events(kb):
    short = parse_case(
        kb,
        b"""
role: desk
hands: homeowner
say: it hops about
complaints: [walks, siphons]
cleared: [walking-machine]
facts: {drain: standpipe, onset: new}
answers: {standpipe-height: 31 in, restraints-left: none}
""",
    )
    listed = parse_case(
        kb,
        b"""
events:
  - {role: desk, hands: homeowner}
  - {heard: it hops about}
  - {complaints: [walks]}
  - {complaints: [siphons]}
  - {cleared: walking-machine}
  - {fact: drain, is: standpipe}
  - {fact: onset, is: new}
  - {check: standpipe-height, value: 31 in}
  - {check: restraints-left, answer: none}
""",
    )
    assert short == listed
    assert msgspec.json.encode(advise(kb, short)) == msgspec.json.encode(advise(kb, listed))


def test_an_empty_mapping_is_an_empty_case(kb):
    assert parse_case(kb, b"{}") == []
    assert parse_case(kb, dump([]).encode()) == []
