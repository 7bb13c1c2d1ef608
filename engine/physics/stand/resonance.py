"""A floor with a washer on it against the spin: does it answer? SI in, SI out.

Every frequency here is an estimate, a quarter either way; "apart by estimate" is the best it can say, and that finds no
floor safe. Cut, rotten, cantilevered or bouncy joists are an engineer's business. A slower spin is the cheap trial.
"""

import math
from typing import Literal, NamedTuple

from ..domain import above_zero, not_negative
from .floor import FREQUENCY_GIVE_OR_TAKE, G_M_PER_S2

NEAR_BAND = (0.8, 1.25)  # floor frequency over spin frequency (the project's choice)
_BEAM_SHARE = 17 / 35  # of its own mass that a beam adds at mid-span when it bends as under a point load

State = Literal["near", "may be near", "apart by estimate"]


class Resonance(NamedTuple):
    """A floor's frequency against a spin speed.

    Parameters
    ----------
    ratio : float
        Floor frequency over spin frequency [-].
    low, high : float
        The ratio with the estimate's give or take [-].
    state : str
        near (the estimate is in `NEAR_BAND`), may be near (its give or take reaches in), apart by estimate [-].
    passes : bool
        The spin may run through the floor's frequency on its way up or down [-].
    """

    ratio: float
    low: float
    high: float
    state: State
    passes: bool


def loaded_frequency_Hz(span_m: float, stiffness_Nm2: float, mass_kg_per_m: float, machine_kg: float) -> float:
    """Return the natural frequency of a joist with a machine at mid-span, by Rayleigh's method.

    Parameters
    ----------
    span_m : float
        Clear span [m].
    stiffness_Nm2 : float
        EI of what carries the machine [N m2].
    mass_kg_per_m : float
        Mass per length of it, floor included [kg/m].
    machine_kg : float
        Share of the machine that it carries, 0 or more [kg].

    Returns
    -------
    float
        Natural frequency, to be read with `FREQUENCY_GIVE_OR_TAKE` [Hz].

    Raises
    ------
    ValueError
        A machine below 0, or another input that isn't above 0.

    Notes
    -----
    Mid-span is the worst place; near a wall the machine hardly slows the floor. Without a machine it is 0.7 % above
    `floor.frequency_Hz`, as an assumed shape always is.

    References
    ----------
    .. [1] Rayleigh quotient with the shape of a point load, 17/35 of the beam's mass (D).

    Examples
    --------
    2x10 at 16 in, 12 ft, 10 psf, 1.4e6 psi, with 100 lb at mid-span:

    >>> from dryfloor.engine.physics.stand.floor import second_moment_m4
    >>> stiffness = 1.4e6 * 6894.757 * second_moment_m4(0.0381, 0.23495)
    >>> round(loaded_frequency_Hz(3.6576, stiffness, 478.80 * 0.4064 / 9.80665, 45.36), 1)
    11.1
    """
    above_zero("span_m", span_m, "m")
    above_zero("stiffness_Nm2", stiffness_Nm2, "N m2")
    moved_kg = not_negative("machine_kg", machine_kg, "kg")
    moved_kg += _BEAM_SHARE * above_zero("mass_kg_per_m", mass_kg_per_m, "kg/m") * span_m
    return math.sqrt(48 * stiffness_Nm2 / (span_m**3 * moved_kg)) / (2 * math.pi)


def sag_frequency_Hz(*sags_m: float) -> float:
    """Return a floor's natural frequency from what its parts bend under their own load, 0.17924 sqrt(g/total sag).

    Parameters
    ----------
    *sags_m : float
        Mid-span deflection of the joists and of each girder that carries them [m].

    Returns
    -------
    float
        Natural frequency, to be read with `FREQUENCY_GIVE_OR_TAKE` [Hz].

    Raises
    ------
    ValueError
        No deflection, or one that isn't above 0.

    Notes
    -----
    Even load, simply supported. The rule of thumb rounds to 0.18 (0.4 % more), or to 18 over the root of mm (1.4 % more).

    References
    ----------
    .. [1] pi/2 sqrt(5/384) = 0.17924 (D); Steel Designers' Manual, 6e, Fig 12.6, p. 366, has 18 (P).
    .. [2] AISC DG11, ch. 3, adds the girder's deflection (from memory, unverified).

    Examples
    --------
    >>> round(sag_frequency_Hz(0.0127), 2), round(sag_frequency_Hz(0.0127, 0.00762), 2)
    (4.98, 3.94)
    """
    if not sags_m:
        raise ValueError("sags_m: found none, expected one deflection or more [m]")
    total_m = sum(above_zero("sags_m", sag_m, "m") for sag_m in sags_m)
    return math.pi / 2 * math.sqrt(5 / 384 * G_M_PER_S2 / total_m)


def against_spin(floor_Hz: float, spin_Hz: float, give_or_take: float = FREQUENCY_GIVE_OR_TAKE) -> Resonance:
    """Compare a floor's frequency with a spin speed, the estimate's give or take included.

    Parameters
    ----------
    floor_Hz : float
        The floor's natural frequency with the washer on it [Hz].
    spin_Hz : float
        Spin speed, rpm/60 [Hz].
    give_or_take : float
        Uncertainty of `floor_Hz` as a share of it, 0 for one that was measured well, under 1 [-].

    Returns
    -------
    Resonance
        Ratio [-], its band [-], what to call it, and whether the spin may pass through it.

    Raises
    ------
    ValueError
        A frequency that isn't above 0, or a give or take outside 0 to under 1.

    Notes
    -----
    No answer means that a floor is safe or silent: harmonics, walls and other machines are outside this.

    References
    ----------
    .. [1] The band 0.8 to 1.25 and the quarter either way are the project's choice (judgement).

    Examples
    --------
    >>> against_spin(16.7, 1000 / 60).state, against_spin(11.1, 1000 / 60).state, against_spin(30, 1000 / 60).state
    ('near', 'may be near', 'apart by estimate')
    """
    ratio = above_zero("floor_Hz", floor_Hz, "Hz") / above_zero("spin_Hz", spin_Hz, "Hz")
    if not 0 <= give_or_take < 1:
        raise ValueError(f"give_or_take: found {give_or_take:g}, expected a share from 0 to under 1")
    low, high = ratio * (1 - give_or_take), ratio * (1 + give_or_take)
    state: State = "apart by estimate"
    if NEAR_BAND[0] <= ratio <= NEAR_BAND[1]:
        state = "near"
    elif high >= NEAR_BAND[0] and low <= NEAR_BAND[1]:
        state = "may be near"
    return Resonance(ratio, low, high, state, passes=low < 1)
