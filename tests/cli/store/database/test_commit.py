"""How a write ended whose end nobody heard: the server is asked, and where it can't be asked, that is said and nothing is written twice."""

import pytest

from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.stored import EVENTS, filled, refused

NOTE = Event(note="said once")


class Lost:
    """A store's connection that is lost as a transaction ends: before the server did so (`kept` False), or before it was heard."""

    def __init__(self, store, monkeypatch, kept, reachable=True):
        self.db, self.kept, self.count = store._db, kept, 0
        self.patch, self.reachable = monkeypatch, reachable
        self.arm()

    def arm(self):
        db, whole = self.db._db, self.db._db.execute

        def execute(sql, *values, **more):
            if sql != "COMMIT":
                return whole(sql, *values, **more)
            self.count += 1
            if self.kept:
                whole(sql)
            db.close()
            if not self.reachable:
                self.patch.setattr(self.db, "_connected", self.refuse)
            raise self.db._psycopg.OperationalError("the connection is lost")

        self.patch.setattr(db, "execute", execute)

    def refuse(self):
        raise self.db._psycopg.OperationalError("nobody answers")

    def back(self):
        """The server can be reached again."""
        self.patch.undo()


@pytest.fixture
def quick(monkeypatch):
    """Nobody is asked for long."""
    monkeypatch.setattr("dryfloor.cli.store.database.server.SETTLE_S", 0.2)


def test_what_was_kept_before_it_was_heard_is_confirmed(server, monkeypatch):
    store, case = filled(server)
    lost = Lost(store, monkeypatch, kept=True)
    store.add(case, NOTE)
    assert lost.count == 1
    assert store.events(case) == [*EVENTS, NOTE]
    assert store.settle() is False  # nothing is in doubt any more


def test_what_was_not_kept_is_refused_and_can_be_said_again(server, monkeypatch):
    store, case = filled(server)
    lost = Lost(store, monkeypatch, kept=False)
    assert refused(store.add, case, NOTE).code == "J024"
    lost.back()
    assert store.events(case) == EVENTS
    store.add(case, NOTE)
    assert store.events(case) == [*EVENTS, NOTE]


@pytest.mark.parametrize("kept", [True, False])
def test_what_nobody_knows_is_said_and_known_once_the_server_is_back(server, monkeypatch, quick, kept):
    store, case = filled(server)
    lost = Lost(store, monkeypatch, kept, reachable=False)
    problem = refused(store.add, case, NOTE)
    assert (problem.code, "not known" in problem.message) == ("U041", True)
    assert refused(store.settle).code == "U041"
    lost.back()
    assert store.settle() is kept
    assert store.events(case) == ([*EVENTS, NOTE] if kept else EVENTS)


@pytest.mark.parametrize("kept", [True, False])
@pytest.mark.parametrize("begun", [True, False])
def test_a_walk_writes_once_what_may_have_been_written(server, monkeypatch, quick, kept, begun):
    """The events of a walk, whichever of its writes is in doubt, each once and in order."""
    store = Store.open(server)
    log = EventLog(store)
    said = [Event(role="desk"), Event(complaints=["walks"]), NOTE, Event(note="then")]
    for event in said[: 3 if begun else 1]:
        assert log.add(event) == []
    lost = Lost(store, monkeypatch, kept, reachable=False)
    rest = said[3 if begun else 1 :]
    assert log.add(rest[0])[0].problem.code == "U041"
    lost.back()
    for event in rest[1:] or [NOTE]:
        log.add(event)
    (line,) = store.find()
    assert store.events(line.id) == [*said, *([] if rest[1:] else [NOTE])]
    assert log.kept


@pytest.mark.parametrize("kept", [True, False])
def test_a_walk_takes_back_once_what_may_have_been_taken_back(server, monkeypatch, quick, kept):
    store = Store.open(server)
    log = EventLog(store)
    said = [Event(role="desk"), Event(complaints=["walks"]), *(Event(note=str(n)) for n in range(6))]
    for event in said:
        log.add(event)
    lost = Lost(store, monkeypatch, kept, reachable=False)
    log.take_back(6)
    lost.back()
    log.add(NOTE)
    (line,) = store.find()
    assert store.events(line.id) == [*said[:6], NOTE] == log.events


def test_after_one_who_waited_in_vain_others_are_refused_at_once(server, monkeypatch):
    store, case = filled(server)
    db, now, tries = store._db, [1000.0], []
    monkeypatch.setattr("dryfloor.cli.store.database.server.time.monotonic", lambda: now[0])

    def slow():
        tries.append(now[0])
        now[0] += 5
        raise db._psycopg.OperationalError("nobody answers")

    monkeypatch.setattr(db, "_connected", slow)
    db._db.close()
    codes = [refused(store.events, case).code for _ in range(4)]
    assert (codes, len(tries)) == (["J024"] * 4, 1)
    now[0] += 2
    refused(store.events, case)
    assert len(tries) == 2
