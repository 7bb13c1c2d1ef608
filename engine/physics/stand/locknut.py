"""The torque of a lock nut and the pull it puts into the thread: why a bolt table must not be used on a washer's foot.

No torque for a washer's foot nut is published. Hold the foot, tighten the nut to the cabinet, snug and about a quarter
turn (common practice): feet are often plastic or thin plate, and a bolt-table torque pulls kilonewtons through them.
"""

import math

from ..domain import above_zero, not_negative

# Torque coefficient K [-]: Shigley 9e, table 8-15, p. 439 (P).
NUT_FACTOR = {"black": 0.30, "zinc": 0.20, "lubricated": 0.18, "cadmium": 0.16, "anti-seize": 0.12}
# Ten bolts at one torque of 90 N m scattered by 8.4 % in pull (Shigley 9e, table 8-14, P); advice on pull is wider still.
PULL_GIVE_OR_TAKE = 0.25
_HALF_FLANK_RAD = math.radians(30)  # ISO and unified threads
_COLLAR_SHARE = 0.625  # mean radius of the collar over the thread's diameter, for a collar of 1.5 d on a hole of d


def nut_torque_Nm(pull_N: float, diameter_m: float, nut_factor: float) -> float:
    """Return the torque that tightens a nut to a pull, T = K F d [1]_.

    Parameters
    ----------
    pull_N : float
        Pull in the thread [N].
    diameter_m : float
        Nominal diameter of the thread [m].
    nut_factor : float
        Torque coefficient K, see `NUT_FACTOR` [-].

    Returns
    -------
    float
        Torque [N m].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    K hides thread and collar friction; the pull at one torque is known to `PULL_GIVE_OR_TAKE` at best.

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, 9e, eq. 8-27, p. 439 (P).

    Examples
    --------
    M12, 34.23 kN, plain zinc:

    >>> round(nut_torque_Nm(34230, 0.012, NUT_FACTOR["zinc"]), 1)
    82.2
    """
    above_zero("pull_N", pull_N, "N")
    above_zero("diameter_m", diameter_m, "m")
    above_zero("nut_factor", nut_factor, "-")
    return nut_factor * pull_N * diameter_m


def nut_pull_N(torque_Nm: float, diameter_m: float, nut_factor: float) -> float:
    """Return the pull that a torque puts into a thread, F = T/(K d) [1]_.

    Parameters
    ----------
    torque_Nm : float
        Torque on the nut [N m].
    diameter_m : float
        Nominal diameter of the thread [m].
    nut_factor : float
        Torque coefficient K, see `NUT_FACTOR` [-].

    Returns
    -------
    float
        Pull in the thread [N].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    See `nut_torque_Nm`.

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, 9e, eq. 8-27, p. 439 (P).

    Examples
    --------
    A modest 15 N m on an M10 foot already pulls with three quarters of a ton:

    >>> round(nut_pull_N(15, 0.010, NUT_FACTOR["zinc"]))
    7500
    """
    above_zero("torque_Nm", torque_Nm, "N m")
    above_zero("diameter_m", diameter_m, "m")
    above_zero("nut_factor", nut_factor, "-")
    return torque_Nm / (nut_factor * diameter_m)


def thread_torque_Nm(
    pull_N: float, diameter_m: float, pitch_m: float, thread_friction: float, collar_friction: float
) -> float:
    """Return the torque of a nut from the thread's own geometry and its two frictions [1]_.

    T = F dm/2 (tan lead + f sec flank)/(1 - f tan lead sec flank) + 0.625 F fc d

    Parameters
    ----------
    pull_N : float
        Pull in the thread [N].
    diameter_m : float
        Nominal diameter of the thread [m].
    pitch_m : float
        Advance per turn [m].
    thread_friction, collar_friction : float
        Friction in the thread and under the nut, zero or more [-].

    Returns
    -------
    float
        Torque [N m].

    Raises
    ------
    ValueError
        A size or pull that isn't above 0, a friction below 0, a pitch too coarse for the diameter, or a thread that
        locks under its friction.

    Notes
    -----
    60 degree flanks; mean diameter halfway between nominal and root of a unified thread (d - 0.6495 p). A check on the
    torque coefficient, not a way to a better figure: frictions are as uncertain as K.

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, 9e, eq. 8-26 and example 8-3(c), p. 440 (P).

    Examples
    --------
    M10, 7.5 kN, both frictions 0.15; close to the 15 N m of K = 0.20:

    >>> round(thread_torque_Nm(7500, 0.010, 0.0015, 0.15, 0.15), 1)
    14.8
    """
    above_zero("pull_N", pull_N, "N")
    above_zero("diameter_m", diameter_m, "m")
    above_zero("pitch_m", pitch_m, "m")
    not_negative("thread_friction", thread_friction, "-")
    not_negative("collar_friction", collar_friction, "-")
    mean_m = diameter_m - 0.649519 * pitch_m
    if mean_m <= 0:
        raise ValueError(f"pitch_m: found {pitch_m} m, expected less than 1.5 times the diameter of {diameter_m} m")
    lead = pitch_m / (math.pi * mean_m)
    sec = 1 / math.cos(_HALF_FLANK_RAD)
    slack = 1 - thread_friction * lead * sec
    if slack <= 0:
        raise ValueError(
            f"thread_friction: found {thread_friction}, expected below {1 / (lead * sec):.3g}, where it locks"
        )
    in_thread = pull_N * mean_m / 2 * (lead + thread_friction * sec) / slack
    return in_thread + _COLLAR_SHARE * pull_N * collar_friction * diameter_m
