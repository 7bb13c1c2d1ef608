"""Friction of water in a full pipe or hose: Darcy with Colebrook's factor, and Hazen-Williams as the trade tables it."""

import math

from .domain import above_zero, finite, not_negative

GRAVITY_MS2 = 9.80665
WATER_DENSITY_KGM3 = 998.206
"""At 20 C, by IAPWS-IF97 (D)."""
WATER_VISCOSITY_PAS = 1.0016e-3
"""At 20 C, by IAPWS-IF97 (D)."""
SMOOTH_M = 1.5e-6
"""Roughness of drawn tubing, taken for smooth plastic (textbook figure; M, from memory, unverified)."""
TRANSITION_REYNOLDS = 2040.0

_INCH = 0.0254
_FOOT = 0.3048
_GPM = 3.785411784e-3 / 60


def friction_factor(reynolds: float, relative_roughness: float = 0.0) -> float:
    """Darcy friction factor: 64/Re where the flow is laminar, Colebrook's equation above Re 2040 [1]_.

    1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt(f))), solved to the last digits by fixed-point steps.

    Parameters
    ----------
    reynolds : float
        Reynolds number [-].
    relative_roughness : float
        Wall roughness over the bore [-].

    Returns
    -------
    factor : float
        Darcy friction factor, four times Fanning's [-].

    Raises
    ------
    ValueError
        If the Reynolds number is not above 0, or the roughness is negative or not below 1.

    Notes
    -----
    Valid to a relative roughness of about 0.05. Explicit formulas (Churchill, Haaland) lie 0.3 to 1.7 % off. Between Re
    2040 and 4000 no formula is sound: the factor jumps from 0.031 to 0.050 at 2040. Corrugated hose is worse by an
    unpublished factor, 2 to 4 by recollection (M, from memory, unverified).

    Examples
    --------
    >>> round(friction_factor(1e5, 1e-4), 12)
    0.018513866077
    >>> friction_factor(128)
    0.5

    References
    ----------
    .. [1] Documentation of the open library `fluids` 1.3.1, Colebrook and friction_laminar (P).
    """
    above_zero("reynolds", reynolds, "-")
    if not 0 <= relative_roughness < 1:
        raise ValueError(f"relative_roughness: found {relative_roughness:g}, expected a share from 0 to below 1")
    if reynolds < TRANSITION_REYNOLDS:
        return 64 / reynolds
    root = 8.0  # 1/sqrt(f); every step shrinks the error at least fivefold, so 40 steps are plenty
    for _ in range(40):
        before = root
        root = -2 * math.log10(relative_roughness / 3.7 + 2.51 * root / reynolds)
        if abs(root - before) <= 1e-15 * root:
            break
    return 1 / root**2


def darcy_head_loss(
    flow_m3s: float,
    bore_m: float,
    length_m: float,
    roughness_m: float = SMOOTH_M,
    friction_times: float = 1.0,
    kinematic_viscosity_m2s: float = WATER_VISCOSITY_PAS / WATER_DENSITY_KGM3,
) -> float:
    """Head lost to the wall of a full pipe: h = f (L/D) V^2/2g.

    Parameters
    ----------
    flow_m3s : float
        Flow [m^3/s].
    bore_m : float
        Inside diameter [m].
    length_m : float
        Length along the pipe [m].
    roughness_m : float
        Wall roughness [m].
    friction_times : float
        Multiplies the friction factor, for corrugated hose [-].
    kinematic_viscosity_m2s : float
        Viscosity over density; water at 20 C unless said [m^2/s].

    Returns
    -------
    head_m : float
        Loss, as height of the flowing water [m].

    Raises
    ------
    ValueError
        If the bore or viscosity is not above 0, or anything else is negative.

    Notes
    -----
    Smooth Darcy exceeds Hazen-Williams with C 150 in 1 in pipe by 37 % at 1 gpm, 12 % at 5 and 5 % at 10 (D): a loss
    without its method means little.

    Examples
    --------
    8 ft of 7/8 in hose at 15 gpm, in ft of water:

    >>> gpm = 3.785411784e-3 / 60
    >>> round(darcy_head_loss(15 * gpm, 0.875 * 0.0254, 8 * 0.3048) / 0.3048, 3)
    2.27

    References
    ----------
    .. [1] Open library `fluids` 1.3.1, one_phase_dP: 6773.39 Pa for the example (D).
    """
    not_negative("flow_m3s", flow_m3s, "m^3/s")
    above_zero("bore_m", bore_m, "m")
    not_negative("length_m", length_m, "m")
    not_negative("roughness_m", roughness_m, "m")
    not_negative("friction_times", friction_times, "-")
    above_zero("kinematic_viscosity_m2s", kinematic_viscosity_m2s, "m^2/s")
    speed = flow_m3s / (math.pi * bore_m**2 / 4)
    reynolds = speed * bore_m / kinematic_viscosity_m2s
    if reynolds < 1e-100:  # as good as still; 64/Re would overflow
        return 0.0
    factor = friction_factor(reynolds, roughness_m / bore_m) * friction_times
    return factor * length_m / bore_m * speed**2 / (2 * GRAVITY_MS2)


