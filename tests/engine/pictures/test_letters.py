"""Room for text: as wide as a wide face at least, in lines that fit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.pictures.letters import SIZE, lines, width

# Advance widths of DejaVu Sans by its own table, of 1000: a wide common face, as the outside measure.
DEJAVU = {"i": 278, "a": 613, "n": 634, "m": 974, "W": 989, " ": 318, "3": 636, "-": 361, "t": 392, ":": 337, "O": 787}


@pytest.mark.parametrize("letter", sorted(DEJAVU))
def test_no_letter_is_wider_than_what_is_kept_for_it(letter):
    assert width(letter) >= SIZE * DEJAVU[letter] / 1000


@given(st.lists(st.text("abim W", min_size=1, max_size=9), min_size=1, max_size=12), st.integers(60, 200))
def test_lines_hold_every_word_in_its_order_and_fit(words, room):
    text = " ".join(words)
    found = lines(text, room)
    assert " ".join(found).split() == text.split()
    assert all(width(row) <= room or " " not in row for row in found)
