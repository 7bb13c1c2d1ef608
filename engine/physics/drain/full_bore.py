"""What standpipe, trap and arm pass when they run full: the head there is against fittings and friction."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from ..domain import above_zero, finite, not_negative, share
from ..friction import GRAVITY_MS2, SMOOTH_M, darcy_head_loss

EXIT_K = 1.0
"""The speed head leaves with the water (D, energy equation)."""
TRAP_K = 1.5
"""P-trap, a return bend and a quarter bend: judgement, on the high side of `TRAP_K_BAND`."""
TRAP_K_BAND = (0.5, 1.9)
"""Smooth long bends to tight ones: rounded bends of radius 1.5 to 0.7 bores in the open library `fluids` 1.3.1 (D)."""
TRAP_LENGTH_M = 0.3
"""Length of pipe along a 2 in trap: judgement."""


class Stretch(NamedTuple):
    """A length of pipe or hose of one bore, with the fittings on it.

    Parameters
    ----------
    bore_m : float
        Inside diameter [m].
    length_m : float
        Length along the pipe [m].
    loss_k : float
        Sum of fitting losses, in speed heads of this bore [-].
    friction_times : float
        Multiplies the friction factor, for corrugated hose [-].
    blocked_share : float
        Part of the bore's area closed by lint all along the stretch [-].
    """

    bore_m: float
    length_m: float
    loss_k: float = 0.0
    friction_times: float = 1.0
    blocked_share: float = 0.0


def step_k(upstream_bore_m: float, downstream_bore_m: float) -> float:
    """Loss where a full pipe changes its bore suddenly, in speed heads of the narrower bore.

    With b the narrower bore over the wider: widening (1 - b^2)^2; narrowing 0.0696 (1 - b^5) j^2 + (j - 1)^2, where the
    jet's j = 1 + 0.622 (1 - 0.215 b^2 - 0.785 b^5).

    Parameters
    ----------
    upstream_bore_m : float
        Inside diameter before the step [m].
    downstream_bore_m : float
        Inside diameter after the step [m].

    Returns
    -------
    loss_k : float
        Loss coefficient [-].

    Raises
    ------
    ValueError
        If a bore is not above 0.

    Notes
    -----
    Sharp edges. Widening is the Borda-Carnot momentum balance; narrowing is a fit, and older fits lie 0.1 lower.

    Examples
    --------
    1 1/2 in into 2 in:

    >>> round(step_k(0.0381, 0.0508), 3)
    0.191

    References
    ----------
    .. [1] Documentation of the open library `fluids` 1.3.1, diffuser_sharp and contraction_sharp (P).
    """
    before = above_zero("upstream_bore_m", upstream_bore_m, "m")
    after = above_zero("downstream_bore_m", downstream_bore_m, "m")
    ratio = min(before, after) / max(before, after)
    if after > before:
        return (1 - ratio**2) ** 2
    jet = 1 + 0.622 * (1 - 0.215 * ratio**2 - 0.785 * ratio**5)
    return 0.0696 * (1 - ratio**5) * jet**2 + (jet - 1) ** 2


def standpipe_run(
    standpipe_m: float,
    bore_m: float,
    arm_m: float,
    trap_bore_m: float,
    blocked_share: float = 0.0,
    trap_k: float = TRAP_K,
) -> tuple[Stretch, ...]:
    """The stretches that the washer's water passes: standpipe, then trap and arm.

    Parameters
    ----------
    standpipe_m : float
        Height of the standpipe above the trap weir [m].
    bore_m : float
        Inside diameter of the standpipe [m].
    arm_m : float
        Length of the trap arm, weir to vent or branch [m].
    trap_bore_m : float
        Inside diameter of trap and arm [m].
    blocked_share : float
        Part of the area of trap and arm that lint has closed [-].
    trap_k : float
        Loss of the trap's bends, in speed heads; try both ends of `TRAP_K_BAND` [-].

    Returns
    -------
    run : tuple of Stretch
        To hand to `full_bore_flow` [-].

    Raises
    ------
    ValueError
        If a bore is not above 0, a length or loss is negative, or the blocked share lies outside 0 to 1.

    Notes
    -----
    The speed head that leaves with the water is counted once, in the arm. Lint is taken as a lining over the whole of
    trap and arm; one narrow spot costs less.

    Examples
    --------
    >>> [round(s.loss_k, 2) for s in standpipe_run(0.762, 0.0381, 1.5, 0.0508)]
    [0.19, 2.5]

    References
    ----------
    .. [1] Energy equation with losses (D); the trap's loss is judgement within a derived band.
    """
    not_negative("standpipe_m", standpipe_m, "m")
    not_negative("arm_m", arm_m, "m")
    not_negative("trap_k", trap_k, "-")
    share("blocked_share", blocked_share)
    step = step_k(bore_m, trap_bore_m)
    above, below = (step, 0.0) if bore_m <= trap_bore_m else (0.0, step)
    trap = Stretch(trap_bore_m, TRAP_LENGTH_M + arm_m, trap_k + EXIT_K + below, blocked_share=blocked_share)
    return Stretch(bore_m, standpipe_m, above), trap


def run_head(standpipe_m: float, arm_m: float, trap_bore_m: float, arm_slope: float = 1 / 48) -> float:
    """Head on a run that is full to the standpipe's top: from there down to the middle of the arm's open end.

    Parameters
    ----------
    standpipe_m : float
        Height of the standpipe above the trap weir [m].
    arm_m : float
        Length of the trap arm [m].
    trap_bore_m : float
        Inside diameter of the arm [m].
    arm_slope : float
        Fall of the arm over its run; 1/4 in/ft is 1/48 [-].

    Returns
    -------
    head_m : float
        Head; 0 when the outlet lies higher than the top [m].

    Raises
    ------
    ValueError
        If a length or the slope is negative or the bore is not above 0.

    Notes
    -----
    The weir is the arm's floor, so the outflowing jet's middle lies half a bore above it. The arm must end in a vented
    pipe that is not itself full; a branch that backs up takes its water level off this head.

    Examples
    --------
    >>> round(run_head(0.762, 1.524, 0.0508), 3)
    0.768

    References
    ----------
    .. [1] Geometry (D).
    """
    not_negative("standpipe_m", standpipe_m, "m")
    not_negative("arm_m", arm_m, "m")
    not_negative("arm_slope", arm_slope, "-")
    above_zero("trap_bore_m", trap_bore_m, "m")
    return max(0.0, standpipe_m + arm_m * arm_slope - trap_bore_m / 2)


def head_loss(flow_m3s: float, run: Sequence[Stretch], roughness_m: float = SMOOTH_M) -> float:
    """Head that a flow needs to pass stretches in series: the sum of (K + f L/D) V^2/2g.

    Parameters
    ----------
    flow_m3s : float
        Flow [m^3/s].
    run : sequence of Stretch
        The stretches, in order [-].
    roughness_m : float
        Wall roughness of all of them [m].

    Returns
    -------
    head_m : float
        Head needed; infinite when a stretch is wholly blocked and the flow is not 0 [m].

    Raises
    ------
    ValueError
        If an entry is impossible: a negative flow, length or loss, a bore not above 0, a blocked share outside 0 to 1.

    Notes
    -----
    Water at 20 C that fills the pipe. Air carried down by the hose's jet makes the real loss larger.

    Examples
    --------
    >>> round(head_loss(1e-3, [Stretch(0.0508, 2.0, 2.5)]), 3)
    0.043

    References
    ----------
    .. [1] Energy equation with Darcy friction (D).
    """
    not_negative("flow_m3s", flow_m3s, "m^3/s")
    total = 0.0
    for stretch in run:
        not_negative("loss_k", stretch.loss_k, "-")
        open_share = 1 - share("blocked_share", stretch.blocked_share)
        bore = above_zero("bore_m", stretch.bore_m, "m") * math.sqrt(open_share)
        if bore == 0:
            if flow_m3s > 0:
                return math.inf
            continue
        speed = flow_m3s / (math.pi * bore**2 / 4)
        total += stretch.loss_k * speed**2 / (2 * GRAVITY_MS2)
        total += darcy_head_loss(flow_m3s, bore, stretch.length_m, roughness_m, stretch.friction_times)
    return total


def full_bore_flow(head_m: float, run: Sequence[Stretch], roughness_m: float = SMOOTH_M) -> float:
    """Flow that a head drives through stretches that run full; overflow is judged by this.

    Parameters
    ----------
    head_m : float
        Head there is, see `run_head`; 0 or less drives nothing [m].
    run : sequence of Stretch
        The stretches, in order, see `standpipe_run` [-].
    roughness_m : float
        Wall roughness of all of them [m].

    Returns
    -------
    flow_m3s : float
        Flow at which losses use the head up, by bisection [m^3/s].

    Raises
    ------
    ValueError
        If an entry is impossible, or nothing in the run resists the flow.

    Notes
    -----
    An upper bound: no air in the water, an arm that ends free and vented, lint only as told. Report a margin over the
    pump's rate, with the share of blockage that would use it up. It is far above the quarter-full figure of
    `stack_capacity`, which is a design limit and no measure of overflow.

    Examples
    --------
    30 in of 1 1/2 in standpipe on a 1 1/2 in trap and 3 1/2 ft arm, clean and with half the trap's area gone:

    >>> gpm = 3.785411784e-3 / 60
    >>> head = run_head(0.762, 1.0668, 0.0381)
    >>> round(full_bore_flow(head, standpipe_run(0.762, 0.0381, 1.0668, 0.0381)) / gpm)
    37
    >>> round(full_bore_flow(head, standpipe_run(0.762, 0.0381, 1.0668, 0.0381, blocked_share=0.5)) / gpm)
    18

    References
    ----------
    .. [1] Energy equation with Darcy friction (D).
    """
    finite("head_m", head_m, "m")
    head_loss(0.0, run, roughness_m)  # refuses impossible stretches before anything is searched
    if head_m <= 0 or any(stretch.blocked_share == 1 for stretch in run):
        return 0.0
    low, high = 0.0, 1e-6
    while head_loss(high, run, roughness_m) < head_m:
        low, high = high, high * 2
        if high > 1e6:
            raise ValueError("run: found no loss in any stretch, expected a length or a loss_k above 0")
    for _ in range(60):
        middle = (low + high) / 2
        if head_loss(middle, run, roughness_m) < head_m:
            low = middle
        else:
            high = middle
    return (low + high) / 2
