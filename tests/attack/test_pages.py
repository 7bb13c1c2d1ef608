"""People on the same kept cases at once, with forms of any age: a few minutes in the slow run, a little in the quick one."""

import pytest

from tests.attack.pages import attacked


def test_a_little(kb):
    assert attacked(kb, 0, 25)["after a stop"] >= 0


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 9))
def test_a_lot(kb, seed):
    counts = attacked(kb, seed, 120)
    assert counts[200] > 20
