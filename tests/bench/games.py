"""Games of several policies at the same made-up sites, and how their costs compare: every complaint counts the same."""

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from dryfloor.engine import model
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.inference.potentials import Array
from dryfloor.engine.simulation.episode import Outcome
from dryfloor.engine.simulation.world import Installation, installations_of

ROLES: tuple[model.Role, ...] = ("homeowner", "desk", "technician")
Player = Callable[[Installation], Outcome]
# So many sites are drawn for each that is played.
DRAWN = 16
# Complaint -> one number for each of its sites, in the same order under every policy.
Costs = Mapping[str, list[float]]


def drawn(network: Network, complaints: Iterable[str], count: int, seed: int) -> dict[str, list[Installation]]:
    """Return sites of each complaint: many are drawn, sorted by what brought them about, and one of each so many is played.

    Parameters
    ----------
    network : Network
        What is true at the sites.
    complaints : iterable of str
    count : int
        Sites for each complaint [-].
    seed : int
        The same seed gives the same sites [-].
    """
    rng = np.random.default_rng(seed)
    many = installations_of(network, complaints, DRAWN * count, seed)
    return {
        c: [installations[DRAWN * n + int(rng.integers(DRAWN))] for n in range(count)]
        for c, installations in many.items()
        if installations
    }


def costs(games: Mapping[str, list[Outcome]]) -> dict[str, list[float]]:
    """Return what the games of each complaint cost [homeowner minutes]."""
    return {complaint: [g.cost for g in some] for complaint, some in games.items()}


def averaged(parts: Iterable[Costs]) -> dict[str, list[float]]:
    """Return the mean at each site over several costs there, of several roles say: they are no further sites."""
    several = list(parts)
    return {c: [float(np.mean(each)) for each in zip(*(p[c] for p in several), strict=True)] for c in several[0]}


def mean(values: Costs) -> float:
    """Return the mean over complaints of the mean over sites."""
    return float(np.mean([np.mean(own) for own in values.values()]))


def over(theirs: Costs, ours: Costs) -> tuple[float, float]:
    """Return by how much theirs is dearer at the same sites, and the standard error of that.

    Sites are drawn for each complaint apart, so the scatter is that within complaints; a single site says nothing of it.

    Examples
    --------
    >>> over({"a": [3.0, 5.0], "b": [1.0, 1.0]}, {"a": [1.0, 1.0], "b": [1.0, 1.0]})
    (1.5, 0.5)
    """
    apart = [np.subtract(theirs[complaint], ours[complaint]) for complaint in ours]
    spread = [own.var(ddof=1) / len(own) if len(own) > 1 else float("nan") for own in apart]
    return float(np.mean([own.mean() for own in apart])), float(np.sqrt(np.sum(spread)) / len(apart))


def tail(parts: Iterable[Costs], level: float = 95.0) -> float:
    """Return a percentile over all games; each complaint has as many."""
    return float(np.percentile([cost for values in parts for own in values.values() for cost in own], level))


def questions(outcome: Outcome) -> int:
    """Return how many checks and facts were asked; proofs and what is left after them are none."""
    return sum(m.kind == "check" or (m.kind == "fact" and m.id != "still-there") for m in outcome.moves)


def average(parts: Iterable[Mapping[str, list[Outcome]]], each: Callable[[Outcome], float]) -> float:
    """Return the mean over complaints of something about each game, of one role or several."""
    return mean(averaged({c: [each(g) for g in some] for c, some in games.items()} for games in parts))


def ratio_error(apart: Array, base: Array) -> float:
    """Return the standard error of the ratio of two means over the same independent worlds, by linearising it [-].

    Examples
    --------
    >>> round(ratio_error(np.array([1.0, 1.0, 4.0]), np.array([10.0, 10.0, 10.0])), 9)
    0.1
    """
    if len(apart) < 2:
        return float("nan")
    left = apart - apart.mean() / base.mean() * base
    return float(left.std(ddof=1) / np.sqrt(len(apart)) / base.mean())
