"""Damaged cases, as files and as requests, in a process held to its memory: each is answered or refused, and nothing else."""

import json
import subprocess
import sys

import pytest

from tests.support.places import ROOT


def attacked(what, seed, count):
    done = subprocess.run(
        [sys.executable, "-m", "tests.attack.child", what, str(seed), str(count)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-4000:]
    found = json.loads(done.stdout)
    assert sum(found["ends"].values()) == found["inputs"] == count
    return found


@pytest.mark.parametrize("what", ["cases", "requests"])
def test_a_few_damaged_ones(what):
    found = attacked(what, 1, 15)
    assert len(found["ends"]) > 4, "damage that is all of one kind tries nothing"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("what", ["cases", "requests"])
def test_thousands_of_damaged_ones(what, seed):
    found = attacked(what, 100 + seed, 1000)
    answered = sum(n for end, n in found["ends"].items() if end[:1].islower() or end.startswith("200"))
    assert 100 < answered < 950, found
