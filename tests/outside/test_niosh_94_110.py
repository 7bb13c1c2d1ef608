"""NIOSH 94-110, rev. 9/2021: worked lifts (grade S, transcriptions; what is from memory is marked)."""

import math

import pytest

from dryfloor.engine.physics.stand.lifting import IN_M, LB_KG, LiftingMultipliers, multipliers, weight_limit_kg


def inches(reach: float, height: float, travel: float, per_min: float, grip: str = "fair") -> LiftingMultipliers:
    return multipliers(reach * IN_M, height * IN_M, travel * IN_M, 0, per_min, grip, "inch")  # type: ignore[arg-type]


def limit_lb(shares: LiftingMultipliers) -> float:
    return weight_limit_kg(shares, "inch") / LB_KG


def rounded(shares: LiftingMultipliers) -> LiftingMultipliers:
    return LiftingMultipliers(*(math.floor(100 * share + 0.5) / 100 for share in shares))


def test_example_4_origin() -> None:
    """p. 46, fig. 14: H 10, V 22, D 37 in, 3 a minute, fair: 34.8 lb full, 34.9 by two-place multipliers; .05 (S)."""
    shares = inches(10, 22, 37, 3)
    assert limit_lb(shares) == pytest.approx(34.8, abs=0.05)
    assert limit_lb(rounded(shares)) == pytest.approx(34.9, abs=0.05)


def test_example_4_destination() -> None:
    """p. 46: H 20 (from memory, unverified), V 59 in: 15.3 lb full, 15.2 by two-place multipliers; .05 (S)."""
    shares = inches(20, 59, 37, 3)
    assert limit_lb(shares) == pytest.approx(15.3, abs=0.05)
    assert limit_lb(rounded(shares)) == pytest.approx(15.2, abs=0.05)


@pytest.mark.parametrize(("height", "travel"), [(15, 49), (15, 48)])
def test_example_1_in_both_recollections(height: float, travel: float) -> None:
    """pp. 33-37, punch press, from memory, unverified: 16.3 lb (index 2.697) at the origin, 14.5 (3.040) after; 2.5 %."""
    origin = limit_lb(inches(23, height, travel, 0.2))
    destination = limit_lb(inches(23, height + travel, travel, 0.2))
    assert (origin, destination) == pytest.approx((16.3, 14.5), rel=0.025)
    assert (44 / origin, 44 / destination) == pytest.approx((2.697, 3.040), rel=0.025)


@pytest.mark.parametrize(("reach", "printed"), [(22, 0.46), (23, 0.44)])
def test_table_oddities_within_a_hundredth(reach: float, printed: float) -> None:
    """Table 1 prints .46 and .44 where the formula gives .4545 and .4348; .01 (S)."""
    assert inches(reach, 30, 10, 0).reach == pytest.approx(printed, abs=0.01)
    assert multipliers(0.25, 0.75, 1.30).travel == pytest.approx(0.86, abs=0.01)  # table 3, D 130 cm


def test_not_the_frequency_that_is_wrong_in_print() -> None:
    """p. 16 prints 3.4 for (10 x 5)/15; 3.33 lifts a minute get the larger share."""
    per_min = [lifts * 10 / 15 for lifts in (8, 5)]
    assert per_min == pytest.approx([5.33, 3.33], abs=0.01)
    assert inches(10, 30, 10, per_min[1]).frequency > inches(10, 30, 10, 3.4).frequency
