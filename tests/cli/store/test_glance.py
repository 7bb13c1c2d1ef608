"""The first line's glance at the store: it offers what the store itself would offer, or leaves it to the store; it writes nothing."""

import argparse
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.cli.store import glance as offer
from dryfloor.cli.store.database import schema
from dryfloor.cli.store.database.checksums import seal
from dryfloor.cli.store.database.lock import boot, born, host, me
from dryfloor.cli.store.glance import OFFERED, glance
from dryfloor.cli.store.store import Store
from dryfloor.cli.walk import offer as resume
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.rows import UncertainRowError
from dryfloor.engine.errors import InvalidInputError
from tests.support.places import ROOT
from tests.support.stored import EVENTS, filled, marked

PARENT = os.getppid()
HOLDERS = {
    "nobody": None,
    "me": me(),
    "alive": (host(), PARENT, born(PARENT)),
    "dead": (host(), 2**22 + 7, "1"),  # beyond the largest number that a process may have
    "born again": (host(), PARENT, "0"),
    "elsewhere": ("attic", 1, ""),
    "under another name": ("attic", 2**22 + 7, "1", boot()),
    "in a container": (host(), 2**22 + 7, "1", boot().split()[0] + " pid:[1]" if boot() else "x"),
}
events = st.one_of(
    st.sampled_from(EVENTS),
    st.sampled_from(["handed-on", "on-trial", "solved", "given-up"]).map(lambda c: Event(closed=c)),
    st.sampled_from(["came-back", "stayed-away"]).map(lambda t: Event(trial=t)),
    st.text(max_size=60).map(lambda words: Event(heard=words)),
)
rows = st.one_of(
    events,
    events,
    st.integers(0, 3).map(lambda n: {"undo": n}),
    st.tuples(st.integers(0, 3), events).map(lambda x: {"at": x[0], "put": x[1]}),
).map(lambda row: msgspec.json.encode(row).decode())
cases = st.tuples(st.lists(rows, max_size=6), st.sampled_from([*HOLDERS]), st.booleans(), st.integers(0, 3))
damage = st.sampled_from(
    [
        "UPDATE rows SET body='{' WHERE number%3=0",
        "UPDATE rows SET body='{\"heard\": 3}' WHERE number%3=1",
        "UPDATE rows SET body=CAST(body AS BLOB) WHERE number%2=0",
        "UPDATE rows SET body=CAST(x'22ff22' AS TEXT) WHERE number%3=0",
        "UPDATE holds SET process='x', born=''",
        "UPDATE cases SET touched=touched-9",
        "UPDATE cases SET touched=touched+1, reference='x'",
        "UPDATE cases SET last=last+1",
        "UPDATE rows SET sum=sum+1 WHERE number%2=0",
        "UPDATE rows SET before=before+1 WHERE number%2=0",
        "DELETE FROM rows WHERE number%3=1",
        "UPDATE cases SET declined=2 WHERE touched=0",
        "DROP TABLE holds",
        "PRAGMA application_id=0",
        f"PRAGMA user_version={schema.VERSION + 1}",
        f"PRAGMA user_version={schema.VERSION - 1}",
        "PRAGMA journal_mode=DELETE",
    ]
)


def fill(path, made):
    """A store with cases as they were made up: rows, who holds it, whether it was declined, when it was touched."""
    with Store.open(path) as store:
        db = store._db._db
        db.execute("PRAGMA synchronous=OFF")
        for bodies, holder, declined, touched in made:
            case = store.begin()
            db.execute("UPDATE cases SET declined=?, touched=? WHERE id=?", (declined, touched, case))
            db.executemany("INSERT INTO rows(of, body) VALUES(?,?)", [(case, body) for body in bodies])
            if HOLDERS[holder]:
                marked(store, case, *HOLDERS[holder])
        seal(db)


def by_store(path):
    """What the store offers: a case in the words of the first line, or None."""
    with Store.open(path) as store:
        line = store.offered()
    return line and (line.id, line.state, resume.said(line))


def by_glance(path):
    found = glance(path)
    return found and (found.id, found.state, resume.said(found))


@settings(max_examples=60)
@given(st.lists(cases, max_size=5))
def test_it_offers_what_the_store_offers(made):
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "cases.db"
        fill(path, made)
        assert by_glance(path) == by_store(path)


@settings(max_examples=60)
@given(st.lists(cases, min_size=1, max_size=5), damage)
def test_of_a_damaged_store_it_says_the_same_or_leaves_it_to_the_store(made, sql):
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "cases.db"
        fill(path, made)
        db = sqlite3.connect(path, isolation_level=None)
        db.execute(sql)
        db.close()
        try:
            found = by_glance(path)
        except UncertainRowError:
            return
        assert found == by_store(path)


