"""What a vertical drain pipe carries while its air core stays open: the design limit of a stack, not of a full pipe."""

from ..domain import above_zero, not_negative, share

_INCH = 0.0254
_FOOT = 0.3048
_GPM = 3.785411784e-3 / 60


def stack_capacity(bore_m: float, fill: float = 0.25) -> float:
    """Design flow of a vertical pipe by the Wyly-Eaton form in inches [1]_ [2]_.

    Q = 27.8 r^(5/3) d^(8/3), Q in gpm, d in inches, r the part of the bore that the falling sheet of water fills.

    Parameters
    ----------
    bore_m : float
        Inside diameter [m].
    fill : float
        Part of the bore's area filled by the water sheet, 1/4 to 1/3 in the codes [-].

    Returns
    -------
    flow_m3s : float
        Design flow [m^3/s].

    Raises
    ------
    ValueError
        If the bore is not above 0 or the fill lies outside 0 to 1.

    Notes
    -----
    Valid for a sheet at its terminal speed and for fills of 1/4 to 1/3. A standpipe is often shorter than the terminal
    length, so this is an upper bound for a sheet with an air core; a pipe that runs full passes more. It is a design
    limit: judge overflow by `full_bore_flow`. Nominal diameters reproduce the code tables; the true bore of 2 and 3 in
    pipe gives 6 to 9 % more.

    Examples
    --------
    Reference [1]_ prints 23 gpm for 2 in at 7/24:

    >>> round(stack_capacity(0.0508, 7 / 24) / (3.785411784e-3 / 60))
    23

    References
    ----------
    .. [1] National Standard Plumbing Code 2006 Illustrated, Table 13.6.1 and footnote 1 (P, page copy).
    .. [2] Wyly and Eaton, NBS Monograph 31, 1961 (M, from memory, unverified).
    """
    inches = above_zero("bore_m", bore_m, "m") / _INCH
    return float(27.8 * share("fill", fill) ** (5 / 3) * inches ** (8 / 3) * _GPM)


def terminal_speed(flow_m3s: float, bore_m: float) -> float:
    """Speed at which a falling sheet of water stops speeding up [1]_.

    V = 3.0 (Q/d)^0.4, V in ft/s, Q in gpm, d in inches.

    Parameters
    ----------
    flow_m3s : float
        Flow down the wall [m^3/s].
    bore_m : float
        Inside diameter [m].

    Returns
    -------
    speed_ms : float
        Terminal speed [m/s].

    Raises
    ------
    ValueError
        If the flow is negative or the bore is not above 0.

    Notes
    -----
    With Q = V r A it gives a coefficient of 27.75 where `stack_capacity` has 27.8, 0.2 % apart (D).

    Examples
    --------
    >>> round(terminal_speed(stack_capacity(0.0508, 7 / 24), 0.0508) / 0.3048, 2)
    7.92

    References
    ----------
    .. [1] Wyly and Eaton as passed on in a trade society's handbooks (M, from memory, unverified).
    """
    gpm = not_negative("flow_m3s", flow_m3s, "m^3/s") / _GPM
    inches = above_zero("bore_m", bore_m, "m") / _INCH
    return float(3.0 * (gpm / inches) ** 0.4 * _FOOT)


def terminal_length(flow_m3s: float, bore_m: float) -> float:
    """Fall that a sheet of water needs to reach its terminal speed [1]_.

    L = 0.052 V^2, L in ft, V in ft/s.

    Parameters
    ----------
    flow_m3s : float
        Flow down the wall [m^3/s].
    bore_m : float
        Inside diameter [m].

    Returns
    -------
    length_m : float
        Terminal length [m].

    Raises
    ------
    ValueError
        If the flow is negative or the bore is not above 0.

    Notes
    -----
    About 3.3 ft for 2 in pipe at 7/24 (D): longer than a 30 in standpipe.

    Examples
    --------
    >>> round(terminal_length(stack_capacity(0.0508, 7 / 24), 0.0508) / 0.3048, 1)
    3.3

    References
    ----------
    .. [1] Wyly and Eaton as passed on in a trade society's handbooks (M, from memory, unverified).
    """
    feet_per_s = terminal_speed(flow_m3s, bore_m) / _FOOT
    return 0.052 * feet_per_s**2 * _FOOT
