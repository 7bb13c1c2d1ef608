"""What the network keeps of its kb: the same numbers as worked out anew, and never more than it says."""

from concurrent.futures import ThreadPoolExecutor
from itertools import product

import numpy as np
import pytest

from dryfloor.engine.diagnosis import network as module
from dryfloor.engine.diagnosis.network import Network, chance, priors
from dryfloor.engine.knowledge import graph


def by_hand(kb, cause, facts) -> float:
    """Rate x scale x every circumstance that holds, straight from the record; options are compared as they are written."""

    def held(when):
        return all(facts.get(f) in ([wanted] if isinstance(wanted, str) else wanted) for f, wanted in when.items())

    out = cause.per_1000.n / 1000 * graph.scale(kb) if held(cause.when) else 0.0
    for likelier in cause.likelier:
        out *= likelier.times.n if held(likelier.when) else 1.0
    return out


def test_a_chance_is_that_of_the_record_asked_once_or_again(kb):
    network = Network(kb)
    for cause in kb.causes.values():
        names = network.bears[cause.id]
        for way in list(product(*(kb.facts[f].options for f in names)))[:40]:
            facts = dict(zip(names, way, strict=True))
            expected = pytest.approx(by_hand(kb, cause, facts), rel=1e-12)
            assert chance(network, cause, facts) == expected
            assert chance(network, cause, facts | {"of no account": "x"}) == expected


def test_a_table_has_an_axis_for_each_unknown_fact(kb):
    network = Network(kb)
    cause = max(kb.causes.values(), key=lambda c: len(network.bears[c.id]))
    first, *rest = network.bears[cause.id]
    known = {first: sorted(kb.facts[first].options)[0]}
    facts, (table,) = priors(network, [cause.id], known)
    assert [facts.names[n] for n in table.facts] == rest
    for way in product(*(range(len(kb.facts[f].options)) for f in rest)):
        all_known = known | {f: sorted(kb.facts[f].options)[n] for f, n in zip(rest, way, strict=True)}
        assert table.chance[way] == pytest.approx(by_hand(kb, cause, all_known), rel=1e-12)


def test_what_is_kept_can_not_be_written_over(kb):
    table = priors(Network(kb), ["standpipe-too-low"], {})[1][0].chance
    with pytest.raises(ValueError, match="read-only"):
        table[...] = 0.0


def test_a_bound_that_is_reached_drops_the_oldest(kb, monkeypatch):
    monkeypatch.setattr(module, "CHECKS_KEPT", 2)
    network = Network(kb)
    looked = []
    real = graph.checks_for
    monkeypatch.setattr(graph, "checks_for", lambda g, causes: looked.append(*causes) or real(g, causes))
    one, two, three = sorted(kb.causes)[:3]
    for cause in (one, two, one, three):  # one is asked again, so that two is the oldest when three comes
        assert network.checks_for([cause]) == tuple(real(network.graph, [cause]))
    assert looked == [one, two, three]
    assert network.kept()["checks"] == 2
    network.checks_for([one])
    assert looked == [one, two, three]
    network.checks_for([two])
    assert looked == [one, two, three, two]


@pytest.mark.parametrize(("bound", "kind"), [("CHANCES_KEPT", "chances"), ("TABLES_KEPT", "tables")])
def test_beyond_a_bound_the_numbers_are_the_same(kb, monkeypatch, bound, kind):
    causes = sorted(kb.causes)[:30]
    whole = priors(Network(kb), causes, {})[1]
    monkeypatch.setattr(module, bound, 3)
    small = Network(kb)
    for _ in range(2):
        for table, expected in zip(priors(small, causes, {})[1], whole, strict=True):
            assert table.facts == expected.facts
            assert (table.chance == expected.chance).all()
        assert small.kept()[kind] == 3


def test_threads_that_ask_at_once_get_the_same(kb):
    causes = sorted(kb.causes)
    alone = priors(Network(kb), causes, {})[1]
    network = Network(kb)
    with ThreadPoolExecutor(4) as pool:
        for tables in pool.map(lambda _: priors(network, causes, {})[1], range(8)):
            assert all(np.array_equal(a.chance, b.chance) for a, b in zip(tables, alone, strict=True))


def test_what_is_forgotten_is_worked_out_anew(kb):
    network = Network(kb)
    before = priors(network, sorted(kb.causes), {})[1]
    assert network.kept()["tables"] == len(kb.causes)
    network.forget()
    assert set(network.kept().values()) == {0}
    assert all(
        (a.chance == b.chance).all() for a, b in zip(priors(network, sorted(kb.causes), {})[1], before, strict=True)
    )
