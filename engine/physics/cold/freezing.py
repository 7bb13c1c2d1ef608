"""Water in a cold machine: time to 0 °C, time to freeze, and how ice swells."""

import math
from typing import NamedTuple

from ..domain import above_zero, not_negative, temperature

HEAT_WATER_J_kgK = 4184.8  # liquid, 20 °C, IAPWS-IF97 (grade D)
LATENT_J_kg = 333.4e3  # IAPWS-06 and IF97 (grade D); a textbook has 333.7e3
WATER_0C_kg_m3 = 999.84  # IAPWS-IF97, 0 °C, 1 atm (grade D)
ICE_0C_kg_m3 = 916.72  # IAPWS-06, ice Ih, 0 °C, 1 atm (grade D)
# A hint, not a strength: pressure [Pa] at which ice and fully trapped water stand together, and the temperature [°C];
# melting curve of ice Ih (grade D). Half-inch copper is said to burst at about 3,000 psi (grade S).
MELTING_HINT: tuple[tuple[float, float], ...] = (
    (150 * 6894.757, -0.07),
    (3000 * 6894.757, -1.59),
    (4000 * 6894.757, -2.16),
)


class Freezing(NamedTuple):
    """Freezing of one body of water: to_zero_s, freezing_s, total_s [s], infinite for never; biot, lumped [-]."""

    to_zero_s: float
    freezing_s: float
    total_s: float
    biot: float
    lumped: bool


def biot(film_W_m2K: float, volume_m3: float, area_m2: float, conductivity_W_mK: float) -> float:
    """Biot number of a body: its inner against its surface resistance to heat.

    Parameters
    ----------
    film_W_m2K : float
        Surface coefficient of heat transfer [W/m2K]
    volume_m3 : float
        Volume of the body [m3]
    area_m2 : float
        Surface that gives off heat [m2]
    conductivity_W_mK : float
        Thermal conductivity of the body [W/mK]

    Returns
    -------
    float
        Biot number on the length V/A [-]

    Raises
    ------
    ValueError
        If an input is not above zero.

    Notes
    -----
    Below 0.1 the body has one temperature and the lumped form holds [1]_. Water that stirs itself behaves as if it
    conducted better than its own 0.56 W/mK.

    References
    ----------
    .. [1] Çengel, Heat and Mass Transfer, ch. 4 (grade S).

    Examples
    --------
    From [1]_ example 4-1: sphere of 1 mm, h 210, k 35: Bi 0.001, matches.

    >>> biot(210.0, math.pi / 6 * 1e-9, math.pi * 1e-6, 35.0)
    0.001
    """
    above_zero("film_W_m2K", film_W_m2K, "W/m2K")
    length_m = above_zero("volume_m3", volume_m3, "m3") / above_zero("area_m2", area_m2, "m2")
    return film_W_m2K * length_m / above_zero("conductivity_W_mK", conductivity_W_mK, "W/mK")


def cooling_time(
    capacity_J_K: float, conductance_W_K: float, start_C: float, air_C: float, end_C: float = 0.0
) -> float:
    """Time for a body of one temperature to cool in steady air.

    Parameters
    ----------
    capacity_J_K : float
        Heat capacity of the body, mass times specific heat [J/K]
    conductance_W_K : float
        Conductance to the air, coefficient times area [W/K]
    start_C : float
        Temperature at the start [°C]
    air_C : float
        Air temperature [°C]
    end_C : float, optional
        Temperature to reach [°C]

    Returns
    -------
    float
        Time [s]; 0 if it is there already, infinite if the air is not colder than `end_C`

    Raises
    ------
    ValueError
        If capacity or conductance is not above zero, or a temperature is impossible.

    Notes
    -----
    ``t = C / UA * ln((start - air) / (end - air))``, for Bi < 0.1 [1]_. Above that the skin of the body gets there
    sooner than this says. No latent heat: `end_C` at or above the freezing point.

    References
    ----------
    .. [1] Çengel, Heat and Mass Transfer, ch. 4, lumped system (grade S).

    Examples
    --------
    Half a litre at 20 °C, UA 0.32 W/K, in air of -5 °C: 2.92 h (grade D).

    >>> round(cooling_time(0.5 * HEAT_WATER_J_kgK, 0.32, 20.0, -5.0) / 3600, 2)
    2.92
    """
    above_zero("capacity_J_K", capacity_J_K, "J/K")
    above_zero("conductance_W_K", conductance_W_K, "W/K")
    for name, value_C in (("start_C", start_C), ("air_C", air_C), ("end_C", end_C)):
        temperature(name, value_C)
    if start_C <= end_C:
        return 0.0
    if air_C >= end_C:
        return math.inf
    return capacity_J_K / conductance_W_K * math.log((start_C - air_C) / (end_C - air_C))


