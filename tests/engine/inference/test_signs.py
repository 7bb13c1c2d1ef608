"""Signs and their reports against every world, and the laws that a report obeys."""

from dataclasses import replace

import numpy as np
import pytest

from dryfloor.engine.inference.noisy_or import CausePrior, LocalEvidence, NoisyOr
from dryfloor.engine.inference.posterior import Posterior, infer_by_fact
from dryfloor.engine.inference.signs import NoisySign, Reported, SignReport, chance_of_next, joined
from tests.support.sign_worlds import brute, random_signs, said_so


def inferred(prior: list[float], findings: list, cures: dict | None = None) -> Posterior:
    return infer_by_fact([CausePrior((), np.array(p)) for p in prior], [], findings, cures)


def random_case(seed: int, remedies: int = 0):
    rng = np.random.default_rng(seed)
    causes = int(rng.integers(1, 4))
    prior = [float(p) for p in rng.uniform(0.02, 0.6, causes)]
    cures: dict[int, list[tuple[int, float]]] = {}
    for ordinal in range(1, remedies + 1):
        cures.setdefault(int(rng.integers(causes)), []).append((ordinal, float(rng.uniform(0.3, 0.98))))
    last = {i: max(o for o, _ in done) for i, done in cures.items()}
    findings: list = [random_signs(rng, causes, int(rng.integers(1, 3)), int(rng.integers(1, 5)), remedies)]
    if rng.random() < 0.7:
        links = {i: float(rng.uniform(0.1, 0.9)) for i in range(causes)}
        findings.append(NoisyOr(float(rng.uniform(0.01, 0.2)), links, 1.0, 0.0, max(last.values(), default=0), True))
    return prior, findings, cures


