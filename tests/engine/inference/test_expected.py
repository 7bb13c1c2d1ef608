"""Expected counts against sums over worlds, and against how the chance of the evidence bends with every number that goes in."""

from dataclasses import replace

import numpy as np
import pytest

from dryfloor.engine.inference.expected import Expected, FindingExpected, SignsExpected, expected
from dryfloor.engine.inference.noisy_or import CausePrior, NoisyOr
from dryfloor.engine.inference.posterior import infer_by_fact
from dryfloor.engine.inference.signs import Reported
from tests.support.sign_worlds import random_signs
from tests.support.worlds import random_network, worlds


def test_one_step_worked_by_hand() -> None:
    """p .1, strength .8, leak .05, seen: fired .634921; Beta(8, 2) becomes .811335 and Beta(1, 9) .149351 (D, fractional updating)."""
    seen = expected([CausePrior((), np.array(0.1))], [], [NoisyOr(0.05, {0: 0.8}, 1.0, 0.0)])
    finding = seen.findings[0]
    assert isinstance(finding, FindingExpected)
    fired, at_work = finding.links[0]
    assert (fired, at_work) == (pytest.approx(0.634921, abs=1e-6), pytest.approx(0.642857, abs=1e-6))
    assert (8 + fired) / (10 + at_work) == pytest.approx(0.811335, abs=1e-6)
    assert (1 + at_work) / (10 + 1) == pytest.approx(0.149351, abs=1e-6)


@pytest.mark.parametrize("seed", range(60))
def test_every_world_of_causes_and_links(seed: int) -> None:
    """Causes that were there, links that fired, cures that took, leaks (D: sums over worlds), with up to two remedies."""
    rng = np.random.default_rng(seed)
    prior, _, findings, cures = random_network(rng, int(rng.integers(1, 4)), int(rng.integers(1, 5)), seed % 3)
    ours = expected([CausePrior((), np.array(p)) for p in prior[0]], [], findings, cures)
    some = list(worlds(list(prior[0]), findings, cures))
    total = sum(w.p for w in some)
    assert ours.evidence == pytest.approx(total, rel=1e-9)
    for i in range(len(prior[0])):
        assert ours.present[i] == pytest.approx(sum(w.p for w in some if i in w.present) / total, abs=1e-9)
    for k, (f, found) in enumerate(zip(findings, ours.findings, strict=True)):
        if f.on == f.off:
            assert found is None
            continue
        assert isinstance(found, FindingExpected)
        for i, (fired, _) in found.links.items():
            assert fired == pytest.approx(sum(w.p for w in some if i in w.fired[k]) / total, abs=1e-9)
        leak = sum(w.p * _leaked(f, bool(w.fired[k])) for w in some) / total
        assert found.leak[0] == pytest.approx(leak, abs=1e-9)


def _leaked(f: NoisyOr, fired: bool) -> float:
    """That the leak was on, given the world's links and what was reported."""
    if f.gone_at is not None:
        on, off = f.leak * f.off, (1 - f.leak) if fired else 0.0
    elif fired:
        on, off = f.leak * f.on, (1 - f.leak) * f.on
    else:
        on, off = f.leak * f.on, (1 - f.leak) * f.off
    return on / (on + off)


Case = tuple[list[CausePrior], list[np.ndarray], list, dict]


def random_case(seed: int) -> Case:
    """Causes with a parent fact or none, remedies, signs with reports by several, a complaint and other findings."""
    rng = np.random.default_rng(seed)
    remedies = seed % 3
    prior, share, findings, cures = random_network(rng, int(rng.integers(1, 4)), int(rng.integers(1, 4)), remedies, 2)
    causes = [CausePrior((0,), p) if i % 2 else CausePrior((), np.array(p[0])) for i, p in enumerate(prior.T)]
    told = random_signs(rng, len(causes), int(rng.integers(1, 4)), int(rng.integers(1, 5)), remedies)
    return causes, [share], [*findings, told], cures


def bend(case: Case, moved: Case, step: float) -> float:
    """How the logarithm of the chance of the evidence changes with one number."""
    low, high = (infer_by_fact(*c).marginal_likelihood for c in (case, moved))
    return float((np.log(high) - np.log(low)) / (2 * step))


