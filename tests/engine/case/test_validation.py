"""What is wrong with an answer: a question back, never an error, whatever was written."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from dryfloor.engine.case.case_file import parse_case
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.validation import answer_problems, fact_problems
from dryfloor.engine.measurement.formatting import READER
from tests.support.refusals import problems_of, refused
from tests.support.shipped import shipped

KB = shipped()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("39", "39 what? Do you mean 39 in"),
        ("39 psi", "pressure"),
        ("39 ft", "outside what I expect"),
        ("-5 in", ""),
        ("thirty or so", ""),
        ("", ""),
        ("1e400 in", ""),
        ("9" * 400 + " in", "long"),
    ],
)
def test_a_reading_that_cannot_be_used_gets_a_question_back(kb, run, said, words):
    for text in (
        f"answers: {{standpipe-height: '{said}'}}",
        f"events:\n  - {{check: standpipe-height, value: '{said}'}}",
    ):
        found = problems_of(kb, text)
        assert [p.code for p in found] == ["C023"]
        assert words in found[0].message
        assert found[0].mend
        refused(run, "advise", "-", typed=text)


def test_a_bare_number_is_read_as_it_was_written(kb):
    assert "39.50 what?" in problems_of(kb, "answers: {standpipe-height: 39.50}")[0].message
    assert "39 ft" in problems_of(kb, "answers: {standpipe-height: 39 ft}")[0].message
    assert problems_of(kb, "answers: {standpipe-height: 39 ft}")[0].nearest == "39 in"
    count = next(
        c
        for c in kb.checks.values()
        if c.kind == "measure" and kb.rules[c.rule].measures == "length" and kb.rules[c.rule].plausible.startswith("0 ")
    )
    assert parse_case(kb, f"answers: {{{count.id}: 0}}".encode()) == [Event(check=count.id, value="0")]


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=30), st.sampled_from(sorted(KB.checks)), st.booleans())
def test_no_answer_raises(said, check, as_value):
    for problem in answer_problems(KB, check, None if as_value else said, said if as_value else None):
        assert problem.code in ("C020", "C021", "C022", "C023")
        assert problem.message
        assert problem.mend


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=20), st.text(max_size=20))
def test_no_fact_raises(name, option):
    assume(name not in KB.facts)
    assert fact_problems(KB, name, option)[0].code == "C012"
    assert fact_problems(KB, "drain", option + "?")[0].code == "C013"


@pytest.mark.parametrize(
    ("reader", "said"),
    [
        ("both", {"foot-gap": "Do you mean 3 mm, or 3 cards?", "standpipe-height": "Do you mean 31 in, or 31 cm?"}),
        ("si-first", {"foot-gap": "Do you mean 3 mm, or 3 cards?", "standpipe-height": "Do you mean 31 cm, or 31 in?"}),
    ],
)
def test_a_bare_number_is_offered_units_in_which_it_can_be_true_the_readers_own_first(kb, reader, said):
    token = READER.set(reader)
    try:
        for check, wanted in said.items():
            number = wanted.split()[3]
            assert wanted in answer_problems(kb, check, None, number)[0].message
    finally:
        READER.reset(token)
