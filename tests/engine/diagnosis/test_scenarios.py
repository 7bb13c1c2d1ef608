"""The listed weights against brute force over every world, and what the list must always keep."""

from collections import defaultdict
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.diagnosis import scenarios
from dryfloor.engine.diagnosis.evidence import Evidence
from dryfloor.engine.diagnosis.network import Facts
from dryfloor.engine.diagnosis.scenarios import list_scenarios
from dryfloor.engine.inference.noisy_or import CausePrior
from dryfloor.engine.inference.posterior import infer
from tests.support.worlds import joint, random_network, worlds


def evidence_of(case) -> Evidence:
    prior, share, findings, cures = case
    names = [f"c{i}" for i in range(prior.shape[1])]
    facts = Facts(["fact"], [[str(s) for s in range(len(share))]], [share])
    return Evidence(
        names,
        [CausePrior((0,), column) for column in prior.T],
        facts,
        findings,
        [str(k) for k in range(len(findings))],
        cures,
    )


def listed(case):
    posterior = infer(*case)
    return list_scenarios(evidence_of(case), posterior.marginal_likelihood, posterior.present), posterior


def by_hand(case, most: int | None = None) -> dict[tuple, np.ndarray]:
    """Joint chance with the evidence of each scenario, by state of the facts: (still at work, to be mended, unlisted).

    `most`: only worlds with so many causes present, cured ones not counted."""
    prior, share, findings, cures = case
    standing = [k for k, f in enumerate(findings) if f.complaint and f.gone_at is None]
    out: dict[tuple, np.ndarray] = defaultdict(lambda: np.zeros(len(share)))
    for s, given_share in enumerate(share):
        for w in worlds(list(prior[s]), findings, cures):
            if most is None or len(w.still) <= most:
                fired = frozenset(i for k in standing for i in w.fired[k] if i in w.still)
                unlisted = any(not w.fired[k] & w.still for k in standing)
                out[w.still, fired, unlisted][s] += w.p * given_share
    return out


def keys(found, rows=None):
    for row in range(len(found.weight)) if rows is None else rows:
        still = frozenset(np.flatnonzero(found.present[row]).tolist())
        fired = frozenset(np.flatnonzero(found.needs[row]).tolist())
        yield row, (still, fired, bool(found.unlisted[row]))


@pytest.fixture
def unpruned(monkeypatch):
    """Keep every scenario, so that the list can be compared with all worlds."""
    monkeypatch.setattr(scenarios, "KEEP", 2.0)
    monkeypatch.setattr(scenarios, "MOST_SETS", 10**6)


@pytest.mark.parametrize("seed", range(30))
def test_weights_by_brute_force(seed: int, unpruned, monkeypatch) -> None:
    """Three causes: several complaints, epochs, gone complaints, cured causes, facts. Every world is listed (D)."""
    case = random_network(
        np.random.default_rng(seed), 3, 4, remedies=seed % 3, states=1 + seed % 2, complaints=seed % 4
    )
    monkeypatch.setattr(scenarios, "ENOUGH", -1.0)  # sets of three as well, so that nothing is left out
    found, posterior = listed(case)
    hand = by_hand(case)
    assert found.residual == pytest.approx(0, abs=1e-9)
    assert {key for _, key in keys(found)} >= {
        k for k, v in hand.items() if v.sum() > 1e-12 * posterior.marginal_likelihood
    }
    for row, key in keys(found):
        assert found.by_fact[:, row] == pytest.approx(hand[key] / posterior.marginal_likelihood, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_the_residual_is_the_mass_of_the_sets_left_out(seed: int, unpruned, monkeypatch) -> None:
    """Four causes, no remedy: with pairs only, worlds of three and four are what is lacking; then triples shrink it."""
    case = random_network(np.random.default_rng(50 + seed), 4, 3, complaints=1 + seed % 2)
    posterior = infer(*case)
    monkeypatch.setattr(scenarios, "ENOUGH", 1.0)
    pairs, _ = listed(case)
    hand = by_hand(case, most=2)
    assert pairs.residual == pytest.approx(
        1 - sum(v.sum() for v in hand.values()) / posterior.marginal_likelihood, abs=1e-9
    )
    total = sum(v.sum() for v in hand.values())
    for row, key in keys(pairs):
        assert pairs.weight[row] == pytest.approx(hand[key].sum() / total, abs=1e-9)
    monkeypatch.setattr(scenarios, "ENOUGH", 0.0)
    triples, _ = listed(case)
    hand = by_hand(case, most=3)
    assert triples.residual == pytest.approx(
        1 - sum(v.sum() for v in hand.values()) / posterior.marginal_likelihood, abs=1e-9
    )


@pytest.mark.parametrize("seed", range(12))
def test_triples_come_in_where_pairs_lack_two_in_a_hundred(seed: int) -> None:
    case = random_network(np.random.default_rng(seed), 4, 3, complaints=2)
    posterior = infer(*case)
    lacking = 1 - sum(v.sum() for v in by_hand(case, most=2).values()) / posterior.marginal_likelihood
    found, _ = listed(case)
    if lacking > 0.02:
        assert found.residual < lacking
    else:
        assert found.residual == pytest.approx(lacking, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_a_pruned_list_loses_no_more_than_it_says(seed: int) -> None:
    """Total variation from all worlds: what the residual and the half percent of pruning can make, no more."""
    case = random_network(np.random.default_rng(200 + seed), 4, 4, remedies=seed % 2, complaints=1 + seed % 2)
    found, posterior = listed(case)
    hand = by_hand(case)
    ours = {key: found.weight[row] for row, key in keys(found)}
    apart = sum(max(0.0, ours.get(k, 0.0) - v.sum() / posterior.marginal_likelihood) for k, v in hand.items())
    assert apart <= found.residual + (1 - scenarios.KEEP) + 1e-9
    assert set(ours) <= set(hand)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6))
