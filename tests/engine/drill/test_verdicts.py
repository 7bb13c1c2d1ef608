"""Verdicts: what a right and a wrong one cost, whose hands mend, and what waits for a mend."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.moves import SOUND, Act
from dryfloor.engine.drill.round import Round, leaving
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.planning import roles
from tests.support.drills import begun, mended, safe


def test_the_right_verdict_ends_it_and_a_wrong_one_costs_and_goes_on(kb):
    look = Act(kind="check", id="standpipe-height")
    game = safe(begun(kb), "water-near-electricity")
    game.do(look)
    asked = game.episode.outcome.cost
    told = game.do(Act(kind="verdict", id="hose-sealed-in-pipe"))
    assert (told.kind, game.ended) == ("still-there", "")
    wasted = game.episode.outcome.cost - asked
    assert wasted > 0
    assert game.do(Act(kind="verdict", id="standpipe-too-low", by="plumber")).kind == "mended"
    right = safe(begun(kb), "water-near-electricity")
    right.do(look)
    right.do(Act(kind="verdict", id="standpipe-too-low", by="plumber"))
    assert game.cost() == pytest.approx(right.cost() + wasted)


def test_a_mend_over_an_open_gate_ends_the_round_as_a_step_does(kb):
    for by in ("", "technician", "plumber"):
        game = begun(kb)
        told = game.do(Act(kind="verdict", id="standpipe-too-low", by=by))
        assert (told.kind, game.ended, game.breach) == ("gate", "gate", "water-near-electricity")
        assert game.standing  # nothing was mended


def test_what_a_mend_itself_asks_for_is_asked_of_the_hands_that_do_it(kb):
    own = [
        (c.id, h)
        for c in kb.causes.values()
        for h in c.remedy.hazards
        if c.kind != "normal"
        and c.remedy.by in ("anyone", "technician")
        and kb.hazards[h].gate
        and not kb.hazards[h].when
    ]
    assert own
    for fault, hazard in own[:6]:
        game = begun(kb, fault=fault)
        act = Act(kind="verdict", id=fault, by=game.right_by(fault))
        assert hazard in game.mend_gates(act)
        safe(game, *(g for g in game.mend_gates(act) if g != hazard))
        assert game.do(act).kind == "gate"
        assert game.breach == hazard
        assert mended(begun(kb, fault=fault), fault, by=act.by).kind == "mended"


def test_a_verdict_clears_no_gate_for_the_pupil(kb):
    fault = "restraints-left-in"
    games = [begun(kb, fault=fault, faults=2, seed=n) for n in range(4)]
    for game in games:
        mended(game, fault, by=game.right_by(fault))
    game = next(g for g in games if not g.ended)
    assert game.episode.cleared <= {a.id for a in game.acts if a.kind == "safe"}


def test_a_trade_that_is_not_needed_costs_its_fee_and_one_that_is_can_not_be_spared(kb):
    def cost(fault, by):
        game = begun(kb, fault=fault)
        safe(game, *(h.id for h in kb.hazards.values() if h.gate))  # the same for all
        mended(game, fault, by=by)
        assert game.ended == "solved"
        return game.cost()

    own, trade = cost("foot-unloaded", "technician"), roles.trade_card(kb, "plumber")
    assert cost("foot-unloaded", "anyone") == own
    minutes = kb.causes["foot-unloaded"].remedy.minutes
    assert cost("foot-unloaded", "plumber") - own == pytest.approx(trade.fee.n + minutes * (trade.per_minute.n - 1.5))
    assert cost("standpipe-too-low", "technician") > cost("standpipe-too-low", "plumber")
    assert cost("standpipe-too-low", "electrician") > cost("standpipe-too-low", "plumber")


def test_sound_is_a_verdict_that_is_right_at_a_sound_place_alone(kb):
    game = begun(kb, fault="soft-thud-of-valves")
    assert game.do(Act(kind="verdict", id=SOUND)).kind == "mended"
    assert game.guesses[0][0] == SOUND
    network = network_of(kb)
    for seed in range(12):
        sound = Round(network, exercise(network, Order(seed=seed, faults=0)))
        assert sound.do(Act(kind="verdict", id=SOUND)).kind == "mended"
    wrong = begun(kb)
    assert wrong.do(Act(kind="verdict", id=SOUND)).kind == "left"
    assert wrong.ended == "false-sound"
    assert wrong.cost() == leaving(wrong.network, wrong.exercise)


def test_two_faults_end_with_the_second(kb):
    game = begun(kb, fault="foot-unloaded", faults=2)
    first, second = game.exercise.truth
    mended(game, first, by=game.right_by(first))
    assert game.ended == ""
    mended(game, second, by=game.right_by(second))
    assert game.ended == "solved"
