"""A cause, or several with the same parent facts, as a factor: absent, or present and triggering findings."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import reduce
from operator import mul
from typing import Any

import numpy as np

from .part_tally import PartTally
from .potentials import (
    Array,
    Links,
    Showing,
    expanded,
    explained_weight,
    fire,
    fire_adjoint,
    fire_showing,
    marginalized_to,
    row,
)


@dataclass
class MarginalAccumulator:
    """What is read off on the way down, by cause: its weight while still at work, and of its having fired a standing complaint.

    `tally` takes in more, for who learns from cases; advice does without.
    """

    present: list[float]
    explains: list[float]
    tally: PartTally | None = None


def variable_mask(variables: Iterable[int]) -> int:
    """Return a set of variables written as bits.

    Examples
    --------
    >>> bin(variable_mask([0, 2, 3]))
    '0b1101'
    """
    out = 0
    for v in variables:
        out |= 1 << v
    return out


@dataclass(frozen=True)
class CauseFactor:
    """One cause by its parent facts.

    Parameters
    ----------
    cause : int
    facts : tuple of int
    absent : array
        Its weight when absent, an axis for each fact [prob].
    ways : list of (array, Links)
        Its weight, and its links by variable, for each way to be present; in the last one it is still at work.
    showings : list of list of Showing
        For each way, what it shows that several reports may have caught; empty where there is nothing of the kind.

    Examples
    --------
    Present one time in two, and then it triggers a finding four times in five:

    >>> one = CauseFactor(0, (), np.array(0.5), [(np.array(0.5), [(0, 0.8)])])
    >>> one.expand((0,)).step(np.array([1.0, 0.0])).round(2)
    array([0.6, 0.4])
    """

    cause: int
    facts: tuple[int, ...]
    absent: Array
    ways: list[tuple[Array, Links]]
    showings: list[list[Showing]] = field(default_factory=list)

    @property
    def scope(self) -> int:
        """The variables that it touches, as bits."""
        caught = variable_mask(v for some in self.showings for s in some for v, _ in s.catches)
        return caught | variable_mask(self.facts) | variable_mask(v for _, links in self.ways for v, _ in links)

    def whole(self, absent_only: bool) -> float:
        """Return its whole weight; it touches nothing."""
        return float(self.absent) + (0.0 if absent_only else sum(float(w) for w, _ in self.ways))

    def read_alone(self, read: MarginalAccumulator) -> None:
        """Enter what is known of it; it touches nothing."""
        read.present[self.cause] = float(self.ways[-1][0]) / self.whole(False)
        if read.tally is not None:
            read.tally.ways[self.cause] = [float(w) / self.whole(False) for w, _ in self.ways]
            read.tally.exposed[self.cause] = (1 - float(self.absent)) / self.whole(False)

    def expand(self, scope: tuple[int, ...]) -> "ExpandedFactor":
        """Return it ready to be taken into tables over a scope."""
        place = {v: axis for axis, v in enumerate(scope)}
        ways = [(_expanded(w, self.facts, scope), [(place[v], s) for v, s in links]) for w, links in self.ways]
        showings = [[s.placed(place) for s in some] for some in self.showings]
        return ExpandedFactor(self.cause, _expanded(self.absent, self.facts, scope), ways, showings)


def _expanded(weight: Array, facts: tuple[int, ...], scope: tuple[int, ...]) -> Array:
    return expanded(weight, facts, scope) if facts else weight


@dataclass(frozen=True)
class ExpandedFactor:
    """A cause expanded to a table's axes; links are by axis."""

    cause: int
    absent: Array
    ways: list[tuple[Array, Links]]
    showings: list[list[Showing]] = field(default_factory=list)

    def step(self, v: Array) -> Array:
        """Return a table after the cause was taken in: it is absent, or present in one of its ways."""
        out: Array = self.absent * v
        for n, (weight, links) in enumerate(self.ways):
            part = weight * v
            fire(part, links)
            for showing in self.showings[n] if self.showings else ():
                fire_showing(part, showing)
            out += part
        return out

    def step_absent(self, v: Array) -> Array:
        """Return a table after the cause was taken in as absent."""
        out: Array = self.absent * v
        return out

    def adjoint(self, before: Array, u: Array, standing: list[int], read: MarginalAccumulator) -> Array:
        """Return the transpose of `step`, and enter what is read of the cause.

        Parameters
        ----------
        before : array
            The table before the cause was taken in.
        u : array
            The weight of what comes after each entry of the table after it.
        standing : list of int
            Axes of standing complaints.
        read : MarginalAccumulator
        """
        out: Array = self.absent * u
        part = out
        for n, (weight, links) in enumerate(self.ways):
            part = weight * u
            for showing in self.showings[n] if self.showings else ():
                fire_showing(part, showing, backward=True)
            fire_adjoint(part, links)
            out += part
        # Its still being at work weighs what the last way carries back.
        read.present[self.cause] = float(np.vdot(before, part))
        weight, links = self.ways[-1]
        if any(axis in standing for axis, _ in links):
            shown = weight * before
            for showing in self.showings[-1] if self.showings else ():
                fire_showing(shown, showing)
            read.explains[self.cause] = explained_weight(shown, links, standing, u)
        if read.tally is not None:
            read.tally.enter(self.cause, self.absent, self.ways, self.showings, before, u)
        return out


