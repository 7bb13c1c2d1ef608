"""Exact posteriors outside the engine, in two ways that share nothing with it: whole numbers of 256 bits, and every world.

The first is the textbook's alternating sum over sets of positive findings, which float64 turns negative; 256 bits leave more
than 30 digits after all cancellation here. The second lists every set of causes in every state of the facts, as positive terms only.
"""

import math
from collections.abc import Sequence
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from .twolayer import TwoLayer

BITS = 256
ONE = 1 << BITS
MOST_SETS = 14  # positive findings that couple causes; each doubles the terms
MOST_WORLDS = 18  # causes; each doubles the worlds


class Exact(NamedTuple):
    """Cause -> chance that it is present, and that it explains the complaint (None where that was not worked out)."""

    present: dict[str, float]
    explains: dict[str, float] | None


class TooMany(ValueError):
    """More terms than this way can list."""


def terms(network: TwoLayer) -> int:
    """Return how many terms the alternating sum has: sets of findings times joint states of the facts."""
    double = sum(bool(s.on) and s.on != s.off for s in network.seen.values())
    return math.prod(len(s) for s in network.facts.values()) << double


def whole_numbers(network: TwoLayer) -> Exact:
    """Return exact posteriors by inclusion and exclusion in fixed point of 256 bits.

    Parameters
    ----------
    network : TwoLayer

    Raises
    ------
    TooMany
        With more than MOST_SETS findings that are likelier or less likely on, but not impossible.

    Notes
    -----
    P(report of f) = on - (on - off) (1 - leak) * product of (1 - strength): a product over findings is a sum over the sets of
    findings whose second term is taken, and in each set causes and facts factor. What was not seen has one term.
    """
    double = [n for n, s in network.seen.items() if s.on and s.on != s.off]
    if len(double) > MOST_SETS:
        raise TooMany(f"{len(double)} findings with two terms, at most {MOST_SETS}")
    sign = _sets(double, {n: _whole(s.on) for n, s in network.seen.items()}, {n: _second(network, n) for n in double})
    for n, s in network.seen.items():
        if not (s.on and s.on != s.off):
            sign = sign * (_whole(s.on) if s.on == s.off else _second(network, n)) >> BITS
    kinds = _kinds(network)
    silent = {c: _silent(network, double, c) for c in network.causes}
    fires = {c: _fires(network, double, c, silent[c]) for c in network.causes}
    factor = {
        c: [(ONE - p) + (p * silent[c] >> BITS) for p in map(_whole, network.causes[c].chance)] for c in network.causes
    }
    whole = {
        parents: [_product([factor[c][n] for c in of]) for n in range(len(factor[of[0]]))]
        for parents, of in kinds.items()
    }
    evidence, by_kind = _over_facts(network, sign, whole)
    present, explains = {}, {}
    for parents, of in kinds.items():
        for c in of:
            at_work, fired = 0, 0
            for n, p in enumerate(map(_whole, network.causes[c].chance)):
                beside = (by_kind[parents][n] * p) // factor[c][n]
                at_work += int((beside * silent[c] >> BITS).sum())
                fired += int((beside * fires[c] >> BITS).sum())
            present[c], explains[c] = at_work / evidence, fired / evidence
    return Exact(present, explains if network.complaint else None)


def _whole(x: float) -> int:
    """Return a float in fixed point, exactly as it is."""
    over, under = x.as_integer_ratio()
    return (over << BITS) // under


def _second(network: TwoLayer, node: str) -> int:
    """Return the factor of a finding's second term, without its causes: -(on - off) (1 - leak)."""
    s = network.seen[node]
    return -(_whole(s.on) - _whole(s.off)) * (ONE - _whole(s.leak)) >> BITS


def _sets(double: list[str], first: dict[str, int], second: dict[str, int]) -> Any:
    """Return the constant of every set of findings; bit n of a set's number says that finding n is in it."""
    out = np.array([ONE], dtype=object)
    for n in double:
        out = np.concatenate([out * first[n] >> BITS, out * second[n] >> BITS])
    return out


