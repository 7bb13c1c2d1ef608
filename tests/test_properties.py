"""Every property of the quick run once more, with many more examples than a quick run has time for."""

import subprocess
import sys

import pytest

from tests.support.places import ROOT


@pytest.mark.slow
def test_every_property_holds_for_many_examples():
    """Only those whose number of examples is not their own; a process of its own, since a profile is taken as a test is read."""
    argv = [sys.executable, "-m", "pytest", "-m", "hypothesis and not slow", "--hypothesis-profile", "many", "-rf"]
    done = subprocess.run(argv, check=False, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout[-6000:]
