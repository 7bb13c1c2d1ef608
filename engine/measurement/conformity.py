"""A reading against a rule's limits: the verdict that people see, and the likelihoods that the belief uses.

Limits are exact, and a value on a limit keeps the rule. Uncertainty belongs to the reading, once.
"""

import math
from typing import Literal

from msgspec import Struct

State = Literal["within", "too-close", "broken"]
Side = Literal["below", "above"]

PASS, FAIL = 0.95, 0.05  # conformity at and beyond which a verdict is given
COVERAGE = 2.0  # U = 2 u
_SHARPEST = 1e-9  # of the plausible range: a standard uncertainty below this adds nothing but overflow
_ROOT_2, _LOG_ROOT_2PI = math.sqrt(2), math.log(2 * math.pi) / 2


class Verdict(Struct, frozen=True):
    """What a reading says of a rule.

    Parameters
    ----------
    state : str
        within, too-close (to call) or broken.
    side : str or None
        The limit that is passed or too close; None when within.
    conformity : float
        Probability that the true value keeps the rule [prob].
    margin : float
        Distance to the nearer limit, negative outside [unit of the reading].
    u : float
        Standard uncertainty of the reading [unit of the reading].
    """

    state: State
    side: Side | None
    conformity: float
    margin: float
    u: float


def conformity(low: float | None, high: float | None, y: float, u: float) -> float:
    """Return the probability that the true value lies within the limits.

    Parameters
    ----------
    low, high : float or None
        Limits, None where there is none [unit of the reading].
    y : float
        The reading [same].
    u : float
        Its standard uncertainty, zero or more [same].

    Returns
    -------
    float
        Conformity probability [prob].

    Raises
    ------
    ValueError
        If both limits are missing or crossed, or a number is not finite.

    Notes
    -----
    Normal distribution round the reading, nothing known beforehand: JCGM 106:2012 clause 7 [1]_. With u = 0 it is 1 or
    0.

    References
    ----------
    .. [1] JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in conformity assessment.

    Examples
    --------
    Oil viscosity, JCGM 106 7.4: inputs as quoted by others (S), the answer 0.66 from memory, unverified (M).

    >>> round(conformity(12.5, 16.3, 13.6, 1.8), 2)
    0.66
    """
    _sound(low, high, y, u)
    if u == 0:
        return float((low is None or y >= low) and (high is None or y <= high))
    to_low = math.inf if low is None else (y - low) / u
    to_high = math.inf if high is None else (high - y) / u
    if to_low < 0 or to_high < 0:  # outside: a difference of two small tails, not of two numbers near one
        return _tail(-min(to_low, to_high)) - _tail(max(to_low, to_high))
    return 1.0 - _tail(to_low) - _tail(to_high)


def judge(low: float | None, high: float | None, y: float, half_width: float, guarded: bool = False) -> Verdict:
    """Return the verdict on a reading.

    Parameters
    ----------
    low, high : float or None
        Limits, None where there is none [unit of the reading].
    y : float
        The reading [same].
    half_width : float
        Give or take of the reading: it is as likely anywhere within this [same].
    guarded : bool
        A hazard rule: accepted only where the reading is inside by U = 2 u as well.

    Returns
    -------
    Verdict
        Within at a conformity of 0.95 or more, broken at 0.05 or less and outside, else too close to call. An
        instrument too coarse for the rule can therefore not say broken while its reading lies inside.

    Raises
    ------
    ValueError
        If both limits are missing or crossed, a number is not finite, or the half-width is negative.

    Notes
    -----
    u = half_width / sqrt 3, a rectangular distribution (JCGM 100 4.3.7: S, the clause number M). The guard band is U
    wide, as in ILAC-G8:09/2019 4.2.2 (P).

    Examples
    --------
    >>> judge(0.9906, 2.4384, 0.7874, 0.003).state, judge(0.9906, 2.4384, 0.99, 0.003).state
    ('broken', 'too-close')
    >>> judge(114, None, 115.1, 1.04, guarded=True).state, judge(114, None, 115.1, 1.04).state
    ('too-close', 'within')
    """
    _sound(low, high, y, half_width)
    u = half_width / math.sqrt(3)
    chance = conformity(low, high, y, u)
    to_low = math.inf if low is None else y - low
    to_high = math.inf if high is None else high - y
    margin = min(to_low, to_high)
    if chance >= PASS and (not guarded or margin >= COVERAGE * u):
        return Verdict("within", None, chance, margin, u)
    side: Side = "below" if to_low < to_high else "above"
    return Verdict("broken" if chance <= FAIL and margin < 0 else "too-close", side, chance, margin, u)


