"""How sure learned numbers are: against closed forms, another library's distributions, and numeric slopes case by case."""

import numpy as np
import pytest
from scipy import stats

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.learning.certainty import (
    Weighing,
    _alone,
    _ninety,
    drawn,
    foretold,
    information,
    judgement_information,
    slopes,
    together,
    weighed,
)
from dryfloor.engine.learning.counts import Counts, Parameters, counted, with_debts
from dryfloor.engine.learning.em import Learned, learn
from dryfloor.engine.learning.maximization import Prior, log_prior, maximized
from dryfloor.engine.learning.numbers import with_numbers
from dryfloor.engine.learning.passing import Spool, at_home
from tests.support.lessons import lessons
from tests.support.shipped import shipped

STEP = 1e-4


def parts() -> tuple[Network, Parameters, Prior]:
    network = network_of(shipped())
    parameters = Parameters(network)
    return network, parameters, Prior.of(parameters, shipped())


def learned() -> Learned:
    """Of a few cases, two passes."""
    parameters = parts()[1]
    some = lessons()
    return learn(shipped(), lambda n: counted(Network(with_numbers(shipped(), n)), parameters, some), most=2)


def test_the_slope_of_what_is_climbed_is_that_of_counts_and_judgement():
    """At numbers that maximize complete counts of one cure, its slope and that of its prior cancel (D: closed form)."""
    _, parameters, prior = parts()
    counts = Counts.none(parameters)
    n = next(n for n, k in enumerate(parameters.keys) if k[0] == "cures")
    counts.yes[n], counts.of[n] = 7.0, 9.0
    vector = maximized(parameters, prior, prior.judged, counts)
    judged = (prior.yes - vector * (prior.yes + prior.no))[n]
    assert slopes(parameters, vector, counts)[n] == pytest.approx(-judged, rel=1e-9)


def moved(parameters: Parameters, vector: np.ndarray, n: int, by: float) -> np.ndarray:
    out = vector.copy()
    if parameters.keys[n][0] in ("rate", "unlisted", "share"):
        out[n] *= np.exp(by)
    else:
        out[n] = 1 / (1 + np.exp(-(np.log(out[n] / (1 - out[n])) + by)))
    for at in parameters.facts:
        if n in at:
            out[at] /= out[at].sum()
    return out


def test_what_a_judgement_is_worth_is_how_its_logarithm_bends():
    """Against second differences of the log prior, for every kind of number and two options of one fact (D)."""
    _, parameters, prior = parts()
    vector = prior.judged
    bend = judgement_information(parameters, prior, vector)
    for kind in ("rate", "unlisted", "strength", "leak", "cures", "hit", "false_alarm"):
        n = next(n for n, k in enumerate(parameters.keys) if k[0] == kind)
        ends = [log_prior(parameters, prior, moved(parameters, vector, n, by)) for by in (-0.01, 0.0, 0.01)]
        assert bend[n, n] == pytest.approx(-(ends[0] - 2 * ends[1] + ends[2]) / 1e-4, rel=1e-3), kind
    at = parameters.facts[0]
    p, alpha = vector[at], prior.worth[at] * vector[at] / vector[at].min()
    own = bend[at[:, None], at] - np.eye(len(at))  # without what keeps it whole
    assert own[0, 1] == pytest.approx(-alpha.sum() * p[0] * p[1])
    assert own.sum(axis=1) == pytest.approx(np.zeros(len(at)), abs=1e-9)


def test_information_is_the_sum_of_squares_of_each_cases_own_slope():
    """Each score by numeric slopes of that case's own chance, for some numbers of every kind that it bears on."""
    network, parameters, prior = parts()
    some = [lessons()[0], lessons()[1], lessons()[1]]
    scores = []
    for lesson in some:
        own = with_debts(network, parameters, counted(network, parameters, [lesson]))
        scores.append(slopes(parameters, prior.judged, own))
    bears = np.abs(scores[0]) + np.abs(scores[1])
    picked = np.array(
        [
            max((n for n, k in enumerate(parameters.keys) if k[0] == kind), key=lambda n: bears[n])
            for kind in ("rate", "strength", "leak", "share")
        ]
    )

    def height(lesson, vector):
        at = Network(with_numbers(shipped(), parameters.numbers(vector)))
        return with_debts(at, parameters, counted(at, parameters, [lesson])).log_likelihood

    numeric = np.array(
        [
            [
                (
                    height(x, moved(parameters, prior.judged, n, STEP))
                    - height(x, moved(parameters, prior.judged, n, -STEP))
                )
                / (2 * STEP)
                for n in picked
            ]
            for x in some[:2]
        ]
    )
    expected = sum(np.outer(s, s) for s in (numeric[0], numeric[1], numeric[1]))
    found = information(network, parameters, prior.judged, picked, some)
    assert np.abs(expected).max() > 0.01
    assert found == pytest.approx(expected, abs=1e-4)


