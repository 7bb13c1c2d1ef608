"""What can't be written waits in order, is told once, and is in the file, as sqlite3 itself reads it, once it can be."""

import json
import sqlite3
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.cli.store.event_log import AGAIN, UNKEPT, EventLog
from dryfloor.cli.store.location import beside
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError, Problem

BEGUN = [Event(role="desk"), Event(heard="it hops", complaints=["walks"])]
SETTINGS = settings(deadline=None, max_examples=40)


class Told:
    """A log whose notices are collected: the code of each problem, and the words after it."""

    def __init__(self, log):
        self.log = log
        self.said = []

    def __getattr__(self, name):
        def call(*given):
            self.said += [(n.problem.code if n.problem else None, n.words) for n in getattr(self.log, name)(*given)]

        return call


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
    """A log with a case that was begun, in a store that does not wait for others; and what it tells of its keeping."""
    store = Store.open(path)
    store.hurry()
    log = EventLog(store, keep=keep)
    told = Told(log)
    for event in BEGUN:
        told.add(event)
    return log, told


def test_what_waits_is_told_once_and_written_in_order(tmp_path):
    path = tmp_path / "cases.db"
    log, told = begun(path)
    with locked(path):
        told.add(Event(note="a"))
        told.add(Event(note="b"))
        told.put(2, Event(note="c"))
        told.take_back(3)
        assert not log.kept
        assert len(rows(path)) == 2
    assert log.events == [*BEGUN, Event(note="c")]
    told.add(Event(note="d"))
    assert log.kept
    assert told.said == [("J010", UNKEPT), (None, AGAIN)]
    assert rows(path)[2:] == [{"note": "a"}, {"note": "b"}, {"at": 2, "put": {"note": "c"}}, {"undo": 1}, {"note": "d"}]
    log.close()


def test_the_last_chance_is_at_the_end(tmp_path):
    path = tmp_path / "cases.db"
    _, told = begun(path)
    with locked(path):
        told.add(Event(note="a"))
    told.close()
    assert rows(path)[-1] == {"note": "a"}
    assert told.said[-1] == (None, AGAIN)


@SETTINGS
@given(data=st.data())
def test_whatever_fails_the_store_holds_what_the_walk_has_in_the_end(tmp_path_factory, data):
    """Any mix of adding, taking back and replacing, any of it while the store is locked, against a plain list."""
    path = tmp_path_factory.mktemp("ledger") / "cases.db"
    log, _ = begun(path)
    # The lock outlasts any wait, and each would be sat out: the log hurries again whenever it tries again.
    log.store.hurry = lambda: log.store._db.execute("PRAGMA busy_timeout=0")
    log.store.hurry()
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
        assert store.events(log.case) == plain


def test_a_case_file_that_can_not_be_written_is_told_and_left(tmp_path):
    calls = []

    def keep(events):
        calls.append(len(events))
        if len(events) == 2:
            raise InvalidInputError([Problem(code="C001", message="no room")])

    log, told = begun(tmp_path / "cases.db", keep)
    told.add(Event(note="a"))
    assert calls == [1, 2]
    assert told.said == [("C001", "")]
    assert log.kept
    log.close()


@pytest.mark.parametrize("store", [None, ":memory:"])
def test_without_a_file_nothing_is_said_to_be_kept(store):
    log = EventLog(Store.open(store) if store else None)
    for event in BEGUN:
        log.add(event)
    assert log.events == BEGUN
    assert not log.kept


ROLE, SAID = Event(role="desk"), Event(heard="it hops", complaints=["walks"])
NEW, MOVED, ROCKS = (
    Event(fact="onset", is_="new"),
    Event(fact="onset", is_="moved"),
    Event(check="rocks-by-hand", answer="rocks"),
)
GONE = Event(check="check-of-an-older-kb", answer="yes")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "cases.db"


def lines(path):
    with Store.open(path) as store:
        return store.find()


