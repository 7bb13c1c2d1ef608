"""All attacks by turns, by hand: `python -m tests.attack MINUTES [SEED]` prints a table of what was tried and how it ended.

The first fault stops it, with the input that brought it about. Each turn is a process of its own, at a seed of its own.
"""

import subprocess
import sys
import time
from collections import Counter

from tests.support.places import ROOT

from .files import READ

TURN_S = 20
COUNT = {"cases": 300, "requests": 300, **dict.fromkeys(READ, 300)}
STRUCTURED = 200


def turn(what: str, seed: int) -> list[str]:
    """Return the command line of one turn."""
    if what in COUNT:
        return ["-m", "tests.attack.child", what, str(seed), str(COUNT[what])]
    if what == "structured":
        return ["-m", "tests.attack.structured", str(seed), str(STRUCTURED)]
    return ["-m", f"tests.attack.{what}", str(TURN_S), str(seed)]


def main(argv: list[str]) -> int:
    """Attack for so many minutes, and print the table."""
    until, seed = time.time() + 60 * float(argv[0]), int(argv[1]) if len(argv) > 1 else 1_000
    kinds = [*COUNT, "structured", "keys", "pages"]
    tried: Counter[str] = Counter()
    ends: dict[str, Counter[str]] = {k: Counter() for k in kinds}
    while time.time() < until:
        for what in kinds:
            done = subprocess.run(
                [sys.executable, *turn(what, seed)], cwd=ROOT, capture_output=True, text=True, check=False
            )
            if done.returncode:
                print(done.stdout[-2000:], done.stderr[-20_000:], f"{what}, seed {seed}", sep="\n", file=sys.stderr)
                return 1
            found = Counter(read(done.stdout))
            # A form is counted by its kind and by the answer.
            tried[what] += sum(n for end, n in found.items() if what != "pages" or end.isdigit())
            ends[what] += found
        seed += 1
    print("| attacked | tried | how it ended |", "|---|---:|---|", sep="\n")
    for what in kinds:
        said = ", ".join(f"{end} {n:,}" for end, n in ends[what].most_common(12))
        print(f"| {what} | {tried[what]:,} | {said} |")
    return 0


def read(out: str) -> dict[str, int]:
    """Return how often each end came, from the last line that a turn printed."""
    import json

    ends: dict[str, int] = json.loads(out.strip().splitlines()[-1])["ends"]
    return ends


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
