"""The air round and under the end of the hose, and the air behind the trap: gaps that keep water from being pulled."""

import math

from ..domain import above_zero, finite, not_negative


def hose_end_above_weir(standpipe_above_weir_m: float, insertion_m: float) -> float:
    """Air break: height of the hose end above the water that stands in the trap.

    Parameters
    ----------
    standpipe_above_weir_m : float
        Open top of the standpipe above the trap weir [m].
    insertion_m : float
        Length of hose inside the pipe [m].

    Returns
    -------
    gap_m : float
        Height of the hose end above the weir; negative when it dips into the trap's water [m].

    Raises
    ------
    ValueError
        If a length is negative.

    Notes
    -----
    An air break (below the rim) and not an air gap (above it); see `air_gap`.

    Examples
    --------
    >>> round(hose_end_above_weir(0.762, 0.203), 3)
    0.559

    References
    ----------
    .. [1] Geometry (D).
    """
    top = not_negative("standpipe_above_weir_m", standpipe_above_weir_m, "m")
    return top - not_negative("insertion_m", insertion_m, "m")


def air_gap(outlet_m: float, rim_m: float) -> float:
    """Air gap: height of an outlet above the flood-level rim of what it empties into, over one datum.

    Parameters
    ----------
    outlet_m : float
        Lowest edge of the outlet above the datum [m].
    rim_m : float
        Rim over which the receptor spills, above the same datum [m].

    Returns
    -------
    gap_m : float
        Clear height; negative when the outlet lies below the rim [m].

    Raises
    ------
    ValueError
        If an entry is not a number.

    Notes
    -----
    The codes ask a washer for an air break, less than this; where a local code asks for the gap, it binds.

    Examples
    --------
    >>> round(air_gap(1.05, 1.0), 2)
    0.05

    References
    ----------
    .. [1] Geometry (D).
    """
    return finite("outlet_m", outlet_m, "m") - finite("rim_m", rim_m, "m")


def open_area(bore_m: float, hose_diameter_m: float) -> float:
    """Area open to the air round a hose that hangs loose in a standpipe.

    Parameters
    ----------
    bore_m : float
        Inside diameter of the standpipe [m].
    hose_diameter_m : float
        Outside diameter of the hose [m].

    Returns
    -------
    area_m2 : float
        Ring between hose and pipe; 0 when the hose fills the pipe [m^2].

    Raises
    ------
    ValueError
        If the bore is not above 0 or the hose's diameter is negative.

    Notes
    -----
    A hose as wide as the pipe, squeezed in, counts as sealed.

    Examples
    --------
    1 1/4 in hose in 2 in pipe, in square inches:

    >>> round(open_area(0.0508, 0.03175) / 0.0254**2, 2)
    1.91

    References
    ----------
    .. [1] Geometry of the ring (D).
    """
    above_zero("bore_m", bore_m, "m")
    not_negative("hose_diameter_m", hose_diameter_m, "m")
    return max(0.0, math.pi / 4 * (bore_m**2 - hose_diameter_m**2))


def vent_distance(bore_m: float, slope: float = 1 / 48) -> float:
    """Longest run from trap weir to vent before the arm's fall equals its bore [1]_.

    Parameters
    ----------
    bore_m : float
        Nominal diameter of the trap arm [m].
    slope : float
        Fall over run; 1/4 in/ft is 1/48 [-].

    Returns
    -------
    length_m : float
        Distance from weir to vent [m].

    Raises
    ------
    ValueError
        If bore or slope is not above 0.

    Notes
    -----
    Farther on, the vent's opening lies below the weir and the arm can pull the trap's seal. It equals the IPC's table
    at 1/4 in/ft; UPC's table is much shorter (2 in: 5 ft, T1002.2, S) and binds where it is adopted.

    Examples
    --------
    >>> round(vent_distance(0.0508) / 0.3048, 6)
    8.0

    References
    ----------
    .. [1] IPC T909.1 (906.1 in older editions), as quoted in a trade magazine (S).
    """
    return above_zero("bore_m", bore_m, "m") / above_zero("slope", slope, "-")
