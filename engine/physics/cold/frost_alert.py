"""Two cold alerts that are not the same: outdoor air for a bare supply pipe, air at the machine for the machine."""

from typing import NamedTuple

from ..domain import temperature

OUTDOOR_ALERT_C = -60 / 9  # 20 °F
MACHINE_ALERT_C = 0.0  # 32 °F


class Alert(NamedTuple):
    """A cold alert: on or off, none if not measured [-], limit_C [°C], where it is read, whose figure, what else to say [-]."""

    id: str
    on: bool | None
    limit_C: float
    datum: str
    whose: str
    grade: str
    note: str


def cold_alerts(outdoor_C: float | None = None, machine_C: float | None = None) -> tuple[Alert, Alert]:
    """Both cold alerts, each with its own datum: outdoor air for a bare supply pipe, air at the machine for the machine.

    Parameters
    ----------
    outdoor_C : float, optional
        Outdoor air, the lowest expected [°C]
    machine_C : float, optional
        Air beside the machine, the lowest expected [°C]

    Returns
    -------
    tuple of Alert
        For the supply pipe and for the machine: on [-], limit_C [°C], datum, whose, grade and note [-]

    Raises
    ------
    ValueError
        If a temperature is impossible.

    Notes
    -----
    Neither stands for the other: a heated room may be safe at 10 °F outdoors, and an unheated one freeze at 30 °F. The
    pipe alert comes at its limit, the machine's below its limit.

    References
    ----------
    .. [1] University of Illinois Building Research Council, Gordon 1996, the 20 °F figure as quoted (grade S).
    .. [2] Common practice: do not run a washer below 32 °F (grade C).

    Examples
    --------
    >>> [(alert.id, alert.on) for alert in cold_alerts(outdoor_C=-3.0, machine_C=-0.5)]
    [('supply-pipe-frost-alert', False), ('room-above-freezing', True)]
    """
    if outdoor_C is not None:
        temperature("outdoor_C", outdoor_C)
    if machine_C is not None:
        temperature("machine_C", machine_C)
    pipe = Alert(
        "supply-pipe-frost-alert",
        None if outdoor_C is None else outdoor_C <= OUTDOOR_ALERT_C + 1e-6,
        OUTDOOR_ALERT_C,
        "outdoor air, where a bare supply pipe runs through an unheated space",
        "University of Illinois Building Research Council, as quoted",
        "S",
        "Wind and gaps in the wall freeze pipes in milder air too: no alert is no promise.",
    )
    machine = Alert(
        "room-above-freezing",
        None if machine_C is None else machine_C < MACHINE_ALERT_C - 1e-6,
        MACHINE_ALERT_C,
        "air beside the machine",
        "common practice of the trade",
        "C",
        "Water left in pump, valve or hoses can freeze; splits show only after the thaw.",
    )
    return pipe, machine
