"""Figures of the kb: W21, and counts made a second way on small tables and on the small kb."""

from itertools import product

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.evaluation.metrics import figures, idle, marks, sums, told_apart
from dryfloor.engine.evaluation.metrics import outcome_tables as tables_of
from dryfloor.engine.evaluation.testability import APART, by_odds, by_signature, divergence
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.planning import roles
from dryfloor.engine.simulation.baselines import KINDS, fixed_list, fixed_order, knowing
from dryfloor.engine.simulation.world import installations_of
from tests.support.places import SMALL

# The fault-test matrix of Pattipati & Alexandridis 1990 and its successors (grade M: from memory, unverified) without its
# sound state, and the figures of it worked out by hand for the reference sheet (W21, grade D: derived).
FAULTS = ["s1", "s2", "s3", "s4", "s5"]
RATES = [0.01, 0.02, 0.10, 0.05, 0.12]
MATRIX = np.array([[0, 1, 0, 0, 1], [0, 0, 1, 1, 0], [1, 0, 0, 1, 1], [1, 1, 0, 0, 0], [1, 1, 1, 1, 0]], bool)


@pytest.fixture(scope="module")
def small():
    return load_kb(SMALL)


def test_w21_all_tests():
    found = by_signature(FAULTS, RATES, MATRIX)
    assert (found.detected, found.isolated, found.mean_size, found.groups, found.unseen) == (1, [1, 1, 1], 1, [], [])


