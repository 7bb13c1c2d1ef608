"""Cases carried from store to store and through a file: all of them, once, and what can't be carried is said."""

import json

import pytest

from dryfloor.cli.store.carried_file import FORM, VERSION
from dryfloor.cli.store.database.checksums import checksum
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError, Problem
from tests.support.stored import EVENTS, marked


@pytest.fixture
def source(tmp_path):
    """A store with three cases, one of them after another."""
    path = tmp_path / "old.db"
    with Store.open(path) as store:
        first = store.begin("Alder 4")
        for event in EVENTS:
            store.add(first, event)
        later = store.begin("Alder 4", earlier=first)
        store.add(later, EVENTS[1])
        token = store.link(later)
        store.begin("Birch 9")
    return path, first, later, token


def both(*paths):
    out = []
    for path in paths:
        with Store.open(path, write=False) as store:
            out.append({line.id: store.record(line.id) for line in store.find()})
    return out


def test_move_carries_everything_and_may_be_run_again(run, source, tmp_path):
    path, first, later, token = source
    target = tmp_path / "new.db"
    done = run("move", "--from", str(path), "--to", str(target))
    assert done.code == 0
    assert "3 new here." in done.out
    old, new = both(path, target)
    assert old == new
    with Store.open(target) as store:
        assert store.by_link(token) == later
        assert store.line(later).earlier == first
        assert store.verify()[2] == []
    again = run("move", "--from", str(path), "--to", str(target), "--json")
    assert sorted(json.loads(again.out)["data"]["same"]) == sorted(old)
    assert both(path, target) == [old, new]


def test_a_move_that_was_cut_is_ended_by_the_next(run, source, tmp_path, monkeypatch):
    path, *_ = source
    target = tmp_path / "new.db"
    whole = Store.adopt
    seen = []

    def cut(self, record):
        if len(seen) == 1:
            raise KeyboardInterrupt
        seen.append(record.id)
        return whole(self, record)

    monkeypatch.setattr(Store, "adopt", cut)
    assert run("move", "--from", str(path), "--to", str(target)).code == 130
    monkeypatch.setattr(Store, "adopt", whole)
    assert run("move", "--from", str(path), "--to", str(target)).code == 0
    old, new = both(path, target)
    assert old == new


def test_a_file_carries_what_was_done_without_a_network_and_back(run, source, tmp_path):
    path, first, _, _ = source
    van, out = tmp_path / "van.db", tmp_path / "monday.cases"
    assert run("export", "--all", "-o", str(out), "--store", str(path)).code == 0
    assert run("import", str(out), "--store", str(van)).code == 0
    old, new = both(path, van)
    assert old == new
    with Store.open(van) as store:
        store.add(first, Event(note="in the van"))
    with Store.open(path) as store:
        store.add(first, Event(note="at the desk"))
    assert run("export", "--all", "-o", str(out), "--store", str(van)).code == 0
    done = run("import", str(out), "--store", str(path))
    assert (
        done.code,
        f"worked on at both ends: look at them, what was kept at the other one stands behind a note: {first}"
        in " ".join(done.out.split()),
    ) == (0, True)
    with Store.open(path) as store:
        notes = [e.note for e in store.events(first) if e.note]
    assert notes[-3] == "at the desk"
    assert notes[-2].startswith("This case was worked on at both ends.")
    assert notes[-1] == "in the van"
    again = run("import", str(out), "--store", str(path), "--json")
    assert sorted(json.loads(again.out)["data"]["same"]) == sorted(old)


def test_a_line_that_was_cut_or_changed_is_left_out_and_said(run, source, tmp_path):
    path, first, _, _ = source
    out = tmp_path / "monday.cases"
    run("export", "--all", "-o", str(out), "--store", str(path))
    lines = out.read_text().splitlines()
    at = next(n for n, line in enumerate(lines) if f'"id":"{first}"' in line)
    lines[at] = lines[at].replace("hops", "hopt")
    out.write_text("\n".join(lines)[:-20])
    done = run("import", str(out), "--store", str(tmp_path / "new.db"), "--json")
    data = json.loads(done.out)["data"]
    assert done.code == 2
    assert [(p["code"], p["file"], p["line"]) for p in data["problems"]] == [
        ("J026", str(out), at + 1),
        ("J026", str(out), len(lines)),
    ]
    assert len(data["new"]) == 1