# What so many causes weigh together: clear, triggered, and either. Numbers, or arrays over the facts.
Weighed = tuple[Any, Any, Any]


@dataclass
class CauseGroup:
    """Some causes with the same parent facts.

    Parameters
    ----------
    facts : tuple of int
    variable : int, optional
        The finding.
    causes : list of int
    absent, silent, fires : list of array
        Of each cause, its weight when absent, present but not triggering, and triggering; an axis for each fact [prob].

    Examples
    --------
    Two causes of one finding, each present one time in two: it stays clear with (.5 + .5 * .2) * (.5 + .5 * .6) = .48.

    >>> two = CauseGroup((), 0)
    >>> two.add(0, np.array(0.5), 1.0, 0.8)
    >>> two.add(1, np.array(0.5), 1.0, 0.4)
    >>> two.expand((0,)).step(np.array([1.0, 0.0])).round(2)
    array([0.48, 0.52])
    """

    facts: tuple[int, ...]
    variable: int | None
    causes: list[int] = field(default_factory=list)
    absent: list[Any] = field(default_factory=list)
    silent: list[Any] = field(default_factory=list)
    fires: list[Any] = field(default_factory=list)

    def add(self, cause: int, chance: Array, factor: float, strength: float) -> None:
        """Take one more cause into the group: its chance by its facts, what else weighs its presence, its link's strength."""
        p: Any = (
            chance if self.facts else float(chance)
        )  # a few plain numbers are multiplied sooner than arrays of them
        self.causes.append(cause)
        self.absent.append(1 - p)
        self.silent.append(p * (factor * (1 - strength)))
        self.fires.append(p * (factor * strength))

    @property
    def scope(self) -> int:
        """The variables that it touches, as bits."""
        return variable_mask(self.facts) | (0 if self.variable is None else 1 << self.variable)

    def running(self) -> list[Weighed]:
        """Return what the first so many causes weigh, from none to all."""
        return _running([(a + s, f, a + s + f) for a, s, f in zip(self.absent, self.silent, self.fires, strict=True)])

    def others(self, first: list[Weighed]) -> list[Weighed]:
        """Return for each cause what all others weigh."""
        each = [(a + s, f, a + s + f) for a, s, f in zip(self.absent, self.silent, self.fires, strict=True)]
        last = _running(each[::-1])[-2::-1]
        return [(c * ec, d * et + c * ed, t * et) for (c, d, t), (ec, ed, et) in zip(first, last, strict=False)]

    def whole(self, absent_only: bool) -> float:
        """Return its whole weight; it touches nothing."""
        return float(reduce(mul, self.absent) if absent_only else self.running()[-1][2])

    def read_alone(self, read: MarginalAccumulator) -> None:
        """Enter what is known of its causes; it touches nothing."""
        for cause, absent, silent in zip(self.causes, self.absent, self.silent, strict=True):
            read.present[cause] = silent / (absent + silent)
            if read.tally is not None:
                read.tally.ways[cause] = [float(read.present[cause])]
                read.tally.exposed[cause] = float((1 - absent) / (absent + silent))

    def expand(self, scope: tuple[int, ...]) -> "ExpandedGroup":
        """Return it ready to be taken into tables over a scope."""
        first = self.running()
        axis = None if self.variable is None else scope.index(self.variable)
        rest = scope if axis is None else scope[:axis] + scope[axis + 1 :]
        weighs, absent = first[-1], reduce(mul, self.absent)
        if self.facts:
            c, d, t = weighs
            weighs = expanded(c, self.facts, rest), expanded(d, self.facts, rest), expanded(t, self.facts, rest)
            absent = expanded(absent, self.facts, scope)
        return ExpandedGroup(self, first, axis, weighs, absent)


