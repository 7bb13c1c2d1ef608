"""Every way to write a reading, every refusal, against pint where a unit is converted."""

import math
import sys
from subprocess import run

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.measurement import formatting, parsing, quantity
from dryfloor.engine.measurement.units import SI, USUAL
from dryfloor.engine.model import Cite, Measure, Rule
from tests.support.pint_units import registry

UREG = registry()


def of(number: float, unit: str, base: str) -> float:
    """A value by pint."""
    return float(UREG.Quantity(number, unit).to(base).magnitude)


READ = [
    (
        "length",
        of(39.5, "inch", "m"),
        [
            '39 1/2"',
            "39.5 in",
            "39-1/2 in",
            "3' 3 1/2\"",
            "3'-3 1/2\"",
            "39½ in",
            "39½″",
            "3′ 3½″",
            "3’ 3½”",
            "39,5 in",
            "39,50 in",
            "3 ft 3 1/2 in",
            "3ft 3.5in",
            "39 and a half inches",
            "39.5 IN",
            "39.5 in.",
            "3 feet, 3 1/2 inches",
            "39 1/2 in (100 cm)",
            "1 yd 3 1/2 in",
            "1003.3 mm",
            "100.33 cm",
            "1.0033 m",
        ],
    ),
    ("length", of(39, "inch", "m"), ["39 in", "3 ft 3 in", "3'3\"", "3 feet and 3 inches", "99.06 cm", "39”"]),
    ("length", 1.0, ["1 m", "100 cm", "1000 mm", "1 metre", "1,0 m", "1000,0 mm", "1.000 m"]),
    ("length", 0.0, ["0", "0 in", "zero", "0 mm"]),
    ("length", of(0.25, "inch", "m"), ["quarter inch", "a quarter of an inch", "1/4 in", "¼ in", ".25 in", "0,250 in"]),
    ("turns", 2 / 3, ["2/3 turn", "⅔ turn", "two thirds of a turn", "240 deg", "2/3 of a turn"]),
    ("turns", 4 / 3, ["1 1/3 turns", "1⅓ turns", "one and a third turns", "480°"]),
    ("turns", 0.5, ["half a turn", "a half turn", "1/2 rev"]),
    (
        "temperature",
        of(120, "degF", "degC"),
        ["120F", "120 °F", "120 ° F", "120 deg F", "120 degrees Fahrenheit", "120℉"],
    ),
    ("temperature", 49.0, ["49 C", "49°C", "49 degrees celsius", "49 centigrade", "322.15 K"]),
    ("temperature", -5.0, ["-5 C", "−5 °C", "minus 5 C", "23 F"]),
    (
        "flow",
        of(17, "gallon/minute", "m**3/s"),
        ["17 gpm", "17 gal/min", "17 gallons per minute", "17 GPM", "34 gal over 2 min"],
    ),
    ("flow", of(64, "liter/minute", "m**3/s"), ["64 L/min", "64 lpm", "64 litres per minute", "64 liters/minute"]),
    ("flow", 0.001, ["1 L/s", "1 l/s", "3.6 m3/h", "3,6 m³/h", "0.001 m3/s", "5 L in 5 s"]),
    ("voltage", 118.0, ["118 V", "118 volts", "118 VAC", "118 v ac", "118,0 V", "0.118 kV"]),
    ("current", 0.006, ["6 mA", "0.006 A", "6 milliamps"]),
    ("pressure", of(55, "psi", "Pa"), ["55 psi", "55 PSI", "55 psig", "55 lb/in2"]),
    ("pressure", 380000.0, ["3.8 bar", "380 kPa", "0.38 MPa", "3,8 bar", "380000 Pa"]),
    (
        "slope",
        1 / 48,
        ["1/4 in/ft", '1/4" per foot', '1/4"/ft', "1/4 inch per foot", "1:48", "1/2 in over 2 ft", "6 mm over 288 mm"],
    ),
    ("slope", -1 / 96, ["-1/8 in/ft"]),
    ("slope", 0.02, ["2 %", "2 per cent", "2 percent", "20 mm/m", "20 mm per metre", "2 cm/m"]),
    ("slope", math.tan(math.radians(1.2)), ["1.2 deg", "1.2°", "1.2 degrees"]),
    ("age", of(5, "year", "s"), ["5 years", "5 yrs", "5 y", "60 months", "5 years old"]),
    ("age", of(6, "month", "s"), ["6 months", "0.5 years", "half a year", "6 mo"]),
    ("time", 600.0, ["10 min", "600 s", "10 minutes"]),
    ("time", 90.0, ["90 s", "1 min 30 s", "1.5 min", "90 seconds", "1 1/2 min"]),
    ("volume", of(20, "gallon", "m**3"), ["20 gal", "20 gallons", "80 qt"]),
    ("volume", 0.075, ["75 L", "75 litres", "75000 mL"]),
    ("volume", of(2, "tablespoon", "m**3"), ["2 tbsp", "two tablespoons", "1 fl oz", "6 tsp"]),
    ("mass", of(300, "pound", "kg"), ["300 lb", "300 lbs", "300 pounds"]),
    ("mass", 80.0, ["80 kg", "80 kilos"]),
    ("area", of(100, "inch**2", "m**2"), ["100 in2", "100 sq in", "100 in²", "100 square inches", "100 sq. in."]),
    ("count", 3.0, ["3", "three", "3 bolts", "3 transit bolts", "+3"]),
    ("count", 4.0, ["4 feet"]),
    ("count", 0.0, ["0", "none", "zero"]),
]


