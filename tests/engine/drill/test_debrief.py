"""The debrief: the truth beside what was done, from one round that is played by hand."""

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import policies
from dryfloor.engine.drill.debrief import debrief
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise

FAULT = "standpipe-too-low"


def told(kb, *acts):
    network = network_of(kb)
    made = exercise(network, Order(seed=3, fault=FAULT))
    game = Round(network, made)
    for act in acts:
        game.do(act)
    return debrief(network, made, game if acts else None)


def test_it_tells_the_truth_with_its_rule_mend_and_look_alikes(kb):
    done = told(
        kb,
        Act(kind="safe", id="water-near-electricity"),
        Act(kind="check", id="standpipe-height"),
        Act(kind="verdict", id=FAULT, by="plumber"),
    )
    truth = done.truth[0]
    assert (truth.rule, truth.limit) == ("Standpipe height", "at least 39 in (99 cm)")
    assert truth.by == "a licensed plumber"
    assert truth.mend == kb.causes[FAULT].remedy.title
    assert [a.tell for a in truth.alike] == [m.tell for m in kb.causes[FAULT].mistaken_for]
    assert len(truth.hazards) == len(kb.causes[FAULT].remedy.hazards)
    assert done.pupil.score > 0.9
    assert [look.id for look in done.pupil.looks] == ["standpipe-height"]
    assert done.ours.score == 1
    assert done.ours.made_sure[0] == done.pupil.made_sure[0] == "Water near electricity"
    assert done.knowing > 1
    assert done.best.minutes <= done.ours.minutes


def test_it_tells_what_was_missed(kb):
    done = told(kb, Act(kind="check", id="standpipe-height"))
    assert done.score == policies.AT_A_GATE
    assert done.missed[0] == "Asked before the step: water near electricity."
    assert "Not named: standpipe too low." in done.missed
    wrong = told(
        kb,
        Act(kind="safe", id="water-near-electricity"),
        Act(kind="verdict", id="hose-sealed-in-pipe"),
        Act(kind="leave"),
    )
    assert "A false alarm: hose sealed into the pipe." in wrong.missed
    assert any(m.startswith("A guess when it was said: hose sealed into the pipe.") for m in wrong.missed)
    assert done.score < wrong.score < 0


def test_without_a_round_it_is_the_answer(kb):
    done = told(kb)
    assert done.pupil is None
    assert done.truth[0].cause == FAULT
    assert done.marks == []


def test_a_sound_machine_and_one_that_is_not_safe_have_their_debriefs(kb):
    network = network_of(kb)
    sound = exercise(network, Order(seed=11, faults=0))
    game = Round(network, sound)
    game.do(Act(kind="verdict", id="sound"))
    done = debrief(network, sound, game)
    assert done.best.named == [kb.causes[sound.truth[0]].title]
    assert any(m.startswith("A guess when it was said: nothing is wrong.") for m in done.missed)
    assert done.danger is None
    unsafe = exercise(network, Order(seed=0))
    stopped = Round(network, unsafe)
    stopped.do(Act(kind="safe", id=unsafe.unsafe))
    stopped.do(Act(kind="leave", sentence="Out."))
    told = debrief(network, unsafe, stopped)
    assert (told.danger.hazard, told.danger.do_now) == (unsafe.unsafe, kb.hazards[unsafe.unsafe].gate.do_now)
    assert (told.score, told.ours.ended, told.best.ended, told.missed) == (1, "stopped", "stopped", [])
    assert [(m.about, m.right) for m in told.marks] == [("now", None)]
    left = Round(network, unsafe)
    left.do(Act(kind="leave"))
    assert debrief(network, unsafe, left).score == 0
    assert debrief(network, unsafe, left).missed[0] == "Not safe here, and to be stopped at: smell of gas."
