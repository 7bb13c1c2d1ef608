"""What keeps the machine from being run: whatever raises a hazard's gate, guarded rules, and what nobody leaves without."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.calculators.circuit import GLOWS_W
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.must_see import must_see
from dryfloor.engine.survey.stops import OFF, SHUT, danger_of, may_go_on, meanwhile, stops
from tests.support.installations import NAMES, sound


def of(kb, **readings):
    """Return the stops of some readings."""
    said = {k.replace("_", "-"): v for k, v in readings.items()}
    return stops(kb, FilledSheet("x", {}, said, None, "technician"))


@pytest.mark.parametrize("name", NAMES)
def test_a_sound_installation_is_run(kb, name):
    assert stops(kb, sound(kb, name)) == []


def test_every_answer_that_raises_a_gate_stops_the_run_in_plain_words(kb):
    raised = [(c.id, a, x.raises) for c in kb.checks.values() for a, x in c.answers.items() if x.raises]
    assert len(raised) > 25
    for check, answer, hazard in raised:
        facts = {f: w if isinstance(w, str) else w[0] for f, w in kb.checks[check].when.items()}
        (found,) = stops(kb, FilledSheet("x", facts, {check: answer}, None, "technician"))
        assert found.grave
        assert found.danger == (kb.hazards[hazard].danger or kb.hazards[hazard].says)


def test_the_words_of_a_danger_are_the_kbs(kb):
    """Another kb's words stand on the sheet: none of them is in the code."""
    said = {"drip-rate": "running", "outlet-readings": "no-ground", "hose-sealed": "taped"}
    other = replace(kb, hazards={n: replace(h, danger=f"Beware of {n}.", shut_off=None) for n, h in kb.hazards.items()})
    found = {s.check: s for s in stops(other, FilledSheet("x", {"drain": "standpipe"}, said, None, "technician"))}
    assert found["drip-rate"].danger == "Beware of water-running."
    assert found["outlet-readings"].danger == "Beware of shock-tingle."
    assert found["hose-sealed"].act == kb.hazards["water-running"].says


def test_every_guarded_rule_of_ours_says_which_break_keeps_it_from_being_run(kb):
    guarded = [r for r in kb.rules.values() if r.guarded]
    assert len(guarded) > 10
    assert [r.id for r in guarded if not r.danger and not r.why_no_danger] == []
    assert all(kb.hazards[r.danger.hazard].danger for r in kb.rules.values() if r.danger)


def test_what_must_be_seen_says_what_it_can_do_or_would_only_fail(kb):
    rules = {c.rule for c in must_see(kb, "technician") if c.rule and not c.only_proof}
    assert {r for r in rules if not kb.rules[r].danger} == {"fill-taps-open"}


@pytest.mark.parametrize(
    ("line", "mild", "grave", "system"),
    [
        ("outlet-voltage-drop", "4.2 V", "9 V", "us-120"),
        ("socket-voltage-drop", "14 V", "25 V", "eu-230"),
        ("neutral-ground-voltage", "6 V", "15 V", "us-120"),
        ("outlet-voltage", "112 V", "134 V", "us-120"),
        ("outlet-voltage", "111 V", "100 V", "us-120"),
        ("socket-voltage", "203 V", "265 V", "eu-230"),
        ("washer-leakage", "1 mA", "6 mA", "us-120"),
        ("legs-at-panel", "both-fall", "apart", "us-120"),
    ],
)
def test_a_guarded_rule_slightly_past_its_limit_is_mended_soon_and_far_past_it_is_not_run(
    kb, line, mild, grave, system
):
    sheets = [FilledSheet("x", {"supply-system": system}, {line: said}, None, "technician") for said in (mild, grave)]
    assert [bool(stops(kb, sheet)) for sheet in sheets] == [False, True]
    done = [survey(kb, sheet) for sheet in sheets]
    for d in done:
        assert d.counts["broken"] == 1
        assert (d.findings[0].check, bool(d.findings[0].meanwhile)) == (line, not d.stops)


def test_what_the_physics_makes_of_a_reading_counts_with_what_else_was_measured(kb):
    """2.5 V beside the wire's own at 10 A are 25 W: by hand, 20 ft of 12 AWG take 0.8 V hot, 50 ft 2.0 V (NEC chapter 9 table 8)."""
    here = {"supply-system": "us-120"}
    long = FilledSheet("x", here, {"outlet-voltage-drop": "4.2 V"}, None, "technician")
    short = replace(long, readings={**long.readings, "run-to-panel": "20 ft"})
    assert (stops(kb, long), len(stops(kb, short))) == ([], 1)


