"""Problems say where, what, what was expected, what is near and how to mend it, in that order."""

from difflib import get_close_matches

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.errors import EXCERPT, InvalidInputError, Problem, nearest, one_of, shown_problems
from dryfloor.engine.knowledge.strict_yaml import Sheet


def test_a_placed_problem_has_its_line_with_a_caret():
    problem = Problem(
        code="K002",
        message="unknown complaint 'stop-early'",
        file="kb/causes/x.yaml",
        line=9,
        column=16,
        shown="  - {complaint: stop-early}",
        expected="one of a, b",
        nearest="stops-early",
        mend="correct the id",
    )
    assert problem.lines() == [
        "kb/causes/x.yaml:9:16 K002 unknown complaint 'stop-early'",
        "  9 |   - {complaint: stop-early}",
        "                     ^",
        "  expected: one of a, b",
        "  nearest: stops-early",
        "  mend: correct the id",
    ]


def test_a_file_level_problem_names_the_file_alone():
    assert Problem(code="Y010", message="the file is empty", file="f.yaml").lines() == ["f.yaml Y010 the file is empty"]


def test_a_problem_without_a_place_says_no_place():
    assert Problem(code="A001", message="nothing was typed").lines() == ["A001 nothing was typed"]


@given(st.integers(1, 3000))
def test_the_caret_stays_under_its_letter_on_long_lines(column):
    shown = "".join(chr(33 + n % 90) for n in range(3000))
    _, text, caret = Problem(code="X", message="m", file="f", line=1, column=column, shown=shown).lines()
    assert text[caret.index("^")] == shown[column - 1]
    assert len(text) <= 120


def test_a_tab_before_the_mistake_does_not_move_the_caret():
    _, text, caret = Problem(code="X", message="m", file="f", line=1, column=4, shown="a:\t&x").lines()
    assert text[caret.index("^")] == "&"
    assert "\t" not in text


@pytest.mark.parametrize(("word", "near"), [("siphon", "siphons"), ("wlaks", "walks"), ("qqqq", ""), ("", "")])
def test_nearest_is_close_or_nothing(word, near):
    assert nearest(word, ["siphons", "walks", "no-drain"]) == near


def test_one_of_is_sorted_and_cut_short():
    assert one_of(["b", "a"]) == "one of a, b"
    assert one_of(map(str, range(10, 25))).endswith("21 and 3 more")


def test_refused_holds_every_problem_and_whose_it_is():
    problems = [Problem(code="A", message="first"), Problem(code="B", message="second", mend="so")]
    refused = InvalidInputError(problems)
    assert refused.problems == problems
    assert not refused.kb
    assert str(refused) == "A first\nB second\n  mend: so"
    assert InvalidInputError(problems, kb=True).kb


@given(st.text("ab-01", max_size=12), st.lists(st.text("ab-01", max_size=12), max_size=30))
def test_nearest_is_what_difflib_finds_however_few_words_it_compares(word, known):
    assert [nearest(word, known)] == (get_close_matches(word, known, n=1, cutoff=0.55) or [""])


@given(st.integers(1, 3000))
def test_the_caret_stays_under_its_letter_in_the_excerpt_that_a_sheet_keeps(column):
    line = "".join(chr(33 + n % 90) for n in range(3000))
    sheet = Sheet("f", "ok\n" + line)
    problem = sheet.placed("X", "m", (2, column))
    assert len(problem.shown) <= EXCERPT
    _, text, caret = problem.lines()
    assert text[caret.index("^")] == line[column - 1]


def test_an_answer_shows_twenty_problems_and_counts_the_rest():
    many = [Problem(code="C012", message=str(n)) for n in range(400)]
    shown = shown_problems(many, more=20_600)
    assert [p.message for p in shown] == [*map(str, range(20)), "and 20,980 more"]
    assert shown_problems(many[:20]) == many[:20]
    assert shown_problems([]) == []


@given(st.text(min_size=1), st.sampled_from([1, 50, 200_000]), st.integers(0, 60))
def test_no_answer_of_problems_is_larger_than_it_may_be_whatever_is_in_them(text, times, count):
    one = Problem(
        code="C012", message=text * times, file=text * times, line=1, column=len(text) * times, shown=text * times,
        expected=text * times, nearest=text * times, mend=text * times,
    )  # fmt: skip
    found = msgspec.json.encode(shown_problems([one] * count, more=10**9))
    assert len(found) < 240 * 1024
    assert len("\n".join(line for p in shown_problems([one] * count) for line in p.lines())) < 64 * 1024
