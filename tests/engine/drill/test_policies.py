"""Scores through the pupil's door: ours is 1, knowing is above it, leaving is below, a random pupil far below."""

import random
from statistics import fmean

import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import policies
from dryfloor.engine.drill.moves import TRADES, Act
from dryfloor.engine.drill.round import Round, leaving
from dryfloor.engine.drill.told import chances
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise
from dryfloor.engine.model import holds


def scored(network, made, game, our_cost):
    return policies.score(network, made, game.cost(), our_cost, game.ended == "gate")


def replayed(network, made, acts):
    game = Round(network, made)
    for act in acts:
        game.do(act)
    return game


def at_random(network, made, dice):
    """Return the round of somebody who looks at this and that, clears every gate, and then guesses."""
    kb = network.kb
    game = Round(network, made)
    causes = sorted(
        {
            c
            for told in made.site.origins
            for c in network.shown[f"complaint:{told}"]
            if holds(kb.causes[c].when, made.site.facts)
        }
    )
    names = [c for c in network.checks_for(causes) if not kb.checks[c].only_proof]
    for _ in range(dice.randrange(2, 10)):
        if game.ended:
            break
        check = kb.checks[dice.choice(names)]
        for gate in game.uncleared(check):
            game.do(Act(kind="safe", id=gate))
        game.do(Act(kind="check", id=check.id))
    for _ in range(dice.randrange(1, 4)):
        act = Act(kind="verdict", id=dice.choice(causes), by=dice.choice(TRADES))
        for gate in game.mend_gates(act) if not game.ended else []:
            game.do(Act(kind="safe", id=gate))
        if not game.ended:
            game.do(act)
    if not game.ended:
        game.do(Act(kind="leave"))
    return game


def tried(kb, seeds, rounds):
    """Return the scores of ours played again, of knowing, of leaving, and of random pupils."""
    network = network_of(kb)
    out = {"ours": [], "knowing": [], "stopping": [], "leaving": [], "random": []}
    for seed in seeds:
        made = exercise(network, Order(seed=seed))
        ours = policies.ours(network, made)
        cost = ours.cost()
        out["ours"].append(scored(network, made, replayed(network, made, ours.acts), cost))
        # Where it is not safe, whoever knows the fault can do no more than stop, as ours does.
        out["stopping" if made.unsafe else "knowing"].append(
            scored(network, made, policies.knowing(network, made), cost)
        )
        out["leaving"].append(scored(network, made, replayed(network, made, [Act(kind="leave")]), cost))
        for n in range(rounds):
            game = at_random(network, made, random.Random(f"{seed}|{n}"))
            out["random"].append(scored(network, made, game, cost))
    return out


def held(out):
    assert set(out["ours"]) == {1.0}
    assert min(out["knowing"]) > 1
    assert min(out["stopping"], default=1) >= 1
    assert fmean(out["random"]) < 0.5
    assert fmean(out["leaving"]) < 0.5


def test_scores_through_the_pupils_door(kb):
    held(tried(kb, (2, 9, 12, 14), 4))


@pytest.mark.slow
def test_scores_through_the_pupils_door_at_a_hundred_places(kb):
    held(tried(kb, range(100), 4))


def test_the_score_does_not_count_questions(kb):
    """Ten looks of a tenth of a minute weigh what one of a minute does."""
    network = network_of(kb)
    made = exercise(network, Order(seed=3, fault="standpipe-too-low"))
    base = leaving(network, made)
    assert policies.score(network, made, base - 100, base - 200) == 0.5
    assert policies.score(network, made, base - 400, base - 400) == 1
    # Where ours avoids next to nothing, nobody is measured by a share of it.
    assert policies.score(network, made, base - 2, base - 1) == pytest.approx(1 + 1 / (base / 4), abs=1e-3)
    assert policies.score(network, made, base * 9, base - 200) == policies.LOWEST


SPEAKS = 0.5  # a look that tells so much of the truth speaks for it [bit]