def freezing_time(mass_kg: float, conductance_W_K: float, air_C: float, latent_J_kg: float = LATENT_J_kg) -> float:
    """Time for water at 0 °C to freeze through in steady air; never at 0 °C or above.

    Parameters
    ----------
    mass_kg : float
        Mass of water [kg]
    conductance_W_K : float
        Conductance to the air [W/K]
    air_C : float
        Air temperature [°C]
    latent_J_kg : float, optional
        Latent heat of freezing [J/kg]

    Returns
    -------
    float
        Time [s]; infinite at 0 °C and above

    Raises
    ------
    ValueError
        If mass, conductance or latent heat is not above zero, or the temperature is impossible.

    Notes
    -----
    Energy balance with the surface kept at 0 °C: the ice that forms insulates, so the last of it takes longer. Damage
    comes long before the end, as the first ice blocks a passage and traps what is behind it.

    References
    ----------
    .. [1] Energy balance; latent heat by IAPWS (grade D).

    Examples
    --------
    >>> round(freezing_time(0.5, 0.32, -10.0) / 3600, 1)
    14.5
    >>> freezing_time(0.5, 0.32, 0.0)
    inf
    """
    above_zero("mass_kg", mass_kg, "kg")
    above_zero("conductance_W_K", conductance_W_K, "W/K")
    above_zero("latent_J_kg", latent_J_kg, "J/kg")
    if temperature("air_C", air_C) >= 0:
        return math.inf
    return mass_kg * latent_J_kg / (conductance_W_K * -air_C)


def freezing(
    mass_kg: float, area_m2: float, film_W_m2K: float, start_C: float, air_C: float, conductivity_W_mK: float = 0.56
) -> Freezing:
    """Time line of water left in a machine: to 0 °C, then through to ice.

    Parameters
    ----------
    mass_kg : float
        Mass of water [kg]
    area_m2 : float
        Surface that gives off heat [m2]
    film_W_m2K : float
        Surface coefficient of heat transfer [W/m2K]
    start_C : float
        Temperature of the water at the start [°C]
    air_C : float
        Air temperature [°C]
    conductivity_W_mK : float, optional
        Conductivity inside the body; still water unless said [W/mK]

    Returns
    -------
    Freezing
        to_zero_s, freezing_s, total_s [s]; biot [-]; lumped, whether Bi < 0.1 [-]

    Raises
    ------
    ValueError
        If mass, area, coefficient or conductivity is not above zero, or the water starts below 0 °C.

    Notes
    -----
    Warn on `to_zero_s`: ice can block a passage then. Where `lumped` is false even that is late, the outer water gets
    there sooner. Still air gives about 8 W/m2K (judgement), wind several times that. The walls' own heat is left out,
    which makes the warning early.

    References
    ----------
    .. [1] Derived from `cooling_time` and `freezing_time` (grade D).

    Examples
    --------
    >>> left = freezing(0.5, 0.04, 8.0, 20.0, -10.0)
    >>> round(left.to_zero_s / 3600, 2), round(left.total_s / 3600, 1), left.lumped
    (2.0, 16.5, False)
    """
    if temperature("start_C", start_C) < 0:
        raise ValueError(f"start_C: found {start_C:g} °C, expected liquid water, 0 °C or more")
    conductance_W_K = above_zero("film_W_m2K", film_W_m2K, "W/m2K") * above_zero("area_m2", area_m2, "m2")
    to_zero_s = cooling_time(above_zero("mass_kg", mass_kg, "kg") * HEAT_WATER_J_kgK, conductance_W_K, start_C, air_C)
    freezing_s = freezing_time(mass_kg, conductance_W_K, air_C)
    number = biot(film_W_m2K, mass_kg / WATER_0C_kg_m3, area_m2, conductivity_W_mK)
    return Freezing(to_zero_s, freezing_s, to_zero_s + freezing_s, number, number < 0.1)


def ice_volume(water_m3: float) -> float:
    """Volume of the ice that water at 0 °C becomes.

    Parameters
    ----------
    water_m3 : float
        Volume of water at 0 °C [m3]

    Returns
    -------
    float
        Volume of ice at 0 °C [m3]

    Raises
    ------
    ValueError
        If the volume is negative.

    Notes
    -----
    +9.07 % of the water's volume, free to swell, 1 atm. The same said of density: ice is 8.31 % less dense.

    References
    ----------
    .. [1] IAPWS-06 for ice, IF97 for water (grade D); a table gives 9.0 % (grade S).

    Examples
    --------
    >>> round(ice_volume(1.0), 4)
    1.0907
    """
    return not_negative("water_m3", water_m3, "m3") * WATER_0C_kg_m3 / ICE_0C_kg_m3
