"""Measure what dryfloor claims of itself.

    python -m tests.bench                        # every part, in order
    python -m tests.bench right quick            # these alone
    python -m tests.bench right --quick          # smaller samples
    python -m tests.bench --jobs 2               # right, near, whole and robust side by side, then the timed parts alone
    python -m tests.bench --write tests/bench/RESULTS.md   # put the tables between that page's two markers
    python -m tests.bench growth --json

Nothing here is asserted, since machines differ: the figures are printed beside the aims. Needs the extras `test` and `bench`.
"""

import argparse
import json
import os
import platform
import re
import sys
from datetime import date
from pathlib import Path

from dryfloor.cli.terminal.env import one_thread

from .parts import PARTS, run
from .table import Table, markdown

START, END = "<!-- bench: start -->", "<!-- bench: end -->"


def machine() -> str:
    """Return the machine in a few words; no name of it, and no path."""
    return (
        f"{os.cpu_count()} cores, {platform.machine()}, {platform.system()}, "
        f"{platform.python_implementation()} {platform.python_version()}"
    )


def written(tables: list[Table], command: str) -> str:
    """Return all tables, with the machine, the day and the command that repeats them."""
    head = f"Measured on {date.today().isoformat()}: {machine()}. Again with `{command}`."
    return "\n\n".join([head, *map(markdown, tables)])


def put(text: str, into: str) -> str:
    """Return a page with what stands between its markers replaced.

    Raises
    ------
    ValueError
        Where the page lacks the markers.
    """
    if START not in into or END not in into:
        raise ValueError(f"expected the lines '{START}' and '{END}' in the page; add both where the tables belong")
    return re.sub(f"{re.escape(START)}.*?{re.escape(END)}", lambda _: f"{START}\n{text}\n{END}", into, flags=re.S)


def main(argv: list[str]) -> int:
    """Run the parts that were asked for and print what they measured."""
    words = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__.splitlines()[0])
    words.add_argument("parts", nargs="*", metavar="PART", help=f"of: {', '.join(PARTS)}; all unless said")
    words.add_argument("--quick", action="store_true", help="smaller samples")
    words.add_argument("--jobs", type=int, default=1, metavar="N", help="so many of the untimed parts side by side")
    words.add_argument("--json", action="store_true", help="the numbers behind the tables")
    words.add_argument("--write", metavar="FILE", type=Path, help="put the tables between the markers of this page")
    args = words.parse_args(argv)
    if unknown := set(args.parts) - {*PARTS}:
        words.error(f"unknown part {', '.join(sorted(unknown))}: expected {', '.join(PARTS)}")
    one_thread()  # as the program does
    tables = run([p for p in PARTS if not args.parts or p in args.parts], args.quick, args.jobs)
    jobs = [f"--jobs {args.jobs}"] if args.jobs > 1 else []
    command = " ".join(["python -m tests.bench", *args.parts, *(["--quick"] if args.quick else []), *jobs])
    if args.json:
        print(json.dumps({t.title: t.data for t in tables}, indent=1))
    else:
        print(written(tables, command))
    if args.write:
        page = args.write.read_text(encoding="utf-8")
        args.write.write_text(put(written(tables, command), page), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
