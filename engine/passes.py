"""The two passes over the buckets: upward to the chance of the evidence, downward to what it says of every cause and variable.

The chance of the evidence is a sum of positive products, so the weight of everything beside a table is its derivative, found by
running the steps backward (reverse accumulation); each marginal is then a sum over one table.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from .elimination import Bucket
from .messages import (
    Array,
    Links,
    Way,
    fired,
    joined,
    joined_back,
    lifted,
    opened,
    opened_back,
    step,
    step_back,
    trigger,
)


@dataclass
class Root:
    """One cause by the facts it heeds: weight when absent; (weight, cured at) and links by variable for each way to be present."""

    facts: tuple[int, ...]
    absent: Array
    present: list[tuple[Array, int | None]]
    links: list[Links] = field(default_factory=list)

    def weigh(self, factor: float, applies: Callable[[int | None], bool]) -> None:
        """Multiply by a factor the weight of each way to be present that it applies to, told by when the cause was cured."""
        self.present = [(w * factor if applies(at) else w, at) for w, at in self.present]

    @property
    def scope(self) -> int:
        """The variables that it touches, as bits."""
        out = 0
        for v in self.facts:
            out |= 1 << v
        for links in self.links:
            for v, _, _ in links:
                out |= 1 << v
        return out


@dataclass
class Marginals:
    """The chance of everything, and what follows from it for causes and variables."""

    total: float
    present: Array
    explains: Array
    unknown: float
    variables: tuple[Array, ...]


@dataclass
class _Work:
    """What the upward pass leaves in a bucket for the way back."""

    joins: list[tuple[Array, Array, list[int]]]
    bare: tuple[int, ...]
    before: list[Array]
    full: Array
    message: Array


class Tree:
    """Buckets with their causes, ready for passes under any weights.

    Parameters
    ----------
    order : tuple of Bucket
    causes : list of Root
    facts : int
        How many of the variables are facts.
    """

    def __init__(self, order: tuple[Bucket, ...], causes: list[Root], facts: int) -> None:
        self.order = order
        self.causes = causes
        self.facts = facts
        self.parent = {child: n for n, bucket in enumerate(order) for child in bucket.children}
        self.alone = [i for i, root in enumerate(causes) if not root.scope]
        self.touched = {bucket.variable for bucket in order}
        self.lifts: dict[int, tuple[Array, list[Way]]] = {}
        for bucket in order:
            place = {v: axis for axis, v in enumerate(bucket.scope)}
            for i in bucket.causes:
                root = causes[i]
                ways = [
                    Way(lifted(w, root.facts, bucket.scope), [(place[v], s, f) for v, s, f in links])
                    for (w, _), links in zip(root.present, root.links, strict=True)
                ]
                self.lifts[i] = lifted(root.absent, root.facts, bucket.scope), ways

    def marginals(self, weights: list[Array], standing: list[int]) -> Marginals:
        """Return the chance of everything and all that follows from it.

        Parameters
        ----------
        weights : list of array
            For each variable, the weight of each of its values: a fact's shares, a finding's (not triggered, triggered).
        standing : list of int
            Variables of the complaints that stand.
        """
        count = len(self.causes)
        works = self._up(weights)
        total = self._product(works, weights)
        variables = [_share(w) for w in weights]
        out = Marginals(total, np.zeros(count), np.zeros(count), 0.0, ())
        if total > 0:
            for i in self.alone:
                absent, part = float(self.causes[i].absent), [float(w) for w, _ in self.causes[i].present]
                out.present[i] = part[-1] / (absent + sum(part))
            self._down(works, weights, standing, out, variables)
            out.unknown = self._unexplained(weights, standing, total, variables)
        out.variables = tuple(variables)
        return out

    def _up(self, weights: list[Array], absent_only: bool = False) -> list[_Work]:
        works: list[_Work] = []
        for bucket in self.order:
            shape = tuple(len(weights[v]) for v in bucket.scope)
            findings = [a for a, v in enumerate(bucket.scope) if v >= self.facts]
            joins: list[tuple[Array, Array, list[int]]] = []
            v = np.ones((1,) * len(shape))
            for n, child in enumerate(bucket.children):
                other = lifted(works[child].message, self.order[child].rest, bucket.scope)
                if n:
                    both = [a for a in findings if v.shape[a] > 1 and other.shape[a] > 1]
                    joins.append((v, other, both))
                    v = joined(v, other, both)
                else:
                    v = other
            bare = v.shape
            v = opened(v, shape, findings)
            before = []
            for i in bucket.causes:
                before.append(v)
                absent, ways = self.lifts[i]
                v = absent * v if absent_only else step(absent, ways, v)
            message = np.tensordot(v, weights[bucket.variable], axes=([bucket.scope.index(bucket.variable)], [0]))
            works.append(_Work(joins, bare, before, v, message))
        return works

    def _product(self, works: list[_Work], weights: list[Array], absent_only: bool = False) -> float:
        """Return the chance of everything: the tops of all trees, what nothing touches, the causes that touch nothing."""
        total = 1.0
        for n, work in enumerate(works):
            if n not in self.parent:
                total *= float(work.message)
        for v, weight in enumerate(weights):
            if v not in self.touched:
                total *= float(weight.sum()) if v < self.facts else float(weight[0])
        for i in self.alone:
            root = self.causes[i]
            total *= float(root.absent) + (0.0 if absent_only else sum(float(w) for w, _ in root.present))
        return total

    def _down(
        self, works: list[_Work], weights: list[Array], standing: list[int], out: Marginals, variables: list[Array]
    ) -> None:
        """Carry the weight of what is beside each table down, and read the marginals off on the way."""
        beside: dict[int, Array] = {}
        for n in reversed(range(len(self.order))):
            bucket, work = self.order[n], works[n]
            axis = bucket.scope.index(bucket.variable)
            top = np.array(1.0 / float(work.message)) if n not in self.parent else beside.pop(n)
            weight = lifted(weights[bucket.variable], (bucket.variable,), bucket.scope)
            u = np.expand_dims(top, axis) * weight
            whole = np.moveaxis(work.full * u, axis, 0)
            variables[bucket.variable] = whole.reshape(len(whole), -1).sum(axis=1)
            places = [a for a, v in enumerate(bucket.scope) if v in standing]
            for i, before in zip(reversed(bucket.causes), reversed(work.before), strict=True):
                absent, ways = self.lifts[i]
                at_work = ways[-1].weight * before
                out.present[i] = float((trigger(at_work, ways[-1].links) * u).sum())
                out.explains[i] = fired(at_work, ways[-1].links, places, u)
                u = step_back(absent, ways, u)
            u = opened_back(u, work.bare, [a for a, v in enumerate(bucket.scope) if v >= self.facts])
            for child, (a, b, both) in zip(reversed(bucket.children[1:]), reversed(work.joins), strict=True):
                u, back = joined_back(u, a, b, both)
                beside[child] = back.reshape(works[child].message.shape)
            if bucket.children:
                first = bucket.children[0]
                beside[first] = u.reshape(works[first].message.shape)

    def _unexplained(self, weights: list[Array], standing: list[int], total: float, variables: list[Array]) -> float:
        """Return the chance that some standing complaint has no listed explanation, split by the first such one."""
        if not standing:
            return self._product(self._up(weights, absent_only=True), weights, absent_only=True) / total
        out = 0.0
        split = list(weights)
        for n, v in enumerate(standing):
            clear, triggered = weights[v]
            if n == 0 and v in self.touched:
                out = float(variables[v][0])
            else:
                split[v] = np.array([clear, 0.0])
                out += self._product(self._up(split), split) / total
            if v not in self.touched:
                # No cause can explain it: all that is left goes unexplained.
                break
            split[v] = np.array([0.0, triggered])
        return out


def _share(weight: Array) -> Array:
    """Return the shares of a variable that nothing touches."""
    whole = weight.sum()
    return weight / whole if whole > 0 else weight
