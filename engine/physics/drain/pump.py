"""A washer's pump against lift and hose: where its falling curve meets what the hose asks."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ..domain import above_zero, finite, not_negative
from ..friction import SMOOTH_M
from .full_bore import Stretch, head_loss


class Pump(NamedTuple):
    """A pump curve by its two ends: H = H0 (1 - (Q/Q0)^n).

    Parameters
    ----------
    shutoff_m : float
        Head at which no more flows, H0 [m].
    free_flow_m3s : float
        Flow with no lift and no hose, Q0 [m^3/s].
    power : int
        1 for a straight line, 2 for a parabola [-].
    """

    shutoff_m: float
    free_flow_m3s: float
    power: int = 2


class Duty(NamedTuple):
    """Where a pump runs.

    Parameters
    ----------
    flow_m3s : float
        Flow [m^3/s].
    head_m : float
        Head [m].
    """

    flow_m3s: float
    head_m: float


class Scaled(NamedTuple):
    """What a pump does at another speed.

    Parameters
    ----------
    flow_m3s : float
        Flow [m^3/s].
    head_m : float
        Head [m].
    power_W : float
        Shaft power [W].
    """

    flow_m3s: float
    head_m: float
    power_W: float


def _checked(pump: Pump) -> Pump:
    above_zero("shutoff_m", pump.shutoff_m, "m")
    above_zero("free_flow_m3s", pump.free_flow_m3s, "m^3/s")
    if pump.power not in (1, 2):
        raise ValueError(f"power: found {pump.power}, expected 1 (line) or 2 (parabola)")
    return pump


def pump_head(pump: Pump, flow_m3s: float) -> float:
    """Head that a pump gives at a flow.

    Parameters
    ----------
    pump : Pump
        The pump's curve [-].
    flow_m3s : float
        Flow [m^3/s].

    Returns
    -------
    head_m : float
        Head; negative past the free flow [m].

    Raises
    ------
    ValueError
        If an end of the curve is not above 0, its power is not 1 or 2, or the flow is negative.

    Notes
    -----
    No discharge rate for washers is published: 7 to 10 gpm is implied (S), 15 to 20 is M, from memory, unverified, 17
    is common practice (C).

    Examples
    --------
    >>> pump_head(Pump(60.0, 75.0, power=1), 10.0)
    52.0

    References
    ----------
    .. [1] Hydraulics practice question with answer, H = 60 - 0.8 Q (S).
    """
    _checked(pump)
    return pump.shutoff_m * (1 - (not_negative("flow_m3s", flow_m3s, "m^3/s") / pump.free_flow_m3s) ** pump.power)


def operating_point(pump: Pump, lift_m: float, resistance_s2m5: float) -> Duty:
    """Where a pump's curve meets the system curve H = lift + k Q^2, in closed form [1]_.

    Parameters
    ----------
    pump : Pump
        The pump's curve [-].
    lift_m : float
        Height from the machine's water line to the hose's outlet; negative helps [m].
    resistance_s2m5 : float
        k, head over flow squared [s^2/m^5].

    Returns
    -------
    duty : Duty
        Flow [m^3/s] and head [m]; no flow when the lift exceeds the pump's shut-off head.

    Raises
    ------
    ValueError
        If the pump is impossible, the lift is not a number or the resistance is negative.

    Notes
    -----
    The root is taken in the form that does not cancel. Fully rough flow; `pump_duty` has friction that varies.

    Examples
    --------
    >>> duty = operating_point(Pump(60.0, 75.0, power=1), 20.0, 0.5)
    >>> round(duty.flow_m3s, 2), round(duty.head_m, 2)
    (8.18, 53.46)

    References
    ----------
    .. [1] Hydraulics practice question with answer, 8.18 and 53.46 (S).
    """
    _checked(pump)
    spare = pump.shutoff_m - finite("lift_m", lift_m, "m")
    not_negative("resistance_s2m5", resistance_s2m5, "s^2/m^5")
    if spare <= 0:
        return Duty(0.0, pump.shutoff_m)
    fall = pump.shutoff_m / pump.free_flow_m3s**pump.power
    if pump.power == 1:
        flow = 2 * spare / (fall + math.sqrt(fall**2 + 4 * resistance_s2m5 * spare))
    else:
        flow = math.sqrt(spare / (fall + resistance_s2m5))
    return Duty(flow, lift_m + resistance_s2m5 * flow**2)


def pump_duty(pump: Pump, lift_m: float, hose: Sequence[Stretch], roughness_m: float = SMOOTH_M) -> Duty:
    """Where a pump runs against a lift and a real hose, with Colebrook friction, by bisection.

    Parameters
    ----------
    pump : Pump
        The pump's curve [-].
    lift_m : float
        Height from the machine's water line to the hose's outlet; take the hose's highest point when its far leg does
        not run full [m].
    hose : sequence of Stretch
        The hose, with its bends and the speed head that leaves (`EXIT_K`) in loss_k [-].
    roughness_m : float
        Wall roughness [m].

    Returns
    -------
    duty : Duty
        Flow [m^3/s] and head [m]; no flow when the lift exceeds the pump's shut-off head.

    Raises
    ------
    ValueError
        If the pump or the hose is impossible or the lift is not a number.

    Notes
    -----
    The curve's two ends are seldom known: report a band. Suds, gas and lint lower the curve.

    Examples
    --------
    8 ft of 7/8 in hose, 48 in of lift, a pump of 10 ft and 20 gpm at its ends, in gpm:

    >>> gpm = 3.785411784e-3 / 60
    >>> duty = pump_duty(Pump(3.048, 20 * gpm), 1.2192, [Stretch(0.022225, 2.4384, 2.5)])
    >>> round(duty.flow_m3s / gpm, 1)
    11.3

    References
    ----------
    .. [1] Energy equation with Darcy friction (D).
    """
    _checked(pump)
    head_loss(0.0, hose, roughness_m)
    if finite("lift_m", lift_m, "m") >= pump.shutoff_m or any(stretch.blocked_share == 1 for stretch in hose):
        return Duty(0.0, pump.shutoff_m)
    low, high = 0.0, operating_point(pump, lift_m, 0.0).flow_m3s
    for _ in range(60):
        middle = (low + high) / 2
        if pump_head(pump, middle) > lift_m + head_loss(middle, hose, roughness_m):
            low = middle
        else:
            high = middle
    flow = (low + high) / 2
    return Duty(flow, pump_head(pump, flow))


def affinity(flow_m3s: float, head_m: float, power_W: float, speed_ratio: float) -> Scaled:
    """The same pump at another speed: flow as the ratio, head as its square, power as its cube [1]_.

    Parameters
    ----------
    flow_m3s : float
        Flow at the first speed [m^3/s].
    head_m : float
        Head at the first speed [m].
    power_W : float
        Shaft power at the first speed [W].
    speed_ratio : float
        New speed over first speed [-].

    Returns
    -------
    scaled : Scaled
        Flow [m^3/s], head [m] and power [W] at the new speed.

    Raises
    ------
    ValueError
        If an entry is negative.

    Notes
    -----
    Same impeller, same efficiency. It moves a point along the curve; the duty at a fixed lift falls faster.

    Examples
    --------
    A 60 Hz pump on 50 Hz:

    >>> [round(x, 3) for x in affinity(1e-3, 3.0, 40.0, 50 / 60)]
    [0.001, 2.083, 23.148]

    References
    ----------
    .. [1] Affinity laws as quoted in hydraulics texts (S).
    """
    ratio = not_negative("speed_ratio", speed_ratio, "-")
    return Scaled(
        not_negative("flow_m3s", flow_m3s, "m^3/s") * ratio,
        not_negative("head_m", head_m, "m") * ratio**2,
        not_negative("power_W", power_W, "W") * ratio**3,
    )
