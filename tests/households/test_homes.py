"""The homes are whole, many, and told by several; a third of them is held out by a rule that nobody chose home by home."""

from collections import Counter
from typing import get_args

from tests.households.homes import FOLDER, FRESH, Family, Hands, homes


def test_there_are_many_by_several_writers():
    assert len(homes()) >= 150
    assert len({h.id.partition("-")[0] for h in homes()}) >= 4
    assert [i for i, n in Counter(h.id for h in homes()).items() if n > 1] == []
    assert all(
        path.stem == h.id.partition("-")[0] for path in FOLDER.glob("*.yaml") for h in homes() if h.id[0] == path.stem
    )
    assert sum(h.retold for h in homes()) == 88
    assert {h.family for h in homes()} == set(get_args(Family))


def test_who_puts_it_right_is_somebody_that_there_is():
    for home in homes() + homes(FRESH):
        assert set(home.by.split(" and ")) <= set(get_args(Hands)), home.id


def test_a_home_is_whole():
    for home in homes() + homes(FRESH):
        assert 3 <= len(home.says.split()) <= 90, home.id
        assert len(home.signs) >= 6, home.id
        assert home.known, home.id
        assert (home.causes == 0) <= (not home.installation), home.id


def test_about_a_third_is_held_and_nothing_that_was_retold():
    held = [h for h in homes() if h.held]
    assert not any(h.retold for h in held)
    assert 0.28 <= len(held) / len(homes()) <= 0.40


def test_the_fresh_ones_are_of_two_writers_that_wrote_no_other():
    writers = {h.id[0] for h in homes(FRESH)}
    assert len(writers) == 2
    assert not writers & {h.id[0] for h in homes()}
    assert len(homes(FRESH)) == 30
