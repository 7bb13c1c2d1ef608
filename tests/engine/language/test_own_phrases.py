"""Twin of engine/language/own_phrases.py: a shop's own phrases and complaints are heard without learning again."""

import msgspec

from dryfloor.engine.language.matching import hear
from dryfloor.engine.language.phrases import index_of
from tests.support.shipped import shipped

KB = shipped()
OWN = ["the pedestal drawer is jammed", "I can't open the drawer under the washer", "the drawer below sticks"]


def with_own(complaint: str, phrases: list[str]):
    known = KB.complaints.get(complaint)
    base = known or msgspec.structs.replace(KB.complaints["noisy"], id=complaint, says=phrases[0], hear=[])
    made = msgspec.structs.replace(base, hear=[*base.hear, *phrases])
    return msgspec.structs.replace(KB, complaints={**KB.complaints, complaint: made})


def test_the_shipped_kb_has_nothing_that_was_not_learnt() -> None:
    assert index_of(KB).own == []


def test_a_new_complaint_is_heard_by_its_phrases_and_near_them() -> None:
    kb = with_own("drawer-stuck", OWN)
    assert len(index_of(kb).own) == 3
    for words in OWN:
        first = hear(words, kb).complaints[0]
        assert (first.complaint, first.words) == ("drawer-stuck", words)
        assert first.likely
    near = [m.complaint for m in hear("drawer under my washer sticks and won't open", kb).complaints[:3]]
    assert "drawer-stuck" in near


def test_a_phrase_added_to_a_known_complaint_draws_to_it_and_leaves_others_alone() -> None:
    kb = with_own("walks", ["she is doing the fandango again"])
    assert hear("she is doing the fandango again", kb).complaints[0].complaint == "walks"
    for text in ("it will not drain", "water on the floor"):
        assert hear(text, kb).complaints[0].complaint == hear(text, KB).complaints[0].complaint


def test_a_kb_without_a_complaint_never_hears_it() -> None:
    left = {c: v for c, v in KB.complaints.items() if c != "walks"}
    kb = msgspec.structs.replace(KB, complaints=left)
    heard = hear("it walks across the room", kb)
    assert "walks" not in [m.complaint for m in heard.complaints]
    assert sorted(heard.order) == sorted(left)
