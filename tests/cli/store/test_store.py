"""The store: what was added is there, in one pair of hands, and every way in which it can't be is said in words."""

import os
import signal
import sqlite3
import stat
import subprocess
import sys
import threading

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.cli.store import store as store_module
from dryfloor.cli.store.database import errors
from dryfloor.cli.store.database.lock import boot, born, host
from dryfloor.cli.store.database.place import ServerPlace
from dryfloor.cli.store.store import DIGITS, LETTERS, Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from tests.support.places import ROOT
from tests.support.stored import EVENTS, filled, marked, refused


@pytest.fixture
def path(tmp_path):
    return tmp_path / "data" / "cases.db"


def test_what_was_added_is_read_back_by_another(path):
    store, case = filled(path)
    with Store.open(path, write=False) as other:
        assert other.events(case) == EVENTS  # before the writer is closed
    store.close()
    with Store.open(path) as again:
        assert again.events(case) == EVENTS
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


def test_every_write_is_logged_and_synced(path):
    store, _ = filled(path)
    said = {
        name: store._db.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "secure_delete")
    }
    assert said == {"journal_mode": "wal", "synchronous": 2, "secure_delete": 1}


def test_a_store_in_memory_keeps_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    store, case = filled(":memory:")
    assert store.events(case) == EVENTS
    store.close()
    assert [*tmp_path.iterdir()] == []


STEPS = st.lists(
    st.one_of(st.sampled_from(EVENTS), st.integers(0, 4), st.tuples(st.integers(0, 9), st.sampled_from(EVENTS))),
    max_size=20,
)


@settings(deadline=None)
@given(steps=STEPS)
def test_the_rows_are_the_list(steps):
    """Any mix of adding, taking back and replacing leaves in the store what a plain list would hold."""
    held = []
    with Store.open(":memory:") as store:
        case = store.begin()
        for step in steps:
            before = store.last(case)
            if isinstance(step, Event):
                store.add(case, step)
                held.append(step)
            elif isinstance(step, int):
                store.undo(case, step)
                del held[max(0, len(held) - step) :]
            else:
                store.put(case, *step)
                if step[0] < len(held):
                    held[step[0]] = step[1]
            assert store.last(case) > before
        assert store.events(case) == held


def test_ids_are_easy_to_say_and_to_read():
    with Store.open(":memory:") as store:
        names = {store.begin() for _ in range(300)}
    assert len(names) == 300
    assert {len(n) for n in names} == {6}
    assert all(c in (DIGITS if at % 2 else LETTERS) for n in names for at, c in enumerate(n))
    # what looks alike: 0 O D Q, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V; what sounds alike: M N, and letters of the E row
    assert not set(LETTERS) & set("ODQILZSGBUVNE")
    assert not set(DIGITS) & set("01")


def test_a_case_is_found_by_its_id_however_it_is_typed(place):
    store, case = filled(place)
    for typed in (case.lower(), f"{case[:3]}-{case[3:]}", f" {case[:3]} {case[3:].lower()} "):
        assert store.events(typed) == EVENTS
    problem = refused(store.events, case[:5] + ("3" if case[5] == "2" else "2"))
    assert (problem.code, problem.nearest) == ("J014", case)
    assert "the store is empty" in refused(Store.open(":memory:").events, "K7M3R4").message


def test_cases_are_found_by_state_complaint_words_age_and_reference(place):
    day = 86_400.0
    now = [1000 * day]
    store = Store.open(place, now=lambda: now[0])

    def one(reference, *events):
        case = store.begin(reference)
        for event in events:
            store.add(case, event)
        now[0] += day
        return case

    walks = Event(heard="it Hops about", complaints=["walks"])
    siphons = Event(heard="water runs out", complaints=["siphons"])
    a = one("Alder 4", Event(role="desk"), walks)
    b = one("Birch 9", siphons, Event(closed="handed-on", why="Book a plumber."))
    c = one("Alder 4", walks, Event(closed="solved"))
    d = one("", walks, siphons, Event(note="the Ärger is loud"), Event(closed="on-trial"))

    def ids(**asked):
        return [line.id for line in store.find(**asked)]

    assert ids() == [d, c, b, a]
    assert [ids(state=s) for s in ("open", "waiting", "closed", "on-trial")] == [[a], [b], [c], [d]]
    assert ids(complaint="siphons") == [d, b]
    assert ids(text="alder HOPS") == [c, a]
    assert ids(text="ärger") == [d]
    assert ids(text="plumber") == [b]
    assert ids(text="nothing like it") == []
    assert ids(older_than_days=2.5) == [b, a]
    assert ids(newer_than_days=2.5) == [d, c]
    assert ids(reference="Alder 4", state="open") == [a]
    assert ids(most=2) == [d, c]
    assert store.line(b).why == "Book a plumber."
    assert store.offered().id == a
    store.decline(a)
    assert store.offered() is None
    assert ids(state="open") == [a]
    store.note(b, "rings back")
    assert ids()[0] == b
    assert store.line(a).began == "1972-09-27T00:00:00Z"