def _silent(network: TwoLayer, double: list[str], cause: str, barred: str = "") -> Any:
    """Return, for every set, the chance that a cause at work fires nothing of it, nor anything that was not seen."""
    base = ONE
    for s in network.seen.values():
        if s.on == 0 and s.on != s.off and cause in s.links:
            base = base * (ONE - _whole(s.links[cause])) >> BITS
    out = np.array([base], dtype=object)
    for n in double:
        s = network.seen[n].links.get(cause)
        if n == barred:
            # It has fired this one, so its report is certain in both terms: only the first of them is there.
            out = np.concatenate([out, out * 0])
        else:
            out = np.concatenate([out, out if s is None else out * (ONE - _whole(s)) >> BITS])
    return out


def _fires(network: TwoLayer, double: list[str], cause: str, silent: Any) -> Any:
    """Return, for every set, the weight of a cause at work whose link to the complaint fired."""
    s = network.seen[network.complaint].links.get(cause, 0.0) if network.complaint else 0.0
    if not s or network.complaint not in double:
        return silent * 0
    return _silent(network, double, cause, network.complaint) * _whole(s) >> BITS


def _kinds(network: TwoLayer) -> dict[tuple[str, ...], list[str]]:
    """Return the causes by the facts that are their parents."""
    out: dict[tuple[str, ...], list[str]] = {}
    for c, cause in network.causes.items():
        out.setdefault(tuple(cause.parents), []).append(c)
    return out


def _over_facts(
    network: TwoLayer, sign: Any, whole: dict[tuple[str, ...], list[Any]]
) -> tuple[int, dict[tuple[str, ...], list[Any]]]:
    """Return the evidence, and for each kind of cause the weight of every set in each state of the facts that are its parents."""
    evidence = 0
    out: dict[tuple[str, ...], list[Any]] = {parents: [0] * len(parts) for parents, parts in whole.items()}
    for state in product(*(range(len(s)) for s in network.facts.values())):
        at = dict(zip(network.facts, state, strict=True))
        share = _product([_whole(network.facts[f][o]) for f, o in at.items()])
        place = {parents: _place(network, parents, at) for parents in whole}
        here = _product([sign, share, *(whole[parents][n] for parents, n in place.items())])
        evidence += int(here.sum())
        for parents, n in place.items():
            out[parents][n] = out[parents][n] + here
    return evidence, out


def _place(network: TwoLayer, parents: Sequence[str], at: dict[str, int]) -> int:
    """Return where a cause's chance in a state of the facts stands in its list."""
    n = 0
    for f in parents:
        n = n * len(network.facts[f]) + at[f]
    return n


def _product(parts: list[Any]) -> Any:
    out, *rest = parts or [ONE]
    for part in rest:
        out = out * part >> BITS
    return out


def every_world(network: TwoLayer) -> Exact:
    """Return exact posteriors by listing every set of causes in every state of the facts.

    Raises
    ------
    TooMany
        With more than MOST_WORLDS causes.
    """
    names = list(network.causes)
    if len(names) > MOST_WORLDS:
        raise TooMany(f"{len(names)} causes, at most {MOST_WORLDS}")
    worlds = (np.arange(1 << len(names))[:, None] >> np.arange(len(names))) & 1 == 1
    likelihood = np.ones(len(worlds))
    for s in network.seen.values():
        missed = np.array([1 - s.links.get(c, 0.0) for c in names])
        on = 1 - (1 - s.leak) * np.where(worlds, missed, 1.0).prod(axis=1)
        likelihood *= s.on * on + s.off * (1 - on)
    weight = np.zeros(len(worlds))
    for state in product(*(range(len(s)) for s in network.facts.values())):
        at = dict(zip(network.facts, state, strict=True))
        share = float(np.prod([network.facts[f][o] for f, o in at.items()]))
        p = np.array([c.chance[_place(network, c.parents, at)] for c in network.causes.values()])
        weight += share * np.where(worlds, p, 1 - p).prod(axis=1)
    joint = weight * likelihood
    return Exact({c: float(joint[worlds[:, k]].sum() / joint.sum()) for k, c in enumerate(names)}, None)
