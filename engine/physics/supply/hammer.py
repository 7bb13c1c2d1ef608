"""Water hammer: the pressure rise when a valve stops the water, fast or slowly."""

import math
from typing import NamedTuple

from ..domain import above_zero, not_negative


class Hammer(NamedTuple):
    """A stop: rise_Pa [Pa], return_s [s] (there and back for the wave), closing `rapid` or `slow` [-]."""

    rise_Pa: float
    return_s: float
    closing: str


def pipe_velocity(flow_m3_s: float, bore_m: float) -> float:
    """Mean velocity of a flow in a round pipe.

    Parameters
    ----------
    flow_m3_s : float
        Flow [m3/s]
    bore_m : float
        Inside diameter [m]

    Returns
    -------
    float
        Mean velocity [m/s]

    Raises
    ------
    ValueError
        If the flow is negative or the bore not above zero.

    Notes
    -----
    Full pipe. Nominal and actual bore differ by 6 to 9 %, so velocity by 12 to 18 %: use the actual one.

    References
    ----------
    .. [1] Continuity (grade D).

    Examples
    --------
    5 gpm in half-inch copper tube, type L, bore 0.545 in (tube size from memory, unverified), in ft/s:

    >>> round(pipe_velocity(3.15451e-4, 0.013843) / 0.3048, 2)
    6.88
    """
    return 4 * not_negative("flow_m3_s", flow_m3_s, "m3/s") / (math.pi * above_zero("bore_m", bore_m, "m") ** 2)


def wave_speed(bulk_Pa: float, density_kg_m3: float, bore_m: float, wall_m: float, modulus_Pa: float) -> float:
    """Speed of a pressure wave in a water-filled elastic pipe.

    Parameters
    ----------
    bulk_Pa : float
        Bulk modulus of the water [Pa]
    density_kg_m3 : float
        Density of the water [kg/m3]
    bore_m : float
        Inside diameter [m]
    wall_m : float
        Wall thickness [m]
    modulus_Pa : float
        Elastic modulus of the pipe; infinite for a rigid one [Pa]

    Returns
    -------
    float
        Wave speed [m/s]

    Raises
    ------
    ValueError
        If an input is not above zero.

    Notes
    -----
    Thin wall, no anchoring factor, no air. A little air in the water slows the wave much; hoses are slower still.

    References
    ----------
    .. [1] Tutorial sheet on water hammer with answers, problems 3 and 4 (grade S).

    Examples
    --------
    From [1]_ problem 3, 1238.35 m/s, matches.

    >>> round(wave_speed(2060e6, 1000.0, 0.6, 0.018, 200e9), 3)
    1238.345
    """
    above_zero("bulk_Pa", bulk_Pa, "Pa")
    above_zero("density_kg_m3", density_kg_m3, "kg/m3")
    above_zero("bore_m", bore_m, "m")
    above_zero("wall_m", wall_m, "m")
    if modulus_Pa != math.inf:
        above_zero("modulus_Pa", modulus_Pa, "Pa")
    return math.sqrt(bulk_Pa / density_kg_m3 / (1 + bulk_Pa * bore_m / (modulus_Pa * wall_m)))


def hammer(
    velocity_m_s: float, length_m: float, closing_s: float, speed_m_s: float, density_kg_m3: float = 998.206
) -> Hammer:
    """Pressure rise when a valve at the end of a pipe stops the water: Joukowsky if rapid, Michaud if slow.

    Parameters
    ----------
    velocity_m_s : float
        Velocity that is stopped [m/s]
    length_m : float
        Pipe from the valve back to the main or a large tank [m]
    closing_s : float
        Time that the valve takes to close [s]
    speed_m_s : float
        Wave speed in the pipe [m/s]
    density_kg_m3 : float, optional
        Density of the water [kg/m3]

    Returns
    -------
    Hammer
        rise_Pa above the running pressure [Pa], return_s [s], closing [-]

    Raises
    ------
    ValueError
        If velocity or closing time is negative, or another input not above zero.

    Notes
    -----
    The full rise comes if the valve closes within 2 L / a, the return time of the wave. Slow closing assumes that the
    flow falls evenly; a solenoid valve stops most of it late, so the true rise lies between the slow figure and the
    full one. No friction, no branches, no arrester. The rise adds to the pressure in the pipe. The circulating
    "0.07 V L / t" (psi, ft/s, ft, s) is 2.6 times Michaud's rule: a cautious rule of thumb, not physics.

    References
    ----------
    .. [1] Tutorial sheet on water hammer with answers, problem 3 (grade S).
    .. [2] Calculator page, slow closing 2 L V / (g t) (grade S).

    Examples
    --------
    From [1]_ problem 3: 3095.9 kPa, rapid, matches.

    >>> stop = hammer(2.5, 1050.0, 1.0, 1238.345, density_kg_m3=1000.0)
    >>> round(stop.rise_Pa / 1e3, 1), round(stop.return_s, 2), stop.closing
    (3095.9, 1.7, 'rapid')
    """
    not_negative("velocity_m_s", velocity_m_s, "m/s")
    above_zero("length_m", length_m, "m")
    not_negative("closing_s", closing_s, "s")
    above_zero("speed_m_s", speed_m_s, "m/s")
    above_zero("density_kg_m3", density_kg_m3, "kg/m3")
    return_s = 2 * length_m / speed_m_s
    if closing_s <= return_s:
        return Hammer(density_kg_m3 * speed_m_s * velocity_m_s, return_s, "rapid")
    return Hammer(2 * density_kg_m3 * length_m * velocity_m_s / closing_s, return_s, "slow")
