"""Outside checks of verdicts and quantities: JCGM 106 and the instruments of the trade.

Grades: P seen in the publisher's own text, S quoted by someone else, M from memory, unverified, C common practice, D
derived here. Tolerances are those of the printed digits unless one is named.
"""

import math

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import gamma, norm

from dryfloor.engine.measurement import conformity, quantity


def test_oil_viscosity() -> None:
    """JCGM 106:2012 7.4: inputs S, answer .66 (.933 - .271) from memory, unverified (M), within .005."""
    assert conformity.conformity(12.5, 16.3, 13.6, 1.8) == pytest.approx(0.66, abs=0.005)
    assert conformity.conformity(None, 16.3, 13.6, 1.8) == pytest.approx(0.933, abs=0.0005)
    assert conformity.conformity(None, 12.5, 13.6, 1.8) == pytest.approx(0.271, abs=0.0005)


def test_zener_voltage() -> None:
    """JCGM 106:2012 7.3.3 example 1: .92 from memory, unverified (M), within .005."""
    assert conformity.conformity(None, -5.40, -5.47, 0.05) == pytest.approx(0.92, abs=0.005)


def test_container_pressure() -> None:
    """JCGM 106:2012 7.3.3 example 2: .99 from memory, unverified (M), within .005."""
    assert conformity.conformity(490, None, 509.7, 8.6) == pytest.approx(0.99, abs=0.005)


