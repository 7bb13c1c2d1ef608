"""The washer's circuit: supply bands, load on a branch, a motor's start. SI in, SI out.

Code sections are quoted by others and bind only where their edition was adopted. Limits here are exact: a reading's
uncertainty, and the guard that a hazard asks for, are the caller's. Voltage readings are live work, for a qualified
person; a breaker or ground-fault device is reset once, dry, and no more.
"""

from typing import Literal, NamedTuple

from ..domain import above_zero, not_negative

Profile = Literal["120", "230", "230 +10/-6"]
# Narrow and wide band of the supply [V]. 120: ANSI C84.1 range A and B, service voltage, 120 V base (S).
# 230: IEC 60038, +-10 % at the supply terminals (S); +10/-6 % in the UK and some others, CENELEC 1995 (S).
SUPPLY_V: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "120": ((114.0, 126.0), (110.0, 127.0)),
    "230": ((207.0, 253.0), (207.0, 253.0)),
    "230 +10/-6": ((216.2, 253.0), (216.2, 253.0)),
}
# Single-phase motor full-load current at 115 V by rated horsepower, NEC table 430.248 (S)
FULL_LOAD_A = {"1/6": 4.4, "1/4": 5.8, "1/3": 7.2, "1/2": 9.8, "3/4": 13.8}
# Locked-rotor apparent power per rated horsepower, letter L, NEC 430.7(B) (from memory, unverified) [VA/hp]
LOCKED_ROTOR_L_VA_PER_HP = (9000.0, 9990.0)

Supply = Literal["below", "low", "normal", "high", "above"]


class BranchLoad(NamedTuple):
    """What is on a branch circuit.

    Parameters
    ----------
    total_A : float
        Current of everything that runs together [A].
    spare_A : float
        Rating less total, negative when overloaded [A].
    plug_limit_A : float
        Largest single load by cord and plug, 80 % of the rating [A].
    plug_over : bool
        The largest load is over that limit [-].
    """

    total_A: float
    spare_A: float
    plug_limit_A: float
    plug_over: bool


def supply_band(volts_V: float, profile: Profile = "120") -> Supply:
    """Say in which band of the supply standard a voltage lies.

    Parameters
    ----------
    volts_V : float
        Hot to neutral, without load [V].
    profile : str
        One of `SUPPLY_V` [-].

    Returns
    -------
    str
        normal (the narrow band), low or high (the wide band only: tolerated when rare and short), below or above (out:
        stop, prompt correction is asked). 230 V systems have one band: never low or high [-].

    Raises
    ------
    ValueError
        A negative or infinite voltage, or an unknown profile.

    Notes
    -----
    The standards speak of the service, where the house is fed; at an outlet under load the branch's own drop comes off.
    Above the wide band can be a lost neutral: stop, and call the utility or an electrician.

    References
    ----------
    .. [1] ANSI C84.1, range A and B service voltage, as quoted (S). IEC 60038, as quoted (S).

    Examples
    --------
    >>> [supply_band(volts) for volts in (109.9, 110.0, 114.0, 126.1, 127.1)]
    ['below', 'low', 'normal', 'high', 'above']
    """
    not_negative("volts_V", volts_V, "V")
    if profile not in SUPPLY_V:
        raise ValueError(f"profile: found {profile!r}, expected one of {', '.join(SUPPLY_V)}")
    (narrow_low, narrow_high), (wide_low, wide_high) = SUPPLY_V[profile]
    if narrow_low <= volts_V <= narrow_high:
        return "normal"
    if volts_V < narrow_low:
        return "low" if volts_V >= wide_low else "below"
    return "high" if volts_V <= wide_high else "above"


