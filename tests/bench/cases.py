"""Cases to ask a posterior of: random answers to a complaint of the kb with a set number of abnormal ones, and random networks."""

from collections.abc import Iterator

import numpy as np

from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import State, fold
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.knowledge import graph
from dryfloor.engine.simulation.world import Installation

from .twolayer import Cause, Entangled, Seen, TwoLayer, posed

MOST_NORMAL = 4


def facts_at_random(network: Network, rng: np.random.Generator) -> list[Event]:
    """Return every fact of the kb as known, each option as often as its share says."""
    out = []
    for fact in network.kb.facts.values():
        share = np.array([o.share_per_1000 for o in fact.options.values()])
        out.append(Event(fact=fact.id, is_=str(rng.choice([*fact.options], p=share / share.sum()))))
    return out


def abnormal(network: Network, name: str, rng: np.random.Generator) -> Event:
    """Return an answer to a check that is not its normal one: a reading beyond a limit, or another answer than the last."""
    check = network.kb.checks[name]
    if check.kind != "measure":
        return Event(check=name, answer=str(rng.choice([*check.answers][:-1])))
    part = str(rng.choice(graph.sides(network.kb.rules[check.rule or ""])))
    return Event(
        check=name, value=Installation(str(rng.integers(1 << 30)), {}, frozenset(), {}).reads(network.kb, check, part)
    )


def normal(network: Network, name: str) -> Event:
    """Return the normal answer to a check."""
    check = network.kb.checks[name]
    if check.kind != "measure":
        return Event(check=name, answer=[*check.answers][-1])
    return Event(check=name, value=Installation("0", {}, frozenset(), {}).reads(network.kb, check, "within"))


def case(
    network: Network, complaint: str, positives: int, known: bool, rng: np.random.Generator
) -> tuple[State, TwoLayer]:
    """Return a technician's case with a number of positive findings, its complaint among them, and up to 4 normal answers.

    Parameters
    ----------
    network : Network
    complaint : str
    positives : int
        How many findings are reported as likelier on than off [-].
    known : bool
        Whether all facts are known, or none.
    rng : Generator
    """
    events = [
        Event(role="technician"),
        Event(complaints=[complaint]),
        *(facts_at_random(network, rng) if known else []),
    ]
    checks = network.checks_for(graph.relevant(network.graph, [complaint]))
    order = [checks[k] for k in rng.permutation(len(checks))]
    asked: Iterator[str] = iter(order)
    made = posed(network, fold(network.kb, events))
    while made.positives < positives:
        name = next(asked)
        tried = [*events, abnormal(network, name, rng)]
        try:
            found = posed(network, fold(network.kb, tried))
        except Entangled:
            continue
        if found.positives <= positives:
            events, made = tried, found
    for name, _ in zip(asked, range(rng.integers(MOST_NORMAL + 1)), strict=False):
        tried = [*events, normal(network, name)]
        if posed(network, fold(network.kb, tried)).positives == positives:
            events = tried
    state = fold(network.kb, events)
    return state, posed(network, state)


def random_network(rng: np.random.Generator, causes: int, positives: int) -> TwoLayer:
    """Return a random noisy-OR network with net leak: one fact of 1 to 3 options, dense links, some findings off, some soft."""
    states = int(rng.integers(1, 4))
    facts = {"state": [float(x) for x in rng.dirichlet(np.ones(states))]}
    chance = rng.uniform(0.01, 0.5, (causes, states)) * (rng.random((causes, states)) < 0.9)
    made = {f"c{i}": Cause(["state"], [float(p) for p in row]) for i, row in enumerate(chance)}
    seen = {}
    for k in range(positives + int(rng.integers(4))):
        links = {c: float(rng.uniform(0.05, 0.97)) for c in made if rng.random() < min(0.6, 8 / causes)}
        on, off = 1.0, 0.0
        if k >= positives:
            on, off = 0.0, 1.0
        elif k and rng.random() < 0.3:
            off = float(rng.uniform(0.02, 0.5))
        seen[f"f{k}"] = Seen(float(rng.uniform(0.005, 0.3)), links, on, off)
    return TwoLayer(facts, made, seen, "f0")
