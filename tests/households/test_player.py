"""The player answers from the home alone: true answers, sound ones elsewhere, proofs that fail until it is mended."""

import msgspec
import pytest

from dryfloor.engine.advice import Step
from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.measurement.readings import reading
from tests.households.answers import truths
from tests.households.homes import homes
from tests.households.player import Player, sound

OPEN = [h for h in homes() if not h.held]


def proof(kb, cause):
    return Step(
        kind="check", id=kb.causes[cause].proof.check, title="", why="", minutes=1, cost=1, proof=True, cause=cause
    )


def test_what_is_sound_lies_within_its_rule(kb):
    for check in kb.checks.values():
        said = sound(kb, check.id)
        if check.kind == "measure":
            assert reading(kb, check.id, said, "technician").verdict.state == "within", (check.id, said)
        else:
            assert check.answers[said].leak_per_1000 is None, check.id


@pytest.mark.parametrize("every", [60, pytest.param(12, marks=pytest.mark.slow)])
def test_a_walk_is_answered_truly_and_ends(kb, every):
    for home in OPEN[::every]:
        truth = truths()[home.id]
        player = Player(kb, home, truth)
        played = player.play()
        assert played.cards < 90
        for name in {p.partition(":")[2] for p in played.path if p.startswith("check:")} & {*truth.answers}:
            event = player._check(name)
            assert (event.answer or event.value) == truth.answers[name]
            assert event_problems(kb, event) == []


def test_a_proof_fails_until_the_fault_is_mended(kb):
    home = next(h for h in OPEN if len(truths()[h.id].cause) == 1 and truths()[h.id].answers.get(proof_check(kb, h)))
    truth = truths()[home.id]
    player = Player(kb, home, truth)
    step = proof(kb, truth.cause[0])
    assert player._proof(step).answer != kb.causes[truth.cause[0]].proof.passes
    player.mended.add(truth.cause[0])
    assert player._proof(step).answer == kb.causes[truth.cause[0]].proof.passes
    assert player.played.false_proofs == []


def proof_check(kb, home):
    cause = truths()[home.id].cause[0]
    return kb.causes[cause].proof.check if kb.causes[cause].proof.passes != "within" else ""


def test_a_proof_that_would_pass_anyway_is_counted(kb):
    home = next(h for h in OPEN if len(truths()[h.id].cause) == 1)
    sound_truth = msgspec.structs.replace(truths()[home.id], answers={}, told={})
    player = Player(kb, home, sound_truth)
    player._proof(proof(kb, "restraints-left-in"))
    assert player.played.false_proofs == ["restraints-left-in by spin-stays-put"]


@pytest.mark.parametrize("answer", ["cleared", "stopped"])
def test_a_gate_that_is_not_safe_stops_once_and_is_then_met(kb, answer):
    home = OPEN[0]
    truth = msgspec.structs.replace(truths()[home.id], unsafe=["gas-smell"] if answer == "stopped" else [])
    player = Player(kb, home, truth)
    step = Step(kind="gate", id="gas-smell", title="", why="", minutes=0.2, cost=0.2)
    assert (player.reply(step, [])[0].stopped == "gas-smell") == (answer == "stopped")
    assert player.reply(step, [])[0].cleared == "gas-smell"