@pytest.mark.parametrize(("measures", "value", "text"), [(m, v, text) for m, v, texts in READ for text in texts])
def test_every_way_to_write_it(measures: str, value: float, text: str) -> None:
    assert quantity.parse(text, measures) == pytest.approx(value, rel=1e-12, abs=1e-15)


def test_ways_to_say_one_value_agree_to_the_last_bit() -> None:
    """So that a reading on a limit is on it."""
    ways = ["39 in", "3 ft 3 in", "3' 3\"", "99.06 cm", "990.6 mm", "39.0 in", "1 yd 3 in"]
    assert len({quantity.parse(way, "length") for way in ways}) == 1


REFUSED = [  # measure, text, words of the question, nearest, readings
    ("slope", "half a bubble", "without the vial's radius", "", ()),
    ("length", "39", "39 what? Do you mean 39 in (99.1 cm), or 39 cm (15 3/8 in)?", "", ("39 in", "39 cm")),
    ("temperature", "120", "120 what?", "", ("120 °F", "120 °C")),
    ("temperature", "120°", "120 degrees what?", "", ("120 °F", "120 °C")),
    ("temperature", "120 degrees", "120 degrees what?", "", ("120 °F", "120 °C")),
    ("temperature", "0", "0 what?", "", ("0 °F", "0 °C")),
    ("voltage", "118", "118 what? Do you mean 118 V?", "118 V", ("118 V",)),
    ("age", "5", "5 what?", "", ("5 years", "5 months")),
    ("slope", "1/4", "1/4 what?", "", ("1/4 in/ft", "1/4 mm/m")),
    ("length", "39 psi", "39 psi is a pressure; this asks for a length", "", ()),
    ("length", "39 V", "39 V is a voltage", "", ()),
    ("length", "1/4 in/ft", "is a slope; this asks for a length", "", ()),
    ("time", "10 m", "10 m is a length", "10 min", ("10 min",)),
    ("age", "6 m", "6 m is a length", "6 months", ("6 months",)),
    ("pressure", "55 lb", "55 lb is a weight", "55 psi", ("55 psi",)),
    ("flow", "17 gal", "17 gal is a volume", "17 gpm", ("17 gpm",)),
    ("volume", "8 oz", "8 oz is a weight", "8 fl oz", ("8 fl oz",)),
    ("length", "39 inn", "'inn' is no unit for a length that I know. Do you mean 39 in?", "39 in", ("39 in",)),
    ("length", "39 inchs", "'inchs' is no unit", "39 in", ("39 in",)),
    ("length", "39 xyzzy", "'xyzzy' is no unit", "", ()),
    ("pressure", "0.4 mPa", "'mPa' is no unit", "0.4 MPa", ("0.4 MPa",)),
    ("length", "-5 in", "can't be below zero", "5 in", ("5 in",)),
    ("voltage", "-118 V", "can't be below zero", "118 V", ("118 V",)),
    ("temperature", "-500 F", "Nothing can be as cold", "", ()),
    ("slope", "90 deg", "stands upright", "", ()),
    ("length", "1e400", "no plain number", "", ()),
    ("length", "1e400 in", "no plain number", "", ()),
    ("length", "1e3 mm", "no plain number", "", ()),
    ("length", "nan", "no number", "", ()),
    ("length", "inf in", "no number", "", ()),
    ("length", "fairly low", "no number", "", ()),
    ("count", "a few", "no number", "", ()),
    ("length", "", "Nothing was typed", "", ()),
    ("length", "  \t ", "Nothing was typed", "", ()),
    ("length", "9" * 400 + " in", "long for one reading", "", ()),
    ("length", "39 in or 40 in", "more than one number", "", ("39 in", "40 in")),
    ("length", "39 or 40 in", "more than one number", "", ("39 in", "40 in")),
    ("length", "39-40 in", "more than one number", "", ("39 in", "40 in")),
    ("length", "39' 40'", "more than one number", "", ("39'", "40'")),
    ("time", "1:30", "more than one number", "", ()),
    ("length", "1,000 mm", "The comma may part thousands or decimals", "", ("1000 mm", "1.000 mm")),
    ("length", "1 000 mm", "A blank may part thousands", "1000 mm", ("1000 mm",)),
    ("length", "391/2 in", "A blank may be missing", "", ("39 1/2 in", "195 1/2 in")),
    ("length", "39 1/0 in", "divided by zero", "", ()),
    ("length", "39 3/2 in", "must be less than one", "", ()),
    ("length", "3.2.1 in", "do not part groups of three", "", ()),
    ("length", "3' 3", "3 what, after 3'?", "3 ft 3 in", ("3 ft 3 in",)),
    ("length", "39 in 1/2", "1/2 what, after 39 in?", "39 1/2 in", ("39 1/2 in",)),
    ("length", "1 m 5", "5 what, after 1 m?", "", ("1 m 5 cm", "1 m 5 mm")),
    ("length", "3 ft 14 in", "alone make 1 ft or more", "", ()),
    ("length", "1.5 ft 3 in", "what is it in one unit?", "", ()),
    ("length", "39 in below the rim", "can't place 'below the rim'", "39 in", ("39 in",)),
    ("length", "height 39 in", "can't place 'height'", "39 in", ("39 in",)),
    ("length", "about 39 in", "no reading", "39 in", ("39 in",)),
    ("length", "> 39 in", "no reading", "39 in", ("39 in",)),
    ("length", "39 in (39 cm)", "The two values differ", "", ("39 in", "39 cm")),
    ("count", "2.5", "no whole number", "", ()),
    ("count", "3 in", "3 in is a length; this asks how many", "3", ("3",)),
    ("flow", "5 gal in 0 s", "divided by zero", "", ()),
    ("state", "open", "seen, not measured", "", ()),
]


