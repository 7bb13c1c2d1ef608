"""Twin of engine/advising/verdicts.py: a code's rule binds where that code is in force, and is advice while nobody knows."""

from itertools import product

import msgspec
import pytest

from dryfloor.cli.commands.survey import status
from dryfloor.engine import model
from dryfloor.engine.advising.verdicts import advice_until, broken_under_all, hangs_on, measured
from dryfloor.engine.measurement.readings import reading
from dryfloor.engine.model import holds
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
    assert len(unknown) == 1
    assert "advice, as long as" in unknown[0]
    assert measured(kb, r, facts={"plumbing-code": "ipc"}).neighbours == []
    upc = measured(kb, r, facts={"plumbing-code": "upc"})
    assert "not in force here" in upc.text
    assert "advice" not in upc.neighbours[0]


def test_only_codes_hang_on_a_fact_and_each_hanging_rule_can_be_in_force(kb):
    hanging = [r for r in kb.rules.values() if hangs_on(kb, r)]
    assert len(hanging) > 20
    for rule, (name, fact) in product(hanging, kb.facts.items()):
        if name in hangs_on(kb, rule):
            known = [o for o, option in fact.options.items() if not option.unknown]
            assert any(holds(rule.when, {name: o}) for o in known), rule.id
    assert all(advice_until(kb, r, {}) for r in hanging)
    assert all(broken_under_all(kb, r, [r.id]) for r in kb.rules.values() if not hangs_on(kb, r))
