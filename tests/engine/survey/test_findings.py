"""What is found broken: by consequence, each with its mend; given that it is so, a bolt walks."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge import graph
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.consequences import behind_break, leads_to
from dryfloor.engine.survey.findings import mend_of, own_mend
from tests.support.installations import sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)


def test_a_bolt_that_is_seen_is_no_guess(kb):
    filled = sound(kb, "sound")
    done = survey(kb, replace(filled, readings={**filled.readings, "restraints-left": "bolts-or-rods"}))
    (found,) = done.findings
    assert found.leads_to[0].complaint == "walks"
    # The strength of its link to the complaint is all that is left of doubt.
    assert found.leads_to[0].p == pytest.approx(network_of(kb).shown["complaint:walks"]["restraints-left-in"], abs=1e-6)
    remedy = kb.causes["restraints-left-in"].remedy
    assert (found.mend.steps, found.mend.minutes, found.mend.by) == (remedy.steps, remedy.minutes, "anyone")
    assert next(n.hazard for n in found.mend.hazards) == "machine-shifting"


def test_findings_come_by_what_their_mend_saves(kb):
    filled = sound(kb, "sound")
    moved = {
        "restraints-left": "bolts-or-rods",
        "standpipe-height": "31 in",
        "things-on-top": "things",
        "breaker-number": "fifteen",
    }
    done = survey(
        kb, replace(filled, readings={**filled.readings, **moved}, facts={**filled.facts, "code-edition": "nec-2020"})
    )
    saves = [f.saves for f in done.findings]
    assert saves == sorted(saves, reverse=True)
    assert next(f.check for f in done.findings) == "restraints-left"
    assert {f.check for f in done.findings} == set(moved)


def test_what_can_hurt_comes_before_what_costs(kb):
    filled = sound(kb, "sound")
    moved = {"restraints-left": "bolts-or-rods", "extension-cord-used": "cord"}
    done = survey(
        kb, replace(filled, readings={**filled.readings, **moved}, facts={**filled.facts, "code-edition": "nec-2020"})
    )
    assert [(f.check, f.hurts) for f in done.findings] == [("extension-cord-used", True), ("restraints-left", False)]
    assert done.findings[0].saves < done.findings[1].saves


def test_three_codes_on_one_gauge_are_one_finding(kb):
    filled = sound(kb, "sound")
    done = survey(kb, replace(filled, readings={**filled.readings, "standing-pressure": "95 psi"}))
    (found,) = done.findings
    assert set(found.rules) == {"house-pressure", "house-pressure-ipc", "house-pressure-irc"}
    assert found.mend.by == "plumber"


def test_a_rule_without_a_cause_says_its_limit_and_whose_work_it_is(kb):
    filled = sound(kb, "sound")
    done = survey(kb, replace(filled, readings={**filled.readings, "breaker-number": "fifteen"}))
    (found,) = done.findings
    assert found.mend.cause == ""
    assert (found.mend.by, found.mend.title) == ("electrician", kb.rules["laundry-circuit-nec"].mends[0].title)
    assert found.limits == kb.rules["laundry-circuit-nec"].must


def test_an_overtight_nut_is_no_plumbers(kb):
    """Who mends it follows from what is done, not from the part of the house: a new washer and a nut are whoever installs'."""
    (found,) = survey(kb, FilledSheet("x", {}, {"coupling-turns": "1 1/2 turn"}, None, "technician")).findings
    assert (found.mend.by, found.may_decline) == ("anyone", False)
    assert "new flat washer" in " ".join(found.mend.steps)
    (loose,) = survey(kb, FilledSheet("x", {}, {"coupling-turns": "1/8 turn"}, None, "technician")).findings
    assert loose.mend.cause == "coupling-not-tight"


def test_a_soft_floor_is_not_told_to_spin_slower(kb):
    facts = {"drain": "standpipe", "floor": "wood-joists"}
    (found,) = survey(kb, FilledSheet("x", facts, {"floor-soft": "soft"}, None, "technician")).findings
    assert "not used there" in found.mend.steps[0]
    assert "slower spin" not in " ".join(found.mend.steps)
    (springy,) = survey(kb, FilledSheet("x", facts, {"floor-bounce": "trembles"}, None, "technician")).findings
    assert springy.mend.cause == "floor-springy"