@pytest.mark.parametrize(
    ("text", "code"),
    [("", "J025"), ("role: desk\n", "J025"), ("[1]\n", "J025"), ('{"file":"dryfloor cases","version":9}\n', "J012")],
)
def test_what_is_no_file_of_cases_is_refused(run, tmp_path, text, code):
    path = tmp_path / "x.cases"
    path.write_text(text)
    done = run("import", str(path), "--store", str(tmp_path / "new.db"))
    assert done.code == 2
    assert code in done.err
    assert "Traceback" not in done.err


def test_what_is_meant_must_be_clear(run, tmp_path):
    assert "J025" in run("import", str(tmp_path / "none")).err
    assert "J027" in run("move", "--from", "a.db", "--to", "a.db").err
    assert "U034" in run("export").err
    assert "U034" in run("export", "K7M3R4", "--all").err
    assert run("move", "--from", str(tmp_path / "none.db"), "--to", str(tmp_path / "b.db")).code == 2
    assert not (tmp_path / "b.db").exists()


def test_a_case_in_other_hands_is_left_and_said(run, source, tmp_path):
    path, first, _, _ = source
    out = tmp_path / "monday.cases"
    run("export", "--all", "-o", str(out), "--store", str(path))
    with Store.open(path) as store:
        store.add(first, Event(note="more"))
    with Store.open(tmp_path / "new.db") as store:
        run("import", str(out), "--store", str(tmp_path / "new.db"))
        marked(store, first, "attic", 12, "1", "another")
        done = run("move", "--from", str(path), "--to", str(tmp_path / "new.db"))
    assert (done.code, "J011" in done.out) == (2, True)


def test_photos_are_carried_once(run, source, tmp_path):
    path, first, later, _ = source
    with Store.open(path) as store:
        store.photograph(first, b"one", b"small one")
        store.photograph(later, b"two", b"small two")
    target = tmp_path / "new.db"
    for _ in range(2):
        assert run("move", "--from", str(path), "--to", str(target)).code == 0
        with Store.open(target) as store:
            kept = {c: [store.photo(c, p.number) for p in store.photos(c)] for c in (first, later)}
        assert kept == {first: [(b"one", b"small one")], later: [(b"two", b"small two")]}
    with Store.open(path) as store:
        store.photograph(first, b"three", b"small three")
    run("move", "--from", str(path), "--to", str(target))
    with Store.open(target) as store:
        assert len(store.photos(first)) == 2


def test_what_does_not_read_there_as_here_is_said(run, source, tmp_path, monkeypatch):
    """Each case is read back where it was carried to: a row that did not arrive is told, and what came over is kept."""
    path, first, *_ = source
    whole = Store._row

    def lossy(self, name, body, at):
        if "rocks-by-hand" not in body:
            whole(self, name, body, at)

    monkeypatch.setattr(Store, "_row", lossy)
    done = run("move", "--from", str(path), "--to", str(tmp_path / "new.db"))
    assert (done.code, "J028" in done.out, first in done.out) == (2, True, True)
    monkeypatch.setattr(Store, "_row", whole)
    again = run("move", "--from", str(path), "--to", str(tmp_path / "new.db"))
    assert (again.code, first in again.out) == (0, True)


