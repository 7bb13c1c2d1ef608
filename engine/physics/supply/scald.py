"""Hot water on skin: published burn times at four temperatures, and bounds between them that are never a safe time."""

import math
from itertools import pairwise
from typing import NamedTuple

NEVER_SAFE = "never show as a safe time"
# US CPSC alert on tap water as quoted by others (grade S; its document number and own page not seen): °C -> s
ADULT_NODES: tuple[tuple[float, float], ...] = ((440 / 9, 300.0), (490 / 9, 30.0), (60.0, 6.0), (590 / 9, 2.0))
# A trade leaflet (grade S): infants burn sooner
INFANT_NODES: tuple[tuple[float, float], ...] = ((440 / 9, 240.0), (60.0, 1.0), (590 / 9, 0.5))
HEATER_C = 440 / 9  # 120 °F, US CPSC as quoted (grade S): the setting of a water heater


class Burn(NamedTuple):
    """A burn time: at_least_s, at_most_s, published_s, estimate_s [s] (none: not published, not estimated), caution [-]."""

    at_least_s: float
    at_most_s: float
    published_s: float | None
    estimate_s: float | None
    caution: str


def burn_time(water_C: float, nodes: tuple[tuple[float, float], ...] = ADULT_NODES) -> Burn:
    """Time to a third-degree burn in most adults: published at four temperatures, bounded between them.

    Parameters
    ----------
    water_C : float
        Temperature of the water [°C]
    nodes : tuple of (float, float), optional
        Published temperature [°C] and time [s], rising in temperature; adults' unless said

    Returns
    -------
    Burn
        published_s at a node (within 0.05 °C) [s]; at_least_s and at_most_s, the published times on either side [s];
        estimate_s, log-linear between nodes [s]; caution [-]

    Raises
    ------
    ValueError
        If the temperature is not that of liquid water, 0 to 100 °C.

    Notes
    -----
    No time here is a safe exposure; between the nodes the estimate is optimistic by up to 35 % against a water-heater
    leaflet (grade S) and must never be shown as a safe time: show the hotter node's time, `at_least_s`. Below the
    coolest node nothing is promised either; sources for it differ (5 or 10 minutes at 120 °F). Children, the old and
    those with numb skin burn sooner.

    References
    ----------
    .. [1] US CPSC alert on tap-water scalds, as quoted in many consistent copies (grade S).

    Examples
    --------
    From [1]_: 140 °F, 6 seconds, matches.

    >>> burn_time(60.0).published_s
    6.0
    >>> between = burn_time(57.2)  # 135 °F
    >>> between.published_s, between.at_least_s, between.at_most_s, between.caution
    (None, 6.0, 30.0, 'never show as a safe time')
    """
    if not 0 <= water_C <= 100:
        raise ValueError(f"water_C: found {water_C:g} °C, expected liquid water, 0 to 100 °C")
    for node_C, node_s in nodes:
        if abs(water_C - node_C) <= 0.05:
            return Burn(node_s, node_s, node_s, node_s, NEVER_SAFE)
    if water_C < nodes[0][0]:
        return Burn(nodes[0][1], math.inf, None, None, NEVER_SAFE)
    for (low_C, slow_s), (high_C, fast_s) in pairwise(nodes):
        if water_C < high_C:
            share = (water_C - low_C) / (high_C - low_C)
            return Burn(
                fast_s, slow_s, None, math.exp(math.log(slow_s) + share * math.log(fast_s / slow_s)), NEVER_SAFE
            )
    return Burn(0.0, nodes[-1][1], None, None, NEVER_SAFE)
