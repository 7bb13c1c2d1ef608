"""Made-up sites and the walks that are played at them: they obey the model, the prices and the permissions."""

import numpy as np
import pytest

from dryfloor.engine.advice import Step
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge import graph
from dryfloor.engine.measurement.readings import reading
from dryfloor.engine.planning import roles
from dryfloor.engine.simulation.episode import Episode
from dryfloor.engine.simulation.simulator import Steps, done, play
from dryfloor.engine.simulation.world import Installation, installation_with, written

SOME = [
    "standpipe-too-low",
    "restraints-left-in",
    "hose-washer-missing",
    "pump-filter-clogged",
    "tub-outlet-plugged",
    "water-left-over-winter",
]


@pytest.fixture(scope="module")
def network(kb):
    return Network(kb)


def installation(causes, seed="1", **origins):
    return Installation(seed, {}, frozenset(causes), {k: frozenset(v) for k, v in origins.items()})


def test_draws_are_even_and_the_same_each_time():
    one = installation([])
    draws = [one.draw(f"k{i}") for i in range(4000)]
    assert draws == [one.draw(f"k{i}") for i in range(4000)]
    assert np.histogram(draws, 10, (0, 1))[0] == pytest.approx(400, abs=90)
    assert installation([], "2").draw("k0") != one.draw("k0")


def test_a_finding_fires_as_often_as_the_noisy_or_says(network):
    node = "answer:hose-sealed:taped"
    causes = sorted(network.shown[node])[:2]
    expected = 1 - (1 - network.leak[node]) * np.prod([1 - network.shown[node][c] for c in causes])
    fired = [installation(causes, str(i)).fires(network, node, (), "technician") for i in range(3000)]
    assert np.mean(fired) == pytest.approx(expected, abs=0.03)
    assert np.mean(
        [installation(causes, str(i)).fires(network, node, causes, "technician") for i in range(3000)]
    ) == pytest.approx(network.leak[node], abs=0.01)


def test_every_reading_lies_where_it_should_and_is_plausible(kb):
    for check in kb.checks.values():
        if check.kind == "measure":
            for part in ("within", *graph.sides(kb.rules[check.rule])):
                verdict = reading(kb, check.id, installation([]).reads(kb, check, part), "technician").verdict
                assert verdict.side == (None if part == "within" else part) or verdict.state == "too-close", (
                    check.id,
                    part,
                )


@pytest.mark.parametrize(
    ("value", "measures", "said"), [(0.9906, "length", "39 in"), (3.2, "count", "3"), (2 / 3, "turns", "2/3 turn")]
)
def test_values_are_written_as_people_write_them(value, measures, said):
    assert written(value, measures) == said


@pytest.mark.parametrize(
    "role", ["homeowner", *(pytest.param(r, marks=pytest.mark.slow) for r in ("desk", "technician"))]
)
def test_a_game_keeps_to_prices_and_permissions(kb, network, role):
    for cause in SOME:
        outcome = play(network, installation_with(network, [cause], seed=0), role)
        assert outcome.minutes == pytest.approx(sum(m.minutes for m in outcome.moves))
        assert outcome.cost == pytest.approx(sum(m.cost for m in outcome.moves), abs=1e-3)
        assert outcome.call_outs == sum(m.kind in ("hand-on", "book") for m in outcome.moves)
        assert outcome.solved or outcome.by == "specialist"
        assert sorted(outcome.found + outcome.left) == [cause]
        for m in outcome.moves:
            hands = roles.default_hands(m.role)
            assert m.kind != "check" or roles.permitted(kb, kb.checks[m.id], hands)
            assert m.kind != "remedy" or roles.may_mend(kb, kb.causes[m.id].remedy, hands)
            if m.kind == "check":
                assert m.cost == pytest.approx(m.minutes * roles.minute_price(kb, m.role, hands), abs=1e-5)


def test_gates_come_first_and_cost_nothing(kb, network):
    outcome = play(network, installation_with(network, ["restraints-left-in"]), "homeowner")
    gates = [i for i, m in enumerate(outcome.moves) if m.kind == "gate"]
    assert gates[0] == 0
    assert all(outcome.moves[i].cost == 0 for i in gates)
    assert outcome.moves[0].said == kb.hazards[outcome.moves[0].id].gate.word


def test_the_same_site_goes_the_same_way_whatever_was_played_before(network):
    steps = Steps(network)
    installations = [
        installation_with(network, [c], seed=s) for c in ("standpipe-too-low", "hose-sealed-in-pipe") for s in (1, 2)
    ]
    shared = [play(network, s, "technician", steps) for s in installations]
    assert shared == [play(network, s, "technician") for s in installations]


