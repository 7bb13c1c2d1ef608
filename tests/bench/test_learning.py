"""What of the bench of learning can be tested without its time: sites as often as they are complained of, and what is revealed of them."""

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.simulation.simulator import Steps
from tests.bench.learning import revealed, sites, walked


def test_sites_are_the_same_for_the_same_seed_and_all_are_complained_of(kb):
    network = network_of(kb)
    some = sites(network, ("siphons", "slow-fill"), 12, 3)
    assert some == sites(network, ("siphons", "slow-fill"), 12, 3)
    assert {c for site in some for c in site.origins} == {"siphons", "slow-fill"}


def test_revealed_is_what_the_site_has(kb):
    network = network_of(kb)
    (one,) = walked(network, Steps(network), sites(network, ("siphons",), 1, 3))
    told = revealed(one)
    assert told.at_work == tuple(sorted(one.site.causes))
    assert dict(told.state.facts) == one.site.facts
    assert told.state.answers == one.lesson.state.answers