STEP = 1e-5


def _agrees(counted: tuple[float, float], p: float, slope: float) -> None:
    """Of trials with chance p, that happened less p of all is p (1 - p) times the slope of the log evidence (Fisher's identity)."""
    assert counted[0] - p * counted[1] == pytest.approx(p * (1 - p) * slope, abs=1e-7)


@pytest.mark.parametrize("seed", range(40))
def test_counts_are_the_slope_of_the_evidence(seed: int) -> None:
    """Fisher's identity (from memory, unverified; D here): it ties every count to the posterior's own evidence, checked elsewhere."""
    causes, shares, findings, cures = random_case(seed)
    ours = expected(causes, shares, findings, cures)

    def slope(at: int, low: object, high: object) -> float:
        both = [(causes, shares, [*findings[:at], f, *findings[at + 1 :]], cures) for f in (low, high)]
        return bend(both[0], both[1], STEP)

    for k, (f, found) in enumerate(zip(findings, ours.findings, strict=True)):
        if isinstance(f, Reported):
            assert isinstance(found, SignsExpected)
            _signs_agree(f, found, lambda low, high, k=k: slope(k, low, high))
        elif found is not None:
            low, high = replace(f, leak=f.leak - STEP), replace(f, leak=f.leak + STEP)
            _agrees(found.leak, f.leak, slope(k, low, high))
            for i, s in f.links.items():
                low, high = (replace(f, links=f.links | {i: s + by}) for by in (-STEP, STEP))
                if f.gone_at is None:
                    _agrees(found.links[i], s, slope(k, low, high))
    _causes_agree(ours, causes, shares, findings, cures)


def _signs_agree(f: Reported, found: SignsExpected, slope) -> None:
    for k, sign in enumerate(f.signs):

        def with_sign(new, k=k):
            return replace(f, signs=(*f.signs[:k], new, *f.signs[k + 1 :]))

        low, high = (with_sign(replace(sign, leak=sign.leak + by)) for by in (-STEP, STEP))
        _agrees(found.signs[k].leak, sign.leak, slope(low, high))
        for i, s in sign.links.items():
            low, high = (with_sign(replace(sign, links=sign.links | {i: s + by})) for by in (-STEP, STEP))
            _agrees(found.signs[k].links.get(i, (0.0, 0.0)), s, slope(low, high))
    for n, r in enumerate(f.reports):
        for name in ("hit", "false_alarm"):
            p = getattr(r, name)
            moved = [
                replace(f, reports=(*f.reports[:n], replace(r, **{name: p + by}), *f.reports[n + 1 :]))
                for by in (-STEP, STEP)
            ]
            _agrees(getattr(found.reports[n], name), p, slope(*moved))


def _causes_agree(ours: Expected, causes: list, shares: list, findings: list, cures: dict) -> None:
    for i, cause in enumerate(causes):
        # By its log rate, whatever facts bear on it.
        both = [
            ([*causes[:i], CausePrior(cause.facts, cause.chance * (1 + by)), *causes[i + 1 :]], shares, findings, cures)
            for by in (-STEP, STEP)
        ]
        slope = bend(both[0], both[1], STEP)
        assert float(ours.present[i] - ours.exposed[i]) == pytest.approx(slope, abs=1e-6)
        if cause.facts:
            continue
        p = float(cause.chance)
        if not 0 < p < 1:
            continue
        both = [
            ([*causes[:i], CausePrior((), np.array(p + by)), *causes[i + 1 :]], shares, findings, cures)
            for by in (-STEP, STEP)
        ]
        _agrees((float(ours.present[i]), 1.0), p, bend(both[0], both[1], STEP))
    for i, done in cures.items():
        for n, (ordinal, p) in enumerate(done):
            both = [
                (causes, shares, findings, cures | {i: [*done[:n], (ordinal, p + by), *done[n + 1 :]]})
                for by in (-STEP, STEP)
            ]
            _agrees(ours.cured[i][n], p, bend(both[0], both[1], STEP))
