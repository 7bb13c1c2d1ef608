"""EM against a second implementation, against closed forms, and the law that the chance of the cases never falls."""

from itertools import pairwise

import numpy as np
import pyagrum as gum
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.inference.expected import FindingExpected, expected
from dryfloor.engine.inference.noisy_or import CausePrior, NoisyOr
from dryfloor.engine.learning import em
from dryfloor.engine.learning.counts import Counts, Parameters, counted
from dryfloor.engine.learning.em import learn
from dryfloor.engine.learning.maximization import Prior, maximized
from dryfloor.engine.learning.numbers import numbers_of, with_numbers
from tests.support.lessons import lessons
from tests.support.shipped import shipped

CAUSES, FINDINGS = 3, 4


def by_us(p: np.ndarray, links: np.ndarray, leaks: np.ndarray, cases: list) -> tuple:
    """One EM step by the engine's counts: causes, links and leaks as their expected shares."""
    here, fired, could, leaked, looked = (
        np.zeros(CAUSES),
        *(np.zeros((FINDINGS, CAUSES)) for _ in range(2)),
        *np.zeros((2, FINDINGS)),
    )
    for case in cases:
        findings = [
            NoisyOr(leaks[k], {i: links[k, i] for i in range(CAUSES)}, float(on), float(not on))
            for k, on in case.items()
        ]
        seen = expected([CausePrior((), np.array(x)) for x in p], [], findings)
        here += seen.present
        for k, found in zip(case, seen.findings, strict=True):
            assert isinstance(found, FindingExpected)
            leaked[k] += found.leak[0]
            looked[k] += 1
            for i, (yes, of) in found.links.items():
                fired[k, i] += yes
                could[k, i] += of
    return here / len(cases), fired / could, leaked / looked


def by_agrum(p: np.ndarray, links: np.ndarray, leaks: np.ndarray, cases: list) -> tuple:
    """The same by pyAgrum: every link and leak a node of its own, tables all written out."""
    net = gum.BayesNet()
    for i in range(CAUSES):
        net.add(gum.LabelizedVariable(f"c{i}", "", 2))
        net.cpt(f"c{i}").fillWith([1 - p[i], p[i]])
    for k in range(FINDINGS):
        net.add(gum.LabelizedVariable(f"l{k}", "", 2))
        net.cpt(f"l{k}").fillWith([1 - leaks[k], leaks[k]])
        for i in range(CAUSES):
            net.add(gum.LabelizedVariable(f"x{k}{i}", "", 2))
            net.addArc(f"c{i}", f"x{k}{i}")
            net.cpt(f"x{k}{i}")[{f"c{i}": 0}] = [1.0, 0.0]
            net.cpt(f"x{k}{i}")[{f"c{i}": 1}] = [1 - links[k, i], links[k, i]]
        net.addOR(gum.LabelizedVariable(f"f{k}", "", 2))
        for name in [f"l{k}", *(f"x{k}{i}" for i in range(CAUSES))]:
            net.addArc(name, f"f{k}")
    here, fired, could, leaked, looked = (
        np.zeros(CAUSES),
        *(np.zeros((FINDINGS, CAUSES)) for _ in range(2)),
        *np.zeros((2, FINDINGS)),
    )
    for case in cases:
        ie = gum.LazyPropagation(net)
        ie.setEvidence({f"f{k}": int(on) for k, on in case.items()})
        ie.makeInference()
        present = np.array([ie.posterior(f"c{i}")[1] for i in range(CAUSES)])
        here += present
        for k in case:
            leaked[k] += ie.posterior(f"l{k}")[1]
            looked[k] += 1
            fired[k] += [ie.posterior(f"x{k}{i}")[1] for i in range(CAUSES)]
            could[k] += present
    return here / len(cases), fired / could, leaked / looked


