"""A class's summary against sums done by hand, and what the class is told to practise."""

import itertools

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.class_summary import Played, summed
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.sealing import seal

HEIGHT = "rule:standpipe-height"


def played(kb, pupil, score, ended="solved", missed=(), **more):
    order = Order(seed=3, fault=more.pop("fault", "standpipe-too-low"))
    return Played(
        pupil=pupil, code=seal(kb, order), score=score, minutes=6.0, ended=ended, missed=tuple(missed), **more
    )


@pytest.fixture(scope="module")
def found(kb):
    rounds = [
        played(kb, "2", 1.0, marks=(("limit", "wrong"), ("who", "right"))),
        played(kb, "2", 0.0, "left", [HEIGHT]),
        played(kb, "10", -2.0, "gate", [HEIGHT], gate="water-near-electricity"),
        played(kb, "Ann", 0.9, fault="foot-unloaded", marks=(("limit", "right"),)),
    ]
    return summed(network_of(kb), rounds)


def test_pupils_are_summed_and_numbers_come_in_their_order(found):
    assert [p.pupil for p in found.pupils] == ["2", "10", "Ann"]
    two = found.pupils[0]
    assert (two.rounds, two.score, two.minutes, two.gates) == (2, 0.5, 6.0, 0)
    assert two.missed == [("Standpipe height", 1)]
    assert found.pupils[1].gates == 1
    assert found.pupils[2].missed == []
    assert (found.rounds, found.score) == (4, pytest.approx((1 + 0 - 2 + 0.9) / 4, abs=1e-3))


def test_a_rule_has_the_rounds_in_which_it_was_to_be_found(found):
    assert [(r.key, r.family, r.rounds, r.missed) for r in found.rules] == [
        (HEIGHT, "drain", 2, 1),  # the round that ended at a danger says nothing of it
        ("rule:all-feet-bear", "stand", 1, 0),
    ]
    assert [(f.family, f.rounds, f.score, f.gates) for f in found.families] == [
        ("drain", 3, pytest.approx(-1 / 3, abs=1e-3), 1),
        ("stand", 1, 0.9, 0),
    ]


def test_what_was_dangerous_and_what_was_said_wrong_is_counted(found):
    assert found.gates == [("Water near electricity", 1)]
    assert found.wrong == [("limit", 1, 2), ("who", 0, 1)]


def test_what_to_practise_next_is_what_was_missed_and_what_was_dangerous(found):
    assert [p.command for p in found.practise] == [
        "dryfloor drill --first",
        "dryfloor drill --fault standpipe-too-low",
        "dryfloor quiz",
    ]
    assert "(water near electricity)" in found.practise[0].what
    assert "missed in 1 of 2 rounds" in found.practise[1].what


def test_a_family_is_to_be_practised_for_what_was_missed_in_it_and_not_for_its_dangers(kb):
    fallen = [played(kb, "1", 1.0), played(kb, "2", -2.0, "gate", [HEIGHT], gate="water-near-electricity")]
    assert [p.command for p in summed(network_of(kb), fallen).practise] == ["dryfloor drill --first"]
    weak = [*fallen, played(kb, "3", -0.5, "left", [HEIGHT])]
    found = summed(network_of(kb), weak)
    assert [p.command for p in found.practise if "--family" in p.command] == ["dryfloor drill --family drain"]
    assert "0.25 of ours in 2 rounds" in found.practise[-1].what


def test_a_class_that_missed_nothing_has_nothing_to_practise(kb):
    assert summed(network_of(kb), [played(kb, "1", 1.0)]).practise == []


def test_a_place_that_was_not_safe_counts_who_stopped_there(kb):
    code = seal(kb, Order(seed=0))  # a smell of gas
    rounds = [
        Played(pupil=str(n), code=code, score=1.0, minutes=1.0, ended=ended)
        for n, ended in enumerate(("stopped", "stopped", "left"))
    ]
    found = summed(network_of(kb), rounds)
    assert (found.unsafe, found.stopped) == (3, 2)
    assert all(r.rounds == 1 for r in found.rules)  # who stopped had nothing more to find there


def test_a_code_of_something_else_counts_for_its_pupil_alone(kb):
    odd = Played(pupil="1", code="ABCD", score=0.5, minutes=1.0, ended="left", missed=("rule:gone",))
    found = summed(network_of(kb), [odd, played(kb, "1", 0.5)])
    assert (found.foreign, found.rounds, found.pupils[0].rounds) == (1, 2, 2)
    assert found.pupils[0].missed == [("gone", 1)]
    assert sum(f.rounds for f in found.families) == 1


def test_the_order_of_the_lines_changes_nothing(kb):
    rounds = [played(kb, "1", 0.5), played(kb, "2", 0.1, "left", [HEIGHT]), played(kb, "1", 0.3, fault="foot-unloaded")]
    assert len({repr(summed(network_of(kb), p)) for p in itertools.permutations(rounds)}) == 1


def test_what_our_own_way_missed_too_is_no_lack_of_the_pupil(kb):
    rounds = [
        played(kb, "1", 0.0, "left", [HEIGHT], ours_missed=(HEIGHT,)),
        played(kb, "1", 0.0, "left", [HEIGHT]),
        played(kb, "2", 0.9, ours_missed=(HEIGHT,)),
    ]
    found = summed(network_of(kb), rounds)
    assert [(r.key, r.rounds, r.missed, r.hard) for r in found.rules] == [(HEIGHT, 3, 1, 1)]
    assert [(p.missed, p.hard) for p in found.pupils] == [
        ([("Standpipe height", 1)], [("Standpipe height", 1)]),
        ([], []),
    ]
    only = summed(network_of(kb), rounds[:1])
    assert not [p for p in only.practise if "--fault" in p.command]


def test_an_interrupted_round_is_kept_apart_and_counts_for_nothing(kb):
    whole = [played(kb, "1", 0.8)]
    broken = [*whole, played(kb, "1", 0.0, "interrupted"), played(kb, "3", 0.0, "interrupted")]
    one, both = summed(network_of(kb), whole), summed(network_of(kb), broken)
    assert (both.rounds, both.score, both.interrupted) == (1, 0.8, 2)
    assert (one.rules, one.families, one.practise) == (both.rules, both.families, both.practise)
    assert [(p.pupil, p.rounds, p.interrupted) for p in both.pupils] == [("1", 1, 1), ("3", 0, 1)]
    none = summed(network_of(kb), broken[1:])
    assert (none.rounds, none.score, none.practise) == (0, 0.0, [])