@pytest.mark.parametrize("seed", range(60))
def test_every_world_of_causes_and_signs(seed: int) -> None:
    """Chance of the evidence, causes, what explains the complaint and what nothing does (D: sums over worlds)."""
    prior, findings, cures = random_case(seed, seed % 3)
    ours, truly = inferred(prior, findings, cures), brute(prior, findings, cures)
    assert ours.marginal_likelihood == pytest.approx(truly.marginal_likelihood, rel=1e-9)
    assert list(ours.present) == pytest.approx(truly.present, abs=1e-9)
    assert list(ours.explains) == pytest.approx(truly.explains, abs=1e-9)
    assert ours.unknown == pytest.approx(truly.unknown, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_what_is_reported_where_causes_are_known(seed: int) -> None:
    prior, (reported, *_), cures = random_case(seed, seed % 3)
    for chosen in range(1 << len(prior)):
        at_work = [(i, 1 if i in cures and seed % 2 else None) for i in range(len(prior)) if chosen >> i & 1]
        end = dict.fromkeys(range(len(prior)), -1.0) | {i: np.inf if at is None else float(at) for i, at in at_work}
        assert reported.likelihood(at_work) == pytest.approx(said_so(reported, end), rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_the_next_report_is_expected_given_those_so_far(seed: int) -> None:
    rng = np.random.default_rng(seed)
    reported = random_signs(rng, 3, 2, int(rng.integers(0, 4)))
    report = SignReport((0, 1) if seed % 2 else (0,), 0.8, 0.05, True)
    sets = [[i for i in range(3) if chosen >> i & 1] for chosen in range(8)]
    member = np.array([[float(c in some) for c in reported.causes] for some in sets])
    ours = chance_of_next(reported, report, member)
    for chosen, p in zip(sets, ours, strict=True):
        end = {i: np.inf if i in chosen else -1.0 for i in range(3)}
        with_it = Reported(reported.signs, (*reported.reports, report))
        assert p == pytest.approx(said_so(with_it, end) / said_so(reported, end), rel=1e-9)


def one(strength: float = 0.9, leak: float = 0.05) -> NoisySign:
    return NoisySign(leak, {0: strength})


def odds(p: float) -> float:
    return float(np.log(p / (1 - p)))


@pytest.mark.parametrize("seed", range(30))
def test_no_report_moves_a_belief_more_than_the_sign_itself(seed: int) -> None:
    """Any number of denials stop short of the sign's absence; up to three sightings short of a showing where the leak has none.

    What a sighting is worth at most is (strength + leak) / leak: the cause and the leak may show both, and are then caught likelier
    than one alone, so the bound is not that of the sign's being there, strength + leak - strength * leak, but a hair above (D).
    """
    rng = np.random.default_rng(seed)
    prior, strength = (float(x) for x in rng.uniform(0.05, 0.95, 2))
    sign = one(strength, float(rng.uniform(0.001, 0.2)))
    gone = float(inferred([prior], [NoisyOr(sign.leak, sign.links, 0.0, 1.0)]).present[0])
    said = bool(seed % 2)
    for count in range(1, 4 if said else 9):
        reports = tuple(
            SignReport((0,), float(rng.uniform(0.75, 0.99)), float(rng.uniform(0.001, 0.1)), said) for _ in range(count)
        )
        now = float(inferred([prior], [Reported((sign,), reports)]).present[0])
        if said:
            assert -1e-12 <= odds(now) - odds(prior) <= np.log((strength + sign.leak) / sign.leak) + 1e-9
        else:
            assert gone - 1e-12 <= now <= prior + 1e-12


@pytest.mark.parametrize("hit", [0.5, 0.85, 0.99])
def test_five_idle_answers_about_one_noise_count_as_one_noise(hit: float) -> None:
    """As many denials of one sign as one likes leave the cause what the sign's own absence leaves it."""
    few, many = (
        float(inferred([0.3], [Reported((one(),), (SignReport((0,), hit, 0.02, False),) * n)]).present[0])
        for n in (1, 40)
    )
    absent = float(inferred([0.3], [NoisyOr(0.05, {0: 0.9}, 0.0, 1.0)]).present[0])
    apart = float(inferred([0.3], [NoisyOr(0.05, {0: 0.9}, 0.0, 1.0)] * 5).present[0])
    assert few > many
    assert many == pytest.approx(absent, abs=1e-4)
    assert apart < 0.01 < absent


def test_two_denials_say_more_than_one_and_two_sightings_more_than_one() -> None:
    for said in (True, False):
        p = [
            float(inferred([0.3], [Reported((one(),), (SignReport((0,), 0.8, 0.05, said),) * n)]).present[0])
            for n in (1, 2)
        ]
        assert (p[1] > p[0] > 0.3) if said else (p[1] < p[0] < 0.3)


@pytest.mark.parametrize("seed", range(20))
def test_the_order_of_reports_has_no_effect(seed: int) -> None:
    prior, findings, cures = random_case(seed, seed % 3)
    rng = np.random.default_rng(seed)
    first = findings[0]
    turned = replace(first, reports=tuple(first.reports[k] for k in rng.permutation(len(first.reports))))
    a, b = inferred(prior, findings, cures), inferred(prior, [turned, *findings[1:]], cures)
    assert list(a.present) == pytest.approx(list(b.present), abs=1e-12)
    assert a.marginal_likelihood == pytest.approx(b.marginal_likelihood, rel=1e-12)


def test_two_causes_that_show_are_caught_likelier_than_one() -> None:
    both = Reported((NoisySign(0.01, {0: 0.9, 1: 0.9}),), (SignReport((0,), 0.6, 0.01, True),))
    assert both.likelihood([(0, None), (1, None)]) > both.likelihood([(0, None)]) > both.likelihood([])


def test_a_finer_sign_is_seen_in_the_coarse_report_and_not_the_other_way_round() -> None:
    """Water at all, and water at the front: who says there is none says there is none at the front."""
    signs = (NoisySign(0.02, {}), NoisySign(0.02, {0: 0.9}))
    coarse, fine = (0, 1), (1,)
    none_at_all = Reported(signs, (SignReport(coarse, 0.9, 0.01, False),))
    none_there = Reported(signs, (SignReport(fine, 0.9, 0.01, False),))
    assert none_at_all.likelihood([(0, None)]) / none_at_all.likelihood([]) == pytest.approx(
        none_there.likelihood([(0, None)]) / none_there.likelihood([]), rel=1e-12
    )
    some = [Reported(signs, (SignReport(of, 0.9, 0.01, True),)) for of in (coarse, fine)]
    told = [r.likelihood([(0, None)]) / r.likelihood([]) for r in some]
    assert 1 < told[0] < told[1]


def test_over_a_remedy_a_showing_is_one_draw() -> None:
    """Seen before a remedy on another cause and seen again: that it shows was known by then."""
    sign = NoisySign(1e-6, {0: 0.3})
    again = Reported((sign,), (SignReport((0,), 0.9, 0.01, True, 0), SignReport((0,), 0.9, 0.01, True, 1)))
    once = Reported((sign,), (again.reports[0],))
    p = [r.likelihood([(0, None)]) for r in (once, again)]
    assert p[1] / p[0] > 0.85  # a second draw would make it .3
    gone = Reported((sign,), (again.reports[0], replace(again.reports[1], said=False)))
    assert gone.likelihood([(0, 1)]) / once.likelihood([(0, 1)]) == pytest.approx(0.99, abs=1e-3)


def test_reports_that_share_a_sign_stand_together() -> None:
    signs = [NoisySign(0.1, {0: 0.5}) for _ in range(4)]
    reports = [
        SignReport((0,), 0.9, 0.01, True),
        SignReport((2, 3), 0.9, 0.01, False),
        SignReport((0, 1), 0.9, 0.01, False),
    ]
    groups = joined(signs, reports)
    assert [(places, len(g.signs), len(g.reports)) for places, g in groups] == [((0, 1), 2, 2), ((2, 3), 2, 1)]
    prior = [0.4]
    apart = inferred(prior, [g for _, g in groups])
    whole = inferred(prior, [Reported(tuple(signs), tuple(reports))])
    assert list(apart.present) == pytest.approx(list(whole.present), abs=1e-12)


def test_denials_open_no_variable() -> None:
    """Thirty denials of thirty signs by forty causes: factors alone, so that no table is built."""
    rng = np.random.default_rng(0)
    some = [NoisySign(0.02, {int(i): 0.7 for i in rng.choice(40, 12, replace=False)}) for _ in range(30)]
    findings = joined(some, [SignReport((k,), 0.9, 0.01, False) for k in range(30)])

    local = LocalEvidence(40, 0, {})
    for _, f in findings:
        local.take(f)
    assert local.variables == []
    assert not any(local.links)


@pytest.mark.parametrize("seed", range(120))
def test_a_report_that_shows_a_causes_own_sign_never_lowers_it(seed: int) -> None:
    """Whoever else is at work and whatever was said before: one more sight of what a cause shows makes it no less likely.

    It holds where the report speaks of every sign of the group that the cause shows, and all else is fixed. (A finer sight, of a kind that
    the cause seldom shows, may well speak for another; and what shows it likelier still may take a share of the belief.)
    """
    rng = np.random.default_rng(seed)
    group = random_signs(rng, 3, int(rng.integers(1, 4)), int(rng.integers(0, 4)))
    rate = lambda low, high: float(rng.uniform(low, high))  # noqa: E731
    for cause in group.causes:
        own = {k for k, sign in enumerate(group.signs) if cause in sign.links}
        of = tuple(sorted(own | {k for k in range(len(group.signs)) if rng.random() < 0.3}))
        more = SignReport(of, rate(0.3, 1), rate(0, 0.2), True)
        again = Reported(group.signs, (*group.reports, more))
        for chosen in range(8):
            rest: list[tuple[int, int | None]] = [(i, None) for i in range(3) if chosen >> i & 1 and i != cause]
            before = group.likelihood([*rest, (cause, None)]) / group.likelihood(rest)
            after = again.likelihood([*rest, (cause, None)]) / again.likelihood(rest)
            assert after >= before - 1e-12
