"""Twin of engine/advising/verdicts.py: a code's rule binds where that code is in force, and is advice while nobody knows."""

from itertools import product

import msgspec
import pytest

from dryfloor.cli.commands.survey import status
from dryfloor.engine import model
from dryfloor.engine.advice import Step
from dryfloor.engine.advising.cards import check_card
from dryfloor.engine.advising.verdicts import advice_until, broken_under_all, hangs_on, measured
from dryfloor.engine.advising.wording import ASK, from_memory
from dryfloor.engine.case.state import State
from dryfloor.engine.measurement.readings import held_against, reading
from dryfloor.engine.model import holds
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import Survey, survey
from tests.support.installations import sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)

# Trap weir to vent, 2 in pipe: IPC Table 909.1 allows 8 ft (S), UPC Table 1002.2 5 ft (S). Top of the pipe above the trap weir:
# IPC 802.4 18 to 42 in (S), UPC 804.1 18 to 30 in (P).
BETWEEN = [
    ("trap-arm-length", "7 ft", "trap-arm-length-upc-2in"),
    ("standpipe-above-weir", "36 in", "standpipe-height-upc-trap"),
]
BEYOND = [
    ("trap-arm-length", "9 ft"),
    ("standpipe-above-weir", "46 in"),
    ("standpipe-above-weir", "12 in"),
    ("drain-slope", "1/16 in/ft"),
]


def surveyed(kb: model.KB, code: str | None, check: str, said: str) -> Survey:
    filled = sound(kb, "sound")
    facts = {f: o for f, o in filled.facts.items() if f != "plumbing-code"} | ({"plumbing-code": code} if code else {})
    return survey(kb, msgspec.structs.replace(filled, facts=facts, readings={**filled.readings, check: said}))


def line(done: Survey, rule: str):
    return next(x for x in done.lines if x.rule == rule)


@pytest.mark.parametrize(("check", "said", "upc"), BETWEEN)
@pytest.mark.parametrize("code", [None, "unknown-code", "ipc", "irc", "upc"])
def test_what_one_code_forbids_and_another_allows_breaks_nothing_but_that_one_in_force(kb, code, check, said, upc):
    done = surveyed(kb, code, check, said)
    found = line(done, upc)
    assert status(done) == ("broken" if code == "upc" else "sound")
    if code == "upc":
        assert (found.verdict, found.counted, found.advice) == ("broken", True, "")
    elif code in (None, "unknown-code"):
        assert (found.verdict, found.counted) == ("broken", False)
        assert "advice, as long as the plumbing code in force is not known" in found.text
    else:
        assert found.verdict == "not-applicable"


@pytest.mark.parametrize(("check", "said"), BEYOND)
@pytest.mark.parametrize("code", [None, "unknown-code", "ipc", "irc", "upc"])
def test_what_every_code_forbids_is_broken_whoever_governs(kb, code, check, said):
    done = surveyed(kb, code, check, said)
    assert status(done) == "broken"
    assert not any(x.advice for x in done.lines)


def test_an_electrical_rule_is_advice_until_the_edition_is_said(kb):
    filled = sound(kb, "sound")
    readings = {**filled.readings, "breaker-number": "fifteen"}
    for edition, broken in ((None, False), ("unknown-edition", False), ("nec-2020", True)):
        facts = {f: o for f, o in filled.facts.items() if f != "code-edition"}
        facts |= {"code-edition": edition} if edition else {}
        done = survey(kb, msgspec.structs.replace(filled, facts=facts, readings=readings))
        bound = [x for x in done.lines if x.verdict == "broken" and hangs_on(kb, kb.rules[x.rule])]
        assert bound
        assert all(x.counted is broken for x in bound)
        assert all(("electrical code in force is not known" in x.text) is not broken for x in bound)


def test_a_reading_in_a_walk_names_only_codes_that_can_be_in_force(kb):
    r = reading(kb, "trap-arm-length", "7 ft", "technician")
    unknown = measured(kb, r, facts={}).neighbours
    irc, upc = unknown  # the IRC's row is from memory, and a technician sees that it is
    assert "from memory, unverified" in irc
    assert "advice" not in irc
    assert "advice, as long as" in upc
    assert measured(kb, r, facts={"plumbing-code": "ipc"}).neighbours == []
    known = measured(kb, r, facts={"plumbing-code": "upc"})
    assert "not in force here" in known.text
    assert "advice" not in known.neighbours[0]


def test_only_codes_hang_on_a_fact_and_each_hanging_rule_can_be_in_force(kb):
    hanging = [r for r in kb.rules.values() if hangs_on(kb, r)]
    assert len(hanging) > 20
    for rule, (name, fact) in product(hanging, kb.facts.items()):
        if name in hangs_on(kb, rule):
            known = [o for o, option in fact.options.items() if not option.unknown]
            assert any(holds(rule.when, {name: o}) for o in known), rule.id
    assert all(advice_until(kb, r, {}) for r in hanging)
    assert all(broken_under_all(kb, r, [r.id]) for r in kb.rules.values() if not hangs_on(kb, r))