def test_a_case_comes_behind_the_one_that_it_follows_whatever_their_dates_say(run, tmp_path):
    path, target = tmp_path / "old.db", tmp_path / "new.db"
    with Store.open(path) as store:
        chain = [store.begin("Alder 4")]
        for _ in range(3):
            chain.append(store.begin("Alder 4", earlier=chain[-1]))
        for n, case in enumerate(chain):
            store.add(case, EVENTS[1])
            store.date(case, 1_700_000_000_000 - n * 86_400_000)  # a clock that was set back
    assert run("move", "--from", str(path), "--to", str(target)).code == 0
    with Store.open(target) as store:
        assert [store.line(case).earlier for case in chain] == [None, *chain[:-1]]


def test_notes_that_wait_beside_a_case_are_carried_with_it(run, source, tmp_path):
    path, first, *_ = source
    with Store.open(path) as store:
        marked(store, first, "attic", 12, "1", "another")
        store.note(first, "rings back")
        assert run("move", "--from", str(path), "--to", str(tmp_path / "new.db")).code == 0
    with Store.open(tmp_path / "new.db") as store:
        assert store.events(first)[-1] == Event(note="rings back")
    assert run("export", "--all", "-o", str(tmp_path / "x.cases"), "--store", str(path)).code == 0
    assert "rings back" in (tmp_path / "x.cases").read_text()


@pytest.mark.parametrize(
    "wrong",
    [
        {"id": "../etc"}, {"id": "a2c3f4"}, {"id": "A2C3F44"}, {"earlier": "x"}, {"began": -1}, {"touched": 10**18}, {"declined": 7},
        {"reference": "a\x00b"}, {"rows": ["\x00"]}, {"times": [-5]}, {"marks": [[-1, "{}"]]}, {"marks": [[1, "\x00"]]}, {"journal": "\x00"},
    ],
)  # fmt: skip
def test_a_line_that_no_store_could_have_written_is_left_out_however_sound_it_is(run, tmp_path, wrong):
    good = {"id": "A2C3F4", "began": 1, "touched": 2, "rows": ['{"note":"a"}']}
    lines = [json.dumps({"file": FORM, "version": VERSION})]
    for record in (good | {"id": "H5J6K7"}, good | wrong):
        raw = json.dumps(record).encode()
        lines.append(f'{{"case":{raw.decode()},"sum":{checksum(raw)}}}')
    path = tmp_path / "x.cases"
    path.write_text("\n".join(lines))
    done = run("import", str(path), "--store", str(tmp_path / "new.db"), "--json")
    data = json.loads(done.out)["data"]
    assert (data["new"], [(p["code"], p["line"]) for p in data["problems"]]) == (["H5J6K7"], [("J026", 3)])


def test_a_case_comes_over_with_its_links_and_photos_or_not_at_all(run, source, tmp_path, monkeypatch):
    path, *_ = source

    def full(*_):
        raise InvalidInputError([Problem(code="J001", message="no room", mend="make some")])

    with monkeypatch.context() as patch:
        patch.setattr(Store, "link_by", full)
        assert run("move", "--from", str(path), "--to", str(tmp_path / "new.db")).code == 2
        with Store.open(tmp_path / "new.db") as store:
            assert store.find() == []
    assert run("move", "--from", str(path), "--to", str(tmp_path / "new.db")).code == 0
    old, new = both(path, tmp_path / "new.db")
    assert old == new


def test_a_damaged_case_and_a_damaged_link_stay_behind_and_the_case_is_said(run, source, tmp_path):
    path, first, later, token = source
    with Store.open(path) as store:
        store._db.execute("UPDATE rows SET body=replace(body, 'hops', 'hopz') WHERE of=?", (first,))
        store._db.execute("UPDATE links SET sum=sum+1")
    done = run("move", "--from", str(path), "--to", str(tmp_path / "new.db"), "--json")
    data = json.loads(done.out)["data"]
    assert (done.code, len(data["new"]), [p["code"] for p in data["problems"]]) == (2, 2, ["J013"])
    assert first in data["problems"][0]["message"]
    with Store.open(tmp_path / "new.db") as store:
        assert (first in {c.id for c in store.find()}, store.by_link(token)) == (False, None)
        assert store.link_digests(later) == []
