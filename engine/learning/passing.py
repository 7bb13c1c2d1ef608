"""One pass over all cases as a map and a sum: chunks counted wherever there is room, their counts added in order.

A chunk travels as bytes, with the numbers that it is counted under, so that any process of any machine can count it. Counts are added in
the order of the chunks, whoever counted them, and no more than a few wait for their turn: memory stays flat, and the sum is the same.
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_all_start_methods, get_context
from pathlib import Path
from typing import Any

import msgspec

from .. import model
from ..diagnosis.network import Network, network_of
from .counts import Counts, Parameters, counted
from .lessons import CaseLesson
from .numbers import Numbers, with_numbers

# So many cases are one piece of work: some seconds of a core.
CHUNK = 500
# How often workers are started anew after one of them was killed, before the rest is counted here.
STARTS = 5
# What is worked on or waits for each worker.
AHEAD = 3
# All workers of a forked pool begin at once; others begin one by one, and one that begins while the pool breaks is waited for for ever.
START = "fork" if "fork" in get_all_start_methods() else "spawn"
Numbered = tuple[int, bytes]
# From a job and numbered chunks to their counts, in any order.
Mapping = Callable[["Job", Iterable[Numbered]], Iterator[tuple[int, Counts]]]


class Job:
    """What all chunks of a pass are counted under; it travels to whoever counts.

    Parameters
    ----------
    kb : KB
        As it is judged.
    numbers : dict
    """

    def __init__(self, kb: model.KB, numbers: Numbers) -> None:
        self.kb = kb
        self.numbers = numbers
        self._ready: tuple[Network, Parameters] | None = None

    def __getstate__(self) -> tuple[model.KB, Numbers]:
        return self.kb, self.numbers

    def __setstate__(self, state: tuple[model.KB, Numbers]) -> None:
        self.__init__(*state)  # type: ignore[misc]

    def count(self, chunk: bytes) -> Counts:
        """Return the counts of one chunk."""
        if self._ready is None:
            self._ready = Network(with_numbers(self.kb, self.numbers)), Parameters(network_of(self.kb))
        return counted(*self._ready, decoded(chunk))


def decoded(chunk: bytes) -> list[CaseLesson]:
    """Return the cases of a chunk."""
    return msgspec.json.decode(chunk, type=list[CaseLesson])


class Spool:
    """Cases in a file, chunk by chunk, so that any number of them takes no more memory than a chunk.

    Parameters
    ----------
    path : Path
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.ends: list[int] = []
        self.cases = 0

    def write(self, lessons: Iterable[CaseLesson], chunk: int = CHUNK) -> None:
        """Write cases anew.

        Parameters
        ----------
        lessons : iterable of CaseLesson
        chunk : int
            Cases in one piece [-].
        """
        self.ends, self.cases = [], 0
        with open(self.path, "wb") as file:
            some: list[CaseLesson] = []
            for lesson in lessons:
                some.append(lesson)
                if len(some) == chunk:
                    self._put(file, some)
                    some = []
            if some:
                self._put(file, some)

    def _put(self, file: Any, some: list[CaseLesson]) -> None:
        file.write(msgspec.json.encode(some))
        self.ends.append(file.tell())
        self.cases += len(some)

    def chunks(self, start: int = 0, end: int | None = None) -> Iterator[Numbered]:
        """Yield the chunks with their numbers, from one on, up to another."""
        with open(self.path, "rb") as file:
            for n in range(start, len(self.ends) if end is None else end):
                begin = self.ends[n - 1] if n else 0
                file.seek(begin)
                yield n, file.read(self.ends[n] - begin)

    def lessons(self) -> Iterator[CaseLesson]:
        """Yield the cases in their order."""
        for _, chunk in self.chunks():
            yield from decoded(chunk)


def at_home(job: Job, chunks: Iterable[Numbered]) -> Iterator[tuple[int, Counts]]:
    """Count chunks in this process, one after the other."""
    for n, chunk in chunks:
        yield n, job.count(chunk)


_job: Job | None = None


def _begin(job: Job) -> None:
    global _job  # noqa: PLW0603 - one for each worker, set once as it starts
    _job = job


def _count(chunk: bytes) -> Counts:
    assert _job is not None
    return _job.count(chunk)


def by_processes(workers: int) -> Mapping:
    """Return a map over processes of this machine; what a killed one had in hand is counted again.

    Parameters
    ----------
    workers : int
        [-]
    """

    def mapped(job: Job, chunks: Iterable[Numbered]) -> Iterator[tuple[int, Counts]]:
        left = iter(chunks)
        again: list[Numbered] = []
        for _ in range(STARTS):
            pending: dict[Future[Counts], Numbered] = {}
            with ProcessPoolExecutor(workers, get_context(START), _begin, (job,)) as pool:
                try:
                    while True:
                        while len(pending) < AHEAD * workers and (one := again.pop() if again else next(left, None)):
                            pending[pool.submit(_count, one[1])] = one
                        if not pending:
                            return
                        for future in wait(pending, return_when=FIRST_COMPLETED).done:
                            counts = future.result()
                            yield pending.pop(future)[0], counts
                except BrokenProcessPool:
                    done = [(f, one) for f, one in pending.items() if f.done() and not f.exception()]
                    for future, one in done:
                        del pending[future]
                        yield one[0], future.result()
                    again += pending.values()
        yield from at_home(job, again)
        yield from at_home(job, left)

    return mapped


def by_scheduler(address: str) -> Mapping:
    """Return a map over the workers of a Dask scheduler; it looks after those that are lost.

    Parameters
    ----------
    address : str
        Of the scheduler, such as tcp://10.0.0.7:8786.

    Raises
    ------
    ImportError
        Without the packages of the extra `cluster`.
    """
    import distributed

    client_of: Any = distributed.Client
    completed: Any = distributed.as_completed

    def mapped(job: Job, chunks: Iterable[Numbered]) -> Iterator[tuple[int, Counts]]:
        with client_of(address) as client:
            sent = client.scatter(job, broadcast=True)
            left = iter(chunks)
            most = AHEAD * max(1, len(client.scheduler_info()["workers"]))
            number: dict[Any, int] = {}

            def submit() -> Any:
                one = next(left, None)
                if one is None:
                    return None
                future = client.submit(Job.count, sent, one[1], pure=False)
                number[future.key] = one[0]
                return future

            done = completed([f for _ in range(most) if (f := submit()) is not None])
            for future in done:
                yield number.pop(future.key), future.result()
                if (more := submit()) is not None:
                    done.add(more)

    return mapped


def summed(
    job: Job,
    spool: Spool,
    mapping: Mapping,
    kept: tuple[int, Counts] | None = None,
    told: Callable[[int, Counts], None] | None = None,
) -> Counts:
    """Return the counts of all cases.

    Parameters
    ----------
    job : Job
    spool : Spool
    mapping : callable
        Who counts.
    kept : tuple of int and Counts, optional
        How many chunks were counted before this was cut off, and their counts.
    told : callable, optional
        Told how many chunks are summed, and their counts, whenever there are more.
    """
    upto, total = kept or (0, Counts.none(Parameters(network_of(job.kb))))
    waiting: dict[int, Counts] = {}
    for n, counts in mapping(job, spool.chunks(upto)):
        waiting[n] = counts
        while upto in waiting:
            total = total + waiting.pop(upto)
            upto += 1
            if told:
                told(upto, total)
    return total
