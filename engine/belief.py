"""Exact belief over causes: a two-layer noisy-OR network in which several causes may be present.

Each finding is on with probability 1 - (1 - leak) * product of (1 - strength) over the causes at work (net leak). The
textbook alternating sum over positive findings cancels and can return negative probabilities; here the recursion runs over
*which findings have been triggered so far*, so that every term is a sum of positive numbers. Its cost is 2^k in the k
findings that several causes may explain; findings with a single cause fold into that cause's odds.

A remedy splits its cause: present and cured by it, or still at work. A cured cause explains only what was seen before.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_BITS = 18


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
        A complaint that was there and ended with this many remedies done.
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
class _Cause:
    """One cause's alternatives: weight when absent, and (weight, cured at, links to bits) for each way to be present."""

    absent: Array
    present: list[tuple[Array, int | None]]
    links: list[list[tuple[int, float, bool]]] = field(default_factory=list)


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
        If more findings than MOST_BITS each have several possible causes.

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
    states, count = prior.shape
    causes = [
        _Cause(1 - prior[:, i], [(prior[:, i] * s, at) for s, at in alternatives(cures.get(i, []))])
        for i in range(count)
    ]
    constant, bits = _fold(causes, findings)
    if len(bits) > MOST_BITS:
        raise ValueError(f"{len(bits)} findings with several causes; at most {MOST_BITS} can be held exactly")
    for i, cause in enumerate(causes):
        cause.links = [
            [
                (b, f.links[i], f.gone_at is None or not active(at, f.gone_at))
                for b, f in enumerate(bits)
                if i in f.links and active(at, f.epoch)
            ]
            for _, at in cause.present
        ]
    final = _final(bits)
    start = np.zeros((states, 1 << len(bits)))
    start[:, 0] = share * constant
    forward = [start]
    for cause in causes:
        forward.append(_step(cause, forward[-1]))
    backward = [np.broadcast_to(final, start.shape)]
    for cause in reversed(causes):
        backward.append(_step_back(cause, backward[-1]))
    backward.reverse()
    return _posterior(causes, bits, forward, backward, final)


def _fold(causes: list[_Cause], findings: list[Finding]) -> tuple[float, list[Finding]]:
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
        elif len(finding.links) <= 1 and not finding.complaint:
            absent = finding.on + (finding.off - finding.on) * off
            constant *= absent
            for i, strength in finding.links.items():
                ratio = (finding.on + (finding.off - finding.on) * off * (1 - strength)) / absent
                causes[i].present = [(w * ratio if active(at, finding.epoch) else w, at) for w, at in causes[i].present]
        else:
            bits.append(finding)
    return constant, bits


def _final(bits: list[Finding]) -> Array:
    """Return the weight of each set of triggered findings: what a leak and the report make of the rest."""
    weight = np.ones(1)
    for f in reversed(bits):
        if f.gone_at is not None:
            # The complaint ended, so no leak stood behind it; only cured causes can have fired it.
            clear, triggered = 0.0, 1.0 - f.leak
        else:
            clear, triggered = f.leak * f.on + (1 - f.leak) * f.off, f.on
        weight = np.multiply.outer(weight, np.array([clear, triggered])).ravel()
    return weight


def _trigger(v: Array, links: list[tuple[int, float, bool]]) -> Array:
    """Return weights over triggered sets after a cause fired its links, each independently."""
    v = v.copy()
    for bit, strength, fires in links:
        w = v.reshape(v.shape[0], -1, 2, 1 << bit)
        if fires:
            w[:, :, 1] += strength * w[:, :, 0]
            w[:, :, 0] *= 1 - strength
        else:
            w *= 1 - strength
    return v


def _trigger_back(v: Array, links: list[tuple[int, float, bool]]) -> Array:
    """Return the transpose of `_trigger`."""
    v = v.copy()
    for bit, strength, fires in links:
        w = v.reshape(v.shape[0], -1, 2, 1 << bit)
        if fires:
            w[:, :, 0] = (1 - strength) * w[:, :, 0] + strength * w[:, :, 1]
        else:
            w *= 1 - strength
    return v


def _step(cause: _Cause, v: Array) -> Array:
    out = cause.absent[:, None] * v
    for (weight, _), links in zip(cause.present, cause.links, strict=True):
        out += weight[:, None] * (_trigger(v, links) if links else v)
    return out


def _step_back(cause: _Cause, u: Array) -> Array:
    out = cause.absent[:, None] * u
    for (weight, _), links in zip(cause.present, cause.links, strict=True):
        out += weight[:, None] * (_trigger_back(u, links) if links else u)
    return out


def _posterior(
    causes: list[_Cause], bits: list[Finding], forward: list[Array], backward: list[Array], final: Array
) -> Posterior:
    by_state = (forward[-1] * final).sum(axis=1)
    evidence = float(by_state.sum())
    if not evidence > 0:
        raise ValueError("the evidence is impossible under this kb")
    standing = [b for b, f in enumerate(bits) if f.complaint and f.gone_at is None]
    present = np.zeros(len(causes))
    explains = np.zeros(len(causes))
    for i, cause in enumerate(causes):
        (weight, _), links = cause.present[-1], cause.links[-1]
        before = forward[i] * weight[:, None]
        present[i] = (_trigger(before, links) * backward[i + 1]).sum()
        fired = 0.0
        for n, (bit, strength, _) in enumerate([link for link in links if link[0] in standing]):
            # Split by the first standing complaint that this cause fires, so that every term is positive.
            earlier = [link for link in links if link[0] in standing][:n]
            skip = {b for b, _, _ in earlier} | {bit}
            part = _trigger(before, [link for link in links if link[0] not in skip])
            for _, missed, _ in earlier:
                part = part * (1 - missed)
            w = part.reshape(part.shape[0], -1, 2, 1 << bit)
            w[:, :, 1] = strength * (w[:, :, 0] + w[:, :, 1])
            w[:, :, 0] = 0.0
            fired += float((part * backward[i + 1]).sum())
        explains[i] = fired
    if standing:
        sets = np.arange(len(final))
        mask = sum(1 << b for b in standing)
        unknown = float((forward[-1] * final)[:, (sets & mask) != mask].sum())
    else:
        alone = forward[0]
        for cause in causes:
            alone = alone * cause.absent[:, None]
        unknown = float((alone * final).sum())
    return Posterior(evidence, present / evidence, explains / evidence, unknown / evidence, by_state / evidence)