def likelihoods(
    low: float | None,
    high: float | None,
    plausible_low: float,
    plausible_high: float,
    y: float,
    u: float,
    gross: float,
    size_below: float | None = None,
) -> tuple[float | None, float, float | None]:
    """Return how likely a reading is if the true value is below, within and above the limits.

    Parameters
    ----------
    low, high : float or None
        Limits, None where there is none [unit of the reading].
    plausible_low, plausible_high : float
        Where a true value can lie [same].
    y : float
        The reading [same]; far outside the plausible range it speaks as one a range's width outside.
    u : float
        Its standard uncertainty, zero or more [same].
    gross : float
        How often these hands report something quite wrong, above 0 and below 0.5 [prob].
    size_below : float, optional
        The next size under `low` that is made, where things come in sizes: no true value lies between the two [same].

    Returns
    -------
    tuple
        (below, within, above), summing to 1 [-]; None for a side that has no limit, or no plausible value beyond it.
        Only their ratios to `within` mean something.

    Raises
    ------
    ValueError
        If limits are missing or crossed, nothing plausible is within them, or `gross` or `u` is out of range.

    Notes
    -----
    For each side alone against `within`: the normal density N(y; true, u), averaged over each region of the plausible
    range (closed form by erf over the region's width), gives the odds of that side; the two averages are made to sum to
    one, q and 1 - q; then hands that err report the other of the two, so

        side / within = ((1 - g) q + g (1 - q)) / ((1 - g) (1 - q) + g q),

    which lies between g/(1 - g) and (1 - g)/g whatever u is, is continuous in y, and never falls as y moves toward
    that side. Adding a flat gross-error density to the bare averages instead would let the cap depend on the regions'
    widths. Each side is mixed by itself because the belief holds "below" and "above" as two findings: a reading far
    below must also acquit "above". Below against above can hence reach the cap squared.

    u = 0 is exact: a value on a limit is within. Otherwise u counts as at least 1e-9 of the plausible range. A region
    of no width (min = max) counts with its density.

    Examples
    --------
    >>> below, within, above = likelihoods(0.9906, 2.4384, 0.1524, 3.048, 0.7874, 0.0017, 0.02)
    >>> round(below / within, 3), round(above / within, 5)
    (49.0, 0.02041)

    A pipe that reads 2 in is one of 2 in, where the next one is 1 5/8 in wide, and no pipe of a hair less.

    >>> [round(likelihoods(2.0, None, 0.75, 4.0, 2.0, 0.07, 0.03, next_one)[0], 2) for next_one in (None, 1.625)]
    [0.61, 0.03]
    """
    _sound(low, high, y, u)
    if not 0 < gross < 0.5:
        raise ValueError(f"gross-error rate {gross} is out of range; expected above 0 and below 0.5")
    bottom = plausible_low if low is None else max(low, plausible_low)
    top = plausible_high if high is None else min(high, plausible_high)
    if not plausible_low < plausible_high or bottom > top:
        raise ValueError(f"nothing from {plausible_low} to {plausible_high} is within the limits {low} and {high}")
    below = above = None
    if low is not None and low > plausible_low:
        last = bottom if size_below is None else min(bottom, max(size_below, plausible_low))
        below = _against(plausible_low, last, bottom, top, y, u, gross)
    if high is not None and high < plausible_high:
        above = _against(top, plausible_high, bottom, top, y, u, gross)
    total = 1.0 + (below or 0.0) + (above or 0.0)
    return (None if below is None else below / total), 1.0 / total, (None if above is None else above / total)


def _against(start: float, end: float, bottom: float, top: float, y: float, u: float, gross: float) -> float:
    """Return the ratio of the likelihoods of (start, end) and (bottom, top), mixed with gross."""
    if u == 0:
        odds = math.inf if (y > top if start >= top else y < bottom) else -math.inf
    else:
        lowest, highest = min(start, bottom), max(end, top)
        span = highest - lowest
        u, y = max(u, _SHARPEST * span), min(max(y, lowest - span), highest + span)
        odds = _log_average(start, end, y, u) - _log_average(bottom, top, y, u)
    q = 1 / (1 + math.exp(-odds)) if odds >= -700 else 0.0
    for_side = gross + (1 - 2 * gross) * q
    return for_side / (1 - for_side)


def _log_average(a: float, b: float, y: float, u: float) -> float:
    """Return the logarithm of N(y; x, u) averaged over x from a to b."""
    near, far = sorted(((a - y) / u, (b - y) / u), key=abs)
    width = (b - a) / u
    if width * (1 + abs(far)) < 1e-5:  # too narrow for a difference of two areas: the density in the middle
        return -(((near + far) / 2) ** 2) / 2 - math.log(u) - _LOG_ROOT_2PI
    if near * far < 0:
        return math.log((math.erf(abs(near) / _ROOT_2) + math.erf(abs(far) / _ROOT_2)) / 2) - math.log(b - a)
    near, far = abs(near), abs(far)
    step = -width * (near + far) / 2 + _log_scaled_tail(far) - _log_scaled_tail(near)
    return -near * near / 2 + _log_scaled_tail(near) + math.log(-math.expm1(step)) - math.log(b - a)


def _tail(z: float) -> float:
    """Return the normal probability beyond z."""
    return math.erfc(z / _ROOT_2) / 2


def _log_scaled_tail(z: float) -> float:
    """Return log(tail(z) * exp(z*z/2)) for z >= 0, which neither underflows nor cancels far out."""
    if z < 25:
        return math.log(_tail(z)) + z * z / 2
    s = 1 / (z * z)  # asymptotic series; its error at 25 is below 1e-11
    return math.log1p(-s * (1 - 3 * s * (1 - 5 * s * (1 - 7 * s)))) - math.log(z) - _LOG_ROOT_2PI


def _sound(low: float | None, high: float | None, y: float, spread: float) -> None:
    """Refuse limits and readings that nothing can be said of."""
    if low is None and high is None:
        raise ValueError("a rule without limits judges nothing; expected low, high or both")
    if low is not None and high is not None and low > high:
        raise ValueError(f"limits are crossed: low {low} is above high {high}")
    if not all(math.isfinite(number) for number in (low or 0.0, high or 0.0, y, spread)) or spread < 0:
        raise ValueError(f"expected finite limits and reading, spread zero or more; found {low}, {high}, {y}, {spread}")
