"""Looks of an attempt: what they take, what they say, and why one is not done."""

import pytest

from dryfloor.engine.drill.moves import Act
from dryfloor.engine.planning import roles
from tests.support.drills import begun, safe


def test_minutes_are_those_of_the_kb_and_run_out(kb):
    game = safe(begun(kb, minutes=2.0), "water-near-electricity")
    game.do(Act(kind="check", id="standpipe-height"))
    assert game.looked == pytest.approx(roles.GATE_MINUTES + kb.checks["standpipe-height"].minutes.technician)
    told = game.do(Act(kind="check", id="hose-depth"))
    assert told.kind == "no-time"
    assert "you have 0.8 left" in told.text
    assert game.do(Act(kind="verdict", id="standpipe-too-low", by="plumber")).kind == "mended"


def test_what_makes_no_sense_costs_nothing_and_what_is_not_there_tells_why(kb):
    game = safe(begun(kb), "water-near-electricity")
    before = game.looked
    assert game.do(Act(kind="check", id="tub-rim-height")).text == "Not here. Kind of drain: in an upright pipe."
    assert game.looked == before  # everybody saw that at the door
    assert game.do(Act(kind="fact", id="drain")).kind == "again"
    game.do(Act(kind="check", id="standpipe-height"))
    again = game.looked
    assert game.do(Act(kind="check", id="standpipe-height")).kind == "again"
    assert game.looked == again


def test_a_reading_has_its_give_or_take(kb):
    told = safe(begun(kb), "water-near-electricity").do(Act(kind="check", id="standpipe-height"))
    assert told.text == "27 in, give or take 1/8 in"
    assert [n.signal for n in told.notes] == ["WARNING"]


def test_what_is_read_in_feet_is_given_or_taken_in_feet(kb):
    game = begun(kb, fault="long-run-voltage-drop")
    for gate in game.uncleared(kb.checks["run-to-panel"]):
        safe(game, gate)
    told = game.do(Act(kind="check", id="run-to-panel"))
    assert " ft" in told.text
    assert told.text.endswith(", give or take 8 ft")
