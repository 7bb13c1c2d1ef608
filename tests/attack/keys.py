"""The command line attacked by what is typed: answers, words, commands and bytes in any order, into a walk, a survey and a question.

What must hold: no fault, no traceback, nothing raw on either stream, and no cleared gate in the store.

By hand, for so many seconds from a seed on: `python -m tests.attack.keys 600 1`.
"""

import io
import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from dryfloor.cli.main import main
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.env import Env
from tests.support.raw import NASTY, raw

LINES = [
    "it hops about", "water runs out while it fills", "I smell gas now", "yes", "no", "none", "stopped", "dry", "1", "2", "3", "99", "0", "-0 in", "31 in", "3²in", "39 1/2",
    "0 gal", "1e999 in", "skip", "can't", "back", "why", "help", "list", "change", "change 2", "also it leaks", "besides", "besides 1", "note", "notes", "note x", "stop", "",
    "done", "could not", "the same", NASTY, "note " + NASTY, "also " + NASTY, "words " + NASTY,
    "turned out " + NASTY, "turned out", "none of these", "x" * 5000, "\x00", "\ufeff1", "１", "½", "yes" + "\u202e", "🙂", "\t", "'\"<&>",
]  # fmt: skip
COMMANDS = [
    ["walk"], ["walk", "--role", "technician"], ["walk", "--role", "desk", "--say", NASTY], ["walk", "--json"], ["walk", "--plain", "--reference", NASTY], ["resume"],
    ["resume", "--role", "technician"], ["survey"], ["survey", "--role", "homeowner"], ["walk", "--store", ":memory:"], ["walk", "--units", "si"],
]  # fmt: skip
CODES = (0, 1, 2, 5, 130)


def typed(rng):
    """Some lines, a few of them with a letter changed for any other."""
    out = []
    for _ in range(rng.randrange(1, 25)):
        line = rng.choice(LINES)
        if line and rng.random() < 0.1:
            at = rng.randrange(len(line))
            line = line[:at] + chr(rng.randrange(1, 0xD7FF)) + line[at + 1 :]
        out.append(line.replace("\n", " "))
    return "\n".join(out) + rng.choice(["\n", ""])


def attacked(seed, rounds, cache):
    """Type into commands that share one store; return how often each exit code came."""
    rng, counts = random.Random(seed), Counter()
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(rounds):
            argv, text = rng.choice(COMMANDS), typed(rng)
            environ = {"HOME": folder, "DRYFLOOR_DATA_DIR": folder, "DRYFLOOR_CACHE_DIR": str(cache)}
            environ |= {"FORCE_COLOR": "1"} if rng.random() < 0.5 else {}
            env = Env(io.StringIO(text), io.StringIO(), io.StringIO(), environ)
            code = main(list(argv), env)
            out, err = env.stdout.getvalue(), env.stderr.getvalue()
            assert code in CODES, (argv, text, err)
            assert "Traceback" not in out + err
            assert (raw(out, painted="FORCE_COLOR" in environ), raw(err)) == ([], []), (argv, text)
            counts[code] += 1
        path = Path(folder) / "cases.db"
        if path.exists():
            with Store.open(path, write=False) as store:
                assert not [e for line in store.find() for e in store.events(line.id) if e.cleared]
    return counts


if __name__ == "__main__":
    until, total, seed = time.time() + float(sys.argv[1]), Counter(), 1000 * int(sys.argv[2])
    with tempfile.TemporaryDirectory() as kept:
        while time.time() < until:
            total += attacked(seed, 20, kept)
            seed += 1
    print(json.dumps({"ends": {str(k): n for k, n in total.most_common()}}))
