"""Interim entry: kb check only."""
import sys
from pathlib import Path


def run() -> None:
    from ..engine.load import read_kb
    from ..engine import problems
    kb, found = read_kb(Path(sys.argv[4]) if len(sys.argv) > 4 else None)
    if kb is not None:
        try:
            from ..engine.trials import run_trials
            found = run_trials(kb)
        except ImportError:
            print("(cases are not run yet)")
    for p in found:
        print("\n".join(p.lines()))
    print(f"{len(found)} problems")
    raise SystemExit(4 if found else 0)
