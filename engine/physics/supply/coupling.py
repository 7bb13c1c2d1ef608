"""The coupling of a fill hose: how far a turn advances it, and what that can squeeze out of its washer."""

from ..domain import above_zero, not_negative

HOSE_PITCH_m = 0.0254 / 11.5  # 3/4-11.5 NH: 11.5 threads to the inch, straight


def thread_advance(turns: float, pitch_m: float = HOSE_PITCH_m) -> float:
    """Advance of a threaded coupling along its axis.

    Parameters
    ----------
    turns : float
        Turns; a part of a turn as a fraction [-]
    pitch_m : float, optional
        Advance per turn; that of 3/4-11.5 NH unless said [m]

    Returns
    -------
    float
        Advance [m]

    Raises
    ------
    ValueError
        If the turns are negative or the pitch not above zero.

    Notes
    -----
    Single-start thread. 3/4-11.5 NH is the US garden-hose thread; fill hoses elsewhere have another pitch: give it.

    References
    ----------
    .. [1] ASME B1.20.7-1991 (R2003): scope (grade P), 11.5 threads per inch as quoted by others (grade S).

    Examples
    --------
    Two thirds of a turn is 1.472 mm (grade D).

    >>> round(thread_advance(2 / 3) * 1e3, 3)
    1.472
    """
    return not_negative("turns", turns, "turns") * above_zero("pitch_m", pitch_m, "m")


def washer_squeeze(turns: float, washer_m: float, pitch_m: float = HOSE_PITCH_m) -> float:
    """Largest share of its thickness that a hose washer can lose to turns past hand-tight.

    Parameters
    ----------
    turns : float
        Turns past hand-tight [-]
    washer_m : float
        Thickness of the washer, uncompressed [m]
    pitch_m : float, optional
        Advance per turn; that of 3/4-11.5 NH unless said [m]

    Returns
    -------
    float
        Share of the thickness, an upper bound [-]

    Raises
    ------
    ValueError
        If the turns advance further than the washer is thick, or a size is not above zero.

    Notes
    -----
    An upper bound: hose end and plastic inlet give way too, and hand-tight has squeezed it already. The washer makes
    the seal and not the thread: if it weeps, look at the washer first. No overtight limit is published; never force a
    plastic inlet.

    References
    ----------
    .. [1] Insurance-industry guidance, hand-tight plus two thirds of a turn, as quoted by an insurer's agency (grade S).
    .. [2] ASME B1.20.7 pitch as quoted (grade S); the squeeze derived from it (grade D).

    Examples
    --------
    Two thirds of a turn on a 1/8-in washer: 46 % at most (grade D).

    >>> round(washer_squeeze(2 / 3, 0.003175), 2)
    0.46
    """
    advance_m = thread_advance(turns, pitch_m)
    above_zero("washer_m", washer_m, "m")
    if advance_m >= washer_m:
        raise ValueError(
            f"turns: found {turns:g}, an advance of {advance_m * 1e3:.2f} mm, expected less than the washer's {washer_m * 1e3:.2f} mm; "
            "count from hand-tight, and check that a washer is in it"
        )
    return advance_m / washer_m
