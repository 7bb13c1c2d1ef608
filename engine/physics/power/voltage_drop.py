"""The voltage that a branch circuit's wires take, and what a bad joint adds to it. SI in, SI out.

One run of wire has several honest figures: solid or stranded, cold or at 75 °C, they differ by up to a quarter, so a
prediction is a band. Readings under load at an outlet are live work, for a qualified person.
"""

from typing import Literal, NamedTuple

from ..domain import above_zero, not_negative, temperature

Metal = Literal["copper", "aluminum"]
Gauge = Literal["14 AWG", "12 AWG", "10 AWG"]
_PER_KFT = 1 / 304.8  # ohm per 1000 ft -> ohm per metre
CIRCULAR_MIL_M2 = 5.067074790975e-10  # area of a circle 0.001 in across
# NEC chapter 9, table 8 (S): area, and DC resistance of uncoated copper at 75 °C, solid and stranded
AREA_M2 = {
    "14 AWG": 4110 * CIRCULAR_MIL_M2,
    "12 AWG": 6530 * CIRCULAR_MIL_M2,
    "10 AWG": 10380 * CIRCULAR_MIL_M2,
    "8 AWG": 16510 * CIRCULAR_MIL_M2,
}
SOLID_OHM_PER_M = {"14 AWG": 3.07 * _PER_KFT, "12 AWG": 1.93 * _PER_KFT, "10 AWG": 1.21 * _PER_KFT}
STRANDED_OHM_PER_M = {"14 AWG": 3.14 * _PER_KFT, "12 AWG": 1.98 * _PER_KFT, "10 AWG": 1.24 * _PER_KFT}
TABLE_C = 75.0
PER_DEGREE = {"copper": 0.00323, "aluminum": 0.00330}  # per °C from 75 °C, NEC chapter 9, table 8, footnote (S)
# The trade's K, 12.9 and 21.2 ohm circular mil per foot (S), as a resistivity
K_OHM_M = {"copper": 12.9 * CIRCULAR_MIL_M2 / 0.3048, "aluminum": 21.2 * CIRCULAR_MIL_M2 / 0.3048}
ADVISED_SHARE = 0.03  # of the voltage, branch circuit; NEC informational note: advice, no requirement (S)


class Joint(NamedTuple):
    """A measured drop against what the wire alone takes.

    Parameters
    ----------
    wire_low_V, wire_high_V : float
        Predicted drop of sound wire, cold solid to hot stranded [V].
    excess_V : float
        Measured drop beyond the high prediction, 0 when there is none [V].
    heat_W : float
        Heat that the excess makes somewhere, excess times current [W].
    """

    wire_low_V: float
    wire_high_V: float
    excess_V: float
    heat_W: float


def resistance_at_ohm_per_m(at_75C_ohm_per_m: float, wire_C: float, metal: Metal = "copper") -> float:
    """Return a wire's resistance at another temperature, R75 (1 + a (T - 75)) [1]_.

    Parameters
    ----------
    at_75C_ohm_per_m : float
        Resistance per length at 75 °C, one conductor [ohm/m].
    wire_C : float
        Temperature of the wire [°C].
    metal : str
        copper or aluminum [-].

    Returns
    -------
    float
        Resistance per length [ohm/m].

    Raises
    ------
    ValueError
        A resistance that isn't above 0, a temperature below -50 or above 250 °C, or an unknown metal.

    Notes
    -----
    Linear; at 20 °C copper has 82 % of its resistance at 75 °C.

    References
    ----------
    .. [1] NEC chapter 9, table 8, footnote (S).

    Examples
    --------
    >>> round(resistance_at_ohm_per_m(1.0, 20), 3)
    0.822
    """
    above_zero("at_75C_ohm_per_m", at_75C_ohm_per_m, "ohm/m")
    if not -50 <= temperature("wire_C", wire_C) <= 250:
        raise ValueError(f"wire_C: found {wire_C:g} °C, expected -50 to 250 °C")
    if metal not in PER_DEGREE:
        raise ValueError(f"metal: found {metal!r}, expected one of {', '.join(PER_DEGREE)}")
    return at_75C_ohm_per_m * (1 + PER_DEGREE[metal] * (wire_C - TABLE_C))


def drop_V(current_A: float, run_m: float, ohm_per_m: float) -> float:
    """Return the drop in both wires of a run, 2 R L I.

    Parameters
    ----------
    current_A : float
        Current, 0 or more [A].
    run_m : float
        One-way length from panel to outlet [m].
    ohm_per_m : float
        Resistance of one conductor per length [ohm/m].

    Returns
    -------
    float
        Drop, hot and neutral together [V].

    Raises
    ------
    ValueError
        A current below 0, or another input that isn't above 0.

    Notes
    -----
    Resistance alone: in 12 AWG the reactance is under 3 % of it. Half of the drop shows from neutral to ground.

    References
    ----------
    .. [1] Ohm's law; resistances from NEC chapter 9, table 8 (S).

    Examples
    --------
    16 A over 100 ft of solid 12 AWG at 75 °C:

    >>> round(drop_V(16, 30.48, SOLID_OHM_PER_M["12 AWG"]), 3)
    6.176
    """
    not_negative("current_A", current_A, "A")
    return 2 * above_zero("ohm_per_m", ohm_per_m, "ohm/m") * above_zero("run_m", run_m, "m") * current_A


