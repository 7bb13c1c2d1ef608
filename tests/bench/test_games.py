"""The bench's games: how costs are compared, against scipy; the same seed gives the same figures; what a table says of them."""

from functools import partial

import numpy as np
import pytest
from scipy import stats

from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.simulation.episode import Move, Outcome
from dryfloor.engine.simulation.simulator import Steps, play
from dryfloor.engine.simulation.world import installations_of
from tests.bench import games as games_
from tests.bench import robust, whole
from tests.bench.games import average, averaged, drawn, mean, over, questions, ratio_error, tail


@pytest.fixture(scope="module")
def network(kb):
    return Network(kb)


def test_a_paired_difference_and_its_error_against_scipy():
    rng = np.random.default_rng(1)
    ours, theirs = {"a": list(rng.normal(5, 1, 30))}, {"a": list(rng.normal(6, 2, 30))}
    more, error = over(theirs, ours)
    apart = np.subtract(theirs["a"], ours["a"])
    assert (more, error) == pytest.approx((apart.mean(), stats.sem(apart)))
    t = stats.ttest_rel(theirs["a"], ours["a"])
    assert more / error == pytest.approx(t.statistic)


def test_the_error_of_several_complaints_is_that_of_their_mean():
    """Drawn over and over: the said error is the scatter of the mean that is said with it."""
    rng = np.random.default_rng(2)
    found = [
        over({c: list(rng.normal(m, s, 8)) for c, m, s in (("a", 1, 1), ("b", 50, 6))}, {"a": [0] * 8, "b": [0] * 8})
        for _ in range(800)
    ]
    means, errors = np.array(found).T
    assert means.mean() == pytest.approx(25.5, abs=0.15)
    assert errors.mean() == pytest.approx(means.std(), rel=0.1)


def test_a_ratio_and_its_error_drawn_over_and_over():
    rng = np.random.default_rng(3)
    found = []
    for _ in range(800):
        base = rng.normal(100, 20, 12)
        apart = 0.05 * base + rng.normal(0, 3, 12)
        found.append((apart.mean() / base.mean(), ratio_error(apart, base)))
    ratios, errors = np.array(found).T
    assert ratios.mean() == pytest.approx(0.05, abs=0.002)
    assert errors.mean() == pytest.approx(ratios.std(), rel=0.1)


def test_roles_at_one_site_are_one_observation():
    one = {"a": [1.0, 3.0]}
    assert averaged([one, {"a": [3.0, 5.0]}]) == {"a": [2.0, 4.0]}
    zero = {"a": [0.0, 0.0]}
    assert over(averaged([one, one]), averaged([zero, zero])) == over(one, zero)
    assert (mean(one), tail([one, one], 50)) == (2.0, 2.0)


def test_proofs_and_what_is_left_are_no_questions():
    def move(kind, name):
        return Move(role="desk", kind=kind, id=name, title="", said="", minutes=1, cost=1)

    kinds = [("gate", "g"), ("fact", "drain"), ("check", "c"), ("proof", "p"), ("fact", "still-there"), ("remedy", "r")]
    outcome = Outcome(role="desk", complaints=["a"], causes=[], origins=[], moves=[move(*k) for k in kinds])
    assert questions(outcome) == 2
    assert average([{"a": [outcome]}], questions) == 2


@pytest.mark.slow
def test_what_is_drawn_is_spread_over_what_brings_a_complaint_about(network):
    """A single site is as likely to come from any part of the list: one fixed place of it would be the same cause each time."""
    many = sorted(min(s.origins["walks"], default="") for s in installations_of(network, ["walks"], 400, 9)["walks"])
    places = []
    for seed in range(16):
        cause = min(drawn(network, ["walks"], 1, seed)["walks"][0].origins["walks"], default="")
        places.append((many.index(cause) + many.count(cause) / 2) / len(many) if cause in many else 0.5)
    assert stats.kstest(places, "uniform").pvalue > 0.001
    assert drawn(network, ["walks"], 2, 1) == drawn(network, ["walks"], 2, 1)


@pytest.fixture(scope="module")
def played(network):
    """Two sites of a complaint, two roles."""
    installations = drawn(network, ["siphons"], 2, 5)
    return {role: whole.games_of(network, installations, role) for role in ("homeowner", "technician")}


@pytest.mark.slow  # plays all again; that the sites are the same is in the quick run
@pytest.mark.parametrize("role", ["technician", "homeowner"])
def test_the_same_seed_gives_the_same_figures(network, played, role):
    again = whole.games_of(network, drawn(network, ["siphons"], 2, 5), role)
    assert again == played[role]
    assert whole.table({role: again}, 2, 1.0) == whole.table({role: played[role]}, 2, 1.0)


