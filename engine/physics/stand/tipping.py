"""Tipping a washer or a stack: how far it leans before it goes over, and whether a push slides or tips it. SI in, SI out.

Geometry of a rigid box. A tub on springs swings to the low side, water runs there, and a soft floor gives: it goes over
earlier than this. Never tip a stack; never reach under a machine that is held by hand.
"""

import math
from typing import Literal

from ..domain import above_zero

Band = tuple[float, float]
G_M_PER_S2 = 9.80665


def tip_angle_rad(base_m: float, middle_height_m: float) -> float:
    """Return the tilt at which a box is about to go over, atan(half base/height of its centre of gravity).

    Parameters
    ----------
    base_m : float
        Distance between the feet along the tilt [m].
    middle_height_m : float
        Height of the centre of gravity above the feet [m].

    Returns
    -------
    float
        Angle of balance [rad].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Rigid, centre of gravity halfway between the feet: optimistic for a tub that swings on springs.

    References
    ----------
    .. [1] Statics (D); Wolfson, 3e, ch. 12, no. 48 (S).

    Examples
    --------
    >>> round(math.degrees(tip_angle_rad(0.50, 0.425)), 1)
    30.5
    """
    return math.atan(above_zero("base_m", base_m, "m") / 2 / above_zero("middle_height_m", middle_height_m, "m"))


def slide_angles_rad(friction: Band) -> Band:
    """Return the tilts at which a box starts to slide, atan mu, at either end of the friction band.

    Parameters
    ----------
    friction : tuple of float
        Low and high friction [-].

    Returns
    -------
    tuple of float
        Angles, low and high [rad].

    Raises
    ------
    ValueError
        A friction that isn't a band.

    Notes
    -----
    On a ramp or a truck's deck; see `grip.FEET_FRICTION`.

    References
    ----------
    .. [1] Coulomb friction (D).

    Examples
    --------
    >>> [round(math.degrees(angle)) for angle in slide_angles_rad((0.25, 0.60))]
    [14, 31]
    """
    low, high = friction
    if not (math.isfinite(high) and 0 < low < high):
        raise ValueError(f"friction: found ({low}, {high}), expected a band (low, high) with 0 < low < high")
    return math.atan(low), math.atan(high)


def on_a_ramp(friction: Band, base_m: float, middle_height_m: float) -> Literal["slides", "tips", "either"]:
    """Tell what a box does first on a slope that grows steeper.

    Parameters
    ----------
    friction : tuple of float
        Low and high friction [-].
    base_m : float
        Distance between the feet along the slope [m].
    middle_height_m : float
        Height of the centre of gravity [m].

    Returns
    -------
    str
        slides, tips, or either where the friction band spans the two [-].

    Raises
    ------
    ValueError
        As the functions it calls.

    Notes
    -----
    As `tip_angle_rad`. Neither is a way to move a machine: strap it to a truck, and stand uphill of it.

    References
    ----------
    .. [1] Slides first where mu is below half base over height (D).

    Examples
    --------
    >>> on_a_ramp((0.25, 0.60), 0.50, 0.425), on_a_ramp((0.45, 0.60), 0.50, 0.90)
    ('either', 'tips')
    >>> on_a_ramp((0.25, 0.45), 0.50, 0.425)
    'slides'
    """
    low_rad, high_rad = slide_angles_rad(friction)
    tip_rad = tip_angle_rad(base_m, middle_height_m)
    if high_rad < tip_rad:
        return "slides"
    return "tips" if low_rad > tip_rad else "either"


def push_to_tip_N(mass_kg: float, base_m: float, push_height_m: float) -> float:
    """Return the level push that starts to tip a box about its far feet, W b/(2 H).

    Parameters
    ----------
    mass_kg : float
        The box [kg].
    base_m : float
        Distance between the feet along the push [m].
    push_height_m : float
        Height of the push above the floor [m].

    Returns
    -------
    float
        Push [N].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    It tips only where the feet hold: the push must stay under friction times weight, else it slides.

    References
    ----------
    .. [1] Moments about the far feet (D).

    Examples
    --------
    >>> round(push_to_tip_N(75, 0.50, 0.85))
    216
    """
    above_zero("mass_kg", mass_kg, "kg")
    above_zero("base_m", base_m, "m")
    return mass_kg * G_M_PER_S2 * base_m / (2 * above_zero("push_height_m", push_height_m, "m"))
