"""Survey sheets: a blank one for whose hands it is, a filled one read back, and every mistake placed."""

import re

import pytest
from installations import NAMES, SHEETS, normal, sound
from msgspec.structs import replace

from dryfloor.engine.problems import Refused
from dryfloor.engine.sheet import (
    AREAS,
    HABITS,
    TITLES,
    Filled,
    area_of,
    area_rank,
    asked_facts,
    blank,
    blank_lines,
    care,
    datum,
    line_card,
    measurers,
    sheet_of,
    text_of,
    with_machine,
)
from dryfloor.engine.yamlio import from_bytes


def parsed(kb, text, hands="technician"):
    """Return a sheet from its text."""
    return sheet_of(kb, from_bytes(text.encode(), "sheet.yaml"), hands)


def problems(kb, text, hands="technician"):
    """Return the problems of a sheet's text."""
    with pytest.raises(Refused) as caught:
        parsed(kb, text, hands)
    return caught.value.problems


@pytest.mark.parametrize("hands", ["homeowner", "technician"])
def test_a_blank_sheet_filled_with_normal_answers_is_a_sheet(kb, hands):
    """Every line of the print can be filled in, and what is filled in is what is read."""
    facts = {"drain": "standpipe", "machine": "top-loader"}
    lines = blank_lines(kb, hands, facts)
    wanted = {c.id: normal(kb, c) for c in lines}
    text = blank(kb, hands, facts)
    for name, said in wanted.items():
        assert text.count(f"\n  {name}:\n") == 1
        text = text.replace(f"\n  {name}:\n", f'\n  {name}: "{said}"\n')
    filled = parsed(kb, text)
    assert filled.readings == wanted
    assert filled.facts == facts
    assert filled.hands == hands


def test_every_line_of_a_blank_sheet_has_datum_limit_and_tool(kb):
    text = blank(kb)
    for check in blank_lines(kb, "technician", {}):
        # From the line before, which ends as a name and a colon with no # in front.
        at = re.split(r"(?m)^(?!  #).*:\n", text.split(f"\n  {check.id}:\n")[0] + "\n")[-1].replace("\n  #", " ")
        tidy = " ".join(at.split())
        assert check.title in tidy
        for tool in check.tools or ["no tool"]:
            assert tool in tidy, (check.id, tool)
        for hazard in check.hazards:
            assert kb.hazards[hazard].signal in tidy
        if check.kind == "measure":
            assert "at least" in tidy or "at most" in tidy or " to " in tidy
        else:
            assert all(f"{a} =" in tidy for a in check.answers)


@pytest.mark.parametrize("width", [39, 79, 99])
def test_a_blank_sheet_fits_the_width_it_is_given(kb, width):
    text = blank(kb, width=width)
    assert [line for line in text.splitlines() if len(line) > width] == []
    assert parsed(kb, text.replace("\n  foot-gap:\n", "\n  foot-gap: 1 mm\n")).readings == {"foot-gap": "1 mm"}


def test_the_blank_sheet_follows_the_walk_round_the_machine(kb):
    areas = [area_of(kb, "rules", c.rule) for c in blank_lines(kb, "technician", {})]
    assert [area_rank(a) for a in areas] == sorted(area_rank(a) for a in areas)
    assert areas[0] == "stand"
    assert not set(areas) & set(HABITS)
    assert {area_of(kb, "rules", r) for r in kb.rules} <= set(AREAS), "a new area has no place in the walk yet"
    assert set(TITLES) == set(AREAS)


def test_each_rule_that_hands_can_read_has_a_line(kb):
    lines = {c.rule for c in blank_lines(kb, "technician", {})}
    for rule, checks in measurers(kb).items():
        if any(c.minutes.technician is not None for c in checks) and area_of(kb, "rules", rule) not in HABITS:
            assert rule in lines


def test_every_measurement_that_hands_can_make_has_a_line(kb):
    lines = {c.id for c in blank_lines(kb, "technician", {})}
    for checks in measurers(kb).values():
        for check in checks:
            if check.kind == "measure" and check.minutes.technician is not None and area_of(kb, "rules", check.rule) not in HABITS:
                assert check.id in lines


def test_a_homeowner_is_never_asked_for_live_voltage(kb):
    asked = {c.id for c in blank_lines(kb, "homeowner", {})}
    assert "outlet-voltage" not in asked
    assert "outlet-voltage" in {c.id for c in blank_lines(kb, "technician", {})}
    for name in asked:
        assert not any("homeowner" in kb.hazards[h].never for h in kb.checks[name].hazards)


def test_known_facts_take_lines_away(kb):
    text = blank(kb, "technician", {"drain": "tub"})
    assert "standpipe-height:" not in text
    assert "tub-rim-height:" in text
    assert "drain: tub" in text


def test_a_line_never_shows_the_datum_of_another_reading(kb):
    """Hot to ground is held against the rule of hot to neutral; its line must not say hot to neutral."""
    assert "ground" in datum(kb, kb.checks["hot-ground-voltage"], "technician", "technician").lower()
    assert datum(kb, kb.checks["standpipe-height"], "technician", "technician") == kb.rules["standpipe-height"].of
    assert care(kb, kb.checks["hot-ground-voltage"]).startswith(("DANGER", "WARNING"))


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_is_written_and_read_back(kb, name):
    filled = sound(kb, name)
    assert parsed(kb, text_of(filled)) == filled


