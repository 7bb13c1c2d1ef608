"""When a ground-fault device trips, and how long it may take. SI in, SI out.

A trip with only the washer on the circuit means leakage, water or a bad device: never a "nuisance" to be bypassed.
Reset once, with plug and floor dry, and no more; what was under water is replaced.
"""

from typing import Literal

from ..domain import not_negative

# UL 943 class A, as quoted in NEC article 100 (S)
MAY_TRIP_A, MUST_TRIP_A = 0.004, 0.006
LONGEST_TIME_UP_TO_A = 0.264  # end of the range for which the standard states the time formula (S)
# Leakage of a sound three-wire stationary appliance; UL 101, figure as quoted through UL 8750 8.7.1 (S)
WASHER_LEAKAGE_A = 0.00075
_REFERENCE_A, _EXPONENT = 0.020, 1.43

Trip = Literal["must not", "may", "must"]


def trips(fault_A: float) -> Trip:
    """Say whether a class A device trips at a fault current.

    Parameters
    ----------
    fault_A : float
        Current that leaves by hot and does not come back by neutral [A].

    Returns
    -------
    str
        must not (under 4 mA), may (4 to under 6 mA) or must (6 mA and more) [-].

    Raises
    ------
    ValueError
        A negative or infinite current.

    Notes
    -----
    5 mA is no fixed threshold: it lies where a device may trip.

    References
    ----------
    .. [1] UL 943 through NEC article 100 (S).

    Examples
    --------
    >>> trips(0.0039), trips(0.005), trips(0.006)
    ('must not', 'may', 'must')
    """
    not_negative("fault_A", fault_A, "A")
    if fault_A < MAY_TRIP_A:
        return "must not"
    return "may" if fault_A < MUST_TRIP_A else "must"


def longest_trip_s(fault_A: float) -> float:
    """Return the longest time that a class A device may take to trip, T = (20/I)^1.43 with I in mA [1]_.

    Parameters
    ----------
    fault_A : float
        Fault current, 0.006 to 0.264 [A].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    ValueError
        A current outside 6 to 264 mA, where the standard states no such time.

    Notes
    -----
    A limit for devices, not a time that a person can stand the current.

    References
    ----------
    .. [1] UL 943, as quoted on three pages (S).

    Examples
    --------
    >>> longest_trip_s(0.020), round(longest_trip_s(0.264), 3)
    (1.0, 0.025)
    """
    if not MUST_TRIP_A <= fault_A <= LONGEST_TIME_UP_TO_A:
        raise ValueError(f"fault_A: found {fault_A * 1000:g} mA, expected 6 to 264 mA, the range of the formula")
    return float((_REFERENCE_A / fault_A) ** _EXPONENT)


def leakage(appliances: int, each_A: float = WASHER_LEAKAGE_A) -> Trip:
    """Say whether the ordinary leakage of several sound appliances together can trip one device.

    Parameters
    ----------
    appliances : int
        Appliances behind the device, 0 or more [-].
    each_A : float
        Leakage of each [A].

    Returns
    -------
    str
        As `trips`, for the sum [-].

    Raises
    ------
    ValueError
        A number or a leakage below 0.

    Notes
    -----
    Sums in phase, the worst case. One sound washer never gets there.

    References
    ----------
    .. [1] Sum of leakages (D); 0.75 mA through UL 8750 8.7.1 (S).

    Examples
    --------
    >>> leakage(1), leakage(5), leakage(6)
    ('must not', 'must not', 'may')
    """
    if appliances < 0:
        raise ValueError(f"appliances: found {appliances}, expected 0 or more")
    return trips(appliances * not_negative("each_A", each_A, "A"))