@pytest.mark.parametrize(("measures", "text", "asks", "nearest", "readings"), REFUSED)
def test_what_is_unclear_is_a_question(
    measures: str, text: str, asks: str, nearest: str, readings: tuple[str, ...]
) -> None:
    with pytest.raises(parsing.QuantityProblem) as caught:
        quantity.parse(text, measures)
    problem = caught.value
    assert asks in problem.question == str(problem)
    assert problem.question.endswith("?")
    assert (problem.nearest, problem.readings) == (nearest, readings)
    assert problem.expected
    assert problem.mend.endswith(".")


@given(text=st.text(max_size=90), measures=st.sampled_from(list(SI)))
def test_any_text_gives_a_finite_value_or_a_question(text: str, measures: str) -> None:
    check_value_or_question(text, measures)


PIECES = [
    "39",
    "1/2",
    "1,000",
    ".5",
    "-",
    " ",
    "in",
    "'",
    '"',
    "ft",
    "/",
    "°",
    "F",
    "psi",
    "half",
    "a",
    "and",
    "(",
    ")",
    ":",
    "over",
    "mm",
    "m",
    "e9",
    "to",
    "%",
    "½",
    "deg",
    "bubble",
    "0",
    "gal",
    "min",
]


@given(text=st.lists(st.sampled_from(PIECES), max_size=7).map("".join), measures=st.sampled_from(list(SI)))
def test_any_mixture_of_pieces_gives_a_finite_value_or_a_question(text: str, measures: str) -> None:
    check_value_or_question(text, measures)


