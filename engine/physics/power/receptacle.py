"""Three voltages between the holes of an outlet, and every wiring that fits them. SI in, SI out.

Live readings are a qualified person's work. Anything but a correct outlet means: stop using it, an electrician mends it.
Three readings can't see everything: hot and neutral swapped with the ground hole tied to the neutral one (so that the
washer's metal is live) reads like a correct outlet until the ground hole is held against a known earth.
"""

from typing import Literal, NamedTuple

from ..domain import above_zero, not_negative
from .wiring import Fault, Load, fitting

Profile = Literal["120", "230"]
NOMINAL_V = {"120": 120.0, "230": 230.0}
# Classes of a reading (the project's choice, common practice): L line, Z zero, F between (floating, or a weak joint),
# H too high for this outlet.
LINE_SHARE, HIGH_SHARE, ZERO_V = 0.85, 1.10, 5.0
BOND_V, BOND_LOAD_A = 0.10, 8.0  # neutral to ground at or under this, with such a load: suspect a bond (trade press, S)
FINE_V, LIMIT_V = 2.0, 5.0  # neutral to ground under load: fine, upper limit (meter maker's guide, p. 6, P)
REPEAT_V = (
    0.2  # by which two readings near the line, minutes apart on one meter, must differ to be told apart (judgement)
)
_HIGHEST_V = 600.0  # beyond it no household outlet and no household meter


# The neutral hole and the ground hole are one: nothing that flows elsewhere parts them.
_BONDS = {"bootleg-ground", "neutral-hole-on-ground", "reversed-bootleg-ground"}

_EARTH = "Hold each hole against a known earth: only the hot hole may read line; an electrician does it."
_NEXT = {
    "LLZ": (
        "Switch on 8 A or more at another outlet of this circuit, read again: hot to ground largest is right, hot to neutral "
        "largest is swapped, neutral to ground still near zero is a bond."
    ),
    "ZLL": (
        "Breaker off. Unplug every load on the circuit. Breaker on, read again: a change means an open neutral; what stays is "
        "a hot wire in the ground or the neutral hole."
    ),
    "LZZ": _EARTH,
    "ZZZ": "Breaker on, ground-fault device set? Then " + _EARTH[0].lower() + _EARTH[1:],
    "FFZ": "Unplug every load on the circuit, read again: a weak hot comes back, a low supply stays low.",
}
_LOZ = (
    "Read all three again with a low-impedance (LoZ) meter or a test load across the probes: a floating wire then reads "
    "zero. It may trip a ground-fault device."
)


class OutletFinding(NamedTuple):
    """What three readings say of an outlet.

    Parameters
    ----------
    pattern : str
        Classes of hot-neutral, hot-ground, neutral-ground [-].
    faults : tuple of Fault
        Every listed wiring that fits, likelier first; "correct" is one of them [-].
    sum_holds : bool or None
        The largest equals the sum of the others within the meter's error; None where a wire floats [-].
    settled : bool
        One wiring fits and nothing needs to be read again [-].
    next_reading : str or None
        What separates those that fit, or makes the readings fit to judge [-].
    stop : bool
        The outlet must not be used: no correct wiring fits, or the voltage is too high [-].
    live_metal : bool
        Use must stop, and one of those that fit makes the metal of what is plugged in live: nobody touches it [-].
    """

    pattern: str
    faults: tuple[Fault, ...]
    sum_holds: bool | None
    settled: bool
    next_reading: str | None
    stop: bool
    live_metal: bool


def classify(volts_V: float, nominal_V: float = 120.0) -> str:
    """Return the class of one reading: Z, F, L or H.

    Parameters
    ----------
    volts_V : float
        Reading [V].
    nominal_V : float
        Nominal voltage [V].

    Returns
    -------
    str
        Z up to 5 V, L from 0.85 to 1.10 of nominal, H above, F between [-].

    Raises
    ------
    ValueError
        A reading below 0 or above 600 V, or a nominal voltage that isn't above 0.

    Notes
    -----
    A high-impedance meter reads F on a wire joined to nothing, often half the line: a phantom, no supply.

    References
    ----------
    .. [1] The bounds are common practice.

    Examples
    --------
    >>> "".join(classify(volts) for volts in (0.3, 59.5, 118.5, 208))
    'ZFLH'
    """
    if not_negative("volts_V", volts_V, "V") > _HIGHEST_V:
        raise ValueError(f"volts_V: found {volts_V:g} V, expected 0 to {_HIGHEST_V:g} V at a household outlet")
    above_zero("nominal_V", nominal_V, "V")
    if volts_V <= ZERO_V:
        return "Z"
    if volts_V < LINE_SHARE * nominal_V:
        return "F"
    return "L" if volts_V <= HIGH_SHARE * nominal_V else "H"


