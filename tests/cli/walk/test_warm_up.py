"""What is done behind the first question: the kb is there when it is asked for, and what is wrong with it is told at once."""

import argparse
import threading

import pytest

from dryfloor.cli.walk import warm_up
from dryfloor.cli.walk.warm_up import WarmUp
from dryfloor.engine.diagnosis import network
from dryfloor.engine.errors import InvalidInputError


def args(**more):
    return argparse.Namespace(**{"kb": None, "machine": None, "cleared": [], **more})


def test_the_kb_is_read_once_and_its_network_is_ready(make_env, monkeypatch):
    begun = []
    monkeypatch.setattr(warm_up, "behind", lambda work, *given: begun.append(work) or run(work, *given))
    made = WarmUp(args(), make_env())
    made.start()
    made.start()
    kb = made.kb()
    assert made.kb() is kb
    made.index(kb)
    made.join()
    assert len(begun) == 2
    assert any(known is kb for known, _ in network._nets)


def run(work, *given):
    thread = threading.Thread(target=work, args=given)
    thread.start()
    return thread


def test_what_was_not_begun_is_done_when_it_is_asked_for(make_env):
    assert WarmUp(args(), make_env()).kb().complaints


@pytest.mark.parametrize("more", [{"cleared": ["gas-smel"]}, {"machine": "no-such-sheet"}, {"kb": "no-such-folder"}])
def test_what_is_wrong_is_told_while_the_person_reads(make_env, more):
    told = []
    made = WarmUp(args(**more), make_env())
    made.start(told.append)
    made.join()
    assert [type(error) for error in told] == [InvalidInputError]
    if "cleared" not in more:
        with pytest.raises(InvalidInputError):
            made.kb()
