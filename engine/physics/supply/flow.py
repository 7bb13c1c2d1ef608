"""Water to the washer: flow by bucket and stopwatch, flow against pressure, fill time, and what a burst hose lets out."""

import math
from typing import NamedTuple

from ..domain import above_zero, not_negative

GALLON_m3 = 3.785411784e-3
WATER_kg_m3 = 998.206  # 20 °C, IAPWS-IF97
GRAVITY_m_s2 = 9.80665
BURST_HOSE_m3_s = 650 * GALLON_m3 / 3600  # P: insurers' guide, see `spilled_volume`


class Flow(NamedTuple):
    """A flow with its standard uncertainty: flow_m3_s [m3/s], u_m3_s [m3/s]."""

    flow_m3_s: float
    u_m3_s: float


def bucket_flow(volume_m3: float, time_s: float, volume_u_m3: float | None = None, time_u_s: float = 0.3) -> Flow:
    """Flow from a bucket filled against a stopwatch, with its standard uncertainty.

    Parameters
    ----------
    volume_m3 : float
        Water caught [m3]
    time_s : float
        Time it took [s]
    volume_u_m3 : float, optional
        Standard uncertainty of the volume; 1 % of the volume unless said [m3]
    time_u_s : float, optional
        Standard uncertainty of the time; a hand on a stopwatch unless said [s]

    Returns
    -------
    Flow
        flow_m3_s [m3/s] and its standard uncertainty u_m3_s [m3/s]

    Raises
    ------
    ValueError
        If volume or time is not above zero, or an uncertainty is negative.

    Notes
    -----
    First-order propagation: the relative uncertainties add in squares. The usual 1 % of the bucket and 0.3 s of the
    hand are from memory, unverified. Fill for 15 to 20 s at least, or the hand's reaction is most of the answer [1]_.
    Splash and a bucket read from above both bias the flow low.

    References
    ----------
    .. [1] Calculator guides to the bucket method (grade S).
    .. [2] JCGM 100:2008, propagation of uncorrelated inputs (clause from memory, unverified; grade M).

    Examples
    --------
    From [1]_: 5 gal in 30 s is 10 gpm, matches.

    >>> flow, u = bucket_flow(5 * GALLON_m3, 30.0)
    >>> round(flow / GALLON_m3 * 60, 6), round(u / GALLON_m3 * 60, 3)
    (10.0, 0.141)
    """
    above_zero("volume_m3", volume_m3, "m3")
    above_zero("time_s", time_s, "s")
    volume_u_m3 = 0.01 * volume_m3 if volume_u_m3 is None else not_negative("volume_u_m3", volume_u_m3, "m3")
    not_negative("time_u_s", time_u_s, "s")
    flow_m3_s = volume_m3 / time_s
    return Flow(flow_m3_s, flow_m3_s * math.hypot(volume_u_m3 / volume_m3, time_u_s / time_s))


def flow_at_pressure(flow_m3_s: float, pressure_Pa: float, other_Pa: float, exponent: float = 0.5) -> float:
    """Flow through the same opening at another pressure.

    Parameters
    ----------
    flow_m3_s : float
        Flow at `pressure_Pa` [m3/s]
    pressure_Pa : float
        Gauge pressure while that flow ran [Pa]
    other_Pa : float
        Gauge pressure asked about [Pa]
    exponent : float, optional
        Power of the pressure that the flow follows [-]

    Returns
    -------
    float
        Flow at `other_Pa` [m3/s]

    Raises
    ------
    ValueError
        If the first pressure is not above zero, another input is negative, or the exponent is not in (0, 3].

    Notes
    -----
    Square root for a fixed opening that lets out to the air, flow turbulent. Leaks in the field often have higher
    exponents [1]_. An inlet valve that regulates its own flow follows pressure less than this (judgement).

    References
    ----------
    .. [1] van Zyl and Clayton 2006, exponent 0.5 (grade S).

    Examples
    --------
    A tap that gives 5 gpm at 60 psi gives 2.887 gpm at 20 psi (derived from [1]_, grade D).

    >>> round(flow_at_pressure(5 * GALLON_m3 / 60, 413685.4, 137895.1) / GALLON_m3 * 60, 3)
    2.887
    """
    not_negative("flow_m3_s", flow_m3_s, "m3/s")
    above_zero("pressure_Pa", pressure_Pa, "Pa")
    not_negative("other_Pa", other_Pa, "Pa")
    if not 0 < exponent <= 3:
        raise ValueError(f"exponent: found {exponent:g}, expected more than 0 and at most 3 (0.5 for a fixed opening)")
    return flow_m3_s * math.pow(other_Pa / pressure_Pa, exponent)


