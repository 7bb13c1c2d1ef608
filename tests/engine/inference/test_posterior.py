"""Worked tables, exact fractions, brute force over all worlds, a second library, and laws that always hold.

Grades: P published, S quoted by someone else, M from memory, unverified, D derived here.
"""

import warnings
from fractions import Fraction
from itertools import chain, combinations

import numpy as np
import pyagrum as gum
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine import effort
from dryfloor.engine.inference.noisy_or import CausePrior, NoisyOr, alternatives
from dryfloor.engine.inference.posterior import (
    ImpossibleEvidenceError,
    IntractableError,
    Posterior,
    any_of,
    infer,
    infer_by_fact,
)
from tests.support.worlds import brute, joint, random_network

ONE = np.ones(1)


def known(present: list[int], count: int) -> np.ndarray:
    """A prior that says for certain which causes are there."""
    return np.array([[1.0 if i in present else 0.0 for i in range(count)]])


def close(ours: Posterior, other: object, tolerance: float) -> None:
    for name in ("present", "explains", "unknown"):
        assert getattr(ours, name) == pytest.approx(getattr(other, name), abs=tolerance), name
    facts = other.facts[0] if isinstance(other, Posterior) else other.facts  # type: ignore[attr-defined]
    assert ours.facts[0] == pytest.approx(facts, abs=tolerance)
    assert ours.marginal_likelihood == pytest.approx(other.marginal_likelihood, rel=tolerance)  # type: ignore[attr-defined]


# --- worked examples ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("present", "chance"),
    [([], 0), ([0], 0.4), ([1], 0.8), ([2], 0.9), ([0, 1], 0.88), ([0, 2], 0.94), ([1, 2], 0.98), ([0, 1, 2], 0.988)],
)
def test_the_fever_table(present: list[int], chance: float) -> None:
    """Noisy-OR of cold, flu and malaria: Russell & Norvig's table, seen on a slide copy (S). Exact."""
    strengths = {0: 0.4, 1: 0.8, 2: 0.9}
    not_seen = infer(known(present, 3), ONE, [NoisyOr(0.0, strengths, 0.0, 1.0)])
    assert not_seen.marginal_likelihood == pytest.approx(1 - chance, abs=1e-15)
    if present:
        for complaint in (False, True):
            seen = infer(known(present, 3), ONE, [NoisyOr(0.0, strengths, 1.0, 0.0, complaint=complaint)])
            assert seen.marginal_likelihood == pytest.approx(chance, abs=1e-15)
    else:
        with pytest.raises(ImpossibleEvidenceError, match="impossible"):
            infer(known(present, 3), ONE, [NoisyOr(0.0, strengths, 1.0, 0.0)])


WET = NoisyOr(0.0, {0: 0.5, 1: 0.5}, 1.0, 0.0, complaint=True)
EVEN = [CausePrior((), np.array(0.5)), CausePrior((), np.array(0.5))]
BOTH = frozenset({0, 1})


def test_what_nothing_else_can_explain_is_certain_and_what_can_not_have_happened_is_an_error():
    """Without a leak both causes together are behind it for certain; where neither can be present there is nothing to be behind."""
    p = infer_by_fact(EVEN, [], [WET])
    assert any_of(EVEN, [], [WET], None, BOTH, p.marginal_likelihood) == 1.0
    never = [CausePrior((), np.array(0.0)), CausePrior((), np.array(0.0))]
    with pytest.raises(ImpossibleEvidenceError):
        infer_by_fact(never, [], [WET])
    for causes in (BOTH, frozenset()):
        with pytest.raises(ImpossibleEvidenceError):
            any_of(never, [], [WET], None, causes, 0.0)


def test_a_fault_in_what_goes_in_is_no_certainty():
    """A table of another shape than its fact has options, and a chance that is no number: errors, and not 'impossible'."""
    three_options = [CausePrior((0,), np.array([0.5, 0.5, 0.5])), EVEN[1]]
    not_a_number = [CausePrior((), np.array(np.nan)), EVEN[1]]
    for causes, shares in ((three_options, [np.array([0.5, 0.5])]), (not_a_number, [])):
        for work in (
            lambda c=causes, s=shares: infer_by_fact(c, s, [WET]),
            lambda c=causes, s=shares: any_of(c, s, [WET], None, BOTH, 0.75),
        ):
            with pytest.raises(ValueError) as refused:  # noqa: PT011
                work()
            assert not isinstance(refused.value, ImpossibleEvidenceError)


