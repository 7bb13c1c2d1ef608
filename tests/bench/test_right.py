"""The bench's references: the network that they are given is the kb's, they agree among themselves, and the run needs no library."""

from fractions import Fraction

import numpy as np
import pytest

from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.inference.posterior import infer_by_fact
from dryfloor.engine.knowledge.load import load_kb
from tests.bench import exact, right
from tests.bench.cases import case, random_network
from tests.bench.libraries import Library, installed
from tests.bench.tabular import Node, nodes, or_table
from tests.bench.twolayer import Cause, Seen, TwoLayer, folded, posed
from tests.support.places import SMALL
from tests.support.shipped import shipped


@pytest.fixture(scope="module")
def small():
    return Network(load_kb(SMALL))


def answers(network):
    """Every answer of every check that is seen, not measured, with no fact known and with each fact known."""
    facts = [Event(fact=f.id, is_=o) for f in network.kb.facts.values() for o in f.options]
    for known in ([], *([f] for f in facts)):
        for check in network.kb.checks.values():
            for answer in check.answers:
                yield [*known, Event(check=check.id, answer=answer)]


def test_every_answer_of_the_small_kb_is_as_every_world_says(small):
    """The network made of the records, every world of it listed (D), beside the engine; within 1e-12."""
    seen = 0
    for complaint in small.kb.complaints:
        for events in answers(small):
            state = fold(small.kb, [Event(role="technician"), Event(complaints=[complaint]), *events])
            made, e = posed(small, state), gather_evidence(small, state)
            ours = infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures)
            assert [*made.causes] == e.causes
            assert [*exact.every_world(made).present.values()] == pytest.approx(ours.present, abs=1e-12)
            seen += len(made.causes) > 1
    assert seen >= 8


def by_fractions(network):
    """Posteriors by listing every set of causes in exact fractions, for a network without facts."""
    names = [*network.causes]
    joint = dict.fromkeys(names, Fraction(0))
    total = Fraction(0)
    for mask in range(1 << len(names)):
        there = [c for k, c in enumerate(names) if mask >> k & 1]
        p = Fraction(1)
        for c in names:
            own = Fraction(network.causes[c].chance[0])
            p *= own if c in there else 1 - own
        for s in network.seen.values():
            off = 1 - Fraction(s.leak)
            for c in there:
                off *= 1 - Fraction(s.links.get(c, 0.0))
            p *= Fraction(s.on) * (1 - off) + Fraction(s.off) * off
        total += p
        for c in there:
            joint[c] += p
    return {c: float(j / total) for c, j in joint.items()}


STRESS = TwoLayer(
    {},
    {"a": Cause([], [0.01]), "b": Cause([], [0.02]), "c": Cause([], [0.005])},
    {f"f{k}": Seen(0.001, {"a": 0.05} | ({"b": 0.02} if k % 2 == 0 else {}), 1.0, 0.0) for k in range(14)},
    "f0",
)


def test_whole_numbers_where_the_textbook_sum_cancels():
    """14 positives of the stress case, against exact fractions (D): equal to the last digits of float64."""
    assert exact.whole_numbers(STRESS).present == pytest.approx(by_fractions(STRESS), rel=1e-15)


@pytest.mark.parametrize("seed", range(12))
def test_both_exact_ways_agree_on_random_networks(seed):
    network = random_network(np.random.default_rng(seed), 7, 1 + seed % 8)
    assert exact.whole_numbers(network).present == pytest.approx(exact.every_world(network).present, abs=1e-13)


def test_a_network_too_large_to_list_is_refused():
    wide = TwoLayer({}, {f"c{i}": Cause([], [0.1]) for i in range(exact.MOST_WORLDS + 1)}, {})
    with pytest.raises(exact.TooMany):
        exact.every_world(wide)


def test_what_a_careful_user_folds_changes_no_posterior():
    """Findings that factor by cause, folded into the causes' weights: the same in every world (D), 1e-13."""
    for seed in range(8):
        network = random_network(np.random.default_rng(seed), 6, 3)
        weights, rest = folded(network)
        seen = rest | {c: Seen(0.0, {c: 1.0}, present, absent) for c, (absent, present) in weights.items()}
        again = TwoLayer(network.facts, network.causes, seen)
        assert exact.every_world(again).present == pytest.approx(exact.every_world(network).present, abs=1e-13)


