"""Tables over facts and sets of triggered findings: how they are joined, how a cause triggers findings in them, and the transposes.

An axis of a table is one variable, in the order of their numbers. Along a finding's axis stand two numbers: not triggered so far,
and triggered. Every step adds and multiplies positive numbers only, so that nothing cancels. The transpose of a step carries the
weight of what comes after it back to what went in.
"""

from dataclasses import dataclass
from functools import cache
from types import EllipsisType

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# A link to a finding: its axis, its strength [prob], and whether it can fire or must have stayed silent.
Links = list[tuple[int, float, bool]]


@dataclass(frozen=True)
class Way:
    """One way for a cause to be present: its weight over the facts, lifted to the table, and its links by axis."""

    weight: Array
    links: Links


def lifted(table: Array, scope: tuple[int, ...], into: tuple[int, ...]) -> Array:
    """Return a table with an axis of length 1 for each variable that it does not have.

    Parameters
    ----------
    table : array
        One axis for each variable of `scope`.
    scope, into : tuple of int
        Sorted variables; `into` holds all of `scope`.

    Examples
    --------
    >>> lifted(np.ones((3, 2)), (1, 4), (0, 1, 4)).shape
    (1, 3, 2)
    """
    size = dict(zip(scope, table.shape, strict=True))
    return table.reshape([size.get(v, 1) for v in into])


def opened(table: Array, shape: tuple[int, ...], findings: list[int]) -> Array:
    """Return a table with every axis at its full length: constant along a new fact, not triggered along a new finding."""
    if table.shape == shape:
        return table
    out = np.zeros(shape)
    new = {a for a in findings if table.shape[a] == 1}
    out[tuple(slice(0, 1) if a in new else slice(None) for a in range(len(shape)))] = table
    return out


def opened_back(u: Array, shape: tuple[int, ...], findings: list[int]) -> Array:
    """Return the transpose of `opened`, for a table of a shape."""
    if u.shape == shape:
        return u
    new = {a for a in findings if shape[a] == 1}
    return summed_to(u[tuple(slice(0, 1) if a in new else slice(None) for a in range(len(shape)))], shape)


def summed_to(table: Array, shape: tuple[int, ...]) -> Array:
    """Return a table summed along the axes that have length 1 in a shape."""
    axes = tuple(a for a, n in enumerate(shape) if n == 1 and table.shape[a] != 1)
    return table.sum(axis=axes, keepdims=True) if axes else table


def joined(a: Array, b: Array, both: list[int]) -> Array:
    """Return the join of two lifted tables: a finding is triggered when it is in either.

    Parameters
    ----------
    a, b : array
        Lifted to the same axes.
    both : list of int
        Axes of findings that are open in both.

    Examples
    --------
    >>> joined(np.array([0.3, 0.7]), np.array([0.9, 0.1]), [0])
    array([0.27, 0.73])
    """
    return _either(_first(a, both) * _second(b, both), both)


def joined_back(u: Array, a: Array, b: Array, both: list[int]) -> tuple[Array, Array]:
    """Return the transposes of `joined` with respect to its two tables."""
    for axis in both:
        u = np.take(u, [0, 1, 1], axis=axis)
    spread_a, spread_b = _first(a, both), _second(b, both)
    back_a, back_b = summed_to(u * spread_b, spread_a.shape), summed_to(u * spread_a, spread_b.shape)
    for axis in both:
        first, second, third = (_row(axis, n) for n in range(3))
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
        clear, triggered = b[_row(axis, 0)], b[_row(axis, 1)]
        b = np.stack((clear, triggered, clear + triggered), axis=axis)
    return b


def _either(p: Array, both: list[int]) -> Array:
    """Gather (neither, second alone, first) to (clear, triggered) along each shared finding."""
    for axis in both:
        p = np.stack((p[_row(axis, 0)], p[_row(axis, 1)] + p[_row(axis, 2)]), axis=axis)
    return p


@cache
def _row(axis: int, n: int) -> tuple[slice | int | EllipsisType, ...]:
    """Return the index of the view of a table's n-th row along an axis; the dots make a view of a single number, too."""
    return (*(slice(None),) * axis, n, ...)


def trigger(v: Array, links: Links) -> Array:
    """Return a table after a cause fired its links, each independently."""
    v = v.copy()
    for axis, strength, fires in links:
        if fires:
            clear, triggered = v[_row(axis, 0)], v[_row(axis, 1)]
            triggered += strength * clear
            clear *= 1 - strength
        else:
            v *= 1 - strength
    return v


def trigger_back(v: Array, links: Links) -> Array:
    """Return the transpose of `trigger`."""
    v = v.copy()
    for axis, strength, fires in links:
        if fires:
            clear, triggered = v[_row(axis, 0)], v[_row(axis, 1)]
            clear *= 1 - strength
            clear += strength * triggered
        else:
            v *= 1 - strength
    return v


def step(absent: Array, ways: list[Way], v: Array) -> Array:
    """Return a table after a cause was taken in: it is absent, or present in one of its ways."""
    out: Array = absent * v
    for way in ways:
        out += way.weight * trigger(v, way.links)
    return out


def step_back(absent: Array, ways: list[Way], u: Array) -> Array:
    """Return the transpose of `step`."""
    out: Array = absent * u
    for way in ways:
        out += trigger_back(way.weight * u, way.links)
    return out


def fired(before: Array, links: Links, standing: list[int], after: Array) -> float:
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
    for n, (axis, strength, _) in enumerate(ours):
        skip = {a for a, _, _ in ours[: n + 1]}
        part = trigger(before, [link for link in links if link[0] not in skip])
        for _, missed, _ in ours[:n]:
            part *= 1 - missed
        clear, triggered = _row(axis, 0), _row(axis, 1)
        total += strength * float(((part[clear] + part[triggered]) * after[triggered]).sum())
    return total
