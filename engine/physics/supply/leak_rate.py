"""What a drip or a hole comes to in a day."""

import math

from ..domain import above_zero, not_negative, share
from ..friction import WATER_DENSITY_KGM3

DROP_SINK_M3 = 0.25e-6
"""0.25 mL, 4,000 drops a litre: US Geological Survey, drip page, later wording (S)."""
DROP_THIRD_M3 = 1e-6 / 3
"""1/3 mL, 3,000 drops a litre: US Geological Survey, drip calculator (P)."""
DROP_EPA_M3 = 0.360e-6
"""0.360 mL, implied by two rows of EPA WaterSense (S)."""
SHARP_EDGE_C = 0.62
"""Discharge coefficient of a sharp-edged hole (S)."""

_DAY_S = 86400.0


def drip_volume_per_day(drips_per_s: float, drop_m3: float) -> float:
    """Water that drips in a day: drips x drop volume [1]_ [2]_.

    Parameters
    ----------
    drips_per_s : float
        Rate of drips; 10 a minute is 1/6 [1/s].
    drop_m3 : float
        Volume of one drop; 0.25, 0.333 and 0.360 mL are all in use, so report both ends [m^3].

    Returns
    -------
    volume_m3 : float
        Volume in one day [m^3].

    Raises
    ------
    ValueError
        If the rate is negative or the drop is not above 0.

    Notes
    -----
    The drop's volume is uncertain by a factor of 1.4 and more; a trickle that no longer breaks into drops is a flow.

    Examples
    --------
    10 drips a minute, in gallons a day, by the smallest and the largest drop:

    >>> [round(drip_volume_per_day(10 / 60, drop) / 3.785411784e-3, 2) for drop in (DROP_SINK_M3, DROP_EPA_M3)]
    [0.95, 1.37]

    References
    ----------
    .. [1] US Geological Survey, drip calculator (P), and its drip page, later wording (S).
    .. [2] EPA WaterSense: 10 drips a minute come to more than 500 gal/yr (S).
    """
    not_negative("drips_per_s", drips_per_s, "1/s")
    return drips_per_s * above_zero("drop_m3", drop_m3, "m^3") * _DAY_S


def hole_flow(
    diameter_m: float, pressure_Pa: float, discharge_c: float = SHARP_EDGE_C, density_kgm3: float = WATER_DENSITY_KGM3
) -> float:
    """Flow through a round hole under pressure: Q = Cd A sqrt(2 p/rho) [1]_.

    Parameters
    ----------
    diameter_m : float
        Diameter of the hole [m].
    pressure_Pa : float
        Pressure behind it over the pressure outside [Pa].
    discharge_c : float
        Discharge coefficient, 0.62 for a sharp edge [-].
    density_kgm3 : float
        Density; water at 20 C unless said [kg/m^3].

    Returns
    -------
    flow_m3s : float
        Flow [m^3/s].

    Raises
    ------
    ValueError
        If diameter or pressure is negative, the coefficient lies outside 0 to 1 or the density is not above 0.

    Notes
    -----
    The pressure is the one behind the hole while it flows; a large hole pulls it down, so the static pressure gives an
    upper bound. A crack in a soft hose widens with pressure.

    Examples
    --------
    1/16 in at 60 psi, in gallons a minute:

    >>> round(hole_flow(0.0254 / 16, 60 * 6894.757) / (3.785411784e-3 / 60), 2)
    0.56

    References
    ----------
    .. [1] Town page: 800, 3,200, 13,000 gal/day for 1/16, 1/8, 1/4 in at 60 psi (P); Cd about 0.62 (S).
    """
    not_negative("diameter_m", diameter_m, "m")
    not_negative("pressure_Pa", pressure_Pa, "Pa")
    above_zero("density_kgm3", density_kgm3, "kg/m^3")
    return share("discharge_c", discharge_c) * math.pi / 4 * diameter_m**2 * math.sqrt(2 * pressure_Pa / density_kgm3)


def hole_volume_per_day(
    diameter_m: float, pressure_Pa: float, discharge_c: float = SHARP_EDGE_C, density_kgm3: float = WATER_DENSITY_KGM3
) -> float:
    """Water that leaves a round hole under pressure in a day.

    Parameters
    ----------
    diameter_m : float
        Diameter of the hole [m].
    pressure_Pa : float
        Pressure behind it over the pressure outside [Pa].
    discharge_c : float
        Discharge coefficient, 0.62 for a sharp edge [-].
    density_kgm3 : float
        Density; water at 20 C unless said [kg/m^3].

    Returns
    -------
    volume_m3 : float
        Volume in one day [m^3].

    Raises
    ------
    ValueError
        If diameter or pressure is negative, the coefficient lies outside 0 to 1 or the density is not above 0.

    Notes
    -----
    As `hole_flow`.

    Examples
    --------
    1/16 in at 60 psi, in gallons:

    >>> round(hole_volume_per_day(0.0254 / 16, 60 * 6894.757) / 3.785411784e-3)
    806

    References
    ----------
    .. [1] As `hole_flow`; town page, 800 gal/day (P).
    """
    return hole_flow(diameter_m, pressure_Pa, discharge_c, density_kgm3) * _DAY_S