def test_a_chain_of_two_parent_ors_is_the_whole_table():
    """P(on) by summing the chain out by hand (D), for every set of causes."""
    links = {"a": 0.3, "b": 0.6, "c": 0.9}
    network = TwoLayer({}, {c: Cause([], [0.5]) for c in links}, {"f": Seen(0.1, links, 1.0, 0.0)})
    made, _, _ = nodes(network, "folded")
    whole = or_table(0.1, list(links.values()))
    assert whole[0b110] == pytest.approx([0.9 * 0.7 * 0.4, 1 - 0.9 * 0.7 * 0.4], abs=1e-15)

    def chance(name: str, at: dict[str, int]) -> list[float]:
        node: Node = made[name]
        out = [0.0, 0.0]
        if name.startswith("cause:"):
            out[at[name]] = 1.0
            return out
        weights = [1.0]
        for p in node.parents:
            weights = [w * x for w in weights for x in chance(p, at)]
        return [sum(w * row[k] for w, row in zip(weights, node.table, strict=True)) for k in range(2)]

    for n in range(8):
        at = {f"cause:{c}": n >> (2 - k) & 1 for k, c in enumerate(links)}
        assert chance("f", at) == pytest.approx(whole[n], abs=1e-15)


@pytest.mark.parametrize("known", [True, False])
def test_a_case_has_as_many_positives_as_were_wanted(kb, known):
    network = Network(kb)
    for n in (1, 7):
        state, made = case(network, "walks", n, known, np.random.default_rng(n))
        assert made.positives == n
        assert len(state.facts) == (len(kb.facts) if known else 0)


def test_a_library_says_what_every_world_says():
    network = random_network(np.random.default_rng(3), 6, 4)
    with Library("pyagrum") as library:
        for form in right.FORMS:
            found = library.ask(network, form, 30.0)
            assert found.status == "ok"
            assert found.present == pytest.approx(exact.every_world(network).present, abs=1e-12)


def test_a_library_that_needs_too_much_is_stopped_and_serves_on():
    """A finding with 40 parents as one table is more than any cap; the next query is answered all the same."""
    names = [f"c{i}" for i in range(40)]
    wide = TwoLayer({}, {c: Cause([], [0.1]) for c in names}, {"f": Seen(0.1, dict.fromkeys(names, 0.5), 1.0, 0.0)})
    with Library("pyagrum") as library:
        assert library.ask(wide, "written", 2.0).status in ("memory", "time")
        assert library.ask(wide, "folded", 30.0).status == "ok"


@pytest.mark.slow
def test_two_complaints_are_within_the_aim(monkeypatch):
    """A run without pgmpy: every reference within 1e-9, and the note says what is missing."""
    monkeypatch.setattr(right, "installed", lambda: [n for n in installed() if n != "pgmpy"])
    monkeypatch.setattr(right, "load_kb", shipped)
    monkeypatch.setattr(right, "QUICK", right.Size(2, (1, 4), 2, 1.0, 20_000))
    table = right.run(quick=True)
    assert 0 <= table.data["largest"] < right.AIM
    assert all(n > 3 for n in table.data["references"].values())
    assert any("pgmpy" in note and "Not installed" in note for note in table.notes)
    assert not any("pgmpy" in row[1] for row in table.rows)


def test_a_wrong_posterior_would_be_seen():
    network = random_network(np.random.default_rng(3), 6, 4)
    says = exact.every_world(network).present
    wrong = dict(says, c0=says["c0"] + 1e-6)
    tallies = right.compare(iter([right.Posed(right.RANDOM, network, wrong, says)]), right.QUICK, [])
    assert tallies[right.RANDOM, right.WORLDS].most == pytest.approx(1e-6, rel=1e-3)
    table = right.table(tallies, {right.RANDOM: 1}, [], right.QUICK)
    assert "MISSED" in table.notes[0]
