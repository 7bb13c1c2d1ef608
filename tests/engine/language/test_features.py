"""Twin of engine/language/features.py."""

import math
from zlib import crc32

from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.language.features import counts, folded


def number(name: str) -> int:
    return crc32(name.encode())


def test_letters_and_words_of_a_text_counted_by_hand() -> None:
    letters, words, said = counts("it leaks leaks")
    padded = " leaks "
    grams = {padded[a : a + n] for n in (3, 4, 5) for a in range(len(padded) - n + 1)} | {" it", "it ", " it "}
    assert set(letters) == {number(f"c{g}") for g in grams}
    assert math.isclose(letters[number("c leak")], 1 + math.log(2))
    assert letters[number("c it ")] == 1
    assert set(words) == {number(f"w{w}") for w in ("it", "leaks", "it leaks", "leaks leaks")}
    assert set(said) == {number(f"s{w}") for w in ("leak", "leak leak")}


def test_what_is_denied_or_said_of_another_thing_shares_nothing_with_what_is_said() -> None:
    plain, denied, dryer = (set(counts(t)[2]) for t in ("it leaks", "it does not leak", "the dryer leaks"))
    assert not plain & denied
    assert not plain & dryer


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_case_accents_and_spaces_do_not_matter(text: str) -> None:
    assert counts(text) == counts(f"  {text} ")
    assert folded(folded(text)) == folded(text)
