"""What the temperatures and flows of a washer's two fill hoses say: crossed, starved, tempered, or as they should be."""

import math
from itertools import product
from typing import NamedTuple

from ..domain import above_zero, not_negative, temperature
from .mixing import mixed_temperature

WARMEST_COLD_C = 30.0  # judgement: no cold main runs warmer than this for long
COOLEST_HOT_C = 40.0  # judgement: below it the water is tempered, not hot
LEAST_m3_s = 5 * math.sqrt(20 / 60) * 3.785411784e-3 / 60  # D from C: a 5 gpm tap at 60 psi, run at 20 psi
STARVED_RATIO = (
    0.5  # judgement: on one house pressure, half the flow has lost three quarters of the pressure on its way
)


class TapState(NamedTuple):
    """A state of taps or lines: what it means and the reading that tells it from the others [-]."""

    says: str
    next: str


STATES: dict[str, TapState] = {
    "crossed": TapState(
        "The hot hose is on the cold inlet and the cold hose on the hot one.",
        "Follow each hose by hand from tap to inlet.",
    ),
    "both-on-cold": TapState(
        "Both hoses are fed from cold taps.",
        "Follow both hoses by hand from inlet to tap; then close one tap and see which hose stops.",
    ),
    "both-on-hot": TapState(
        "Both hoses are fed from hot taps.",
        "Follow both hoses by hand from inlet to tap; then close one tap and see which hose stops.",
    ),
    "hot-line-not-run-off": TapState(
        "The hot pipe still held cooled water.",
        "Run the hot hose into a bucket until the thermometer stands still, then read again.",
    ),
    "heater-low": TapState(
        "The water heater is set low, or is drawn down.",
        "Read the hot water at the sink nearest to the heater, by thermometer and not by hand.",
    ),
    "heater-off": TapState(
        "The water heater does not heat; what is in it has cooled.",
        "Read the hot water at the sink nearest to the heater, by thermometer and not by hand.",
    ),
    "cold-into-hot": TapState(
        "Cold water crosses into the hot line, through a mixer or a valve elsewhere.",
        "Close the cold tap of the washer, run the hot hose alone, and read again.",
    ),
    "cold-line-warm": TapState(
        "The cold pipe lies warm.",
        "Run the cold hose for some minutes; if it falls to the main's temperature, the pipe lay warm.",
    ),
    "hot-into-cold": TapState(
        "Hot water crosses into the cold line, through a mixer or a valve elsewhere.",
        "Close the hot tap of the washer, run the cold hose alone, and read again.",
    ),
    "hot-starved": TapState(
        "The hose of the hot inlet gives little: its tap half open, a kink, a clogged screen or pipe.",
        "Open that tap fully, straighten the hose, look at its screen, and time the bucket again.",
    ),
    "cold-starved": TapState(
        "The hose of the cold inlet gives little: its tap half open, a kink, a clogged screen or pipe.",
        "Open that tap fully, straighten the hose, look at its screen, and time the bucket again.",
    ),
    "both-starved": TapState(
        "Both hoses give little: low pressure in the house, a valve upstream half open, or both clogged.",
        "Read the pressure at the tap, standing and flowing.",
    ),
}
_LINES = {
    "hot": (
        ("", "hot"),
        ("hot-line-not-run-off", "tempered"),
        ("hot-line-not-run-off", "cold"),
        ("heater-low", "tempered"),
        ("heater-off", "cold"),
        ("heater-off", "tempered"),
        ("cold-into-hot", "tempered"),
        ("cold-into-hot", "cold"),
    ),
    "cold": (("", "cold"), ("cold-line-warm", "tempered"), ("hot-into-cold", "tempered"), ("hot-into-cold", "hot")),
}
_HOSES = {
    "": ("hot", "cold"),
    "crossed": ("cold", "hot"),
    "both-on-cold": ("cold", "cold"),
    "both-on-hot": ("hot", "hot"),
}


class Taps(NamedTuple):
    """All explanations that fit, each a set of states present together [-] (empty: as it should be); warm_fill_C [°C]."""

    explanations: tuple[tuple[str, ...], ...]
    warm_fill_C: float


