"""Advice for many at once: a small pool of threads, a small memory of what was asked lately, and a bound on what waits."""

import asyncio
import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any, TypeVar

import msgspec

from ....engine import advise, model
from ....engine.advice import Advice, Card
from ....engine.advising import explain
from ....engine.case.events import Event
from ....engine.case.state import fold
from ....engine.effort import AbandonedError, abandoned_when, check
from ....engine.errors import InvalidInputError, Problem
from ....engine.inference.posterior import ImpossibleEvidenceError
from ....engine.measurement.formatting import READER
from ....engine.reports.handover import HandOver, handover
from ....engine.reports.report import Reader, Report, report
from ....engine.reports.short_handover import ShortHandOver, short_handover
from ...inputs import with_sheet

T = TypeVar("T")
KEPT = 256  # cases remembered
THREADS = 2
WAITING = 64  # pieces of work at once; more are told to come back
ANSWER_S = 20.0  # an answer that takes longer is given up [s]


class Busy(Exception):
    """More work is waiting than this server takes on."""


class _Job:
    """Some work under way, how many wait for it, and whether it was given up: then it ends at its next step."""

    def __init__(self, future: "asyncio.Future[Any]", abandoned: threading.Event) -> None:
        self.future = future
        self.abandoned = abandoned
        self.waiting = 0


