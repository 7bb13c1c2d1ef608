"""A first run, `hear` and a shop's overlay compiled stay small: peak memory of whole processes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.places import ROOT

MOST = 120  # MB
CODE = """
import sys
from dryfloor.cli.main import run
try:
    run(sys.argv[1:])
except SystemExit as left:
    with open("/proc/self/status") as status:  # what getrusage says is never less than the parent's
        kb = next(line.split()[1] for line in status if line.startswith("VmHWM"))
    print(left.code, int(kb) / 1024, file=sys.stderr)
"""


def peak(tmp_path: Path, *words: str) -> float:
    """Return the peak resident memory of a command with an empty cache [MB]."""
    env = {**os.environ, "XDG_CACHE_HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, "-c", CODE, *words], check=True, capture_output=True, text=True, env=env)
    return float(done.stderr.split()[-1])


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no peak memory is told there")
def test_hear_on_a_first_run_and_with_an_overlay_stays_small(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "kb.yaml").write_text("extends: shipped\n")
    said = "front loader, it walks across the room and bangs"
    assert peak(tmp_path, "hear", said) < MOST
    assert peak(tmp_path, "hear", "--kb", str(shop), said) < MOST
