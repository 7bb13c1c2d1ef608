"""Verdicts and likelihoods against scipy, and the laws that hold whatever the numbers."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from dryfloor.engine.measurement import conformity

LOW, HIGH, FIRST, LAST = 39.0, 96.0, 6.0, 120.0  # a standpipe in inches: common practice (C)
GROSS = st.floats(0.001, 0.2)
SPREAD = st.floats(1e-6, 30)
READINGS = st.floats(-50, 200)


def log_ratio(y: float, u: float, g: float, side: str, low: float | None = LOW, high: float | None = HIGH) -> float:
    below, within, above = conformity.likelihoods(low, high, FIRST, LAST, y, u, g)
    chosen = below if side == "below" else above
    assert chosen is not None
    return math.log(chosen / within)


def average(a: float, b: float, y: float, u: float) -> float:
    """The average of the normal density by quadrature, not by its closed form."""
    first, last = max(a, y - 12 * u), min(b, y + 12 * u)  # quadrature misses a peak that is narrow in its range
    return float(quad(lambda x: norm.pdf(y, x, u), first, last, limit=200)[0]) / (b - a) if first < last else 0.0


@given(y=READINGS, u=st.floats(1e-3, 40), low=st.floats(0, 60), width=st.floats(0, 60))
def test_conformity_is_the_normal_probability_between_the_limits(y: float, u: float, low: float, width: float) -> None:
    by_scipy = norm.cdf(low + width, y, u) - norm.cdf(low, y, u)
    assert conformity.conformity(low, low + width, y, u) == pytest.approx(by_scipy, abs=1e-12)
    assert conformity.conformity(low, None, y, u) == pytest.approx(norm.sf(low, y, u), rel=1e-9, abs=1e-300)
    assert conformity.conformity(None, low, y, u) == pytest.approx(norm.cdf(low, y, u), rel=1e-9, abs=1e-300)


@pytest.mark.parametrize(
    ("y", "state", "side", "margin"),
    [
        (31.0, "broken", "below", -8.0),
        (38.9, "too-close", "below", -0.1),
        (39.0, "too-close", "below", 0.0),
        (39.1, "too-close", "below", 0.1),
        (39.5, "within", None, 0.5),
        (60.0, "within", None, 21.0),
        (96.1, "too-close", "above", -0.1),
        (110.0, "broken", "above", -14.0),
    ],
)
def test_verdicts_on_both_sides(y: float, state: str, side: str | None, margin: float) -> None:
    verdict = conformity.judge(LOW, HIGH, y, 0.25)
    assert (verdict.state, verdict.side) == (state, side)
    assert verdict.margin == pytest.approx(margin)
    assert verdict.u == pytest.approx(0.25 / math.sqrt(3))


def test_the_verdict_changes_where_conformity_says() -> None:
    u = 0.25 / math.sqrt(3)
    edge = LOW + norm.ppf(0.95) * u
    assert conformity.judge(LOW, None, edge + 1e-9, 0.25).state == "within"
    assert conformity.judge(LOW, None, edge - 1e-9, 0.25).state == "too-close"
    edge = LOW - norm.ppf(0.95) * u
    assert conformity.judge(LOW, None, edge + 1e-9, 0.25).state == "too-close"
    assert conformity.judge(LOW, None, edge - 1e-9, 0.25).state == "broken"


@given(y=READINGS, a=st.floats(0, 5))
def test_a_guarded_rule_accepts_only_a_whole_U_inside(y: float, a: float) -> None:
    plain, guarded = conformity.judge(LOW, HIGH, y, a), conformity.judge(LOW, HIGH, y, a, guarded=True)
    assert (guarded.state == "within") == (plain.state == "within" and plain.margin >= 2 * plain.u)
    assert (guarded.state == "broken") == (plain.state == "broken")
    assert guarded.conformity == plain.conformity


def test_an_exact_reading_on_a_limit_keeps_the_rule() -> None:
    assert conformity.judge(4, None, 4, 0).state == "within"
    assert conformity.judge(0, 0, 0, 0, guarded=True).state == "within"
    assert conformity.judge(4, None, 3, 0) == conformity.Verdict("broken", "below", 0.0, -1, 0.0)


def test_an_instrument_too_coarse_for_the_rule_convicts_nobody() -> None:
    assert conformity.judge(10, 10.01, 10.005, 5).state == "too-close"


@given(y=st.floats(FIRST, LAST), u=st.floats(0.05, 30), g=GROSS)
def test_likelihoods_are_the_averages_mixed_with_gross_errors(y: float, u: float, g: float) -> None:
    within = average(LOW, HIGH, y, u)
    for side, (a, b) in {"below": (FIRST, LOW), "above": (HIGH, LAST)}.items():
        beyond = average(a, b, y, u)
        assume(within + beyond > 1e-12)
        q = beyond / (within + beyond)
        expected = ((1 - g) * q + g * (1 - q)) / ((1 - g) * (1 - q) + g * q)
        assert math.exp(log_ratio(y, u, g, side)) == pytest.approx(expected, rel=1e-5)


@given(y=st.floats(34, 44), width=st.floats(1e-9, 0.2))
def test_a_rule_narrower_than_the_reading_is_averaged_too(y: float, width: float) -> None:
    middle = LOW + width / 2
    # The density in the middle is the average but for a term in the width squared.
    within = norm.pdf(y, middle, 1.0) * (1 + width**2 / 24 * ((y - middle) ** 2 - 1))
    beyond = (norm.cdf(LOW, y, 1.0) - norm.cdf(FIRST, y, 1.0)) / (LOW - FIRST)
    found = log_ratio(y, 1.0, 1e-12, "below", LOW, LOW + width)
    assert found == pytest.approx(math.log(beyond / within), abs=1e-6 + width**4)


def test_worked_reading_half_an_inch_below_the_limit() -> None:
    """Derived here (D): u = 1/2 in, y = 38.5 in, g = 0: averages .8413/33 below and .1587/57 within, odds 9.16."""
    expected = (norm.cdf(1) / 33) / (norm.sf(1) / 57)
    assert expected == pytest.approx(9.160, abs=0.001)
    assert math.exp(log_ratio(38.5, 0.5, 1e-12, "below")) == pytest.approx(expected, rel=1e-8)


@given(
    y=READINGS | st.floats(allow_nan=False, allow_infinity=False),
    u=SPREAD | st.just(0.0) | st.floats(0, 1e-300),
    g=GROSS,
)
def test_ratios_are_capped_whatever_the_reading(y: float, u: float, g: float) -> None:
    parts = conformity.likelihoods(LOW, HIGH, FIRST, LAST, y, u, g)
    assert sum(part for part in parts if part is not None) == pytest.approx(1)
    for side in ("below", "above"):
        assert abs(log_ratio(y, u, g, side)) <= math.log((1 - g) / g) + 1e-9


@given(g=GROSS, u=st.floats(1e-9, 0.5) | st.just(0.0))
def test_far_readings_reach_the_cap_and_acquit_the_other_side(g: float, u: float) -> None:
    cap = math.log((1 - g) / g)
    assert log_ratio(20, u, g, "below") == pytest.approx(cap)
    assert log_ratio(20, u, g, "above") == pytest.approx(-cap)
    assert log_ratio(60, u, g, "below") == log_ratio(60, u, g, "above") == pytest.approx(-cap)
    assert log_ratio(110, u, g, "above") == pytest.approx(cap)


@given(a=READINGS, b=READINGS, u=SPREAD | st.just(0.0), g=GROSS)
def test_a_lower_reading_never_speaks_less_for_below(a: float, b: float, u: float, g: float) -> None:
    lower, higher = sorted((a, b))
    assert log_ratio(lower, u, g, "below") >= log_ratio(higher, u, g, "below") - 1e-9
    assert log_ratio(lower, u, g, "above") <= log_ratio(higher, u, g, "above") + 1e-9


@given(y=st.floats(FIRST, LAST), u=st.floats(1e-3, 30), g=GROSS, part=st.floats(-1e-6, 1e-6))
def test_moving_a_reading_a_little_never_jumps(y: float, u: float, g: float, part: float) -> None:
    for side in ("below", "above"):
        # The log odds of two averages can't be steeper than the whole range over u squared; mixing only flattens.
        steepest = 2 * (LAST - FIRST) / u**2
        moved = abs(log_ratio(y + part * u, u, g, side) - log_ratio(y, u, g, side))
        assert moved <= abs(part) * u * steepest + 1e-7


def test_straight_across_the_limit_the_ratio_rises_without_a_step() -> None:
    steps = [log_ratio(41 - 4 * i / 4000, 0.25, 0.02, "below") for i in range(4001)]
    rises = [after - before for before, after in pairwise(steps)]
    assert all(rise >= -1e-12 for rise in rises)
    assert max(rises) < 0.03
    assert steps[0] < -3.8
    assert steps[-1] > 3.8


@given(y=st.floats(FIRST, LAST), u=SPREAD, g=GROSS)
def test_a_mirrored_rule_gives_mirrored_likelihoods(y: float, u: float, g: float) -> None:
    below, within, above = conformity.likelihoods(LOW, HIGH, FIRST, LAST, y, u, g)
    mirrored = conformity.likelihoods(-HIGH, -LOW, -LAST, -FIRST, -y, u, g)
    assert mirrored == pytest.approx((above, within, below))


@pytest.mark.parametrize("read", [1.95, 2.0, 2.05])
def test_what_comes_in_sizes_is_the_size_it_reads(read: float) -> None:
    """A pipe of 2 in, read to 1/8 in: between it and the next of 1 5/8 in none is made (scipy: the averages over what is made)."""
    u = 0.125 / 3**0.5
    made = norm(read, u)
    q = (made.cdf(1.625) - made.cdf(0.75)) / (1.625 - 0.75)
    within = (made.cdf(4) - made.cdf(2)) / 2
    q = q / (q + within)
    below, kept, _ = conformity.likelihoods(2.0, None, 0.75, 4.0, read, u, 0.03, 1.625)
    assert below == pytest.approx(0.97 * q + 0.03 * (1 - q), rel=1e-6)
    assert below < 0.05 < conformity.likelihoods(2.0, None, 0.75, 4.0, read, u, 0.03)[0]
    assert below + kept == pytest.approx(1)


def test_sides_that_no_true_value_can_have_are_none() -> None:
    assert conformity.likelihoods(LOW, None, FIRST, LAST, 50, 1, 0.02)[2] is None
    assert conformity.likelihoods(None, HIGH, FIRST, LAST, 50, 1, 0.02)[0] is None
    assert conformity.likelihoods(FIRST, HIGH, FIRST, LAST, 50, 1, 0.02)[0] is None
    assert conformity.likelihoods(LOW, LAST, FIRST, LAST, 50, 1, 0.02)[2] is None


def test_an_exact_count_on_the_limit_is_within() -> None:
    below, within, above = conformity.likelihoods(4, None, 0, 8, 4, 0, 0.02)
    assert above is None
    assert below is not None
    assert below / within == pytest.approx(0.02 / 0.98)


def test_min_and_max_may_be_one() -> None:
    below, within, above = conformity.likelihoods(4, 4, 0, 8, 4, 0.1, 0.02)
    assert below is not None
    assert below == above
    # A region of no width: its density against the average over 4, each side holding half of the area.
    odds = (0.5 / 4) / norm.pdf(0, 0, 0.1)
    assert below / within == pytest.approx((0.02 + 0.96 * odds / (1 + odds)) / (0.98 - 0.96 * odds / (1 + odds)))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((None, None, 0, 8, 4, 1, 0.02), "without limits"),
        ((5, 4, 0, 8, 4, 1, 0.02), "crossed"),
        ((9, None, 0, 8, 4, 1, 0.02), "nothing from 0 to 8 is within"),
        ((None, -1, 0, 8, 4, 1, 0.02), "nothing from 0 to 8 is within"),
        ((4, None, 8, 0, 4, 1, 0.02), "nothing from 8 to 0"),
        ((4, None, 0, 8, math.nan, 1, 0.02), "finite"),
        ((4, None, 0, 8, 4, -1, 0.02), "zero or more"),
        ((4, None, 0, 8, 4, 1, 0.0), "gross-error rate"),
        ((4, None, 0, 8, 4, 1, 0.5), "gross-error rate"),
    ],
)
def test_what_makes_no_sense_is_refused(
    arguments: tuple[float, float, float, float, float, float, float], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        conformity.likelihoods(*arguments)
