"""What the formulas refuse: inputs that no site can give, named with what was found and what was expected."""

import math


def finite(name: str, value: float, unit: str) -> float:
    """Return the value if it is a finite number.

    Parameters
    ----------
    name : str
        The argument, as its caller knows it [-].
    value : float
        Its value, in `unit` [-].
    unit : str
        Its unit, for the message [-].

    Returns
    -------
    float
        The value, in `unit` [-].

    Raises
    ------
    ValueError
        For nan and infinities.

    Examples
    --------
    >>> finite("air_C", float("nan"), "°C")
    Traceback (most recent call last):
    ValueError: air_C: found nan °C, expected a finite number
    """
    if not math.isfinite(value):
        raise ValueError(f"{name}: found {value:g} {unit}, expected a finite number")
    return value


def temperature(name: str, value_C: float) -> float:
    """Return the temperature if it is finite and not below absolute zero.

    Parameters
    ----------
    name : str
        The argument, as its caller knows it [-].
    value_C : float
        Temperature [°C].

    Returns
    -------
    float
        Temperature [°C].

    Raises
    ------
    ValueError
        Below -273.15 °C, and for nan and infinities.

    Examples
    --------
    >>> temperature("air_C", -300)
    Traceback (most recent call last):
    ValueError: air_C: found -300 °C, expected -273.15 °C (absolute zero) or more
    """
    if finite(name, value_C, "°C") < -273.15:
        raise ValueError(f"{name}: found {value_C:g} °C, expected -273.15 °C (absolute zero) or more")
    return value_C


def above_zero(name: str, value: float, unit: str) -> float:
    """Return the value if it is finite and above zero.

    Parameters
    ----------
    name : str
        The argument, as its caller knows it [-].
    value : float
        Its value, in `unit` [-].
    unit : str
        Its unit, for the message [-].

    Returns
    -------
    float
        The value, in `unit` [-].

    Raises
    ------
    ValueError
        For zero, negative numbers, nan and infinities.

    Examples
    --------
    >>> above_zero("time_s", -3.0, "s")
    Traceback (most recent call last):
    ValueError: time_s: found -3 s, expected more than 0
    """
    if finite(name, value, unit) <= 0:
        raise ValueError(f"{name}: found {value:g} {unit}, expected more than 0")
    return value


def not_negative(name: str, value: float, unit: str) -> float:
    """Return the value if it is finite and zero or more.

    Parameters
    ----------
    name : str
        The argument, as its caller knows it [-].
    value : float
        Its value, in `unit` [-].
    unit : str
        Its unit, for the message [-].

    Returns
    -------
    float
        The value, in `unit` [-].

    Raises
    ------
    ValueError
        For negative numbers, nan and infinities.

    Examples
    --------
    >>> not_negative("pressure_Pa", -1.0, "Pa")
    Traceback (most recent call last):
    ValueError: pressure_Pa: found -1 Pa, expected 0 or more
    """
    if finite(name, value, unit) < 0:
        raise ValueError(f"{name}: found {value:g} {unit}, expected 0 or more")
    return value


def share(name: str, value: float) -> float:
    """Return the value if it is a part of a whole, from 0 to 1.

    Parameters
    ----------
    name : str
        The argument, as its caller knows it [-].
    value : float
        Its value [-].

    Returns
    -------
    float
        The value [-].

    Raises
    ------
    ValueError
        Below 0, above 1, and for nan.

    Examples
    --------
    >>> share("fill", 1.5)
    Traceback (most recent call last):
    ValueError: fill: found 1.5, expected a share from 0 to 1
    """
    if not 0 <= value <= 1:
        raise ValueError(f"{name}: found {value:g}, expected a share from 0 to 1")
    return value
