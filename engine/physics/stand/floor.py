"""A wood floor under a washer: how far its joists bend, how fast they swing, what presses on them. SI in, SI out.

Estimates for simply supported joists of one span. Load sharing, blocking, nails and real supports move the frequency by
a quarter either way, so nothing here finds a floor safe, and no answer says so: cut, rotten, cantilevered or bouncy
joists are an engineer's business.
"""

import math

from ..domain import above_zero

G_M_PER_S2 = 9.80665
FREQUENCY_GIVE_OR_TAKE = 0.25  # share of an estimated floor frequency (judgement)
# Modulus of elasticity of visually graded lumber [Pa]: NDS Supplement T4A as data in an open library (S).
_PSI = 6894.757293
WOOD_MODULUS_PA = {
    "douglas-fir-larch no.2": 1.6e6 * _PSI,
    "hem-fir no.2": 1.3e6 * _PSI,
    "spruce-pine-fir no.2": 1.4e6 * _PSI,
    "southern-pine no.2": 1.4e6 * _PSI,
}
ROOM_LIVE_LOAD_PA = 1915.2  # 40 psf, rooms other than sleeping rooms, IRC T R301.5 (S)


def second_moment_m4(width_m: float, depth_m: float) -> float:
    """Return the second moment of area of a joist, b h^3/12.

    Parameters
    ----------
    width_m, depth_m : float
        Actual size across and along the load, not the nominal one [m].

    Returns
    -------
    float
        Second moment of area [m4].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Solid and rectangular; a notch or a hole takes away more than its share. A nominal 2x10 is 1.5 in by 9.25 in.

    References
    ----------
    .. [1] Any text on strength of materials (D).

    Examples
    --------
    >>> round(second_moment_m4(1.5 * 0.0254, 9.25 * 0.0254) / 0.0254**4, 2)
    98.93
    """
    above_zero("width_m", width_m, "m")
    above_zero("depth_m", depth_m, "m")
    return width_m * depth_m**3 / 12


def sag_spread_m(load_N_per_m: float, span_m: float, stiffness_Nm2: float) -> float:
    """Return the mid-span deflection under an even load, 5 w L^4/(384 EI).

    Parameters
    ----------
    load_N_per_m : float
        Load per length of joist: pressure times joist spacing [N/m].
    span_m : float
        Clear span [m].
    stiffness_Nm2 : float
        Modulus of elasticity times second moment of area, EI [N m2].

    Returns
    -------
    float
        Deflection [m].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Simply supported, bending only, short-term.

    References
    ----------
    .. [1] Standard case; BME problem 8.1, solutionmanual.bme.hu (P).

    Examples
    --------
    >>> round(sag_spread_m(20e3, 3.24, 2215e3) * 1000, 2)
    12.96
    """
    above_zero("load_N_per_m", load_N_per_m, "N/m")
    above_zero("span_m", span_m, "m")
    above_zero("stiffness_Nm2", stiffness_Nm2, "N m2")
    return 5 * load_N_per_m * span_m**4 / (384 * stiffness_Nm2)


def sag_point_m(load_N: float, span_m: float, stiffness_Nm2: float) -> float:
    """Return the mid-span deflection under a load there, P L^3/(48 EI).

    Parameters
    ----------
    load_N : float
        Load at mid-span that this one joist carries [N].
    span_m : float
        Clear span [m].
    stiffness_Nm2 : float
        EI [N m2].

    Returns
    -------
    float
        Deflection [m].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    As `sag_spread_m`. A decked floor shares a point load: one joist carries about half.

    References
    ----------
    .. [1] Standard case; Eurocode 5 cl. 7.3.3, open notebook (S).

    Examples
    --------
    >>> round(sag_point_m(1000, 3.7, 9e9 * second_moment_m4(0.045, 0.220)) * 1000, 3)
    2.936
    """
    above_zero("load_N", load_N, "N")
    above_zero("span_m", span_m, "m")
    above_zero("stiffness_Nm2", stiffness_Nm2, "N m2")
    return load_N * span_m**3 / (48 * stiffness_Nm2)


