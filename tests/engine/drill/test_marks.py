"""What a verdict says beside the cause, marked against the kb's rules by hand."""

import pytest

from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.drill.marks import datum_right, limit_asked, limit_right, marks, missed_rules, same_rule
from dryfloor.engine.drill.moves import SOUND, Act
from dryfloor.engine.drill.round import Round
from dryfloor.engine.exercises.order import Order
from dryfloor.engine.exercises.site import exercise

# Worked out by hand from the limit and the coarser of the two steps that it is shown by.
RIGHT = {
    ("standpipe-height", "below"): ("39 in", "99 cm", "3 ft 3 in", "0.99 m", "39.1 in"),
    ("house-pressure", "above"): ("80 psi", "5.5 bar", "550 kPa"),
    ("fill-coupling-turn", "below"): ("1/2 turn", "0.5 turn"),
    ("water-heater-setting", "above"): ("120 F", "49 C"),
    ("all-feet-bear", "above"): ("1 mm", "0.04 in"),
    ("level-side-to-side", "above"): ("1/8 in/ft", "10 mm/m"),
}
WRONG = {
    ("standpipe-height", "below"): ("38 in", "40 in", "1 m", "96 in", "39 ft", "39", "", "tall"),
    ("house-pressure", "above"): ("70 psi", "6 bar"),
    ("fill-coupling-turn", "below"): ("2/3 turn", "1 turn"),
    ("water-heater-setting", "above"): ("110 F", "60 C"),
    ("all-feet-bear", "above"): ("2 mm", "1/8 in"),
}


@pytest.mark.parametrize(("given", "right"), [(RIGHT, True), (WRONG, False)])
def test_a_limit_is_right_within_its_own_rounding(kb, given, right):
    said = {
        (rule, side, t): limit_right(kb.rules[rule], t, side) for (rule, side), typed in given.items() for t in typed
    }
    assert {k for k, v in said.items() if v is not right} == set()


def test_every_limit_is_right_as_the_kb_writes_it(kb):
    for rule in kb.rules.values():
        for side, text in (("below", rule.min), ("above", rule.max)):
            if text:
                assert limit_right(rule, text, side), (rule.id, text)
                assert limit_right(rule, limit_asked(rule, side).split(" ", 2)[2].partition(" (")[0], side), rule.id


def test_a_datum_is_named_by_its_telling_words(kb):
    rule = kb.rules["hose-insertion-depth"]
    assert datum_right(rule, rule.of)
    assert not datum_right(rule, "floor")
    assert not datum_right(rule, "")


def test_the_same_rule_of_another_code_is_right(kb):
    assert same_rule(kb, "standpipe-height-ipc", "standpipe-height")
    assert not same_rule(kb, "hose-insertion-depth", "standpipe-height")


def played(kb, act, **order):
    network = network_of(kb)
    game = Round(network, exercise(network, Order(**{"seed": 3, "fault": "standpipe-too-low"} | order)))
    game.do(act)
    return game


def test_a_whole_verdict_is_marked(kb):
    act = Act(
        kind="verdict",
        id="standpipe-too-low",
        by="plumber",
        rule="standpipe-height",
        limit="39 in",
        datum="pipe top above the feet",
        mend="raise it",
        sentence="It is too short.",
    )
    game = played(kb, act)
    assert {m.about: m.right for m in marks(game, act)} == {
        "verdict": True,
        "rule": True,
        "limit": True,
        "datum": True,
        "who": True,
        "mend": None,
        "sentence": None,
    }
    assert missed_rules(game) == ([], ["rule:standpipe-height"])


def test_a_wrong_limit_is_missed_though_the_fault_was_found(kb):
    act = Act(kind="verdict", id="standpipe-too-low", by="technician", rule="standpipe-height", limit="30 in")
    game = played(kb, act)
    assert {m.about: m.right for m in marks(game, act)} == {"verdict": True, "rule": True, "limit": False, "who": False}
    assert missed_rules(game) == (["rule:standpipe-height"], [])


def test_none_is_right_where_no_rule_is_broken(kb):
    act = Act(kind="verdict", id="soft-thud-of-valves", rule="none")
    assert [m.right for m in marks(played(kb, act, fault="soft-thud-of-valves"), act)] == [True, True]
    sound = Act(kind="verdict", id=SOUND)
    game = played(kb, sound, fault="soft-thud-of-valves")
    assert [m.right for m in marks(game, sound)] == [True]
    assert missed_rules(game) == ([], ["cause:soft-thud-of-valves"])
    assert [m.right for m in marks(played(kb, sound), sound)] == [False]
