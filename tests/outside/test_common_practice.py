"""Every line of the common-practice sheet stands in the kb as common practice, grade C, with its value.

The values are the sheet's (C, common practice: no published source); they are written here and not read from the kb. Where a
published neighbour differs (UPC 2018 804.1, P; NEC 2014 210.8(A)(10), S) the message must name both.
"""

import pytest

from dryfloor.engine import model
from dryfloor.engine.advice import Measured
from dryfloor.engine.advise import advise, card_of
from dryfloor.engine.case.events import Event
from dryfloor.engine.measurement import quantity
from tests.support.shipped import shipped

KB = shipped()
INCH, FOOT, POUND, GALLON = 0.0254, 0.3048, 0.45359237, 3.785411784e-3

# line -> (rule, what it measures, lowest, highest), SI; temperatures in degrees Celsius
MEASURED = {
    "cp-02": ("water-heater-setting", "temperature", None, (120 - 32) / 1.8),
    "cp-03": ("base-bears-load", "mass", 300 * POUND, None),
    "cp-06": ("room-above-freezing", "temperature", 0.0, None),
    "cp-08": ("standpipe-bore", "length", 2 * INCH, None),
    "cp-09": ("standpipe-carrying-flow", "flow", 17 * GALLON / 60, None),
    "cp-10": ("standpipe-height", "length", 39 * INCH, 96 * INCH),
    "cp-11": ("hose-insertion-depth", "length", None, 8 * INCH),
    "cp-12": ("tub-volume", "volume", 20 * GALLON, None),
    "cp-13": ("tub-rim-height", "length", 39 * INCH, None),
    "cp-18": ("restraints-out-near-place", "length", None, 3 * FOOT),
}

# line -> (rule, words that its text must hold), for what is seen or counted and not measured
SEEN = {
    "cp-01": ("services-within-reach", ["hot tap", "cold tap", "drain", "120 V", "polarized", "grounded", "reach"]),
    "cp-04": ("floor-firm", ["firm", "solid"]),
    "cp-05": ("makers-clearances", ["sides", "back", "top", "front", "closet"]),
    "cp-07": ("drain-kind", ["standpipe", "laundry tub", "floor drain"]),
    "cp-14": ("floor-drain-siphon-break", ["siphon break", "level with the top of the machine"]),
    "cp-15": ("own-circuit", ["branch circuit of its own", "breaker", "time-delay fuse"]),
    "cp-16": ("gfci-near-water", ["near water", "local code", "ground-fault"]),
    "cp-17": ("restraints-out", ["rod", "bolt", "block", "insert", "strap", "out"]),
    "cp-19": ("fill-hoses-matched", ["hot", "cold", "red", "blue"]),
    "cp-20": ("plastic-inlet-whole", ["plastic", "crack"]),
    "cp-21": ("supply-couplings-dry", ["taps open", "inlet", "dry"]),
    "cp-22": ("drain-hose-hooked-and-tied", ["hook", "tied", "tub"]),
    "cp-25": ("lock-nuts-tight", ["lock nut", "tight", "cabinet", "some machines have none"]),
    "cp-26": ("level-in-final-place", ["level", "feet", "finally"]),
    "cp-27": ("first-run-empty", ["one full normal cycle", "no laundry", "half the usual dose", "high-efficiency"]),
    "cp-28": ("makers-manual-governs", ["manual", "this very model", "governs"]),
}

# Practice gives no tolerance for these three: turns, level, feet. The band beside the value is judgement and says so.
BANDED = {
    "cp-20": ("fill-coupling-turn", "turns", 2 / 3),
    "cp-23": ("level-side-to-side", "slope", 0.0),
    "cp-24": ("all-feet-bear", "length", 0.0),
}
LINES = [f"cp-{n:02d}" for n in range(1, 29)]


def si(text: str | None, measures: str) -> float | None:
    """A limit in SI, or None."""
    return None if text is None else quantity.parse(text, measures)  # type: ignore[arg-type]


def grades(rule: model.Rule) -> dict[str, str]:
    """Source -> grade of this very value."""
    return {c.source: c.grade or KB.sources[c.source].grade for c in rule.sources}


def test_every_line_is_a_rule() -> None:
    stated = {p for r in KB.rules.values() for p in r.practice_ids}
    assert stated == set(LINES)
    assert set(MEASURED) | set(SEEN) | set(BANDED) == set(LINES)


@pytest.mark.parametrize("line", LINES)
def test_it_is_common_practice_without_a_source(line: str) -> None:
    for rule in KB.rules.values():
        if line in rule.practice_ids:
            assert rule.authority == "practice", rule.id
            assert rule.edition is None, rule.id
            assert grades(rule).get("trade-practice") == "C", rule.id
            assert rule.sources[0].source == "trade-practice", f"{rule.id} shows another source first"