def test_a_later_case_points_to_the_earlier_one_until_that_is_forgotten(place):
    store, case = filled(place)
    later = store.begin(earlier=case.lower())
    assert store.line(later).earlier == case
    assert refused(store.begin, earlier="A2A2A2").code == "J014"
    store.forget(case)
    assert store.line(later).earlier is None


def test_a_reference_and_the_cases_after_one_are_looked_up_without_reading_any_other(path, monkeypatch):
    store, case = filled(path, reference="Alder 4")
    later = [store.begin(earlier=case) for _ in range(2)]
    for _ in range(5):
        store.add(store.begin("Birch 9"), EVENTS[1])
    read, asked = [], []
    whole = store_module.read
    monkeypatch.setattr(store_module, "read", lambda db, name: read.append(name) or whole(db, name))
    store._db._db.set_trace_callback(asked.append)
    assert {name for name, _ in store.later(case.lower())} == {*later}
    assert store.later(later[0]) == []
    assert read == []
    assert [line.id for line in store.find(reference="Alder 4")] == [case]
    assert read == [case]
    store._db._db.set_trace_callback(None)
    for sql in asked:
        if " earlier=" in sql or " reference=" in sql:
            (plan,) = store._db.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()[:1]
            assert plan[3].startswith("SEARCH cases USING INDEX cases_")


# links


def test_a_link_leads_to_its_case_and_is_not_in_the_store(place):
    store, case = filled(place)
    token = store.link(case)
    assert len(token) == 32
    assert (store.by_link(token), store.by_link(token[:-1]), store.by_link("")) == (case, None, None)
    assert store.link(case) != token
    if not isinstance(place, ServerPlace):
        assert token.encode() not in b"".join(p.read_bytes() for p in place.parent.iterdir())
    store.unlink(case)
    assert store.by_link(token) is None


# one pair of hands


OPENING = """
import argparse, sys
from dryfloor.cli.store.location import where
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
s = Store.open(where(argparse.Namespace(store=sys.argv[1]), None))
"""


def named(place):
    """How a command names a store."""
    return place.url if isinstance(place, ServerPlace) else str(place)


