"""One case as a walk writes in it: begun with the first thing said, and right about places that the walk does not see."""

import pytest

from dryfloor.cli.store.location import beside
from dryfloor.cli.store.store import Store
from dryfloor.cli.store.writer import CaseWriter
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError

ROLE, SAID = Event(role="desk"), Event(heard="it hops", complaints=["walks"])
NEW, MOVED, ROCKS = (
    Event(fact="onset", is_="new"),
    Event(fact="onset", is_="moved"),
    Event(check="rocks-by-hand", answer="rocks"),
)
GONE = Event(check="check-of-an-older-kb", answer="yes")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "cases.db"


def lines(path):
    with Store.open(path) as store:
        return store.find()


def test_nothing_is_begun_before_something_is_said(path):
    writer = CaseWriter(Store.open(path), reference="Alder 4", kb="k1", source="/x.yaml")
    for event in (ROLE, Event(cleared="gas-smell"), Event(role="technician")):
        writer.add(event)
    writer.take_back(1)
    writer.put(0, Event(role="homeowner"))
    assert writer.case is None
    assert lines(path) == []
    writer.add(SAID)
    with Store.open(path) as store:
        assert store.events(writer.case) == [Event(role="homeowner"), SAID]
        assert (store.stamped(writer.case), store.journal(writer.case), store.line(writer.case).reference) == (
            "k1",
            "/x.yaml",
            "Alder 4",
        )
        assert store._db.execute("SELECT count(*) FROM holds").fetchone() == (1,)
    writer.close()
    with Store.open(path) as store:
        assert store._db.execute("SELECT count(*) FROM holds").fetchone() == (0,)


def test_a_beginning_that_fails_is_whole_when_it_is_tried_again(path, monkeypatch):
    writer = CaseWriter(Store.open(path))
    writer.add(ROLE)
    real = Store.add
    monkeypatch.setattr(Store, "add", lambda *_: (_ for _ in ()).throw(InvalidInputError([])))
    with pytest.raises(InvalidInputError):
        writer.add(SAID)
    assert lines(path) == []
    monkeypatch.setattr(Store, "add", real)
    writer.add(SAID)
    with Store.open(path) as store:
        assert store.events(writer.case) == [ROLE, SAID]


def known(path):
    """A kept case with events of an older kb in it, taken up by a walk that sees the others."""
    store = Store.open(path)
    case = store.begin()
    kept = [ROLE, GONE, SAID, GONE, NEW, GONE]
    for event in kept:
        store.add(case, event)
    return store, case, CaseWriter(store, case, [0, 2, 4], len(kept))


def test_what_the_walk_does_not_see_stays_in_its_place(path):
    store, case, writer = known(path)
    writer.put(2, MOVED)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, MOVED, GONE]
    writer.add(ROCKS)
    writer.take_back(3)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, MOVED, GONE]
    writer.add(ROCKS)
    writer.put(3, Event(check="rocks-by-hand", answer="firm"))
    assert store.events(case)[-1].answer == "firm"
    writer.take_back(2)
    assert store.events(case) == [ROLE, GONE, SAID, GONE]
    writer.add(NEW)
    assert store.events(case) == [ROLE, GONE, SAID, GONE, NEW]


def test_what_was_advised_is_kept_with_the_next_answer(path):
    store, case, writer = known(path)
    writer.saw(3, "check:foot-gap")
    assert store.seen(case) is None
    writer.add(ROCKS)
    assert store.seen(case) == (5, "check:foot-gap")  # the fifth that is kept is the third that is seen


def test_a_case_of_which_all_was_taken_back_is_gone(path):
    writer = CaseWriter(Store.open(path))
    writer.add(ROLE)
    writer.add(SAID)
    writer.take_back(1)
    writer.close()
    assert lines(path) == []


def test_a_whole_case_takes_the_place_of_what_was_kept_of_it(path):
    store, case, writer = known(path)
    writer.adopt([ROLE, SAID])
    assert store.events(case) == [ROLE, SAID]
    writer.add(ROCKS)
    writer.take_back(2)
    assert store.events(case) == [ROLE, SAID]


def test_without_a_store_nothing_is_kept_and_nothing_fails():
    writer = CaseWriter(None)
    for call in (
        lambda: writer.add(SAID),
        lambda: writer.take_back(0),
        lambda: writer.put(0, SAID),
        lambda: writer.adopt([SAID]),
        writer.hurry,
        writer.close,
    ):
        call()
    assert (writer.kept, writer.case, writer.beside) == (False, None, None)
    memory = CaseWriter(Store.open(":memory:"))
    memory.add(SAID)
    assert (memory.kept, memory.beside) == (False, None)


def test_a_hand_over_file_is_beside_the_store(path):
    writer = CaseWriter(Store.open(path))
    writer.add(SAID)
    assert writer.beside == beside(path, writer.case) == path.parent / f"{writer.case}.yaml"
