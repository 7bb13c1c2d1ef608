"""Collect and distribute over the bucket tree: upward to the marginal likelihood, downward to the marginals of causes and variables.

The chance of the evidence is a sum of positive products, so the weight of everything beside a table is its derivative, found by
running the steps backward (reverse accumulation); each marginal is then a sum over one table.
"""

from dataclasses import dataclass

import numpy as np

from .. import effort
from .cause_factors import ExpandedFactor, ExpandedGroup, MarginalAccumulator
from .elimination import Bucket
from .noisy_or import Part
from .part_tally import PartTally
from .potentials import Array, combined, combined_adjoint, expanded, opened, opened_adjoint
from .signs import ExpandedShowing


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
    weight: Array
    message: Array


class BucketTree:
    """Buckets with their causes, ready for passes under any weights.

    Parameters
    ----------
    order : tuple of Bucket
    causes : list of Part
        In the order in which the buckets count them.
    count : int
        How many causes they are, one by one.
    facts : int
        How many of the variables are facts.
    """

    def __init__(self, order: tuple[Bucket, ...], causes: list[Part], count: int, facts: int) -> None:
        self.order = order
        self.count = count
        self.facts = facts
        self.parent = {child: n for n, bucket in enumerate(order) for child in bucket.children}
        self.alone = [cause for cause in causes if not cause.scope]
        self.touched = {bucket.variable for bucket in order}
        self.lifts: list[list[ExpandedFactor | ExpandedGroup | ExpandedShowing]] = [
            [causes[i].expand(b.scope) for i in b.causes] for b in order
        ]

    def marginals(self, weights: list[Array], standing: list[int], tally: PartTally | None = None) -> Marginals:
        """Return the chance of everything and all that follows from it.

        Parameters
        ----------
        weights : list of array
            For each variable, the weight of each of its values: a fact's shares, a finding's (not triggered, triggered).
        standing : list of int
            Variables of the complaints that stand.
        tally : PartTally, optional
            Takes in how likely each part did what.
        """
        works = self._collect(weights)
        total = self._product(works, weights)
        # A finding that no cause touches was triggered by none.
        variables = [_share(w) if v < self.facts else np.array([1.0, 0.0]) for v, w in enumerate(weights)]
        read = MarginalAccumulator([0.0] * self.count, [0.0] * self.count, tally)
        unknown = 0.0
        if total > 0:
            for cause in self.alone:
                cause.read_alone(read)
            self._distribute(works, standing, read, variables)
            unknown = self._unexplained(weights, standing, total, variables)
        return Marginals(total, np.array(read.present), np.array(read.explains), unknown, tuple(variables))

    def _collect(self, weights: list[Array], absent_only: bool = False) -> list[_Work]:
        works: list[_Work] = []
        for bucket, lifts in zip(self.order, self.lifts, strict=True):
            effort.check()
            shape = tuple(len(weights[v]) for v in bucket.scope)
            findings = [a for a, v in enumerate(bucket.scope) if v >= self.facts]
            joins: list[tuple[Array, Array, list[int]]] = []
            v = np.ones((1,) * len(shape))
            for n, child in enumerate(bucket.children):
                other = expanded(works[child].message, self.order[child].rest, bucket.scope)
                if n:
                    both = [a for a in findings if v.shape[a] > 1 and other.shape[a] > 1]
                    joins.append((v, other, both))
                    v = combined(v, other, both)
                else:
                    v = other
            bare = v.shape
            v = opened(v, shape, findings)
            before = []
            for cause in lifts:
                before.append(v)
                v = cause.step_absent(v) if absent_only else cause.step(v)
            weight = expanded(weights[bucket.variable], (bucket.variable,), bucket.scope)
            message = np.add.reduce(v * weight, axis=bucket.scope.index(bucket.variable))
            works.append(_Work(joins, bare, before, v, weight, message))
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
        for cause in self.alone:
            total *= cause.whole(absent_only)
        return total

    def _distribute(
        self, works: list[_Work], standing: list[int], read: MarginalAccumulator, variables: list[Array]
    ) -> None:
        """Carry the weight of what is beside each table down, and read the marginals off on the way."""
        beside: dict[int, Array] = {}
        for n in reversed(range(len(self.order))):
            effort.check()
            bucket, work = self.order[n], works[n]
            axis = bucket.scope.index(bucket.variable)
            top = np.array(1.0 / float(work.message)) if n not in self.parent else beside.pop(n)
            u = expanded(top, bucket.rest, bucket.scope) * work.weight
            others = (*range(axis), *range(axis + 1, len(bucket.scope)))
            variables[bucket.variable] = np.add.reduce(work.full * u, axis=others)
            places = [a for a, v in enumerate(bucket.scope) if v in standing]
            if read.tally is not None:
                read.tally.scope = bucket.scope
            for cause, before in zip(reversed(self.lifts[n]), reversed(work.before), strict=True):
                u = cause.adjoint(before, u, places, read)
            u = opened_adjoint(u, work.bare, [a for a, v in enumerate(bucket.scope) if v >= self.facts])
            for child, (a, b, both) in zip(reversed(bucket.children[1:]), reversed(work.joins), strict=True):
                u, back = combined_adjoint(u, a, b, both)
                beside[child] = back.reshape(works[child].message.shape)
            if bucket.children:
                first = bucket.children[0]
                beside[first] = u.reshape(works[first].message.shape)

    def _unexplained(self, weights: list[Array], standing: list[int], total: float, variables: list[Array]) -> float:
        """Return the chance that some standing complaint has no listed explanation, split by the first such one."""
        if not standing:
            return self._product(self._collect(weights, absent_only=True), weights, absent_only=True) / total
        out = 0.0
        split = list(weights)
        for n, v in enumerate(standing):
            clear, triggered = weights[v]
            if n == 0 and v in self.touched:
                out = float(variables[v][0])
            else:
                split[v] = np.array([clear, 0.0])
                out += self._product(self._collect(split), split) / total
            if v not in self.touched:
                # No cause can explain it: all that is left goes unexplained.
                break
            split[v] = np.array([0.0, triggered])
        return out


def _share(weight: Array) -> Array:
    """Return the shares of a variable that nothing touches."""
    whole = weight.sum()
    return weight / whole if whole > 0 else weight
