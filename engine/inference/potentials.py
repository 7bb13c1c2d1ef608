"""Potentials, tables over facts and sets of triggered findings: how they combine, what a cause does to them, and the adjoints.

An axis of a table is one variable, in the order of their numbers. Along a finding's axis stand two numbers: not triggered so far,
and triggered. Every step adds and multiplies positive numbers only, so that nothing cancels. The transpose of a step carries the
weight of what comes after it back to what went in.
"""

from functools import cache
from math import prod
from types import EllipsisType
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .. import effort

Array = NDArray[np.float64]
# Links to findings: the axis (or variable) of each, and its strength [prob].
Links = list[tuple[int, float]]


def expanded(table: Array, scope: tuple[int, ...], into: tuple[int, ...]) -> Array:
    """Return a table with an axis of length 1 for each variable that it does not have.

    Parameters
    ----------
    table : array
        One axis for each variable of `scope`.
    scope, into : tuple of int
        Sorted variables; `into` holds all of `scope`.

    Examples
    --------
    >>> expanded(np.ones((3, 2)), (1, 4), (0, 1, 4)).shape
    (1, 3, 2)
    """
    shape = [1] * len(into)
    for v, n in zip(scope, table.shape, strict=True):
        shape[into.index(v)] = n
    return table.reshape(shape)


def opened(table: Array, shape: tuple[int, ...], findings: list[int]) -> Array:
    """Return a table with every axis at its full length: constant along a new fact, not triggered along a new finding."""
    if table.shape == shape:
        return table
    out = np.zeros(shape)
    out[_clear(len(shape), tuple(a for a in findings if table.shape[a] == 1))] = table
    return out


def opened_adjoint(u: Array, shape: tuple[int, ...], findings: list[int]) -> Array:
    """Return the transpose of `opened`, for a table of a shape."""
    if u.shape == shape:
        return u
    return marginalized_to(u[_clear(len(shape), tuple(a for a in findings if shape[a] == 1))], shape)


@cache
def _clear(axes: int, new: tuple[int, ...]) -> tuple[slice, ...]:
    """Return the index of what is not triggered along some axes."""
    return tuple(slice(0, 1) if a in new else slice(None) for a in range(axes))


def marginalized_to(table: Array, shape: tuple[int, ...]) -> Array:
    """Return a table summed along the axes that have length 1 in a shape."""
    axes = tuple(a for a, n in enumerate(shape) if n == 1 and table.shape[a] != 1)
    return np.add.reduce(table, axis=axes, keepdims=True) if axes else table


def combined(a: Array, b: Array, both: list[int]) -> Array:
    """Return the join of two expanded tables: a finding is triggered when it is in either.

    Parameters
    ----------
    a, b : array
        Lifted to the same axes.
    both : list of int
        Axes of findings that are open in both.

    Examples
    --------
    >>> combined(np.array([0.3, 0.7]), np.array([0.9, 0.1]), [0])
    array([0.27, 0.73])
    """
    if not both:
        return a * b
    if len(both) == 1:
        # Most often one finding is shared, and views of its two rows cost least.
        clear, triggered = row(both[0], 0), row(both[0], 1)
        out = np.empty([max(n, m) for n, m in zip(a.shape, b.shape, strict=True)])
        out[clear] = a[clear] * b[clear]
        out[triggered] = a[triggered] * (b[clear] + b[triggered]) + a[clear] * b[triggered]
        return out
    return _either(_first(a, both) * _second(b, both), both)


def combined_adjoint(u: Array, a: Array, b: Array, both: list[int]) -> tuple[Array, Array]:
    """Return the transposes of `combined` with respect to its two tables."""
    if not both:
        return marginalized_to(u * b, a.shape), marginalized_to(u * a, b.shape)
    if len(both) == 1:
        clear, triggered = row(both[0], 0), row(both[0], 1)
        u0, u1 = u[clear], u[triggered]
        a0, a1, b0, b1 = a[clear], a[triggered], b[clear], b[triggered]
        back_a, back_b = np.empty_like(a), np.empty_like(b)
        back_a[clear] = marginalized_to(u0 * b0 + u1 * b1, a0.shape)
        back_a[triggered] = marginalized_to(u1 * (b0 + b1), a0.shape)
        back_b[clear] = marginalized_to(u0 * a0 + u1 * a1, b0.shape)
        back_b[triggered] = marginalized_to(u1 * (a0 + a1), b0.shape)
        return back_a, back_b
    for axis in both:
        u = np.take(u, [0, 1, 1], axis=axis)
    spread_a, spread_b = _first(a, both), _second(b, both)
    back_a, back_b = marginalized_to(u * spread_b, spread_a.shape), marginalized_to(u * spread_a, spread_b.shape)
    for axis in both:
        first, second, third = (row(axis, n) for n in range(3))
        back_a = np.stack((back_a[first] + back_a[second], back_a[third]), axis=axis)
        back_b = np.stack((back_b[first] + back_b[third], back_b[second] + back_b[third]), axis=axis)
    return back_a, back_b


def _first(a: Array, both: list[int]) -> Array:
    """Spread (clear, triggered) to (clear, clear, triggered) along each shared finding."""
    for axis in both:
        a = np.take(a, [0, 0, 1], axis=axis)
    return a


