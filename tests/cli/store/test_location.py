"""Where the store is, and the journals of before: each comes into it once, none is lost."""

import argparse
import fcntl

import msgspec
import pytest

from dryfloor.cli.store import location
from dryfloor.cli.store.location import there, where
from dryfloor.cli.store.opening import carry_over, open_store
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event

EVENTS = [
    Event(role="desk"),
    Event(heard="it hops", complaints=["walks"]),
    Event(check="rocks-by-hand", answer="rocks"),
]
ARGS = argparse.Namespace(store=None)


@pytest.fixture
def env(make_env):
    made = make_env()
    (made.data_dir / "cases").mkdir(parents=True)
    return made


def journal(env, name, *records):
    path = env.data_dir / "cases" / f"{name}.jsonl"
    path.write_bytes(b"".join(msgspec.json.encode(r) + b"\n" for r in records))
    return path


def test_the_store_is_in_the_data_folder_unless_another_is_named(make_env, tmp_path):
    env = make_env()
    assert where(ARGS, env) == env.data_dir / "cases.db"
    assert where(argparse.Namespace(store=str(tmp_path / "x")), env) == tmp_path / "x"
    assert where(argparse.Namespace(store=":memory:"), env) == ":memory:"
    assert not there(ARGS, env)
    open_store(ARGS, env).close()
    assert there(ARGS, env)


def test_journals_come_in_once_and_their_files_stay(env):
    one, two = journal(env, "1", *EVENTS, {"undo": 1}), journal(env, "2", EVENTS[1], Event(closed="solved"))
    nothing = journal(env, "3", Event(role="desk"))
    raw = {p.name: p.read_bytes() for p in (one, two, nothing)}
    assert there(ARGS, env)
    for _ in range(2):
        with open_store(ARGS, env) as store:
            assert {(c.words, c.state, c.answers) for c in store.find()} == {
                ("it hops", "open", 0),
                ("it hops", "closed", 0),
            }
            case = store.carried("1.jsonl")
            assert store.events(case) == EVENTS[:2]
            assert store.journal(case) == "1.jsonl"
    assert {p.name.removesuffix(".imported"): p.read_bytes() for p in (env.data_dir / "cases").iterdir()} == raw


def test_a_journal_has_the_time_of_its_file(env):
    path = journal(env, "1", *EVENTS)
    __import__("os").utime(path, (1e9, 1e9))
    with open_store(ARGS, env) as store:
        line = store.find()[0]
    assert (line.began, line.touched) == ("2001-09-09T01:46:40Z", "2001-09-09T01:46:40Z")


def test_a_kill_between_keeping_and_renaming_makes_no_second_case(env, monkeypatch):
    path = journal(env, "1", *EVENTS)
    with Store.open(env.data_dir / "cases.db") as store:
        monkeypatch.setattr(location.Path, "rename", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            carry_over(store, [path])
        monkeypatch.undo()
        assert path.exists()
        assert carry_over(store, [path]) == []
        assert len(store.find()) == 1
    assert not path.exists()


def test_a_journal_that_an_older_walk_still_writes_is_left_for_later(env):
    path = journal(env, "1", *EVENTS)
    with open(path, "ab") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        with open_store(ARGS, env) as store:
            assert store.find() == []
    assert path.exists()
    with open_store(ARGS, env) as store:
        assert len(store.find()) == 1


def test_another_store_takes_no_journals(env, tmp_path):
    journal(env, "1", *EVENTS)
    with open_store(argparse.Namespace(store=str(tmp_path / "x.db")), env) as store:
        assert store.find() == []
