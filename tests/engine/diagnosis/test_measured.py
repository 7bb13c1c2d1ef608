"""Readings of one quantity by several hands: taken together on the value, then judged; beside brute force on a grid of true values."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import reported
from dryfloor.engine.diagnosis.measured import counted, disagreeing
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.measurement import conformity
from dryfloor.engine.measurement.readings import agree, reading, together, weighted
from tests.support.shipped import shipped

KB = shipped()
INCH = 0.0254
LOW, HIGH, FIRST, LAST = 39 * INCH, 96 * INCH, 6 * INCH, 120 * INCH
SIPHONS = [Event(role="homeowner"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe")]

values = st.floats(FIRST, LAST)
widths = st.floats(1e-4, 0.3)
rates = st.floats(0.001, 0.2)
readings = st.lists(st.tuples(values, widths, rates), min_size=1, max_size=4)


def read(value, hands):
    return [Event(hands=hands), Event(check="standpipe-height", value=value)]


def odds(value, a, gross):
    """Return below and above against within, as the belief takes them."""
    below, within, above = conformity.likelihoods(LOW, HIGH, FIRST, LAST, value, a / math.sqrt(3), gross)
    return below / within, above / within


@settings(deadline=None)
@given(readings, st.randoms(use_true_random=False))
def test_order_has_no_effect(some, random):
    mixed = list(some)
    random.shuffle(mixed)
    assert weighted(mixed) == pytest.approx(weighted(some), rel=1e-12, abs=1e-15)


@settings(deadline=None)
@given(readings)
def test_never_more_certain_than_were_they_exact(some):
    """The reporter's own error caps what a reading says, however many there are."""
    value, a, gross = weighted(some)
    surest = min(g for _, _, g in some)
    assert min(v for v, _, _ in some) - 1e-12 <= value <= max(v for v, _, _ in some) + 1e-12
    assert surest - 1e-12 <= gross <= max(g for _, _, g in some) + 1e-12
    assert a <= min(w for _, w, _ in some) * (1 + 1e-12)
    for side, exact in zip(odds(value, a, gross), odds(value, 0.0, surest), strict=True):
        cap = (1 - surest) / surest
        assert 1 / cap - 1e-12 <= side <= cap * (1 + 1e-9)
        assert max(side, 1 / side) <= max(exact, 1 / exact) * (1 + 1e-9)


@settings(deadline=None)
@given(st.tuples(values, widths, rates), values, rates)
def test_a_second_reading_without_bound_says_nothing(one, other, rate):
    assert weighted([one, (other, math.inf, rate)]) == pytest.approx(one, rel=1e-12)
    assert weighted([one, (other, 1e9, rate)]) == pytest.approx(one, rel=1e-6)


@settings(deadline=None, max_examples=40)
@given(st.tuples(values, st.floats(0.003, 0.1)), st.floats(-0.05, 0.05), st.floats(0.003, 0.1))
def test_brute_force_over_true_values(first, off, a2):
    """Each true value of a fine grid weighs by the product of both normal densities; then averaged below, within and above."""
    (y1, a1), y2 = first, min(max(first[0] + off, FIRST), LAST)
    u1, u2 = a1 / math.sqrt(3), a2 / math.sqrt(3)

    def log_density(x):
        return -(((x - y1) / u1) ** 2) / 2 - ((x - y2) / u2) ** 2 / 2

    def mean(low, high):
        x = np.linspace(low, high, 400_001)
        most = log_density(x).max()
        return most + math.log(np.trapezoid(np.exp(log_density(x) - most), x) / (high - low))

    below, within, above = mean(FIRST, LOW), mean(LOW, HIGH), mean(HIGH, LAST)
    value, a, gross = weighted([(y1, a1, 0.03), (y2, a2, 0.03)])
    for side, brute in zip(odds(value, a, gross), (below - within, above - within), strict=True):
        q = 1 / (1 + math.exp(-brute)) if abs(brute) < 700 else float(brute > 0)
        expected = (gross + (1 - 2 * gross) * q) / (1 - gross - (1 - 2 * gross) * q)
        assert side == pytest.approx(expected, rel=2e-3)


def test_exact_readings_leave_the_others_out():
    assert weighted([(1.0, 0.0, 0.03), (2.0, 0.1, 0.005)]) == (1.0, 0.0, 0.03)
    assert weighted([(1.0, 0.0, 0.03), (2.0, 0.0, 0.01)]) == (1.5, 0.0, pytest.approx(0.02))


def test_two_hands_count_beside_and_the_same_hands_replace():
    events = [*SIPHONS, *read("38.8 in", "homeowner"), *read("38.6 in", "technician")]
    state = fold(KB, events)
    r = counted(KB, state.answers, "standpipe-height", 0)
    alone = reading(KB, "standpipe-height", "38.6 in", "technician")
    assert alone.value < r.value < reading(KB, "standpipe-height", "38.8 in", "homeowner").value
    assert r.half_width < alone.half_width
    assert r == together(KB, "standpipe-height", [("38.8 in", "homeowner"), ("38.6 in", "technician")])
    nodes = [n for n, *_ in reported(network_of(KB), state)]
    assert len([n for n in nodes if "standpipe-height" in n]) == 2  # below and above, once
    again = fold(KB, [*events, *read("41 in", "homeowner"), *read("41 in", "technician")])
    assert counted(KB, again.answers, "standpipe-height", 0).value == pytest.approx(41 * INCH)


@pytest.mark.parametrize("order", list(itertools.permutations(["homeowner", "technician"])))
def test_what_can_not_both_be_right_is_said_and_measured_again(order):
    """The surer hands count until then; whoever measured twice has settled it."""
    said = {"homeowner": "31 in", "technician": "44 in"}
    gates = [Event(cleared=h.id) for h in KB.hazards.values() if h.gate]
    events = [*SIPHONS, *(e for hands in order for e in read(said[hands], hands)), *gates]
    state = fold(KB, events)
    assert [name for name, _ in disagreeing(KB, state)] == ["standpipe-height"]
    advice = advise(KB, events)
    assert (advice.next.kind, advice.next.id) == ("check", "standpipe-height")
    assert "measure again" in advice.next.why
    (m,) = [m for m in advice.readings if m.check == "standpipe-height"]
    assert "can't both be right" in m.neighbours[0]
    assert m.value == pytest.approx(44 * INCH)
    settled = [*events, Event(check="standpipe-height", value=said[order[1]])]
    after = advise(KB, settled)
    assert (after.next.kind, after.next.id) != ("check", "standpipe-height")
    (m,) = [m for m in after.readings if m.check == "standpipe-height"]
    assert m.value == pytest.approx({"homeowner": 31, "technician": 44}[order[1]] * INCH)
    assert "who measured twice" in m.neighbours[0]
    passed = advise(KB, [*events, Event(cant="standpipe-height")])
    assert passed.next.id != "standpipe-height"


def test_readings_that_meet_at_their_ends_agree():
    a, b = (reading(KB, "standpipe-height", t, "homeowner") for t in ("38 in", "39 in"))
    assert agree(a, b)
    assert not agree(a, reading(KB, "standpipe-height", "39.1 in", "homeowner"))


def test_a_remedy_between_them_parts_them():
    events = [*SIPHONS, *read("31 in", "homeowner"), Event(remedy="standpipe-too-low"), *read("44 in", "technician")]
    state = fold(KB, events)
    assert disagreeing(KB, state) == []
    assert counted(KB, state.answers, "standpipe-height", 1).value == pytest.approx(44 * INCH)
