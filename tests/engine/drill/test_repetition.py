"""What was missed comes back: soon at first, later each time that it is known, and again soon once it is missed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.drill.repetition import TOP, Deck, after, decoded, due, encoded, next_order
from dryfloor.engine.exercises.order import Order

KEY = "rule:standpipe-height"


def test_it_comes_back_later_each_time_that_it_is_known():
    deck = after(Deck(), [KEY], [])
    waits = []
    for _ in range(TOP + 1):
        waited = 0
        while KEY not in due(deck) and KEY in deck.cards:
            deck, waited = after(deck, [], []), waited + 1
        waits.append(waited)
        deck = after(deck, [], [KEY])
    assert waits == [0, 2, 4, 8, 16, 32]
    assert KEY not in deck.cards


def test_once_missed_it_is_due_at_once():
    deck = after(after(Deck(), [KEY], []), [], [KEY])
    assert due(deck) == []
    assert due(after(deck, [KEY], [])) == [KEY]


def test_what_was_never_missed_is_not_kept():
    assert after(Deck(), [], [KEY]).cards == {}


def test_what_is_due_is_drilled_more_often_than_by_chance(kb):
    deck = after(Deck(), [KEY], [])
    orders = []
    for _ in range(60):
        orders.append(next_order(kb, deck, Order()))
        deck = after(deck, [KEY], [])
    mine = [o for o in orders if o.fault and kb.causes[o.fault].breaks.rule == "standpipe-height"]
    assert 30 < len(mine) < 50
    assert {o.fault for o in mine} == {"standpipe-too-low", "standpipe-too-high"}
    assert [o.seed for o in orders] == list(range(2, 62))


def test_what_was_asked_for_is_drilled(kb):
    deck = after(Deck(), [KEY], [])
    assert next_order(kb, deck, Order(family="power")).family == "power"
    assert next_order(kb, deck, Order(fault="foot-unloaded")).fault == "foot-unloaded"


def test_a_rule_that_the_kb_no_longer_has_is_passed_over(kb):
    deck = after(Deck(), ["rule:gone", "cause:gone"], [])
    assert all(next_order(kb, after(deck, [], []), Order()).fault == "" for _ in range(5))


KEYS = st.lists(st.sampled_from(["rule:a", "rule:b", "cause:c"]), max_size=3)


@given(st.lists(st.tuples(KEYS, KEYS), max_size=30))
def test_a_deck_is_kept_whole(rounds):
    deck = Deck()
    for missed, right in rounds:
        deck = after(deck, missed, right)
        assert decoded(encoded(deck)) == deck
        assert set(missed) <= set(due(deck))
    assert deck.rounds == len(rounds)


@pytest.mark.parametrize(
    "text",
    [b"", b"{", b"[]", b'{"version": 2}', b'{"rounds": -1}', b'{"cards": {"a": {"box": 99, "due": 1}}}', b"\xff\xfe"],
)
def test_what_is_no_deck_is_refused(text):
    with pytest.raises(ValueError):  # noqa: PT011
        decoded(text)