@pytest.mark.slow
def test_a_table_says_what_was_played(played):
    table = whole.table(played, 2, 1.0)
    policies = [whole.OURS, *whole.POLICIES, whole.ORDER, whole.KNOWING]
    assert [(r[0], r[1]) for r in table.rows] == [
        (role, p) for role in ("homeowner", "technician", "all") for p in policies
    ]
    assert all(len(r) == len(table.columns) for r in table.rows)
    for role in ("homeowner", "technician"):
        for policy in policies:
            own = [g for some in played[role][policy].values() for g in some]
            found = table.data[f"{role}: {policy}"]
            assert found["cost"] == pytest.approx(np.mean([g.cost for g in own]))
            assert found["call_outs"] == pytest.approx(np.mean([g.call_outs for g in own]))
            assert found["own_hands"] == pytest.approx(100 * np.mean([g.by == role for g in own]))
    both = [table.data[f"{role}: {whole.ORDER}"]["over"] for role in ("homeowner", "technician")]
    assert table.data[f"all: {whole.ORDER}"]["over"] == pytest.approx(np.mean(both))
    assert "4 sites" in table.notes[0]
    assert all(f["questions"] == 0 for name, f in table.data.items() if name.endswith(whole.KNOWING))


def test_a_rival_that_wins_is_named(played):
    """Ours and the fixed order changed round: what was worse is better now, and the notes say where."""
    turned = {
        role: games | {whole.OURS: games[whole.ORDER], whole.ORDER: games[whole.OURS]} for role, games in played.items()
    }
    before, after = (
        next(n for n in whole.table(p, 2, 1.0).notes if n.startswith("The trade's")) for p in (played, turned)
    )
    assert "of 2 complaints" in before
    assert before != after
    assert "most by" in after


def test_what_lies_within_two_errors_is_not_called_a_difference():
    data = {f"all: {p}": {"over": 4.1, "error": 2.0} for p in (*whole.POLICIES, whole.ORDER)}
    assert whole.alike(data) == []
    data[f"all: {whole.ORDER}"] = {"over": -3.9, "error": 2.0}
    assert whole.alike(data) == ["Not told apart from ours by so many sites: the trade's fixed order (-3.9 ± 2.0)."]


def test_where_the_truth_is_believed_nothing_is_lost(network):
    installations = drawn(network, ["siphons"], 1, 5)
    games = robust.in_worlds(network, [network, network], [installations, installations], "technician")
    assert games[0][robust.OURS] == games[0][robust.TRUE] == games[1][robust.OURS]
    found = robust.figures([[g] for g in games])
    assert (found["lost"], found["error"]) == (0, 0)
    table = robust.table({0.5: [dict.fromkeys(games_.ROLES, g) for g in games]}, 2, 1, 1.0)
    assert [r[1] for r in table.rows] == [*games_.ROLES, "all"]
    assert all(len(r) == len(table.columns) for r in table.rows)


def test_the_order_that_wins_is_counted(network):
    installations = drawn(network, ["siphons"], 2, 5)
    games = robust.in_worlds(network, [network], [installations], "technician")[0]
    turned = games | {robust.OURS: games[robust.ORDER], robust.ORDER: games[robust.OURS]}
    gaps = np.subtract(
        [g.cost for g in games[robust.ORDER]["siphons"]], [g.cost for g in games[robust.OURS]["siphons"]]
    )
    for each, apart in ((games, gaps), (turned, -gaps)):
        found = robust.figures([[each]])
        assert found["beaten"] == pytest.approx(100 * (apart < 0).mean())
        assert found["by"] == pytest.approx(-apart[apart < 0].mean() if (apart < 0).any() else 0)
        assert [w[0] for w in found["wins"]] == (["siphons"] if apart.mean() < 0 else [])


def test_the_site_answers_by_the_truth_and_the_advice_by_what_it_believes(kb, network):
    """Two beliefs at one site ask different things, and what both ask is answered alike."""
    from tests.bench.perturb import perturbed

    other = Network(perturbed(kb, 1.0, 3))
    installation = drawn(network, ["no-drain"], 1, 2)["no-drain"][0]
    ours, theirs = (play(network, installation, "technician", Steps(believed)) for believed in (network, other))
    said = {m.id: m.said for m in ours.moves if m.kind == "check"}
    assert [m.id for m in ours.moves] != [m.id for m in theirs.moves]
    assert all(said.get(m.id, m.said) == m.said for m in theirs.moves if m.kind == "check" and not theirs.botched)
    assert ours == partial(play, network, installation, "technician")()
