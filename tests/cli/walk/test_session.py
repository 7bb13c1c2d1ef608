"""Between the offer of a case and the answer to it: whatever happened to the case or the store is said, and a new case begins."""

import argparse
import os

import pytest

from dryfloor.cli.store.database.errors import damaged
from dryfloor.cli.store.database.lock import boot, born, host
from dryfloor.cli.store.store import Store
from dryfloor.cli.walk import offer
from dryfloor.cli.walk.offer import FIRST
from dryfloor.cli.walk.session import Session
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from tests.support.stored import EVENTS, filled, marked

PARENT = os.getppid()


@pytest.fixture
def path(make_env):
    return make_env().data_dir / "cases.db"


@pytest.fixture
def meanwhile(monkeypatch):
    """Let something happen once the case is offered, before the store is opened."""

    def happens(what):
        look = offer.look

        def looked(args, env):
            opening = look(args, env)
            assert opening.store is None
            what()
            return opening

        monkeypatch.setattr(offer, "look", looked)

    return happens


def kept(path):
    """The words of each case, and its state."""
    with Store.open(path) as store:
        return {(c.words, c.state) for c in store.find()}


def ran(run, typed):
    done = run(typed=typed)
    assert "Traceback" not in done.out + done.err
    assert "a fault in dryfloor" not in done.err
    assert done.out.startswith('A walk was cut off: "it hops", 2 answers.\nGo on with it?')
    return done


def change(path, *events, sql=""):
    """What another window does to the only case."""
    with Store.open(path) as store:
        for event in events:
            store.add(store.find()[0].id, event)
        if sql:
            store._db.execute(sql)


@pytest.mark.parametrize(
    ("events", "said"),
    [
        ([Event(closed="solved")], "was closed since it was offered"),
        ([Event(closed="handed-on")], "was handed on since it was offered"),
        ([Event(closed="on-trial")], "went on trial since it was offered"),
    ],
)
def test_a_case_that_stands_otherwise_by_now_is_not_gone_on_with(run, path, meanwhile, events, said):
    store, case = filled(path)
    store.close()
    meanwhile(lambda: change(path, *events))
    done = ran(run, "yes\nit does not drain\nyes\n")
    assert f"case {case} {said}" in " ".join(done.err.split())
    assert "This is a new case." in done.err
    assert FIRST in done.out
    with Store.open(path) as store:
        assert store.events(case) == [*EVENTS, *events]
        assert not store.held(case)
        assert store._db.execute("SELECT count(*) FROM holds").fetchone() == (0,)
        assert {c.words for c in store.find()} == {"it hops", "it does not drain"}


def test_a_case_that_somebody_else_took_is_theirs(run, path, meanwhile):
    store, case = filled(path)
    store.close()

    def take():
        with Store.open(path) as store:
            marked(store, case, host(), PARENT, born(PARENT), boot())

    meanwhile(take)
    done = ran(run, "yes\nit does not drain\nyes\n")
    assert f"J011 case {case} is open in another window" in done.err
    assert FIRST in done.out
    assert kept(path) == {("it hops", "open"), ("it does not drain", "open")}
    with Store.open(path) as store:
        assert store.held(case)
        assert store.events(case) == EVENTS


def test_a_case_that_is_damaged_by_now_is_said(run, path, meanwhile):
    filled(path)[0].close()
    meanwhile(lambda: change(path, sql="UPDATE rows SET body='{' WHERE number=3"))
    done = ran(run, "yes\nit does not drain\nyes\n")
    assert "J013" in done.err
    assert FIRST in done.out
    assert kept(path) == {("it hops", "damaged"), ("it does not drain", "open")}


def test_a_case_that_was_removed_is_said(run, path, meanwhile):
    store, case = filled(path)
    store.close()
    meanwhile(lambda: change(path, sql="DELETE FROM cases"))
    done = ran(run, "yes\nit does not drain\nyes\n")
    assert f"J014 there is no case '{case}'" in done.err
    assert FIRST in done.out
    assert kept(path) == {("it does not drain", "open")}


def test_no_declines_nothing_that_is_gone(run, path, meanwhile):
    filled(path)[0].close()
    meanwhile(lambda: change(path, sql="DELETE FROM cases"))
    done = ran(run, "no\nit does not drain\nyes\n")
    assert FIRST in done.out
    assert kept(path) == {("it does not drain", "open")}


@pytest.mark.parametrize(
    "typed", ["yes\nit does not drain\nyes\n", "no\nit does not drain\nyes\n", "it does not drain\nyes\n"]
)
def test_a_store_that_can_not_be_opened_any_more_leaves_a_walk_that_is_not_kept(run, path, meanwhile, typed):
    filled(path)[0].close()
    meanwhile(lambda: path.write_bytes(b"no store at all" * 99))
    done = ran(run, typed)
    assert "J013" in done.err
    assert "can't be used" in done.err
    assert (FIRST in done.out) == (typed[0] in "yn")
    assert "BEFORE ANYTHING ELSE" in done.out
    assert path.read_bytes() == b"no store at all" * 99


def test_more_answers_by_another_window_are_gone_on_with(run, path, meanwhile):
    store, case = filled(path)
    store.close()
    more = Event(note="the feet were turned")
    meanwhile(lambda: change(path, more))
    done = ran(run, "yes\n")
    assert f"CASE {case}" in done.out
    with Store.open(path) as store:
        assert store.events(case)[: len(EVENTS) + 1] == [*EVENTS, more]


def test_leaving_at_the_offer_leaves_the_store_closed(run, path):
    filled(path)[0].close()
    ran(run, "")
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_what_is_left_out_of_a_case_that_could_not_be_had_is_not_said(run, path, meanwhile):
    """The kb does not know one of its answers; the new case does not hear of it."""
    filled(path, [*EVENTS, Event(check="gone-check", answer="yes")])[0].close()
    meanwhile(lambda: change(path, Event(closed="solved")))
    done = run(typed="yes\nit does not drain\nyes\n")
    assert "gone-check" not in done.out + done.err
    assert "was closed since" in " ".join(done.err.split())


def test_nothing_is_left_of_a_case_that_could_not_be_taken_up(make_env, path, kb, monkeypatch):
    """Whatever fails in taking up, and however late: the new case has no event of it, and it is in nobody's hands."""
    store, case = filled(path)
    store.close()
    env = make_env()
    args = argparse.Namespace(store=None, reference=None, after=None, kb=None, case=None, json=False)
    start = Session(args, env, kb, offer.look(args, env), None)

    def failed(*_):
        raise InvalidInputError([damaged(path, "made up")])

    monkeypatch.setattr(Store, "stamped", failed)
    start.answered(True, False, FIRST)
    assert (start.case, start.line, start.events, start.places, start.lines, start.log.case) == (
        None,
        None,
        [],
        [],
        [],
        None,
    )
    assert start.store._db.execute("SELECT count(*) FROM holds").fetchone() == (0,)
    start.close()
    assert "made up" in env.stderr.getvalue()
    assert env.stdout.getvalue() == FIRST + "\n"
    with Store.open(path) as again:
        assert again.events(case) == EVENTS
