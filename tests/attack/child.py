"""An attack in a process of its own, held to so much memory and processor time: `python -m tests.attack.child KIND SEED COUNT`.

Kinds: cases, requests, sheets, machines, folders, stores.
"""

import json
import random
import resource
import sys
import tempfile
import time
import warnings
from collections import Counter
from pathlib import Path

from dryfloor.cli.terminal.env import one_thread

MEMORY = 600 * 2**20  # of its own data, for cases alone or with two of the server's threads [bytes]
LONGEST_S = 10.0  # processor time of one input, on a machine ten times slower than today's [s]


def main(argv: list[str]) -> None:
    """Attack until all is done, and print what came of it; the input that broke something is shown whole."""
    what, seed, count = argv[0], int(argv[1]), int(argv[2])
    one_thread()
    from dryfloor.engine.knowledge.load import load_kb

    from . import files, mutation

    warnings.simplefilter("error", RuntimeWarning)
    kb = load_kb()
    words = mutation.words_of(kb)
    rng = random.Random(seed)
    folder = tempfile.TemporaryDirectory()
    if what in files.READ:
        seeds, attack = files.prepared(what, kb, Path(folder.name), seed)
    else:
        seeds, attack = mutation.corpus(kb), prepared(what, kb)
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    ends: Counter[str] = Counter()
    worst = 0.0
    for n in range(count):
        raw = files.damaged(rng, seeds, words, binary=what == "stores")
        start = time.process_time()
        try:
            ends[attack(raw)] += 1
            took = time.process_time() - start
            assert took < LONGEST_S, took
        except BaseException:
            print(f"input {n} of seed {seed}: {raw[:20_000]!r}", file=sys.stderr)
            raise
        worst = max(worst, took)
    folder.cleanup()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        json.dumps(
            {"inputs": count, "worst_s": round(worst, 3), "peak_mb": round(peak), "ends": dict(ends.most_common())}
        )
    )


def prepared(what: str, kb):
    """Return what takes one input and says how it ended."""
    from .invariants import attacked, within

    if what == "cases":
        return lambda raw: attacked(kb, raw)
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

    from dryfloor.cli.page.answers.signing import Signer
    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context

    warnings.simplefilter("error", RuntimeWarning)
    faults: list[Exception] = []
    client = TestClient(application(Context(kb, Signer(b"k" * 32)), faults.append), raise_server_exceptions=False)
    client.__enter__()

    def sent(raw: bytes) -> str:
        # Damaged JSON is most often none; as YAML more of it is still read.
        kind = "application/json" if raw[:1] == b"{" and len(raw) % 4 else "application/yaml"
        got = client.post("/advise", content=raw, headers={"content-type": kind})
        assert not faults, faults
        assert got.status_code in (200, 413, 422, 503), got.status_code
        within(got.content, len(raw))
        assert client.get("/health").status_code == 200
        errors = got.json()["errors"]
        assert len(errors) <= 21
        return f"{got.status_code} {errors[0]['code'] if errors else got.json()['status']}"

    return sent


if __name__ == "__main__":
    main(sys.argv[1:])
