"""Advice for many at once: a small pool of threads, a small memory of what was asked lately, and a bound on what waits."""

import asyncio
import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

import msgspec

from ...engine import advise, model
from ...engine.advice import Advice, Card
from ...engine.advising import explain
from ...engine.case.events import Event
from ...engine.errors import InvalidInputError, Problem
from ...engine.inference.posterior import ImpossibleEvidenceError
from ...engine.measurement.formatting import READER
from ...engine.reports.handover import HandOver, handover
from ..inputs import with_sheet

T = TypeVar("T")
KEPT = 256  # cases remembered
THREADS = 2
WAITING = 64  # pieces of work at once; more are told to come back
# Sixteen complaints with eighty abnormal answers take half a minute; six with as many take 0.3 s (measured).
MOST_COMPLAINTS = 6
ANSWER_S = 20.0  # an answer that takes longer is given up [s]


class Busy(Exception):
    """More work is waiting than this server takes on."""


class Workers:
    """Gives advice in threads.

    Parameters
    ----------
    kb : KB
    units : str
        Whose units pages show; other programs always get both.
    """

    def __init__(self, kb: model.KB, units: str = "both") -> None:
        self.kb = kb
        self.units = units
        self.pool = ThreadPoolExecutor(THREADS, thread_name_prefix="advise")
        self.known: OrderedDict[bytes, asyncio.Future[Any]] = OrderedDict()
        self.sheets: dict[str, model.KB] = {}
        self.waiting = 0
        self.lock = threading.Lock()

    def close(self) -> None:
        """End the threads."""
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

        named = {c for e in events for c in e.complaints or []}
        if len(named) > MOST_COMPLAINTS:
            expected = f"at most {MOST_COMPLAINTS}"
            mend = "take those that matter most, and the others in cases of their own"
            raise InvalidInputError(
                [Problem(code="P012", message=f"{len(named)} complaints at once", expected=expected, mend=mend)]
            )

        def work() -> Advice:
            kb, more = self._machine(events)
            return advise.advise(kb, [*events, *more])

        return await self._remembered(b"advice", events, work, units)

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

    async def weights(self, events: Sequence[Event]) -> list[str]:
        """Return what each answer weighs for the likeliest cause, heaviest first, in words."""

        def work() -> list[str]:
            kb, more = self._machine(events)
            return [w.text for w in explain.weights(kb, [*events, *more])[1]]

        return await self._remembered(b"weights", events, work, None)

    async def run(self, work: Callable[[], T]) -> T:
        """Return what some other work on the kb gives, done in the pool and not remembered."""
        if self.waiting >= WAITING:
            raise Busy
        self.waiting += 1
        try:
            future = asyncio.get_running_loop().run_in_executor(self.pool, self._answered, work, self.units)
            return await asyncio.wait_for(asyncio.shield(future), ANSWER_S)
        except TimeoutError:
            raise Busy from None
        finally:
            self.waiting -= 1

    async def _remembered(self, kind: bytes, events: Sequence[Event], work: Callable[[], T], units: str | None) -> T:
        key = b"%b %b %b" % (kind, (units or self.units).encode(), msgspec.json.encode(list(events)))
        future = self.known.get(key)
        if future is None:
            if self.waiting >= WAITING:
                raise Busy
            self.waiting += 1
            future = asyncio.get_running_loop().run_in_executor(self.pool, self._answered, work, units or self.units)
            future.add_done_callback(lambda done: self._done(key, done))
            self.known[key] = future
            if len(self.known) > KEPT:
                self.known.popitem(last=False)
        else:
            self.known.move_to_end(key)
        try:
            found: T = await asyncio.wait_for(asyncio.shield(future), ANSWER_S)
        except TimeoutError:
            raise Busy from None
        return found

    def _done(self, key: bytes, future: "asyncio.Future[Any]") -> None:
        self.waiting -= 1
        if (future.cancelled() or future.exception() is not None) and self.known.get(key) is future:
            del self.known[key]

    def _answered(self, work: Callable[[], T], units: str) -> T:
        """Do some work for a reader of some units; answers that can't all be true are a person's to mend."""
        READER.set(units)
        try:
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
