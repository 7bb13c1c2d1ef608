"""Lifting a washer by hand: the NIOSH screen. SI in, SI out.

A screen for one person's smooth two-handed lift; it is not for carrying, pushing, unstable loads or stairs. Two people
alone never meet it with a washer: hand truck or dolly, straps, and a second person.
"""

import math
from itertools import pairwise
from typing import Literal, NamedTuple

from ..domain import above_zero, not_negative

Edition = Literal["inch", "metric"]
Grip = Literal["good", "fair", "poor"]
LB_KG, IN_M = 0.45359237, 0.0254
KNUCKLE_M = {"inch": 30 * IN_M, "metric": 0.75}
LOAD_KG = {"inch": 51 * LB_KG, "metric": 23.0}  # what a good lift may weigh
# Frequency multiplier, lifting for an hour or less: lifts per minute, share (NIOSH 94-110 table 5, S; rows to 5 at hand)
FREQUENCY = ((0.2, 1.00), (0.5, 0.97), (1.0, 0.94), (2.0, 0.91), (3.0, 0.88), (4.0, 0.84), (5.0, 0.80))
# Grip multiplier below and from knuckle height up (NIOSH 94-110 table 7, S)
GRIP = {"good": (1.00, 1.00), "fair": (0.95, 1.00), "poor": (0.90, 0.90)}


class LiftingMultipliers(NamedTuple):
    """The six shares by which a lift falls short of a good one.

    Parameters
    ----------
    reach, height, travel, twist, frequency, grip : float
        HM, VM, DM, AM, FM and CM of the equation, 0 to 1 [-].
    """

    reach: float
    height: float
    travel: float
    twist: float
    frequency: float
    grip: float


class Screen(NamedTuple):
    """A load against the limit.

    Parameters
    ----------
    lifting_index : float
        Lifting index of each person: their share of the load over the limit, inf where the limit is 0 [-].
    band : str
        within the guideline (1 or less), above it, or high risk for nearly all (over 3) [-].
    people : int or None
        People that an equal share within the guideline would take, None where the limit is 0 [-].
    """

    lifting_index: float
    band: Literal["within the guideline", "above the guideline", "high risk for nearly all"]
    people: int | None


def multipliers(
    reach_m: float,
    height_m: float,
    travel_m: float,
    twist_deg: float = 0.0,
    lifts_per_min: float = 0.2,
    grip: Grip = "fair",
    edition: Edition = "metric",
) -> LiftingMultipliers:
    """Return the six multipliers of the revised lifting equation [1]_ for one end of a lift.

    Parameters
    ----------
    reach_m : float
        Hands ahead of the ankles; under 25 cm counts as 25, over 63 cm (25 in) allows nothing [m].
    height_m : float
        Hands above the floor; over 175 cm (70 in) allows nothing [m].
    travel_m : float
        Height from start to end of the lift, up or down; under 25 cm counts as 25, over 175 cm allows nothing [m].
    twist_deg : float
        Turn of the trunk from straight ahead; over 135 allows nothing [deg].
    lifts_per_min : float
        Lifts per minute, for an hour or less; under 0.2 counts as 0.2, up to 5 [1/min].
    grip : str
        good, fair or poor [-].
    edition : str
        Constants of the inch or the metric form; they differ by up to 2 % [-].

    Returns
    -------
    LiftingMultipliers
        Shares [-].

    Raises
    ------
    ValueError
        A negative or infinite input, more than 5 lifts a minute, or an unknown grip or edition.

    Notes
    -----
    Full precision; the manual rounds each to two places, up to 2.4 % apart. Frequencies between rows are interpolated.

    References
    ----------
    .. [1] NIOSH 94-110, rev. 9/2021, pp. 7-15, tables 5 and 7, as transcribed (S).

    Examples
    --------
    From [1]_ example 4, origin: 1.0, .94, .87, 1.0, .88, .95.

    >>> example = multipliers(10 * IN_M, 22 * IN_M, 37 * IN_M, 0, 3, "fair", "inch")
    >>> [round(share, 2) for share in example]
    [1.0, 0.94, 0.87, 1.0, 0.88, 0.95]
    """
    for name, value, unit in (
        ("reach_m", reach_m, "m"),
        ("height_m", height_m, "m"),
        ("travel_m", travel_m, "m"),
        ("twist_deg", twist_deg, "deg"),
        ("lifts_per_min", lifts_per_min, "1/min"),
    ):
        not_negative(name, value, unit)
    if grip not in GRIP:
        raise ValueError(f"grip: found {grip!r}, expected one of {', '.join(GRIP)}")
    if edition not in LOAD_KG:
        raise ValueError(f"edition: found {edition!r}, expected one of {', '.join(LOAD_KG)}")
    if lifts_per_min > FREQUENCY[-1][0]:
        raise ValueError(f"lifts_per_min: found {lifts_per_min:g}, expected {FREQUENCY[-1][0]:g} or less")
    # Heights and reaches of the equation: inches or centimetres, each with its own rounded constants.
    size, near, far, top, low = (IN_M, 10, 25, 70, 30) if edition == "inch" else (0.01, 25, 63, 175, 75)
    slope, fixed = (0.0075, 1.8) if edition == "inch" else (0.003, 4.5)
    # Metres from inches miss the limit by a bit of the last place, and on the limit a lift still counts.
    reach, height, travel = (round(value / size, 9) for value in (reach_m, height_m, travel_m))
    return LiftingMultipliers(
        reach=0.0 if reach > far else near / max(reach, near),
        height=0.0 if height > top else 1 - slope * abs(height - low),
        travel=0.0 if travel > top else 0.82 + fixed / max(travel, near),
        twist=0.0 if twist_deg > 135 else 1 - 0.0032 * twist_deg,
        frequency=_frequency(lifts_per_min),
        grip=GRIP[grip][height >= low],
    )


