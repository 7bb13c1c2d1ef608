"""Lines of any kind typed into the conversations: a few minutes in the slow run, a little in the quick one."""

import pytest

from tests.attack.keys import attacked


def test_a_little(kept_kb):
    assert sum(attacked(0, 4, kept_kb).values()) == 4


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 9))
def test_a_lot(kept_kb, seed):
    assert sum(attacked(seed, 25, kept_kb).values()) == 25