def test_draws_scatter_as_a_beta_does_where_nothing_is_hidden():
    """One cure that was seen to hold 70 of 100 times, all else as judged: against scipy's exact Beta in log-odds."""
    _, parameters, prior = parts()
    n = next(n for n, k in enumerate(parameters.keys) if k[0] == "cures")
    counts = Counts.none(parameters)
    counts.yes[n], counts.of[n] = 70.0, 100.0
    vector = maximized(parameters, prior, prior.judged, counts)
    p = vector[n]
    info = np.array([[70 * (1 - p) ** 2 + 30 * p**2]])  # the squares of 100 complete cases
    some = np.array([v[n] for v in drawn(parameters, prior, vector, np.array([n]), info, 2000)])
    exact = stats.beta(prior.yes[n] + 70, prior.no[n] + 30)
    odds = np.log(some / (1 - some))
    wide = exact.rvs(20000, random_state=1)
    assert odds.std() == pytest.approx(np.log(wide / (1 - wide)).std(), rel=0.05)
    assert np.median(some) == pytest.approx(exact.median(), abs=0.01)


def test_draws_are_numbers_of_a_kb_and_come_in_pairs():
    _, parameters, prior = parts()
    found = learned()
    info = information(
        Network(with_numbers(shipped(), found.numbers)), parameters, found.vector, together(found), lessons()
    )
    vectors = [*drawn(parameters, prior, found.vector, together(found), info, 4)]
    assert len(vectors) == 4
    for v in vectors:
        assert ((v > 0) & (v < 1)).all()
        assert all(v[at].sum() == pytest.approx(1, abs=1e-3) for at in parameters.facts)
    plain = np.array([k[0] == "cures" for k in parameters.keys])
    logs = [np.log(v[plain] / (1 - v[plain])) for v in (*vectors[:2], found.vector)]
    assert (logs[0] + logs[1]) / 2 == pytest.approx(logs[2], abs=1e-6)


@pytest.mark.parametrize(("p", "of"), [(0.5, 10), (0.031, 100), (0.8, 1000)])
def test_of_one_chance_the_interval_is_the_binomial_one(p, of):
    low, high = _ninety(np.array([p]), of)
    assert (low, high) == tuple(stats.binom(of, p).ppf([0.05, 0.95]))


def test_of_many_chances_it_is_that_of_their_mixture():
    """Chances of a Beta distribution: against scipy's beta-binomial."""
    chances = stats.beta(6, 14).ppf((np.arange(4000) + 0.5) / 4000)
    assert _ninety(chances, 100) == tuple(stats.betabinom(100, 6, 14).ppf([0.05, 0.95]))


def test_what_is_foretold_sums_to_the_cases_to_come_and_cases_make_it_surer():
    network, parameters, prior = parts()
    some = lessons()
    kb, found = shipped(), learned()
    none = np.array([], dtype=np.intp)
    info = information(Network(with_numbers(kb, found.numbers)), parameters, found.vector, together(found), some * 20)
    before = drawn(parameters, prior, prior.judged, none, np.zeros((0, 0)), 8)
    after = drawn(parameters, prior, found.vector, together(found), info, 8)
    wide, narrow = (
        {tuple(f.key): f for f in foretold(kb, map(parameters.numbers, vectors), ["siphons"], 100)}
        for vectors in (before, after)
    )
    facts = [f for f in narrow.values() if f.key[:2] == ["fact", "drain"]]
    assert sum(f.mean for f in facts) == pytest.approx(100)
    assert sum(f.mean for f in narrow.values() if f.key[0] == "cause") >= 100
    # Of all causes together: a cause that the cases make likelier may have the wider interval for it.
    width = [sum(f.high - f.low for f in some.values() if f.key[0] == "cause") for some in (wide, narrow)]
    assert width[1] < 0.9 * width[0]
    alone = _alone(network, "siphons")
    exact = [*foretold(kb, [parameters.judged], ["siphons"], 100)]
    assert {tuple(f.key): f.mean for f in exact} == pytest.approx({k: 100 * p for k, p in alone.items()}, abs=1e-9)


def test_weighing_by_chunks_is_weighing_all(tmp_path):
    found = learned()
    spool = Spool(tmp_path / "cases", 3)
    spool.write(lessons())
    chosen, matrix = weighed(shipped(), found, spool.part(), at_home)
    network = Network(with_numbers(shipped(), found.numbers))
    whole = information(network, found.parameters, found.vector, chosen, lessons())
    assert matrix == pytest.approx(whole, abs=1e-9)
    work = Weighing(shipped(), found.numbers, [*map(int, chosen)])
    again = Weighing.__new__(Weighing)
    again.__setstate__(work.__getstate__())
    (_, first), *_ = spool.part().chunks()
    assert (again.count(first).matrix == work.count(first).matrix).all()
