"""Propylene glycol in what cannot be drained: freezing point by share, dilution, and the share a temperature needs."""

from itertools import pairwise

from ..domain import above_zero, not_negative, temperature

# Share by volume [-] -> freezing point [°C], Lange's Handbook, 15th ed., table 5.13 (grade P, page copy; minus signs
# lost in print and restored to match its °F column). Pure water added as the first row.
LANGE: tuple[tuple[float, float], ...] = (
    (0.0, 0.0),
    (0.05, -1.1),
    (0.10, -2.2),
    (0.15, -3.9),
    (0.20, -6.7),
    (0.25, -8.9),
    (0.30, -12.8),
    (0.35, -16.1),
    (0.40, -20.6),
    (0.45, -26.7),
    (0.50, -33.3),
)


def freezing_point(share: float) -> float:
    """Temperature at which ice first forms in propylene glycol and water.

    Parameters
    ----------
    share : float
        Propylene glycol by volume, 0 to 0.5 [-]

    Returns
    -------
    float
        Freezing point, first ice [°C]

    Raises
    ------
    ValueError
        Outside 0 to 0.5.

    Notes
    -----
    Linear between the table's rows, good to about 1 °C; a fit after ASHRAE lies 0.3 to 1.4 °C lower over 10 to 50 %. First ice is slush:
    flow stops colder and bursting begins colder still, by another column that is not used here. The strength on a
    bottle may be of something else than glycol, so read its label. Propylene, never ethylene glycol, in a washer.

    References
    ----------
    .. [1] Lange's Handbook of Chemistry, 15th ed., table 5.13 (grade P).

    Examples
    --------
    From [1]_: 40 % by volume, -20.6 °C, matches.

    >>> freezing_point(0.40)
    -20.6
    """
    if not 0 <= share <= LANGE[-1][0]:
        raise ValueError(
            f"share: found {share:g}, expected a share by volume of 0 to 0.5 (0 to 50 %), where the table ends"
        )
    for (low, low_C), (high, high_C) in pairwise(LANGE):
        if share <= high:
            return high_C if share == high else low_C + (share - low) / (high - low) * (high_C - low_C)
    return LANGE[-1][1]


def share_needed(lowest_C: float) -> float:
    """Share of propylene glycol whose first ice forms at a temperature.

    Parameters
    ----------
    lowest_C : float
        Lowest temperature that the mix must stand without ice [°C]

    Returns
    -------
    float
        Share by volume in the final mix [-]; 0 above freezing

    Raises
    ------
    ValueError
        Below -33.3 °C, where the table ends.

    Notes
    -----
    The share in the machine after mixing with the water left there, not in the bottle. Up to 2 points stronger than a
    fluid makers' guide (from memory, unverified).

    References
    ----------
    .. [1] Lange's Handbook of Chemistry, 15th ed., table 5.13, inverted (grade P table, D inversion).

    Examples
    --------
    For 0 °F, -17.8 °C:

    >>> round(share_needed(-17.8), 2)
    0.37
    """
    if temperature("lowest_C", lowest_C) < LANGE[-1][1]:
        raise ValueError(
            f"lowest_C: found {lowest_C:g} °C, expected {LANGE[-1][1]:g} °C or more, where the table ends; drain it dry instead"
        )
    if lowest_C >= 0:
        return 0.0
    for (low, low_C), (high, high_C) in pairwise(LANGE):
        if lowest_C >= high_C:
            return low + (lowest_C - low_C) / (high_C - low_C) * (high - low)
    return LANGE[-1][0]


def dilute(share: float, volume_m3: float, water_m3: float) -> float:
    """Share of antifreeze after water is added, or found waiting in the machine.

    Parameters
    ----------
    share : float
        Share by volume in what is poured in, 0 to 1 [-]
    volume_m3 : float
        Volume poured in [m3]
    water_m3 : float
        Volume of water that it meets [m3]

    Returns
    -------
    float
        Share by volume in the mix [-]

    Raises
    ------
    ValueError
        If the share is not in 0 to 1, a volume is negative, or nothing is poured in.

    Notes
    -----
    Volumes taken as adding up and as mixing through. A machine must turn over for that: run it a little.

    References
    ----------
    .. [1] Arithmetic (grade D).

    Examples
    --------
    A quart of 50 % on a pint of water is 33.3 %, good to about -15 °C:

    >>> mix = dilute(0.5, 9.4635e-4, 4.7318e-4)
    >>> round(mix, 3), round(freezing_point(mix), 1)
    (0.333, -15.0)
    """
    if not 0 <= share <= 1:
        raise ValueError(f"share: found {share:g}, expected a share by volume of 0 to 1; 50 % is 0.5")
    above_zero("volume_m3", volume_m3, "m3")
    return share * volume_m3 / (volume_m3 + not_negative("water_m3", water_m3, "m3"))


def volume_to_pour(target: float, share: float, water_m3: float) -> float:
    """Antifreeze to pour onto a known volume of water for a target share.

    Parameters
    ----------
    target : float
        Share by volume wanted in the mix [-]
    share : float
        Share by volume in the bottle [-]
    water_m3 : float
        Volume of water left in the machine [m3]

    Returns
    -------
    float
        Volume to pour in [m3]

    Raises
    ------
    ValueError
        If the bottle is not stronger than the target, a share is outside 0 to 1, or the volume is negative.

    Notes
    -----
    The inverse of `dilute`, with its assumptions. How much water stays in a sump is seldom known: estimate high.

    References
    ----------
    .. [1] Arithmetic (grade D).

    Examples
    --------
    >>> round(volume_to_pour(1 / 3, 0.5, 0.5e-3), 6)
    0.001
    """
    if not 0 <= target < share <= 1:
        raise ValueError(
            f"target: found {target:g} from a bottle of {share:g}, expected 0 or more and less than the bottle's share, which is at most 1"
        )
    return target * not_negative("water_m3", water_m3, "m3") / (share - target)
