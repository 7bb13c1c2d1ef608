"""Times of rows and marks of the queue, in a file and on a server: kept beside the case, carried with it, gone with it."""

import shutil
import threading
from pathlib import Path

import msgspec
import pytest

from dryfloor.cli.store.carried_file import lines, records
from dryfloor.cli.store.carrying import CaseRecord
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import Queued, QueueMark
from dryfloor.engine.errors import InvalidInputError
from tests.support.places import TESTS
from tests.support.stored import EVENTS


@pytest.fixture
def clocked(place):
    """A store whose clock goes on by a minute with each look at it."""
    now = [1_700_000_000.0]

    def clock():
        now[0] += 60
        return now[0]

    with Store.open(place, now=clock) as made:
        yield made


def unsound(store):
    """What is damaged; how the tests' own server writes through is none of it."""
    return [text for text in store.verify()[2] if not text.startswith("The server")]


def filled(store):
    case = store.begin("Alder 4")
    for event in EVENTS:
        store.add(case, event)
    return case


def test_each_event_has_the_time_at_which_it_was_kept(clocked):
    case = filled(clocked)
    clocked.put(case, 1, Event(heard="it drips", complaints=["siphons"]))
    clocked.undo(case, 1)
    clocked.add(case, Event(note="later"))
    times, events = clocked.times(case), clocked.events(case)
    assert len(times) == len(events) == len(EVENTS)
    assert all(t.startswith("2023-11-1") and t.endswith("Z") for t in times)
    rest = [t for n, t in enumerate(times) if n != 1]
    assert rest == sorted({*rest})
    assert rest[-2] < times[1] < times[-1]  # what was changed has the time of its change
    assert unsound(clocked) == []


def test_a_time_that_was_damaged_is_no_time(clocked):
    case = filled(clocked)
    with clocked.together():
        clocked._db.execute("UPDATE rows SET at=at+1 WHERE of=? AND before=0", (case,))
    assert len(clocked.line(case).damage) == 1
    assert clocked.times(case)[0] == ""
    assert len(clocked.times(case)) == len(clocked.events(case))


def test_a_store_of_before_has_no_times_and_gets_them_from_now_on(tmp_path):
    path = Path(shutil.copy(TESTS / "stores" / "fifth.db", tmp_path / "cases.db"))
    with Store.open(path) as store:
        case = store.find()[0].id
        count = len(store.events(case))
        assert store.times(case) == [""] * count
        store.note(case, "goes on")
        assert [bool(t) for t in store.times(case)] == [False] * count + [True]
        assert store.verify()[2] == []


def test_the_last_mark_of_each_kind_stands_and_is_no_event(store):
    case = filled(store)
    before = store.events(case), store.last(case)
    assert store.queue(case, QueueMark(has="ann", by="ann")) == Queued()
    store.queue(case, QueueMark(ring_back="2026-12-01T16:00:00Z", waits="part", soon=True, by="ann"))
    assert store.queue(case, QueueMark(has="", waits="", by="bob")).who == "ann"
    assert store.queued(case) == Queued(ring_back="2026-12-01T16:00:00Z", soon=True)
    assert (store.events(case), store.last(case)) == before


def test_what_somebody_has_nobody_else_takes(store):
    case = filled(store)
    store.queue(case, QueueMark(has="ann"))
    store.queue(case, QueueMark(has="ann"))
    with pytest.raises(InvalidInputError) as refused:
        store.queue(case, QueueMark(has="bob"))
    assert refused.value.problems[0].code == "J032"
    assert "with ann" in refused.value.problems[0].message
    assert store.queued(case).who == "ann"


def test_of_many_who_take_a_case_at_once_one_has_it(place):
    with Store.open(place) as store:
        case = filled(store)
    got, codes, start = [], [], threading.Barrier(6)

    def take(name):
        with Store.open(place) as store:
            start.wait()
            try:
                store.queue(case, QueueMark(has=name))
            except InvalidInputError as refused:
                codes.append(refused.problems[0].code)
            else:
                got.append(name)

    threads = [threading.Thread(target=take, args=(f"desk{n}",)) for n in range(6)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    with Store.open(place) as store:
        assert got == [store.queued(case).who]
    assert codes == ["J032"] * 5


def test_times_and_marks_are_carried_and_taken_in_once(clocked, tmp_path):
    case = filled(clocked)
    clocked.queue(case, QueueMark(has="ann", soon=True))
    file = [line.encode() for line in lines([clocked.record(case)])]
    (record,) = records(file, "x")
    assert isinstance(record, CaseRecord)
    with Store.open(tmp_path / "there.db") as there:
        assert there.adopt(record) == "new"
        assert there.adopt(record) == "same"
        assert there.times(case) == clocked.times(case)
        assert there.queued(case) == clocked.queued(case)
        assert len(there.record(case).marks) == 1
        clocked.add(case, Event(note="more"))
        clocked.queue(case, QueueMark(has="", by="ann"))
        assert there.adopt(clocked.record(case)) == "longer"
        assert there.times(case) == clocked.times(case)
        assert there.queued(case).who == ""
        assert there.verify()[2] == []


def test_a_file_of_before_without_times_is_taken_in(clocked, tmp_path):
    case = filled(clocked)
    record = msgspec.structs.replace(clocked.record(case), times=[], marks=[])
    with Store.open(tmp_path / "there.db") as there:
        there.adopt(record)
        assert there.times(case) == [""] * len(EVENTS)
        assert there.verify()[2] == []


@pytest.mark.parametrize("body", ["{", '{"has":1}', '{"other":"x"}', "null", '"\\ud800"'])
def test_a_mark_that_can_not_be_read_counts_for_nothing(clocked, tmp_path, body):
    case = filled(clocked)
    clocked.queue(case, QueueMark(has="ann"))
    record = msgspec.structs.replace(clocked.record(case), marks=[(1, body), *clocked.record(case).marks])
    with Store.open(tmp_path / "there.db") as there:
        there.adopt(record)
        assert there.queued(case).who == "ann"


def test_a_damaged_mark_is_said_and_counts_no_more(store):
    case = filled(store)
    store.queue(case, QueueMark(has="ann"))
    with store.together():
        store._db.execute("UPDATE marks SET body=replace(body, 'ann', 'bob')")
    assert store.queued(case).who == ""
    assert [case in text and "queue" in text for text in unsound(store)] == [True]


def test_a_case_that_is_forgotten_leaves_no_mark(store):
    case = filled(store)
    store.queue(case, QueueMark(has="ann"))
    store.forget(case)
    assert store._db.execute("SELECT count(*) FROM marks").fetchone()[0] == 0


def test_a_case_is_found_by_a_close_spelling_in_any_order_the_exact_ones_first(store):
    alder, alber, other = store.begin("Alder Lane 14"), store.begin("Alber Lane 14"), store.begin("Alder Lane 15")
    for case in (alder, alber, other):
        store.add(case, Event(role="desk"))
    assert [c.id for c in store.find(text="lane 14 alder")] == [alder, alber]
    assert [c.id for c in store.find(text="LNAE aldre 15")] == [other]
    assert store.find(text="birch lane") == []
