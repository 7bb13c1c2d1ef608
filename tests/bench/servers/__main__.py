"""Desks before many servers on one PostgreSQL: how long they wait, what some servers carry, and what is left after each fault.

    python -m tests.bench.servers                  # 200 desks before three servers for two minutes, every fault, then 1, 2 and 4 servers
    python -m tests.bench.servers --short          # half a minute in all
    python -m tests.bench.servers --only calm      # one of: calm, faults, carried
    python -m tests.bench.servers --write FILE

Needs a PostgreSQL (Debian's package; a cluster of its own is made in a temporary folder) and the extras `test`. Clients, servers and the
database share the cores of this machine. It ends with 1 where a journal and the store disagree.
"""

import argparse
import os
import sys
from pathlib import Path

from tests.bench.servers.runs import FULL, SHORT, measure
from tests.bench.table import markdown


def main(argv=None):
    """Run it."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--short", action="store_true")
    words.add_argument(
        "--only", choices=["calm", "faults", "carried"], nargs="+", default=["calm", "faults", "carried"]
    )
    words.add_argument("--write", metavar="FILE", type=Path)
    args = words.parse_args(argv)
    tables, wrong = measure(SHORT if args.short else FULL, args.only)
    text = f"{os.cpu_count()} cores, which clients, servers and database share.\n\n" + "\n\n".join(
        map(markdown, tables)
    )
    print(text)
    if args.write:
        args.write.write_text(text + "\n", encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
