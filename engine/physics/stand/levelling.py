"""How a washer stands on its feet: slope, turns to level and the rocking test.

Turn the level end for end and average, on a rigid top edge; test for rocking before judging level, since a foot without
load matters more than a degree of tilt. No levelness tolerance is published: the machine's own sheet governs.
Unplug first; block a tilted machine, and never reach under one that is held by hand.
"""

import math
from typing import Literal, NamedTuple

from ..domain import above_zero, finite

SlopeUnit = Literal["in/ft", "mm/m", "deg"]
_PER_RUN = {"in/ft": 12.0, "mm/m": 1000.0}
SLOPE_UNITS = (*_PER_RUN, "deg")

# Advance per turn [m]. Metric coarse: ISO 261/262 through tables (S). Inch: 25.4 mm over threads per inch (D).
THREAD_PITCH_M = {
    "M6": 1.0e-3,
    "M8": 1.25e-3,
    "M10": 1.5e-3,
    "M12": 1.75e-3,
    "5/16-18": 0.0254 / 18,
    "3/8-16": 0.0254 / 16,
    "1/2-13": 0.0254 / 13,
}


class Feet(NamedTuple):
    """A number for each foot, as seen by a person in front of the machine.

    Parameters
    ----------
    left_front, right_front, left_rear, right_rear : float
        Height [m] or turns [-], as the function that returns it says.
    """

    left_front: float
    right_front: float
    left_rear: float
    right_rear: float


class Rocking(NamedTuple):
    """What the rocking test says.

    Parameters
    ----------
    residual_m : float
        (left front + right rear) - (right front + left rear); zero when all four feet bear [m].
    gap_m : float
        Gap that one foot shows while the other three bear [m].
    feet : tuple of str
        The loose diagonal, larger gap first, empty if none; either foot turned out by the gap ends the rocking [-].
    """

    residual_m: float
    gap_m: float
    feet: tuple[str, ...]


def _per_run(unit: str) -> float:
    if unit not in _PER_RUN:
        raise ValueError(f"unit: found {unit!r}, expected one of {', '.join(SLOPE_UNITS)}")
    return _PER_RUN[unit]


def slope(value: float, unit: SlopeUnit) -> float:
    """Turn a slope in trade notation into rise over run.

    Parameters
    ----------
    value, unit : float, str
        The slope, signed, and its unit, one of `SLOPE_UNITS` [in/ft, mm/m or deg].

    Returns
    -------
    float
        Rise over run [-].

    Raises
    ------
    ValueError
        Unknown unit, a number that isn't finite, or an angle of 90 deg or more.

    Notes
    -----
    A slope is a tangent. Makers of vials state the sine; at 5 deg the two differ by 0.4 %.

    References
    ----------
    .. [1] Definition of the tangent (D).

    Examples
    --------
    >>> round(slope(1 / 8, "in/ft") * 1000, 3), round(slope(1.0, "deg") * 1000, 3)
    (10.417, 17.455)
    """
    finite("value", value, unit)
    if unit == "deg":
        if abs(value) >= 90:
            raise ValueError(f"value: found {value:g} deg, expected an angle between -90 and 90 deg")
        return math.tan(math.radians(value))
    return value / _per_run(unit)


def slope_in(rise_per_run: float, unit: SlopeUnit) -> float:
    """Turn rise over run back into trade notation.

    Parameters
    ----------
    rise_per_run : float
        The slope, signed [-].
    unit : str
        One of `SLOPE_UNITS` [-].

    Returns
    -------
    float
        The slope [in/ft, mm/m or deg].

    Raises
    ------
    ValueError
        Unknown unit, or a number that isn't finite.

    References
    ----------
    .. [1] Definition of the tangent (D).

    Examples
    --------
    >>> round(slope_in(slope(0.25, "in/ft"), "deg"), 4)
    1.1935
    """
    finite("rise_per_run", rise_per_run, "-")
    if unit == "deg":
        return math.degrees(math.atan(rise_per_run))
    return rise_per_run * _per_run(unit)


def vial_slope(bubble_m: float, vial_radius_m: float) -> float:
    """Return the slope at which a vial's bubble stands off its middle.

    Parameters
    ----------
    bubble_m : float
        Distance of the bubble from the middle, signed [m].
    vial_radius_m : float
        Radius to which the vial is bent [m].

    Returns
    -------
    float
        Rise over run [-].

    Raises
    ------
    ValueError
        A radius that isn't above 0, or a bubble that isn't finite or is off by a quarter circle or more.

    Notes
    -----
    Without the radius a bubble has no slope: "half a bubble" says nothing. About 200 mm is usual for a carpenter's level.

    References
    ----------
    .. [1] Arc over radius (D); radius from a navigation forum (S).

    Examples
    --------
    >>> round(slope_in(vial_slope(0.002, 0.200), "deg"), 3)
    0.573
    """
    finite("bubble_m", bubble_m, "m")
    above_zero("vial_radius_m", vial_radius_m, "m")
    angle_rad = bubble_m / vial_radius_m
    if abs(angle_rad) >= math.pi / 2:
        raise ValueError(
            f"bubble_m: found {bubble_m:g} m, expected less than a quarter circle of {vial_radius_m} m radius"
        )
    return math.tan(angle_rad)