def _second(b: Array, both: list[int]) -> Array:
    """Spread (clear, triggered) to (clear, triggered, either) along each shared finding."""
    for axis in both:
        clear, triggered = b[row(axis, 0)], b[row(axis, 1)]
        b = np.stack((clear, triggered, clear + triggered), axis=axis)
    return b


def _either(p: Array, both: list[int]) -> Array:
    """Gather (neither, second alone, first) to (clear, triggered) along each shared finding."""
    for axis in both:
        p = np.stack((p[row(axis, 0)], p[row(axis, 1)] + p[row(axis, 2)]), axis=axis)
    return p


@cache
def row(axis: int, n: int) -> tuple[slice | int | EllipsisType, ...]:
    """Return the index of the view of a table's n-th row along an axis; the dots make a view of a single number, too."""
    return (*(slice(None),) * axis, n, ...)


def fire(v: Array, links: Links) -> None:
    """Change a table to what it is after a cause fired its links, each independently.

    Examples
    --------
    >>> v = np.array([1.0, 0.0])
    >>> fire(v, [(0, 0.75)])
    >>> v
    array([0.25, 0.75])
    """
    for axis, strength in links:
        clear, triggered = v[row(axis, 0)], v[row(axis, 1)]
        triggered += strength * clear
        clear *= 1 - strength


def fire_adjoint(v: Array, links: Links) -> None:
    """Change a table to what the transpose of `fire` makes of it."""
    for axis, strength in links:
        clear, triggered = v[row(axis, 0)], v[row(axis, 1)]
        clear *= 1 - strength
        clear += strength * triggered


class Showing(NamedTuple):
    """One thing that happens and that several reports may catch, each by itself.

    Parameters
    ----------
    chance : float or array
        That it happens; an array goes along the table's last axis [prob].
    catches : list of (int, float)
        The axis (or variable) of each report, and how surely it catches it [prob].
    """

    chance: Any
    catches: Links

    def placed(self, place: dict[int, int]) -> "Showing":
        """Return it by other axes."""
        return Showing(self.chance, [(place[v], hit) for v, hit in self.catches])


def fire_showing(v: Array, showing: Showing, backward: bool = False) -> None:
    """Change a table to what it is after a showing, which each report catches independently; or to what the transpose makes of it.

    Examples
    --------
    Half of the time it happens, and then two see it, or one alone, or nobody:

    >>> v = np.array([[1.0, 0.0], [0.0, 0.0]])
    >>> fire_showing(v, Showing(0.5, [(0, 0.8), (1, 0.5)]))
    >>> v
    array([[0.55, 0.05],
           [0.2 , 0.2 ]])
    """
    part = v * showing.chance
    (fire_adjoint if backward else fire)(part, showing.catches)
    v *= 1 - showing.chance
    v += part


def explained_weight(before: Array, links: Links, standing: list[int], after: Array) -> float:
    """Return the weight of a cause's having fired some standing complaint, split by the first so that every term is positive.

    Parameters
    ----------
    before : array
        The table before the cause is taken in, times the weight of its being at work.
    links : list
        Its links.
    standing : list of int
        Axes of standing complaints.
    after : array
        What comes after, from the transposes.
    """
    total = 0.0
    ours = [link for link in links if link[0] in standing]
    for n, (axis, strength) in enumerate(ours):
        skip = {a for a, _ in ours[: n + 1]}
        part = before.copy()
        fire(part, [link for link in links if link[0] not in skip])
        for _, missed in ours[:n]:
            part *= 1 - missed
        clear, triggered = row(axis, 0), row(axis, 1)
        total += strength * float(((part[clear] + part[triggered]) * after[triggered]).sum())
    return total


# A table with one axis for each of its variables, which are sorted.
Factor = tuple[tuple[int, ...], Array]


def product(factors: list[Factor]) -> Factor:
    """Return the product of factors over all of their variables.

    Examples
    --------
    >>> scope, table = product([((0,), np.array([1.0, 2.0])), ((1,), np.array([3.0, 4.0]))])
    >>> scope, table.tolist()
    ((0, 1), [[3.0, 4.0], [6.0, 8.0]])
    """
    size = {v: n for known, table in factors for v, n in zip(known, table.shape, strict=True)}
    scope = tuple(sorted(size))
    effort.spend(len(factors) * prod(size.values()))
    out = np.ones((1,) * len(scope))
    for known, table in factors:
        out = out * expanded(table, known, scope)
    return scope, out


def marginalized(factors: list[Factor], keep: set[int]) -> list[Factor]:
    """Return factors over the kept variables alone whose product is the sum, over all others, of the given ones' product.

    Parameters
    ----------
    factors : list of Factor
    keep : set of int
        Variables that stay.

    Examples
    --------
    >>> [(s, t.tolist()) for s, t in marginalized([((0,), np.array([1.0, 2.0])), ((0, 1), np.eye(2))], {1})]
    [((1,), [1.0, 2.0])]
    """
    left = list(factors)
    while True:
        waiting = {v for known, _ in left for v in known} - keep
        if not waiting:
            return left
        _, variable = min((len({w for known, _ in left if v in known for w in known}), v) for v in waiting)
        scope, table = product([f for f in left if variable in f[0]])
        axis = scope.index(variable)
        left = [f for f in left if variable not in f[0]]
        left.append((scope[:axis] + scope[axis + 1 :], table.sum(axis=axis)))