def other_process(path, case, code):
    """Do something with a case in another process; return it when it said that it is ready."""
    text = f"{OPENING}{code}; print('ready', flush=True); sys.stdin.read()"
    child = subprocess.Popen(
        [sys.executable, "-c", text, named(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=ROOT,
    )
    assert child.stdout.readline() == b"ready\n"
    return child


def test_a_case_in_other_hands_is_refused_until_they_let_go_or_die(place):
    store, case = filled(place)
    other = store.begin()
    child = other_process(place, case, f"s.hold({case!r})")
    assert store.held(case)
    assert not store.held(other)
    problem = refused(store.hold, case)
    assert (problem.code, str(child.pid) in problem.message) == ("J011", True)
    for call in (
        lambda: store.add(case, EVENTS[0]),
        lambda: store.undo(case, 1),
        lambda: store.put(case, 0, EVENTS[0]),
        lambda: store.forget(case),
    ):
        assert refused(call).code == "J011"
    assert store.events(case) == EVENTS  # reading is free
    assert store.offered().id == other
    store.note(other, "another case is free")
    child.send_signal(signal.SIGKILL)
    child.wait()
    store.hold(case)
    store.add(case, Event(note="gone on with"))
    store.close()
    child = other_process(place, case, f"s.hold({case!r})")
    child.communicate(b"")
    with Store.open(place) as again:
        again.hold(case)


def test_a_number_that_another_process_has_now_holds_nothing(place):
    store, case = filled(place)
    store.hold(case)
    marked(store, case, host(), os.getpid(), "0", boot())  # this very number, but born at another time
    with Store.open(place) as other:
        other.add(case, Event(note="free"))


def test_a_holder_on_another_machine_is_named(path):
    store, case = filled(path)
    marked(store, case, "attic", 12, "1", "another")
    problem = refused(store.hold, case)
    assert problem.message == f"case {case} is held by process 12 on attic since 2023-11-14T22:13:20Z"
    assert f"dryfloor resume {case} --take 12" in problem.mend


def test_a_case_is_taken_from_a_machine_that_is_gone_by_its_process_number(path):
    store, case = filled(path)
    marked(store, case, "attic", 12, "1", "another")
    number, problem = store.unknown_holder(case)
    assert (number, problem.code) == (12, "J011")
    assert refused(store.take, case, 13).code == "J011"
    assert store.held(case)
    store.take(case, 12)
    assert store.unknown_holder(case) is None
    store.hold(case)
    store.take(case, 5)  # it is in these hands
    store.add(case, Event(note="gone on with"))


def test_a_case_is_not_taken_from_a_process_that_is_at_work_here(path):
    store, case = filled(path)
    marked(store, case, host(), os.getppid(), born(os.getppid()), boot())
    assert store.unknown_holder(case) is None
    assert refused(store.take, case, os.getppid()).code == "J011"
    assert store.held(case)


def test_a_note_is_kept_while_somebody_else_holds_the_case_and_moves_none_of_their_rows(place):
    """The walk goes on by the places that it knows; the note becomes a row when it lets go."""
    store, case = filled(place)
    code = f"s.hold({case!r})"
    child = other_process(place, case, code)
    store.note(case, "the neighbour rings")
    store.note(case, "twice")
    notes = [Event(note="the neighbour rings"), Event(note="twice")]
    assert store.events(case) == [*EVENTS, *notes]
    rows = store._db.execute("SELECT count(*) FROM rows").fetchone()[0]
    assert rows == len(EVENTS)
    assert [line.damage for line in store.find(text="neighbour rings")] == [[]]
    child.communicate(b"")  # it ends without a word
    store.hold(case)
    store.undo(case, 1)
    assert store.events(case) == [*EVENTS, notes[0]]
    cases, kept, damage = store.verify()
    assert (cases, kept, [d for d in damage if not d.startswith("The server ")]) == (1, rows + 3, [])


def test_a_walk_that_lets_go_leaves_the_notes_of_others_as_rows(path):
    store, case = filled(path)
    store.hold(case)
    with Store.open(path) as other:
        marked(other, case, "attic", 12, "1", "another")
        other.note(case, "from the desk")
        row = other._db.execute("SELECT count(*) FROM remarks").fetchone()
        assert row == (1,)
    store.take(case, 12)
    store.hold(case)
    store.put(case, 0, Event(role="technician"))
    store.release(case)
    assert store.events(case) == [Event(role="technician"), *EVENTS[1:], Event(note="from the desk")]
    assert store._db.execute("SELECT count(*) FROM remarks").fetchone() == (0,)


def test_forget_leaves_no_byte_of_a_note_that_waits(path):
    store, case = filled(path)
    marked(store, case, "attic", 12, "1", "another")
    store.note(case, MARKER)
    store.take(case, 12)
    store.forget(case)
    assert traces(path) == []


def test_a_case_that_went_on_elsewhere_is_not_written_over(place):
    store, case = filled(place)
    seen = store.last(case)
    with Store.open(place) as other:
        other.add(case, Event(note="from the other page"))
    assert refused(store.add, case, Event(skip="onset"), after=seen).code == "J016"
    store.add(case, Event(skip="onset"), after=store.last(case))
    assert [e.note for e in store.events(case)[-2:]] == ["from the other page", None]


def test_two_writers_at_once_lose_nothing(place):
    """Two processes and a reader, each as fast as it can."""
    store, _ = filled(place)
    code = "c=s.begin(%r)\nfor n in range(60): s.add(c, Event(note=str(n)))"
    children = [
        subprocess.Popen(
            [sys.executable, "-c", OPENING + code % name, named(place)],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            cwd=ROOT,
        )
        for name in ("one", "two")
    ]
    while any(child.poll() is None for child in children):
        for line in store.find():
            notes = [e.note for e in store.events(line.id) if e.note]
            assert line.reference == "" or notes == [str(n) for n in range(len(notes))]
    assert [child.returncode for child in children] == [0, 0]
    for name in ("one", "two"):
        case = store.find(reference=name)[0].id
        assert [e.note for e in store.events(case)] == [str(n) for n in range(60)]


def test_threads_with_a_store_each_may_write_the_same_case(place):
    store, case = filled(place, [])

    def write(name):
        with Store.open(place) as mine:
            for n in range(20):
                mine.add(case, Event(note=f"{name}{n}"))

    threads = [threading.Thread(target=write, args=(name,)) for name in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    notes = [e.note for e in store.events(case)]
    assert [[n for n in notes if n[0] == name] for name in "ab"] == [[f"{name}{n}" for n in range(20)] for name in "ab"]


# what can go wrong


@pytest.mark.parametrize("page", range(1, 12))
def test_a_damaged_page_ends_in_words_wherever_it_is(path, page):
    store, case = filled(path, EVENTS * 40)
    store.close()
    raw = bytearray(path.read_bytes())
    raw[page * 4096 : page * 4096 + 4096] = b"\xa5" * 4096
    path.write_bytes(raw)
    problems = []
    try:
        with Store.open(path) as store:
            line = store.line(case)
            assert line.damage or store.events(case) == EVENTS * 40
            assert [(c.id, c.damage) for c in store.find()] == [(case, line.damage)]
    except InvalidInputError as error:
        problems = error.problems
    assert [p.code for p in problems] in ([], ["J013"])


def test_a_row_that_can_not_be_read_is_not_passed_over(place):
    store, case = filled(place)
    fine = store.begin()
    store.add(fine, EVENTS[1])
    store._db.execute("UPDATE rows SET body='{' WHERE number=2")
    text = "Row 2 is damaged. It stood between role homeowner and cleared gas-smell: none."
    assert store.events(case) == [EVENTS[0], Event(note=f"DAMAGED: {text}"), *EVENTS[2:]]
    assert store.line(case).damage == [text]
    assert store.events(fine) == [EVENTS[1]]
    assert {c.id: c.state for c in store.find()} == {fine: "open", case: "damaged"}  # neither is hidden
    assert store.offered().id == fine


# forgetting

MARKER = "MARKER-planted-in-a-case"


def planted(path):
    store, case = filled(path, reference=MARKER)
    store.add(case, Event(heard=MARKER, complaints=["walks"]))
    for n in range(40):
        store.add(case, Event(note=f"{MARKER} {n} " + "x" * 900))
    store.undo(case, 20)
    store.put(case, 1, Event(note=MARKER))
    store.saw(case, 3, MARKER)
    return store, case


def traces(path):
    return [p.name for p in path.parent.iterdir() if MARKER.encode() in p.read_bytes()]


def test_forget_leaves_no_byte(path):
    store, case = planted(path)
    stays = store.begin("stays")
    store.add(stays, EVENTS[1])
    assert traces(path)
    store.forget(case)
    assert traces(path) == []
    assert [c.id for c in store.find()] == [stays]
    assert refused(store.events, case).code == "J014"
    assert store.events(stays) == [EVENTS[1]]


def test_a_reader_in_the_way_is_said_and_the_next_start_ends_the_work(path, monkeypatch):
    monkeypatch.setattr(errors, "WAIT_S", 0.05)
    store, case = planted(path)
    reader = sqlite3.connect(path, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT * FROM rows").fetchone()
    problem = refused(store.forget, case)
    assert problem.code == "J015"
    assert store.find() == []
    assert traces(path)
    reader.close()
    Store.open(path)
    assert traces(path) == []


def test_json_of_a_line_is_plain(place):
    store, case = filled(place)
    line = msgspec.json.decode(msgspec.json.encode(store.line(case)))
    assert set(line) >= {"id", "reference", "state", "complaints", "words", "began", "touched", "answers", "earlier"}
