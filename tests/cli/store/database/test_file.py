"""The file of a store: what is no store is refused and left alone, what is older is brought to this version."""

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from dryfloor.cli.store.database import schema
from dryfloor.cli.store.database.file import upgrade
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.places import ROOT, TESTS
from tests.support.stored import filled, refused

FIRST = TESTS / "stores" / "first.db"


@pytest.fixture
def path(tmp_path):
    return tmp_path / "data" / "cases.db"


def test_a_store_in_a_place_that_is_no_folder_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    assert refused(Store.open, tmp_path / "file" / "cases.db").code == "J001"
    assert refused(Store.open, tmp_path).code == "J001"
    assert refused(Store.open, tmp_path / "none.db", write=False).code == "J001"
    assert not (tmp_path / "none.db").exists()


@pytest.mark.parametrize("raw", [b"hello, this is a text file\n" * 100, b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_file_that_is_no_store_is_refused_and_left_alone(tmp_path, raw):
    path = tmp_path / "cases.db"
    path.write_bytes(raw)
    problem = refused(Store.open, path)
    assert (problem.code, problem.file) == ("J013", str(path))
    assert path.read_bytes() == raw


def test_another_program_s_database_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "cases.db"
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE cases (id TEXT)")
    db.commit()
    db.close()
    raw = path.read_bytes()
    assert "no store of dryfloor" in refused(Store.open, path).message
    assert path.read_bytes() == raw


def test_a_store_of_a_newer_version_is_refused_and_left_alone(path):
    store, _ = filled(path)
    store._db.execute(f"PRAGMA user_version={schema.VERSION + 1}")
    store.close()
    raw = path.read_bytes()
    for write in (True, False):
        problem = refused(Store.open, path, write=write)
        assert (problem.code, "newer dryfloor" in problem.message) == ("J012", True)
    assert path.read_bytes() == raw


@pytest.fixture
def first(tmp_path):
    return Path(shutil.copy(FIRST, tmp_path / "cases.db"))


def rows(path):
    db = sqlite3.connect(path)
    columns = {"rows": "number, of, body", "links": "digest, of", "holds": "of, host, process, born"}
    out = [db.execute(f"SELECT {c} FROM {t} ORDER BY 1").fetchall() for t, c in columns.items()]
    out.append(
        db.execute("SELECT id, reference, earlier, kb, journal, began, touched FROM cases ORDER BY id").fetchall()
    )
    db.close()
    return out


@pytest.mark.parametrize("write", [True, False])
def test_a_store_of_the_first_version_is_brought_to_this_one(first, write):
    before = rows(first)
    with Store.open(first, write=write) as store:
        assert {(c.id, c.state, c.reference, c.earlier, c.answers) for c in store.find()} == {
            ("A2C3F4", "waiting", "Alder Lane 4", None, 2),
            ("H5J6K7", "open", "", None, 2),
            ("M8P9R2", "closed", "Alder Lane 4", "A2C3F4", 1),
        }
        assert store.events("A2C3F4")[4] == Event(fact="onset", is_="moved")
        assert [e.skip for e in store.events("H5J6K7") if e.skip] == []
        assert store.by_link("a-link-of-the-first-version") == "H5J6K7"
        assert store.stamped("A2C3F4") == "0123"
        assert store.seen("A2C3F4") is None
        assert store._db.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        assert store.verify() == (3, len(before[0]), [])
    assert rows(first) == before
    with Store.open(first) as store:
        store.note("H5J6K7", "goes on")
        store._db.execute("UPDATE rows SET body=replace(body, 'hops', 'hopz') WHERE number=2")
        assert [line.id for line in store.find() if line.damage] == ["A2C3F4"]


def test_an_upgrade_that_fails_leaves_the_store_as_it_was(first, monkeypatch):
    raw = first.read_bytes()
    monkeypatch.setattr(schema, "STEPS", (schema.FIRST, schema.SECOND + "CREATE TABLE cases (no TEXT);\n"))
    db = sqlite3.connect(first, isolation_level=None)
    with pytest.raises(sqlite3.OperationalError):
        upgrade(db)
    db.close()
    assert first.read_bytes() == raw


def test_two_that_open_an_old_store_at_once_both_find_it_new(first):
    children = [
        subprocess.Popen(
            [sys.executable, "-c", "import sys; from pathlib import Path; from dryfloor.cli.store.store import Store; print(len(Store.open(Path(sys.argv[1])).find()))", str(first)],
            stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)}, cwd=ROOT,
        )
        for _ in range(3)
    ]  # fmt: skip
    assert [child.communicate()[0] for child in children] == [b"3\n"] * 3
