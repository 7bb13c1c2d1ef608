"""A case by its name: a file, or standard input."""

import argparse

import pytest

from dryfloor.cli.inputs import case_events
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.case_file import dump
from dryfloor.engine.errors import InvalidInputError
from tests.support.telling import HANDED_OVER


def named(name, store=None):
    """The arguments of a command that is given a case."""
    return argparse.Namespace(case=str(name), store=store)


def test_a_file_and_a_pipe_give_the_same(kb, make_env, tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text(dump(HANDED_OVER))
    assert case_events(kb, named(path), make_env()) == HANDED_OVER
    assert case_events(kb, named("-"), make_env(dump(HANDED_OVER))) == HANDED_OVER
    assert case_events(kb, named("-"), make_env(dump(HANDED_OVER).encode())) == HANDED_OVER


def test_a_case_that_can_not_be_used_is_refused(kb, make_env, tmp_path):
    with pytest.raises(InvalidInputError):
        case_events(kb, named(tmp_path / "none.yaml"), make_env())
    with pytest.raises(InvalidInputError):
        case_events(kb, named("-"), make_env("role: plumer\n"))


def test_the_id_of_a_kept_case_gives_its_events_however_it_is_read_out(kb, make_env, tmp_path, monkeypatch):
    env = make_env()
    with Store.open(env.data_dir / "cases.db") as store:
        case = store.begin()
        for event in HANDED_OVER:
            store.add(case, event)
    for said in (case, case.lower(), f"{case[:3]}-{case[3:]}"):
        # All but the gates: who vouched for them then does not do so now.
        assert case_events(kb, named(said), env) == [e for e in HANDED_OVER if not e.cleared]
    with pytest.raises(InvalidInputError) as refused:
        case_events(kb, named("ZZZZZZ"), env)
    assert refused.value.problems[0].code == "J014"
    # A file of that name goes before it.
    monkeypatch.chdir(tmp_path)
    (tmp_path / case).write_text("role: desk\n")
    assert [e.role for e in case_events(kb, named(case), env)] == ["desk"]


def test_commands_take_a_kept_case(kb, run, make_env):
    with Store.open(make_env().data_dir / "cases.db") as store:
        case = store.begin()
        for event in HANDED_OVER:
            store.add(case, event)
    for command in ("advise", "handover", "bring", "report"):
        result = run(command, case, "--json")
        assert result.code in (0, 1), result.err
        assert f'"command":"{command}"' in result.out.replace('": "', '":"')