def _running(each: list[Weighed]) -> list[Weighed]:
    out: list[Weighed] = [(1.0, 0.0, 1.0)]
    c, d, t = out[0]
    for clear, fires, either in each:
        c, d, t = c * clear, d * either + c * fires, t * either
        out.append((c, d, t))
    return out


@dataclass(frozen=True)
class ExpandedGroup:
    """A group expanded to a table's axes, without that of its finding where it has one."""

    of: CauseGroup
    first: list[Weighed]
    axis: int | None
    weighs: Weighed
    absent: Any

    def step(self, v: Array) -> Array:
        """Return a table after the group was taken in."""
        c, d, t = self.weighs
        if self.axis is None:
            return np.asarray(t * v)
        clear, triggered = row(self.axis, 0), row(self.axis, 1)
        out = np.empty_like(v)
        out[clear] = c * v[clear]
        out[triggered] = t * v[triggered] + d * v[clear]
        return out

    def step_absent(self, v: Array) -> Array:
        """Return a table after the group was taken in, all of its causes absent."""
        return np.asarray(self.absent * v)

    def adjoint(self, before: Array, u: Array, standing: list[int], read: MarginalAccumulator) -> Array:
        """Return the transpose of `step`, and enter what is read of its causes; as `ExpandedFactor.back`."""
        c, d, t = self.weighs
        of, others = self.of, self.of.others(self.first)
        if self.axis is None:
            beside = self._to_facts(before * u)
            for cause, absent, silent, rest in zip(of.causes, of.absent, of.silent, others, strict=True):
                read.present[cause] = float(np.add.reduce(silent * rest[2] * beside, axis=None))
                if read.tally is not None:
                    read.tally.ways[cause] = [read.present[cause]]
                    read.tally.exposed[cause] = float(np.add.reduce((1 - absent) * rest[2] * beside, axis=None))
            return np.asarray(t * u)
        clear, triggered = row(self.axis, 0), row(self.axis, 1)
        u_clear, u_triggered, v_clear = u[clear], u[triggered], before[clear]
        stays, newly = self._to_facts(v_clear * u_clear), self._to_facts(v_clear * u_triggered)
        by_others = self._to_facts(before[triggered] * u_triggered)
        ends = newly + by_others
        for cause, absent, silent, fires, (rc, rd, rt) in zip(
            of.causes, of.absent, of.silent, of.fires, others, strict=True
        ):
            fired = fires * rt * ends
            without = rc * stays + rd * newly + rt * by_others
            at_work = silent * without + fired
            read.present[cause] = self._summed(at_work)
            if self.axis in standing:
                read.explains[cause] = self._summed(fired)
            if read.tally is not None:
                read.tally.ways[cause] = [float(read.present[cause])]
                read.tally.exposed[cause] = float(self._summed((1 - absent) * without))
                read.tally.fired[cause, 0, read.tally.scope[self.axis]] = float(self._summed(fired))
        out = np.empty_like(u)
        out[clear] = c * u_clear + d * u_triggered
        out[triggered] = t * u_triggered
        return out

    def _to_facts(self, table: Array) -> Any:
        """Return a table summed to the parent facts of the group."""
        if not self.of.facts:
            return float(np.add.reduce(table, axis=None))
        return marginalized_to(table, self.weighs[2].shape).reshape(self.of.absent[0].shape)

    def _summed(self, weight: Any) -> float:
        return float(np.add.reduce(weight, axis=None)) if self.of.facts else weight
