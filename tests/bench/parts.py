"""The parts of the bench, and how they are run: those in which nothing is timed side by side, the timed ones alone after them."""

import importlib
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from .table import Table

# In these nothing is timed.
UNTIMED = (
    "right",
    "near",
    "whole",
    "robust",
    "hearing",
    "households",
    "order",
    "first_causes",
    "survey",
    "learning",
    "foretelling",
)
PARTS = (*UNTIMED, "quick", "growth", "bounds", "many_cases")


def measured(part: str, quick: bool) -> list[Table]:
    """Return the tables of one part, saying on the error stream how long it took."""
    start = time.perf_counter()
    found = importlib.import_module(f".{part}", __package__).run(quick)
    print(f"{part}: {time.perf_counter() - start:.0f} s", file=sys.stderr, flush=True)
    return found if isinstance(found, list) else [found]


def run(parts: list[str], quick: bool, jobs: int = 1) -> list[Table]:
    """Return the tables of some parts, in their order.

    Parameters
    ----------
    parts : list of str
    quick : bool
        Smaller samples.
    jobs : int
        How many of the untimed parts are run at once.
    """
    out: dict[str, list[Table]] = {}
    if jobs > 1:
        with ProcessPoolExecutor(jobs, get_context("spawn")) as pool:
            begun = {part: pool.submit(measured, part, quick) for part in parts if part in UNTIMED}
            out = {part: job.result() for part, job in begun.items()}
    for part in parts:
        if part not in out:
            out[part] = measured(part, quick)
    return [table for part in parts for table in out[part]]