def read_taps(
    hot_C: float | None,
    cold_C: float | None,
    hot_m3_s: float,
    cold_m3_s: float,
    temperature_u_C: float = 1.0,
    flow_u: float = 0.05,
) -> Taps:
    """Every explanation that fits the water of the two fill hoses, each run alone into a bucket.

    Parameters
    ----------
    hot_C : float or None
        Water from the hose of the machine's hot inlet; none if nothing came [°C]
    cold_C : float or None
        Water from the hose of the machine's cold inlet; none if nothing came [°C]
    hot_m3_s : float
        Flow of the hose of the hot inlet, tap fully open [m3/s]
    cold_m3_s : float
        Flow of the hose of the cold inlet, tap fully open [m3/s]
    temperature_u_C : float, optional
        Standard uncertainty of a temperature [°C]
    flow_u : float, optional
        Relative standard uncertainty of a flow [-]

    Returns
    -------
    Taps
        explanations [-], those with fewest states first; warm_fill_C, what both hoses together give [°C]

    Raises
    ------
    ValueError
        If a flow is negative or both are zero, a flow has no temperature (or the reverse), or an uncertainty is not above zero.

    Notes
    -----
    A hose is cold up to 30 °C, hot from 40 °C and tempered between (judgement), each limit widened by two standard
    uncertainties; the clearly warmer of two hoses is never called cold, nor the clearly cooler one hot. For each kind of
    reading only the sets with the fewest states are kept: rarer coincidences fit too. A hose is starved below half the
    other's flow, both below 2.9 gpm (see the constants). Hot water scalds: thermometer, not hand.

    References
    ----------
    .. [1] Derived here from mixing and continuity (grade D); limits are judgement.

    Examples
    --------
    Cold from the hot hose and hot from the cold one:

    >>> read_taps(15.0, 49.0, 3e-4, 3e-4).explanations
    (('crossed',),)

    Lukewarm from the hot hose, at a quarter of the other's flow:

    >>> for states in read_taps(34.0, 12.0, 0.8e-4, 3.2e-4).explanations:
    ...     print(" and ".join(states))
    hot-line-not-run-off and hot-starved
    heater-low and hot-starved
    heater-off and hot-starved
    cold-into-hot and hot-starved
    """
    not_negative("hot_m3_s", hot_m3_s, "m3/s")
    not_negative("cold_m3_s", cold_m3_s, "m3/s")
    above_zero("temperature_u_C", temperature_u_C, "°C")
    above_zero("flow_u", flow_u, "-")
    for name, value_C, flow_m3_s in (("hot", hot_C, hot_m3_s), ("cold", cold_C, cold_m3_s)):
        if (value_C is None) != (flow_m3_s == 0):
            found = (
                f"a flow of {flow_m3_s:g} m3/s without a temperature"
                if value_C is None
                else f"{value_C:g} °C without any flow"
            )
            raise ValueError(f"{name}_C: found {found}, expected a temperature just where water came")
        if value_C is not None:
            temperature(f"{name}_C", value_C)
    if hot_C is None and cold_C is None:
        raise ValueError(
            "hot_m3_s and cold_m3_s: found no flow from either hose, expected some; open both taps, or is the main closed?"
        )
    hot_kinds = _kinds(hot_C, cold_C, temperature_u_C)
    cold_kinds = _kinds(cold_C, hot_C, temperature_u_C)
    states = {frozenset(a | b) for a in _lines(hot_kinds, cold_kinds) for b in _flows(hot_m3_s, cold_m3_s, flow_u)}
    rank = {name: i for i, name in enumerate(STATES)}
    ordered = sorted(
        (tuple(sorted(s, key=rank.__getitem__)) for s in states), key=lambda t: (len(t), [rank[n] for n in t])
    )
    warm_fill_C = mixed_temperature(
        hot_m3_s, 0.0 if hot_C is None else hot_C, cold_m3_s, 0.0 if cold_C is None else cold_C
    )
    return Taps(tuple(ordered), warm_fill_C)


def _kinds(own_C: float | None, other_C: float | None, u_C: float) -> set[str]:
    """Return what a hose's water may be called, given the other hose; everything where no water came."""
    if own_C is None:
        return {"any"}
    apart_C = 0.0 if other_C is None else own_C - other_C
    warmer, cooler = apart_C > 2 * math.sqrt(2) * u_C, apart_C < -2 * math.sqrt(2) * u_C
    may_cold, may_hot = own_C <= WARMEST_COLD_C + 2 * u_C, own_C >= COOLEST_HOT_C - 2 * u_C
    between = WARMEST_COLD_C - 2 * u_C < own_C < COOLEST_HOT_C + 2 * u_C
    kinds = set()
    if may_cold and not warmer:
        kinds.add("cold")
    if may_hot and not cooler:
        kinds.add("hot")
    if between or (may_cold and warmer) or (may_hot and cooler):
        kinds.add("tempered")
    return kinds


def _lines(hot_kinds: set[str], cold_kinds: set[str]) -> set[frozenset[str]]:
    """Return the sets of states that give these kinds of water: for each pair of kinds, those with the fewest states."""
    kept: set[frozenset[str]] = set()
    for wanted in product(hot_kinds, cold_kinds):
        fits: set[frozenset[str]] = set()
        for (hoses, feeds), (hot_line, hot), (cold_line, cold) in product(
            _HOSES.items(), _LINES["hot"], _LINES["cold"]
        ):
            states = frozenset({hoses, hot_line, cold_line} - {""})
            if states >= {"heater-off", "hot-into-cold"} or (
                states >= {"cold-into-hot", "hot-into-cold"} and (hot, cold) != ("tempered", "tempered")
            ):
                continue  # no hot water to cross over; two crossings mix both lines
            given = {"hot": hot, "cold": cold}
            if all(kind in ("any", given[feed]) for kind, feed in zip(wanted, feeds, strict=True)):
                fits.add(states)
        fewest = min(map(len, fits))
        kept |= {states for states in fits if len(states) == fewest}
    return kept


def _flows(hot_m3_s: float, cold_m3_s: float, u: float) -> set[frozenset[str]]:
    """Return the states of flow that fit; near a limit, both sides of it."""
    if hot_m3_s == 0 or cold_m3_s == 0:
        return {frozenset({"hot-starved" if hot_m3_s == 0 else "cold-starved"})}
    out: set[frozenset[str]] = set()
    less, name = (hot_m3_s, "hot-starved") if hot_m3_s < cold_m3_s else (cold_m3_s, "cold-starved")
    more = max(hot_m3_s, cold_m3_s)
    wide = 2 * math.sqrt(2) * u * (less / more)
    if less / more < STARVED_RATIO + wide:
        out.add(frozenset({name}))
    if less / more >= STARVED_RATIO - wide:
        if more < LEAST_m3_s * (1 + 2 * u):
            out.add(frozenset({"both-starved"}))
        if more >= LEAST_m3_s * (1 - 2 * u):
            out.add(frozenset())
    return out