def test_evidence_of_too_many_numbers_is_no_certainty(monkeypatch):
    monkeypatch.setattr(effort, "MOST_CELLS", 1)
    with pytest.raises(IntractableError):
        any_of(EVEN, [], [WET], None, frozenset({0}), 0.75)


LAMBDA = [(0.9, 0, 0.3, 0), (0.8, 0.7, 0, 0), (0, 0.6, 0, 0.95), (0, 0, 0.5, 0.4)]
LEAK = [0.01, 0.02, 0.005, 0.03]
FOUR = np.array([[0.02, 0.01, 0.05, 0.005]])


@pytest.mark.parametrize(
    ("on", "off", "soft", "evidence", "present"),
    [
        ([0], [], {}, 0.0424027, [0.42567337, 0.01, 0.37671422, 0.005]),
        ([0, 1], [2], {}, 0.0148399998, [0.96323427, 0.00912376, 0.07237785, 0.00025119]),
        ([0, 1, 2], [3], {}, 0.0002747913955, [0.73830483, 0.60414899, 0.13648224, 0.14715103]),
        ([1], [0], {2: (0.8, 0.1)}, 0.005723153551, [0.0306475, 0.6179007, 0.03553299, 0.01833278]),
        ([], [0, 1, 2, 3], {}, 0.8761131568, [0.000408, 0.00121065, 0.01808786, 0.00015073]),
    ],
)
@pytest.mark.parametrize("complain", [False, True])
def test_a_small_network(on, off, soft, evidence, present, complain) -> None:
    """Four causes, four findings, hard and soft evidence: brute force over 16 sets (D), within 1e-8."""
    likelihoods = dict.fromkeys(on, (1.0, 0.0)) | dict.fromkeys(off, (0.0, 1.0)) | soft
    findings = [
        NoisyOr(LEAK[k], {i: s for i, s in enumerate(LAMBDA[k]) if s}, *pair, complaint=complain and k in on)
        for k, pair in likelihoods.items()
    ]
    posterior = infer(FOUR, ONE, findings)
    assert posterior.marginal_likelihood == pytest.approx(evidence, abs=5e-11)
    assert posterior.present == pytest.approx(present, abs=1e-8)


STRESS_PRIOR = [Fraction(1, 100), Fraction(2, 100), Fraction(5, 1000)]
STRESS_LEAK = Fraction(1, 1000)
STRESS = [{0: Fraction(5, 100)} | ({1: Fraction(2, 100)} if k % 2 == 0 else {}) for k in range(16)]


def stress_sum(number: type) -> tuple[float, list[float]]:
    """P(all 16 seen) and the joint chances: by sets of causes, in a number type of one's choice."""
    total, joint = number(0), [number(0)] * 3
    for chosen in chain.from_iterable(combinations(range(3), n) for n in range(4)):
        p = number(1)
        for i, prior in enumerate(STRESS_PRIOR):
            p *= number(prior) if i in chosen else 1 - number(prior)
        for links in STRESS:
            silent = 1 - number(STRESS_LEAK)
            for i in chosen:
                silent *= 1 - number(links.get(i, Fraction(0)))
            p *= 1 - silent
        total += p
        joint = [j + p if i in chosen else j for i, j in enumerate(joint)]
    return total, joint


def alternating_sum() -> float:
    """The textbook way: inclusion and exclusion over the 2^16 sets of positive findings, in float64."""
    total = 0.0
    for mask in range(1 << 16):
        term = 1.0
        chosen = [links for k, links in enumerate(STRESS) if mask >> k & 1]
        for _ in chosen:
            term *= -(1 - float(STRESS_LEAK))
        for i, prior in enumerate(STRESS_PRIOR):
            silent = 1.0
            for links in chosen:
                silent *= 1 - float(links.get(i, 0))
            term *= float(prior) * silent + 1 - float(prior)
        total += term
    return total