def hazen_williams_head_loss(flow_m3s: float, bore_m: float, length_m: float, smoothness_c: float = 150.0) -> float:
    """Head lost to the wall of a full water pipe, as plumbing tables reckon it [1]_.

    h = 10.44 L Q^1.85/(C^1.85 d^4.8655), h and L in ft, Q in gpm, d in inches.

    Parameters
    ----------
    flow_m3s : float
        Flow [m^3/s].
    bore_m : float
        Inside diameter; the tables use the true bore, 1.049 in for 1 in Sch 40 [m].
    length_m : float
        Length along the pipe [m].
    smoothness_c : float
        Hazen-Williams coefficient, 150 for plastic [-].

    Returns
    -------
    head_m : float
        Loss, as height of water [m].

    Raises
    ------
    ValueError
        If the bore or C is not above 0, or flow or length is negative.

    Notes
    -----
    An empirical fit for water near 15 C in turbulent flow. Printed tables lie up to 25 % apart by the C they assume
    (132 to 150), and it runs low at small flows; see `darcy_head_loss`.

    Examples
    --------
    Reference [1]_ prints 1.01 ft per 100 ft for 4 gpm in 1 in pipe; its rows and this form agree within 1 %:

    >>> gpm = 3.785411784e-3 / 60
    >>> round(hazen_williams_head_loss(4 * gpm, 1.049 * 0.0254, 100 * 0.3048) / 0.3048, 2)
    1.01

    References
    ----------
    .. [1] Illinois Adm. Code 77-906, Appendix A, Exhibit I (P).
    """
    gpm = not_negative("flow_m3s", flow_m3s, "m^3/s") / _GPM
    inches = above_zero("bore_m", bore_m, "m") / _INCH
    not_negative("length_m", length_m, "m")
    above_zero("smoothness_c", smoothness_c, "-")
    return float(10.44 * length_m * gpm**1.85 / (smoothness_c**1.85 * inches**4.8655))


def pressure_of_head(head_m: float, density_kgm3: float = WATER_DENSITY_KGM3) -> float:
    """Pressure under a height of water: p = rho g h.

    Parameters
    ----------
    head_m : float
        Height of water; negative for a vacuum [m].
    density_kgm3 : float
        Density; water at 20 C unless said [kg/m^3].

    Returns
    -------
    pressure_Pa : float
        Pressure [Pa].

    Raises
    ------
    ValueError
        If the head is not a number or the density is not above 0.

    Notes
    -----
    Still water.

    Examples
    --------
    One inch of water, the vacuum that a drain should stay within:

    >>> round(pressure_of_head(0.0254), 1)
    248.6

    References
    ----------
    .. [1] Plumbing text of the 1920s: 1 in of water is 0.579 oz/in^2 (S).
    """
    return finite("head_m", head_m, "m") * above_zero("density_kgm3", density_kgm3, "kg/m^3") * GRAVITY_MS2