def test_w21_the_first_and_the_fourth_test_alone():
    found = by_signature(FAULTS, RATES, MATRIX[:, [0, 3]])
    assert found.detected == pytest.approx(0.966667, abs=5e-7)
    assert found.isolated[0] == pytest.approx(0.241379, abs=5e-7)
    assert found.isolated[1] == pytest.approx(1, abs=1e-12)
    assert found.mean_size == pytest.approx(1.758621, abs=5e-7)
    assert (found.groups, found.unseen) == ([["s3", "s5"]], ["s1"])


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10**6))
def test_signatures_counted_a_second_way(seed):
    rng = np.random.default_rng(seed)
    n, tests = int(rng.integers(1, 8)), int(rng.integers(1, 4))
    names, rates = [f"f{i}" for i in range(n)], [float(r) for r in rng.uniform(0.1, 3, n)]
    matrix = rng.random((n, tests)) < 0.5
    remedy = [int(r) for r in rng.integers(0, 3, n)]
    found = by_signature(names, rates, matrix, remedies=remedy)
    groups: dict = {}
    for i in range(n):
        groups.setdefault(tuple(matrix[i]), []).append(i)
    groups.pop((False,) * tests, None)
    seen = sum(rates[i] for g in groups.values() for i in g)
    size = {i: len({remedy[j] for j in g}) for g in groups.values() for i in g}
    assert found.detected == pytest.approx(seen / sum(rates))
    for most in (1, 2, 3):
        expected = sum(rates[i] for i in size if size[i] <= most) / seen if seen else 0.0
        assert found.isolated[most - 1] == pytest.approx(expected)
    assert found.mean_size == pytest.approx(sum(rates[i] * s for i, s in size.items()) / seen if seen else 0.0)
    assert sorted(found.groups) == sorted(
        [names[i] for i in g] for g in groups.values() if len({remedy[i] for i in g}) > 1
    )


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6))
def test_expected_log_ratios_against_every_joint_outcome(seed):
    """Tests are independent given the fault, so the sum must be that of one big test with all joint outcomes."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 5))
    tables = [rng.dirichlet(np.ones(int(rng.integers(2, 4))), n).T for _ in range(int(rng.integers(1, 4)))]
    sums_ = divergence(tables)
    for a, b in product(range(n), repeat=2):
        expected = 0.0
        for outcome in product(*(range(len(t)) for t in tables)):
            p, q = (np.prod([t[k, f] for t, k in zip(tables, outcome, strict=True)]) for f in (a, b))
            expected += p * np.log(p / q)
        assert sums_[a, b] == pytest.approx(expected, abs=1e-9)


def test_two_faults_are_alike_where_either_of_them_would_stay_in_doubt():
    """One test in doubt by itself, four of them together; and two causes that show the same."""
    first, second, none = 0.9, 0.05, 0.05
    table = np.array([[first, second, none], [1 - first, 1 - second, 1 - none]])
    both = divergence([table])
    assert both[1, 0] < APART
    assert by_odds("ab", [1, 1], [table], ~np.eye(2, dtype=bool)).unseen == ["a", "b"]
    four = [table] * 4
    found = by_odds("ab", [1, 1], four)
    assert (found.unseen, found.groups) == (["b"], [])
    alike = np.array([[0.99, 0.98, 0.001], [0.01, 0.02, 0.999]])
    assert by_odds("ab", [1, 1], [alike]).groups == [["a", "b"]]
    assert by_odds("ab", [1, 1], [alike], remedies=["same", "same"]).groups == []
    # The first at work is plain at once (4.4 nat); the second leaves odds of under ten to one for itself (2.3 nat).
    lopsided = np.array([[0.9, 0.005, 0.005], [0.1, 0.995, 0.995]])
    shared = np.array([[0.99, 0.99, 0.0005], [0.01, 0.01, 0.9995]])
    assert by_odds("ab", [1, 1], [lopsided, shared]).groups == [["a", "b"]]


def test_the_small_kb_by_hand(small):
    """Both causes mark one finding of their own; behind the panel only a technician looks, and no cause shows there."""
    network, names = Network(small), sorted(small.causes)
    assert names == ["hose-sealed-in", "pipe-too-low"]
    # findings of a homeowner, in id order: hose-sealed taped, pipe-height below, pipe-height above
    assert marks(network, names, "homeowner").astype(int).tolist() == [[1, 0, 0], [0, 1, 0]]
    assert marks(network, names, "technician").astype(int).tolist() == [[1, 0, 0, 0], [0, 0, 1, 0]]
    for role in ("homeowner", "technician"):
        found = figures(small, [role], 0)[0]
        assert (found.marked.detected, found.marked.isolated[0], found.served, found.overall) == (1, 1, [], None)
    told = told_apart(network, names)
    assert not told.any()
    assert idle(network, names, told, tables_of(network, names, "technician")) == ["panel-wet"]


def test_outcomes_of_the_small_kb_by_hand(small):
    """Noisy-OR with its net leak, then nothing seen; and a reading that a homeowner gets quite wrong 30 times in 1000."""
    tables = tables_of(Network(small), ["hose-sealed-in", "pipe-too-low"], "homeowner")
    taped = [1 - (1 - 0.002) * (1 - s) for s in (0.9, 0.1, 0)]
    assert tables["hose-sealed"] == pytest.approx(np.array([taped, [1 - p for p in taped]]))
    below = [1 - (1 - 0.02) * (1 - s) for s in (0, 0.99, 0)]
    above = [(1 - b) * (1 - (1 - 0.01) * (1 - s)) for b, s in zip(below, (0.3, 0, 0), strict=True)]
    plain = np.array([below, above, [1 - b - a for b, a in zip(below, above, strict=True)]])
    assert tables["pipe-height"] == pytest.approx(0.97 * plain + 0.03 / 3)


def test_causes_are_told_apart_by_complaint_and_by_circumstance(small):
    sealed = small.causes["hose-sealed-in"]
    tub = msgspec.structs.replace(sealed, id="tub-too-low", when={"drain": "tub"})
    dry = msgspec.structs.replace(sealed, id="zz-dry", shows=[s for s in sealed.shows if not s.complaint])
    kb = msgspec.structs.replace(small, causes={**small.causes, tub.id: tub, dry.id: dry})
    names = ["hose-sealed-in", "pipe-too-low", "tub-too-low", "zz-dry"]
    assert told_apart(Network(kb), names).astype(int).tolist() == [
        [0, 0, 0, 1],
        [0, 0, 1, 1],
        [0, 1, 0, 1],
        [1, 1, 1, 0],
    ]
    found = figures(kb, ["technician"], 0)[0]
    # the same remedy, so no matter which of the two it is
    assert found.odds.groups == []


def test_sites_come_as_the_exact_belief_says(small):
    """Drawn sites, counted, against the exact posterior of the complaint alone."""
    network = Network(small)
    analysis = Analysis(network, fold(small, [Event(role="technician"), Event(complaints=["wet"])]))
    installations = installations_of(network, ["wet"], 3000, 7)["wet"]
    for belief in analysis.beliefs:
        share = np.mean([belief.cause in s.origins["wet"] for s in installations])
        assert share == pytest.approx(belief.p, abs=0.025)
        assert np.mean([belief.cause in s.causes for s in installations]) == pytest.approx(belief.present, abs=0.025)
    assert np.mean([not s.origins["wet"] for s in installations]) == pytest.approx(analysis.unknown, abs=0.025)
    assert [s.seed for s in installations] == [s.seed for s in installations_of(network, ["wet"], 3000, 7)["wet"]]


def test_knowing_at_once_against_every_case_by_hand(small):
    """What a technician who knows pays: each set of causes and each botched fix, weighted by hand-worked chances."""
    network = Network(small)
    installations = installations_of(network, ["wet"], 3000, 7)["wet"]
    # technician 1.5 a minute; plumber 120 and 2 a minute; the last in the chain 240 and 2.5 a minute, an hour for the unlisted
    untape, raise_ = 5 * 1.5 + 0.5 * 1.5, 120 + 45 * 2 + 10 + 1 * 1.5
    last_untape, last_raise = 5 * 2.5, 45 * 2.5 + 10 + 120
    expected = []
    for installation in installations:
        causes = installation.origins["wet"]
        if not causes:
            expected.append(240 + 60 * 2.5)
            continue
        a, b = "hose-sealed-in" in causes, "pipe-too-low" in causes
        cost = 0.0
        for fails_a, fails_b in product((0, 1) if a else (0,), (0, 1) if b else (0,)):
            p = ((0.1 if fails_a else 0.9) if a else 1) * ((0.3 if fails_b else 0.7) if b else 1)
            left = 240 * (fails_a or fails_b) + last_untape * fails_a + last_raise * fails_b
            cost += p * (untape * a + raise_ * b + left)
        expected.append(cost)
    found = sums([knowing(network, s, "technician") for s in installations])
    assert found.cost == pytest.approx(np.mean(expected), rel=0.03)


def test_the_fixed_order_is_the_trades(kb):
    network = Network(kb)
    for complaint in ("siphons", "walks"):
        listed = fixed_list(network, [complaint])
        ranks = [
            (
                KINDS.index(c.kind),
                kb.places[f"checks/{c.id}"].rpartition(":")[0],
                int(kb.places[f"checks/{c.id}"].rpartition(":")[2]),
            )
            for c in listed
        ]
        assert ranks == sorted(ranks)
        assert not any(c.only_proof for c in listed)


def test_the_fixed_order_keeps_to_what_hands_may_do(small):
    network = Network(small)
    for installation in installations_of(network, ["wet"], 40, 3)["wet"]:
        for role in ("homeowner", "technician"):
            outcome = fixed_order(network, installation, role)
            for move in outcome.moves:
                hands = roles.default_hands(move.role)
                if move.kind == "check":
                    assert roles.permitted(small, small.checks[move.id], hands)
                if move.kind == "remedy":
                    assert roles.may_mend(small, small.causes[move.id].remedy, hands)
            assert outcome.solved or outcome.by == "specialist"
            kinds = [m.kind for m in outcome.moves]
            assert all(kinds[i + 1] == "proof" for i, k in enumerate(kinds) if k in ("remedy", "book"))


def test_all_three_ways_on_the_small_kb(small):
    found = figures(small, ["homeowner", "technician"], 40)
    assert found == figures(small, ["homeowner", "technician"], 40)
    for each in found:
        (served,) = each.served
        assert served.sites == 40
        assert served.knowing.cost <= served.ours.cost <= served.in_order.cost * 1.02
        assert {w.cause for w in each.worst} == {"hose-sealed-in", "pipe-too-low"}
        assert each.overall.ours.cost == pytest.approx(served.ours.cost, abs=0.1)


def test_the_command_prints_and_envelopes(run):
    shown = run("kb", "figures", "--role", "homeowner", "--quick", "--kb", str(SMALL), COLUMNS="80")
    assert shown.code == 0, shown.err
    assert "HOMEOWNER" in shown.out
    assert "in doubt" in shown.out
    assert all(len(line) <= 80 for line in shown.out.splitlines())
    data = msgspec.json.decode(run("kb", "figures", "--quick", "--json", "--kb", str(SMALL)).out)
    assert [r["role"] for r in data["data"]["roles"]] == ["homeowner", "desk", "technician"]
    wrong = run("kb", "figures", "--role", "tecnician", "--kb", str(SMALL))
    assert (wrong.code, "nearest: technician" in wrong.err) == (2, True)


@pytest.mark.slow
def test_on_the_shipped_kb_our_choice_beats_the_fixed_order(kb):
    for found in figures(kb, ["homeowner", "technician"], 3):
        assert found.odds.detected > 0.9
        assert found.odds.isolated[2] > 0.9
        assert found.overall.ours.cost < 0.9 * found.overall.in_order.cost
