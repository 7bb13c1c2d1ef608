"""One pass over all cases as a map and a sum: chunks counted wherever there is room, their counts added in order.

A chunk travels as bytes, with the numbers that it is counted under, so that any process of any machine can count it. Counts are added in
the order of the chunks, whoever counted them, and no more than a few wait for their turn: memory stays flat, and the sum is the same.
"""

import zlib
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing import get_all_start_methods, get_context
from pathlib import Path
from typing import Any, Protocol, Self, TypeVar

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
# How long a scheduler may take to answer [s].
ANSWERS = 20
Numbered = tuple[int, bytes]


class Statistic(Protocol):
    """What is summed over chunks."""

    def __add__(self, other: Self, /) -> Self: ...


S = TypeVar("S", bound=Statistic)
S_co = TypeVar("S_co", bound=Statistic, covariant=True)


class Work(Protocol[S_co]):
    """What is done with every chunk; it travels to whoever does it."""

    def none(self) -> S_co:
        """Return what no case gives."""
        ...

    def count(self, chunk: bytes) -> S_co:
        """Return what the cases of one chunk give."""
        ...


# From some work and numbered chunks to what each gives, in any order.
Mapping = Callable[[Work[S], Iterable[Numbered]], Iterator[tuple[int, S]]]


class Job:
    """What all chunks of a pass are counted under.

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

    def none(self) -> Counts:
        """Return the counts of no case."""
        return Counts.none(Parameters(network_of(self.kb)))

    def count(self, chunk: bytes) -> Counts:
        """Return the counts of one chunk."""
        if self._ready is None:
            self._ready = Network(with_numbers(self.kb, self.numbers)), Parameters(network_of(self.kb))
        return counted(*self._ready, decoded(chunk))


def decoded(chunk: bytes) -> list[CaseLesson]:
    """Return the cases of a chunk."""
    return msgspec.json.decode(zlib.decompress(chunk), type=list[CaseLesson])


def encoded(some: list[CaseLesson]) -> bytes:
    """Return cases as a chunk: packed, for most of a case is the same in all."""
    return zlib.compress(msgspec.json.encode(some), 1)


class Spool:
    """Cases in a file, chunk by chunk, so that any number of them takes no more memory than a chunk.

    Parameters
    ----------
    path : Path
    chunk : int
        Cases in one piece [-].
    """

    def __init__(self, path: Path, chunk: int = CHUNK) -> None:
        self.path = path
        self.chunk = chunk
        self.ends: list[int] = []
        self.cases = 0

    def write(self, lessons: Iterable[CaseLesson]) -> None:
        """Write cases anew."""
        self.ends, self.cases = [], 0
        left = iter(lessons)
        with open(self.path, "wb") as file:
            while some := [*islice(left, self.chunk)]:
                file.write(encoded(some))
                self.ends.append(file.tell())
                self.cases += len(some)

    def part(self, first: int = 0, last: int | None = None) -> "SpoolPart":
        """Return the cases from one on, up to another, in the order of time [-]."""
        return SpoolPart(self, first, self.cases if last is None else last)

    def read(self, n: int) -> bytes:
        """Return one chunk."""
        begin = self.ends[n - 1] if n else 0
        with open(self.path, "rb") as file:
            file.seek(begin)
            return file.read(self.ends[n] - begin)


class SpoolPart:
    """Some of the cases of a spool that follow each other; nothing is written for it.

    Parameters
    ----------
    spool : Spool
    first, last : int
        Cases, the last one not among them [-].
    """

    def __init__(self, spool: Spool, first: int, last: int) -> None:
        self.spool = spool
        self.first = first
        self.last = last
        self.cases = last - first
        self._begin = first // spool.chunk
        self.pieces = -(-last // spool.chunk) - self._begin if last > first else 0

    def chunks(self, start: int = 0, every: int = 1) -> Iterator[Numbered]:
        """Yield its chunks with their numbers, from one on, or every so-many-th; the outer ones are cut to what belongs to it."""
        size = self.spool.chunk
        for n in range(start, self.pieces, every):
            at = (self._begin + n) * size
            chunk = self.spool.read(self._begin + n)
            low, high = max(self.first - at, 0), min(self.last - at, size)
            if low or (high < size and self.last < self.spool.cases):
                chunk = encoded(decoded(chunk)[low:high])
            yield n, chunk

    def lessons(self) -> Iterator[CaseLesson]:
        """Yield the cases in their order."""
        for _, chunk in self.chunks():
            yield from decoded(chunk)


def at_home(job: Work[S], chunks: Iterable[Numbered]) -> Iterator[tuple[int, S]]:
    """Count chunks in this process, one after the other."""
    for n, chunk in chunks:
        yield n, job.count(chunk)


_job: Work[Any] | None = None


def _begin(job: Work[Any]) -> None:
    global _job  # noqa: PLW0603 - one for each worker, set once as it starts
    _job = job


def _count(chunk: bytes) -> Any:
    assert _job is not None
    return _job.count(chunk)


def by_processes(workers: int) -> Mapping[Any]:
    """Return a map over processes of this machine; what a killed one had in hand is counted again.

    Parameters
    ----------
    workers : int
        [-]
    """

    def mapped(job: Work[Any], chunks: Iterable[Numbered]) -> Iterator[tuple[int, Any]]:
        left = iter(chunks)
        again: list[Numbered] = []
        for _ in range(STARTS):
            pending: dict[Future[Any], Numbered] = {}
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


def by_scheduler(address: str) -> Mapping[Any]:
    """Return a map over the workers of a Dask scheduler; it looks after those that are lost.

    Parameters
    ----------
    address : str
        Of the scheduler, such as tcp://10.0.0.7:8786.

    Raises
    ------
    ImportError
        Without the packages of the extra `cluster`.
    OSError, ValueError
        Where none answers.
    """
    import distributed

    client_of: Any = distributed.Client
    completed: Any = distributed.as_completed
    client_of(address, timeout=ANSWERS).close()

    def mapped(job: Work[Any], chunks: Iterable[Numbered]) -> Iterator[tuple[int, Any]]:
        with client_of(address) as client:
            sent = client.scatter(job, broadcast=True)
            left = iter(chunks)
            most = AHEAD * max(1, len(client.scheduler_info()["workers"]))
            number: dict[Any, int] = {}

            def submit() -> Any:
                one = next(left, None)
                if one is None:
                    return None
                future = client.submit(type(job).count, sent, one[1], pure=False)
                number[future.key] = one[0]
                return future

            done = completed([f for _ in range(most) if (f := submit()) is not None])
            for future in done:
                yield number.pop(future.key), future.result()
                if (more := submit()) is not None:
                    done.add(more)

    return mapped


def summed(
    job: Work[S],
    part: SpoolPart,
    mapping: Mapping[S],
    kept: tuple[int, S] | None = None,
    told: Callable[[int, S], None] | None = None,
    every: int = 1,
) -> S:
    """Return what all cases give together.

    Parameters
    ----------
    job : Work
    part : SpoolPart
        The cases.
    mapping : callable
        Who counts.
    kept : tuple of int and statistic, optional
        How many chunks were counted before this was cut off, and what they gave.
    told : callable, optional
        Told how many chunks are summed, and what they gave, whenever there are more.
    every : int
        Every so-many-th chunk alone is counted [-].
    """
    upto, total = kept or (0, job.none())
    waiting: dict[int, S] = {}
    for n, counts in mapping(job, part.chunks(upto, every)):
        waiting[n] = counts
        while upto in waiting:
            total = total + waiting.pop(upto)
            upto += every
            if told:
                told(upto, total)
    return total
