"""How a standpipe fills while the washer pumps: what leaves through the trap grows with the water that stands above it."""

import math

from ..domain import above_zero, not_negative
from ..friction import darcy_head_loss
from .full_bore import full_bore_flow, head_loss, run_head, standpipe_run
from .standpipe import standpipe_volume, time_to_overflow

_STEPS = 96  # of the outflow, from nothing to a full pipe's; the time is then within 1 in 1000 of finer ones'


def standpipe_filling_time(
    inflow_m3s: float,
    standpipe_m: float,
    bore_m: float,
    arm_m: float,
    trap_bore_m: float,
    arm_slope: float = 1 / 48,
    blocked_share: float = 0.0,
    hose_diameter_m: float = 0.0,
    insertion_m: float = 0.0,
) -> float:
    """Seconds until a standpipe runs over: A dz/dt = in - out(z), from water at the trap weir to the open top.

    Parameters
    ----------
    inflow_m3s : float
        Pump rate [m^3/s].
    standpipe_m : float
        Open top above the trap weir [m].
    bore_m : float
        Inside diameter of the standpipe [m].
    arm_m : float
        Length of the trap arm [m].
    trap_bore_m : float
        Inside diameter of trap and arm [m].
    arm_slope : float
        Fall of the arm over its run [-].
    blocked_share : float
        Part of the area of trap and arm that lint has closed [-].
    hose_diameter_m, insertion_m : float
        Outside diameter of the hose and its length in the pipe [m].

    Returns
    -------
    time_s : float
        Time until it runs over; infinite when a full pipe passes what comes [s].

    Raises
    ------
    ValueError
        As `standpipe_run` and `standpipe_volume`, or a negative inflow or slope.

    Notes
    -----
    An upper bound. Quasi-steady: at each level `full_bore_flow` at the head there is, with the friction of as much pipe as
    is full. Water must first be set going, and little leaves before the arm's mouth is covered: stepped with the water's
    inertia, washer pipes ran over 5 to 30 in 100 sooner, the most where in and out nearly balance (D).

    References
    ----------
    .. [1] Conservation of volume with the energy equation (D).

    Examples
    --------
    39 in of 1 1/2 in pipe on a 1 1/2 in trap and 3 ft arm, 60 in 100 closed by lint, 17 gpm, hose 6 in deep; then plugged:

    >>> gpm, inch = 3.785411784e-3 / 60, 0.0254
    >>> pipe = (39 * inch, 1.5 * inch, 36 * inch, 1.5 * inch)
    >>> hose = {"hose_diameter_m": 0.0286, "insertion_m": 6 * inch}
    >>> round(standpipe_filling_time(17 * gpm, *pipe, blocked_share=0.6, **hose), 1)
    4.7
    >>> round(standpipe_filling_time(17 * gpm, *pipe, blocked_share=1.0, **hose), 2)
    0.96
    """
    not_negative("inflow_m3s", inflow_m3s, "m^3/s")
    above_zero("bore_m", bore_m, "m")
    above, trap = standpipe_run(standpipe_m, bore_m, arm_m, trap_bore_m, blocked_share)
    full = full_bore_flow(run_head(standpipe_m, arm_m, trap_bore_m, arm_slope), (above, trap))
    volume = standpipe_volume(standpipe_m, bore_m, hose_diameter_m, insertion_m)
    # What is there besides the water in the standpipe: the arm's fall less the half bore at its mouth.
    fall = arm_m * arm_slope - trap_bore_m / 2
    fittings = (above._replace(length_m=0.0), trap)
    if inflow_m3s <= full or full == 0 or head_loss(full, fittings) <= fall:
        # It keeps up, or nothing leaves, or friction in a narrow standpipe takes what each inch of water adds.
        return time_to_overflow(volume, inflow_m3s, full)

    def level_m(flow: float) -> float:
        # The level that drives a flow: the head balance is linear in it, so no root is searched.
        spare = 1 - darcy_head_loss(flow, bore_m, 1.0)
        return min(max((head_loss(flow, fittings) - fall) / spare, 0.0), standpipe_m) if spare > 0 else standpipe_m

    hose_end = standpipe_m - min(insertion_m, standpipe_m)
    wide, narrow = math.pi / 4 * bore_m**2, math.pi / 4 * (bore_m**2 - hose_diameter_m**2)
    total, flow, level = 0.0, 0.0, 0.0
    for step in range(_STEPS + 1):
        above_flow = full * step / _STEPS
        above_level = standpipe_m if step == _STEPS else max(level, level_m(above_flow))
        if above_level > level:
            below = min(max((hose_end - level) / (above_level - level), 0.0), 1.0)
            at_hose = flow + below * (above_flow - flow)
            rise = above_level - level
            total += wide * below * rise * _mean_inverse(inflow_m3s - flow, inflow_m3s - at_hose)
            total += narrow * (1 - below) * rise * _mean_inverse(inflow_m3s - at_hose, inflow_m3s - above_flow)
        flow, level = above_flow, above_level
    return total


def _mean_inverse(first: float, last: float) -> float:
    """Return the mean of 1/x between two values of x, exact: near a balance of in and out it grows without bound."""
    gap = first - last
    return math.log1p(gap / last) / gap if gap > 1e-9 * last else 1 / last
