"""The lifting screen: bounds of the equation (NIOSH 94-110, S), its two editions, and derived figures (D)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.physics.stand import lifting
from dryfloor.engine.physics.stand.lifting import IN_M, multipliers, screen, weight_limit_kg

EDITIONS = ("inch", "metric")


def test_the_best_lift_is_23_kg():
    # H up to 25, V 75, D up to 25 cm, no twist (D)
    best = multipliers(0.25, 0.75, 0.25, grip="good")
    assert tuple(best) == (1, 1, 1, 1, 1, 1)
    assert weight_limit_kg(best) == 23.0
    inch = multipliers(10 * IN_M, 30 * IN_M, 10 * IN_M, grip="good", edition="inch")
    assert weight_limit_kg(inch, "inch") / lifting.LB_KG == pytest.approx(51)


def test_a_washer_alone_and_for_two():
    # 75 kg at H 40, V 40, D 25 cm, fair grip: 12.2 kg; 6.1 alone, 3.1 each of two sharing equally (D)
    limit = weight_limit_kg(multipliers(0.40, 0.40, 0.25, grip="fair"))
    assert limit == pytest.approx(12.2, abs=0.05)
    assert screen(75, limit).lifting_index == pytest.approx(6.1, abs=0.05)
    for_two = screen(75, limit, people=2)
    assert for_two.lifting_index == pytest.approx(3.1, abs=0.05)
    assert for_two.band == "high risk for nearly all"


@pytest.mark.parametrize(("load_lb", "index", "people"), [(200, 1.96, 4), (250, 2.45, 5), (300, 2.94, 6)])
def test_two_people_never_meet_the_guideline_even_at_their_best(load_lb, index, people):
    found = screen(load_lb * lifting.LB_KG, 51 * lifting.LB_KG, people=2)  # (D)
    assert found.lifting_index == pytest.approx(index, abs=0.005)
    assert (found.band, found.people) == ("above the guideline", people)


@pytest.mark.parametrize("edition", EDITIONS)
def test_beyond_its_bounds_the_equation_allows_nothing(edition):
    far, top = (25 * IN_M, 70 * IN_M) if edition == "inch" else (0.63, 1.75)
    on = multipliers(far, top, top, 135, edition=edition)
    assert min(on) > 0
    assert multipliers(far + 0.001, 0.7, 0.3, edition=edition).reach == 0
    assert multipliers(0.3, top + 0.001, 0.3, edition=edition).height == 0
    assert multipliers(0.3, 0.7, top + 0.001, edition=edition).travel == 0
    assert multipliers(0.3, 0.7, 0.3, 135.1, edition=edition).twist == 0
    assert weight_limit_kg(multipliers(1.0, 0.7, 0.3, edition=edition), edition) == 0


@pytest.mark.parametrize("edition", EDITIONS)
def test_near_its_bounds_the_equation_gives_no_bonus(edition):
    assert multipliers(0.05, 0.7, 0.05, edition=edition)[0] == 1
    assert multipliers(0.05, 0.7, 0.0, edition=edition).travel == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("per_min", "share"), [(0, 1), (0.2, 1), (0.5, 0.97), (1, 0.94), (2, 0.91), (3, 0.88), (4, 0.84), (5, 0.80)]
)
def test_rows_of_the_frequency_table(per_min, share):
    assert multipliers(0.25, 0.75, 0.25, lifts_per_min=per_min).frequency == pytest.approx(share, abs=1e-12)


@pytest.mark.parametrize(("twist", "share"), [(0, 1), (30, 0.904), (90, 0.712), (135, 0.568)])
def test_twist_takes_a_third_of_a_per_cent_a_degree(twist, share):
    assert multipliers(0.25, 0.75, 0.25, twist).twist == pytest.approx(share, abs=1e-12)  # 1 - .0032 A (S)


@pytest.mark.parametrize(("grip", "low", "high"), [("good", 1, 1), ("fair", 0.95, 1), ("poor", 0.9, 0.9)])
def test_grip_counts_below_and_from_knuckle_height(grip, low, high):
    assert multipliers(0.25, 0.749, 0.25, grip=grip).grip == low
    assert multipliers(0.25, 0.75, 0.25, grip=grip).grip == high
    assert multipliers(0.25, 30 * IN_M, 0.25, grip=grip, edition="inch").grip == high


@given(st.floats(0.25, 0.63), st.floats(0, 1.75), st.floats(0.25, 1.75), st.floats(0, 135), st.floats(0, 5))
def test_editions_agree_and_no_share_passes_one(reach, height, travel, twist, per_min):
    metric = multipliers(reach, height, travel, twist, per_min)
    assert all(0 < share <= 1 + 1e-12 for share in metric)
    inch = multipliers(reach, height, travel, twist, per_min, edition="inch")
    if metric.grip == inch.grip:
        assert weight_limit_kg(inch, "inch") == pytest.approx(weight_limit_kg(metric), rel=0.05)


@given(st.floats(0.25, 0.6), st.floats(0.001, 0.03), st.floats(1, 200), st.integers(1, 6))
def test_further_out_is_worse_and_more_people_share(reach, more, load, people):
    near, far = (weight_limit_kg(multipliers(h, 0.5, 0.5)) for h in (reach, reach + more))
    assert far < near
    assert screen(load, near, people).lifting_index * people == pytest.approx(screen(load, near).lifting_index)


def test_bands_and_people():
    assert screen(23, 23).band == "within the guideline"
    assert screen(24, 23).band == "above the guideline"
    assert screen(69.1, 23).band == "high risk for nearly all"
    assert screen(10, 0) == (math.inf, "high risk for nearly all", None)
    for load in (50, 75, 91):
        enough = screen(load, 12.2).people
        assert enough is not None
        assert screen(load, 12.2, enough).lifting_index <= 1 < screen(load, 12.2, enough - 1).lifting_index


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: multipliers(-0.1, 0.5, 0.5), "reach_m: found -0.1 m"),
        (lambda: multipliers(0.3, math.nan, 0.5), "height_m: found nan"),
        (lambda: multipliers(0.3, 0.5, 0.5, lifts_per_min=6), "expected 5 or less"),
        (lambda: multipliers(0.3, 0.5, 0.5, grip="loose"), "expected one of good, fair, poor"),  # type: ignore[arg-type]
        (lambda: multipliers(0.3, 0.5, 0.5, edition="si"), "expected one of inch, metric"),  # type: ignore[arg-type]
        (lambda: weight_limit_kg(multipliers(0.3, 0.5, 0.5), "si"), "expected one of inch, metric"),  # type: ignore[arg-type]
        (lambda: screen(0, 23), "load_kg: found 0 kg"),
        (lambda: screen(20, -1), "limit_kg: found -1 kg"),
        (lambda: screen(20, 23, 0), "people: found 0"),
    ],
)
def test_impossible_inputs_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call()