@pytest.mark.parametrize("complain", [False, True])
def test_sixteen_positives_that_cancel(complain: bool) -> None:
    """P(e) 2.54029259764e-23 and posteriors 1, .2044832168, .005 from exact fractions (D), within 1e-10 relative."""
    findings = [
        NoisyOr(float(STRESS_LEAK), {i: float(s) for i, s in links.items()}, 1.0, 0.0, complaint=complain)
        for links in STRESS
    ]
    posterior = infer(np.array([[float(p) for p in STRESS_PRIOR]]), ONE, findings)
    exact, joint = stress_sum(Fraction)
    assert float(exact) == pytest.approx(2.54029259764e-23, rel=1e-10)
    assert posterior.marginal_likelihood == pytest.approx(float(exact), rel=1e-10)
    assert posterior.present == pytest.approx([float(j / exact) for j in joint], rel=1e-10)
    assert posterior.present == pytest.approx([1.0, 0.2044832168, 0.005], rel=1e-9)


def test_the_textbook_sum_turns_negative_there() -> None:
    """Why the engine does not sum with alternating signs: in float64 the chance comes out below zero (-3.0e-13, D)."""
    assert alternating_sum() < 0


def cloth(sold: dict[str, float], soft: dict[str, float]) -> tuple[Posterior, list[tuple[str, bool]]]:
    """A cloth's colour and whether it will be sold as joint states of the facts; a look by candlelight as likelihoods."""
    share = {"green": 0.3, "blue": 0.3, "violet": 0.4}
    states = [(c, s) for c in share for s in (True, False)]
    # Each colour is a cause that is certain or excluded; the look is a finding that only it sets off.
    prior = np.array([[float(c == colour) for colour in share] for c, _ in states])
    chance = np.array([share[c] * (sold[c] if s else 1 - sold[c]) for c, s in states])
    findings = [NoisyOr(0.0, {i: 1.0}, soft[colour], 1.0) for i, colour in enumerate(share)]
    return infer(prior, chance, findings), states


def test_a_cloth_by_candlelight() -> None:
    """Jeffrey 1965, Chan & Darwiche: sold and green .28 (S); .3 .3 .4, the targets and sold .42 from memory,
    unverified (M); that likelihoods in proportion to target / prior give the same: derived (D). Within 1e-9."""
    sold = {"green": 0.4, "blue": 0.4, "violet": 0.8}
    before, states = cloth(sold, dict.fromkeys(sold, 1.0))
    assert sum(p for p, (_, s) in zip(before.facts[0], states, strict=True) if s) == pytest.approx(0.56, abs=1e-9)
    soft = {"green": 1.0, "blue": (0.25 / 0.3) / (0.7 / 0.3), "violet": (0.05 / 0.4) / (0.7 / 0.3)}
    assert [soft["blue"], soft["violet"]] == pytest.approx([0.357143, 0.0535714], abs=1e-6)
    after, _ = cloth(sold, soft)
    colours = dict(zip(states, after.facts[0], strict=True))
    assert sum(p for (_, s), p in colours.items() if s) == pytest.approx(0.42, abs=1e-9)
    assert colours["green", True] == pytest.approx(0.28, abs=1e-9)
    for colour, target in (("green", 0.7), ("blue", 0.25), ("violet", 0.05)):
        assert colours[colour, True] + colours[colour, False] == pytest.approx(target, abs=1e-9)
        assert after.present[list(sold).index(colour)] == pytest.approx(target, abs=1e-9)


def test_likelihoods_in_any_order_and_composed() -> None:
    """Virtual evidence composes: two looks are one look with the products of their likelihoods (D)."""
    links = {0: 0.7, 1: 0.4}
    prior = np.array([[0.2, 0.1]])
    twice = infer(prior, ONE, [NoisyOr(0.05, {0: 0.7}, 0.8, 0.3), NoisyOr(0.05, {0: 0.7}, 0.1, 0.6)])
    assert twice.present[1] == pytest.approx(0.1)
    once = infer(prior, ONE, [NoisyOr(0.05, links, 0.8 * 0.1, 0.3 * 0.6)])
    scaled = infer(prior, ONE, [NoisyOr(0.05, links, 5 * 0.8 * 0.1, 5 * 0.3 * 0.6)])
    assert once.present == pytest.approx(scaled.present, abs=1e-15)  # only the ratio speaks
    assert scaled.marginal_likelihood == pytest.approx(5 * once.marginal_likelihood)


