"""Hot and cold water together: the temperature of the mix, and the hot share behind a temperature."""

from ..domain import not_negative, temperature


def mixed_temperature(hot_m3: float, hot_C: float, cold_m3: float, cold_C: float) -> float:
    """Temperature of hot and cold water mixed, without loss to tub or air.

    Parameters
    ----------
    hot_m3 : float
        Hot volume; two flows [m3/s] serve as well [m3]
    hot_C : float
        Hot temperature [°C]
    cold_m3 : float
        Cold volume, in the unit of the hot one [m3]
    cold_C : float
        Cold temperature [°C]

    Returns
    -------
    float
        Temperature of the mix [°C]

    Raises
    ------
    ValueError
        If a volume is negative, both are zero, or a temperature is impossible.

    Notes
    -----
    Equal density and heat capacity are assumed; by enthalpy the mix is up to 0.3 °C (0.5 °F) cooler over 10 to 66 °C [2]_.
    A cold drum and cold clothes take more.

    References
    ----------
    .. [1] Water-heater maker's formula sheet (grade P).
    .. [2] IAPWS-IF97 enthalpies (grade D).

    Examples
    --------
    Equal volumes at 120 and 60 °F make 90 °F (32.22 °C); by enthalpy 89.83 °F [2]_.

    >>> round(mixed_temperature(0.01, 48.889, 0.01, 15.556), 2)
    32.22
    """
    not_negative("hot_m3", hot_m3, "m3")
    not_negative("cold_m3", cold_m3, "m3")
    temperature("hot_C", hot_C)
    temperature("cold_C", cold_C)
    if hot_m3 + cold_m3 <= 0:
        raise ValueError("hot_m3 and cold_m3: found 0 m3 of both, expected some water")
    return cold_C + (hot_C - cold_C) * (hot_m3 / (hot_m3 + cold_m3))


def hot_fraction(mixed_C: float, hot_C: float, cold_C: float) -> float:
    """Share of hot water in a mix of known temperature.

    Parameters
    ----------
    mixed_C : float
        Temperature of the mix [°C]
    hot_C : float
        Temperature of the hot water [°C]
    cold_C : float
        Temperature of the cold water [°C]

    Returns
    -------
    float
        Hot share by volume, 0 to 1 [-]

    Raises
    ------
    ValueError
        If the hot water is not hotter than the cold, or the mix lies outside them.

    Notes
    -----
    As for `mixed_temperature`: the true hot share is a little higher, as the simple rule reads the mix too warm.

    References
    ----------
    .. [1] Water-heater maker's formula sheet, 1986, reviewed 1997 and 2011;
       pdf4pro.com/view/various-formulas-for-water-heating-17990f.html (grade P). Its entry 21 % for 110 °F from 180 and
       90 °F is wrong (22.2) and not used.

    Examples
    --------
    From [1]_: 180 °F hot, 40 °F cold, 140 °F mixed is 71 % hot, matches.

    >>> round(hot_fraction(60.0, 82.222, 4.444), 2)
    0.71
    """
    temperature("mixed_C", mixed_C)
    temperature("hot_C", hot_C)
    temperature("cold_C", cold_C)
    if hot_C <= cold_C:
        raise ValueError(
            f"hot_C: found {hot_C:g} °C, expected more than the cold water's {cold_C:g} °C; are the two swapped?"
        )
    if not cold_C <= mixed_C <= hot_C:
        raise ValueError(
            f"mixed_C: found {mixed_C:g} °C, expected a value between cold {cold_C:g} and hot {hot_C:g} °C"
        )
    return (mixed_C - cold_C) / (hot_C - cold_C)
