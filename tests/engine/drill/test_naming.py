"""What a pupil names in free words: written by hand as somebody would say it, against what they mean."""

import pytest

from dryfloor.engine.drill import naming

LOOKS = {
    "how high is the standpipe": "standpipe-height",
    "measure the hose depth": "hose-depth",
    "shipping bolts": "restraints-left",
    "does it rock": "rocks-by-hand",
    "stand pipe hieght": "standpipe-height",
    "gap under a foot": "foot-gap",
    "inlet screens": "screens-seen",
    "is there a dryer": "dryer-beside",
    "are the couplings dry": "coupling-wet",
    "when did it start": "onset",
    "watch it fill": "first-fill-watch",
}
CAUSES = {
    "transport bolts left in": "restraints-left-in",
    "hose pushed too deep": "hose-pushed-too-deep",
    "standpipe is too low": "standpipe-too-low",
    "worn bearing": "bearing-worn",
}
GATES = {
    "machine has stopped": "walking-machine",
    "no smell of gas": "gas-smell",
    "taps shut, no water running": "water-running",
    "floor and plug dry": "water-near-electricity",
    "no burning smell": "burning-smell",
    "nobody got a shock": "shock-tingle",
    "unplugged": "unplug-first",
}


@pytest.mark.parametrize(("find", "meant"), [(naming.looks, LOOKS), (naming.causes, CAUSES), (naming.gates, GATES)])
def test_what_is_meant_comes_first(kb, find, meant):
    assert {words: find(kb, words)[0].id for words in meant} == meant


def test_most_titles_are_found_by_themselves(kb):
    titles = [c for c in kb.checks.values() if not c.only_proof]
    missed = [c.id for c in titles if naming.looks(kb, c.title)[0].title != c.title]
    assert missed == []


def test_words_that_fit_several_are_not_guessed(kb):
    found = naming.looks(kb, "hot water temperature")
    assert naming.sure(found) is None
    assert {"hot-sink-temperature", "hot-tap-temperature"} <= {f.id for f in found[: naming.MOST]}


@pytest.mark.parametrize("words", ["", "   ", "zzqx", "!?!", "\x00", "a" * 5000, "the of and"])
def test_words_without_a_meaning_name_nothing(kb, words):
    assert naming.sure(naming.looks(kb, words)) is None


def test_a_proof_is_not_named_as_a_look(kb):
    proofs = {c.id for c in kb.checks.values() if c.only_proof}
    assert proofs
    assert not proofs & {f.id for c in proofs for f in naming.looks(kb, kb.checks[c].title)}