@pytest.mark.parametrize(
    ("prior", "sensitivity", "specificity", "after_on", "after_off", "tolerance"),
    [
        (809 / 2579, 731 / 809, 1500 / 1770, 731 / 1001, 78 / 1578, 1e-12),
        (809 / 2579, 731 / 809, 1500 / 1770, 0.7303, 0.0494, 1e-4),
        (0.08, 0.75, 0.96, 0.619835, 1 - 0.977857, 1e-6),
    ],
)
def test_predictive_values(prior, sensitivity, specificity, after_on, after_off, tolerance) -> None:
    """Ferritin worksheet, 731 of 809 and 270 of 1770: counts and printed 73 % and 5 % quoted by others (S), the
    unrounded .7303 and .0494 derived (D); prevalence 8 %: problem text S, values D."""
    # With a net leak, sensitivity = 1 - (1 - leak)(1 - strength).
    strength = 1 - (1 - sensitivity) / specificity
    chance = np.array([[prior]])
    for complaint in (False, True):
        on = infer(chance, ONE, [NoisyOr(1 - specificity, {0: strength}, 1.0, 0.0, complaint=complaint)])
        assert on.present[0] == pytest.approx(after_on, abs=tolerance)
    off = infer(chance, ONE, [NoisyOr(1 - specificity, {0: strength}, 0.0, 1.0)])
    assert off.present[0] == pytest.approx(after_off, abs=tolerance)
    # The same as likelihood ratios on a finding that is the cause itself.
    for pair, after in (
        ((sensitivity, 1 - specificity), after_on),
        ((1 - sensitivity, specificity), after_off),
    ):
        assert infer(chance, ONE, [NoisyOr(0.0, {0: 1.0}, *pair)]).present[0] == pytest.approx(after, abs=tolerance)


def test_printed_likelihood_ratios() -> None:
    """The same worksheet prints LR+ 6 and LR- 0.12, pre-test 31 %, post-test 73 % (S): right within what it rounds."""
    chance = np.array([[0.31]])
    assert infer(chance, ONE, [NoisyOr(0.0, {0: 1.0}, 6.0, 1.0)]).present[0] == pytest.approx(0.73, abs=0.005)
    assert infer(chance, ONE, [NoisyOr(0.0, {0: 1.0}, 0.12, 1.0)]).present[0] == pytest.approx(0.05, abs=0.005)


# --- brute force and a second library ----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_every_world_of_a_small_network(seed: int) -> None:
    """Facts, soft evidence, remedies, complaints that stand or are gone: all by enumerating what fires (D), 1e-11."""
    rng = np.random.default_rng(seed)
    case = random_network(rng, 3, 4, remedies=seed % 4, states=1 + seed % 3, complaints=seed % 3, settled=seed % 2 == 0)
    close(infer(*case), brute(*case), 1e-11)


@pytest.mark.parametrize("seed", range(4))
def test_every_world_of_four_causes(seed: int) -> None:
    case = random_network(np.random.default_rng(100 + seed), 4, 4, remedies=1, complaints=2)
    close(infer(*case), brute(*case), 1e-11)


def second_opinion(prior, share, findings) -> tuple[list[float], list[float]]:
    """Posteriors of causes and facts from pyAgrum, its noisy-OR with net leak."""
    bn = gum.BayesNet()
    fact = bn.add(gum.LabelizedVariable("fact", "", len(share)))
    bn.cpt(fact)[:] = share
    causes = []
    for i in range(prior.shape[1]):
        node = bn.add(gum.LabelizedVariable(f"c{i}", "", 2))
        bn.addArc(fact, node)
        for s in range(len(share)):
            bn.cpt(node)[{"fact": s}] = [1 - prior[s, i], prior[s, i]]
        causes.append(node)
    evidence = {}
    for k, f in enumerate(findings):
        node = bn.addNoisyORNet(gum.LabelizedVariable(f"f{k}", "", 2), f.leak)
        for i, strength in f.links.items():
            bn.addWeightedArc(causes[i], node, strength)
        evidence[f"f{k}"] = [f.off, f.on]
    inference = gum.LazyPropagation(bn)
    inference.setEvidence(evidence)
    inference.makeInference()
    return [inference.posterior(c)[1] for c in causes], list(inference.posterior(fact).tolist())


