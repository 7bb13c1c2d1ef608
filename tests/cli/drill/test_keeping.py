"""The files of a drill: a kill at any write leaves the old deck or the new one, and no spreadsheet is fed a formula."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.drill.keeping import HEAD, add_result, named_pupil, read_deck, write_deck
from dryfloor.engine.drill.repetition import Deck, after
from tests.support.killing import killed_at, traced

OLD = after(Deck(), ["rule:standpipe-height"], [])
NEW = after(OLD, ["rule:standpipe-bore"], ["rule:standpipe-height"])


@pytest.mark.skipif(not traced(), reason="a child can't be traced here")
def test_a_kill_at_any_write_leaves_the_old_deck_or_the_new_one(tmp_path, make_env):
    env, path = make_env(), tmp_path / "deck.json"
    write_deck(path, OLD)
    finished, writes = killed_at(lambda: write_deck(path, NEW), 10**9)
    assert finished
    assert writes >= 3
    assert read_deck(env, path) == NEW
    seen = []
    for point in range(1, writes + 1):
        write_deck(path, OLD)
        finished, _ = killed_at(lambda: write_deck(path, NEW), point)
        assert not finished
        seen.append(read_deck(env, path))
    assert set(map(repr, seen)) <= {repr(OLD), repr(NEW)}
    assert seen[0] == OLD


def test_a_line_that_was_cut_off_is_ended_before_the_next(tmp_path):
    path = tmp_path / "class.csv"
    add_result(path, {"pupil": "1", "score": "0.5"})
    path.write_bytes(path.read_bytes()[:-4])
    add_result(path, {"pupil": "2", "score": "1"})
    lines = path.read_text().splitlines()
    assert lines[0] == ",".join(HEAD)
    assert [line.split(",")[0] for line in lines[1:]] == ["1", "2"]


@given(st.text(max_size=60))
def test_a_name_is_no_formula(name):
    kept = named_pupil(name)
    assert not kept.startswith(("=", "+", "-", "@", "\t", " "))
    assert not set(kept) & set(',;"\n\r')
    assert len(kept) <= 40
