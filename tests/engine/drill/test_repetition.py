"""What was missed comes back: soon at first, later each time that it is known, and again soon once it is missed."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill import policies
from dryfloor.engine.drill.marks import key_of, missed_rules
from dryfloor.engine.drill.moves import Act
from dryfloor.engine.drill.repetition import TOP, Deck, after, decoded, due, encoded, next_order
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order, family_of
from dryfloor.engine.exercises.site import exercise

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


def test_what_is_due_comes_back_within_the_family_that_was_asked_for(kb):
    deck = after(Deck(), [KEY, "rule:all-feet-bear"], [])
    orders = []
    for _ in range(30):
        orders.append(next_order(kb, deck, Order(family="stand")))
        deck = after(deck, [KEY, "rule:all-feet-bear"], [])
    assert {o.family for o in orders} == {"stand"}
    assert {o.fault for o in orders} == {"", "foot-unloaded"}
    assert sum(o.fault == "foot-unloaded" for o in orders) > 12


def through_the_door(kb, weak, rounds, kept):
    """Play rounds as somebody who misses each weak rule once and knows all else; return what was to be found in each, and what was missed."""
    network, deck, missed_before, log = network_of(kb), Deck(), set(), []
    for _ in range(rounds):
        made = exercise(network, next_order(kb, deck, Order()))
        game = Round(network, made)
        unsafe = made.unsafe and game.do(Act(kind="safe", id=made.unsafe)).kind == "unsafe"
        for cause in [] if unsafe else made.truth:
            if key_of(kb, cause) in weak - missed_before:
                missed_before.add(key_of(kb, cause))
            elif not game.ended:
                act = policies.verdict(game, cause)
                for gate in game.mend_gates(act):
                    game.do(Act(kind="safe", id=gate))
                game.do(act)
        if not game.ended:
            game.do(Act(kind="leave"))
        missed, right = missed_rules(game)
        deck = after(deck, missed, right) if kept else after(deck, [], [])
        log.append(({key_of(kb, c) for c in made.truth}, {*missed}))
    return log


def came_again(log):
    """Return how often what was missed came again, and the gaps of each from its miss on [rounds]."""
    gaps = {}
    for key in {k for _, missed in log for k in missed}:
        at = [n for n, (asked, _) in enumerate(log) if key in asked]
        first = next(n for n, (_, missed) in enumerate(log) if key in missed)
        own = [n for n in at if n >= first]
        gaps[key] = [b - a for a, b in itertools.pairwise(own)]
    return sum(map(len, gaps.values())), gaps


@pytest.mark.slow
def test_thirty_rounds_bring_what_was_missed_again_and_later_each_time(kb):
    weak = {key_of(kb, c) for c in kb.causes if family_of(kb, c) == "drain"}
    often, gaps = came_again(through_the_door(kb, weak, 30, kept=True))
    by_chance, _ = came_again(through_the_door(kb, weak, 30, kept=False))
    assert often >= 5
    assert often >= 5 * max(1, by_chance)
    assert gaps
    for own in gaps.values():
        # Known from its second time on: at least 2, 4, 8 rounds pass, and more where something else was due or drawn.
        assert own == sorted(own), own
        assert all(gap >= 2**n for n, gap in enumerate(own)), own


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
