"""What counts no more before its time: kept for as long as it would have counted, in a file and on a server, and in stores of before, too."""

import shutil
from pathlib import Path

import pytest

from dryfloor.cli.store import store as module
from dryfloor.cli.store.database import schema
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.places import TESTS


@pytest.fixture
def clocked(place):
    """A store with a clock that a test turns."""
    now = [1_700_000_000.0]
    with Store.open(place, now=lambda: now[0]) as made:
        made.turn = lambda seconds: now.__setitem__(0, now[0] + seconds)
        yield made


def test_what_was_ended_is_known_to_every_other_until_it_would_have_ended(clocked, place):
    clocked.end("walk a", 1_700_000_060.0)
    clocked.end("walk a", 1_700_000_060.0)
    clocked.end("pass b", 1_700_000_600.0)
    with Store.open(place) as other:
        assert other.ended() == {"walk a": 1_700_000_060.0, "pass b": 1_700_000_600.0}
    clocked.turn(61)
    clocked.end("walk c", 1_700_003_600.0)
    assert {*clocked.ended()} == {"pass b", "walk c"}


def test_no_more_than_so_many_are_kept(clocked, monkeypatch):
    monkeypatch.setattr(module, "MOST_ENDED", 3)
    for n in range(5):
        clocked.end(f"walk {n}", 1_700_003_600.0)
    assert len(clocked.ended()) == 3
    clocked.turn(4000)
    clocked.end("walk later", 1_700_009_000.0)
    assert {*clocked.ended()} == {"walk later"}


@pytest.mark.parametrize("name", ["first", "fourth", "fifth", "sixth"])
def test_a_store_of_before_is_brought_to_this_version(tmp_path, name):
    path = Path(shutil.copy(TESTS / "stores" / f"{name}.db", tmp_path / "cases.db"))
    with Store.open(path) as store:
        assert store.ended() == {}
        store.end("walk a", 4_000_000_000.0)
        assert store._db.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        assert store.verify()[2] == []
        found = store.find()[0].id
        assert any(e.complaints for e in store.events(found)) or len(store.find()) > 1


def test_a_case_is_found_by_what_it_was_begun_from_without_a_look_at_all_others(tmp_path):
    with Store.open(tmp_path / "cases.db") as store:
        case = store.begin(journal="form 12")
        store.add(case, Event(role="desk"))
        assert (store.carried("form 12"), store.carried("form 13")) == (case, None)
        (plan,) = store._db.execute("EXPLAIN QUERY PLAN SELECT id FROM cases WHERE journal=?", ("x",)).fetchall()
        assert plan[3].startswith("SEARCH cases USING COVERING INDEX cases_journal")
