"""Values that were written otherwise: each mend, written as it says, is read without a problem."""

import pytest

from dryfloor.engine.knowledge.decode import BAD, convert
from dryfloor.engine.knowledge.strict_yaml import parse
from dryfloor.engine.knowledge.written_so import cut_by_comma, expected_for, mend_for
from dryfloor.engine.model import Answer, Minutes, Mistaken, Number, Proof, Remedy, Shows


def problems_of(text, kind):
    sheet = parse(text, "f")
    assert not sheet.problems
    found = convert(sheet, sheet.root, kind)
    assert (found is BAD) == bool(sheet.problems)
    return sheet.problems


@pytest.mark.parametrize(
    ("text", "kind", "field", "mended"),
    [
        ("1", Minutes, "", "{homeowner: 1, technician: 1}"),
        ("four", Minutes, "", "{homeowner: 4, technician: 4}"),
        ("14", Number, "", "{n: 14, basis: judgement}"),
        ("{complaint: x, strength: 0.85}", Shows, "strength", "{n: 0.85, basis: judgement}"),
        ("{complaint: x, strength: 1.2}", Shows, "strength", "{n: 0.9, basis: judgement}"),
        ("{complaint: x, strength: 1}", Shows, "strength", "very likely"),
    ],
)
def test_a_bare_value_is_told_how_it_is_written(text, kind, field, mended):
    (problem,) = problems_of(text, kind)
    assert problem.code == "K002"
    assert mended in problem.mend
    wrong = text.rpartition(" ")[2].rstrip("}")
    assert problem.message == f"'{field}' is {wrong if wrong != 'four' else repr(wrong)}"
    assert problems_of(text.replace(wrong, mended) if field else mended, kind) == []


def test_minutes_of_a_remedy_are_one_number():
    """A remedy's minutes are no minutes by hands: the other mistake gets the other mend."""
    text = 'title: x\ncures: likely\nsteps: [x]\nby: anyone\nminutes: {homeowner: 5}\nwhy_no_hazard: "x"'
    (problem,) = problems_of(text, Remedy)
    assert (problem.expected, problem.message) == ("a number", "'minutes' is a mapping")


@pytest.mark.parametrize("kinds", [[Proof], [str], [int, str]])
def test_of_other_types_nothing_is_said(kinds):
    assert (mend_for(1, kinds), expected_for(kinds)) == ("", "")


@pytest.mark.parametrize(
    ("text", "kind", "field", "written"),
    [
        ("{says: a gap, all round}", Answer, "says", 'says: "a gap, all round"'),
        ("{says: a gap, all round, no tape}", Answer, "says", 'says: "a gap, all round, no tape"'),
        ("{says: a gap, all round, leak_per_1000: 2}", Answer, "says", 'says: "a gap, all round"'),
        ("{leak_per_1000: 2, says: a gap,\n  all round}", Answer, "says", 'says: "a gap, all round"'),
        ('{cause: x, tell: it says "high", no more}', Mistaken, "tell", "tell: 'it says \"high\", no more'"),
        ("{homeowner: 4, technician: 1,5}", Minutes, "technician", "technician: 1.5"),
    ],
)
def test_a_comma_that_cuts_a_text_is_said_once_with_the_whole_text(text, kind, field, written):
    (problem,) = problems_of(text, kind)
    assert problem.code == "K001"
    assert f"the comma before it ends '{field}'" in problem.message
    assert problem.mend == f"write {written}"
    whole = text.replace("\n ", "")
    if '"' not in text:
        cut = written.replace('"', "").replace("1.5", "1,5")
        assert problems_of(whole.replace(cut, written), kind) == []


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("{all round: , says: x}", "all round"),  # nothing stands before it
        ('{says: "a gap", all round}', "all round"),  # the text before is in quotes: something else is meant
        ("{says: x, knid: y}", "knid"),  # a field with a value
        ("says: x\nknid:", "knid"),  # no comma
        ("{answers: [x], all round}", "all round"),
        ("{a gap, all round}", "all round"),  # no field at all before it
    ],
)
def test_other_unknown_fields_are_cut_by_no_comma(text, key):
    sheet = parse(text, "f")
    assert cut_by_comma(sheet, sheet.root, key) is None
