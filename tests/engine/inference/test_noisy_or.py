"""Factors by hand, every cause in one part, and parts that are bundled only where they touch the same."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.inference.cause_factors import CauseGroup
from dryfloor.engine.inference.noisy_or import CausePrior, LocalEvidence, NoisyOr, active, alternatives


def test_what_factors_by_cause_is_no_variable():
    """A finding not seen, one of a single cause, and one that tells nothing: weights by Bayes' rule, worked by hand (D)."""
    local = LocalEvidence(2, 0, {})
    local.take(NoisyOr(0.1, {0: 0.5, 1: 0.2}, 0.0, 1.0))  # off: (1 - leak) and 1 less each strength
    local.take(
        NoisyOr(0.2, {1: 0.5}, 0.9, 0.3)
    )  # one cause: absent 0.9 * 0.2 + 0.3 * 0.8 = 0.42, present 0.9 * 0.6 + 0.3 * 0.4 = 0.66
    local.take(NoisyOr(0.3, {0: 0.9, 1: 0.9}, 0.7, 0.7))  # says the same either way
    assert local.variables == []
    assert local.constant == pytest.approx(0.9 * 0.42 * 0.7)
    assert local.factor == pytest.approx([0.5, 0.8 * 0.66 / 0.42])


def test_a_complaint_is_a_variable_even_of_one_cause():
    local = LocalEvidence(1, 3, {})
    local.take(NoisyOr(0.1, {0: 0.5}, 1.0, 0.0, complaint=True))
    assert len(local.variables) == 1
    assert local.links == [[(3, 0.5)]]


def test_a_barred_link_must_have_stayed_silent():
    local = LocalEvidence(2, 0, {})
    local.take(NoisyOr(0.1, {0: 0.75, 1: 0.5}, 1.0, 0.0, complaint=True, barred=frozenset({0})))
    assert (local.factor, local.links) == ([0.25, 1.0], [[], [(0, 0.5)]])


def test_a_cured_cause_explains_what_was_seen_before_alone():
    """Seen before the remedy, and again after it: while cured it fires the first alone; at work, both."""
    local = LocalEvidence(1, 0, {0: [(1, 0.9)]})
    for epoch in (0, 1):
        local.take(NoisyOr(0.1, {0: 0.5}, 1.0, 0.0, epoch=epoch, complaint=True))
    cured, still = local.ways[0]
    assert (cured.share, cured.links) == (0.9, [(0, 0.5)])
    assert (still.share, still.links) == (pytest.approx(0.1), [(0, 0.5), (1, 0.5)])


def test_what_was_not_seen_after_a_remedy_says_nothing_of_the_cured():
    local = LocalEvidence(1, 0, {0: [(1, 0.9)]})
    local.take(NoisyOr(0.1, {0: 0.5}, 0.0, 1.0, epoch=1))
    assert [way.factor for way in local.ways[0]] == [1.0, 0.5]


def test_of_a_complaint_that_ended_only_cured_causes_are_the_firing_kind():
    local = LocalEvidence(1, 0, {0: [(1, 0.9)]})
    local.take(NoisyOr(0.1, {0: 0.5}, 1.0, 0.2, complaint=True, gone_at=1))
    cured, still = local.ways[0]
    assert (cured.links, cured.factor) == ([(0, 0.5)], 1.0)
    assert (still.links, still.factor) == ([], 0.5)


@given(st.lists(st.floats(0.05, 0.95), min_size=1, max_size=4))
def test_the_ways_to_have_met_its_remedies_are_all_there_are(cures):
    ways = alternatives([(n + 1, cure) for n, cure in enumerate(cures)])
    assert sum(share for share, _ in ways) == pytest.approx(1.0)
    assert ways[-1] == (pytest.approx(np.prod([1 - c for c in cures])), None)
    assert [active(at, 1) for _, at in ways] == [at != 1 for _, at in ways]


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_every_cause_is_in_one_part_and_a_bundle_touches_what_each_of_its_causes_does(seed):
    rng = np.random.default_rng(seed)
    count, facts = int(rng.integers(1, 9)), int(rng.integers(0, 3))
    tables = []
    for _ in range(count):
        parents = tuple(f for f in range(facts) if rng.random() < 0.4)
        tables.append(CausePrior(parents, rng.random([2] * len(parents))))
    local = LocalEvidence(count, facts, {0: [(1, 0.5)]} if rng.random() < 0.3 else {})
    for _ in range(int(rng.integers(0, 4))):
        links = {i: float(rng.random()) for i in range(count) if rng.random() < 0.5}
        local.take(NoisyOr(0.1, links, 1.0, 0.0, complaint=True))
    parts = local.parts(tables)
    held = [i for part in parts for i in (part.causes if isinstance(part, CauseGroup) else [part.cause])]
    assert sorted(held) == list(range(count))
    for part in parts:
        for i in part.causes if isinstance(part, CauseGroup) else [part.cause]:
            touched = {v for way in local.ways[i] for v, _ in way.links} | {
                v for v, _ in ([] if local.ways[i] else local.links[i])
            }
            assert part.scope == sum(1 << v for v in {*touched, *tables[i].facts})
