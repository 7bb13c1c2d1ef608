"""A store on a server: leases that end by themselves, a connection that is made again, and what each failure is in words."""

import os
import signal
import threading
import time

import psycopg
import pytest

from dryfloor.cli.store.database import schema
from dryfloor.cli.store.database.lock import boot, born, host
from dryfloor.cli.store.database.place import ServerPlace
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.cli.store.test_store import other_process
from tests.support.postgres import Cluster
from tests.support.stored import EVENTS, filled, marked, refused


@pytest.fixture
def db(database):
    """A connection that is nobody's."""
    with psycopg.connect(database.url, autocommit=True) as made:
        yield made


@pytest.fixture
def own():
    """A server of one test, that may be stopped and killed; it writes through to the disk."""
    made = Cluster(through=True)
    yield made
    made.stop()


def test_what_is_written_is_asked_to_be_on_the_disk(server):
    store, _ = filled(server)
    assert store._db.execute("SHOW synchronous_commit").fetchone() == ("on",)


def test_other_tables_of_the_database_are_left_alone(database, db):
    db.execute("DROP SCHEMA IF EXISTS dryfloor CASCADE")
    db.execute("CREATE TABLE cases (mine TEXT)")
    try:
        store, case = filled(database)
        assert store.events(case) == EVENTS
        assert db.execute("SELECT count(*) FROM public.cases").fetchone() == (0,)
    finally:
        db.execute("DROP TABLE public.cases")


def test_a_store_that_is_not_there_is_not_made_to_be_read(server, db):
    assert refused(Store.open, server, write=False).code == "J001"
    assert db.execute("SELECT to_regnamespace('dryfloor')").fetchone() == (None,)


def test_a_newer_store_is_left_as_it_is(server, db):
    filled(server)[0].close()
    db.execute(f"UPDATE dryfloor.version SET number={schema.VERSION + 1}")
    assert refused(Store.open, server).code == "J012"
    assert refused(Store.open, server, write=False).code == "J012"


