"""Exact belief over causes: a two-layer noisy-OR network in which several causes may be present.

Each finding is on with probability 1 - (1 - leak) * product of (1 - strength) over the causes at work (net leak). The
textbook alternating sum over positive findings cancels and can return negative probabilities; here the recursion runs over
*which findings have been triggered so far*, so that every term is a sum of positive numbers. Findings with a single cause
fold into that cause's odds. A finding that several causes may explain is held open from its first cause to its last, and
causes are taken in an order that keeps few open: the cost is 2^k in the k findings open at once, not in all of them.

A remedy splits its cause: present and cured by it, or still at work. A cured cause explains only what was seen before.
"""

import math
from contextvars import ContextVar
from dataclasses import dataclass

import numpy as np

from .frontier import Array, Root, Turn, close_back, fired, forward, placed, step_back, trigger, turns_of

MOST_OPEN = 20
# States of the facts are taken in blocks of about so many numbers, so that memory stays small.
BLOCK = 1 << 14
# The most work that one posterior may be, counted in numbers touched once; a face that strangers reach sets it for its own run.
MOST_WORK: ContextVar[float] = ContextVar("most_work", default=math.inf)


class TooTangled(ValueError):
    """So much is open at once that the posterior would take too long; the count is of work, never of time."""


@dataclass(frozen=True)
class Finding:
    """Evidence on one noisy-OR finding.

    Parameters
    ----------
    leak : float
        Chance that it is on with no listed cause [prob].
    links : dict of int to float
        Cause index -> strength [prob].
    on, off : float
        Likelihood of what was reported if the finding is on, and if it is off [-]. Seen: 1, 0. Not seen: 0, 1.
    epoch : int
        How many remedies had been done when it was reported.
    complaint : bool
        The person complains of it; causes are said to *explain* complaints only.
    gone_at : int, optional
        A complaint that was there and ended with this many remedies done; `off` is then the chance that what this kb
        does not list ended by itself.
    """

    leak: float
    links: dict[int, float]
    on: float
    off: float
    epoch: int = 0
    complaint: bool = False
    gone_at: int | None = None


@dataclass(frozen=True)
class Posterior:
    """What is believed: arrays run over causes, `facts` over the joint states of the unknown facts."""

    evidence: float
    present: Array
    explains: Array
    unknown: float
    facts: Array


@dataclass
class _Sums:
    """Joint chances with the evidence, summed over the states of the facts."""

    present: Array
    explains: Array
    unknown: float
    by_state: Array


def alternatives(cures: list[tuple[int, float]]) -> list[tuple[float, int | None]]:
    """Return the ways in which a present cause can have met its remedies: (share, cured at remedy or None).

    Parameters
    ----------
    cures : list of (int, float)
        Ordinal of each remedy done on this cause, and its chance to cure [prob].

    Examples
    --------
    >>> alternatives([(1, 0.9)])
    [(0.9, 1), (0.09999999999999998, None)]
    """
    out: list[tuple[float, int | None]] = []
    left = 1.0
    for ordinal, cure in cures:
        out.append((left * cure, ordinal))
        left *= 1 - cure
    return [*out, (left, None)]


def active(cured_at: int | None, epoch: int) -> bool:
    """Return whether a cause cured at some remedy was still at work with `epoch` remedies done."""
    return cured_at is None or epoch < cured_at


def infer(
    prior: Array, share: Array, findings: list[Finding], cures: dict[int, list[tuple[int, float]]] | None = None
) -> Posterior:
    """Return the exact posterior of every cause.

    Parameters
    ----------
    prior : array (facts, causes)
        Chance of each cause in each joint state of the unknown facts [prob].
    share : array (facts,)
        Prior of those states, summing to 1 [prob].
    findings : list of Finding
        The evidence.
    cures : dict, optional
        Cause index -> remedies done on it, as (ordinal, chance to cure).

    Returns
    -------
    Posterior
        `present` counts causes still at work; `explains` those whose link fired for a complaint that still stands;
        `unknown` is the chance that some standing complaint is explained by no listed cause, or, with no complaint,
        that no listed cause is present.

    Raises
    ------
    ValueError
        If the evidence is impossible, or more than MOST_OPEN findings must be held open at once.
    TooTangled
        If it would be more work than MOST_WORK, where a face has set it.

    Notes
    -----
    Source: derived here, checked against brute force, exact fractions and a second library in the tests.

    Examples
    --------
    The worked noisy-OR table of the literature: cold .4, flu .8, malaria .9, no leak; flu alone is certain here.

    >>> import numpy as np
    >>> fever = Finding(1e-12, {0: 0.4, 1: 0.8}, 1.0, 0.0, complaint=True)
    >>> p = infer(np.array([[0.5, 0.5]]), np.array([1.0]), [fever])
    >>> round(p.evidence, 6)  # .25 * (.4 + .8 + .88)
    0.52
    """
    cures = cures or {}
    causes = [
        Root(1 - prior[:, i], [(prior[:, i] * s, at) for s, at in alternatives(cures.get(i, []))])
        for i in range(prior.shape[1])
    ]
    constant, bits = _fold(causes, findings)
    for i, cause in enumerate(causes):
        cause.links = [
            [
                (b, f.links[i], f.gone_at is None or not active(at, f.gone_at))
                for b, f in enumerate(bits)
                if i in f.links and active(at, f.epoch)
            ]
            for _, at in cause.present
        ]
    turns = turns_of(causes, len(bits))
    most = max((len(t.held) for t in turns), default=0)
    if most > MOST_OPEN:
        raise ValueError(f"{most} findings with several causes must be held open at once; at most {MOST_OPEN} can be")
    work = len(share) * sum(1 << len(t.held) for t in turns)
    if work > MOST_WORK.get():
        raise TooTangled(f"{len(share)} states of the facts and {most} findings held open at once are too much to work out here")
    block = max(1, BLOCK >> most)
    sums = _Sums(np.zeros(len(causes)), np.zeros(len(causes)), 0.0, np.zeros(len(share)))
    for start in range(0, len(share), block):
        rows = slice(start, start + block)
        part = [Root(c.absent[rows], [(w[rows], at) for w, at in c.present], c.links) for c in causes]
        _add(sums, rows, share[rows] * constant, part, bits, turns)
    evidence = float(sums.by_state.sum())
    if not evidence > 0:
        raise ValueError("the evidence is impossible under this kb")
    return Posterior(
        evidence, sums.present / evidence, sums.explains / evidence, sums.unknown / evidence, sums.by_state / evidence
    )


