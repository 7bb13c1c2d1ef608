"""Wrong numbers: the noise is log-odds with the said deviation, the kb stays a kb, and no noise is the same kb."""

import msgspec
import numpy as np
import pytest
from scipy import stats
from scipy.special import logit

from dryfloor.engine import model
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge import graph
from tests.bench.perturb import perturbed


def numbers(kb):
    """Every number that is moved, by where it stands; shares apart, since they are scaled to their sum."""
    out = {}
    for c in kb.causes.values():
        out[c.id, "rate"] = c.per_1000.n / 1000
        out[c.id, "cures"] = graph.strength(kb, c.remedy.cures)
        for n, s in enumerate(c.shows):
            out[c.id, n] = graph.strength(kb, s.strength)
        if c.breaks:
            out[c.id, "breaks"] = graph.strength(kb, c.breaks.strength)
    for c in kb.complaints.values():
        out[c.id, "unlisted"] = c.unlisted_per_1000.n / 1000
    for check in kb.checks.values():
        for a in list(check.answers)[:-1]:
            out[check.id, a] = (check.answers[a].leak_per_1000 or 1.0) / 1000
    return out


@pytest.mark.parametrize("deviation", [0.5, 1.0])
def test_noise_is_log_odds_with_the_said_deviation(kb, deviation):
    before, after = numbers(kb), numbers(perturbed(kb, deviation, 4))
    assert before.keys() == after.keys()
    moved = np.array([logit(after[k]) - logit(before[k]) for k in before])
    assert len(moved) > 1000
    assert moved.std() == pytest.approx(deviation, rel=0.06)
    assert moved.mean() == pytest.approx(0, abs=4 * deviation / np.sqrt(len(moved)))
    assert stats.kstest(moved / deviation, "norm").pvalue > 0.001
    assert (moved != 0).all()


def test_half_the_noise_is_the_same_draws_at_half_the_size(kb):
    before, half, whole = numbers(kb), numbers(perturbed(kb, 0.5, 4)), numbers(perturbed(kb, 1.0, 4))
    for k, p in before.items():
        assert 2 * (logit(half[k]) - logit(p)) == pytest.approx(logit(whole[k]) - logit(p), abs=1e-9)


def test_no_noise_is_the_same_kb(kb):
    one, two = Network(kb), Network(perturbed(kb, 0.0, 4))
    assert (two.leak, two.rate, two.bears) == (one.leak, one.rate, one.bears)
    assert two.shown == one.shown
    assert [graph.strength(two.kb, c.remedy.cures) for c in two.kb.causes.values()] == [
        graph.strength(kb, c.remedy.cures) for c in kb.causes.values()
    ]
    assert two.kb.facts == kb.facts


def test_another_seed_is_another_kb_and_the_same_seed_the_same(kb):
    assert perturbed(kb, 1.0, 4) == perturbed(kb, 1.0, 4)
    assert numbers(perturbed(kb, 1.0, 4)) != numbers(perturbed(kb, 1.0, 5))


@pytest.mark.parametrize("seed", range(3))
def test_it_stays_a_kb(kb, seed):
    """Every number in its range, shares with the sum that they had, sides that share a rate each with their own."""
    other = perturbed(kb, 1.0, seed)
    assert all(0 < p < 1 for p in numbers(other).values())
    for name, fact in other.facts.items():
        shares = [o.share_per_1000 for o in fact.options.values()]
        assert min(shares) > 0
        assert sum(shares) == pytest.approx(sum(o.share_per_1000 for o in kb.facts[name].options.values()))
    for rule in other.rules.values():
        assert rule.otherwise_per_1000 is None or set(rule.otherwise_per_1000) == set(graph.sides(rule))
    # What the loader takes: the records written out and read back, field by field.
    assert msgspec.convert(msgspec.to_builtins(other), model.KB) == other
    network = Network(other)
    assert all(0 < p < 1 for p in [*network.leak.values(), *network.rate.values()])
    assert network.shown.keys() == Network(kb).shown.keys()


def test_what_is_not_a_judgement_of_chance_stays(kb):
    other = perturbed(kb, 1.0, 1)
    assert (other.roles, other.parts, other.hazards, other.places) == (kb.roles, kb.parts, kb.hazards, kb.places)
    for name, check in kb.checks.items():
        assert (other.checks[name].minutes, other.checks[name].hazards) == (check.minutes, check.hazards)
        assert list(other.checks[name].answers) == list(check.answers)
    for name, cause in kb.causes.items():
        mine = other.causes[name]
        assert (mine.when, mine.likelier, mine.proof, mine.remedy.minutes) == (
            cause.when,
            cause.likelier,
            cause.proof,
            cause.remedy.minutes,
        )
