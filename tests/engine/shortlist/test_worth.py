"""What a line is worth: chance at a new installation, times what the look finds, times what its callback costs."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.shortlist.worth import counts, found, worth
from dryfloor.engine.survey.consequences import callback_cost, complains

ALL = {"onset": "new"}


def test_the_stake_of_a_cause_is_chance_complaint_and_callback(kb):
    """By hand where every fact that bears on it is known."""
    network = network_of(kb)
    facts = {f: next(iter(o.options)) for f, o in kb.facts.items()} | {"onset": "new", "drain": "standpipe"}
    stakes = worth(network, [kb.checks["restraints-left"]], "technician", facts)
    for name in ("restraints-left-in", "hose-sealed-in-pipe", "arrester-missing"):
        cause = kb.causes[name]
        chance = network.chance_of(name, tuple(facts[f] for f in network.bears[name]))
        at = stakes.causes.index(name)
        assert stakes.stake[at] == pytest.approx(chance * complains(network, name) * callback_cost(kb, cause), rel=1e-9)


def test_a_look_finds_what_its_answers_show(kb):
    network = network_of(kb)
    look = kb.checks["restraints-left"]
    shown = network.links("answer:restraints-left:bolts-or-rods", "technician")
    assert found(network, look, "restraints-left-in", "technician") == pytest.approx(shown["restraints-left-in"])
    assert found(network, look, "standpipe-too-low", "technician") == 0
    assert found(network, kb.checks["standpipe-height"], "standpipe-too-low", "technician") == pytest.approx(0.99)
    both = found(network, look, "base-block-left-in", "technician")
    assert 0 < both < 1


def test_a_proof_fails_as_surely_as_the_trouble_comes(kb):
    network = network_of(kb)
    spin = found(network, kb.checks["spin-stays-put"], "restraints-left-in", "technician")
    assert spin == pytest.approx(network.shown["complaint:walks"]["restraints-left-in"])
    assert found(network, kb.checks["spin-stays-put"], "fill-hoses-crossed", "technician") == 0


def test_habits_and_healthy_sounds_are_no_stake_of_an_installer(kb):
    stakes = worth(network_of(kb), [], "technician", ALL)
    for name in stakes.causes:
        assert counts(kb.causes[name])
    assert {"restraints-left-in", "standpipe-too-low", "first-run-skipped"} <= set(stakes.causes)
    assert not {"drum-overfilled", "washing-left-wet", "pump-hum"} & set(stakes.causes)


def test_a_site_that_rules_a_cause_out_has_no_stake_in_it(kb):
    stakes = worth(network_of(kb), [], "technician", {**ALL, "drain": "tub"})
    assert "standpipe-too-low" not in stakes.causes
    assert "tub-rim-too-low" in stakes.causes