def _fold(causes: list[Root], findings: list[Finding]) -> tuple[float, list[Finding]]:
    """Multiply findings that factor by cause into the causes' weights; return the constant and the findings that don't."""
    constant = 1.0
    bits = []
    for finding in findings:
        off = 1 - finding.leak
        if finding.on == finding.off:
            constant *= finding.on
        elif finding.on == 0.0:
            constant *= finding.off * off
            for i, strength in finding.links.items():
                causes[i].present = [
                    (w * (1 - strength) if active(at, finding.epoch) else w, at) for w, at in causes[i].present
                ]
        elif len(finding.links) <= 1 and not finding.complaint and (finding.off or finding.leak):
            absent = finding.on + (finding.off - finding.on) * off
            constant *= absent
            for i, strength in finding.links.items():
                ratio = (finding.on + (finding.off - finding.on) * off * (1 - strength)) / absent
                causes[i].present = [(w * ratio if active(at, finding.epoch) else w, at) for w, at in causes[i].present]
        else:
            bits.append(finding)
    return constant, bits


def _final(f: Finding) -> tuple[float, float]:
    """Return the weight of a finding that no cause triggered, and of one that some did: what a leak and the report add."""
    if f.gone_at is not None:
        # The complaint ended: a leak behind it ended by itself; else only cured causes can have fired it.
        return f.leak * f.off, 1.0 - f.leak + f.leak * f.off
    return f.leak * f.on + (1 - f.leak) * f.off, f.on


def _add(sums: _Sums, rows: slice, share: Array, causes: list[Root], bits: list[Finding], turns: list[Turn]) -> None:
    """Add a block of states of the facts to the sums."""
    finals = [_final(f) for f in bits]
    linked = {b for turn in turns for b in turn.held}
    standing = [b for b, f in enumerate(bits) if f.complaint and f.gone_at is None]
    lone = set(range(len(causes))) - {turn.cause for turn in turns}
    whole = {i: causes[i].absent + sum(w for w, _ in causes[i].present) for i in lone}
    start = share.copy()
    for factor in whole.values():
        start = start * factor
    for b in set(range(len(bits))) - linked:
        start = start * finals[b][0]
    before, by_state = forward(start, causes, turns, finals)
    sums.by_state[rows] = by_state
    for i, factor in whole.items():
        sums.present[i] += float((by_state * _part(causes[i].present[-1][0], factor)).sum())
    after = np.ones((len(share), 1), order="F")
    for turn, v in zip(reversed(turns), reversed(before), strict=True):
        held = list(turn.held)
        closed = [(place, finals[held.pop(place)]) for place in turn.closes]
        for place, weights in reversed(closed):
            after = close_back(after, place, weights)
        cause = causes[turn.cause]
        links = placed(cause, turn)
        at_work = (cause.present[-1][0] * v.T).T
        sums.present[turn.cause] += float((trigger(at_work, links[-1]) * after).sum())
        places = [n for n, b in enumerate(turn.held) if b in standing]
        sums.explains[turn.cause] += fired(at_work, links[-1], places, after)
        after = step_back(cause, links, after)[:, : 1 << (len(turn.held) - turn.opens)]
    sums.unknown += _unexplained(start, causes, turns, finals, standing, linked)


def _part(part: Array, whole: Array) -> Array:
    """Return part / whole, 0 where the whole is impossible."""
    return np.divide(part, whole, out=np.zeros_like(part), where=whole > 0)


def _unexplained(
    start: Array,
    causes: list[Root],
    turns: list[Turn],
    finals: list[tuple[float, float]],
    standing: list[int],
    linked: set[int],
) -> float:
    """Return the chance that some standing complaint has no listed explanation, split by the first such one."""
    if not standing:
        alone = start
        for turn in turns:
            alone = alone * causes[turn.cause].absent
        for b in linked:
            alone = alone * finals[b][0]
        for i in set(range(len(causes))) - {turn.cause for turn in turns}:
            alone = alone * _part(causes[i].absent, causes[i].absent + sum(w for w, _ in causes[i].present))
        return float(alone.sum())
    total = 0.0
    split = list(finals)
    for b in standing:
        clear, triggered = finals[b]
        if b in linked:
            split[b] = (clear, 0.0)
            total += float(forward(start, causes, turns, split)[1].sum())
            split[b] = (0.0, triggered)
        else:
            # No cause can explain it: all that is left goes unexplained.
            return total + float(forward(start, causes, turns, split)[1].sum())
    return total
