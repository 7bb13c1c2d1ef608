"""What lists remember: the same as without, whatever is written between, by whomever, and only what changed is read again."""

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from dryfloor.cli.store import store as module
from dryfloor.cli.store.lines import Lines
from dryfloor.cli.store.store import Store
from dryfloor.cli.store.waiting import STATES, waiting
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import QueueMark
from tests.support.stored import marked

ACTS = st.sampled_from(
    ["begin", "add", "undo", "put", "note", "note beside", "close", "queue", "refer", "forget", "photo", "date"]
)


def act(store, what, cases, n):
    """Do something to one of the cases, or begin one."""
    if what == "begin" or not cases:
        cases.append(store.begin(f"ref {n}"))
        return
    case = cases[n % len(cases)]
    if what == "forget":
        cases.remove(case)
    if what == "note beside":
        marked(store, case, "attic", 12, "1", "another")
        store.note(case, f"note {n}")
        store._db.execute("DELETE FROM holds WHERE of=?", (case,))
        return
    {
        "add": lambda: store.add(case, Event(complaints=["walks"])),
        "undo": lambda: store.undo(case, 1),
        "put": lambda: store.put(case, 0, Event(note=f"put {n}")),
        "note": lambda: store.note(case, f"note {n}"),
        "close": lambda: store.add(case, Event(closed="solved")),
        "queue": lambda: store.queue(case, QueueMark(soon=bool(n % 2))),
        "refer": lambda: store.refer(case, f"ref {n}"),
        "forget": lambda: store.forget(case),
        "photo": lambda: store.photograph(case, b"body", b"small"),
        "date": lambda: store.date(case, 1_700_000_000_000 + n),
    }[what]()


@settings(deadline=None, max_examples=25)
@given(acts=st.lists(st.tuples(ACTS, st.integers(0, 9)), max_size=15))
def test_a_list_that_remembers_shows_what_one_that_does_not_shows(tmp_path_factory, acts):
    path = tmp_path_factory.mktemp("lines") / "cases.db"
    with Store.open(path) as store, Store.open(path, lines=Lines()) as remembers:
        cases = []
        for what, n in acts:
            act(store, what, cases, n)
            assert remembers.find() == store.find()
            assert remembers.find(text="note") == store.find(text="note")
            assert remembers.calls(STATES) == store.calls(STATES)


@pytest.fixture
def count(monkeypatch):
    """The cases whose rows are read, in order."""
    read, whole = [], module.read
    monkeypatch.setattr(module, "read", lambda db, name: read.append(name) or whole(db, name))
    return read


def test_only_what_went_on_is_read_again(place, count):
    with Store.open(place) as store, Store.open(place, lines=Lines()) as desk:
        cases = [store.begin() for _ in range(20)]
        for case in cases:
            store.add(case, Event(complaints=["walks"]))
        first = {c.case for c in waiting(desk)}
        assert (first, len(count)) == ({*cases}, 20)
        count.clear()
        store.add(cases[3], Event(closed="solved"))
        store.queue(cases[4], QueueMark(has="ann"))
        found = {c.case: c for c in waiting(desk)}
        assert {*found} == {*cases} - {cases[3]}
        assert found[cases[4]].queued.who == "ann"
        assert {*count} == {cases[3], cases[4]}


def test_what_is_damaged_is_never_remembered(place, count):
    with Store.open(place) as store, Store.open(place, lines=Lines()) as desk:
        case = store.begin()
        store.add(case, Event(complaints=["walks"]))
        store._db.execute("UPDATE rows SET body=replace(body, 'walks', 'wolks')")
        for _ in range(2):
            assert [line.state for line in desk.find()] == ["damaged"]
        assert len(count) == 2


def test_what_a_list_gave_out_may_be_changed(place):
    with Store.open(place, lines=Lines()) as desk:
        case = desk.begin()
        desk.add(case, Event(complaints=["walks"]))
        desk.calls(STATES)[0][1].clear()
        assert desk.calls(STATES)[0][1] == [Event(complaints=["walks"])]


def test_nothing_of_a_case_that_was_forgotten_is_remembered(place):
    lines = Lines()
    with Store.open(place) as store, Store.open(place, lines=lines) as desk:
        stays = store.begin("stays")
        for look in (desk.find, lambda: desk.calls(STATES)):
            gone = store.begin("gone")
            look()
            assert {*lines._known} == {gone, stays}
            store.forget(gone)
            look()
            assert {*lines._known} == {stays}