def test_every_rule_that_a_line_reads_says_who_keeps_it_again(kb):
    """By the remedy of a cause that breaks it, or by its own mend, on each side."""
    tied = {c.rule for c in kb.checks.values() if c.rule}
    tied |= {n.rule for name in list(tied) for n in kb.rules[name].neighbours if n.same_reading_if}
    tied |= {r.id for r in kb.rules.values() if tied & {*r.replaces}}
    lacking = []
    for rule in (kb.rules[name] for name in sorted(tied)):
        sides = [None] if rule.measures == "state" else [s for s, x in (("below", rule.min), ("above", rule.max)) if x]
        broken = {c.breaks.side for c in kb.causes.values() if c.breaks and c.breaks.rule in {rule.id, *rule.replaces}}
        lacking += [(rule.id, s) for s in sides if own_mend(kb, rule, s) is None and s not in broken]
    assert lacking == []


def test_a_proof_that_fails_is_found_and_no_cause_is_called_sure(kb):
    filled = sound(kb, "sound")
    done = survey(kb, replace(filled, readings={**filled.readings, "spin-stays-put": "walked"}))
    assert done.failed
    (found,) = done.findings
    assert (found.check, found.rules, found.mend.cause) == ("spin-stays-put", [], "")
    assert done.proofs[-1].passed is False


def test_who_mends_hangs_on_what_stands_beside(kb):
    cause = kb.causes["restraints-left-in"]
    assert mend_of(kb, cause, {}).by == "anyone"
    assert mend_of(kb, cause, {"dryer-beside": "gas-dryer"}).by == "technician"


def test_every_answer_and_side_that_breaks_a_rule_gets_a_mend(kb):
    """What a mend says is there: steps from the kb, or the limit; never an empty one."""
    network = network_of(kb)
    for check in kb.checks.values():
        if check.kind == "measure" or not check.rule or check.only_proof:
            continue
        for answer in list(check.answers)[:-1]:
            behind = behind_break(
                network, kb.rules[check.rule], None, {"onset": "new"}, graph.answer_node(check.id, answer)
            )
            assert all(0 <= p <= 1 for p in behind.values())
    sheet = FilledSheet("x", {"drain": "tub"}, {"tub-volume": "9 gal", "level-side": "1 in/ft"}, None, "technician")
    for found in survey(kb, sheet).findings:
        assert found.mend.title
        assert found.mend.by_text
    assert leads_to(network, kb.rules["drain-kind"], None, {}) == leads_to(network, kb.rules["drain-kind"], None, {})


def test_a_rule_without_a_mend_of_its_own_says_in_plain_words_what_is_wanted(kb):
    filled = FilledSheet(
        "x",
        {"supply-system": "us-120"},
        {"neutral-ground-voltage": "6 V", "taps-reachable": "stuck"},
        None,
        "technician",
    )
    bare = replace(kb, rules={n: replace(r, mends=[]) for n, r in kb.rules.items()})
    titles = {f.check: f.mend.title for f in survey(bare, filled).findings}
    assert titles["neutral-ground-voltage"].endswith("hange it until it reads at most 5 V")
    assert titles["taps-reachable"].startswith("Put it right, so that there is access to both taps")
    own = {f.check: f.mend for f in survey(kb, filled).findings}
    assert own["taps-reachable"].by == "plumber"
    assert "main valve" in own["taps-reachable"].steps[0]


def test_restraints_that_were_counted_and_are_missing_nearly_always_walk(kb):
    """Counted against the machine's sheet they are seen, not remembered: what a bolt in the back leads to, they lead to."""
    seen = {}
    for line, answer in (("restraints-counted", "never-out"), ("restraints-left", "bolts-or-rods")):
        (seen[line],) = survey(kb, FilledSheet("x", {}, {line: answer}, None, "technician")).findings
    assert seen["restraints-counted"].leads_to == seen["restraints-left"].leads_to
    assert seen["restraints-counted"].leads_to[0].p > 0.95
    assert seen["restraints-counted"].mend.cause == "restraints-left-in"