@pytest.mark.parametrize("line", sorted(MEASURED))
def test_measured_lines_hold_their_value(line: str) -> None:
    name, measures, low, high = MEASURED[line]
    rule = KB.rules[name]
    assert line in rule.practice_ids
    assert rule.measures == measures
    assert si(rule.min, measures) == (None if low is None else pytest.approx(low, abs=1e-9))
    assert si(rule.max, measures) == (None if high is None else pytest.approx(high, abs=1e-9))


@pytest.mark.parametrize("line", sorted(SEEN))
def test_seen_lines_say_what_must_be_seen(line: str) -> None:
    name, words = SEEN[line]
    rule = KB.rules[name]
    assert line in rule.practice_ids
    assert rule.measures == "state"
    said = f"{rule.must} {rule.of}".lower()
    assert [w for w in words if w.lower() not in said] == []


@pytest.mark.parametrize("line", sorted(BANDED))
def test_values_without_a_tolerance_lie_inside_a_band_called_judgement(line: str) -> None:
    name, measures, value = BANDED[line]
    rule = KB.rules[name]
    assert line in rule.practice_ids
    low, high = si(rule.min, measures), si(rule.max, measures)
    assert (low if low is not None else -1e-12) <= value <= (high if high is not None else 1e12)
    assert grades(rule)["judgement"] == "judgement"


def test_two_thirds_of_a_turn_is_the_middle_of_its_band() -> None:
    rule = KB.rules["fill-coupling-turn"]
    low, high = si(rule.min, "turns"), si(rule.max, "turns")
    assert low is not None
    assert high is not None
    assert (low + high) / 2 == pytest.approx(2 / 3)


def test_both_directions_and_side_to_side_first() -> None:
    assert {r.id for r in KB.rules.values() if "cp-23" in r.practice_ids} == {
        "level-side-to-side",
        "level-front-to-back",
    }
    assert any("side to side comes first" in n.differs for n in KB.rules["level-side-to-side"].neighbours)


def test_the_carrying_flow_is_derived_and_nobody_measures_it() -> None:
    rule = KB.rules["standpipe-carrying-flow"]
    assert "derived" in rule.of
    assert "nobody measures it" in rule.of
    assert not [c.id for c in KB.checks.values() if c.kind == "measure" and c.rule == rule.id]


def standpipe(height: str) -> Measured:
    """A reading of the standpipe as the advice shows it."""
    events = [
        Event(role="technician"),
        Event(complaints=["siphons"]),
        Event(fact="drain", is_="standpipe"),
        Event(check="standpipe-height", value=height),
    ]
    return advise(KB, events).readings[0]


@pytest.mark.parametrize(
    ("check", "answer", "value", "code"),
    [
        ("standpipe-height", None, "30 in", "UPC 2018"),
        ("ground-fault-device", "no-test-button", None, "NEC 2014"),
    ],
)
def test_the_card_names_practice_and_the_code_that_differs(
    check: str, answer: str | None, value: str | None, code: str
) -> None:
    """cp-10 against UPC 804.1 (P); cp-16 against NEC 2014 210.8(A)(10) (S)."""
    event = Event(check=check, answer=answer, value=value)
    card = card_of(KB, [Event(role="technician"), Event(complaints=["siphons"]), event], event)
    said = " ".join(card.rule)
    assert "common practice" in said
    assert code in said


def test_a_30_in_standpipe_is_below_practice_and_within_the_upc() -> None:
    """cp-10: 39 to 96 in above the washer's feet (C). UPC 2018 804.1: 24 to 48 in above the floor (P)."""
    shown = standpipe("30 in")
    assert shown.verdict == "broken"
    assert shown.text.startswith("below common practice by 9")
    upc = [n for n in shown.neighbours if "UPC 2018" in n]
    assert len(upc) == 1
    assert upc[0].startswith("within UPC 2018")
    assert "stands on the room's floor" in upc[0]


@pytest.mark.parametrize(
    ("height", "practice", "upc"),
    [
        ("20 in", "below common practice", "below UPC"),
        ("43 in", "within common practice", "within UPC"),
        ("60 in", "within common practice", "above UPC"),
    ],
)
def test_only_39_to_48_in_satisfies_both(height: str, practice: str, upc: str) -> None:
    shown = standpipe(height)
    assert shown.text.startswith(practice)
    assert next(n for n in shown.neighbours if "UPC 2018" in n).startswith(upc)


def test_practice_is_never_called_a_breach() -> None:
    for rule in KB.rules.values():
        if rule.practice_ids:
            said = " ".join(filter(None, [rule.below, rule.above, rule.broken, rule.must, rule.of])).lower()
            assert "against the rules" not in said, rule.id
            assert "code requires" not in said, rule.id