def test_the_second_library_means_net_leak() -> None:
    """Leak .1 and strength .8 together: net .82, compound .80 (D)."""
    present, _ = second_opinion(np.array([[0.5]]), ONE, [NoisyOr(0.1, {0: 0.8}, 1.0, 0.0)])
    assert present[0] == pytest.approx(0.82 / (0.82 + 0.1), abs=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_against_a_second_library(seed: int) -> None:
    """Random two-layer networks, hard and soft evidence, facts above: pyAgrum's exact inference, within 1e-9."""
    rng = np.random.default_rng(seed)
    prior, share, findings, _ = random_network(rng, 7 + seed % 4, 9, states=1 + seed % 3, complaints=seed % 3)
    # Their table has two rows for each set of parents: keep parents few.
    findings = [NoisyOr(f.leak, dict(list(f.links.items())[:4]), f.on, f.off, complaint=f.complaint) for f in findings]
    ours = infer(prior, share, findings)
    present, facts = second_opinion(prior, share, findings)
    assert ours.present == pytest.approx(present, abs=1e-9)
    assert ours.facts[0] == pytest.approx(facts, abs=1e-9)


def test_many_findings_stay_exact_when_few_are_open_at_once() -> None:
    """Sixty positives in a chain, two causes each: exact by a hand-written pass along the chain (D)."""
    rng = np.random.default_rng(0)
    count = 61
    prior = rng.uniform(0.05, 0.4, count)
    left, right, leak = rng.uniform(0.2, 0.9, (3, count - 1)) * np.array([[1], [1], [0.1]])
    findings = [NoisyOr(leak[k], {k: left[k], k + 1: right[k]}, 1.0, 0.0) for k in range(count - 1)]
    shuffled = [findings[k] for k in rng.permutation(count - 1)]
    ours = infer(prior[None, :], ONE, shuffled)
    message = np.array([1 - prior[0], prior[0]])
    for k in range(count - 1):
        table = 1 - (1 - leak[k]) * np.outer([1, 1 - left[k]], [1, 1 - right[k]])
        message = (message @ table) * np.array([1 - prior[k + 1], prior[k + 1]])
    assert ours.marginal_likelihood == pytest.approx(message.sum(), rel=1e-10)
    assert ours.present[-1] == pytest.approx(message[1] / message.sum(), rel=1e-10)


def test_too_much_at_once_is_refused_and_not_guessed(monkeypatch) -> None:
    monkeypatch.setattr(effort, "MOST_CELLS", 150_000)
    everybody = dict.fromkeys(range(10), 0.5)
    assert infer(np.full((1, 10), 0.1), ONE, [NoisyOr(0.1, everybody, 1.0, 0.0)] * 8).marginal_likelihood > 0
    with pytest.raises(IntractableError, match="at most 150000"):
        infer(np.full((1, 10), 0.1), ONE, [NoisyOr(0.1, everybody, 1.0, 0.0)] * 9)


def apart(rng: np.random.Generator, dims: list[int], count: int) -> tuple[list[CausePrior], list[np.ndarray]]:
    """Causes that have for parents some of several facts, and the facts' shares."""
    tables = []
    for _ in range(count):
        parents = tuple(n for n in range(len(dims)) if rng.random() < 0.4)
        tables.append(CausePrior(parents, rng.uniform(0.0, 0.5, [dims[n] for n in parents]) * (rng.random() < 0.9)))
    return tables, [rng.dirichlet(np.ones(n)) for n in dims]


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_facts_apart_are_as_their_joint_states(seed: int) -> None:
    """Summing facts out one by one gives what listing every joint state of them gives (D)."""
    rng, (_, _, findings, cures) = random_case(seed)
    dims = rng.integers(1, 4, int(rng.integers(0, 4))).tolist()
    count = 1 + max([*(i for f in findings for i in f.links), *cures, 0])
    tables, shares = apart(rng, dims, count)
    listed = infer(*joint(tables, shares), findings, cures)
    ours = infer_by_fact(tables, shares, findings, cures)
    for name in ("present", "explains", "unknown"):
        assert getattr(ours, name) == pytest.approx(getattr(listed, name), abs=1e-12), name
    assert ours.marginal_likelihood == pytest.approx(listed.marginal_likelihood, rel=1e-12)
    states = listed.facts[0].reshape(dims)
    for n, marginal in enumerate(ours.facts):
        assert marginal == pytest.approx(states.sum(axis=tuple(k for k in range(len(dims)) if k != n)), abs=1e-12)


# --- laws --------------------------------------------------------------------------------------------------------------

SEEDS = st.integers(0, 10**6)


def random_case(seed: int, **kind):
    rng = np.random.default_rng(seed)
    shape = {
        "causes": int(rng.integers(1, 7)),
        "findings": int(rng.integers(1, 7)),
        "remedies": int(rng.integers(0, 3)),
        "states": int(rng.integers(1, 4)),
        "complaints": int(rng.integers(0, 3)),
    } | kind
    return rng, random_network(rng, **shape)


@settings(deadline=None)
@given(SEEDS)
def test_the_order_of_findings_changes_nothing(seed: int) -> None:
    rng, (prior, share, findings, cures) = random_case(seed)
    shuffled = [findings[k] for k in rng.permutation(len(findings))]
    close(infer(prior, share, shuffled, cures), infer(prior, share, findings, cures), 1e-12)


@settings(deadline=None)
@given(SEEDS)
def test_the_order_of_causes_changes_nothing(seed: int) -> None:
    rng, (prior, share, findings, cures) = random_case(seed)
    order = rng.permutation(prior.shape[1])
    place = {int(old): new for new, old in enumerate(order)}
    moved = [
        NoisyOr(f.leak, {place[i]: s for i, s in f.links.items()}, f.on, f.off, f.epoch, f.complaint, f.gone_at)
        for f in findings
    ]
    ours = infer(prior[:, order], share, moved, {place[i]: c for i, c in cures.items()})
    plain = infer(prior, share, findings, cures)
    assert ours.present == pytest.approx(plain.present[order], abs=1e-12)
    assert ours.explains == pytest.approx(plain.explains[order], abs=1e-12)
    assert ours.unknown == pytest.approx(plain.unknown, abs=1e-12)


@settings(deadline=None)
@given(SEEDS, st.floats(0.01, 1.0))
def test_a_finding_as_likely_on_as_off_changes_nothing(seed: int, pair: float) -> None:
    _, (prior, share, findings, cures) = random_case(seed)
    inert = NoisyOr(0.2, dict.fromkeys(range(prior.shape[1]), 0.9), pair, pair)
    ours, plain = infer(prior, share, [inert, *findings], cures), infer(prior, share, findings, cures)
    for name in ("present", "explains", "unknown"):
        assert getattr(ours, name) == pytest.approx(getattr(plain, name), abs=1e-12)
    assert ours.facts[0] == pytest.approx(plain.facts[0], abs=1e-12)


@settings(deadline=None)
@given(SEEDS)
def test_everything_is_a_probability(seed: int) -> None:
    _, (prior, share, findings, cures) = random_case(seed)
    p = infer(prior, share, findings, cures)
    tiny = 1e-12
    assert 0 < p.marginal_likelihood <= 1 + tiny
    assert p.facts[0].sum() == pytest.approx(1, abs=tiny)
    for values in (p.present, p.explains, p.facts[0], np.array([p.unknown])):
        assert (values >= 0).all()
        assert (values <= 1 + tiny).all()
    assert (p.explains <= p.present + tiny).all()
    standing = [f for f in findings if f.complaint and f.gone_at is None]
    if len(standing) == 1:
        # Something listed explains it, or nothing does. A cured cause never does here: it stands after the cure.
        assert p.explains.max() <= 1 - p.unknown + tiny
        assert p.explains.sum() >= 1 - p.unknown - tiny


@settings(deadline=None)
@given(SEEDS)
def test_more_causes_and_stronger_ones_make_a_finding_likelier(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 6))
    strengths = {i: float(s) for i, s in enumerate(rng.uniform(0.01, 0.99, count))}
    leak = float(rng.uniform(0.001, 0.9))
    order = [int(i) for i in rng.permutation(count)]
    last = leak
    for n in range(count + 1):
        here = infer(known(order[:n], count), ONE, [NoisyOr(leak, strengths, 1.0, 0.0)]).marginal_likelihood
        assert here >= last - 1e-15
        last = here
        for i in order[:n]:
            stronger = strengths | {i: strengths[i] + 0.5 * (1 - strengths[i])}
            assert infer(known(order[:n], count), ONE, [NoisyOr(leak, stronger, 1.0, 0.0)]).marginal_likelihood > here


