"""The workers: the same advice as `advise`, each case worked out once, never more waiting than it takes on."""

import asyncio
import threading

import pytest

from dryfloor.cli.page import workers as module
from dryfloor.cli.page.workers import Busy, Workers
from dryfloor.engine import advise as engine
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.inference.posterior import ImpossibleEvidenceError

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


def test_answers_that_can_not_all_be_true_and_too_many_complaints_are_refused_and_not_remembered(
    workers, kb, monkeypatch
):
    with pytest.raises(InvalidInputError) as refused:
        asyncio.run(workers.advice([Event(complaints=list(kb.complaints))]))
    assert refused.value.problems[0].code == "P012"

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
