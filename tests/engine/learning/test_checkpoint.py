"""Where a pass stands is kept whole or not at all, and is of one kb and its cases alone."""

import numpy as np

from dryfloor.engine.learning.checkpoint import Checkpoint
from dryfloor.engine.learning.counts import Counts


def test_what_is_kept_is_read_back(tmp_path):
    counts = Counts(np.arange(3.0), np.ones(3), -12.5, {"walks": 4}, {"too much hangs together": 1})
    kept = Checkpoint(tmp_path / "pass", "a")
    assert kept.read() is None
    kept.keep(np.full(3, 0.25), 7, counts)
    found = kept.read()
    assert found is not None
    vector, upto, again = found
    assert (vector.tolist(), upto) == ([0.25] * 3, 7)
    assert (again.yes.tolist(), again.of.tolist()) == (counts.yes.tolist(), counts.of.tolist())
    assert (again.log_likelihood, again.asked, again.left_out) == (-12.5, {"walks": 4}, {"too much hangs together": 1})
    assert Checkpoint(tmp_path / "pass", "b").read() is None


def test_a_damaged_one_is_none(tmp_path):
    kept = Checkpoint(tmp_path / "pass", "a")
    kept.keep(np.ones(2), 1, Counts(np.ones(2), np.ones(2)))
    raw = kept.path.read_bytes()
    for end in range(0, len(raw), 101):
        kept.path.write_bytes(raw[:end])
        assert kept.read() is None
