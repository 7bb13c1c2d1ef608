"""What a washer's feet can hold before it slips, turns on the spot or hops. SI in, SI out.

Friction is always a band (low, high): no handbook has one value for rubber feet on a floor, and water, soap or sand can
halve it. Below the low limit the feet hold; above the high one they slip; between, nobody can say. The limits are
derived for rigid feet that all bear; published papers on walking were not at hand. A foot without load, or a soft floor,
matters more than the last tenth of friction. A wet floor may be live: unplug where plug and floor are dry and in reach,
else switch off at the breaker from a dry place; then clean and dry the floor.
"""

import math
from typing import Literal

from ..domain import above_zero, not_negative

Axis = Literal["vertical", "horizontal"]
Band = tuple[float, float]
G_M_PER_S2 = 9.80665
# Rubber feet [-]: the project's choice from scattered tables (S): .25 wet and smooth, .45 lowest for wet, .60 lowest
# for dry. Dry, clean concrete reaches .85 to 1.0, so above the high end "slips" is likely, not certain.
FEET_FRICTION: dict[str, Band] = {"wet": (0.25, 0.45), "dry": (0.45, 0.60), "unknown": (0.25, 0.60)}


def _band(friction: Band) -> Band:
    low, high = friction
    if not (math.isfinite(high) and 0 < low < high):
        raise ValueError(
            f"friction: found ({low}, {high}), expected a band (low, high) with 0 < low < high, never one value"
        )
    return low, high


def slip_limit_N(friction: Band, mass_kg: float, axis: Axis) -> Band:
    """Return the turning force at which the whole machine starts to slide, at either end of the friction band.

    Vertical axis: mu W. Horizontal axis, where the force also lifts: mu W/sqrt(1 + mu^2), the least over a turn.

    Parameters
    ----------
    friction : tuple of float
        Low and high friction of feet on floor, see `FEET_FRICTION` [-].
    mass_kg : float
        Machine with water and clothes [kg].
    axis : str
        Axis of the drum: vertical (top loader) or horizontal (front loader) [-].

    Returns
    -------
    tuple of float
        Force passed to the cabinet that starts slip, low and high [N].

    Raises
    ------
    ValueError
        A friction that isn't a band, a mass that isn't above 0, or an unknown axis.

    Notes
    -----
    Force through the middle of the feet, level floor, all feet bearing. Compare with unbalance force times
    transmissibility. Off the middle slip starts earlier: times `slip_share_off_middle`.

    References
    ----------
    .. [1] Coulomb friction, worst angle of the force (D).

    Examples
    --------
    >>> [round(force) for force in slip_limit_N((0.25, 0.60), 70, "vertical")]
    [172, 412]
    >>> [round(force) for force in slip_limit_N((0.25, 0.60), 70, "horizontal")]
    [166, 353]
    """
    low, high = _band(friction)
    above_zero("mass_kg", mass_kg, "kg")
    weight_N = mass_kg * G_M_PER_S2
    if axis == "vertical":
        return low * weight_N, high * weight_N
    if axis == "horizontal":
        return low * weight_N / math.hypot(1, low), high * weight_N / math.hypot(1, high)
    raise ValueError(f"axis: found {axis!r}, expected vertical or horizontal")