def test_sums(seed: int) -> None:
    rng = np.random.default_rng(seed)
    case = random_network(
        rng, int(rng.integers(1, 7)), int(rng.integers(1, 6)), remedies=int(rng.integers(0, 3)), states=3, complaints=2
    )
    # The cap on how many sets are listed is there for time; what it drops comes on top, so it is lifted here.
    with patch.object(scenarios, "MOST_SETS", 10**6):
        found, posterior = listed(case)
    assert found.weight.sum() == pytest.approx(1, abs=1e-12)
    assert found.by_fact.sum(axis=0) == pytest.approx(found.weight, abs=1e-15)
    assert (found.by_fact >= 0).all()
    assert 0 <= found.residual < 1
    assert not (found.needs & ~found.present).any()  # only what is still at work must be mended
    lost = found.residual + (1 - scenarios.KEEP) + 1e-9
    assert found.by_fact.sum(axis=1) == pytest.approx(posterior.facts[0], abs=lost)
    assert found.weight @ found.present == pytest.approx(posterior.present, abs=lost)
    assert found.weight @ found.needs == pytest.approx(posterior.explains, abs=lost)
    if any(f.complaint and f.gone_at is None for f in case[2]):
        assert found.weight[found.unlisted].sum() == pytest.approx(posterior.unknown, abs=lost)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6))
def test_facts_apart_are_listed_as_their_joint_states_are(seed: int) -> None:
    """Facts that only unlisted causes have for parents are summed out first; that changes no weight, nor its split by options (D)."""
    rng = np.random.default_rng(seed)
    _, _, findings, cures = random_network(rng, 6, 5, remedies=1, complaints=1)
    dims = rng.integers(2, 4, 4).tolist()
    shares = [rng.dirichlet(np.ones(n)) for n in dims]
    tables = []
    for _ in range(6):
        parents = tuple(n for n in range(4) if rng.random() < 0.3)
        tables.append(CausePrior(parents, rng.uniform(0.01, 0.5, [dims[n] for n in parents])))
    prior, share = joint(tables, shares)
    posterior = infer(prior, share, findings, cures)
    kept = scenarios.ATOMS
    scenarios.ATOMS = 2
    try:
        whole = list_scenarios(
            evidence_of((prior, share, findings, cures)), posterior.marginal_likelihood, posterior.present
        )
        names = [f"c{i}" for i in range(6)]
        options = [[str(o) for o in range(n)] for n in dims]
        evidence = Evidence(names, tables, Facts(list("abcd"), options, shares), findings, [], cures)
        ours = list_scenarios(evidence, posterior.marginal_likelihood, posterior.present)
    finally:
        scenarios.ATOMS = kept
    assert ours.weight == pytest.approx(whole.weight, abs=1e-12)
    assert (ours.needs == whole.needs).all()
    states = whole.by_fact.reshape(*dims, -1)
    start = 0
    for n, count in enumerate(dims):
        split = states.sum(axis=tuple(k for k in range(4) if k != n))
        assert ours.by_fact[start : start + count] == pytest.approx(split, abs=1e-12)
        start += count


def test_the_same_list_twice() -> None:
    case = random_network(np.random.default_rng(7), 6, 5, remedies=2, states=2, complaints=2)
    first, second = listed(case)[0], listed(case)[0]
    for name in ("weight", "present", "needs", "unlisted", "by_fact"):
        assert getattr(first, name).tobytes() == getattr(second, name).tobytes()
