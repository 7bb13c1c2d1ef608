"""Several readings in one text: sums, differences and middles against pint's arithmetic, and every mistake asked back."""

import re
from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.measurement.quantity import QuantityProblem, check_plausible, parse
from dryfloor.engine.model import Cite, Rule
from tests.support.pint_units import registry

UREG = registry()
EIGHTHS = st.integers(0, 400)


def inches(eighths):
    """Inches and eighths as people write them."""
    whole, part = divmod(eighths, 8)
    return f"{whole} {part}/8 in" if whole and part else f"{part}/8 in" if part else f"{whole} in"


@given(EIGHTHS, EIGHTHS, st.sampled_from(["minus", "less", "Minus"]))
def test_a_difference_is_worked_out(high, low, word):
    high, low = max(high, low), min(high, low)
    found = parse(f"{inches(high)} {word} {inches(low)}", "length")
    assert found == pytest.approx(UREG.Quantity((high - low) / 8, "inch").to("m").magnitude, abs=1e-15)


@given(EIGHTHS, st.lists(EIGHTHS, min_size=1, max_size=3))
def test_a_sum_is_worked_out(first, more):
    text = " plus ".join(map(inches, [first, *more]))
    if len(text) <= 80:
        assert parse(text, "length") == pytest.approx((first + sum(more)) * 0.0254 / 8, abs=1e-15)


@given(st.integers(0, 24), st.integers(0, 24), st.integers(1, 8), st.booleans())
def test_a_level_turned_round_gives_the_middle(one, other, feet, under_the_other_end):
    sign = "-" if under_the_other_end and other else ""
    found = parse(f"{inches(one)} then {sign}{inches(other)} over {feet} ft", "slope")
    mean = Fraction(one - other if sign else one + other, 16)
    assert found == pytest.approx(float(mean / (12 * feet)), abs=1e-15)


@pytest.mark.parametrize(
    ("text", "measures", "same"),
    [
        ("54 in minus 15 in", "length", "39 in"),
        ("54 minus 15 in", "length", "39 in"),
        ("54 in minus 15", "length", "39 in"),
        ("4 ft 6 in less 15 in", "length", "39 in"),
        ("1 m minus 20 cm", "length", "80 cm"),
        ("14 steps plus 9 ft", "length", "51 ft"),
        ("60 in plus 3 in minus 2 in", "length", "61 in"),
        ("119.8 V minus 117.2 V", "voltage", "2.6 V"),
        ("0 then 1/4 in over 2 ft", "slope", "1/16 in/ft"),
        ("1/4 then -1/8 in over 2 ft", "slope", "1/32 in/ft"),
        ("1/8 in/ft then 1/4 in/ft", "slope", "3/16 in/ft"),
        ("1/4 in over 2 ft then 1/8 in over 2 ft", "slope", "3/32 in/ft"),
        ("20 s then 22 s then 24 s", "time", "22 s"),
        ("1 gal in 20 s then 1 gal in 30 s", "flow", "2.5 gpm"),
        ("2 flats", "turns", "1/3 turn"),
        ("1 turn 2 flats", "turns", "1 1/3 turn"),
        ("4 hours on a clock", "turns", "1/3 turn"),
        ("3 cards", "length", "2.4 mm"),
    ],
)
def test_what_people_say_comes_to_what_they_mean(text, measures, same):
    assert parse(text, measures) == pytest.approx(parse(same, measures), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "measures", "said"),
    [
        ("15 in minus 54 in", "length", "below zero"),
        ("54 minus 15", "length", "54 minus 15 in (99.1 cm)"),
        ("54 in minus 15 psi", "length", "can't read '15 psi'"),
        ("1/4 in and 1/8 in over 2 ft", "slope", "Do you mean 1/4 in then 1/8 in over 2 ft?"),
        ("0 and 1/4 in over 2 ft", "slope", "can't read"),  # not 1/4: two readings, or a slip
        ("1/4 in then level over 2 ft", "slope", "can't read"),
        ("24 x 20 x 14", "volume", "Do you mean 24 x 20 x 14 in, or 24 x 20 x 14 cm?"),
        ("20 s", "flow", "Do you mean 1 gal in 20 s?"),
        ("39 in plus or minus 1 in", "length", "more than one number"),
        ("60 F minus 5 F", "temperature", "more than one number"),
    ],
)
def test_what_is_unclear_is_asked_back(text, measures, said):
    with pytest.raises(QuantityProblem) as caught:
        parse(text, measures)
    assert said in caught.value.question
    assert caught.value.nearest == "" or parse(caught.value.nearest, measures) is not None


def test_a_measured_value_is_never_turned_into_what_is_counted_by_eye():
    rule = Rule(
        title="Gap", id="gap", measures="length", of="foot", plausible="0 mm to 12 mm", max="1 mm", authority="practice",
        sources=[Cite(source="trade-practice")],
    )  # fmt: skip
    problem = check_plausible(parse("13 in", "length"), rule, "13 in")  # 13 cards would fit
    assert problem is not None
    assert "card" not in problem.question + problem.nearest
    assert "1.44 cm" in str(check_plausible(0.0144, rule))  # 18 cards are fewer digits


LIKE = re.compile(r"\blike (-?\d.*?)(?=[,;]|\.(?:\s|$)|$)")
SUMS = re.compile(
    r"\b(subtract|divide|multiply|add (?:the|up|both)|average|take the (?:middle|mean|difference)|half of it)\b"
)


def test_what_the_questions_propose_to_say_can_be_read(kb):
    found = []
    for check in kb.checks.values():
        if check.kind == "measure":
            for text in [*msgspec.to_builtins(check.ask).values(), check.how, check.how_technician]:
                found += [(check.id, said, kb.rules[check.rule].measures) for said in LIKE.findall(text or "")]
    assert {"level-side", "tub-volume", "coupling-turns", "standpipe-height", "run-to-panel"} <= {
        c for c, _, _ in found
    }
    for check, said, measures in found:
        assert isinstance(parse(said, measures), float), check


def test_nobody_is_asked_to_do_sums(kb):
    for check in kb.checks.values():
        texts = [*msgspec.to_builtins(check.ask).values(), check.how, check.how_technician]
        assert not [text for text in texts if SUMS.search(text or "")], check.id
