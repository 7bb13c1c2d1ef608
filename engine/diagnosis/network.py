"""The kb as a network of causes and observations, with each cause's chance before anything is seen."""

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from .. import model
from ..inference.noisy_or import CausePrior
from ..inference.potentials import Array
from ..knowledge import graph
from ..model import holds


@dataclass(frozen=True)
class Facts:
    """The unknown facts that bear on the causes: names, options, and the shares of each one's options."""

    names: list[str]
    options: list[list[str]]
    shares: list[Array]


class Network:
    """A kb with its graph, built once and used by every piece of advice."""

    def __init__(self, kb: model.KB) -> None:
        self.kb = kb
        self.graph: Any = graph.build(kb)
        self.shown = {
            n: graph.shown_by(self.graph, n) for n in self.graph if n.split(":")[0] in ("complaint", "answer", "side")
        }
        self.leak = {n: float(self.graph.nodes[n].get("leak", graph.UNREAD_LEAK)) for n in self.shown}
        self.rate = {c: float(self.graph.nodes[f"cause:{c}"]["rate"]) for c in kb.causes}
        # Which rules are worked out from a check's reading, by their place in the kb: an answer must not look at all rules.
        self.modelled: dict[str, list[tuple[int, model.Rule]]] = {}
        for place, rule in enumerate(kb.rules.values()):
            if rule.model and rule.model.gives:
                for check in sorted({t.check for t in rule.model.takes.values() if t.check}):
                    self.modelled.setdefault(check, []).append((place, rule))
        # Answers of pure functions of the kb, remembered because every step of a walk asks them again.
        self.memo: dict[tuple[Any, ...], Any] = {}
        self.bears = {
            c.id: tuple(sorted({f for w in (c.when, *(x.when for x in c.likelier)) for f in w}))
            for c in kb.causes.values()
        }

    def checks_for(self, causes: list[str]) -> list[str]:
        """Return the checks with an answer or a side that any of the causes shows, sorted."""
        key = ("checks", *causes)
        if key not in self.memo:
            self.memo[key] = graph.checks_for(self.graph, causes)
        found: list[str] = self.memo[key]
        return found


def chance(network: Network, cause: model.Cause, facts: dict[str, str]) -> float:
    """Return a cause's chance before any finding, all its facts being given [prob]; 0 where its `when` is contradicted.

    Parameters
    ----------
    network : Network
    cause : Cause
    facts : dict
        Fact -> option, for at least the facts that bear on the cause.
    """
    bears = network.bears[cause.id]
    key = (cause.id, *(facts.get(f) for f in bears))
    if key not in network.memo:
        out = network.rate[cause.id] if holds(cause.when, facts) else 0.0
        for likelier in cause.likelier:
            if holds(likelier.when, facts):
                out *= likelier.times.n
        network.memo[key] = min(out, graph.MOST_CHANCE)
    found: float = network.memo[key]
    return found


def priors(network: Network, causes: list[str], known: dict[str, str]) -> tuple[Facts, list[CausePrior]]:
    """Return the unknown facts that bear on the causes, and each cause's chance by those of them that are its parents."""
    kb = network.kb
    names = sorted({f for c in causes for f in network.bears[c]} - set(known))
    options = [sorted(kb.facts[f].options) for f in names]
    shares = []
    for f, os in zip(names, options, strict=True):
        share = np.array([kb.facts[f].options[o].share_per_1000 / 1000 for o in os])
        shares.append(share / share.sum())
    place = {f: n for n, f in enumerate(names)}
    return Facts(names, options, shares), [_table(network, cause, known, place) for cause in causes]


def _table(network: Network, cause: str, known: dict[str, str], place: dict[str, int]) -> CausePrior:
    """Return a cause's chance by its unknown parent facts; the numbers are remembered, for every step asks them again."""
    kb, bears = network.kb, network.bears[cause]
    parents = tuple(f for f in bears if f in place)
    key = ("table", cause, *(known.get(f) for f in bears))
    if key not in network.memo:
        options = [sorted(kb.facts[f].options) for f in parents]
        each = (known | dict(zip(parents, way, strict=True)) for way in product(*options))
        chances = np.array([chance(network, kb.causes[cause], facts) for facts in each])
        network.memo[key] = chances.reshape([len(o) for o in options])
    return CausePrior(tuple(place[f] for f in parents), network.memo[key])


_nets: list[tuple[model.KB, Network]] = []


def network_of(kb: model.KB) -> Network:
    """Return the compiled network of a kb, built once for each kb that is in use."""
    for known, network in _nets:
        if known is kb:
            return network
    network = Network(kb)
    _nets.insert(0, (kb, network))
    del _nets[3:]
    return network
