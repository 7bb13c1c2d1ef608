"""ledger: what can't be written waits in order, is told once, and is in the file, as sqlite3 itself reads it, once it can be."""

import json
import sqlite3
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.cli.store.event_log import AGAIN, UNKEPT, EventLog
from dryfloor.cli.store.store import Store
from dryfloor.cli.store.writer import CaseWriter
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError, Problem

BEGUN = [Event(role="desk"), Event(heard="it hops", complaints=["walks"])]
SETTINGS = settings(deadline=None, max_examples=40)


class Said(list):
    """What the walk was told: the code of each problem, and the words after it."""

    def __call__(self, problem: Problem | None, words: str) -> None:
        self.append((problem.code if problem else None, words))


def locked(path):
    """Another program that keeps the store locked until it is closed."""
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    return closing(other)


def rows(path):
    """The rows of the one case, read without the store."""
    with closing(sqlite3.connect(path)) as db:
        return [json.loads(body) for (body,) in db.execute("SELECT body FROM rows ORDER BY number")]


def begun(path, keep=None):
    """A ledger with a case that was begun, in a store that does not wait for others."""
    store, said = Store.open(path), Said()
    store.hurry()
    log = EventLog(CaseWriter(store), [], keep, said)
    for event in BEGUN:
        log.add(event)
    return log, said


def test_what_waits_is_told_once_and_written_in_order(tmp_path):
    path = tmp_path / "cases.db"
    log, said = begun(path)
    with locked(path):
        log.add(Event(note="a"))
        log.add(Event(note="b"))
        log.put(2, Event(note="c"))
        log.take_back(3)
        assert not log.kept
        assert len(rows(path)) == 2
    assert log.events == [*BEGUN, Event(note="c")]
    log.add(Event(note="d"))
    assert log.kept
    assert said == [("J010", UNKEPT), (None, AGAIN)]
    assert rows(path)[2:] == [{"note": "a"}, {"note": "b"}, {"at": 2, "put": {"note": "c"}}, {"undo": 1}, {"note": "d"}]
    log.close()


def test_the_last_chance_is_at_the_end(tmp_path):
    path = tmp_path / "cases.db"
    log, said = begun(path)
    with locked(path):
        log.add(Event(note="a"))
    log.close()
    assert rows(path)[-1] == {"note": "a"}
    assert said[-1] == (None, AGAIN)


@SETTINGS
@given(data=st.data())
def test_whatever_fails_the_store_holds_what_the_walk_has_in_the_end(tmp_path_factory, data):
    """Any mix of adding, taking back and replacing, any of it while the store is locked, against a plain list."""
    path = tmp_path_factory.mktemp("ledger") / "cases.db"
    log, _ = begun(path)
    plain = list(BEGUN)
    for n in range(data.draw(st.integers(1, 8))):
        what = data.draw(st.sampled_from(["add", "put", "back"] if len(plain) > 2 else ["add"]))
        at = data.draw(st.integers(2, len(plain) - 1)) if what != "add" else 0
        event = Event(note=f"n{n}")
        held = locked(path) if data.draw(st.booleans()) else closing(sqlite3.connect(":memory:"))
        with held:
            if what == "add":
                log.add(event)
                plain.append(event)
            elif what == "put":
                log.put(at, event)
                plain[at] = event
            else:
                log.take_back(at)
                del plain[at:]
        assert log.events == plain
    log.close()
    with Store.open(path) as store:
        assert store.events(log.writer.case) == plain


def test_a_case_file_that_can_not_be_written_is_told_and_left(tmp_path):
    calls = []

    def keep(events):
        calls.append(len(events))
        if len(events) == 2:
            raise InvalidInputError([Problem(code="C001", message="no room")])

    log, said = begun(tmp_path / "cases.db", keep)
    log.add(Event(note="a"))
    assert calls == [1, 2]
    assert said == [("C001", "")]
    assert log.kept
    log.close()


@pytest.mark.parametrize("store", [None, ":memory:"])
def test_without_a_file_nothing_is_said_to_be_kept(store):
    log = EventLog(CaseWriter(Store.open(store) if store else None), [], None, Said())
    for event in BEGUN:
        log.add(event)
    assert log.events == BEGUN
    assert not log.kept
