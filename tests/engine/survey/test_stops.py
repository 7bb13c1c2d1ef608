"""What keeps the machine from being run: whatever raises a hazard's gate, guarded rules, and what nobody leaves without."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.survey.filled_sheet import FilledSheet
from dryfloor.engine.survey.must_see import must_see
from dryfloor.engine.survey.stops import AREAS, DANGERS, FLOOD, OFF, SHUT, may_go_on, meanwhile, scalds, stops
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
        assert found.danger in (DANGERS.get(hazard), kb.hazards[hazard].says)


def test_the_dangers_are_those_of_the_kb(kb):
    gates = {h.id for h in kb.hazards.values() if h.gate}
    assert set(DANGERS) <= gates


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
    assert set(AREAS.values()) >= {FLOOD}


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


def test_water_too_hot_scalds_and_water_too_cold_does_not(kb):
    assert scalds(kb, "hot-tap-temperature", "above")
    assert not scalds(kb, "hot-tap-temperature", "below")
    assert not scalds(kb, "standpipe-height", "above")


def test_a_customers_word_of_a_danger_stops_the_run_as_well(kb):
    filled = FilledSheet("x", {}, {"outlet-holes": "two-slots"}, None, "technician", ("outlet-holes",))
    assert stops(kb, filled) == stops(kb, replace(filled, told=()))
