"""What can go wrong with the store is said in words, and what was kept stays: a lock, a full disk, a file that is read-only."""

import os
import resource
import sqlite3
import subprocess
import sys

import pytest

from dryfloor.cli.store.database import errors
from dryfloor.cli.store.database.errors import busy
from dryfloor.cli.store.database.lock import boot, host
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.places import ROOT
from tests.support.stored import EVENTS, filled, refused


@pytest.fixture
def path(tmp_path):
    return tmp_path / "data" / "cases.db"


def test_a_locked_store_is_said_and_free_again_later(path, monkeypatch):
    monkeypatch.setattr(errors, "WAIT_S", 0.05)
    store, case = filled(path)
    locker = sqlite3.connect(path, isolation_level=None)
    locker.execute("BEGIN IMMEDIATE")
    problem = refused(store.add, case, Event(note="x"))
    assert (problem.code, "locked" in problem.message) == ("J010", True)
    assert store.events(case) == EVENTS
    locker.execute("ROLLBACK")
    store.add(case, Event(note="x"))


FILL = """
import resource, signal, sys
from pathlib import Path
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
path, room = Path(sys.argv[1]), int(sys.argv[2])
store = Store.open(path)
case = store.begin()
resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
kept = 0
for n in range(400):
    try:
        store.add(case, Event(note=f"{n} " + "x" * 500))
        kept += 1
    except InvalidInputError as refused:
        print(refused.problems[0].code, refused.problems[0].message)
        break
print(kept)
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
store.add(case, Event(note="room again"))
print([e.note.split()[0] for e in store.events(case)] == [*map(str, range(kept)), "room"])
"""


@pytest.mark.parametrize("room", [124_500, 128_500, 135_757, 200_001])
def test_a_full_disk_is_said_and_what_was_kept_stays(path, room):
    """A limit on the size of files stands for a disk without room; Python ignores the signal that goes with it."""
    done = subprocess.run(
        [sys.executable, "-c", FILL, str(path), str(room)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        cwd=ROOT,
        check=False,
    )
    problem, kept, same = done.stdout.splitlines()
    assert problem.startswith("J001 cases can't be kept there: the disk")
    assert int(kept) > 1
    assert same == "True"
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == resource.RLIM_INFINITY


def test_a_store_that_can_only_be_read_is_read_and_not_written(path, monkeypatch):
    """To root nothing is read-only, so the database is opened as one."""
    store, case = filled(path)
    store.close()
    with Store.open(path, write=False) as store:
        assert store.events(case) == EVENTS
        problem = refused(store.add, case, Event(note="x"))
        assert (problem.code, "read-only" in problem.message) == ("J001", True)

    def denied(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", denied)
    assert "Permission denied" in refused(Store.open, path.parent / "new.db").message


def test_other_hands_are_named_and_their_machine_where_it_is_another():
    assert busy("K7M3R4", host(), 12).message == "case K7M3R4 is open in another window (process 12)"
    assert (
        busy("K7M3R4", "attic", 12, since="2026-05-03").message
        == "case K7M3R4 is held by process 12 on attic since 2026-05-03"
    )
    renamed = busy("K7M3R4", "attic", 12, boot()).message  # the same boot: the machine was given another name meanwhile
    assert renamed == "case K7M3R4 is open in another window on attic (process 12)"
