"""A sloping drain that runs part full, by Manning: any depth of a circular pipe."""

import math
from typing import NamedTuple

from ..domain import above_zero, not_negative, share

SCOURING_SPEED_MS = 0.6096
"""2 ft/s: slower water leaves lint behind (National Standard Plumbing Code 2009, Appendix K; P)."""


class Section(NamedTuple):
    """The wet part of a circular pipe.

    Parameters
    ----------
    area_m2 : float
        Wet cross-section [m^2].
    hydraulic_radius_m : float
        Wet cross-section over wetted wall [m].
    """

    area_m2: float
    hydraulic_radius_m: float


class DepthMultipliers(NamedTuple):
    """Flow and speed at some depth, as multiples of the half-full values.

    Parameters
    ----------
    flow : float
        Flow over half-full flow [-].
    speed : float
        Speed over half-full speed [-].
    """

    flow: float
    speed: float


def circular_section(bore_m: float, depth_ratio: float) -> Section:
    """Wet area and hydraulic radius of a circular pipe, from its depth of water.

    With the wetted angle t = 2 acos(1 - 2y): A = D^2 (t - sin t)/8, R = A/(D t/2).

    Parameters
    ----------
    bore_m : float
        Inside diameter [m].
    depth_ratio : float
        Depth of water over the bore [-].

    Returns
    -------
    section : Section
        Wet area [m^2] and hydraulic radius [m].

    Raises
    ------
    ValueError
        If the bore is not above 0 or the depth lies outside 0 to 1 bore.

    Notes
    -----
    Exact geometry.

    Examples
    --------
    >>> round(circular_section(0.0508, 0.5).hydraulic_radius_m, 4)
    0.0127

    References
    ----------
    .. [1] Geometry of the circular segment (D).
    """
    above_zero("bore_m", bore_m, "m")
    angle = 2 * math.acos(1 - 2 * share("depth_ratio", depth_ratio))
    area = max(0.0, bore_m**2 / 8 * (angle - math.sin(angle)))
    return Section(area, area / (bore_m * angle / 2) if angle > 0 else 0.0)


def manning_speed(hydraulic_radius_m: float, slope: float, manning_n: float) -> float:
    """Mean speed of water with a free surface, by Manning.

    V = R^(2/3) S^(1/2)/n in SI; the trade's form in feet has 1.486 in front.

    Parameters
    ----------
    hydraulic_radius_m : float
        Wet area over wetted wall [m].
    slope : float
        Fall over run; 1/4 in/ft is 1/48 [-].
    manning_n : float
        Manning's roughness, 0.009 smooth plastic to 0.015 fairly rough [s/m^(1/3)].

    Returns
    -------
    speed_ms : float
        Mean speed [m/s].

    Raises
    ------
    ValueError
        If radius or slope is negative or n is not above 0.

    Notes
    -----
    Steady, uniform, fully rough flow. The form with 1.486 is 0.005 % faster; 1.49, sometimes printed, is 0.27 % more.

    Examples
    --------
    >>> round(manning_speed(0.0127, 1 / 48, 0.015), 5)
    0.52379

    References
    ----------
    .. [1] National Standard Plumbing Code 2009, Appendix K (P): n 0.015, branches sized half full.
    """
    not_negative("hydraulic_radius_m", hydraulic_radius_m, "m")
    not_negative("slope", slope, "-")
    above_zero("manning_n", manning_n, "s/m^(1/3)")
    return float(hydraulic_radius_m ** (2 / 3) * math.sqrt(slope) / manning_n)


def drain_speed(bore_m: float, slope: float, depth_ratio: float = 0.5, manning_n: float = 0.015) -> float:
    """Mean speed in a sloping circular drain at any depth [1]_.

    Parameters
    ----------
    bore_m : float
        Inside diameter [m].
    slope : float
        Fall over run; 1/4 in/ft is 1/48 [-].
    depth_ratio : float
        Depth of water over the bore [-].
    manning_n : float
        Manning's roughness [s/m^(1/3)].

    Returns
    -------
    speed_ms : float
        Mean speed [m/s]; below `SCOURING_SPEED_MS` lint stays behind.

    Raises
    ------
    ValueError
        If the bore or n is not above 0, the slope is negative or the depth lies outside 0 to 1 bore.

    Notes
    -----
    As `manning_speed`. n changes with depth in real pipes; here it does not.

    Examples
    --------
    2 in at 1/4 in/ft, half full:

    >>> round(drain_speed(0.0508, 1 / 48) / 0.3048, 2)
    1.72

    References
    ----------
    .. [1] National Standard Plumbing Code 2009, Appendix K (P); its Table K-1 row 1.72 ft/s is M, from memory, unverified.
    """
    return manning_speed(circular_section(bore_m, depth_ratio).hydraulic_radius_m, slope, manning_n)


def drain_flow(bore_m: float, slope: float, depth_ratio: float = 0.5, manning_n: float = 0.015) -> float:
    """Flow of a sloping circular drain at any depth, driven by its slope alone [1]_.

    Parameters
    ----------
    bore_m : float
        Inside diameter [m].
    slope : float
        Fall over run; 1/4 in/ft is 1/48 [-].
    depth_ratio : float
        Depth of water over the bore [-].
    manning_n : float
        Manning's roughness [s/m^(1/3)].

    Returns
    -------
    flow_m3s : float
        Flow [m^3/s].

    Raises
    ------
    ValueError
        If the bore or n is not above 0, the slope is negative or the depth lies outside 0 to 1 bore.

    Notes
    -----
    A 2 in branch half full at 1/4 in/ft gives 8 to 14 gpm for n 0.015 to 0.009 (D), below common pump rates; yet such
    branches work, because the surge is short and the pipe runs fuller. Report a margin, not a fail.

    Examples
    --------
    >>> round(drain_flow(0.0508, 1 / 48) / (3.785411784e-3 / 60), 2)
    8.41

    References
    ----------
    .. [1] National Standard Plumbing Code 2009, Appendix K (P).
    """
    section = circular_section(bore_m, depth_ratio)
    return section.area_m2 * manning_speed(section.hydraulic_radius_m, slope, manning_n)


def partial_multipliers(depth_ratio: float) -> DepthMultipliers:
    """Flow and speed at a depth as multiples of the half-full values, whatever the pipe [1]_.

    Parameters
    ----------
    depth_ratio : float
        Depth of water over the bore [-].

    Returns
    -------
    multipliers : DepthMultipliers
        Of the half-full flow [-] and of the half-full speed [-].

    Raises
    ------
    ValueError
        If the depth lies outside 0 to 1 bore.

    Notes
    -----
    Most flow passes at a depth of 0.94, 7.6 % more than full.

    Examples
    --------
    >>> flow, speed = partial_multipliers(0.75)
    >>> round(flow, 4), round(speed, 4)
    (1.8238, 1.1335)

    References
    ----------
    .. [1] National Standard Plumbing Code 2009, Appendix K (P): 0.274/0.701, 1/1, 1.82/1.13, 2.00/1.00.
    """
    half, part = circular_section(1.0, 0.5), circular_section(1.0, depth_ratio)
    speed = (part.hydraulic_radius_m / half.hydraulic_radius_m) ** (2 / 3)
    return DepthMultipliers(part.area_m2 / half.area_m2 * speed, speed)