def _frequency(lifts_per_min: float) -> float:
    if lifts_per_min <= FREQUENCY[0][0]:
        return FREQUENCY[0][1]
    for (slower, more), (faster, less) in pairwise(FREQUENCY):
        if lifts_per_min <= faster:
            return more + (less - more) * (lifts_per_min - slower) / (faster - slower)
    raise AssertionError("checked by the caller")


def weight_limit_kg(shares: LiftingMultipliers, edition: Edition = "metric") -> float:
    """Return the recommended weight limit, LC HM VM DM AM FM CM.

    Parameters
    ----------
    shares : LiftingMultipliers
        From `multipliers`, at the worse end of the lift [-].
    edition : str
        inch (51 lb) or metric (23 kg), as for the multipliers [-].

    Returns
    -------
    float
        Mass that nearly all healthy workers can lift so, for a whole shift of such lifts [kg].

    Raises
    ------
    ValueError
        An unknown edition.

    Notes
    -----
    Take the lower limit of the lift's start and end. With DM at most 1: 23 kg is the most there is.

    References
    ----------
    .. [1] NIOSH 94-110, rev. 9/2021, p. 7, as transcribed (S).

    Examples
    --------
    >>> round(weight_limit_kg(multipliers(0.40, 0.40, 0.25, grip="fair")), 1)
    12.2
    """
    if edition not in LOAD_KG:
        raise ValueError(f"edition: found {edition!r}, expected one of {', '.join(LOAD_KG)}")
    return LOAD_KG[edition] * math.prod(shares)


def screen(load_kg: float, limit_kg: float, people: int = 1) -> Screen:
    """Compare a load with the recommended weight limit, shared equally.

    Parameters
    ----------
    load_kg : float
        Whole load [kg].
    limit_kg : float
        Recommended weight limit of one person, 0 where no such lift is recommended [kg].
    people : int
        Who lift together [-].

    Returns
    -------
    Screen
        Lifting index [-], its band, and the people it would take.

    Raises
    ------
    ValueError
        A load that isn't above 0, a limit below 0, or nobody to lift.

    Notes
    -----
    The equation is for one person; equal shares are the project's simplification, and on stairs the lower one has more.
    An index within the guideline on paper is no leave to lift an unsteady machine without a hand truck.

    References
    ----------
    .. [1] NIOSH 94-110, rev. 9/2021, p. 20, as transcribed (S): 1.0 is the goal, over 3.0 is high risk for nearly all.

    Examples
    --------
    >>> screen(75, 12.2, people=2)._replace(lifting_index=3.1)
    Screen(lifting_index=3.1, band='high risk for nearly all', people=7)
    """
    above_zero("load_kg", load_kg, "kg")
    not_negative("limit_kg", limit_kg, "kg")
    if people < 1:
        raise ValueError(f"people: found {people}, expected 1 or more")
    if limit_kg == 0:
        return Screen(math.inf, "high risk for nearly all", None)
    index = load_kg / people / limit_kg
    if index > 3:
        return Screen(index, "high risk for nearly all", math.ceil(load_kg / limit_kg))
    return Screen(index, "within the guideline" if index <= 1 else "above the guideline", math.ceil(load_kg / limit_kg))