def check_value_or_question(text: str, measures: str) -> None:
    problem = None
    try:
        value = quantity.parse(text, measures)
    except parsing.QuantityProblem as caught:
        problem = caught
    if problem:
        assert problem.question.endswith("?")
        for offered in {problem.nearest, *problem.readings} - {""}:
            assert math.isfinite(quantity.parse(offered, measures))
    else:
        assert math.isfinite(value)
        assert value >= 0 or measures in ("temperature", "slope")


@given(whole=st.integers(0, 400), eighths=st.integers(0, 7))
def test_eighths_of_an_inch_survive_being_shown(whole: int, eighths: int) -> None:
    value = (8 * whole + eighths) * 0.0254 / 8
    if 0.0254 <= value < 3.6576:
        assert quantity.parse(formatting.show(value, "length", "us"), "length") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "measures", "value"),
    [
        ("2 F", "temperature", of(2, "delta_degF", "delta_degC")),
        ("± 2 F", "temperature", of(2, "delta_degF", "delta_degC")),
        ("2 C", "temperature", 2.0),
        ("2 K", "temperature", 2.0),
        ("0", "temperature", 0.0),
        ("+/- 1/4 in", "length", 0.00635),
        ("give or take 3 mm", "length", 0.003),
        ("1/16 in/ft", "slope", 1 / 192),
        ("1 month", "age", of(1, "month", "s")),
    ],
)
def test_a_tolerance_is_a_difference(text: str, measures: str, value: float) -> None:
    assert quantity.parse_tolerance(text, measures) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "measures"), [("-2 F", "temperature"), ("-1 mm/m", "slope"), ("2", "length"), ("2 %", "length")]
)
def test_a_tolerance_that_is_none(text: str, measures: str) -> None:
    with pytest.raises(parsing.QuantityProblem):
        quantity.parse_tolerance(text, measures)


@pytest.mark.parametrize(
    ("text", "measures", "low", "high"),
    [
        ("6 in to 120 in", "length", 0.1524, 3.048),
        ("6 to 120 in", "length", 0.1524, 3.048),
        ("0 to 8", "count", 0, 8),
        ("-40 F to 104 F", "temperature", -40, 40),
        ("-40 to 104 F", "temperature", -40, 40),
        ("0 to 8 mm", "length", 0, 0.008),
        ("3/4 in to 4 in", "length", 0.01905, 0.1016),
    ],
)
def test_a_plausible_range(text: str, measures: str, low: float, high: float) -> None:
    assert quantity.plausible(text, measures) == pytest.approx((low, high))


@pytest.mark.parametrize(
    "text", ["6 in", "120 in to 6 in", "6 in to 6 in", "6 to 120", "6 psi to 120 in", "", "a to b"]
)
def test_a_range_that_is_none(text: str) -> None:
    with pytest.raises(parsing.QuantityProblem):
        quantity.plausible(text, "length")


def rule(measures: Measure = "length", plausible: str | None = "6 in to 120 in") -> Rule:
    return Rule(
        title="Standpipe height",
        id="standpipe-height",
        measures=measures,
        of="its top",
        plausible=plausible,
        authority="practice",
        sources=[Cite(source="trade-practice")],
    )


@pytest.mark.parametrize(
    ("said", "nearest", "readings"),
    [
        ("39 ft", "39 in", ("39 in",)),
        ("39'", "39 in", ("39 in",)),
        ("99 m", "99 cm", ("99 cm",)),
        ("2 in", "2 ft", ("2 ft", "2 yd")),
        ("9000 ft", "", ()),
    ],
)
def test_an_implausible_reading_asks_for_the_same_digits_in_another_unit(
    said: str,
    nearest: str,
    readings: tuple[str, ...],
) -> None:
    problem = quantity.check_plausible(quantity.parse(said, "length"), rule(), said)
    assert problem
    assert "Standpipe height" in problem.question
    assert problem.readings == readings
    if len(readings) < 2:
        assert problem.nearest == nearest
        assert (f"Do you mean {nearest}?" if nearest else "Is the unit right?") in problem.question