def test_three_steps_agree_with_a_second_implementation():
    """Cases drawn from a network, a third of the findings not looked at; pyAgrum works out every expected count anew."""
    rng = np.random.default_rng(7)
    p, links, leaks = (
        rng.uniform(0.1, 0.5, CAUSES),
        rng.uniform(0.2, 0.9, (FINDINGS, CAUSES)),
        rng.uniform(0.02, 0.2, FINDINGS),
    )
    cases = []
    for _ in range(25):
        at_work = rng.random(CAUSES) < p
        on = [
            rng.random() < 1 - (1 - leaks[k]) * np.prod(np.where(at_work, 1 - links[k], 1.0)) for k in range(FINDINGS)
        ]
        cases.append({k: bool(on[k]) for k in range(FINDINGS) if rng.random() < 2 / 3})
    ours = theirs = (np.full(CAUSES, 0.3), np.full((FINDINGS, CAUSES), 0.5), np.full(FINDINGS, 0.1))
    for _ in range(3):
        ours, theirs = by_us(*ours, cases), by_agrum(*theirs, cases)
        for mine, other in zip(ours, theirs, strict=True):
            assert mine == pytest.approx(other, abs=1e-9)


def test_of_no_case_the_shipped_numbers_come_back():
    kb = shipped()
    parameters = Parameters(network_of(kb))
    learned = learn(kb, lambda _: Counts.none(parameters))
    assert learned.numbers == pytest.approx(parameters.judged, rel=1e-12)
    again = numbers_of(Network(with_numbers(kb, learned.numbers)))
    assert again == pytest.approx(parameters.judged, rel=1e-12)


def test_where_nothing_is_hidden_a_chance_is_its_beta_mean():
    """The closed form of complete cases (Spiegelhalter & Lauritzen 1990, from memory, unverified; D here)."""
    parameters = Parameters(network_of(shipped()))
    prior = Prior.of(parameters, shipped())
    counts = Counts.none(parameters)
    n = next(n for n, k in enumerate(parameters.keys) if k[0] == "cures")
    counts.yes[n], counts.of[n] = 7.0, 9.0
    judged, rarer = prior.judged[n], min(prior.judged[n], 1 - prior.judged[n])
    a, b = prior.worth[n] * judged / rarer, prior.worth[n] * (1 - judged) / rarer
    assert min(a, b) == pytest.approx(shipped().roles.judgement.cures.n)
    assert maximized(parameters, prior, prior.judged, counts)[n] == pytest.approx((a + 7) / (a + b + 9), rel=1e-12)


def test_where_nothing_is_hidden_shares_are_their_dirichlet_mean():
    parameters = Parameters(network_of(shipped()))
    prior = Prior.of(parameters, shipped())
    counts = Counts.none(parameters)
    at = parameters.facts[0]
    counts.yes[at] = np.arange(1.0, len(at) + 1)
    alpha = prior.worth[at] * prior.judged[at] / prior.judged[at].min()
    mean = (alpha + counts.yes[at]) / (alpha.sum() + counts.yes[at].sum())
    assert maximized(parameters, prior, prior.judged, counts)[at] == pytest.approx(mean, rel=1e-9)


@settings(max_examples=3, deadline=None)
@given(st.lists(st.integers(0, 7), min_size=1, max_size=4))
def test_the_chance_of_the_cases_never_falls(picked: list[int]):
    some = lessons()
    kb = shipped()
    parameters = Parameters(network_of(kb))
    chosen = [some[n % len(some)] for n in picked]
    learned = learn(kb, lambda numbers: counted(Network(with_numbers(kb, numbers)), parameters, chosen), most=5)
    assert len(learned.objective) > 1
    assert all(after >= before for before, after in pairwise(learned.objective))


def test_a_step_that_goes_too_far_is_halved_until_it_climbs_or_left(monkeypatch: pytest.MonkeyPatch):
    """A step made far too long on purpose: what is learned is still no less likely, pass by pass, and some of the way was gone."""
    some, kb = lessons()[:3], shipped()
    parameters = Parameters(network_of(kb))

    def too_far(parameters, prior, vector, counts):
        ahead = maximized(parameters, prior, vector, counts)
        odds = np.log(vector / (1 - vector)) + 12 * (np.log(ahead / (1 - ahead)) - np.log(vector / (1 - vector)))
        out = np.clip(1 / (1 + np.exp(-odds)), 1e-5, 1 - 1e-5)
        for at in parameters.facts:
            out[at] /= out[at].sum()
        return out

    monkeypatch.setattr(em, "maximized", too_far)
    learned = learn(kb, lambda numbers: counted(Network(with_numbers(kb, numbers)), parameters, some), most=4)
    assert len(learned.objective) > 1
    assert all(after >= before for before, after in pairwise(learned.objective))