def fill_time(volume_m3: float, flow_m3_s: float) -> float:
    """Time to fill a volume at a steady flow; without flow, never.

    Parameters
    ----------
    volume_m3 : float
        Volume to fill [m3]
    flow_m3_s : float
        Steady flow [m3/s]

    Returns
    -------
    float
        Time [s]; infinite where nothing flows

    Raises
    ------
    ValueError
        If an input is negative.

    Notes
    -----
    A machine that throttles or pauses its fill takes longer: this is a lower bound.

    References
    ----------
    .. [1] Arithmetic (grade D).

    Examples
    --------
    15 gal at 5 gpm take 3 minutes.

    >>> round(fill_time(15 * GALLON_m3, 5 * GALLON_m3 / 60), 6)
    180.0
    """
    not_negative("volume_m3", volume_m3, "m3")
    if not_negative("flow_m3_s", flow_m3_s, "m3/s") == 0:
        return math.inf if volume_m3 > 0 else 0.0
    return volume_m3 / flow_m3_s


def water_column(pressure_Pa: float, density_kg_m3: float = WATER_kg_m3) -> float:
    """Height of standing water that gives a gauge pressure.

    Parameters
    ----------
    pressure_Pa : float
        Gauge pressure [Pa]
    density_kg_m3 : float, optional
        Density of the water [kg/m3]

    Returns
    -------
    float
        Height [m]

    Raises
    ------
    ValueError
        If the pressure is negative or the density not above zero.

    Notes
    -----
    Water at rest. A tap one storey (about 3 m) up has about 0.3 bar less than one below it.

    References
    ----------
    .. [1] Hydrostatics; 1 psi is 2.311 ft of water at 62.3 lb/ft3 (grade D).

    Examples
    --------
    >>> round(water_column(6894.757) / 0.3048, 3)
    2.311
    """
    not_negative("pressure_Pa", pressure_Pa, "Pa")
    return pressure_Pa / (above_zero("density_kg_m3", density_kg_m3, "kg/m3") * GRAVITY_m_s2)


def spilled_volume(time_s: float, flow_m3_s: float = BURST_HOSE_m3_s) -> float:
    """Water let out in a time, by a burst fill hose unless another flow is given.

    Parameters
    ----------
    time_s : float
        Time until the tap is closed [s]
    flow_m3_s : float, optional
        Steady flow; 650 gal/h unless said [m3/s]

    Returns
    -------
    float
        Volume let out [m3]

    Raises
    ------
    ValueError
        If an input is negative.

    Notes
    -----
    650 gal/h is one insurers' figure at no stated pressure; a house at high pressure can lose more. The same guide
    prints "6 gpm" beside it, which is 360 gal/h: not used.

    References
    ----------
    .. [1] Insurers' guide to washer hoses, citing an institute of the insurance industry; studylib.net/doc/18298494 (grade P).

    Examples
    --------
    A working day away from home, 8 h, in gallons:

    >>> round(spilled_volume(8 * 3600.0) / GALLON_m3)
    5200
    """
    return not_negative("time_s", time_s, "s") * not_negative("flow_m3_s", flow_m3_s, "m3/s")