def foot_lifts_m(right_high: float, rear_high: float, width_m: float, depth_m: float) -> Feet:
    """Return how far each foot must come up for the top to be level, raising the lower feet to the highest.

    Parameters
    ----------
    right_high, rear_high : float
        Rise over run towards the right side and towards the rear, negative where that side is low [-].
    width_m, depth_m : float
        Spacing of the feet, side to side and front to back [m].

    Returns
    -------
    Feet
        Lift of each foot, zero for the highest [m].

    Raises
    ------
    ValueError
        A slope that isn't finite or a spacing that isn't above 0.

    Notes
    -----
    Uses the spacing of the feet, not of the cabinet, and takes all four as bearing: end the rocking first.
    An error of 0.5 mm/m over 560 mm is 0.19 turn of M10, so nothing finer than a quarter turn is worth saying.

    References
    ----------
    .. [1] Plane through four points (D).

    Examples
    --------
    Right low by 6 mm/m, front low by 4 mm/m:

    >>> [round(lift * 1000, 2) for lift in foot_lifts_m(-0.006, 0.004, 0.560, 0.500)]
    [2.0, 5.36, 0.0, 3.36]
    """
    across = finite("right_high", right_high, "-") * above_zero("width_m", width_m, "m")
    back = finite("rear_high", rear_high, "-") * above_zero("depth_m", depth_m, "m")
    heights = (0.0, across, back, across + back)
    return Feet(*(max(heights) - height for height in heights))


def foot_turns(lifts_m: Feet, pitch_m: float) -> Feet:
    """Return the turns that move each foot by its lift.

    Parameters
    ----------
    lifts_m : Feet
        Lift of each foot [m].
    pitch_m : float
        Advance of the foot's thread per turn, see `THREAD_PITCH_M` [m].

    Returns
    -------
    Feet
        Turns out of the cabinet [-].

    Raises
    ------
    ValueError
        A pitch that isn't above 0, or a lift that isn't finite.

    References
    ----------
    .. [1] Pitches: ISO 261/262 through tables (S), or 25.4 mm over threads per inch (D).

    Examples
    --------
    >>> lifts = foot_lifts_m(-0.006, 0.004, 0.560, 0.500)
    >>> [round(turns, 2) for turns in foot_turns(lifts, THREAD_PITCH_M["M10"])]
    [1.33, 3.57, 0.0, 2.24]
    """
    above_zero("pitch_m", pitch_m, "m")
    return Feet(*(finite(foot, lift_m, "m") / pitch_m for foot, lift_m in lifts_m._asdict().items()))


def rocking(gaps_m: Feet) -> Rocking:
    """Tell from the height of each foot over the floor whether the machine rocks, and which feet can end it.

    Parameters
    ----------
    gaps_m : Feet
        Height of each foot over the floor, in any tilt of the machine [m].

    Returns
    -------
    Rocking
        Residual and gap [m], and the loose diagonal.

    Raises
    ------
    ValueError
        A height that isn't finite.

    Notes
    -----
    A tilt adds nothing to the residual, since four points of a plane have none. A stiff cabinet is assumed; a soft one
    can twist until all feet touch and still carry nothing on one of them.

    References
    ----------
    .. [1] Four points in a plane (D).

    Examples
    --------
    >>> rocking(Feet(0.0, 0.002, 0.0, 0.0))
    Rocking(residual_m=-0.002, gap_m=0.002, feet=('right_front', 'left_rear'))
    """
    for foot, gap_m in gaps_m._asdict().items():
        finite(foot, gap_m, "m")
    residual_m = (gaps_m.left_front + gaps_m.right_rear) - (gaps_m.right_front + gaps_m.left_rear)
    # Sums of four readings leave a residue of a few bits on a perfect plane; that is not a rock.
    if abs(residual_m) <= 1e-12 * max(1.0, *(abs(gap) for gap in gaps_m)):
        return Rocking(residual_m, 0.0, ())
    loose = ("left_front", "right_rear") if residual_m > 0 else ("right_front", "left_rear")
    ordered = sorted(loose, key=lambda foot: -float(getattr(gaps_m, foot)))
    return Rocking(residual_m, abs(residual_m), tuple(ordered))