def slip_share_off_middle(offset_m: float, half_across_m: float, half_along_m: float) -> float:
    """Return the share of the slip limit that is left when the force passes beside the middle of four equal feet.

    Parameters
    ----------
    offset_m : float
        Distance of the force's line from the middle of the feet [m].
    half_across_m : float
        Half the spacing of the feet across that line [m].
    half_along_m : float
        Half the spacing of the feet along that line [m].

    Returns
    -------
    float
        Force that starts slip over friction times weight, at most 1 [-].

    Raises
    ------
    ValueError
        An offset below 0 or a spacing that isn't above 0.

    Notes
    -----
    Least work over all centres of rotation; each foot carries a quarter, and friction is the same under all four. Such a
    machine turns on the spot before it slides, which a published abstract confirms in direction [2]_.

    References
    ----------
    .. [1] Limit analysis (D).
    .. [2] Papadopoulos and Papadimitriou, AIM 2001, Como, pp. 899-904, abstract (S).

    Examples
    --------
    >>> [round(slip_share_off_middle(d, 0.25, 0.28), 3) for d in (0.1, 0.2, 0.3, 0.4)]
    [0.946, 0.839, 0.732, 0.639]
    """
    not_negative("offset_m", offset_m, "m")
    above_zero("half_across_m", half_across_m, "m")
    above_zero("half_along_m", half_along_m, "m")
    corners = [(half_along_m, half_across_m), (half_along_m, -half_across_m)]  # the other two mirror these

    def work(turn_per_m: float) -> float:
        # Motion that moves the force's line by 1 while the cabinet turns by turn_per_m; convex in it.
        return sum(math.hypot(turn_per_m * x, turn_per_m * (y - offset_m) + 1) for x, y in corners) / 2

    low, high = 0.0, 4 / half_along_m  # beyond it the feet travel further than a plain slide's 1
    shrink = (math.sqrt(5) - 1) / 2
    for _ in range(80):
        left, right = high - shrink * (high - low), low + shrink * (high - low)
        low, high = (low, right) if work(left) <= work(right) else (left, high)
    return min(1.0, work((low + high) / 2))


def friction_on_tilt(friction: Band, tilt_rad: float) -> Band:
    """Return the friction that is left for shaking on a floor or a machine out of level, mu cos b - sin b.

    Parameters
    ----------
    friction : tuple of float
        Low and high friction, level [-].
    tilt_rad : float
        Angle out of level, downhill, 0 or more [rad].

    Returns
    -------
    tuple of float
        Low and high friction left; zero when it slides by itself [-].

    Raises
    ------
    ValueError
        A friction that isn't a band, or an angle outside 0 to under pi/2.

    Notes
    -----
    At 2 degrees under 6 % of 0.60 is lost, 14 % of 0.25: a tilt of one degree is no reason to walk.

    References
    ----------
    .. [1] Statics of an incline (D).

    Examples
    --------
    >>> [round(mu, 4) for mu in friction_on_tilt((0.25, 0.60), math.radians(2))]
    [0.2149, 0.5647]
    """
    low, high = _band(friction)
    if not 0 <= tilt_rad < math.pi / 2:
        raise ValueError(f"tilt_rad: found {tilt_rad}, expected an angle from 0 to under pi/2")
    left = [max(0.0, mu * math.cos(tilt_rad) - math.sin(tilt_rad)) for mu in (low, high)]
    return left[0], left[1]


def speed_at_force_Hz(force_N: float, unbalance_kg: float, radius_m: float) -> float:
    """Return the spin speed at which the force has grown to a limit where all of it is passed on.

    Parameters
    ----------
    force_N : float
        The limit, from `slip_limit_N`, or the weight, at which a front loader hops [N].
    unbalance_kg, radius_m : float
        Unbalanced mass [kg] and its distance from the axis [m].

    Returns
    -------
    float
        Spin speed, rpm/60 [Hz].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Shipping restraints in. What a suspension passes on falls with speed: see `slip_speed.slip_speeds_Hz`.

    References
    ----------
    .. [1] Inverse of F = m e w^2 (D).

    Examples
    --------
    70 kg at friction 0.60, restraints in:

    >>> round(60 * speed_at_force_Hz(slip_limit_N((0.25, 0.60), 70, "vertical")[1], 0.5, 0.25))
    548
    """
    above_zero("force_N", force_N, "N")
    above_zero("unbalance_kg", unbalance_kg, "kg")
    above_zero("radius_m", radius_m, "m")
    return math.sqrt(force_N / (unbalance_kg * radius_m)) / (2 * math.pi)