@settings(deadline=None)
@given(SEEDS)
def test_a_cause_alone_is_never_lowered_by_its_own_evidence(seed: int) -> None:
    """One cause: each more thing that it shows, seen surely or likelier seen than not, raises it; not seen lowers it."""
    rng = np.random.default_rng(seed)
    prior = rng.uniform(0.001, 0.9, (1, 1))
    findings: list[NoisyOr] = []
    last = infer(prior, ONE, findings)
    for n in range(6):
        on = float(rng.uniform(0.05, 1.0))
        off = on * float(rng.uniform(0.0, 1.0))
        link = {0: float(rng.uniform(0.01, 0.99))}
        findings.append(NoisyOr(float(rng.uniform(0.001, 0.9)), link, on, off, complaint=n % 2 == 0 and off == 0))
        now = infer(prior, ONE, findings)
        assert now.present[0] >= last.present[0] - 1e-12
        less = infer(prior, ONE, [*findings, NoisyOr(0.1, link, off, on)])
        assert less.present[0] <= now.present[0] + 1e-12
        last = now


@settings(deadline=None)
@given(SEEDS)
def test_a_failed_remedy_never_lowers_unknown(seed: int) -> None:
    """One complaint that still stands after each remedy; evidence of any kind beside it stays as it was seen."""
    rng, (prior, share, findings, _) = random_case(seed, remedies=0, complaints=1)
    first, *rest = findings
    cures: dict[int, list[tuple[int, float]]] = {}
    last = infer(prior, share, findings).unknown
    for ordinal in range(1, 5):
        cures.setdefault(int(rng.integers(prior.shape[1])), []).append((ordinal, float(rng.uniform(0.1, 0.99))))
        stands = NoisyOr(first.leak, first.links, 1.0, 0.0, ordinal, True)
        now = infer(prior, share, [stands, *rest], cures).unknown
        assert now >= last - 1e-12
        last = now