class Workers:
    """Gives advice in threads.

    Parameters
    ----------
    kb : KB
        Pages are told in the units of whoever asks (`formatting.READER`); other programs always get both.
    """

    def __init__(self, kb: model.KB) -> None:
        self.kb = kb
        self.pool = ThreadPoolExecutor(THREADS, thread_name_prefix="advise")
        self.known: OrderedDict[bytes, _Job] = OrderedDict()
        self.jobs: set[_Job] = set()
        self.sheets: dict[str, model.KB] = {}
        self.waiting = 0
        self.lock = threading.Lock()

    def close(self) -> None:
        """End the threads: what they work out is given up at its next step."""
        for job in self.jobs:
            job.abandoned.set()
        self.pool.shutdown(wait=False, cancel_futures=True)

    def warm(self) -> None:
        """Build the network and give one piece of advice, so that the first person does not wait for it."""
        advise.advise(self.kb, [Event(role="homeowner"), Event(complaints=[next(iter(self.kb.complaints))])])

    async def advice(self, events: Sequence[Event], units: str | None = None) -> Advice:
        """Return the advice on a case, as `dryfloor advise` gives it.

        Raises
        ------
        InvalidInputError
            If the answers can't all hold, or there is too much at once.
        Busy
            If too much is waiting already.
        """

        def work() -> Advice:
            kb, more = self._machine(events)
            return advise.advise(kb, [*events, *more])

        return await self._remembered(b"advice", events, work, units)

    async def closed(self, events: Sequence[Event]) -> str:
        """Return how a case closed by what was said in it, as the status of its advice says: nothing is thought about for it."""

        def work() -> str:
            kb, more = self._machine(events)
            state = fold(kb, [*events, *more])
            return "" if state.stopped else state.closed or ""

        return await self.run(work)

    async def question(self, events: Sequence[Event], name: str) -> Card:
        """Return the card of a question out of turn, or of the gate in front of it."""

        def work() -> Card:
            kb, more = self._machine(events)
            return advise.question_of(kb, [*events, *more], name)

        return await self._remembered(b"question " + name.encode(), events, work, None)

    async def handover(self, events: Sequence[Event]) -> HandOver:
        """Return the hand-over card of a case, for the technician who comes next."""

        def work() -> HandOver:
            kb, more = self._machine(events)
            return handover(kb, [*events, *more])

        return await self._remembered(b"hand-over", events, work, None)

    async def short_handover(self, events: Sequence[Event]) -> ShortHandOver:
        """Return what to tell the repairer of a case, in ten lines."""

        def work() -> ShortHandOver:
            kb, more = self._machine(events)
            return short_handover(kb, [*events, *more])

        return await self._remembered(b"tell", events, work, None)

    async def report(self, events: Sequence[Event], reader: Reader, today: str) -> Report:
        """Return the report on a case for a reader."""

        def work() -> Report:
            kb, more = self._machine(events)
            return report(kb, [*events, *more], reader, today)

        return await self._remembered(f"report {reader} {today}".encode(), events, work, None)

    async def weights(self, events: Sequence[Event]) -> list[str]:
        """Return what each answer weighs for the likeliest cause, heaviest first, in words."""

        def work() -> list[str]:
            kb, more = self._machine(events)
            return [w.text for w in explain.weights(kb, [*events, *more])[1]]

        return await self._remembered(b"weights", events, work, None)

    async def run(self, work: Callable[[], T]) -> T:
        """Return what some other work on the kb gives, done in the pool and not remembered."""
        found: T = await self._awaited(self._job(work, READER.get()))
        return found

    async def _remembered(self, kind: bytes, events: Sequence[Event], work: Callable[[], T], units: str | None) -> T:
        units = units or READER.get()
        key = b"%b %b %b" % (kind, units.encode(), msgspec.json.encode(list(events)))
        job = self.known.get(key)
        if job is None or job.abandoned.is_set():
            job = self._job(work, units)
            job.future.add_done_callback(partial(self._forget, key, job))
            self.known[key] = job
            if len(self.known) > KEPT:
                self.known.popitem(last=False)
        else:
            self.known.move_to_end(key)
        found: T = await self._awaited(job)
        return found

    def _job(self, work: Callable[[], T], units: str) -> "_Job":
        """Begin some work.

        Raises
        ------
        Busy
            If too much is waiting already.
        """
        if self.waiting >= WAITING:
            raise Busy
        self.waiting += 1
        abandoned = threading.Event()
        future = asyncio.get_running_loop().run_in_executor(self.pool, self._answered, work, units, abandoned)
        job = _Job(future, abandoned)
        self.jobs.add(job)
        future.add_done_callback(lambda _: self._done(job))
        return job

    async def _awaited(self, job: "_Job") -> Any:
        """Return what a job gives; once nobody waits for it any more, for time or a closed connection, it is given up."""
        job.waiting += 1
        try:
            return await asyncio.wait_for(asyncio.shield(job.future), ANSWER_S)
        except (TimeoutError, AbandonedError):
            raise Busy from None
        finally:
            job.waiting -= 1
            if job.waiting == 0 and not job.future.done():
                job.abandoned.set()

    def _done(self, job: "_Job") -> None:
        self.waiting -= 1
        self.jobs.discard(job)
        if not job.future.cancelled():
            job.future.exception()  # looked at here, for there may be nobody left to do so

    def _forget(self, key: bytes, job: "_Job", future: "asyncio.Future[Any]") -> None:
        if (future.cancelled() or future.exception() is not None) and self.known.get(key) is job:
            del self.known[key]

    def _answered(self, work: Callable[[], T], units: str, abandoned: threading.Event) -> T:
        """Do some work for a reader of some units while anybody waits; answers that can't all be true are a person's to mend."""
        READER.set(units)
        try:
            with abandoned_when(abandoned.is_set):
                check()
                return work()
        except ImpossibleEvidenceError as error:
            raise InvalidInputError([_untrue()]) from error

    def _machine(self, events: Sequence[Event]) -> tuple[model.KB, list[Event]]:
        """Return the kb with the limits of the case's machine, made once for each machine, and the events its sheet adds."""
        said = [e.machine for e in events if e.machine]
        if not said or said[-1] not in self.kb.machines:
            return self.kb, []
        kb, more = with_sheet(self.kb, None, list(events))
        with self.lock:
            return self.sheets.setdefault(said[-1], kb), more


def _untrue() -> Problem:
    return Problem(
        code="P011",
        message="these answers can't all be true together",
        expected="answers that fit each other",
        mend="change the answer that you are least sure of",
    )
