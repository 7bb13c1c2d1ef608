"""The shake of a spinning drum: its unbalance, the tub's swing, and what springs and dampers pass on. SI in, SI out.

Plain steady-state vibration in one direction. It knows nothing of a machine's own unbalance control, which may slow the
spin or start it anew; `grip` says what the feet can hold against the force that gets through.
"""

import math

from ..domain import above_zero, not_negative

G_M_PER_S2 = 9.80665


def unbalance_force_N(unbalance_kg: float, radius_m: float, spin_Hz: float) -> float:
    """Return the force of a load that sits to one side of a spinning drum, F = m e w^2.

    Parameters
    ----------
    unbalance_kg : float
        Mass that nothing opposite balances [kg].
    radius_m : float
        Its distance from the axis [m].
    spin_Hz : float
        Spin speed, rpm/60 [Hz].

    Returns
    -------
    float
        Force that turns with the drum [N].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    On the tub; the cabinet gets `transmissibility` times that. Typical unbalance is unpublished; textbooks exaggerate.

    References
    ----------
    .. [1] Any text on vibration (from memory, unverified).

    Examples
    --------
    >>> round(unbalance_force_N(0.5, 0.25, 1200 / 60), 1)
    1973.9
    """
    above_zero("unbalance_kg", unbalance_kg, "kg")
    above_zero("radius_m", radius_m, "m")
    above_zero("spin_Hz", spin_Hz, "Hz")
    return unbalance_kg * radius_m * (2 * math.pi * spin_Hz) ** 2


def sag_frequency_Hz(sag_m: float) -> float:
    """Return the natural frequency of a mass on springs that sag by so much under it, (1/2 pi) sqrt(g/sag).

    Parameters
    ----------
    sag_m : float
        Static deflection of the springs [m].

    Returns
    -------
    float
        Natural frequency [Hz].

    Raises
    ------
    ValueError
        A sag that isn't above 0.

    Notes
    -----
    Linear springs from zero load on.

    References
    ----------
    .. [1] Derived from k = mg/sag (D); a calculator page has 15.76/sqrt(mm) (S).

    Examples
    --------
    >>> round(sag_frequency_Hz(0.025), 3)
    3.152
    """
    above_zero("sag_m", sag_m, "m")
    return math.sqrt(G_M_PER_S2 / sag_m) / (2 * math.pi)


def magnification(ratio: float, damping: float) -> float:
    """Return how far a sprung mass swings under a steady shaking force, over its deflection under the same dead force.

    Parameters
    ----------
    ratio : float
        Shaking frequency over natural frequency [-].
    damping : float
        Share of critical damping [-].

    Returns
    -------
    float
        1/sqrt((1 - r^2)^2 + (2 z r)^2); times r^2 it gives X m/(m0 e) for a rotating unbalance [-].

    Raises
    ------
    ValueError
        A ratio that isn't above 0, damping below 0, or no damping exactly at resonance.

    Notes
    -----
    One direction, linear, steady state: not the passage through resonance on the way up.

    References
    ----------
    .. [1] Inman, Engineering Vibration, eq. 2.75 (P).

    Examples
    --------
    >>> round(magnification(1.0, 0.05), 1)
    10.0
    """
    above_zero("ratio", ratio, "-")
    not_negative("damping", damping, "-")
    size = math.hypot(1 - ratio**2, 2 * damping * ratio)
    if size == 0:
        raise ValueError("ratio is 1 with damping 0, expected some damping at resonance: the swing has no limit")
    return 1 / size


def unbalance_swing_m(unbalance_kg: float, radius_m: float, moving_kg: float, ratio: float, damping: float) -> float:
    """Return how far a sprung tub swings in a steady spin, X = (m0 e/m) r^2/sqrt((1 - r^2)^2 + (2 z r)^2) [1]_.

    Parameters
    ----------
    unbalance_kg, radius_m : float
        Unbalanced mass [kg] and its distance from the axis [m].
    moving_kg : float
        Everything that swings, the unbalanced mass included [kg].
    ratio, damping : float
        Spin over natural frequency, share of critical damping [-].

    Returns
    -------
    float
        Amplitude, middle to end [m].

    Raises
    ------
    ValueError
        As `magnification`, or a mass or radius that isn't above 0.

    Notes
    -----
    As `magnification`. Far above resonance it tends to m0 e/m, whatever the springs.

    References
    ----------
    .. [1] Inman, Engineering Vibration, eq. 2.75; problem 5.8 (P).

    Examples
    --------
    >>> round(unbalance_swing_m(10, 0.25, 20, 4.443, 0.01), 4)
    0.1317
    """
    above_zero("unbalance_kg", unbalance_kg, "kg")
    above_zero("radius_m", radius_m, "m")
    above_zero("moving_kg", moving_kg, "kg")
    return unbalance_kg * radius_m / moving_kg * ratio**2 * magnification(ratio, damping)


def transmissibility(ratio: float, damping: float, restrained: bool = False) -> float:
    """Return the share of a shaking force that springs and dampers pass on, or of a moving base's swing.

    Parameters
    ----------
    ratio : float
        Shaking frequency over natural frequency [-].
    damping : float
        Share of critical damping [-].
    restrained : bool
        Shipping restraints are in: the tub is locked to the cabinet, which gets all of it [-].

    Returns
    -------
    float
        sqrt(1 + (2 z r)^2)/sqrt((1 - r^2)^2 + (2 z r)^2), or 1 when restrained [-].

    Raises
    ------
    ValueError
        As `magnification`.

    Notes
    -----
    Below r = sqrt 2 springs make it worse, above it better; there it is 1 for every damping. Rigid floor and cabinet.

    References
    ----------
    .. [1] Ogata, System Dynamics, 4e, eq. 9-14, through an acoustics page (S).

    Examples
    --------
    >>> round(transmissibility(1500 / 60 / 3.152, 0.05), 4), transmissibility(4, 0.15, restrained=True)
    (0.0206, 1.0)
    """
    size = magnification(ratio, damping)
    return 1.0 if restrained else math.hypot(1, 2 * damping * ratio) * size


def drum_g(spin_Hz: float, radius_m: float) -> float:
    """Return the acceleration at a drum's wall in multiples of standard gravity, w^2 r/g.

    Parameters
    ----------
    spin_Hz : float
        Spin speed, rpm/60 [Hz].
    radius_m : float
        Radius of the drum [m].

    Returns
    -------
    float
        Multiples of 9.80665 m/s2 [-].

    Raises
    ------
    ValueError
        An input that isn't above 0.

    Notes
    -----
    At the wall; clothes lie inside it and feel less.

    References
    ----------
    .. [1] US DOE, 86 FR 49226 (1 Sep 2021, proposed rule), table 4.1 (P).

    Examples
    --------
    >>> round(drum_g(1514 / 60, 0.254), 1)
    651.1
    """
    above_zero("spin_Hz", spin_Hz, "Hz")
    above_zero("radius_m", radius_m, "m")
    return (2 * math.pi * spin_Hz) ** 2 * radius_m / G_M_PER_S2