# Each code's rule and where it is in force: drain sheet 3, supply sheets 1 and 2, power sheets 1 and 7, stand sheets 4 and 8.
NEC = {"nec-2011", "nec-2014", "nec-2017", "nec-2020", "nec-2023"}
IN_FORCE = {
    "trap-vented": ("plumbing-code", {"upc"}),  # UPC 1004.1 (P)
    "house-pressure": ("plumbing-code", {"upc"}),  # UPC 608.2 (P)
    "house-pressure-irc": ("plumbing-code", {"irc"}),  # P2903.3.1 (S)
    "arrester-fitted": ("plumbing-code", {"upc", "ontario"}),  # Minnesota on the UPC's base, Ontario (S)
    "trap-seal": ("plumbing-code", {"ipc", "baltimore"}),  # IPC 1002.4 (S)
    "trap-seal-ontario": ("plumbing-code", {"ontario"}),  # 7.2.3.1 (S)
    "standpipe-own-trap": ("plumbing-code", {"ipc", "baltimore"}),  # IPC 802.4 (S)
    "drain-air-break": ("plumbing-code", {"ipc", "irc", "baltimore"}),  # IPC 406.2, IRC P2718.1 (S)
    "supply-valve-access": ("plumbing-code", {"irc"}),  # P2903.9.3 (S)
    "pan-baltimore": ("plumbing-code", {"baltimore"}),  # P
    "floor-deflection": ("building-code", {"irc-house"}),  # T R301.7 (S)
    "closet-opening-dryer-imc": ("building-code", {"ibc-imc"}),  # IMC 504.6 (S)
    "residual-current-30-ma": ("code-edition", {"iec-60364"}),  # IEC 60364-4-41 (S)
    "gfci-reach-nec": ("code-edition", NEC - {"nec-2011"}),  # 210.8 lead text (S), edition not said
    "outlet-distance-nec": ("code-edition", NEC),  # 210.50(C) (S)
    "outlet-grounding-nec": ("code-edition", NEC),  # 406.4(A) (S)
    "washer-ground-nec": ("code-edition", NEC),  # 250.114(3) (S; M)
    "laundry-outlet-nec": ("code-edition", NEC),  # 210.52(F) (S)
    "motor-fuse-nec": ("code-edition", NEC),  # table 430.52 (S)
}


@pytest.mark.parametrize("rule", IN_FORCE)
def test_a_codes_rule_binds_where_it_was_adopted_and_nowhere_else(kb, rule):
    fact, where = IN_FORCE[rule]
    options = kb.facts[fact].options
    assert {o for o in options if holds(kb.rules[rule].when, {fact: o}) and not options[o].unknown} == where
    assert advice_until(kb, kb.rules[rule], {})
    assert not any(advice_until(kb, kb.rules[rule], {fact: o}) for o in where)


def test_every_code_rule_hangs_on_a_code(kb):
    assert [r.id for r in kb.rules.values() if r.authority == "code" and not hangs_on(kb, r)] == []


@pytest.mark.parametrize(
    ("code", "counted"),
    [
        (None, {"drain-air-break"}),
        ("ipc", {"drain-air-break"}),
        ("irc", {"drain-air-break"}),
        ("upc", {"drain-air-break-upc"}),
        ("ontario", set()),
    ],
)
def test_one_look_serves_the_code_in_force_and_counts_once(kb, code, counted):
    done = surveyed(kb, code, "hose-sealed", "taped")
    assert {x.rule for x in done.lines if x.verdict == "broken" and x.counted} == counted


@pytest.mark.parametrize(("code", "broken"), [(None, False), ("ontario", False), ("ipc", True), ("upc", False)])
def test_a_place_with_a_gentler_rule_keeps_an_unnamed_code_from_binding(kb, code, broken):
    """5 in of trap seal: IPC stops at 4 in (S), Ontario is quoted with no maximum (S)."""
    found = line(surveyed(kb, code, "trap-seal-depth", "5 in"), "trap-seal")
    assert (found.verdict == "broken" and found.counted) is broken


@pytest.mark.parametrize("hands", ["homeowner", "technician"])
def test_to_a_customer_no_code_is_quoted_from_memory_who_is_told_to_ask(kb, hands):
    """NEC 250.114: that its list holds washers is M. UPC 1005.1: M."""
    filled = FilledSheet("x", {"supply-system": "us-120"}, {"marked-no-ground": "no-ground-mark"}, None, hands)
    seen = line(survey(kb, filled), "washer-ground-nec")
    assert (seen.verdict, seen.counted, bool(seen.leads_to)) == ("broken", hands == "technician", True)
    step = Step(kind="check", id="marked-no-ground", title="", why="", minutes=1, cost=1)
    card = check_card(kb, State(role=hands, hands=hands), step).rule
    r = reading(kb, "trap-seal-depth", "5 in", "technician")
    m = measured(kb, held_against(kb, r, kb.rules["trap-seal-upc"]), expert=hands == "technician")
    for text in (f"{seen.whose}; {seen.text}", "; ".join(card), "; ".join([m.text, m.whose, *m.neighbours])):
        assert ("from memory" in text) is (hands == "technician")
        assert (ASK in text) is (hands == "homeowner")


def test_no_card_of_a_customer_quotes_a_code_from_memory(kb):
    quoted = {r.edition for r in kb.rules.values() if from_memory(r)}
    assert len(quoted) > 10
    for check in kb.checks.values():
        if check.rule and check.minutes.homeowner is not None:
            for role in ("homeowner", "desk"):
                step = Step(kind="check", id=check.id, title="", why="", minutes=1, cost=1)
                said = " ".join(check_card(kb, State(role=role, hands="homeowner"), step).rule)
                assert not any(e in said for e in quoted), check.id


def test_the_card_of_a_reading_shows_the_limit_of_the_code_in_force(kb):
    """Trap weir to vent, 2 in: IPC Table 909.1 8 ft (S), UPC Table 1002.2 5 ft (S)."""
    step = Step(kind="check", id="trap-arm-length", title="", why="", minutes=1, cost=1)
    for code, table, limit in (("ipc", "IPC Table 909.1", "96 in"), ("upc", "UPC Table 1002.2", "60 in")):
        state = State(role="technician", hands="technician", facts=(("plumbing-code", code),))
        first, whose, *_ = check_card(kb, state, step).rule
        assert f"at most {limit}" in first
        assert table in whose
