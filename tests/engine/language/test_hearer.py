"""Twin of engine/language/hearer.py: whole-number sums against Python's own, and the same bytes with any threads and kernel."""

import os
import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest

from dryfloor.engine.knowledge.cache import hearing_key, key_of
from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.language.features import counts
from dryfloor.engine.language.hearer import DIGITS, VALUE_UNIT, hearer
from dryfloor.engine.language.word_pieces import DATA, UNIT
from tests.support.places import ROOT

SAID = ("the washer walks and bangs, i smell gas", "no leak. but it will not drain", "x", "", "which one should i buy")


@pytest.mark.parametrize("text", SAID)
def test_a_score_is_the_exact_sum_of_whole_numbers(text: str) -> None:
    h = hearer()
    scores, vector = h.scores(text)
    with np.load(DATA / "hearing.npz") as kept:
        rows = kept["rows"].tolist()
        alphas = [
            [n * int(s) for n in row] for row, s in zip(kept["of_rows"].tolist(), kept["row_scales"], strict=True)
        ]
        weights, scales = kept["of_features"], kept["feature_scales"]
    values: dict[int, int] = {}
    for block in counts(text):
        weighed = {h.places[k]: w * h.idf[h.places[k]] for k, w in block.items() if k in h.places}
        size = sum(w * w for w in weighed.values()) ** 0.5
        values |= {p: round(w / size * VALUE_UNIT) for p, w in weighed.items()}
    v = [int(x) for x in vector]
    cubes = [sum(a * b for a, b in zip(row, v, strict=True)) ** 3 >> 32 for row in rows]
    for c in range(0, len(h.names), 7):
        sums = (
            sum(n * int(weights[p, c]) * int(scales[p]) for p, n in values.items()),
            sum(n * int(w) for n, w in zip(v, h.of_vector[:, c], strict=True)),
            sum(n * alpha[c] for n, alpha in zip(cubes, alphas, strict=True)),
        )
        units = [Fraction(float(u[c])) / d for u, d in zip(h.units, (VALUE_UNIT, UNIT, 1 << 16), strict=True)]
        expected = sum(s * u for s, u in zip(sums, units, strict=True))
        assert abs(scores[h.names[c]] - float(expected)) <= 0.51 * 10**-DIGITS + 3e-5 * bool(values)


def test_sums_stay_exact() -> None:
    h = hearer()
    assert np.abs(h.rows).max() ** 2 * h.rows.shape[1] < 2**24
    assert float(np.abs(h.of_rows).sum(0).max()) * 2**17 < 2**53


@pytest.mark.slow
def test_the_same_bytes_with_any_threads_and_any_kernel(kept_kb) -> None:
    code = (
        "from pathlib import Path\n"
        "from dryfloor.engine.knowledge.cache import load_cached\n"
        "from dryfloor.engine.language.matching import hear\n"
        "import msgspec\n"
        f"kb = load_cached(None, Path({str(kept_kb)!r}))\n"
        f"print([msgspec.json.encode(hear(t, kb)) for t in {SAID!r}])"
    )
    outs = set()
    for threads, kernel in (("1", "Haswell"), ("2", "Haswell"), ("1", "Prescott")):
        env = {**os.environ, "OPENBLAS_NUM_THREADS": threads, "OPENBLAS_CORETYPE": kernel, "PYTHONPATH": str(ROOT)}
        outs.add(
            subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, env=env, cwd=ROOT).stdout
        )
    assert len(outs) == 1


def test_the_key_of_a_compiled_kb_names_the_weights(monkeypatch, tmp_path) -> None:
    assert len(hearing_key()) == 40
    assert hearer().key == hearing_key()
    was = key_of(home())
    monkeypatch.setattr("dryfloor.engine.knowledge.cache.hearing_key", lambda: "another")
    assert key_of(home()) != was
    assert hearing_key(tmp_path / "none.json") == ""


def test_neither_numpy_nor_rapidfuzz_is_imported_with_the_module() -> None:
    code = "import sys, dryfloor.engine.language.matching; sys.exit(bool({'rapidfuzz', 'numpy'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0
