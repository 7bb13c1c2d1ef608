"""What a break leads to, given that it is there: harmless states, the causes behind it, and what a callback costs."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.survey.consequences import LEAST, behind_break, callback_cost, complains, harmless, saved


def test_what_is_harmless_is_what_hands_do_not_misread(kb):
    network = network_of(kb)
    assert harmless(network, "answer:restraints-left:bolts-or-rods") == LEAST  # 2 in 1000 reports, hands err in 5
    assert harmless(network, "answer:drain-hose-in-hook:not-held") == pytest.approx(0.120 - 0.005)
    assert harmless(network, "side:standpipe-height:below") == pytest.approx(
        0.100
    )  # a reading's errors are counted in the reading


def test_given_a_break_one_cause_and_its_harmless_twin_share_it(kb):
    """By hand: one cause of rate r shows the answer with s beside a harmless h; P(cause | seen) = r s + r (1-s) h over 1 - (1-h)(1-rs)."""
    network = network_of(kb)
    facts = {f: next(iter(o.options)) for f, o in kb.facts.items()} | {"onset": "new"}
    node = "answer:hose-end-plugged:plugged"
    ((cause, s),) = network.shown[node].items()
    r, h = network.chance_of(cause, tuple(facts[f] for f in network.bears[cause])), harmless(network, node)
    found = behind_break(network, kb.rules["drain-hose-open"], None, facts, node)
    assert found[cause] == pytest.approx(r * (s + (1 - s) * h) / (1 - (1 - h) * (1 - r * s)), rel=1e-6)


def test_what_a_mend_saves_is_chance_complaint_and_callback(kb):
    network = network_of(kb)
    found = {"restraints-left-in": 0.5, "foot-unloaded": 0.25}
    by_hand = sum(p * complains(network, c) * callback_cost(kb, kb.causes[c]) for c, p in found.items())
    assert saved(network, found) == pytest.approx(by_hand)
    pipe = kb.causes["standpipe-too-low"]
    parts = sum(kb.parts[p].price.n for p in pipe.remedy.parts)
    assert (
        callback_cost(kb, pipe) == 90 + 120 + 45 * 2 + parts
    )  # call-out, the plumber's own, minutes at a plumber's rate
    kept = 1.0
    for node, links in network.shown.items():
        if node.startswith("complaint:"):
            kept *= 1 - links.get("restraints-left-in", 0)
    assert complains(network, "restraints-left-in") == pytest.approx(1 - kept)