def sum_gap_V(hot_neutral_V: float, hot_ground_V: float, neutral_ground_V: float) -> float:
    """Return by how much the largest of three readings differs from the sum of the other two.

    Parameters
    ----------
    hot_neutral_V, hot_ground_V, neutral_ground_V : float
        The readings [V].

    Returns
    -------
    float
        Largest less the sum of the others [V].

    Raises
    ------
    ValueError
        A reading below 0 or infinite.

    Notes
    -----
    Zero for one supply and loads that are mostly resistive; a floating wire obeys no such sum.

    References
    ----------
    .. [1] Meter maker's power-quality guide: 118.5 + 1.5 = 120.0 (P).

    Examples
    --------
    >>> sum_gap_V(118.5, 120.0, 1.5)
    0.0
    """
    low, middle, high = sorted(
        (
            not_negative("hot_neutral_V", hot_neutral_V, "V"),
            not_negative("hot_ground_V", hot_ground_V, "V"),
            not_negative("neutral_ground_V", neutral_ground_V, "V"),
        )
    )
    return high - (low + middle)


def diagnose(
    hot_neutral_V: float,
    hot_ground_V: float,
    neutral_ground_V: float,
    profile: Profile = "120",
    load: Load = "unknown",
    load_A: float = 0.0,
    loz: bool = False,
    give_or_take_V: float = 1.5,
) -> OutletFinding:
    """Return every wiring that fits three readings, and the next reading that separates them.

    Parameters
    ----------
    hot_neutral_V, hot_ground_V, neutral_ground_V : float
        Readings between the holes, by their place in the outlet and whatever is behind them [V].
    profile : str
        120 or 230 [-].
    load : str
        Where a load was switched on: none, here, elsewhere (another outlet of the circuit) or unknown [-].
    load_A : float
        Its current, 0 where not known [A].
    loz : bool
        Read with a low-impedance meter or a test load across the probes [-].
    give_or_take_V : float
        Half-width of the meter's error near the nominal voltage [V].

    Returns
    -------
    OutletFinding
        All that fits [-].

    Raises
    ------
    ValueError
        A reading below 0 or above 600 V, an unknown profile or load, a current below 0, or a give or take not above 0.

    Notes
    -----
    The sum is held to twice `give_or_take_V` (three readings of even spread, coverage 2). Comparing two readings near the
    line uses one meter minutes apart, so that much of its error cancels; 0.2 V is taken as its repeat (judgement). On
    230 V systems whose plug goes in either way, hot and neutral reversed is no fault.

    References
    ----------
    .. [1] Patterns: see `wiring`. Sum: meter maker's guide (P). Bounds of the classes: common practice.

    Examples
    --------
    >>> [fault.id for fault in diagnose(0.2, 120.1, 120.0).faults]
    ['open-neutral', 'hot-ground-reversed', 'neutral-hole-on-hot', 'moved-round-hot-to-ground']
    >>> diagnose(120.1, 0.2, 120.0).live_metal
    True
    >>> diagnose(118.0, 119.4, 1.4, load="elsewhere", load_A=10).settled
    True
    """
    if profile not in NOMINAL_V:
        raise ValueError(f"profile: found {profile!r}, expected one of {', '.join(NOMINAL_V)}")
    not_negative("load_A", load_A, "A")
    readings_V = (hot_neutral_V, hot_ground_V, neutral_ground_V)
    pattern = "".join(classify(volts_V, NOMINAL_V[profile]) for volts_V in readings_V)
    faults = fitting(pattern, load, loz)
    if pattern == "LLZ" and load in ("here", "elsewhere"):
        faults = _by_load(faults, readings_V, load, load_A)
    sum_holds = _sum_holds(pattern, readings_V, 2 * above_zero("give_or_take_V", give_or_take_V, "V"))
    next_reading = _next(pattern, faults, sum_holds, loz)
    stop = not any(fault.id == "correct" for fault in faults) or (load_A >= BOND_LOAD_A and faults[0].id in _BONDS)
    live = stop and any(fault.live_metal for fault in faults)
    return OutletFinding(
        pattern, faults, sum_holds, len(faults) == 1 and next_reading is None, next_reading, stop, live
    )


