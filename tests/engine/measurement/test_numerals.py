"""One value for every way to write it, and no value where there are two ways to read it."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.measurement import numerals


@given(
    whole=st.integers(1, 999),
    top=st.integers(1, 15),
    under=st.sampled_from([2, 3, 4, 8, 16]),
    dash=st.sampled_from(" -"),
)
def test_mixed_numbers_are_exact(whole: int, top: int, under: int, dash: str) -> None:
    if top < under:
        assert numerals.value(f"{whole}{dash}{top}/{under}") == whole + Fraction(top, under)


def test_nothing_before_a_fraction_may_be_a_reading_of_its_own() -> None:
    with pytest.raises(numerals.AmbiguousNumeralError, match="1 or more") as caught:
        numerals.value("0 1/4")  # 0 and 1/4
    assert caught.value.readings == ("1/4",)


@given(whole=st.integers(0, 9999), part=st.integers(0, 99))
def test_a_decimal_comma_is_a_decimal_dot(whole: int, part: int) -> None:
    assert (
        numerals.value(f"{whole},{part:02}")
        == numerals.value(f"{whole}.{part:02}")
        == Fraction(100 * whole + part, 100)
    )


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1,000.5", "1000.5"),
        ("1.000,5", "1000.5"),
        ("1,000,000", "1000000"),
        ("0,125", ".125"),
        (".5", ".5"),
        ("1.000", "1"),
    ],
)
def test_marks_that_can_mean_one_thing_only(text: str, value: str) -> None:
    assert numerals.value(text) == Fraction(value)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("1,000", ("1000", "1.000")),
        ("391/2", ("39 1/2", "195 1/2")),
        ("11/4", ("1 1/4", "2 3/4")),
        ("1/0", ()),
        ("39 3/2", ()),
        ("3.2.1", ()),
        ("1,00,000", ()),
    ],
)
def test_two_readings_or_none_are_a_question(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(numerals.AmbiguousNumeralError) as caught:
        numerals.value(text)
    assert caught.value.readings == readings


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("39½ in", "39 1/2 in"),
        ("3′ 3½″", "3' 3 1/2\""),
        ("3’-6”", "3' 6\""),
        ("3'' ", '3"'),
        ("half a turn", "1/2 turn"),
        ("two thirds of a turn", "2/3 turn"),
        ("one and a half turns", "1 1/2 turns"),
        ("three quarters of an inch", "3/4 inch"),
        ("an inch", "1 inch"),
        ("a lot", "a lot"),
        ("120 degrees Fahrenheit", "120°F"),
        ("39 in.", "39 in"),
        ("−5 °C", "-5°C"),
        ("17 gallons per minute", "17 gallons/minute"),
        ("100\u202fcm", "100 cm"),
        ("2 per cent", "2 per cent"),
        ("1 ⁄ 4 in", "1/4 in"),
    ],
)
def test_tidying_keeps_the_meaning(said: str, plain: str) -> None:
    assert numerals.tidy(said) == plain


@given(st.text(max_size=60))
def test_tidying_twice_is_tidying_once(text: str) -> None:
    once = numerals.tidy(text)
    assert numerals.tidy(once) == once


def test_a_text_is_cut_into_numbers_units_and_words() -> None:
    lead, parts = numerals.scan("about 3 ft 3 in high")
    assert lead == "about"
    assert [(part.digits, part.unit, part.rest) for part in parts] == [("3", "ft", ""), ("3", "in", "high")]
