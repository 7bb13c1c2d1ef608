"""Brute force for the belief: every world of a small noisy-OR network, one by one.

A world says of each cause whether it is absent, was cured at some remedy, or is still at work, and which of its links
fired. Nothing here is shared with the engine but the record `NoisyOr`.
"""

from collections.abc import Iterator
from itertools import chain, combinations, product
from typing import NamedTuple

import numpy as np

from dryfloor.engine.inference.noisy_or import NoisyOr

Cures = dict[int, list[tuple[int, float]]]


class World(NamedTuple):
    """One world: its joint chance with the evidence, causes still at work, and for each finding the causes that set it off."""

    p: float
    still: frozenset[int]
    present: frozenset[int]
    fired: tuple[frozenset[int], ...]


class Sums(NamedTuple):
    """What `belief.infer` promises, summed over worlds."""

    marginal_likelihood: float
    present: list[float]
    explains: list[float]
    unknown: float
    facts: list[float]


def worlds(prior: list[float], findings: list[NoisyOr], cures: Cures) -> Iterator[World]:
    """Every world with its joint chance with the evidence, for one state of the facts."""
    for chosen in product(*(_ways(i, p, findings, cures.get(i, [])) for i, p in enumerate(prior))):
        p = float(np.prod([way[0] for way in chosen]))
        if p == 0:
            continue
        ends = [way[1] for way in chosen]  # how many remedies had been done when a cause went away; -1: never there
        fired = []
        for k, f in enumerate(findings):
            firing = frozenset(i for i, way in enumerate(chosen) if k in way[2])
            before = frozenset(i for i in firing if ends[i] > f.epoch)
            fired.append(before)
            if f.gone_at is not None:
                # It was there, and it is not there any more: nothing that fires it may be left.
                if any(ends[i] > f.gone_at for i in before):
                    p = 0.0
                else:
                    p *= f.leak * f.off + (1 - f.leak) * (1.0 if before else 0.0)
            else:
                p *= f.on if before else f.leak * f.on + (1 - f.leak) * f.off
        if p:
            yield World(
                p,
                frozenset(i for i, end in enumerate(ends) if end == np.inf),
                frozenset(i for i, end in enumerate(ends) if end > -1),
                tuple(fired),
            )


def _ways(
    i: int, p: float, findings: list[NoisyOr], done: list[tuple[int, float]]
) -> list[tuple[float, float, set[int]]]:
    """How one cause can be: (chance, remedies done when it ended, findings that it fires)."""
    ways: list[tuple[float, float, set[int]]] = [(1 - p, -1.0, set())]
    links = [k for k, f in enumerate(findings) if i in f.links]
    firings = []
    for subset in chain.from_iterable(combinations(links, n) for n in range(len(links) + 1)):
        q = 1.0
        for k in links:
            q *= findings[k].links[i] if k in subset else 1 - findings[k].links[i]
        firings.append((q, set(subset)))
    not_yet = p
    for ordinal, cure in done:
        ways += [(not_yet * cure * q, float(ordinal), s) for q, s in firings]
        not_yet *= 1 - cure
    return ways + [(not_yet * q, np.inf, s) for q, s in firings]


def brute(prior: np.ndarray, share: np.ndarray, findings: list[NoisyOr], cures: Cures | None = None) -> Sums:
    """Sum over all worlds in all states of the facts."""
    states, count = prior.shape
    standing = [k for k, f in enumerate(findings) if f.complaint and f.gone_at is None]
    present, explains, facts = [0.0] * count, [0.0] * count, [0.0] * states
    unknown = 0.0
    for s in range(states):
        for w in worlds(list(prior[s]), findings, cures or {}):
            p = w.p * share[s]
            facts[s] += p
            for i in w.still:
                present[i] += p
                explains[i] += p * any(i in w.fired[k] for k in standing)
            unknown += p * (any(not w.fired[k] for k in standing) if standing else not w.present)
    total = sum(facts)
    return Sums(
        total, [x / total for x in present], [x / total for x in explains], unknown / total, [x / total for x in facts]
    )


def random_network(
    rng: np.random.Generator,
    causes: int,
    findings: int,
    remedies: int = 0,
    states: int = 1,
    complaints: int = 1,
    settled: bool = True,
) -> tuple[np.ndarray, np.ndarray, list[NoisyOr], Cures]:
    """A random network with evidence. Settled: a standing complaint was seen after every remedy on a cause of it."""
    prior = rng.uniform(0.01, 0.5, (states, causes)) * rng.choice([0.0, 1.0], (states, causes), p=[0.1, 0.9])
    share = rng.dirichlet(np.ones(states))
    cures: Cures = {}
    for ordinal in range(1, remedies + 1):
        cures.setdefault(int(rng.integers(causes)), []).append((ordinal, float(rng.uniform(0.3, 0.98))))
    out = []
    for k in range(findings):
        links = {i: float(rng.uniform(0.05, 0.97)) for i in range(causes) if rng.random() < 0.6}
        leak = float(rng.uniform(0.005, 0.3))
        epoch = int(rng.integers(remedies + 1))
        if k < complaints:
            last = max((o for i in links for o, _ in cures.get(i, [])), default=0)
            gone = remedies if last and rng.random() < 0.4 else None
            out.append(
                NoisyOr(
                    leak,
                    links,
                    1.0,
                    0.05 if gone else 0.0,
                    0 if gone else max(epoch, last) if settled else epoch,
                    True,
                    gone,
                )
            )
        else:
            on, off = [(1.0, 0.0), (0.0, 1.0), tuple(rng.uniform(0.02, 1.0, 2))][int(rng.integers(3))]
            out.append(NoisyOr(leak, links, float(on), float(off), epoch))
    return prior, share, out, cures


def joint(tables: list, shares: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """List every joint state of facts: the causes' chances in each, shape (states, causes), and its share."""
    dims = [len(s) for s in shares]
    share, prior = np.ones(dims), []
    for n, s in enumerate(shares):
        share = share * s.reshape([-1 if k == n else 1 for k in range(len(dims))])
    for t in tables:
        size = dict(zip(t.facts, t.chance.shape, strict=True))
        prior.append(np.broadcast_to(t.chance.reshape([size.get(k, 1) for k in range(len(dims))]), dims).ravel())
    return np.array(prior).T, share.ravel()