@pytest.mark.parametrize(("pc", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_one_sided_table(pc: float, z: float) -> None:
    """JCGM 106:2012 7.3 table 1: that it exists S, its values from memory, unverified (M), within .005 in z."""
    reached = brentq(lambda x: conformity.conformity(0, None, x, 1) - pc, 0, 5)
    assert reached == pytest.approx(z, abs=0.0055)  # 1.6449 is printed as 1.64


def test_speed_limit() -> None:
    """JCGM 106:2012 8.3.3.2 example 1: heading S, 107 km/h from memory, unverified (M), within .5."""
    fined = brentq(lambda y: conformity.conformity(100, None, y, 0.02 * y) - 0.999, 100, 120)
    assert fined == pytest.approx(107, abs=0.5)


BALL = gamma(4, scale=0.25)  # radial error of a ball bearing, mean 1 um
LIMIT, U_BALL = 2.0, 0.25


def consumer_risk(limit: float) -> float:
    """Chance that a ball outside tolerance is accepted; by the normal curve's symmetry, a reading of a true value falls
    inside as a true value of a reading does."""
    return float(
        quad(lambda x: BALL.pdf(x) * conformity.conformity(None, limit, x, U_BALL), LIMIT, 6, epsabs=1e-12, limit=200)[
            0
        ]
    )


def test_ball_bearings() -> None:
    """JCGM 106:2012 9.5.4 as the tests of the open-source project suncal print it (S): .042380, .0080191, 1.671829."""
    assert BALL.sf(LIMIT) == pytest.approx(0.042380, abs=1e-6)
    assert consumer_risk(2.0) == pytest.approx(0.0080191, abs=1e-6)
    assert brentq(lambda a: consumer_risk(a) - 0.001, 1, 2) == pytest.approx(1.671829, abs=1e-4)


def risks(sigma: float, um: float, tolerance: float, guard: float) -> tuple[float, float]:
    """False accepts and false rejects of a centred process."""
    limit = tolerance * guard

    def passed(x: float) -> float:
        return conformity.conformity(-limit, limit, x, um)

    accepted = 2 * quad(lambda x: norm.pdf(x, 0, sigma) * passed(x), tolerance, 10 * sigma, epsabs=1e-12)[0]
    rejected = 2 * quad(lambda x: norm.pdf(x, 0, sigma) * (1 - passed(x)), 0, tolerance, epsabs=1e-12)[0]
    return float(accepted), float(rejected)


def test_false_accepts_and_rejects() -> None:
    """Deaver's examples as the tests of the open-source project suncal print them (S)."""
    accepted, rejected = risks(1, 0.25, 2, 1)
    assert accepted == pytest.approx(0.008, abs=5e-4)
    assert rejected == pytest.approx(0.015, abs=5e-4)
    assert risks(1, 0.25, 2.5, 1)[0] == pytest.approx(0.0025, abs=1e-4)
    accepted, rejected = risks(1, 0.5, 2, 0.91)
    assert accepted == pytest.approx(0.008, abs=5e-4)
    assert rejected == pytest.approx(0.066, abs=1e-3)


@pytest.mark.parametrize(("y", "risk"), [(10.5, 0.10574), (10.0, 0.01242)])
def test_specific_risk(y: float, risk: float) -> None:
    """Limits 9 to 11, u .4 (S), within 1e-4."""
    assert 1 - conformity.conformity(9, 11, y, 0.4) == pytest.approx(risk, abs=1e-4)


@pytest.mark.parametrize(("guard", "risk", "tolerance"), [(1.0, 0.025, 0.003), (0.0, 0.5, 1e-9)])
def test_guard_band_table(guard: float, risk: float, tolerance: float) -> None:
    """ILAC-G8:09/2019 table 1 at k 2, guard band r U: below 2.5 % and below 50 % (S)."""
    assert 1 - conformity.conformity(0, None, 2 * guard, 1) == pytest.approx(risk, abs=tolerance)
    assert 1 - conformity.conformity(0, None, 2 * guard, 1) <= risk


def dmm_half_width(reading: float, percent: float, counts: int, resolution: float) -> float:
    """Give or take of a digital multimeter: a share of the reading and some counts of its last digit."""
    return reading * percent / 100 + counts * resolution


def tape_half_width_mm(length_m: float) -> float:
    """Class II tape: .3 mm + .2 mm for each metre, rounded up (Directive 2014/32/EU, MI-008: values S, formula M)."""
    return 0.3 + 0.2 * math.ceil(length_m)


def test_multimeter() -> None:
    """A code forum's post (S): 120.0 V, .7 % + 2 counts reads 118.96 to 121.04; u .600 within .005."""
    a = dmm_half_width(120.0, 0.7, 2, 0.1)
    assert (120 - a, 120 + a) == pytest.approx((118.96, 121.04))
    assert conformity.judge(114, None, 120.0, a).u == pytest.approx(0.600, abs=0.005)


@pytest.mark.parametrize(
    ("y", "pc", "state"),
    [
        (113.5, 0.192, "too-close"),
        (114, 0.5, "too-close"),
        (114.5, 0.806, "too-close"),
        (115, 0.958, "within"),
        (115.5, 0.995, "within"),
    ],
)
def test_voltage_against_114(y: float, pc: float, state: str) -> None:
    """Derived here (D), u at the reading, within .001."""
    verdict = conformity.judge(114, None, y, dmm_half_width(y, 0.7, 2, 0.1))
    assert verdict.conformity == pytest.approx(pc, abs=0.001)
    assert verdict.state == state


def test_guarded_voltage() -> None:
    """Derived here (D): U 1.2 V moves the acceptance limit from 114 to 115.2 V, where pc is .97725."""
    a = 0.6 * math.sqrt(3)
    assert conformity.judge(114, None, 115.2 + 1e-9, a, guarded=True).state == "within"
    assert conformity.judge(114, None, 115.2 - 1e-9, a, guarded=True).state == "too-close"
    assert conformity.conformity(114, None, 115.2, 0.6) == pytest.approx(0.97725, abs=1e-5)


@pytest.mark.parametrize(("length", "half"), [(2, 0.7), (3, 0.9), (5, 1.3), (8, 1.9), (10, 2.3)])
def test_tape_class_two(length: int, half: float) -> None:
    """Directive 2014/32/EU MI-008 by three supplier guides (S): what they print in mm reads back; u = a / sqrt 3."""
    assert tape_half_width_mm(length) == pytest.approx(half)
    a = quantity.parse_tolerance(f"± {half} mm", "length")
    assert conformity.judge(0.99, None, length, a).u == pytest.approx(half / 1000 / math.sqrt(3))


def test_level_and_slope() -> None:
    """A blog's 5/32 in over 24 in = 6.5 mm/m, 22.4 minutes (S, .05); vial makers' tilt for 2 mm of bubble at R 240 mm:
    8.33 mm/m, .4775 deg (P, .01); 5 degrees: sin 87.16, tan 87.49 (D)."""
    slope = quantity.parse("5/32 in over 24 in", "slope")
    assert slope == pytest.approx(quantity.parse("6.5 mm/m", "slope"), abs=0.05e-3)
    assert slope == pytest.approx(quantity.parse(f"{22.381 / 60:.6f} deg", "slope"), abs=0.001e-3)
    assert quantity.parse("0.4775 deg", "slope") == pytest.approx(8.33e-3, abs=0.01e-3)
    assert quantity.parse("5 deg", "slope") == pytest.approx(87.49e-3, abs=0.01e-3)


def test_bucket_and_stopwatch() -> None:
    """Calculator pages (S): 5 gal in 25 s are 12 gpm, in 45 s 6.67 gpm (a page truncates to 6.6) or 25.2 L/min."""
    assert quantity.parse("5 gal in 25 s", "flow") == pytest.approx(quantity.parse("12 gpm", "flow"), rel=1e-12)
    assert quantity.parse("5 gal in 45 s", "flow") == pytest.approx(
        quantity.parse("6.67 gpm", "flow"), abs=quantity.parse("0.01 gpm", "flow")
    )
    assert quantity.parse("5 gal in 45 s", "flow") * 60000 == pytest.approx(25.2, abs=0.05)
