"""Rules as questions: what stands on each side, and which are asked in a quiz."""

import pytest

from dryfloor.engine.drill.rule_questions import NUMBER, drawn, marked, questions, with_unit
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.measurement import formatting, quantity
from dryfloor.engine.measurement.readings import limits


def test_every_rule_is_a_card_with_a_front_and_a_back(kb):
    found = questions(kb)
    assert sorted(q.rule for q in found) == sorted(kb.rules)
    for q in found:
        assert q.title, q.rule
        assert q.of, q.rule
        assert q.limit, q.rule
        assert q.whose, q.rule
        assert q.breaks, q.rule
        assert (q.ask == "What must be seen?") == (kb.rules[q.rule].measures == "state")


def test_no_front_shows_its_number(kb):
    for q in questions(kb, numbers=True):
        rule = kb.rules[q.rule]
        for limit in filter(None, (rule.min, rule.max)):
            assert f"{limit.partition(' ')[0]} to" not in q.title, q.rule
            assert limit not in f"{q.title} {q.of} {' '.join(q.where)} {q.ask}", (q.rule, limit)


def test_an_area_alone_and_an_unknown_one(kb):
    assert {kb.places[f"rules/{q.rule}"].split(":")[0] for q in questions(kb, "power")} == {"kb/rules/power.yaml"}
    with pytest.raises(InvalidInputError) as refused:
        questions(kb, "powr")
    assert refused.value.problems[0].nearest == "power"


def test_a_quiz_asks_for_one_limit_of_a_rule_with_numbers(kb):
    asked = drawn(kb, 1, 200)
    assert len({q.rule for q in asked}) == len(asked) == sum(r.measures != "state" for r in kb.rules.values())
    both = [q for q in asked if kb.rules[q.rule].min and kb.rules[q.rule].max]
    assert {q.side for q in both} == {"below", "above"}
    for q in asked:
        text = kb.rules[q.rule].min if q.side == "below" else kb.rules[q.rule].max
        assert marked(kb, q, text).right, q.rule
        assert not marked(kb, q, "").right


def test_the_other_limit_is_wrong(kb):
    q = next(q for s in range(50) for q in drawn(kb, s, 100) if q.rule == "standpipe-height" and q.side == "below")
    assert marked(kb, q, "39 in").right
    assert not marked(kb, q, "96 in").right


def test_what_is_due_comes_first_and_the_same_seed_asks_the_same(kb):
    assert next(q.rule for q in drawn(kb, 3, 5, ["rule:trap-seal", "rule:gone", "cause:x"])) == "trap-seal"
    assert drawn(kb, 3, 5) == drawn(kb, 3, 5)
    assert drawn(kb, 3, 5) != drawn(kb, 4, 5)
    assert len(drawn(kb, 3, 5, area="power")) == 5


def test_a_number_alone_is_read_in_the_unit_of_the_limit(kb):
    for q in drawn(kb, 1, 200):
        text = (kb.rules[q.rule].min if q.side == "below" else kb.rules[q.rule].max) or ""
        number = NUMBER.match(text).group().strip()
        assert with_unit(kb, q, number) == (f"{number} {text.removeprefix(number).strip()}").strip()
        assert marked(kb, q, with_unit(kb, q, number)).right, q.rule
        assert with_unit(kb, q, text) == text


@pytest.mark.parametrize(
    ("typed", "whole"),
    [
        (".5", ".5 in"),
        ("½", "½ in"),
        ("7½", "7½ in"),
        ("8.", "8 in"),
        ("+8", "+8 in"),
        ("7-1/2", "7-1/2 in"),
        ("8'", "8'"),
        ("8 ft", "8 ft"),
        ("eight", "eight"),
    ],
)
def test_a_number_alone_is_one_in_any_spelling(kb, typed, whole):
    q = next(q for q in drawn(kb, 1, 500) if q.rule == "hose-insertion-depth")
    assert with_unit(kb, q, typed) == whole
    if whole.endswith("in"):
        quantity.parse(whole, q.measures)


def test_a_limit_is_right_in_either_system_as_it_is_shown(kb):
    """39 in is 99 cm on every card: whoever types what a card shows is right."""
    for q in drawn(kb, 2, 200):
        rule = kb.rules[q.rule]
        low, high = limits(rule)
        value = low if q.side == "below" else high
        for system in ("us", "si"):
            assert marked(kb, q, formatting.show(value, rule.measures, system)).right, (q.rule, system)


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("39", True),
        ('39"', True),
        ("3' 3\"", True),
        ("99 cm", True),
        ("1 m", False),
        ("96 cm", False),
        ("40 in", False),
    ],
)
def test_trade_notation_is_marked_within_the_rounding_of_the_limit(kb, typed, right):
    q = next(q for s in range(50) for q in drawn(kb, s, 100) if q.rule == "standpipe-height" and q.side == "below")
    assert marked(kb, q, with_unit(kb, q, typed)).right is right
