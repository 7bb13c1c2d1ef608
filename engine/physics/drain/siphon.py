"""Whether a drain hose goes on running when the pump has stopped: the outlet against this machine's own water line."""

import math

from ..domain import above_zero, finite, not_negative
from ..friction import GRAVITY_MS2, SMOOTH_M, WATER_DENSITY_KGM3
from .full_bore import EXIT_K, Stretch, full_bore_flow


def hose_end_height(standpipe_m: float, insertion_m: float) -> float:
    """Height of the hose end, over whatever datum the standpipe is counted from.

    Parameters
    ----------
    standpipe_m : float
        Open top of the standpipe above the datum [m].
    insertion_m : float
        Length of hose inside the pipe [m].

    Returns
    -------
    hose_end_m : float
        Height of the hose end above the datum; negative below it [m].

    Raises
    ------
    ValueError
        If the height is not a number or the insertion is negative.

    Notes
    -----
    A hose hangs straight in the pipe; a coiled one ends higher.

    Examples
    --------
    >>> round(hose_end_height(39 * 0.0254, 8 * 0.0254) / 0.0254)
    31

    References
    ----------
    .. [1] Geometry (D).
    """
    return finite("standpipe_m", standpipe_m, "m") - not_negative("insertion_m", insertion_m, "m")


def siphon_outlet(hose_end_m: float, weir_m: float, sealed: bool) -> float:
    """Level at which the siphon lets go: the hose end, or the trap weir when the hose is sealed into the pipe.

    Parameters
    ----------
    hose_end_m : float
        Hose end above the datum [m].
    weir_m : float
        Trap weir above the same datum [m].
    sealed : bool
        True when the hose is taped or squeezed in, so that no air enters and the pipe runs full [-].

    Returns
    -------
    outlet_m : float
        Outlet level above the datum [m].

    Raises
    ------
    ValueError
        If a height is not a number.

    Notes
    -----
    A hose end below the weir stands in the trap's water, and then the weir is the outlet, sealed or not. For a tub or a
    floor drain without a trap above, give the hose end for both.

    Examples
    --------
    >>> siphon_outlet(0.9, 0.3, sealed=False), siphon_outlet(0.9, 0.3, sealed=True)
    (0.9, 0.3)

    References
    ----------
    .. [1] Hydrostatics (D).
    """
    finite("hose_end_m", hose_end_m, "m")
    finite("weir_m", weir_m, "m")
    return weir_m if sealed else max(hose_end_m, weir_m)


def siphon_head(water_line_m: float, outlet_m: float) -> float:
    """Head that drives a siphon: the machine's water line less the outlet's level.

    Parameters
    ----------
    water_line_m : float
        This machine's highest water level above the datum [m].
    outlet_m : float
        Outlet level above the same datum, see `siphon_outlet` [m].

    Returns
    -------
    head_m : float
        Head; a siphon runs only when it is above 0 [m].

    Raises
    ------
    ValueError
        If a height is not a number.

    Notes
    -----
    The water line differs by machine and load; the common practice of 39 in stands for no machine in particular. Both
    heights need one datum: a pedestal lifts the water line.

    Examples
    --------
    20 in of water, hose end at 36 in, weir at 12 in: none while vented, 8 in when sealed.

    >>> [round(siphon_head(20 * 0.0254, end * 0.0254) / 0.0254) for end in (36, 12)]
    [-16, 8]

    References
    ----------
    .. [1] Hydrostatics (D).
    """
    return finite("water_line_m", water_line_m, "m") - finite("outlet_m", outlet_m, "m")


def siphon_speed(head_m: float, loss_k: float = 0.0) -> float:
    """Speed at a siphon's outlet: v = sqrt(2 g h/(1 + K)).

    Parameters
    ----------
    head_m : float
        Head, see `siphon_head`; 0 or less drives nothing [m].
    loss_k : float
        All losses in speed heads, fittings and f L/D together; 0 for the ideal speed [-].

    Returns
    -------
    speed_ms : float
        Outlet speed [m/s].

    Raises
    ------
    ValueError
        If the head is not a number or the losses are negative.

    Notes
    -----
    Without losses an upper bound. `siphon_flow` finds f from the speed itself.

    Examples
    --------
    >>> round(siphon_speed(1.0), 2)
    4.43

    References
    ----------
    .. [1] A textbook's physics problem as solved by two others, 4.43 m/s at 1 m (S).
    """
    finite("head_m", head_m, "m")
    not_negative("loss_k", loss_k, "-")
    return math.sqrt(2 * GRAVITY_MS2 * head_m / (1 + loss_k)) if head_m > 0 else 0.0


def siphon_flow(
    head_m: float,
    bore_m: float,
    length_m: float,
    loss_k: float = 1.5,
    roughness_m: float = SMOOTH_M,
    friction_times: float = 1.0,
) -> float:
    """Flow that a siphon passes through a hose, with Colebrook friction.

    Parameters
    ----------
    head_m : float
        Head, see `siphon_head`; 0 or less drives nothing [m].
    bore_m : float
        Inside diameter of the hose [m].
    length_m : float
        Length of the hose [m].
    loss_k : float
        Entry and bends in speed heads, the outlet's own left out; 1.5 is judgement [-].
    roughness_m : float
        Wall roughness [m].
    friction_times : float
        Multiplies the friction factor; 2 to 4 for corrugated hose is M, from memory, unverified [-].

    Returns
    -------
    flow_m3s : float
        Flow [m^3/s].

    Raises
    ------
    ValueError
        If the bore is not above 0 or a length, loss or multiplier is negative.

    Notes
    -----
    Water at 20 C. The pump standing in the way is not counted: an upper bound. The flow dies as the level falls. Below
    Re 4000 the friction factor is uncertain, see `friction_factor`.

    Examples
    --------
    6 ft of 7/8 in hose under 6 in of head, in gpm:

    >>> round(siphon_flow(0.1524, 0.022225, 1.8288) / (3.785411784e-3 / 60), 1)
    4.9

    References
    ----------
    .. [1] Energy equation with Darcy friction (D).
    """
    not_negative("loss_k", loss_k, "-")
    return full_bore_flow(head_m, [Stretch(bore_m, length_m, EXIT_K + loss_k, friction_times)], roughness_m)


def max_crest(
    air_pressure_Pa: float = 101325.0, vapour_pressure_Pa: float = 2339.2, density_kgm3: float = WATER_DENSITY_KGM3
) -> float:
    """Highest rise above the water line that a siphon's column survives: (p_air - p_vapour)/(rho g).

    Parameters
    ----------
    air_pressure_Pa : float
        Air pressure [Pa].
    vapour_pressure_Pa : float
        Vapour pressure of the water; 20 C unless said [Pa].
    density_kgm3 : float
        Density of the water; 20 C unless said [kg/m^3].

    Returns
    -------
    crest_m : float
        Highest crest; 0 when the water boils [m].

    Raises
    ------
    ValueError
        If a pressure is negative or the density is not above 0.

    Notes
    -----
    No washer's hose comes near it: a high loop alone does not stop a siphon that has started; its outlet's level does.

    Examples
    --------
    >>> round(max_crest(), 2)
    10.11

    References
    ----------
    .. [1] IAPWS-IF97 saturation pressure and density of water (D).
    """
    not_negative("air_pressure_Pa", air_pressure_Pa, "Pa")
    not_negative("vapour_pressure_Pa", vapour_pressure_Pa, "Pa")
    above_zero("density_kgm3", density_kgm3, "kg/m^3")
    return max(0.0, (air_pressure_Pa - vapour_pressure_Pa) / (density_kgm3 * GRAVITY_MS2))