def branch_load(rating_A: float, *loads_A: float) -> BranchLoad:
    """Add up what runs on a branch circuit, against its rating and the limit for one plugged-in load.

    Parameters
    ----------
    rating_A : float
        Breaker or fuse [A].
    *loads_A : float
        Current of each load that runs at the same time, from its nameplate [A].

    Returns
    -------
    BranchLoad
        Total, what is left, and the plug limit [A].

    Raises
    ------
    ValueError
        A rating that isn't above 0 or a load below 0.

    Notes
    -----
    Running currents; a start surge is for the breaker's curve. A breaker carries a small overload for minutes to hours.

    References
    ----------
    .. [1] NEC 210.23(A)(1), 80 % for one cord-and-plug load (from memory, unverified).

    Examples
    --------
    >>> branch_load(15, 13.0)
    BranchLoad(total_A=13.0, spare_A=2.0, plug_limit_A=12.0, plug_over=True)
    """
    above_zero("rating_A", rating_A, "A")
    total_A = sum(not_negative("loads_A", load_A, "A") for load_A in loads_A)
    limit_A = 0.8 * rating_A
    return BranchLoad(total_A, rating_A - total_A, limit_A, max(loads_A, default=0.0) > limit_A)


def fuse_limit_A(full_load_A: float) -> float:
    """Return the largest time-delay fuse that protects a motor, 175 % of its full-load current.

    Parameters
    ----------
    full_load_A : float
        Full-load current from the code's table, see `FULL_LOAD_A` [A].

    Returns
    -------
    float
        Fuse rating, to be rounded down to a size that is made [A].

    Raises
    ------
    ValueError
        A current that isn't above 0.

    Notes
    -----
    Where a branch circuit has a breaker, this row does not apply.

    References
    ----------
    .. [1] NEC table 430.52, as quoted in a trade-press quiz (S).

    Examples
    --------
    >>> fuse_limit_A(65)
    113.75
    """
    return 1.75 * above_zero("full_load_A", full_load_A, "A")


def locked_rotor_A(motor_hp: float, volts_V: float, per_hp_VA: float) -> float:
    """Return the current of a motor whose rotor stands still, as in the first moment of a start.

    Parameters
    ----------
    motor_hp : float
        Rated power, in the code's own unit [hp].
    volts_V : float
        Rated voltage [V].
    per_hp_VA : float
        Apparent power per horsepower of its code letter, see `LOCKED_ROTOR_L_VA_PER_HP` [VA/hp].

    Returns
    -------
    float
        Current [A].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    For motors straight on the line; an electronic drive starts softly. The nameplate's own figure is better.

    References
    ----------
    .. [1] NEC 430.7(B) (from memory, unverified).

    Examples
    --------
    >>> [round(locked_rotor_A(0.5, 115, va), 1) for va in LOCKED_ROTOR_L_VA_PER_HP]
    [39.1, 43.4]
    """
    above_zero("motor_hp", motor_hp, "hp")
    return motor_hp * above_zero("per_hp_VA", per_hp_VA, "VA/hp") / above_zero("volts_V", volts_V, "V")


def start_sag_V(volts_V: float, start_A: float, loop_ohm: float) -> tuple[float, float]:
    """Return how far the outlet's voltage sags while a motor starts, as a band.

    Parameters
    ----------
    volts_V : float
        Voltage before the start, at which `start_A` would flow [V].
    start_A : float
        Locked-rotor current [A].
    loop_ohm : float
        Hot and neutral together from panel to outlet [ohm].

    Returns
    -------
    tuple of float
        Low end (the motor as an impedance, whose current falls with the voltage) and high end (full current) [V].

    Raises
    ------
    ValueError
        A voltage or current that isn't above 0, or a resistance below 0.

    Notes
    -----
    Branch alone; feeder and transformer add to it. A sag that dims lights at every start, on a short run, is a joint.

    References
    ----------
    .. [1] Ohm's law (D).

    Examples
    --------
    >>> [round(sag, 1) for sag in start_sag_V(115, 39.1, 0.193)]
    [7.1, 7.5]
    """
    high_V = above_zero("start_A", start_A, "A") * not_negative("loop_ohm", loop_ohm, "ohm")
    return high_V / (1 + high_V / above_zero("volts_V", volts_V, "V")), high_V
