"""Photos beside a case's rows: whoever holds it, checked, exported, in stores of before, and gone when they are forgotten."""

import shutil

import pytest

from dryfloor.cli.store import photos
from dryfloor.cli.store.database import schema
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.places import TESTS
from tests.support.stored import EVENTS, filled, marked, refused

BODY, SMALL = bytes(range(256)) * 90, b"MARKER-small" * 40


def damage(store):
    """What is damaged in a store, without what is said of a server's own settings."""
    return [text for text in store.verify()[2] if not text.startswith("The server ")]


def test_a_photo_is_no_row_of_the_case(place):
    store, case = filled(place)
    last = store.last(case)
    marked(store, case, "another-machine", 12, "", "")
    one, two = (store.photograph(case, body, SMALL) for body in (BODY, BODY[1:]))
    assert (store.last(case), store.events(case)) == (last, EVENTS)
    assert [p.number for p in store.photos(case)] == [one, two]
    assert store.photos(case)[0].kept.startswith("20")
    assert store.photo(case, two) == (BODY[1:], SMALL)
    other = store.begin()
    assert store.photo(other, two) is None
    assert store.photos(other) == []
    assert refused(store.photograph, "A2C3F4", BODY, SMALL).code == "J014"
    assert damage(store) == []


def test_one_that_is_damaged_is_told_and_not_shown(place):
    store, case = filled(place)
    one, two = (store.photograph(case, BODY, SMALL) for _ in range(2))
    store._db.execute("UPDATE photos SET body=? WHERE number=?", (BODY[:-1] + b"!", one))
    assert store.photo(case, one) is None
    assert store.photo(case, two)
    assert damage(store) == [f"A photo of case {case} is damaged and is not shown; the caller can send it again."]


def test_there_is_room_for_so_many_and_no_more(place, monkeypatch):
    store, case = filled(place)
    for _ in range(photos.MOST):
        store.photograph(case, BODY, SMALL)
    assert refused(store.photograph, case, BODY, SMALL).code == "J029"
    store.remove_photo(case, store.photos(case)[0].number)
    store.photograph(case, BODY, SMALL)
    monkeypatch.setattr(photos, "MOST_BYTES", photos.MOST * (len(BODY) + len(SMALL)))
    other = store.begin()
    assert refused(store.photograph, other, BODY, SMALL).code == "J030"
    assert store.photos(other) == []


@pytest.mark.parametrize("way", ["remove", "forget", "forget_all"])
def test_it_leaves_no_byte(tmp_path, way):
    store, case = filled(tmp_path / "c.db")
    one = store.photograph(case, BODY, SMALL)
    stays = store.begin()
    two = store.photograph(stays, BODY[7:], b"")
    raw = b"".join(p.read_bytes() for p in tmp_path.iterdir())
    assert SMALL in raw
    if way == "remove":
        assert store.remove_photo(case, one)
        assert not store.remove_photo(case, one)
        assert not store.remove_photo(case, two)
    elif way == "forget":
        store.forget(case)
    else:
        assert store.forget_all([case]) == 1
    assert not any(SMALL[:24] in p.read_bytes() for p in tmp_path.iterdir())
    assert store.photo(stays, two) == (BODY[7:], b"")
    assert store.verify()[2] == []


def test_a_removal_that_was_cut_short_is_finished_by_whoever_opens_it_next(tmp_path, monkeypatch):
    store, case = filled(tmp_path / "c.db")
    one = store.photograph(case, BODY, SMALL)
    monkeypatch.setattr(Store, "_scrub", lambda _: None)
    store.remove_photo(case, one)
    monkeypatch.undo()
    assert any(SMALL[:24] in p.read_bytes() for p in tmp_path.iterdir())
    Store.open(tmp_path / "c.db").close()
    assert not any(SMALL[:24] in p.read_bytes() for p in tmp_path.iterdir())


@pytest.mark.parametrize("name", ["first", "fourth", "fifth"])
@pytest.mark.parametrize("write", [True, False])
def test_a_store_of_before_gets_room_for_photos(tmp_path, name, write):
    path = shutil.copy(TESTS / "stores" / f"{name}.db", tmp_path / "cases.db")
    with Store.open(path, write=write) as store:
        cases = store.find()
        assert {c.id: store.photos(c.id) for c in cases} == {c.id: [] for c in cases}
        assert store.verify()[2] == []
    with Store.open(path) as store:
        store.photograph(cases[0].id, BODY, SMALL)
        assert store.verify()[2] == []
        assert store._db.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
    assert schema.VERSION == 7


def test_the_fourth_version_is_read_as_it_was(tmp_path):
    path = shutil.copy(TESTS / "stores" / "fourth.db", tmp_path / "cases.db")
    with Store.open(path) as store:
        case = store.by_link("a-link-of-the-fourth-version")
        assert store.events(case) == [Event(role="homeowner"), Event(complaints=["siphons"])]
        earlier = store.line(case).earlier
        assert store.line(earlier).reference == "Alder Lane 4"
        assert store.events(earlier)[-1].note == "key is with the neighbour"


def test_it_is_exported_beside_the_case_and_nothing_is_written_over(run, tmp_path):
    path = tmp_path / "c.db"
    store, case = filled(path)
    store.photograph(case, BODY, SMALL)
    store.close()
    assert "photos" in run("show", case, "--store", str(path)).out
    folder = tmp_path / "out"
    done = run("export", case, "--store", str(path), "-o", str(tmp_path / "case.yaml"), "--photos", str(folder))
    assert done.code == 0
    assert (folder / f"{case}-1.jpg").read_bytes() == BODY
    assert (folder / f"{case}-1.jpg").stat().st_mode & 0o077 == 0
    again = run("export", case, "--store", str(path), "--photos", str(folder))
    assert again.code == 2
    assert "there already" in again.out + again.err
