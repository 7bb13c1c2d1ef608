"""Sound levels: adding them, and taking the room's own out of a reading. Levels in dB in, dB out.

A level in one room says little of a machine: a resonant floor, or a wall that the cabinet touches, raises it. A phone is 3 to 5 dB off
at best (from memory, unverified): it tells before from after in one place, and nothing else.
"""

import math

from ..domain import finite

PHONE_GIVE_OR_TAKE_dB = 5.0  # half-width of one reading by a phone (from memory, unverified)


def add_levels_dB(*levels_dB: float) -> float:
    """Return the level of several sounds together, 10 log10 of the sum of 10^(L/10) [1]_.

    Parameters
    ----------
    *levels_dB : float
        Level of each sound by itself, at one place and with one weighting [dB].

    Returns
    -------
    float
        Level of all together [dB].

    Raises
    ------
    ValueError
        No level, or one that isn't finite.

    Notes
    -----
    For sounds without a fixed beat between them: two equal ones make 3 dB more, and one 12 dB below another adds nothing to speak of.

    References
    ----------
    .. [1] A hearing-protection guide (S); table of differences in a Hong Kong EPD memorandum, T4 (P).

    Examples
    --------
    From [1]_: 90 and 91 dB make 93.5 dB; matches.

    >>> round(add_levels_dB(90, 91), 1)
    93.5
    """
    if not levels_dB:
        raise ValueError("levels_dB: found none, expected one level or more [dB]")
    return 10 * math.log10(sum(10 ** (finite("levels_dB", level, "dB") / 10) for level in levels_dB))


def without_room_dB(reading_dB: float, room_dB: float) -> float:
    """Return the level of a machine alone, from a reading with the room's own sound in it: the inverse of `add_levels_dB`.

    Parameters
    ----------
    reading_dB : float
        Level while the machine runs [dB].
    room_dB : float
        Level at the same place while it stands still [dB].

    Returns
    -------
    float
        Level of the machine alone [dB].

    Raises
    ------
    ValueError
        A level that isn't finite, or a reading that isn't above the room's.

    Notes
    -----
    Worth little where the two are less than 3 dB apart: the room is then as loud as the machine.

    References
    ----------
    .. [1] Inverse of the sum of levels (D).

    Examples
    --------
    >>> round(without_room_dB(93.0103, 90), 2)
    90.0
    """
    if finite("reading_dB", reading_dB, "dB") <= finite("room_dB", room_dB, "dB"):
        raise ValueError(f"room_dB: found {room_dB:g} dB, expected less than the reading of {reading_dB:g} dB")
    return 10 * math.log10(10 ** (reading_dB / 10) - 10 ** (room_dB / 10))
