"""Spoiled sheets, kb folders and stores, given to the commands that read them: a few in the quick run, thousands in the slow one."""

import pytest

from tests.attack.files import READ
from tests.attack.test_bytes import attacked


def test_a_few_spoiled_files():
    ends = attacked("folders", 1, 12)["ends"]
    assert len(ends) > 1, ends


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("what", READ)
def test_thousands_of_spoiled_files(what, seed):
    ends = attacked(what, 100 + seed, 700)["ends"]
    assert sum(n for end, n in ends.items() if end.endswith(" 0")) > 3, ends
