"""The first round: whoever does what it says next ends with the mend, and nothing that is typed ends it badly."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import naming
from dryfloor.engine.drill.debrief import debrief
from dryfloor.engine.drill.first_round import MINUTES, first_order, held_back, is_first, lesson
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL


@pytest.fixture
def game(kb):
    network = network_of(kb)
    return Round(network, exercise(network, first_order(kb)))


def as_told(kb, step):
    """Return the move that the words of a step name, as a pupil would type them."""
    if step.kind == "safe":
        return Act(kind="safe", id=naming.sure(naming.gates(kb, step.words)).id)
    if step.kind == "verdict":
        return Act(
            kind="verdict", id=naming.sure(naming.causes(kb, step.words)).id, by=dict(step.expected)["whose work"]
        )
    meant = naming.sure(naming.looks(kb, step.words))
    return Act(kind=meant.kind, id=meant.id)


def test_whoever_does_what_is_said_next_ends_with_the_mend_and_scores(kb, game):
    kinds = []
    while step := lesson(game):
        kinds.append(step.kind)
        assert len(kinds) < 10
        game.do(as_told(kb, step))
    assert kinds == ["ask", "safe", "look", "verdict"]
    assert game.ended == "solved"
    assert game.looked < MINUTES / 3
    assert debrief(game.network, game.exercise, game).score > 0.9


def test_what_is_expected_is_right_by_the_marks(kb, game):
    from dryfloor.engine.drill.marks import datum_right, limit_right

    while (step := lesson(game)).kind != "verdict":
        game.do(as_told(kb, step))
    said = dict(step.expected)
    rule = kb.rules[naming.sure(naming.rules(kb, said["the rule"])).id]
    assert limit_right(rule, said["its limit"].removeprefix("at least ").partition(" (")[0], "below")
    assert datum_right(rule, said["measured where, and from what"])


def test_what_would_end_another_round_is_held_back_and_said(kb, game):
    for act in (Act(kind="check", id="standpipe-height"), Act(kind="verdict", id="standpipe-too-low", by="plumber")):
        why = held_back(game, act)
        assert "water near electricity" in why
        assert "would have been the end" in why
    game.do(Act(kind="safe", id="water-near-electricity"))
    assert held_back(game, Act(kind="check", id="standpipe-height")) == ""
    assert held_back(game, Act(kind="leave")) == ""


def test_only_its_own_order_is_the_first_round(kb):
    order = first_order(kb)
    assert is_first(kb, order)
    assert not is_first(kb, Order(seed=order.seed, fault=order.fault))
    assert not exercise(network_of(kb), order).unsafe


def test_a_kb_without_its_fault_has_a_first_round_too():
    small = load_kb(SMALL)
    network = network_of(small)
    made = Round(network, exercise(network, first_order(small)))
    assert lesson(made).words