def guessed_and_looked(network, made):
    """Return the rounds that name the truth at once, and after a look that speaks for it; every gate is cleared in both.

    After a look that told next to nothing, a verdict is as much of a guess as before.
    """
    kb = network.kb
    said = policies.verdict(Round(network, made), made.truth[0])

    def name(game):
        for gate in game.mend_gates(said):
            game.do(Act(kind="safe", id=gate))
        game.do(said)
        return game

    looked = []
    for own in policies.own_checks(kb, made.truth[0]):
        game, check = Round(network, made), kb.checks[own]
        before = chances(game, 0).chance
        for gate in game.uncleared(check):
            game.do(Act(kind="safe", id=gate))
        if (
            game.do(Act(kind="check", id=own)).kind == "seen"
            and chances(game, len(game.acts)).chance > 2**SPEAKS * before
        ):
            looked.append(name(game))
    return name(Round(network, made)), looked


def guesses(kb, seeds):
    network, told = network_of(kb), 0
    for seed in seeds:
        made = exercise(network, Order(seed=seed, faults=1))
        if made.unsafe:
            continue
        blind, looked = guessed_and_looked(network, made)
        for game in looked:
            assert game.cost() < blind.cost(), (seed, made.truth)
            told += 1
        assert policies.knowing(network, made).cost() < blind.cost()
    return told


def test_a_guess_that_is_right_does_not_beat_looking_and_then_naming_it(kb):
    assert guesses(kb, range(12)) > 6


@pytest.mark.slow
def test_a_guess_that_is_right_does_not_beat_looking_at_many_places(kb):
    assert guesses(kb, range(12, 150)) > 90


def test_luck_earns_nothing(kb):
    """What is paid for not knowing hangs on the belief when it was said, not on what is true there."""
    network = network_of(kb)
    made = exercise(network, Order(seed=3, fault="standpipe-too-low"))
    p = {b.cause: b.p for b in Analysis(network, Round(network, made).state).beliefs}["standpipe-too-low"]
    game = Round(network, made)
    game.do(Act(kind="safe", id="water-near-electricity"))
    game.do(policies.verdict(game, "standpipe-too-low"))
    assert game.guesses == [("standpipe-too-low", pytest.approx(p, abs=1e-6))]
    paid = next(m.cost for m in game.episode.outcome.moves if m.kind == "guess")
    remedy, plumber = kb.causes["standpipe-too-low"].remedy, network.kb.roles.trades
    price = next(t.fee.n + remedy.minutes * t.per_minute.n for t in plumber if t.id == "plumber")
    seen = Round(network, made)
    seen.do(Act(kind="safe", id="water-near-electricity"))
    seen.do(Act(kind="check", id="standpipe-height"))
    seen.do(policies.verdict(seen, "standpipe-too-low"))
    assert seen.guesses == []  # who saw the broken rule does not guess
    assert paid == pytest.approx((1 - p) * (price + 0.2 * 240), rel=1e-4)


@pytest.mark.parametrize(("seed", "minutes"), [(3, 30.0), (7, 10.0), (21, 30.0)])
def test_nothing_scores_as_low_as_a_step_over_an_open_gate(kb, seed, minutes):
    """However little there was to avoid, and whatever it cost: also where ours finds nothing in the minutes."""
    network = network_of(kb)
    made = exercise(network, Order(seed=seed, minutes=minutes))
    base = leaving(network, made)
    for ours in (base, base - 1, base / 2):
        gate = policies.score(network, made, 0.0, ours, breach=True)
        assert gate < min(policies.score(network, made, cost, ours) for cost in (0.0, base, base * 50))


def test_ours_clears_every_gate_before_its_step(kb):
    network = network_of(kb)
    for fault in ("restraints-left-in", "coupling-not-tight", "outlet-dead"):
        assert policies.ours(network, exercise(network, Order(seed=1, fault=fault))).ended != "gate"


def test_ours_stays_in_its_minutes(kb):
    network = network_of(kb)
    made = exercise(network, Order(seed=4, minutes=3.0))
    assert policies.ours(network, made).looked <= 3


def test_the_best_looks_tell_the_truth_within_the_minutes(kb):
    network = network_of(kb)
    for fault in ("standpipe-too-low", "foot-unloaded", "coupling-not-tight"):
        made = exercise(network, Order(seed=1, fault=fault, minutes=10.0))
        best = policies.best(network, made)
        assert best[-1].after > 0.8
        assert sum(look.minutes for look in best) <= 10
        assert all(look.bits > 0 for look in best)
