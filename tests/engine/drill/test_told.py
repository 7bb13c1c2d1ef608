"""What a look told: bits of the chance that the belief gives to the truth, and the same in words."""

import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import policies, told
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise


def test_bits_are_those_of_the_chance_that_the_belief_gives_to_the_truth(kb):
    network = network_of(kb)
    made = exercise(network, Order(seed=3, fault="standpipe-too-low"))
    game = Round(network, made)
    game.do(Act(kind="safe", id="water-near-electricity"))
    game.do(Act(kind="check", id="standpipe-height"))
    look = told.looks(game)[0]
    p = {b.cause: b.p for b in Analysis(network, game.state).beliefs}["standpipe-too-low"]
    assert look.after == pytest.approx(p, abs=1e-6)
    assert 2**look.bits == pytest.approx(look.after / look.before, rel=0.01)
    assert look.bits > 1


def test_no_more_looks_are_told_than_can_be_waited_for(kb, monkeypatch):
    network = network_of(kb)
    game = policies.ours(network, exercise(network, Order(seed=3, fault="standpipe-too-low")))
    whole = told.looks(game)
    monkeypatch.setattr(told, "MOST_TOLD", 2)
    assert told.looks(game) == whole[:2]


def test_likely_causes_are_those_near_the_likeliest(kb):
    network = network_of(kb)
    made = exercise(network, Order(seed=3, fault="standpipe-too-low"))
    game = Round(network, made)
    found = told.chances(game, 0)
    ps = sorted((b.p for b in Analysis(network, game.state).beliefs), reverse=True)
    assert ps[found.likely - 1] >= ps[0] / 5 > ps[found.likely]
    game.do(Act(kind="safe", id="water-near-electricity"))
    game.do(Act(kind="check", id="standpipe-height"))
    look = told.looks(game)[0]
    after = told.chances(game, 2)
    assert after.likely < found.likely
    assert look.told.startswith(
        f"showed the fault itself: from {found.likely} likely causes to {after.likely}, the right one"
    )


@pytest.mark.parametrize(
    ("before", "after", "bits", "said"),
    [
        ((2, True), (4, True), -1.0, "led away: from 2 likely causes to 4, the right one among them"),
        ((5, False), (3, False), 0.6, "took it from 5 likely causes to 3, the right one not yet among them"),
        ((3, True), (3, True), 0.6, "left 3 likely causes, the right one likelier"),
        ((3, True), (3, True), -0.6, "led away: left 3 likely causes, the right one less likely"),
        ((1, True), (1, True), 0.0, "told next to nothing: 1 likely cause before and after"),
    ],
)
def test_it_is_said_in_words(before, after, bits, said):
    one, two = (told.Known(chance=0.5, likely=n, among=a) for n, a in (before, after))
    assert told.in_words(one, two, bits) == said
