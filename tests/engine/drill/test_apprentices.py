"""How an apprentice's own words are heard: a list written by somebody who had not seen the matching, half of it held out."""

import hashlib
from pathlib import Path

import pytest

from dryfloor.engine.drill import naming
from tests.engine.drill.test_trade_words import heard

LINES = [x for x in (Path(__file__).parent / "apprentices.txt").read_text("utf-8").splitlines() if x[:1] not in "#"]
TYPED = {words.strip(): meant for words, _, meant in (x.partition(" = ") for x in LINES)}


def held_out(words):
    return hashlib.sha256(words.encode()).digest()[0] % 2 == 1


MENDED = {w: m for w, m in TYPED.items() if not held_out(w)}
HELD_OUT = {w: m for w, m in TYPED.items() if held_out(w)}


def test_the_list_is_whole_and_parted():
    assert len(TYPED) == 60
    assert (len(MENDED), len(HELD_OUT)) == (26, 34)


def test_most_is_done_at_once_and_little_is_taken_for_something_else(kb):
    # Likeness of meaning comes from a learnt table: each time that it is learnt anew, a word or two come out otherwise.
    at_once, _, deaf, mistaken = heard(kb, MENDED)
    assert len(at_once) >= 15
    assert len(deaf) + len(mistaken) <= 3
    at_once, _, deaf, mistaken = heard(kb, HELD_OUT)
    assert len(at_once) >= 19
    assert len(deaf) + len(mistaken) <= 3


MORE, READ_ONCE = (
    {words.strip(): meant for words, _, meant in (x.partition(" = ") for x in part.splitlines() if x[:1] not in "#")}
    for part in (Path(__file__).parent / "on_the_job.txt").read_text("utf-8").split("----\n")
)


@pytest.mark.parametrize(("table", "lines", "at_once", "wrong"), [(MORE, 101, 50, 2), (READ_ONCE, 40, 20, 6)])
def test_a_second_apprentice_is_heard(kb, table, lines, at_once, wrong):
    assert len(table) == lines
    done, _, deaf, mistaken = heard(kb, table)
    assert len(done) >= at_once
    assert len(deaf) + len(mistaken) <= wrong, (deaf, mistaken)


@pytest.mark.parametrize("typed", ["does the drum wobble", "grab the drum and rock it", "weigh the load"])
def test_a_part_that_was_named_is_meant(kb, typed):
    """What rocks, or weighs, without the part that was named is offered, never done in its place."""
    meant = naming.sure(naming.looks(kb, typed))
    part = {"drum", "load"} & set(typed.split())
    assert meant is None or {*naming.stems(meant.title)} & part or meant.id == "drum-packed"