def test_a_failed_remedy_is_no_second_draw() -> None:
    """One cause, one complaint, worked by hand (D): the complaint is explained anew, not drawn twice.

    p .1, strength .9, leak .01, cure .9: before, unknown = .01 * (1 - .1 * .9) / (1 - .99 * (1 - .09)); after, only
    .1 * .1 of the cause is left at work. A second draw of the same complaint would make unknown fall instead."""
    before = infer(np.array([[0.1]]), ONE, [NoisyOr(0.01, {0: 0.9}, 1.0, 0.0, 0, True)])
    assert before.unknown == pytest.approx(0.01 * 0.91 / (1 - 0.99 * 0.91), abs=1e-12)
    after = infer(np.array([[0.1]]), ONE, [NoisyOr(0.01, {0: 0.9}, 1.0, 0.0, 1, True)], {0: [(1, 0.9)]})
    assert after.unknown == pytest.approx(0.01 * (1 - 0.009) / (1 - 0.99 * (1 - 0.009)), abs=1e-12)


def test_ways_to_meet_remedies() -> None:
    """Two remedies of .8 and .5 on one cause: cured by the first .8, by the second .1, by neither .1."""
    assert [at for _, at in alternatives([(1, 0.8), (3, 0.5)])] == [1, 3, None]
    assert [s for s, _ in alternatives([(1, 0.8), (3, 0.5)])] == pytest.approx([0.8, 0.1, 0.1])


def test_hundreds_of_answers_that_nothing_explains_are_refused_as_too_many_and_not_as_a_fault():
    """A thousand positives of one cause, each of a leak of a thousandth: the odds are 10 ** 3000, which no float holds."""
    seen = [NoisyOr(0.001, {0: 0.99}, 1.0, 0.0, epoch) for epoch in range(1000)]
    cured = {0: [(epoch, 0.5) for epoch in range(1, 1000)]}
    wet = NoisyOr(1e-3, {0: 0.5, 1: 0.5}, 1.0, 0.0, complaint=True)
    even = [CausePrior((), np.array(1.0)), CausePrior((), np.array(0.5))]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises((IntractableError, ImpossibleEvidenceError)):
            infer_by_fact(even, [], [wet, *seen], cured)


def test_what_is_no_number_to_begin_with_is_said_as_that():
    even = [CausePrior((), np.array(np.nan))]
    with pytest.raises(ValueError, match="not a number") as said:
        infer_by_fact(even, [], [NoisyOr(1e-3, {0: 0.5}, 1.0, 0.0, complaint=True)])
    assert not isinstance(said.value, IntractableError)
