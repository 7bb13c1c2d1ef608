"""Water in a pipe in the cold: conductance of wall, insulation and air film, and the time to 0 °C."""

import math

from ..domain import above_zero
from .freezing import cooling_time


def shell_resistance(inner_m: float, outer_m: float, conductivity_W_mK: float) -> float:
    """Resistance of a round shell to heat, for one metre of pipe.

    Parameters
    ----------
    inner_m : float
        Inside diameter of the shell [m]
    outer_m : float
        Outside diameter of the shell [m]
    conductivity_W_mK : float
        Thermal conductivity of the shell [W/mK]

    Returns
    -------
    float
        Resistance times length [mK/W]

    Raises
    ------
    ValueError
        If a size is not above zero or the outside is smaller than the inside.

    Notes
    -----
    Steady, heat flows straight outward. Thin insulation on a thin pipe in still air can add surface faster than
    resistance; add the film to see it.

    References
    ----------
    .. [1] Çengel, Heat and Mass Transfer, ch. 3 (from memory, unverified; grade M).

    Examples
    --------
    >>> round(shell_resistance(0.020, 0.024, 0.16), 4)
    0.1814
    """
    above_zero("inner_m", inner_m, "m")
    above_zero("conductivity_W_mK", conductivity_W_mK, "W/mK")
    if above_zero("outer_m", outer_m, "m") < inner_m:
        raise ValueError(
            f"outer_m: found {outer_m:g} m, expected at least the inside diameter, {inner_m:g} m; are the two swapped?"
        )
    return math.log(outer_m / inner_m) / (2 * math.pi * conductivity_W_mK)


def film_resistance(outer_m: float, film_W_m2K: float) -> float:
    """Resistance of the air film round a pipe, for one metre of it.

    Parameters
    ----------
    outer_m : float
        Outside diameter [m]
    film_W_m2K : float
        Surface coefficient of heat transfer [W/m2K]

    Returns
    -------
    float
        Resistance times length [mK/W]

    Raises
    ------
    ValueError
        If an input is not above zero.

    Notes
    -----
    The coefficient carries wind and radiation and is the least known figure of the whole reckoning. No overall
    coefficient can be larger than it: a sheet that prints U 15.4 with a film of 10.5 W/m2K is wrong.

    References
    ----------
    .. [1] Çengel, Heat and Mass Transfer, ch. 3 (from memory, unverified; grade M).

    Examples
    --------
    >>> round(film_resistance(0.024, 40.0), 4)
    0.3316
    """
    return 1 / (math.pi * above_zero("outer_m", outer_m, "m") * above_zero("film_W_m2K", film_W_m2K, "W/m2K"))


def pipe_time_to_zero(
    bore_m: float,
    resistance_mK_W: float,
    water_C: float,
    air_C: float,
    end_C: float = 0.0,
    heat_J_m3K: float = 4.185e6,
) -> float:
    """Time for the water in a pipe to cool to 0 °C through a resistance: the ASHRAE form, without latent heat.

    Parameters
    ----------
    bore_m : float
        Inside diameter of the pipe, full of still water [m]
    resistance_mK_W : float
        Resistance from water to air for one metre, such as the insulation's [mK/W]
    water_C : float
        Water temperature at the start [°C]
    air_C : float
        Air temperature [°C]
    end_C : float, optional
        Temperature to reach [°C]
    heat_J_m3K : float, optional
        Density times specific heat of the water; 62.4 lb/ft3 at 1 Btu/lb°F unless said [J/m3K]

    Returns
    -------
    float
        Time [s]; infinite if the air is not colder than `end_C`

    Raises
    ------
    ValueError
        If a size is not above zero or a temperature impossible.

    Notes
    -----
    Insulation delays freezing and does not prevent it. The published form counts the insulation alone; wall and air
    film add a little, so it warns early; the heat held by wall and insulation is left out. Its printed table was not seen.

    References
    ----------
    .. [1] ASHRAE Fundamentals 2009, ch. 23 eq. 1, p. 23.4, as quoted (grade S).

    Examples
    --------
    Half-inch pipe (0.622 in bore, 0.84 in outside), 1 in insulation of k 0.30 Btu in/h ft2 °F, 42 °F water, 0 °F air:
    0.278 h (derived from [1]_, grade D).

    >>> insulation = shell_resistance(0.84 * 0.0254, 2.84 * 0.0254, 0.30 * 0.1442279)
    >>> round(pipe_time_to_zero(0.622 * 0.0254, insulation, 50 / 9, -160 / 9) / 3600, 3)
    0.278
    """
    area_m2 = math.pi / 4 * above_zero("bore_m", bore_m, "m") ** 2
    conductance_W_mK = 1 / above_zero("resistance_mK_W", resistance_mK_W, "mK/W")
    return cooling_time(
        above_zero("heat_J_m3K", heat_J_m3K, "J/m3K") * area_m2, conductance_W_mK, water_C, air_C, end_C
    )