@pytest.mark.parametrize("raw", [b"", b"hello, this is a text file\n" * 100, b"SQLite format 3\0" + b"\xff" * 5000])
def test_what_is_no_store_of_this_version_is_left_to_the_store(tmp_path, raw):
    path = tmp_path / "cases.db"
    path.write_bytes(raw)
    for place in (
        path,
        tmp_path,
        tmp_path / "none.db",
        Path(shutil.copy(ROOT / "tests" / "stores" / "first.db", tmp_path / "first.db")),
    ):
        with pytest.raises(UncertainRowError):
            glance(place)
    assert path.read_bytes() == raw
    assert not (tmp_path / "none.db").exists()


def test_no_more_cases_are_looked_at_than_the_store_looks_at(tmp_path):
    path = tmp_path / "cases.db"
    fill(
        path,
        [
            ([msgspec.json.encode(EVENTS[1]).decode()], "nobody", False, 0),
            *([([], "elsewhere", False, 1)] * (OFFERED - 1)),
        ],
    )
    assert by_glance(path) == by_store(path) != None  # noqa: E711
    fill(path, [([], "elsewhere", False, 1)])
    assert glance(path) is None
    assert by_store(path) is None


def test_a_time_that_no_calendar_has_is_left_to_the_store(tmp_path):
    path = tmp_path / "cases.db"
    store, _ = filled(path)
    for wrong in ("'x'", -(2**62), 2**62, "1.5"):
        store._db.execute(f"UPDATE cases SET touched={wrong}")
        with pytest.raises(UncertainRowError):
            glance(path)


KILLED = """
import os, sys
from pathlib import Path
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
store = Store.open(Path(sys.argv[1]))
case = store.begin()
store.hold(case)
store.add(case, Event(heard="it hops"))
os.kill(os.getpid(), 9)
"""


def test_what_a_killed_walk_left_is_offered_and_nothing_written(tmp_path):
    path = tmp_path / "cases.db"
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(path)], env={**os.environ, "PYTHONPATH": str(ROOT)}, cwd=ROOT, check=False
    )
    assert done.returncode == -signal.SIGKILL
    log = path.with_name("cases.db-wal")
    before = path.read_bytes(), log.read_bytes()
    assert glance(path).words == "it hops"
    assert (path.read_bytes(), log.read_bytes()) == before
    assert before[1]
    assert by_glance(path) == by_store(path)


def test_a_store_that_is_being_written_is_read_as_it_was(tmp_path):
    path = tmp_path / "cases.db"
    store, case = filled(path)
    with store.together():
        store.add(case, Event(closed="solved"))
        assert glance(path).id == case
    assert glance(path) is None


def test_a_store_that_somebody_locks_for_himself_is_left_to_the_store(tmp_path):
    path = tmp_path / "cases.db"
    filled(path)[0].close()
    locker = sqlite3.connect(path, isolation_level=None)
    locker.execute("PRAGMA locking_mode=EXCLUSIVE")
    locker.execute("BEGIN EXCLUSIVE")
    with pytest.raises(UncertainRowError):
        glance(path)
    locker.close()


# the line


@pytest.mark.parametrize("words", ["it hops", "x" * 90, "it  hops \u2028 about\tand \x1b[31mabout ", "é" * 40, ""])
@pytest.mark.parametrize("columns", ["20", "80"])
def test_the_line_is_that_of_the_store(make_env, monkeypatch, words, columns):
    env = make_env(COLUMNS=columns)
    store, _ = filled(env.data_dir / "cases.db", [Event(heard=words), *EVENTS[2:]])
    store.close()
    args = argparse.Namespace(store=None, reference=None)
    light = resume.look(args, env)
    assert light.store is None
    assert light.lines

    def unclear(_):
        raise UncertainRowError

    monkeypatch.setattr(offer, "glance", unclear)
    whole = resume.look(args, env)
    assert whole.store is not None
    whole.store.close()
    assert (light.lines, light.case.id) == (whole.lines, whole.case.id)


def test_a_reference_journals_and_a_store_that_is_refused_are_looked_at_properly(make_env):
    env = make_env()
    store, _ = filled(env.data_dir / "cases.db", reference="Alder 4")
    store.close()
    named = resume.look(argparse.Namespace(store=None, reference="Alder 4"), env)
    assert named.store is not None
    named.store.close()
    (env.data_dir / "cases").mkdir()
    (env.data_dir / "cases" / "1.jsonl").write_text('{"heard":"it drips"}\n')
    old = resume.look(argparse.Namespace(store=None, reference=None), env)
    assert old.store is not None
    assert len(old.store.find()) == 2
    old.store.close()
    (env.data_dir / "cases.db").write_text("no store at all" * 99)
    wrong = resume.look(argparse.Namespace(store=None, reference=None), env)
    assert (wrong.problem.code, wrong.lines) == ("J013", [])
    with pytest.raises(InvalidInputError):
        Store.open(env.data_dir / "cases.db")
