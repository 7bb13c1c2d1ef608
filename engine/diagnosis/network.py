"""The kb as a network of causes and observations, with each cause's chance before anything is seen."""

from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np

from .. import model
from ..inference.noisy_or import CausePrior
from ..inference.potentials import Array
from ..knowledge import graph
from ..measurement.readings import gross_error
from ..model import holds

# How many answers of each pure function of a kb are kept, the one longest unasked dropped first: some 10 MB in all. A server may
# run for months, so there must be a bound. The shipped kb has 2947 chances and as many tables in all, and a case asks for the
# checks of a few sets of causes; derived from that, with room for a shop's own kb [-].
CHECKS_KEPT = 512
LINKS_KEPT = 4_096
CHANCES_KEPT = 16_384
TABLES_KEPT = 8_192
# Of what hands report quite wrongly, the share that is of something which is not there (judgement) [-].
FALSE_ALARMS = 0.1


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
        # Signs: themselves with their kinds, who shows them, how often they are there of themselves; and which answer reports which.
        self.kinds = graph.kinds(kb)
        self.signs = graph.sign_links(kb)
        self.sign_leak = {s: kb.signs[s].leak_per_1000 / 1000 for s in kb.signs}
        self.reporting = graph.reporting(kb)
        self.sign_at = {
            graph.answer_node(c.id, name): (a.sign, c.kind)
            for c in kb.checks.values()
            for name, a in c.answers.items()
            if a.sign
        }
        self.rate = {c: float(self.graph.nodes[f"cause:{c}"]["rate"]) for c in kb.causes}
        # Which rules are worked out from a check's reading, by their place in the kb: an answer must not look at all rules.
        self.modelled: dict[str, list[tuple[int, model.Rule]]] = {}
        for place, rule in enumerate(kb.rules.values()):
            if rule.model and rule.model.gives:
                for check in sorted({t.check for t in rule.model.takes.values() if t.check}):
                    self.modelled.setdefault(check, []).append((place, rule))
        self.bears = {
            c.id: tuple(sorted({f for w in (c.when, *(x.when for x in c.likelier)) for f in w}))
            for c in kb.causes.values()
        }
        # What was said of signs in the state asked last: a state, and what `signs.told` made of it.
        self.told: Any = None
        # Kept because every step of a walk asks them again; several threads may ask at once.
        self._capped = lru_cache(LINKS_KEPT)(self._cap)
        self._checks = lru_cache(CHECKS_KEPT)(self._read_by)
        self._chances = lru_cache(CHANCES_KEPT)(self._chance)
        self._tables = lru_cache(TABLES_KEPT)(self._table)

    def links(self, node: str, hands: str) -> dict[str, float]:
        """Return the causes that show a finding, with their strengths as some hands report it: no surer than these are.

        Parameters
        ----------
        node : str
        hands : str
            A reading's errors are counted in its own likelihood, so here they cap what is looked at, tried and told alone; of an
            answer that reports a sign they are its hit rate, and no error is counted twice.
        """
        if not node.startswith("answer:"):
            return self.shown[node]
        return self._capped(node, hands)

    def _cap(self, node: str, hands: str) -> dict[str, float]:
        if node in self.sign_at:
            _, kind = self.sign_at[node]
            hit, _ = report_rates(self.kb, hands, kind)
            own = self.reporting[node]
            return {
                c: graph.any_of(hit * self.signs[k].get(c, 0.0) for k in own)
                for c in sorted({c for k in own for c in self.signs[k]})
            }
        most = 1 - gross_error(self.kb, hands)
        return {c: min(s, most) for c, s in self.shown[node].items()}

    def leak_of(self, node: str, hands: str) -> float:
        """Return how often some hands report a finding with no listed cause: it is there of itself, or they err [prob]."""
        if node not in self.sign_at:
            return self.leak[node]
        _, kind = self.sign_at[node]
        hit, false_alarm = report_rates(self.kb, hands, kind)
        return graph.any_of([false_alarm, *(hit * self.sign_leak[k] for k in self.reporting[node])])

    def checks_for(self, causes: list[str]) -> tuple[str, ...]:
        """Return the checks with an answer or a side that any of the causes shows, sorted."""
        return self._checks(tuple(causes))

    def chance_of(self, cause: str, options: tuple[str | None, ...]) -> float:
        """Return a cause's chance before any finding, with an option for each fact that bears on it, or None [prob]."""
        return self._chances(cause, options)

    def table_of(self, cause: str, options: tuple[str | None, ...]) -> Array:
        """Return a cause's chance with an axis for each fact that bears on it and has no option, in the order of `bears` [prob]."""
        return self._tables(cause, options)

    def kept(self) -> dict[str, int]:
        """Return how many answers of each kind are kept."""
        caches = {"checks": self._checks, "chances": self._chances, "tables": self._tables}
        return {name: cache.cache_info().currsize for name, cache in caches.items()}

    def forget(self) -> None:
        """Drop all answers that are kept, so that a measurement begins as a program does."""
        self._checks.cache_clear()
        self._chances.cache_clear()
        self._tables.cache_clear()

    def _read_by(self, causes: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(graph.checks_for(self.graph, list(causes)))

    def _chance(self, cause: str, options: tuple[str | None, ...]) -> float:
        facts = {f: o for f, o in zip(self.bears[cause], options, strict=True) if o is not None}
        record = self.kb.causes[cause]
        out = self.rate[cause] if holds(record.when, facts) else 0.0
        for likelier in record.likelier:
            if holds(likelier.when, facts):
                out *= likelier.times.n
        return min(out, graph.MOST_CHANCE)

    def _table(self, cause: str, options: tuple[str | None, ...]) -> Array:
        ways = [
            sorted(self.kb.facts[f].options) if o is None else [o]
            for f, o in zip(self.bears[cause], options, strict=True)
        ]
        chances = np.array([self.chance_of(cause, way) for way in product(*ways)])
        table = chances.reshape([len(w) for w, o in zip(ways, options, strict=True) if o is None])
        table.setflags(write=False)  # many share it
        return table


def report_rates(kb: model.KB, hands: str, kind: str) -> tuple[float, float]:
    """Return how often some hands catch a sign that shows, and how often they report one where they caught none [prob].

    Parameters
    ----------
    kb : KB
    hands : str
    kind : str
        Of the check: ask, look or try.

    Notes
    -----
    A roles.yaml of before there were signs has no `reports`: such hands err as in anything else (`gross_error_per_1000`).
    """
    reports = kb.roles.reports
    if reports is None:
        error = gross_error(kb, hands)
        return 1 - error, FALSE_ALARMS * error
    by_kind = reports.homeowner if hands == "homeowner" else reports.technician
    rates = {"ask": by_kind.ask, "look": by_kind.look}.get(kind, by_kind.try_)
    return rates.hit.n, rates.false_alarm.n


def chance(network: Network, cause: model.Cause, facts: dict[str, str]) -> float:
    """Return a cause's chance before any finding, all its facts being given [prob]; 0 where its `when` is contradicted.

    Parameters
    ----------
    network : Network
    cause : Cause
    facts : dict
        Fact -> option, for at least the facts that bear on the cause.
    """
    return network.chance_of(cause.id, tuple(facts.get(f) for f in network.bears[cause.id]))


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
    """Return a cause's chance by its unknown parent facts."""
    bears = network.bears[cause]
    parents = tuple(place[f] for f in bears if f in place)
    return CausePrior(parents, network.table_of(cause, tuple(known.get(f) for f in bears)))


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