def test_a_botched_fix_is_seen_by_its_proof_and_the_walk_goes_on(kb, network):
    for seed in range(1, 200):
        there = installation_with(network, ["hose-sealed-in-pipe"], "siphons", seed)
        if not there.works(kb, "hose-sealed-in-pipe"):
            break
    outcome = play(network, there, "technician")
    mended = [i for i, m in enumerate(outcome.moves) if (m.kind, m.id) == ("remedy", "hose-sealed-in-pipe")]
    assert mended
    assert (outcome.moves[mended[0] + 1].kind, outcome.moves[mended[0] + 1].said) == ("proof", "no better")
    assert len(outcome.moves) > mended[0] + 2
    assert (outcome.found, outcome.botched, outcome.left) == ([], ["hose-sealed-in-pipe"], ["hose-sealed-in-pipe"])


def test_two_faults_are_both_mended(network):
    outcome = play(
        network, installation_with(network, ["hose-sealed-in-pipe", "pump-filter-clogged"], seed=5), "technician"
    )
    assert outcome.complaints == ["no-drain", "siphons"]
    assert outcome.origins == ["hose-sealed-in-pipe", "pump-filter-clogged"]
    assert sorted(outcome.found + outcome.left) == outcome.origins


def test_what_is_not_listed_goes_to_the_last_in_the_chain(network):
    outcome = play(
        network,
        Installation(
            "u", installation_with(network, ["standpipe-too-low"]).facts, frozenset(), {"siphons": frozenset()}
        ),
        "technician",
    )
    assert (outcome.by, outcome.solved, outcome.found, outcome.left) == ("specialist", False, [], [])
    assert outcome.moves[-1].said == "something that is not listed"


def test_a_site_that_can_not_be_is_refused(network):
    with pytest.raises(InvalidInputError) as caught:
        installation_with(network, ["standpipe-too-low", "tub-rim-too-low"])
    assert caught.value.problems[0].code == "U025"
    with pytest.raises(InvalidInputError) as caught:
        installation_with(network, ["standpipe-too-low"], "walks")
    assert "siphons" in caught.value.problems[0].mend


@pytest.mark.parametrize("role", ["homeowner", "technician"])
def test_who_is_booked_comes_and_is_paid_though_these_hands_may_mend_it(kb, network, role):
    """Where a fix was in vain the advice books the trade: no minutes of these hands, and not past their gates, but the trade's fee."""
    name, cause = next((n, c) for n, c in kb.causes.items() if c.remedy.else_by == "plumber")
    episode = Episode(network, installation_with(network, [name]), role)
    assert roles.may_mend(kb, cause.remedy, episode.hands)
    episode.clear_all()
    done(episode, Step(kind="hand-on", id="plumber", title="", why="", minutes=0.0, cost=0.0, cause=name))
    move, trade = episode.outcome.moves[-1], roles.trade_card(kb, "plumber")
    parts = sum(kb.parts[p].price.n for p in cause.remedy.parts) * kb.roles.price_unit.n
    assert (move.kind, move.said, episode.outcome.call_outs) == ("book", "by the plumber", 1)
    assert move.cost == pytest.approx(trade.fee.n + cause.remedy.minutes * trade.per_minute.n + parts)


def test_nobody_is_booked_twice_for_the_same_fault(kb, network):
    """A trade that came in vain is not paid again and again: whoever comes next goes on looking."""
    name = next(n for n, c in kb.causes.items() if c.remedy.else_by == "plumber")
    episode = Episode(network, installation_with(network, ["restraints-left-in"]), "homeowner")
    episode.clear_all()
    step = Step(kind="hand-on", id="plumber", title="", why="", minutes=0.0, cost=0.0, cause=name)
    assert done(episode, step)[0].remedy == name
    (second,) = done(episode, step)
    assert (second.remedy, second.role) == (None, "technician")
    assert [m.kind for m in episode.outcome.moves if m.kind in ("book", "hand-on")] == ["book", "hand-on"]


@pytest.mark.slow
@pytest.mark.parametrize("role", ["homeowner", "technician"])
def test_every_cause_can_be_played_to_its_end(kb, network, role):
    for cause in kb.causes:
        outcome = play(network, installation_with(network, [cause]), role)
        assert outcome.solved or outcome.by == "specialist", cause


def test_a_game_that_runs_out_of_steps_is_still_paid(network, monkeypatch):
    """Whoever asks without end is not cheaper for it: the last in the chain comes, and is paid."""
    there = installation_with(network, ["hose-sealed-in-pipe"], "siphons")
    whole = play(network, there, "technician")
    monkeypatch.setattr("dryfloor.engine.simulation.simulator.MOST_STEPS", 2)
    cut = play(network, there, "technician")
    assert (cut.by, cut.solved, cut.left) == ("specialist", False, ["hose-sealed-in-pipe"])
    assert cut.moves[:2] == whole.moves[:2]
    assert cut.cost > whole.cost
