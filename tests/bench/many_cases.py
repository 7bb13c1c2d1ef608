"""How many closed cases can be learned from: a pass over up to a million of them, on one core and two, its memory, and its growth with the kb.

The cases are replicas of some thousand made-up ones, all complaints mixed as often as they are made, walked by the shipped advice: shuffled
anew each time round, so that a chunk holds what is alike no more often than as many walked cases would. What is measured in a process of its
own is its memory and that of its workers at the highest.
"""

import os
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge.load import load_kb, read_kb
from dryfloor.engine.learning.counts import Parameters
from dryfloor.engine.learning.lessons import CaseLesson
from dryfloor.engine.learning.passing import Job, Spool, at_home, by_processes, summed
from dryfloor.engine.simulation.simulator import Steps

from . import synthetic
from .learning import NOISE, sites, walked
from .perturb import perturbed
from .table import Table

SUMMARY = "a pass over very many closed cases: cases a second, memory, growth"
WALKED, QUICK_WALKED = 1500, 100
TIMED, QUICK_TIMED = 5_000, 300
MANY, QUICK_MANY = (10_000, 100_000, 1_000_000), (1_000, 3_000)
KBS, QUICK_KBS, IN_KB = (100, 1_000, 10_000), (100,), 40
SEED = 77
SIMPLE = ("siphons",)


def replicas(some: list[CaseLesson], count: int) -> Iterator[CaseLesson]:
    """Yield so many cases, all of some before any of them again, each time in another order."""
    rng = np.random.default_rng(SEED)
    left = count
    while left > 0:
        for n in rng.permutation(len(some))[:left]:
            yield some[n]
        left -= len(some)


def walked_lessons(count: int, complaints: tuple[str, ...]) -> list[CaseLesson]:
    """Return what so many made-up cases of some complaints teach."""
    kb = load_kb()
    true = Network(perturbed(kb, NOISE, SEED))
    return [one.lesson for one in walked(true, Steps(Network(kb)), sites(true, complaints, count, SEED))]


def passed(spool: Spool, workers: int) -> tuple[float, np.ndarray]:
    """Return how long a pass takes [s], and its counts."""
    kb = load_kb()
    job = Job(kb, Parameters(Network(kb)).judged)
    start = time.perf_counter()
    counts = summed(job, spool.part(), by_processes(workers) if workers > 1 else at_home)
    return time.perf_counter() - start, np.concatenate([counts.yes, counts.of, [counts.log_likelihood]])


def highest(some: list[CaseLesson], count: int, workers: int) -> tuple[float, float, float]:
    """Write so many cases and pass over them in a process of its own: how long [s], its memory and that of its largest worker [MB]."""
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_measured, args=(theirs, some, count, workers))
    process.start()
    theirs.close()
    found: tuple[float, float, float] = ours.recv()
    process.join()
    return found


def _measured(pipe: object, some: list[CaseLesson], count: int, workers: int) -> None:
    with tempfile.TemporaryDirectory() as beside:
        spool = Spool(Path(beside) / "cases")
        spool.write(replicas(some, count))
        took, _ = passed(spool, workers)
    unit = 1024 if sys.platform != "darwin" else 1024**2
    high = [resource.getrusage(who).ru_maxrss / unit for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    pipe.send((took, high[0], high[1]))  # type: ignore[attr-defined]


def by_kb(causes: int) -> tuple[float, float]:
    """Return what a case takes in a kb of so many causes, and what the pass takes once [ms]."""
    with tempfile.TemporaryDirectory() as beside:
        synthetic.write(Path(beside) / "kb", causes)
        kb, problems = read_kb(Path(beside) / "kb")
    assert kb is not None, problems
    network = Network(kb)
    # The first district is in every kb: the same complaints, the same cases.
    some = [
        one.lesson for one in walked(network, Steps(network), sites(network, tuple(kb.complaints)[:2], IN_KB, SEED))
    ]
    job = Job(kb, Parameters(network).judged)
    with tempfile.TemporaryDirectory() as beside:
        spool = Spool(Path(beside) / "cases")
        spool.write(some)
        (_, chunk), *_ = spool.part().chunks()
        start = time.process_time()
        job.count(chunk)
        first = time.process_time() - start
        start = time.process_time()
        job.count(chunk)
        again = time.process_time() - start
    return 1000 * again / len(some), 1000 * (first - again)


def run(quick: bool) -> list[Table]:
    """Pass over many cases.

    Parameters
    ----------
    quick : bool
        Fewer cases.
    """
    timed, many, kbs = (QUICK_TIMED, QUICK_MANY, QUICK_KBS) if quick else (TIMED, MANY, KBS)
    walks = QUICK_WALKED if quick else WALKED
    some = walked_lessons(walks, tuple(load_kb().complaints))
    rows, sums = [], []
    with tempfile.TemporaryDirectory() as beside:
        spool = Spool(Path(beside) / "cases")
        spool.write(replicas(some, timed))
        for workers in (1, 2, 4):
            took, counts = passed(spool, workers)
            sums.append(counts)
            rows.append([f"{timed:,}", str(workers), f"{timed / took:.0f}", f"{np.abs(counts - sums[0]).max():.1e}"])
    cores = Table(
        title="Learning: a pass on several cores",
        columns=["cases", "workers", "cases a second", "largest difference of a count"],
        rows=rows,
        notes=[
            f"{os.cpu_count()} cores. {len(some):,} walked cases of all complaints, {len({*some}):,} of them different; replicas of these. "
            "Aim: the same counts to 1e-9, whoever counts."
        ],
    )
    rows, alike = [], walked_lessons(walks, SIMPLE)
    for count in many:
        took, own, worker = highest(alike, count, 2)
        rows.append([f"{count:,}", f"{took:.0f}", f"{count / took:.0f}", f"{own:.0f}", f"{worker:.0f}"])
    memory = Table(
        title="Learning: memory over many cases",
        columns=["cases", "a pass with 2 workers [s]", "cases a second", "memory [MB]", "memory of a worker [MB]"],
        rows=rows,
        notes=[
            "Each in a process of its own, the cases written to a file first. Every case was counted: nothing is extrapolated."
        ],
    )
    rows = []
    for causes in kbs:
        each, once = by_kb(causes)
        rows.append([f"{causes:,}", f"{each:.1f}", f"{once:.0f}"])
    growth = Table(
        title="Learning: growth with the kb",
        columns=["causes", "a case [ms]", "once a pass and a worker [ms]"],
        rows=rows,
        notes=[f"{IN_KB} cases of one district, which every made-up kb has; processor time."],
    )
    return [cores, memory, growth]
