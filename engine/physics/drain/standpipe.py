"""The standpipe as a bucket and as a height: what it holds, how soon it is full, and whose floor it is counted from."""

import math

from ..domain import above_zero, finite, not_negative


def standpipe_volume(height_m: float, bore_m: float, hose_diameter_m: float = 0.0, insertion_m: float = 0.0) -> float:
    """Water that a standpipe takes before it runs over, less what the hose in it displaces.

    Parameters
    ----------
    height_m : float
        Height of the open top above the water that stands in the pipe, the trap weir at first [m].
    bore_m : float
        Inside diameter [m].
    hose_diameter_m : float
        Outside diameter of the hose; 0 to leave the hose out [m].
    insertion_m : float
        Length of hose inside the pipe [m].

    Returns
    -------
    volume_m3 : float
        Buffer volume [m^3].

    Raises
    ------
    ValueError
        If the bore is not above 0, a length is negative, or the hose is wider than the bore.

    Notes
    -----
    Hose deeper than the height displaces no more than the height. The hose's full outside is taken off, as it is full
    of water that is already on its way.

    Examples
    --------
    30 in of 2 in pipe, in gallons:

    >>> round(standpipe_volume(0.762, 0.0508) / 3.785411784e-3, 3)
    0.408

    References
    ----------
    .. [1] Geometry of the cylinder (D).
    """
    not_negative("height_m", height_m, "m")
    above_zero("bore_m", bore_m, "m")
    not_negative("insertion_m", insertion_m, "m")
    if not 0 <= hose_diameter_m < bore_m:
        raise ValueError(f"hose_diameter_m: found {hose_diameter_m:g} m, expected 0 to below the bore, {bore_m:g} m")
    return math.pi / 4 * (bore_m**2 * height_m - hose_diameter_m**2 * min(insertion_m, height_m))


def time_to_overflow(volume_m3: float, inflow_m3s: float, outflow_m3s: float = 0.0) -> float:
    """Seconds until a vessel that takes more than it loses is full: volume/(in - out).

    Parameters
    ----------
    volume_m3 : float
        Room left in it [m^3].
    inflow_m3s : float
        Flow in [m^3/s].
    outflow_m3s : float
        Flow out [m^3/s].

    Returns
    -------
    time_s : float
        Time until it runs over; infinite when as much leaves as comes [s].

    Raises
    ------
    ValueError
        If a volume or flow is negative.

    Notes
    -----
    Takes the outflow as constant. Through a trap it grows as the pipe fills: see `standpipe_filling_time`.

    Examples
    --------
    30 in of 2 in pipe, 17 gpm in and 8.42 out:

    >>> gpm = 3.785411784e-3 / 60
    >>> round(time_to_overflow(standpipe_volume(0.762, 0.0508), 17 * gpm, 8.42 * gpm), 2)
    2.85

    References
    ----------
    .. [1] Conservation of volume (D).
    """
    not_negative("volume_m3", volume_m3, "m^3")
    surplus = not_negative("inflow_m3s", inflow_m3s, "m^3/s") - not_negative("outflow_m3s", outflow_m3s, "m^3/s")
    return volume_m3 / surplus if surplus > 0 else math.inf


def tub_fill_time(volume_m3: float, inflow_m3s: float, outflow_m3s: float = 0.0) -> float:
    """Seconds until the washer's pump fills a laundry tub to its rim.

    Parameters
    ----------
    volume_m3 : float
        Tub volume up to the rim [m^3].
    inflow_m3s : float
        Pump rate [m^3/s].
    outflow_m3s : float
        What the tub's drain takes; 0 for a plugged drain [m^3/s].

    Returns
    -------
    time_s : float
        Time until it runs over; infinite when the drain keeps up [s].

    Raises
    ------
    ValueError
        If a volume or flow is negative.

    Notes
    -----
    As `time_to_overflow`. Compare with how long the pump runs, about the machine's water over the pump's rate.

    Examples
    --------
    A plugged 20 gal tub at 17 gpm:

    >>> round(tub_fill_time(20 * 3.785411784e-3, 17 * 3.785411784e-3 / 60))
    71

    References
    ----------
    .. [1] Conservation of volume (D).
    """
    return time_to_overflow(volume_m3, inflow_m3s, outflow_m3s)


