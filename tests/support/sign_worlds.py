"""Brute force for signs: every set of causes, and in it every way in which they and the leaks may have shown each sign.

A world says of each cause whether it is absent, was cured at some remedy or is still at work, of each showing whether it happened, and
which complaints each cause set off. Nothing here is shared with the engine but the records.
"""

from collections.abc import Iterator
from itertools import product

import numpy as np

from dryfloor.engine.inference.noisy_or import NoisyOr
from dryfloor.engine.inference.signs import NoisySign, Reported, SignReport

from .worlds import Cures, Sums

NEVER, ALWAYS = -1.0, np.inf


def ends(prior: float, done: list[tuple[int, float]]) -> Iterator[tuple[float, float]]:
    """How a cause can have fared: its chance, and how many remedies had been done when it went away."""
    yield 1 - prior, NEVER
    left = prior
    for ordinal, cure in done:
        yield left * cure, float(ordinal)
        left *= 1 - cure
    yield left, ALWAYS


def said_so(reported: Reported, end: dict[int, float]) -> float:
    """The chance of all reports, every showing of every sign taken as having happened or not."""
    showings = []
    for k, sign in enumerate(reported.signs):
        showings.append((k, sign.leak, ALWAYS))
        showings += [(k, strength, end[i]) for i, strength in sign.links.items() if end[i] > NEVER]
    total = 0.0
    for happened in product((False, True), repeat=len(showings)):
        p = 1.0
        for (_, strength, _), yes in zip(showings, happened, strict=True):
            p *= strength if yes else 1 - strength
        for r in reported.reports:
            silent = 1 - r.false_alarm
            for (k, _, until), yes in zip(showings, happened, strict=True):
                if yes and k in r.of and r.epoch < until:
                    silent *= 1 - r.hit
            p *= 1 - silent if r.said else silent
        total += p
    return total


def brute(prior: list[float], findings: list[NoisyOr | Reported], cures: Cures | None = None) -> Sums:
    """Sum over all worlds; complaints stand, and what they say is certain."""
    complaints = [f for f in findings if isinstance(f, NoisyOr)]
    present, explains, unknown, whole = [0.0] * len(prior), [0.0] * len(prior), 0.0, 0.0
    for way in product(*(ends(p, (cures or {}).get(i, [])) for i, p in enumerate(prior))):
        end = {i: e for i, (_, e) in enumerate(way)}
        p = float(np.prod([q for q, _ in way]))
        for f in findings:
            if isinstance(f, Reported):
                p *= said_so(f, end)
        links = [(k, i, s) for k, f in enumerate(complaints) for i, s in f.links.items() if end[i] > f.epoch]
        for fires in product((False, True), repeat=len(links)):
            q = p
            for (_, _, s), yes in zip(links, fires, strict=True):
                q *= s if yes else 1 - s
            set_off = [
                {i for (k, i, _), yes in zip(links, fires, strict=True) if yes and k == n}
                for n in range(len(complaints))
            ]
            for f, by in zip(complaints, set_off, strict=True):
                q *= f.on if by else f.leak * f.on + (1 - f.leak) * f.off
            whole += q
            for i in end:
                if end[i] == ALWAYS:
                    present[i] += q
                    explains[i] += q * any(i in by for by in set_off)
            unknown += q * (any(not by for by in set_off) if complaints else all(e == NEVER for e in end.values()))
    return Sums(whole, [x / whole for x in present], [x / whole for x in explains], unknown / whole, [])


def random_signs(rng: np.random.Generator, causes: int, signs: int, reports: int, remedies: int = 0) -> Reported:
    """Signs that random causes show, with random reports on one or several of them."""
    made = tuple(
        NoisySign(
            float(rng.uniform(0.01, 0.3)),
            {i: float(rng.uniform(0.05, 0.97)) for i in range(causes) if rng.random() < 0.7},
        )
        for _ in range(signs)
    )
    told = []
    for _ in range(reports):
        of = tuple(k for k in range(signs) if rng.random() < 0.6) or (int(rng.integers(signs)),)
        told.append(
            SignReport(
                of,
                float(rng.uniform(0.3, 0.99)),
                float(rng.uniform(0.01, 0.2)),
                bool(rng.random() < 0.5),
                int(rng.integers(remedies + 1)),
            )
        )
    return Reported(made, tuple(told))