def test_a_value_with_quotes_and_marks_is_written_and_read_back(kb):
    filled = Filled('A "new" # house', {}, {"standpipe-height": '39 1/2"'}, "brook-front-loader", "homeowner")
    assert parsed(kb, text_of(filled)) == filled


def test_hands_come_from_the_sheet_else_from_the_role(kb):
    assert parsed(kb, "readings: {hose-depth: 6 in}", "homeowner").hands == "homeowner"
    assert parsed(kb, "hands: technician\nreadings: {hose-depth: 6 in}", "homeowner").hands == "technician"


@pytest.mark.parametrize(
    ("text", "code", "line", "column", "near"),
    [
        ("readings:\n  standpipe-hight: 42 in\n", "S003", 2, 3, "standpipe-height"),
        ("readings:\n  house-pressure: 60 psi\n", "S003", 2, 3, "standing-pressure"),
        ("reading:\n  hose-depth: 6 in\n", "S002", 1, 1, "readings"),
        ("hose-depth: 6 in\n", "S002", 1, 1, "hose-depth"),
        ("facts: {drian: tub}\nreadings: {hose-depth: 6 in}\n", "C012", 1, 9, "drain"),
        ("facts: {drain: tubb}\nreadings: {hose-depth: 6 in}\n", "C013", 1, 9, "tub"),
        ("readings:\n  standpipe-bore: 2\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-bore: 2 psi\n", "C023", 2, 3, ""),
        ("readings:\n  standpipe-height: 42 ft\n", "C023", 2, 3, "42 in"),
        ("readings:\n  hose-sealed: tapped\n", "C021", 2, 3, "taped"),
        ("hands: plummer\nreadings: {hose-depth: 6 in}\n", "S004", 1, 8, ""),
        ("- hose-depth: 6 in\n", "S001", 1, 1, ""),
        ("title: nothing measured\nreadings:\n  hose-depth:\n", "S005", 1, 1, ""),
        ("a: [1\n", "Y001", 2, 1, ""),
    ])  # fmt: skip
def test_a_wrong_sheet_is_refused_at_its_place(kb, text, code, line, column, near):
    found = next(p for p in problems(kb, text) if p.code == code)
    assert (found.file, found.line, found.column) == ("sheet.yaml", line, column)
    assert found.mend
    assert found.nearest == near


def test_an_empty_file_points_to_the_blank_sheet(kb):
    assert "survey --blank" in problems(kb, "")[0].mend


def test_all_mistakes_of_a_sheet_come_at_once(kb):
    text = "readings:\n  standpipe-hight: 42 in\n  hose-depth: 6\n  hose-sealed: x\nfacts: {drain: pipe}\n"
    assert sorted(p.code for p in problems(kb, text)) == ["C013", "C021", "C023", "S003"]


def test_a_homeowners_live_reading_is_refused(kb):
    text = "readings: {outlet-voltage: 120 V}"
    assert problems(kb, text, "homeowner")[0].code == "S006"
    assert parsed(kb, text).readings == {"outlet-voltage": "120 V"}


def test_a_machine_sheet_brings_its_facts_and_its_limits(kb):
    filled = Filled("x", {}, {"hose-depth": "5 in"}, "brook-front-loader", "technician")
    own, known = with_machine(kb, filled, None)
    assert known.facts == {"machine": "front-loader"}
    assert own.rules["hose-insertion-depth"].max == "4.5 in"
    assert own.data["pump-rate"] == "9 gpm"
    named, _ = with_machine(kb, filled, "meadow-top-loader")
    assert named.rules["hose-insertion-depth"].max == "6 in"
    assert with_machine(kb, replace(filled, machine=None), None)[0] is kb


def test_a_survey_that_contradicts_its_machine_is_refused(kb):
    filled = Filled("x", {"machine": "top-loader"}, {"hose-depth": "5 in"}, "brook-front-loader", "technician")
    with pytest.raises(Refused) as caught:
        with_machine(kb, filled, None)
    assert caught.value.problems[0].code == "S007"
    with pytest.raises(Refused):
        with_machine(kb, replace(filled, machine="brok-front-loader"), None)


def test_a_line_by_asking_has_the_voice_of_who_asks(kb):
    ours = line_card(kb, "standpipe-height", "technician", "technician", {})
    theirs = line_card(kb, "standpipe-height", "homeowner", "homeowner", {})
    assert ours.question == kb.checks["standpipe-height"].ask.technician
    assert theirs.question == kb.checks["standpipe-height"].ask.homeowner
    assert ours.measures == "length"
    assert [n.hazard for n in ours.notes] == kb.checks["standpipe-height"].hazards
    fact = line_card(kb, "drain", "technician", "technician", {})
    assert [c.id for c in fact.choices] == list(kb.facts["drain"].options)


def test_a_survey_asks_no_history(kb):
    assert not {f.id for f in asked_facts(kb)} & {"onset", "rhythm", "tried-levelling"}
    assert all((SHEETS / f"{n}.yaml").exists() for n in NAMES)
