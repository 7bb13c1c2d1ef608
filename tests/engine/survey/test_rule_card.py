"""The card of a rule: everything that bears on it, and both limits where a code and a manual set one."""

import pytest

from dryfloor.engine import model
from dryfloor.engine.calculators.calculator import all_calculators
from dryfloor.engine.knowledge.machine_sheet import apply_sheet
from dryfloor.engine.survey.areas import area_rank
from dryfloor.engine.survey.rule_card import by_area, rule_card


def test_every_rule_is_listed_once_in_the_order_of_the_walk(kb):
    areas = by_area(kb)
    assert sorted(r.rule for rows in areas.values() for r in rows) == sorted(kb.rules)
    assert [area_rank(a) for a in areas] == sorted(area_rank(a) for a in areas)
    assert all(r.limits for rows in areas.values() for r in rows)


def test_every_card_says_what_whose_and_from_where(kb):
    for name, rule in kb.rules.items():
        card = rule_card(kb, name)
        assert card.limits
        assert card.of
        assert card.whose
        assert len(card.sources) == len(rule.sources)
        assert all("grade " in text for text in card.sources), name
        assert set(card.breaks) <= {"below", "above", "broken"}
        assert len(card.neighbours) == len(rule.neighbours)
        if rule.authority == "code":
            assert "binds where adopted" in card.whose
        else:
            assert "binds" not in card.whose.replace("both bind", "")


def test_a_card_names_how_to_measure_what_breaks_it_and_what_follows(kb):
    card = rule_card(kb, "standpipe-height")
    assert "tape measure" in card.measure[0]
    assert "1/2 in" in card.measure[0]
    assert "Standpipe too low (below)" in card.causes
    assert card.leads_to["below"][0].startswith("it siphons ")
    assert card.leads_to["above"]
    assert card.practice == ["cp-10 of the common-practice list; no published source"]
    assert card.applies == ["kind of drain: in an upright pipe"]


def test_a_card_says_what_judges_in_its_place_and_how_that_is_read(kb):
    assert len(rule_card(kb, "standpipe-height").instead) == 2
    assert any("front loader" in text for text in rule_card(kb, "standpipe-height").instead)
    assert rule_card(kb, "standpipe-height-europe").measure == rule_card(kb, "standpipe-height").measure
    assert rule_card(kb, "standpipe-height-europe").instead == []


def test_a_card_shows_the_physics_behind_its_rule(kb):
    card = rule_card(kb, "hose-end-above-water-line")
    assert card.derived
    assert "worked out by hose-siphon" in card.working[0]
    assert "the machine sheet's water-line" in card.working[0]
    assert any("stand-in" in text for text in card.working)
    bore = rule_card(kb, "standpipe-bore").working
    assert any("dryfloor reckon stack-capacity" in text for text in bore)
    assert any("design limit" in text and "18 gpm" in text for text in bore)  # D: 17.5 gpm a quarter full


def test_every_rule_with_physics_is_worked_out_or_its_card_says_why_not(kb):
    named = {r for w in all_calculators().values() for r in w.rules}
    for name, rule in kb.rules.items():
        text = " ".join(rule_card(kb, name).working)
        if name in named:
            assert ("worked out by" in text) != ("not worked out: " in text), name
        else:
            assert rule.measures in ("state", "length", "age", "time", "area"), (
                f"{name}: a {rule.measures} obeys physics, and no working names it"
            )
            assert not rule.model


def test_a_card_weighs_a_break_with_values_that_it_names(kb):
    text = rule_card(kb, "restraints-out").working
    assert text[0].startswith("a break is weighed by spin-slip with restrained: 1")
    assert any(
        "if half a kilogram of clothes lies on one side: 100 in 100 of the unbalance force" in line for line in text
    )
    assert any("snug and about a quarter turn (C)" in line for line in rule_card(kb, "lock-nuts-tight").working)


def test_a_card_of_a_code_shows_the_machines_own_limit_beside_it(kb):
    sheet = model.Machine(
        title="x", id="x", data={"water-line": "20 in"},
        limits=[model.Limit(rule="house-pressure", max="100 psi", says="sheet p. 9"), model.Limit(rule="standpipe-height", min="30 in", says="sheet p. 3")],
    )  # fmt: skip
    own = apply_sheet(kb, sheet)
    code, practice = rule_card(own, "house-pressure"), rule_card(own, "standpipe-height")
    assert "80 psi" in code.limits
    assert "100 psi" in code.limits
    assert "rules here" in code.whose
    assert "sheet p. 9" in code.whose
    assert practice.whose == "this machine's own manual (sheet p. 3)"
    assert practice.limits.startswith("30 in")
    assert "(20 in)" in rule_card(own, "hose-end-above-water-line").working[0]


def test_an_unknown_rule_is_a_mistake_of_the_caller(kb):
    with pytest.raises(KeyError):
        rule_card(kb, "no-such-rule")


def test_a_card_says_which_break_keeps_a_machine_from_being_run_and_why(kb):
    drop = rule_card(kb, "branch-voltage-drop").danger
    assert drop.startswith("At 6 V or above, or heat of 25 or more")
    assert "It can start a fire. Not run before it is mended. Why: 25 W in one joint" in drop
    assert rule_card(kb, "legs-steady").danger.startswith("may be run until it is mended")
    assert "Not run" not in rule_card(kb, "water-heater-setting").danger
    assert rule_card(kb, "standpipe-height").danger == ""
    for name in kb.rules:
        if kb.rules[name].danger and (kb.rules[name].danger.below or kb.rules[name].danger.above):
            assert "At " in rule_card(kb, name).danger