def test_nothing_is_begun_before_something_is_said(path):
    log = EventLog(Store.open(path), reference="Alder 4", kb="k1", source="/x.yaml")
    for event in (ROLE, Event(cleared="gas-smell"), Event(role="technician")):
        log.add(event)
    log.take_back(1)
    log.put(0, Event(role="homeowner"))
    assert log.case is None
    assert lines(path) == []
    log.add(SAID)
    with Store.open(path) as store:
        assert store.events(log.case) == [Event(role="homeowner"), SAID]
        assert (store.stamped(log.case), store.journal(log.case), store.line(log.case).reference) == (
            "k1",
            "/x.yaml",
            "Alder 4",
        )
        assert store._db.execute("SELECT count(*) FROM holds").fetchone() == (1,)
    log.close()
    with Store.open(path) as store:
        assert store._db.execute("SELECT count(*) FROM holds").fetchone() == (0,)


def test_a_beginning_that_fails_is_whole_when_it_is_tried_again(path, monkeypatch):
    log = EventLog(Store.open(path))
    log.add(ROLE)
    real = Store.add
    monkeypatch.setattr(
        Store, "add", lambda *_: (_ for _ in ()).throw(InvalidInputError([Problem(code="J010", message="no room")]))
    )
    assert [n.words for n in log.add(SAID)] == [UNKEPT]
    assert lines(path) == []
    assert not log.kept
    monkeypatch.setattr(Store, "add", real)
    assert [n.words for n in log.add(NEW)] == [AGAIN]
    with Store.open(path) as store:
        assert store.events(log.case) == log.events == [ROLE, SAID, NEW]


def known(path):
    """A kept case with events of an older kb in it, taken up by a walk that sees the others."""
    store = Store.open(path)
    case = store.begin()
    kept = [ROLE, GONE, SAID, GONE, NEW, GONE]
    for event in kept:
        store.add(case, event)
    return store, case, EventLog(store, case, [ROLE, SAID, NEW], [0, 2, 4], len(kept))


def test_what_the_walk_does_not_see_stays_in_its_place(path):
    store, case, log = known(path)
    log.put(2, MOVED)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, MOVED, GONE]
    log.add(ROCKS)
    log.take_back(3)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, MOVED, GONE]
    log.add(ROCKS)
    log.put(3, Event(check="rocks-by-hand", answer="firm"))
    assert store.events(case)[-1].answer == "firm"
    log.take_back(2)
    assert store.events(case) == [ROLE, GONE, SAID, GONE]
    log.add(NEW)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, NEW]


def test_what_was_advised_is_kept_with_the_next_answer(path):
    store, case, log = known(path)
    log.saw(3, "check:foot-gap")
    assert store.seen(case) is None
    log.add(ROCKS)
    assert store.seen(case) == (5, "check:foot-gap")  # the fifth that is kept is the third that is seen


def test_a_case_of_which_all_was_taken_back_is_gone(path):
    log = EventLog(Store.open(path))
    log.add(ROLE)
    log.add(SAID)
    log.take_back(1)
    log.close()
    assert lines(path) == []


def test_a_whole_case_takes_the_place_of_what_was_kept_of_it(path):
    store, case, log = known(path)
    log.adopt([ROLE, SAID])
    assert store.events(case) == [ROLE, SAID]
    log.add(ROCKS)
    log.take_back(2)
    assert store.events(case) == [ROLE, SAID]


def test_without_a_store_nothing_is_kept_and_nothing_fails():
    log = EventLog(None)
    calls = [
        lambda: log.add(SAID),
        lambda: log.put(0, ROLE),
        lambda: log.take_back(0),
        lambda: log.adopt([SAID]),
        log.close,
    ]
    assert [call() for call in calls] == [[], [], [], None, []]
    assert (log.kept, log.case, log.beside) == (False, None, None)
    memory = EventLog(Store.open(":memory:"))
    memory.add(SAID)
    assert (memory.kept, memory.beside) == (False, None)


def test_a_hand_over_file_is_beside_the_store(path):
    log = EventLog(Store.open(path))
    log.add(SAID)
    assert log.beside == beside(path, log.case) == path.parent / f"{log.case}.yaml"
