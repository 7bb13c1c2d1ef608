"""Kept cases as lessons: read once, in the order in which they began; a fault that took two visits is counted once."""

import argparse

import pytest

from dryfloor.cli.learning.closed import LATER, Taught, kept
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.env import Env
from dryfloor.engine.case.clearance import kept_of
from dryfloor.engine.case.events import Event
from tests.support.lessons import walked
from tests.support.shipped import shipped

OPEN_END = (
    Event(role="desk"),
    Event(complaints=["walks"]),
    Event(check="rocks-by-hand", answer="rocks"),
    Event(closed="handed-on"),
)


def solved():
    """A walked case that a proof ended."""
    return next(e for e in walked() if e[-1].proof)


def truth():
    return [e.remedy for e in solved() if e.remedy and e.did == "done"][-1]


@pytest.fixture
def place(tmp_path):
    return tmp_path / "cases.db"


def fill(place, *cases):
    """Write cases, each as events with the number of the one that it came after, an hour apart; return their ids."""
    clock, ids = [1_790_000_000.0], []
    with Store.open(place, now=lambda: clock[0]) as store:
        for events, earlier in cases:
            clock[0] += 3600
            ids.append(store.begin(earlier=None if earlier is None else ids[earlier]))
            for event in kept_of([*events]):
                store.add(ids[-1], event)
    return ids


def taught(place):
    return Taught(shipped(), argparse.Namespace(store=str(place), cases=None), Env())


def test_a_later_visit_gives_the_cause_and_is_not_counted_again(place):
    fill(place, (OPEN_END, None), (OPEN_END, None), (solved(), 0))
    reader = taught(place)
    found = [*reader.lessons()]
    assert [x.truth for x in found] == [truth(), None]
    assert found[0].told
    assert reader.left_out == {LATER: 1}
    assert (reader.count, reader.known) == (3, 1)


def test_of_two_later_visits_the_last_counts_and_a_visit_after_a_proof_is_a_case_of_its_own(place):
    other = (*OPEN_END, Event(turned_out="a foot", cause="foot-unloaded", by="technician"))
    fill(place, (OPEN_END, None), (solved(), 0), (other, 0), (other, 1))
    reader = taught(place)
    assert [x.truth for x in reader.lessons()] == ["foot-unloaded", "foot-unloaded"]
    assert reader.left_out == {LATER: 2}


@pytest.mark.parametrize("page", [1, 2, 100])
def test_cases_come_in_the_order_in_which_they_began_whatever_the_page(place, page):
    ids = fill(place, *[(OPEN_END, None)] * 5)
    with Store.open(place, write=False) as store:
        assert [line.id for line, _ in store.in_order(page)] == ids
        assert [events for _, events in store.in_order(page)] == [store.events(i) for i in ids]


def test_every_case_is_read_once(place, monkeypatch):
    """What was read twice before: a case that is linked to none is read once, whatever else there is."""
    from dryfloor.cli.store import store as module

    ids = fill(place, *[(OPEN_END, None)] * 4)
    read: list[str] = []
    real = module.read
    monkeypatch.setattr(module, "read", lambda db, name: read.append(name) or real(db, name))
    assert len([*taught(place).lessons()]) == len(ids)
    assert read == ids


def test_a_damaged_case_is_left_out(place):
    ids = fill(place, *[(OPEN_END, None)] * 3)
    with Store.open(place) as store:
        store._db.execute("UPDATE rows SET body='{}' WHERE of=?", (ids[1],))
    args = argparse.Namespace(store=str(place), cases=None)
    assert [c.name for c in kept(args, Env(), shipped())] == [ids[0], ids[2]]


def test_what_is_often_passed_over_is_told(place):
    """Six of eight cases: a look that nobody could make; another one, in two cases, is not told of."""
    cant = (*OPEN_END[:3], Event(cant="foot-gap"), OPEN_END[3])
    fill(place, *[(cant, None)] * 6, *[((*OPEN_END[:3], Event(cant="floor-soft"), OPEN_END[3]), None)] * 2)
    reader = taught(place)
    assert len([*reader.lessons()]) == 8
    (one,) = reader.often_passed_over()
    assert (one.check, one.cases, one.of) == ("foot-gap", 6, 6)
