"""A case by its name: a file, or standard input."""

import pytest
from telling import HANDED_OVER

from dryfloor.cli.given import case_events
from dryfloor.engine.casefile import dump
from dryfloor.engine.problems import Refused


def test_a_file_and_a_pipe_give_the_same(kb, make_env, tmp_path):
    path = tmp_path / "case.yaml"
    path.write_text(dump(HANDED_OVER))
    assert case_events(kb, str(path), make_env()) == HANDED_OVER
    assert case_events(kb, "-", make_env(dump(HANDED_OVER))) == HANDED_OVER
    assert case_events(kb, "-", make_env(dump(HANDED_OVER).encode())) == HANDED_OVER


def test_a_case_that_can_not_be_used_is_refused(kb, make_env, tmp_path):
    with pytest.raises(Refused):
        case_events(kb, str(tmp_path / "none.yaml"), make_env())
    with pytest.raises(Refused):
        case_events(kb, "-", make_env("role: plumer\n"))
