"""One cause on its own: how it triggers several findings in a table, or was present in several ways, and what that says of it."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from .messages import Array, Links, fire, fire_back, fired, lifted


@dataclass
class Read:
    """What is read off on the way down, by cause: its weight while still at work, and of its having fired a standing complaint."""

    present: list[float]
    explains: list[float]


def bits(variables: Iterable[int]) -> int:
    """Return a set of variables written as bits.

    Examples
    --------
    >>> bin(bits([0, 2, 3]))
    '0b1101'
    """
    out = 0
    for v in variables:
        out |= 1 << v
    return out


@dataclass(frozen=True)
class Root:
    """One cause by the facts it heeds.

    Parameters
    ----------
    cause : int
    facts : tuple of int
    absent : array
        Its weight when absent, an axis for each fact [prob].
    ways : list of (array, Links)
        Its weight, and its links by variable, for each way to be present; in the last one it is still at work.

    Examples
    --------
    Present one time in two, and then it triggers a finding four times in five:

    >>> one = Root(0, (), np.array(0.5), [(np.array(0.5), [(0, 0.8)])])
    >>> one.lift((0,)).step(np.array([1.0, 0.0])).round(2)
    array([0.6, 0.4])
    """

    cause: int
    facts: tuple[int, ...]
    absent: Array
    ways: list[tuple[Array, Links]]

    @property
    def scope(self) -> int:
        """The variables that it touches, as bits."""
        return bits(self.facts) | bits(v for _, links in self.ways for v, _ in links)

    def whole(self, absent_only: bool) -> float:
        """Return its whole weight; it touches nothing."""
        return float(self.absent) + (0.0 if absent_only else sum(float(w) for w, _ in self.ways))

    def read_alone(self, read: Read) -> None:
        """Enter what is known of it; it touches nothing."""
        read.present[self.cause] = float(self.ways[-1][0]) / self.whole(False)

    def lift(self, scope: tuple[int, ...]) -> "RootIn":
        """Return it ready to be taken into tables over a scope."""
        place = {v: axis for axis, v in enumerate(scope)}
        ways = [(_lifted(w, self.facts, scope), [(place[v], s) for v, s in links]) for w, links in self.ways]
        return RootIn(self.cause, _lifted(self.absent, self.facts, scope), ways)


def _lifted(weight: Array, facts: tuple[int, ...], scope: tuple[int, ...]) -> Array:
    return lifted(weight, facts, scope) if facts else weight


@dataclass(frozen=True)
class RootIn:
    """A cause lifted to a table's axes; links are by axis."""

    cause: int
    absent: Array
    ways: list[tuple[Array, Links]]

    def step(self, v: Array) -> Array:
        """Return a table after the cause was taken in: it is absent, or present in one of its ways."""
        out: Array = self.absent * v
        for weight, links in self.ways:
            part = weight * v
            fire(part, links)
            out += part
        return out

    def step_absent(self, v: Array) -> Array:
        """Return a table after the cause was taken in as absent."""
        out: Array = self.absent * v
        return out

    def back(self, before: Array, u: Array, standing: list[int], read: Read) -> Array:
        """Return the transpose of `step`, and enter what is read of the cause.

        Parameters
        ----------
        before : array
            The table before the cause was taken in.
        u : array
            The weight of what comes after each entry of the table after it.
        standing : list of int
            Axes of standing complaints.
        read : Read
        """
        out: Array = self.absent * u
        part = out
        for weight, links in self.ways:
            part = weight * u
            fire_back(part, links)
            out += part
        # Its still being at work weighs what the last way carries back.
        read.present[self.cause] = float(np.vdot(before, part))
        weight, links = self.ways[-1]
        if any(axis in standing for axis, _ in links):
            read.explains[self.cause] = fired(weight * before, links, standing, u)
        return out
