"""Typed text made safe: nothing invisible or moving is left, and what could be read before can be read after."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.language.sanitize import HIDDEN, KEPT, printable


def test_controls_and_turns_are_written_out():
    assert printable("a\x07b\u202ec\ufeff") == "a[U+0007]b[U+202E]c[U+FEFF]"
    assert printable("one\r\ntwo\tthree\u2028four") == "one two three four"
    assert printable("\ud800") == "[U+D800]"


def test_scripts_that_need_joiners_keep_them():
    assert printable("\u0645\u06cc\u200c\u0631\u0648\u062f") == "\u0645\u06cc\u200c\u0631\u0648\u062f"


def test_long_text_is_cut_and_counted():
    assert printable("x" * 10_000, 20) == "x" * 20 + " (and 9980 more characters)"
    assert printable("x" * 20, 20) == "x" * 20


@given(st.text())
def test_nothing_hidden_is_left_and_saying_it_twice_changes_nothing(text):
    said = printable(text)
    assert not [c for c in said if unicodedata.category(c) in HIDDEN and c not in KEPT]
    assert printable(said) == said
    assert "\n" not in said


@given(st.text(alphabet=st.characters(categories=["L", "N", "P", "S"])))
def test_what_can_be_read_stays(text):
    assert printable(text) == text