def test_the_rule_of_the_drop_stops_a_run_where_its_working_says_stop(kb):
    assert kb.rules["branch-voltage-drop"].danger.at_least == GLOWS_W


def test_a_guarded_rule_that_says_nothing_stops_the_run_by_any_break(kb):
    """A kb of before, and a shop's own rules, are as careful as they were."""
    before = replace(kb, rules={n: replace(r, danger=None, why_no_danger=None) for n, r in kb.rules.items()})
    (found,) = stops(before, FilledSheet("x", {}, {"outlet-voltage-drop": "4.4 V"}, None, "technician"))
    assert (found.check, bool(found.danger)) == ("outlet-voltage-drop", True)


@pytest.mark.parametrize(
    ("line", "answer", "danger"),
    [
        ("fill-hose-bulge", "split", "flood"),
        ("fill-hose-bulge", "bulge", "flood"),
        ("drip-rate", "running", "flood"),
        ("drip-rate", "dripping", "flood"),
        ("device-got-wet", "got-wet", "shock"),
        ("outlet-holes", "ground-defeated", "shock"),
        ("outlet-holes", "two-slots", "shock"),
        ("outlet-readings", "hot-neutral-reversed", "shock"),
        ("outlet-readings", "no-ground", "shock"),
        ("marked-no-ground", "no-ground-mark", "shock"),
        ("extension-cord-used", "cord", "fire"),
        ("plug-browned", "browned", "fire"),
        ("washer-leakage", "4 mA", "shock"),
        ("restraints-counted", "never-out", "walk"),
        ("hose-sealed", "taped", "flood"),
        ("washer-taps-turned", "both-closed", ""),
    ],
)
def test_what_stops_a_run_says_how_it_hurts(kb, line, answer, danger):
    (found,) = of(kb, **{line: answer})
    assert danger in found.danger
    assert bool(danger) == bool(found.danger)


def test_what_must_be_seen_stops_a_run_by_any_wrong_answer(kb):
    for check in must_see(kb, "technician"):
        if check.only_proof:
            continue
        for answer in list(check.answers)[:-1]:
            facts = {f: w if isinstance(w, str) else w[0] for f, w in check.when.items()}
            assert stops(kb, FilledSheet("x", facts, {check.id: answer}, None, "technician")), (check.id, answer)


def test_what_hurts_nobody_stops_nothing(kb):
    assert of(kb, things_on_top="things", standpipe_height="31 in", ground_fault_device="no-test-button") == []


def test_where_it_can_hurt_nobody_opens_a_tap_or_lays_a_hand_on_it(kb):
    burst = of(kb, fill_hose_bulge="split")
    assert not any(
        may_go_on(kb, kb.checks[c], burst) for c in ("drip-rate", "rocks-by-hand", "hose-gpm") if c in kb.checks
    )
    assert may_go_on(kb, kb.checks["restraints-counted"], burst)
    assert may_go_on(kb, kb.checks["rocks-by-hand"], of(kb, hose_sealed="taped"))


def test_current_comes_before_the_taps(kb):
    both = of(kb, fill_hose_bulge="split", outlet_holes="two-slots")
    assert meanwhile(both) == [OFF]
    assert meanwhile(both[:1]) == [SHUT]
    assert meanwhile(of(kb, washer_taps_turned="both-closed")) == []


@pytest.mark.parametrize(
    ("line", "said", "scalds"),
    [
        ("hot-tap-temperature", "126 F", True),
        ("hot-tap-temperature", "60 F", False),
        ("hot-hose-probe", "131 F", True),
        ("cold-hose-probe", "90 F", False),
        ("standpipe-height", "100 in", False),
    ],
)
def test_hot_water_scalds_and_keeps_no_machine_from_being_run(kb, line, said, scalds):
    filled = FilledSheet("x", {"drain": "standpipe"}, {line: said}, None, "technician")
    assert bool(danger_of(kb, filled, kb.checks[line])) == scalds
    assert stops(kb, filled) == []


def test_a_customers_word_of_a_danger_stops_the_run_as_well(kb):
    filled = FilledSheet("x", {}, {"outlet-holes": "two-slots"}, None, "technician", ("outlet-holes",))
    assert stops(kb, filled) == stops(kb, replace(filled, told=()))


def test_a_gate_says_to_a_technician_what_to_say(kb):
    """'Made safe is none' puzzled whoever had not read the code: where a word is given, it is told when to say it."""
    for hazard in kb.hazards.values():
        ask = (hazard.gate.ask.technician or "") if hazard.gate else ""
        assert not ask.rstrip(".").endswith((" is none", " is safe")), hazard.id