def drop_by_area_V(current_A: float, run_m: float, area_m2: float, resistivity_ohm_m: float) -> float:
    """Return the drop in both wires of a run from their area, 2 K I L/A: the trade's K form.

    Parameters
    ----------
    current_A : float
        Current, 0 or more [A].
    run_m : float
        One-way length [m].
    area_m2 : float
        Area of one conductor, see `AREA_M2` [m2].
    resistivity_ohm_m : float
        Resistivity, see `K_OHM_M` [ohm m].

    Returns
    -------
    float
        Drop, hot and neutral together [V].

    Raises
    ------
    ValueError
        A current below 0, or another input that isn't above 0.

    Notes
    -----
    K 12.9 is within 0.3 % of stranded copper at 75 °C, and 2.4 % above solid.

    References
    ----------
    .. [1] Exam-preparation page with K 12.9 (S).

    Examples
    --------
    From [1]_: 20 A, 100 ft, 10 AWG, 4.97 V; matches.

    >>> round(drop_by_area_V(20, 30.48, AREA_M2["10 AWG"], K_OHM_M["copper"]), 2)
    4.97
    """
    area_m2 = above_zero("area_m2", area_m2, "m2")
    return drop_V(current_A, run_m, above_zero("resistivity_ohm_m", resistivity_ohm_m, "ohm m") / area_m2)


def longest_run_m(allowed_V: float, current_A: float, ohm_per_m: float) -> float:
    """Return the one-way length at which a run takes its allowed drop, V/(2 R I).

    Parameters
    ----------
    allowed_V : float
        Allowed drop, such as `ADVISED_SHARE` of the voltage [V].
    current_A : float
        Current [A].
    ohm_per_m : float
        Resistance of one conductor per length [ohm/m].

    Returns
    -------
    float
        One-way length [m].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    As `drop_V`. The 3 % of a branch circuit is advice.

    References
    ----------
    .. [1] Inverse of `drop_V` (D).

    Examples
    --------
    12 A, 3 % of 120 V, solid 12 AWG, in feet:

    >>> round(longest_run_m(0.03 * 120, 12, SOLID_OHM_PER_M["12 AWG"]) / 0.3048, 1)
    77.7
    """
    above_zero("allowed_V", allowed_V, "V")
    return allowed_V / (2 * above_zero("current_A", current_A, "A") * above_zero("ohm_per_m", ohm_per_m, "ohm/m"))


def joint(measured_V: float, current_A: float, run_m: float, gauge: Gauge, coldest_C: float = 20.0) -> Joint:
    """Compare a measured drop with what sound copper wire takes; what is left over points to a bad joint.

    Parameters
    ----------
    measured_V : float
        Outlet voltage without load less that with load, 0 or more [V].
    current_A : float
        The load's current [A].
    run_m : float
        One-way length from panel to outlet [m].
    gauge : str
        14, 12 or 10 AWG [-].
    coldest_C : float
        Temperature of the wire at its coldest; the high end is 75 °C [°C].

    Returns
    -------
    Joint
        Band of the wire's drop and the excess [V], and its heat [W].

    Raises
    ------
    ValueError
        A drop below 0, an unknown gauge, or as the functions it calls.

    Notes
    -----
    A guessed length moves the band with it, and the feeder's own drop is in the measured one. Some 25 W in
    one joint, a soldering iron (judgement), can start a fire: stop using the outlet; an electrician opens it. Less is opened soon.

    References
    ----------
    .. [1] NEC chapter 9, table 8 (S); the comparison is common practice.

    Examples
    --------
    >>> found = joint(9.0, 12, 15.24, "12 AWG")
    >>> round(found.wire_low_V, 2), round(found.wire_high_V, 2), round(found.excess_V, 1), round(found.heat_W)
    (1.9, 2.38, 6.6, 79)
    """
    not_negative("measured_V", measured_V, "V")
    above_zero("current_A", current_A, "A")
    if gauge not in SOLID_OHM_PER_M:
        raise ValueError(f"gauge: found {gauge!r}, expected one of {', '.join(SOLID_OHM_PER_M)}")
    cold = resistance_at_ohm_per_m(SOLID_OHM_PER_M[gauge], min(coldest_C, TABLE_C))
    low_V, high_V = drop_V(current_A, run_m, cold), drop_V(current_A, run_m, STRANDED_OHM_PER_M[gauge])
    excess_V = max(0.0, measured_V - high_V)
    return Joint(low_V, high_V, excess_V, excess_V * current_A)
