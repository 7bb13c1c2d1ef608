"""A two-layer network as tables of chances, as a general library takes it, in one of two forms.

`written`: a finding has all its causes as parents. `folded`: what factors by cause is evidence on that cause, and the other findings
are chains of two-parent ORs.
"""

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from .twolayer import Seen, TwoLayer, folded

Form = Literal["written", "folded"]


class Node(Struct):
    """A variable of the network that a library is given: its parents, and its chance of each value in each state of them.

    `table` has a row for each state of the parents, the last parent fastest.
    """

    parents: list[str]
    table: list[list[float]]


def or_table(leak: float, strengths: list[float]) -> list[list[float]]:
    """Return a noisy-OR with net leak as a whole table, the last parent fastest."""
    off = [1 - leak]
    for s in strengths:
        off = [x * y for x in off for y in (1.0, 1 - s)]
    return [[x, 1 - x] for x in off]


def roots(network: TwoLayer) -> dict[str, Node]:
    """Return the facts and the causes."""
    out = {f"fact:{f}": Node([], [shares]) for f, shares in network.facts.items()}
    for c, cause in network.causes.items():
        out[f"cause:{c}"] = Node([f"fact:{f}" for f in cause.parents], [[1 - p, p] for p in cause.chance])
    return out


def chain(node: str, seen: Seen) -> Iterator[tuple[str, Node]]:
    """Return a finding as a chain of ORs, each with one more cause; the last one is the finding."""
    last = len(seen.links) - 1
    before = ""
    for n, (c, s) in enumerate(seen.links.items()):
        name = node if n == last else f"{node}#{n}"
        if n == 0:
            yield name, Node([f"cause:{c}"], or_table(seen.leak, [s]))
        else:
            yield name, Node([before, f"cause:{c}"], or_table(0.0, [1.0, s]))
        before = name


def nodes(network: TwoLayer, form: Form) -> tuple[dict[str, Node], dict[str, Seen], dict[str, list[float]]]:
    """Return the tables of a network, the findings left to the library's own noisy-OR, and likelihoods by variable."""
    out = roots(network)
    if form == "written":
        return out, network.seen, {node: [s.off, s.on] for node, s in network.seen.items()}
    weights, rest = folded(network)
    evidence = {f"cause:{c}": list(w) for c, w in weights.items() if w[0] != w[1]}
    for node, s in rest.items():
        out |= dict(chain(node, s))
    return out, {}, evidence | {node: [s.off, s.on] for node, s in rest.items()}
