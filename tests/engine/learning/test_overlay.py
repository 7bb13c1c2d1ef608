"""What is written: nothing that few cases bear on, nothing that breaks a promise, and what is written reads back."""

import numpy as np
import pytest

from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.knowledge.load import read_kb
from dryfloor.engine.learning.counts import Counts, Parameters
from dryfloor.engine.learning.em import Learned
from dryfloor.engine.learning.maximization import Prior
from dryfloor.engine.learning.numbers import numbers_of, with_numbers
from dryfloor.engine.learning.overlay import FEWEST, bearing, entries, writable
from tests.support.shipped import shipped

RATE, CURES = ("rate", "foot-unloaded"), ("cures", "foot-unloaded")


def learned(cases: float) -> Learned:
    """All numbers half as large in their odds, on so many cases each."""
    parameters = Parameters(network_of(shipped()))
    prior = Prior.of(parameters, shipped())
    vector = prior.judged / (2 - prior.judged)
    for at in parameters.facts:
        vector[at] = prior.judged[at]
    counts = Counts(np.full(len(vector), cases), np.full(len(vector), cases))
    return Learned(parameters, prior, vector, counts)


def test_a_number_on_which_few_cases_bear_is_not_written():
    few, enough = learned(FEWEST - 0.1), learned(FEWEST)
    assert {k for k in writable(few) if k[0] != "share"} == set()
    assert {RATE, CURES} <= {*writable(enough)}
    assert bearing(enough)[RATE] == FEWEST


def test_what_is_written_reads_back(tmp_path):
    kb, found = shipped(), learned(20.0)
    some = [k for k in found.parameters.keys if k[0] in ("strength", "leak")][::40]
    keys = [RATE, CURES, ("hit", "homeowner", "look"), *some]
    cases = {k: n for k, n in writable(found).items() if k in keys}
    assert {k[0] for k in cases} == {"rate", "cures", "strength", "leak", "hit"}
    for name, text in entries(kb, found.numbers, cases).items():
        path = tmp_path / "shop" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    back, problems = read_kb(tmp_path / "shop")
    assert problems == []
    assert back is not None
    numbers = numbers_of(Network(back))
    scale = (
        numbers["rate", "standpipe-too-low"] / found.parameters.judged["rate", "standpipe-too-low"]
    )  # all others, by the episode rate
    for key in cases:
        wanted = found.numbers[key] * (scale if key[0] == "rate" else 1)
        assert numbers[key] == pytest.approx(wanted, rel=1e-3), key
    cause = back.causes["foot-unloaded"]
    assert (cause.per_1000.basis, cause.per_1000.n_of) == ("counted", 20)


def test_numbers_that_are_written_into_records_are_read_from_them():
    kb = shipped()
    judged = numbers_of(network_of(kb))
    moved = {k: (p if k[0] == "share" else p * 0.7) for k, p in judged.items()}
    again = numbers_of(Network(with_numbers(kb, moved)))
    assert again.keys() == judged.keys()
    assert all(abs(again[k] - p) < 1e-12 for k, p in moved.items())
