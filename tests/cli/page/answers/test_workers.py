"""The workers: the same advice as `advise`, each case worked out once, never more waiting than it takes on."""

import asyncio
import threading
import time

import pytest

from dryfloor.cli.page.answers import workers as module
from dryfloor.cli.page.answers.workers import Busy, Workers
from dryfloor.engine import advise as engine
from dryfloor.engine import effort
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.inference.posterior import ImpossibleEvidenceError
from tests.support.heavy_cases import all_abnormal

WALKS = [Event(role="homeowner"), Event(complaints=["walks"])]


@pytest.fixture
def workers(kb):
    """Workers of its own."""
    made = Workers(kb)
    yield made
    made.close()


def test_many_who_ask_the_same_at_once_have_it_worked_out_once(workers, monkeypatch, kb):
    calls = []
    plain = engine.advise
    monkeypatch.setattr(engine, "advise", lambda kb, events: calls.append(1) or plain(kb, events))

    async def all_at_once():
        return await asyncio.gather(*(workers.advice(WALKS) for _ in range(20)))

    found = asyncio.run(all_at_once())
    assert len(calls) == 1
    assert all(a == plain(kb, WALKS) for a in found)


def test_a_machine_of_the_case_sets_its_limits(workers, kb):
    from dryfloor.cli.inputs import with_sheet

    events = [
        *WALKS[:1],
        Event(complaints=["siphons"]),
        Event(machine="meadow-top-loader"),
        Event(check="standpipe-height", value="31 in"),
    ]
    kb2, more = with_sheet(kb, None, events)
    for _ in range(2):
        assert asyncio.run(workers.advice(events)) == engine.advise(kb2, [*events, *more])
        workers.known.clear()
    assert len(workers.sheets) == 1


def test_no_more_waits_than_it_takes_on(workers, monkeypatch):
    monkeypatch.setattr(module, "WAITING", 3)
    hold = threading.Event()

    async def crowd():
        first = [asyncio.ensure_future(workers.run(lambda: hold.wait(5))) for _ in range(3)]
        await asyncio.sleep(0)
        with pytest.raises(Busy):
            await workers.run(lambda: None)
        with pytest.raises(Busy):
            await workers.advice(WALKS)
        hold.set()
        await asyncio.gather(*first)
        return await workers.advice(WALKS)

    assert asyncio.run(crowd()).complaints == ["walks"]


def test_what_takes_too_long_is_given_up(workers, monkeypatch):
    monkeypatch.setattr(module, "ANSWER_S", 0.05)
    hold = threading.Event()
    with pytest.raises(Busy):
        asyncio.run(workers.run(lambda: hold.wait(5)))
    hold.set()


def test_answers_that_can_not_all_be_true_and_what_hangs_together_too_much_are_refused_and_not_remembered(
    workers, kb, monkeypatch
):
    with pytest.raises(InvalidInputError) as refused:
        asyncio.run(workers.advice(all_abnormal(kb)))
    assert refused.value.problems[0].code == "C030"

    def impossible(*_):
        raise ImpossibleEvidenceError("the evidence is impossible under this kb")

    monkeypatch.setattr(engine, "advise", impossible)
    with pytest.raises(InvalidInputError) as refused:
        asyncio.run(workers.advice(WALKS))
    assert refused.value.problems[0].code == "P011"

    def faulty(*_):
        raise ValueError("arrays of two shapes")

    monkeypatch.setattr(engine, "advise", faulty)
    with pytest.raises(ValueError, match="two shapes"):
        asyncio.run(workers.advice(WALKS))
    monkeypatch.undo()
    assert asyncio.run(workers.advice(WALKS)).complaints == ["walks"]


def test_it_remembers_only_so_much(workers, monkeypatch):
    monkeypatch.setattr(module, "KEPT", 5)

    async def many():
        for fact in ("new", "moved", "suddenly"):
            for complaint in ("walks", "siphons", "slow-fill"):
                await workers.advice([Event(complaints=[complaint]), Event(fact="onset", is_=fact)])

    asyncio.run(many())
    assert len(workers.known) == 5


def thinking(flags):
    """Work that goes on until it is told that nobody waits; it says so."""

    def work():
        flags["began"].set()
        try:
            for _ in range(5000):
                effort.check()
                time.sleep(0.002)
            flags["finished"] = True
        finally:
            flags["over"].set()

    return work


@pytest.fixture
def flags():
    return {"began": threading.Event(), "over": threading.Event()}


def test_work_that_took_too_long_does_not_go_on_behind_its_refusal(workers, monkeypatch, flags):
    monkeypatch.setattr(module, "ANSWER_S", 0.05)
    with pytest.raises(Busy):
        asyncio.run(workers.run(thinking(flags)))
    assert flags["over"].wait(5)
    assert "finished" not in flags


def test_work_ends_once_the_last_one_who_waited_for_it_is_gone(workers, flags):
    async def two():
        key = (b"k", WALKS, thinking(flags), "both")
        first, second = (asyncio.ensure_future(workers._remembered(*key)) for _ in range(2))
        await asyncio.to_thread(flags["began"].wait, 5)
        first.cancel()
        await asyncio.sleep(0.05)
        assert not flags["over"].is_set()  # one waits still
        second.cancel()
        await asyncio.gather(first, second, return_exceptions=True)
        assert await asyncio.to_thread(flags["over"].wait, 5)
        # Who asks anew is not given what was abandoned.
        assert await workers._remembered(b"k", WALKS, lambda: "anew", "both") == "anew"

    asyncio.run(two())
    assert "finished" not in flags


def test_closing_ends_what_is_under_way_and_what_waits(workers, flags):
    async def close():
        some = [asyncio.ensure_future(workers.run(thinking(flags))) for _ in range(5)]
        await asyncio.to_thread(flags["began"].wait, 5)
        workers.close()
        return await asyncio.gather(*some[:2], return_exceptions=True)

    start = time.monotonic()
    assert all(isinstance(e, Busy) for e in asyncio.run(close()))
    assert flags["over"].wait(5)
    assert "finished" not in flags
    assert time.monotonic() - start < 9  # it would have taken ten
