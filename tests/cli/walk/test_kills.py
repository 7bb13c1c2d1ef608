"""A real walk in a real process, killed: whatever was followed by the next prompt is on disk."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest

from tests.support.person import kept
from tests.support.places import ROOT


def start(tmp_path, cache):
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(cache),
        "PYTHONPATH": str(ROOT),
    }
    return subprocess.Popen(
        [sys.executable, "-m", "dryfloor"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=environ,
        cwd=tmp_path,
    )


def read_until(process, text, seen):
    while text not in seen:
        part = os.read(process.stdout.fileno(), 65536)
        if not part:
            break
        seen += part
    return seen


@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, 6))])
def test_kill_9_at_a_random_moment_loses_no_confirmed_answer(tmp_path, kept_kb, seed):
    """Whatever was followed by the next prompt is on disk, and the next start offers to go on with it."""
    rng = random.Random(seed)
    lines = [b"it hops about\n", b"yes\n", b"none\n", b"stopped\n", b"1\n", b"1\n", b"1\n"]
    process = start(tmp_path, kept_kb)
    seen = read_until(process, b"> ", b"")
    answered = rng.randint(2, len(lines) - 1)
    for n, line in enumerate(lines[:answered], 1):
        process.stdin.write(line)
        process.stdin.flush()
        while seen.count(b"\n> ") < n + 1:
            seen = seen + os.read(process.stdout.fileno(), 65536)
    process.stdin.write(lines[answered])  # one more is on its way when the power goes
    process.stdin.flush()
    time.sleep(rng.random() * 0.05)
    process.send_signal(signal.SIGKILL)
    process.wait()
    held = kept(tmp_path / "data" / "cases.db")
    # the role and the confirmed complaint are two events of the first two lines; the next two clear gates, which is not kept
    assert len(held) >= max(2, answered - 2)
    assert not any(event.cleared for event in held)
    again = start(tmp_path, kept_kb)
    out, _ = again.communicate(b"yes\n", timeout=60)
    assert b'A walk was cut off: "it hops about"' in out
    assert b"BEFORE ANYTHING ELSE" in out
    after = kept(tmp_path / "data" / "cases.db")
    assert after[: len(held)] == held
    assert after[len(held)].resumed