def test_a_plausible_reading_is_left_alone() -> None:
    assert quantity.check_plausible(1.0, rule(), "1 m") is None
    assert quantity.check_plausible(0.1524, rule()) is None
    assert quantity.check_plausible(500.0, rule(plausible=None)) is None


def test_without_the_words_the_plainest_notation_is_taken() -> None:
    problem = quantity.check_plausible(39 * 0.3048, rule())
    assert problem
    assert problem.nearest == "39 in"
    odd = quantity.check_plausible(11.123456789, rule())
    assert odd
    assert odd.nearest == ""


@pytest.mark.parametrize("measures", [m for m in SI if len(USUAL[m]) == 2 and m != "temperature"])
def test_a_missing_unit_offers_both_usual_ones(measures: str) -> None:
    with pytest.raises(parsing.QuantityProblem) as caught:
        quantity.parse("7", measures)
    assert caught.value.readings == tuple(f"7 {symbol}" for symbol in USUAL[measures])


def test_an_unknown_measure_is_the_kb_s_mistake() -> None:
    with pytest.raises(ValueError, match="'weight' is no measure; expected one of length"):
        quantity.parse("39 in", "weight")


def test_importing_it_loads_nothing_heavy() -> None:
    code = (
        "import sys; from dryfloor.engine.measurement import quantity, conformity; print([m for m in sys.modules if m in "
        "('numpy', 'scipy', 'yaml', 'networkx', 'pint', 'statistics')])"
    )
    done = run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("text", ["3²in", "3² in", "3³ in", "3₂ in", "3 ²in", "²3 in"])
def test_a_raised_digit_beside_a_number_is_asked_back_and_not_read_as_one_of_its_digits(text):
    with pytest.raises(quantity.QuantityProblem):
        quantity.parse(text, "length")


@pytest.mark.parametrize(
    ("text", "measures", "wanted"),
    [("3 in²", "area", 3 * 0.0254**2), ("2 m³/h", "flow", 2 / 3600), ("10 inH₂O", "pressure", 10 * 249.08891)],
)
def test_a_raised_digit_in_a_unit_is_part_of_it(text, measures, wanted):
    assert quantity.parse(text, measures) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("text", ["-0", "−0", "minus 0"])
def test_less_than_nothing_is_asked_back_where_nothing_can_be_below_zero(text):
    for unit, measures in (("in", "length"), ("gal", "volume"), ("V", "voltage"), ("gpm", "flow"), ("", "count")):
        with pytest.raises(quantity.QuantityProblem, match="below zero"):
            quantity.parse(f"{text} {unit}", measures)
    assert quantity.parse(f"{text} °C", "temperature") == 0
    assert quantity.parse(f"{text} mm/m", "slope") == 0


@pytest.mark.parametrize(
    ("said", "cubic_inches"),
    [
        ("24 x 20 x 14 in", 24 * 20 * 14),
        ("24 in x 20 in x 14 in", 24 * 20 * 14),
        ("24x20x14 in", 24 * 20 * 14),
        ("24 1/2 x 20 x 14 in", 24.5 * 20 * 14),
        ("2 ft by 20 in by 14 in", 24 * 20 * 14),
        ('24" x 20" x 14"', 24 * 20 * 14),
    ],
)
def test_three_sides_of_a_tub_are_its_volume(said, cubic_inches):
    """A cubic inch is 0.0254 m cubed; a gallon of 231 of them is the trade's own."""
    assert quantity.parse(said, "volume") == pytest.approx(cubic_inches * 0.0254**3)
    assert quantity.parse(said, "volume") == pytest.approx(quantity.parse(f"{cubic_inches / 231} gal", "volume"))


@pytest.mark.parametrize("said", ["24 x 20 x 14", "24 x 20 in", "24 x 20 x 14 gal", "24 x 20 x 14 x 3 in"])
def test_sides_that_make_no_volume_get_a_question_back(said):
    with pytest.raises(quantity.QuantityProblem):
        quantity.parse(said, "volume")