def above_floor(above_weir_m: float, weir_above_floor_m: float) -> float:
    """Height above the room's floor, from the height above the trap weir.

    Parameters
    ----------
    above_weir_m : float
        Height above the weir, the level at which water leaves the trap [m].
    weir_above_floor_m : float
        Weir above the room's floor; negative where the trap lies under it [m].

    Returns
    -------
    above_floor_m : float
        Height above the room's floor [m].

    Raises
    ------
    ValueError
        If an entry is not a number.

    Notes
    -----
    UPC counts from the trap (2024: the trap weir) and from the floor, IPC from the trap weir, practice from the feet.

    Examples
    --------
    >>> round(above_floor(18 * 0.0254, 6 * 0.0254) / 0.0254)
    24

    References
    ----------
    .. [1] UPC 804.1 (2018, 2024) with its commentary: 18 to 30 over 6 to 18 in makes 24 to 48 in (P).
    """
    return finite("above_weir_m", above_weir_m, "m") + finite("weir_above_floor_m", weir_above_floor_m, "m")


def above_weir(above_floor_m: float, weir_above_floor_m: float) -> float:
    """Height above the trap weir, from the height above the room's floor.

    Parameters
    ----------
    above_floor_m : float
        Height above the room's floor [m].
    weir_above_floor_m : float
        Weir above the room's floor; negative where the trap lies under it [m].

    Returns
    -------
    above_weir_m : float
        Height above the weir [m].

    Raises
    ------
    ValueError
        If an entry is not a number.

    Notes
    -----
    The reverse of `above_floor`.

    Examples
    --------
    >>> round(above_weir(1.0, 0.25), 2)
    0.75

    References
    ----------
    .. [1] As `above_floor`; UPC 804.1 (P).
    """
    return finite("above_floor_m", above_floor_m, "m") - finite("weir_above_floor_m", weir_above_floor_m, "m")


def above_feet(above_floor_m: float, pedestal_m: float = 0.0) -> float:
    """Height above the surface that the washer's feet stand on, from the height above the room's floor.

    Parameters
    ----------
    above_floor_m : float
        Height above the room's floor [m].
    pedestal_m : float
        Pedestal, platform or pan under the feet; 0 for none [m].

    Returns
    -------
    above_feet_m : float
        Height above the feet's surface [m].

    Raises
    ------
    ValueError
        If the height is not a number or the pedestal is negative.

    Notes
    -----
    A pedestal lowers every height that the pump and the siphon see. Its reverse is `floor_from_feet`.

    Examples
    --------
    >>> round(above_feet(42 * 0.0254, 15 * 0.0254) / 0.0254)
    27

    References
    ----------
    .. [1] Geometry (D); that practice counts from the feet is common practice (C).
    """
    return finite("above_floor_m", above_floor_m, "m") - not_negative("pedestal_m", pedestal_m, "m")


def floor_from_feet(above_feet_m: float, pedestal_m: float = 0.0) -> float:
    """Height above the room's floor, from the height above the surface that the washer's feet stand on.

    Parameters
    ----------
    above_feet_m : float
        Height above the feet's surface [m].
    pedestal_m : float
        Pedestal, platform or pan under the feet; 0 for none [m].

    Returns
    -------
    above_floor_m : float
        Height above the room's floor [m].

    Raises
    ------
    ValueError
        If the height is not a number or the pedestal is negative.

    Notes
    -----
    The reverse of `above_feet`.

    Examples
    --------
    >>> round(floor_from_feet(39 * 0.0254, 15 * 0.0254) / 0.0254)
    54

    References
    ----------
    .. [1] Geometry (D).
    """
    return finite("above_feet_m", above_feet_m, "m") + not_negative("pedestal_m", pedestal_m, "m")