def _by_load(
    faults: tuple[Fault, ...], readings_V: tuple[float, float, float], load: Load, load_A: float
) -> tuple[Fault, ...]:
    hot_neutral_V, hot_ground_V, neutral_ground_V = readings_V
    if neutral_ground_V <= BOND_V:
        # A short run can hide the neutral's drop, so a zero only moves the bonds to the front, and only under a real load.
        return tuple(sorted(faults, key=lambda fault: fault.id not in _BONDS)) if load_A >= BOND_LOAD_A else faults
    kept = [fault for fault in faults if fault.id not in _BONDS]
    lead_V = hot_ground_V - hot_neutral_V
    # A load in this very outlet lifts its neutral hole, whichever wire is behind it, and separates nothing.
    if load == "elsewhere" and abs(lead_V) > REPEAT_V:
        drop = "neutral-ground-swapped" if lead_V > 0 else "correct"
        kept = [fault for fault in kept if fault.id != drop]
    return tuple(kept)


def _sum_holds(pattern: str, readings_V: tuple[float, float, float], allowed_V: float) -> bool | None:
    holds = abs(sum_gap_V(*readings_V)) <= allowed_V
    floats = "F" in pattern or pattern in ("LZZ", "ZLZ")
    return None if floats and not holds else holds


def _next(pattern: str, faults: tuple[Fault, ...], sum_holds: bool | None, loz: bool) -> str | None:
    if "H" in pattern:
        return "None: switch off at the breaker from a dry place, call the utility or an electrician."
    if sum_holds is False:
        return "Read all three again, probes firm and nothing switched meanwhile: the largest must be the sum of the others."
    if not loz and ("F" in pattern or pattern in ("LZZ", "ZLZ")):
        return _LOZ
    if not faults:
        return "No listed wiring fits; two mistakes at once can: leave it off, an electrician opens the outlet."
    if len(faults) == 1:
        return None
    if faults[0].id in _BONDS:
        return "Ground hole against a known earth: line means live metal. Then an electrician opens the outlet."
    if pattern == "ZLL" and faults[0].id != "open-neutral":  # every load is unplugged already
        return _EARTH
    return _NEXT.get(pattern, _EARTH)


def neutral_ground(volts_V: float, load_A: float) -> Literal["suspect bond", "fine", "high", "over"]:
    """Judge the voltage from neutral to ground while a load runs.

    Parameters
    ----------
    volts_V : float
        Neutral to ground [V].
    load_A : float
        Load on the circuit [A].

    Returns
    -------
    str
        fine (up to 2 V), high (up to 5 V: overload or a long run), over, or suspect bond (0.10 V or less with 8 A or
        more) [-].

    Raises
    ------
    ValueError
        A voltage below 0 or a load that isn't above 0.

    Notes
    -----
    Other sources draw the line at 3 V, so "high" is a reason to look, no verdict.

    References
    ----------
    .. [1] Meter maker's power-quality guide, p. 6 (P). Trade press: 0.10 V or less is suspect (S).

    Examples
    --------
    >>> [neutral_ground(volts, 10) for volts in (0.05, 2.0, 3.0, 5.1)]
    ['suspect bond', 'fine', 'high', 'over']
    """
    not_negative("volts_V", volts_V, "V")
    if volts_V <= BOND_V and above_zero("load_A", load_A, "A") >= BOND_LOAD_A:
        return "suspect bond"
    above_zero("load_A", load_A, "A")
    return "fine" if volts_V <= FINE_V else "high" if volts_V <= LIMIT_V else "over"