def stiffness_span_m(stiffness_Nm2: float, load_N_per_m: float, span_per_sag: float) -> float:
    """Return the span at which a joist bends by its allowed share under an even load, (384 EI/(5 r w))^(1/3).

    Parameters
    ----------
    stiffness_Nm2 : float
        EI [N m2].
    load_N_per_m : float
        Load per length of joist [N/m].
    span_per_sag : float
        Allowed span over deflection, 360 for the live load of floors [-].

    Returns
    -------
    float
        Span [m].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Stiffness alone: where bending strength governs, as with long spans and wide spacing, the code's span is shorter.

    References
    ----------
    .. [1] Inverse of `sag_spread_m` (D); IRC 2018 T R802.5.1(2) (P).

    Examples
    --------
    >>> round(stiffness_span_m(2215e3, 20e3, 250), 2)
    3.24
    """
    above_zero("stiffness_Nm2", stiffness_Nm2, "N m2")
    above_zero("load_N_per_m", load_N_per_m, "N/m")
    above_zero("span_per_sag", span_per_sag, "-")
    return math.cbrt(384 * stiffness_Nm2 / (5 * span_per_sag * load_N_per_m))


def frequency_Hz(span_m: float, stiffness_Nm2: float, mass_kg_per_m: float) -> float:
    """Return the first natural frequency of a joist with the floor it carries, (pi/2) sqrt(EI/(m L^4)).

    Parameters
    ----------
    span_m : float
        Clear span [m].
    stiffness_Nm2 : float
        EI [N m2].
    mass_kg_per_m : float
        Mass per length of joist, floor included [kg/m].

    Returns
    -------
    float
        Natural frequency, to be read with `FREQUENCY_GIVE_OR_TAKE` [Hz].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Simply supported, no machine on it. Same as 0.17924 sqrt(g/sag) under the floor's own weight; rules of thumb have
    0.18, or 18 over the root of the sag in mm.

    References
    ----------
    .. [1] Steel Designers' Manual, 6e, T12.2, p. 363 (P).
    .. [2] Eurocode 5 cl. 7.3.3, open notebook (S).

    Examples
    --------
    45 mm by 220 mm at 0.4 m, 35 kg/m2, matches [2]_:

    >>> round(frequency_Hz(3.7, 9e9 * second_moment_m4(0.045, 0.220), 35 * 0.4), 2)
    18.38
    """
    above_zero("span_m", span_m, "m")
    above_zero("stiffness_Nm2", stiffness_Nm2, "N m2")
    above_zero("mass_kg_per_m", mass_kg_per_m, "kg/m")
    return math.pi / 2 * math.sqrt(stiffness_Nm2 / mass_kg_per_m) / span_m**2


def footprint_Pa(mass_kg: float, width_m: float, depth_m: float) -> float:
    """Return the pressure of a machine on the floor under it, W/(b d).

    Parameters
    ----------
    mass_kg : float
        Machine with water and clothes [kg].
    width_m, depth_m : float
        Outline of the machine on the floor [m].

    Returns
    -------
    float
        Pressure [Pa].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    Local: more than `ROOM_LIVE_LOAD_PA` here does not breach that, which is an average over a room, and less does not
    prove the floor sound. Each foot presses far harder on its own spot.

    References
    ----------
    .. [1] Definition of pressure (D); room load IRC T R301.5 (S).

    Examples
    --------
    300 lb on 27 in by 34 in, in lb per square foot:

    >>> round(footprint_Pa(136.08, 0.6858, 0.8636) / 47.88, 1)
    47.1
    """
    above_zero("mass_kg", mass_kg, "kg")
    return mass_kg * G_M_PER_S2 / (above_zero("width_m", width_m, "m") * above_zero("depth_m", depth_m, "m"))
