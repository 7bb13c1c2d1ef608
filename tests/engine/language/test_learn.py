"""Twin of engine/language/learn.py: what is shipped belongs to the phrases, and can be made again."""

import hashlib
import json

import numpy as np
import pytest

from dryfloor.engine.language import learn
from dryfloor.engine.language.phrase_book import KB_WRITER, OTHER, of_kb, written
from dryfloor.engine.language.word_pieces import DATA
from tests.support.places import TESTS
from tests.support.shipped import shipped

AGAIN = "make the weights again: python -m dryfloor.engine.language.learn tests/phrases"


def test_the_weights_belong_to_the_phrases_and_the_code() -> None:
    said = json.loads((DATA / "hearing.json").read_text("utf-8"))
    assert said["sources"] == learn.source_hash(TESTS / "phrases", shipped()), AGAIN
    with np.load(DATA / "hearing.npz") as kept:
        assert {n: hashlib.sha256(kept[n].tobytes()).hexdigest() for n in kept.files} == said["arrays"], AGAIN
        assert {kept[n].dtype.kind for n in kept.files} <= {"i", "u"}
    rest = {k: said[k] for k in sorted(said) if k != "key"}
    digest = hashlib.blake2b(json.dumps(rest, sort_keys=True).encode(), digest_size=20).hexdigest()
    assert said["key"] == digest, AGAIN


@pytest.mark.slow
def test_the_weights_are_made_again(tmp_path) -> None:
    said = learn.write(TESTS / "phrases", tmp_path, shipped())
    assert said == json.loads((DATA / "hearing.json").read_text("utf-8"))
    assert (tmp_path / "hearing.npz").read_bytes() == (DATA / "hearing.npz").read_bytes()


def test_phrases_are_many_by_many_writers_and_none_copies_another() -> None:
    examples = [*of_kb(shipped()), *written(TESTS / "phrases")]
    writers = {e.writer for e in examples if e.writer != KB_WRITER}
    assert len(writers) >= 15
    assert len(examples) >= 5000
    assert sum(e.complaints[:1] == (OTHER,) for e in examples) >= 1100
    assert sum(bool(e.hazards) for e in examples) >= 300
    # The same words by two writers would be learnt from one and asked of the other.
    by: dict[str, set[str]] = {}
    for e in examples:
        if e.writer != KB_WRITER:
            by.setdefault("".join(c for c in e.say.lower() if c.isalnum()), set()).add(e.writer)
    assert max(map(len, by.values())) == 1


def test_what_other_things_do_is_nothing_that_a_washer_does() -> None:
    counterparts = [e for e in of_kb(shipped()) if e.complaints == (OTHER,)]
    said = {words for c in shipped().complaints.values() for words in (*c.hear, c.says)}
    assert len(counterparts) >= 300
    assert not {e.say for e in counterparts} & said
    assert not [e.say for e in counterparts if "washer" in e.say.split()[:2] or "machine" in e.say.split()[:2]]


def test_a_danger_that_few_writers_named_is_left_to_the_phrases_of_the_kb() -> None:
    names = json.loads((DATA / "hearing.json").read_text("utf-8"))["names"]
    by: dict[str, set[str]] = {}
    for e in written(TESTS / "phrases"):
        for h in e.hazards or ():
            by.setdefault(h, set()).add(e.writer)
    gated = {h for h, writers in by.items() if len(writers) >= learn.HEARD_FROM and shipped().hazards[h].gate}
    assert {n.partition(":")[2] for n in names if n.startswith("hazard:")} == gated


def test_a_bound_for_facts_is_never_set_by_a_lucky_few() -> None:
    scores = np.linspace(1, 0, 40)
    assert learn.fact_bound(scores[:5], np.ones(5)) == learn.NEVER
    assert learn.fact_bound(scores, np.ones(40)) == 0
    scores, right = np.linspace(1, 0, 50), np.r_[np.ones(40), np.zeros(10)]
    assert scores[41] <= learn.fact_bound(scores, right) <= scores[39]