def test_many_that_begin_a_store_at_once_begin_one(server):
    made = []
    threads = [threading.Thread(target=lambda: made.append(filled(server)[1])) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with Store.open(server) as store:
        assert {line.id for line in store.find()} == {*made}
        assert len(made) == 6


# leases


def test_a_lease_of_another_machine_holds_for_a_minute_after_its_last_beat(server):
    store, case = filled(server)
    marked(store, case, "attic", 12, "1", "another", ago=55)
    problem = refused(store.hold, case)
    assert (problem.code, "attic" in problem.message, "within a minute" in problem.mend) == ("J011", True, True)
    assert store.unknown_holder(case) is None
    assert refused(store.take, case, 12).code == "J011"  # nobody takes what is at work
    marked(store, case, "attic", 12, "1", "another", ago=61)
    assert not store.held(case)
    store.hold(case)
    store.add(case, Event(note="gone on with"))


def test_a_process_that_is_gone_from_this_machine_holds_nothing_at_once(server):
    store, case = filled(server)
    child = other_process(server, case, f"s.hold({case!r})")
    assert refused(store.hold, case).code == "J011"
    child.send_signal(signal.SIGKILL)
    child.wait()
    store.hold(case)


def test_a_heart_beats_while_a_case_is_held_and_no_longer(server, db, monkeypatch):
    monkeypatch.setattr("dryfloor.cli.store.database.server.BEAT_S", 0.05)
    store, case = filled(server)
    store.hold(case)
    db.execute("UPDATE dryfloor.holds SET seen = seen - interval '50 seconds'")
    late = "SELECT count(*) FROM dryfloor.holds WHERE seen < clock_timestamp() - interval '30 seconds'"
    until = time.monotonic() + 20
    while db.execute(late).fetchone() != (0,):
        assert time.monotonic() < until, "nothing was renewed"
        time.sleep(0.02)
    heart = store._db._heart
    store.release(case)
    assert db.execute("SELECT count(*) FROM dryfloor.holds").fetchone() == (0,)
    heart._thread.join(5)
    assert not heart._thread.is_alive()


def test_whose_lease_ran_out_and_was_taken_writes_nothing_more(server):
    store, case = filled(server)
    store.hold(case)
    marked(store, case, "attic", 12, "1", "another")
    for call in (lambda: store.add(case, EVENTS[1]), lambda: store.undo(case, 1), lambda: store.forget(case)):
        assert refused(call).code == "J011"
    assert store.events(case) == EVENTS


def test_a_number_that_another_process_has_now_holds_no_lease(server):
    store, case = filled(server)
    marked(store, case, host(), os.getpid(), "0", boot())
    assert not store.held(case)
    marked(store, case, host(), os.getppid(), born(os.getppid()), boot())
    assert store.held(case)


# what can go wrong


def test_two_cases_are_written_at_once_and_one_case_by_turns(server, monkeypatch):
    """Whoever writes to a case keeps nobody from another one."""
    store, case = filled(server)
    other = store.begin()
    with Store.open(server) as second, store.together():
        store.add(case, EVENTS[1])
        second.add(other, EVENTS[1])
        second.hurry()
        assert refused(second.add, case, EVENTS[1]).code == "J010"
    assert store.events(case) == [*EVENTS, EVENTS[1]]


CUT = "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE application_name='dryfloor'"


def test_a_connection_that_was_cut_between_two_writes_is_made_again_and_nobody_is_told(server, db):
    store, case = filled(server)
    db.execute(CUT)
    store.add(case, EVENTS[1])
    db.execute(CUT)
    assert store.events(case) == [*EVENTS, EVENTS[1]]


def test_cut_within_a_write_nothing_of_it_is_there(server, db):
    store, case = filled(server)

    def cut():
        with store.together():
            store.add(case, EVENTS[1])
            db.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name='dryfloor'")
            store.add(case, EVENTS[1])

    problem = refused(cut)
    assert (problem.code, "shop" not in str(problem.message), "nothing was kept" in problem.mend) == (
        "J024",
        True,
        True,
    )
    assert store.events(case) == EVENTS


@pytest.mark.parametrize(
    ("more", "code"),
    [("host=/nowhere", "J024"), ("dbname=there-is-none", "J024"), ("no=option", "J024"), ("user=stranger", "J024")],
)
def test_a_server_that_can_not_be_had_is_said_without_its_password(cluster, more, code):
    place = ServerPlace(f"postgresql://shop:secret-word@/postgres?host={cluster.folder}&{more}")
    problem = refused(Store.open, place)
    assert problem.code == code
    assert "secret-word" not in " ".join(problem.lines())


def test_without_psycopg_it_is_said_what_to_install(monkeypatch, server):
    monkeypatch.setitem(__import__("sys").modules, "psycopg", None)
    problem = refused(Store.open, server)
    assert (problem.code, problem.mend) == ("J023", "pip install 'dryfloor[shop]'")


def test_forget_vacuums_and_leaves_what_is_the_operators(server, db):
    store, case = filled(server)
    stays = store.begin("stays")
    store.forget(case)
    assert [line.id for line in store.find()] == [stays]
    assert db.execute("SELECT count(*) FROM dryfloor.rows").fetchone() == (0,)
    vacuumed = "SELECT vacuum_count FROM pg_stat_all_tables WHERE schemaname='dryfloor' AND relname='rows'"
    until = time.monotonic() + 20
    while db.execute(vacuumed).fetchone() == (0,):  # the server counts a little later
        assert time.monotonic() < until
        time.sleep(0.05)
    assert db.execute("SELECT count(*) FROM dryfloor.chores").fetchone() == (0,)


@pytest.mark.slow
@pytest.mark.parametrize("how", ["immediate", "fast"])
def test_a_server_that_stops_and_starts_loses_nothing_that_was_confirmed(own, how):
    place = ServerPlace(own.database("stores"))
    store, case = filled(place, [])
    kept = []
    for turn in range(3):
        for n in range(10):
            store.add(case, Event(note=f"{turn} {n}"))
            kept.append(f"{turn} {n}")
        own.halt(how)
        assert refused(store.add, case, Event(note="while it was down")).code == "J024"
        own.start()
    assert [e.note for e in store.events(case)] == kept
    assert store.verify()[2] == []
