"""The spin speeds at which a hung tub's shake, through its springs and dampers, grows to what the feet hold. SI in, SI out.

What the suspension passes on changes with the speed itself, so the speed is solved for, and there can be several: a band
round the tub's own frequency that every spin crosses on its way up, and a last speed from which on it is too much.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

from ..domain import above_zero, not_negative


class SlipSpeeds(NamedTuple):
    """Spin speeds at which the force that reaches the floor is at a limit.

    Parameters
    ----------
    band_Hz : tuple of float or None
        From and to: round the tub's own frequency it is above the limit, beyond it below again; None without such a band [Hz].
    above_Hz : float or None
        From there up it stays above the limit; None where it never does again [Hz].
    """

    band_Hz: tuple[float, float] | None
    above_Hz: float | None


def slip_speeds_Hz(
    force_N: float, unbalance_kg: float, radius_m: float, natural_Hz: float, damping: float
) -> SlipSpeeds:
    """Return the spin speeds at which T(n) m e w(n)^2 is at a limit: all roots, by a cubic in the squared speed ratio.

    With x = (n/natural)^2, c = 4 z^2 and a = (m e w0^2/limit)^2: a c x^3 + (a - 1) x^2 + (2 - c) x - 1 = 0.

    Parameters
    ----------
    force_N : float
        The limit, from `slip_limit_N` or another [N].
    unbalance_kg, radius_m : float
        Unbalanced mass [kg] and its distance from the axis [m].
    natural_Hz : float
        The hung tub's own frequency [Hz].
    damping : float
        Share of critical damping [-].

    Returns
    -------
    SlipSpeeds
        The band at the tub's resonance, and the speed from which on it is too much [Hz].

    Raises
    ------
    ValueError
        Damping below 0, or another input that isn't above 0.

    Notes
    -----
    Steady spin, one direction, linear, as `transmissibility`. A drum that runs through the band quickly swings less than
    in a steady spin there, so the band is an upper bound. Without dampers the force tends to m e w0^2 at high speed and
    may stay below the limit for ever. Restraints left in: `speed_at_force_Hz`.

    References
    ----------
    .. [1] Rotating unbalance and transmissibility, see `unbalance` (P, S), solved for the speed (D).

    Examples
    --------
    80 kg on a slick floor (friction 0.25), then a tub that hardly moves in its mounts:

    >>> found = slip_speeds_Hz(196.1, 0.5, 0.25, 3.5, 0.15)
    >>> [round(60 * speed) for speed in (*found.band_Hz, found.above_Hz)]
    [202, 231, 2138]
    >>> round(60 * slip_speeds_Hz(411.9, 0.5, 0.25, 5000, 0.15).above_Hz)
    548
    """
    above_zero("force_N", force_N, "N")
    above_zero("unbalance_kg", unbalance_kg, "kg")
    above_zero("radius_m", radius_m, "m")
    above_zero("natural_Hz", natural_Hz, "Hz")
    c = 4 * not_negative("damping", damping, "-") ** 2
    a = (unbalance_kg * radius_m * (2 * math.pi * natural_Hz) ** 2 / force_N) ** 2

    def over(x: float) -> float:
        # Above 0 just where the force is above the limit.
        return ((a * c * x + (a - 1)) * x + (2 - c)) * x - 1

    crossings = [natural_Hz * math.sqrt(x) for x in _crossings(over, _turns(3 * a * c, 2 * (a - 1), 2 - c))]
    if len(crossings) < 2:  # none: undamped, and the band so thin that no float lies in it
        return SlipSpeeds(None, crossings[0] if crossings else None)
    return SlipSpeeds((crossings[0], crossings[1]), crossings[2] if len(crossings) == 3 else None)


def _turns(square: float, linear: float, constant: float) -> list[float]:
    """Return the positive x, in order, at which square x^2 + linear x + constant is 0: there a cubic turns."""
    if square == 0:
        roots = [-constant / linear] if linear else []
    else:
        inside = linear**2 - 4 * square * constant
        if inside <= 0:
            return []
        far = -(linear + math.copysign(math.sqrt(inside), linear)) / 2  # no difference of near numbers
        roots = [far / square, constant / far]
    return sorted(x for x in roots if 0 < x < math.inf)


def _crossings(over: Callable[[float], float], turns: list[float]) -> list[float]:
    """Return where `over`, below 0 at 0 and without turns but those given, changes its sign."""
    beyond = max(1.0, *turns, 1.0) * 2
    while beyond < 1e200 and over(beyond) <= 0:  # may be for ever, where no damper passes anything on
        beyond *= 4
    found, low = [], 0.0
    for high in (*turns, beyond):
        if (over(low) > 0) != (over(high) > 0):
            found.append(_bisected(over, low, high))
        low = high
    return found


def _bisected(over: Callable[[float], float], low: float, high: float) -> float:
    rises = over(high) > 0
    while low < (middle := (low + high) / 2) < high:
        low, high = (low, middle) if (over(middle) > 0) == rises else (middle, high)
    return (low + high) / 2
