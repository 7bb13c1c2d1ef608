"""Counts of whole cases: they are the slope of the cases' chance given their complaints, and they can be summed in any order."""

import numpy as np
import pytest

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.learning.counts import Counts, Parameters, counted, with_debts
from dryfloor.engine.learning.numbers import with_numbers
from tests.support.lessons import lessons
from tests.support.shipped import shipped

STEP = 1e-4


def height(parameters: Parameters, numbers: dict, some: list) -> float:
    network = Network(with_numbers(shipped(), numbers))
    return with_debts(network, parameters, counted(network, parameters, some)).log_likelihood


def moved(parameters: Parameters, key: tuple, by: float) -> dict:
    """The judged numbers with one of them moved: a rate and a share in its logarithm, any other in its log-odds."""
    out = dict(parameters.judged)
    p = out[key]
    if key[0] in ("rate", "unlisted"):
        out[key] = p * np.exp(by)
    elif key[0] == "share":
        own = [k for k in out if k[:2] == key[:2]]
        out[key] = p * np.exp(by)
        whole = sum(out[k] for k in own)
        out |= {k: out[k] / whole for k in own}
    else:
        out[key] = 1 / (1 + np.exp(-(np.log(p / (1 - p)) + by)))
    return out


@pytest.mark.slow
def test_counts_are_the_slope_of_the_chance_of_the_cases_given_their_complaints():
    """Fisher's identity for every kind of number (D): what happened less what was expected is how the log likelihood bends."""
    some = lessons()
    assert any(x.truth for x in some)
    network = network_of(shipped())
    parameters = Parameters(network)
    counts = with_debts(network, parameters, counted(network, parameters, some))
    rng = np.random.default_rng(1)
    by_kind: dict[str, list] = {}
    for n in rng.permutation(len(parameters.keys)):
        key = parameters.keys[n]
        if counts.of[n] > 0.01 and len(by_kind.setdefault(key[0], [])) < 5:
            by_kind[key[0]].append(key)
    assert set(by_kind) == {"rate", "unlisted", "share", "strength", "leak", "cures", "hit", "false_alarm"}
    for key in [k for own in by_kind.values() for k in own]:
        n, p = parameters.place[key], parameters.judged[key]
        slope = (
            height(parameters, moved(parameters, key, STEP), some)
            - height(parameters, moved(parameters, key, -STEP), some)
        ) / (2 * STEP)
        expected = counts.yes[n] - p * counts.of[n]
        if key[0] in ("rate", "unlisted"):
            expected = counts.yes[n] - counts.of[n]
        elif key[0] == "share":
            own = [parameters.place[k] for k in parameters.keys if k[:2] == key[:2]]
            expected = counts.yes[n] - counts.of[n] - p * (counts.yes[own].sum() - counts.of[own].sum())
        assert expected == pytest.approx(slope, abs=2e-5, rel=1e-4), key


def test_the_sum_does_not_hang_on_how_cases_are_parted():
    network = network_of(shipped())
    parameters = Parameters(network)
    some = lessons()
    whole = counted(network, parameters, some)
    parts = [counted(network, parameters, some[n::3]) for n in range(3)]
    summed = parts[2] + parts[0] + parts[1] + Counts.none(parameters)
    assert np.allclose(summed.yes, whole.yes, rtol=0, atol=1e-9)
    assert np.allclose(summed.of, whole.of, rtol=0, atol=1e-9)
    assert summed.log_likelihood == pytest.approx(whole.log_likelihood, abs=1e-9)
    assert (summed.asked, summed.cases) == (whole.asked, len(some))


def test_a_case_counts_as_often_as_it_came():
    network = network_of(shipped())
    parameters = Parameters(network)
    one = lessons()[:1]
    once, thrice = counted(network, parameters, one), counted(network, parameters, one * 3)
    assert np.allclose(thrice.yes, 3 * once.yes, rtol=0, atol=1e-9)
    assert thrice.asked == {k: 3 * n for k, n in once.asked.items()}
