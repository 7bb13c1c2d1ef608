"""Messages over sets of triggered findings: a finding is open from its first cause's turn to its last, then summed out.

A message is an array (states, 2^open): the chance of each set of open findings being triggered, together with all that was
summed out before. Every step adds and multiplies positive numbers only. In memory the states lie side by side (column order), so
that every sum runs over long rows however few findings are open.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Links = list[tuple[int, float, bool]]


@dataclass
class Root:
    """One cause's alternatives: weight when absent, and (weight, cured at, links to findings) for each way to be present."""

    absent: Array
    present: list[tuple[Array, int | None]]
    links: list[Links] = field(default_factory=list)


@dataclass(frozen=True)
class Turn:
    """One cause's turn: findings that open before it, all that are then open (low bit first), places that close after it."""

    cause: int
    opens: int
    held: list[int]
    closes: list[int]


def turns_of(causes: list[Root], count: int) -> list[Turn]:
    """Return an order of the linked causes that keeps few findings open: next comes the finding that is cheapest to close."""
    reach = [sorted({b for links in c.links for b, _, _ in links}) for c in causes]
    left = {b: {i for i, bs in enumerate(reach) if b in bs} for b in range(count)}
    left = {b: waiting for b, waiting in left.items() if waiting}
    held: list[int] = []
    turns = []
    while left:
        _, goal = min((len({*held, b, *(x for i in left[b] for x in reach[i])}), b) for b in left)
        for i in sorted(left[goal], key=lambda i: (len(reach[i]), i)):
            opens = [b for b in reach[i] if b not in held]
            held = held + opens
            now, closes = list(held), []
            for b in reach[i]:
                left[b].discard(i)
                if not left[b]:
                    closes.append(held.index(b))
                    held.remove(b)
                    del left[b]
            turns.append(Turn(i, len(opens), now, closes))
    return turns


def close(v: Array, place: int, weights: tuple[float, float]) -> Array:
    """Return a message with one open finding summed out."""
    w = v.T.reshape(-1, 2, 1 << place, len(v))
    out: Array = (weights[0] * w[:, 0] + weights[1] * w[:, 1]).reshape(-1, len(v)).T
    return out


def close_back(u: Array, place: int, weights: tuple[float, float]) -> Array:
    """Return the transpose of `close`."""
    w = u.T.reshape(-1, 1, 1 << place, len(u))
    out: Array = (w * np.array(weights)[:, None, None]).reshape(-1, len(u)).T
    return out


def forward(
    start: Array, causes: list[Root], turns: list[Turn], finals: list[tuple[float, float]]
) -> tuple[list[Array], Array]:
    """Return the message before each cause's turn, and the last one: the chance of everything in each state."""
    before = []
    v = start[:, None]
    for turn in turns:
        if turn.opens:
            v = np.concatenate([v.T, np.zeros(((v.shape[1] << turn.opens) - v.shape[1], len(v)))]).T
        before.append(v)
        v = step(causes[turn.cause], placed(causes[turn.cause], turn), v)
        held = list(turn.held)
        for place in turn.closes:
            v = close(v, place, finals[held.pop(place)])
    return before, v[:, 0]


def placed(cause: Root, turn: Turn) -> list[Links]:
    """Return a cause's links by the places of the open findings."""
    return [[(turn.held.index(b), s, fires) for b, s, fires in links] for links in cause.links]


def fired(before: Array, links: Links, standing: list[int], after: Array) -> float:
    """Return the chance that a cause fires some standing complaint, split by the first so that every term is positive."""
    total = 0.0
    ours = [link for link in links if link[0] in standing]
    for n, (place, strength, _) in enumerate(ours):
        skip = {p for p, _, _ in ours[: n + 1]}
        part = trigger(before, [link for link in links if link[0] not in skip])
        for _, missed, _ in ours[:n]:
            part = part * (1 - missed)
        w = part.T.reshape(-1, 2, 1 << place, len(part))
        w[:, 1] = strength * (w[:, 0] + w[:, 1])
        w[:, 0] = 0.0
        total += float((part * after).sum())
    return total


def trigger(v: Array, links: Links) -> Array:
    """Return weights over triggered sets after a cause fired its links, each independently."""
    v = v.copy(order="F")
    for bit, strength, fires in links:
        w = v.T.reshape(-1, 2, 1 << bit, len(v))
        if fires:
            w[:, 1] += strength * w[:, 0]
            w[:, 0] *= 1 - strength
        else:
            w *= 1 - strength
    return v


def trigger_back(v: Array, links: Links) -> Array:
    """Return the transpose of `trigger`."""
    v = v.copy(order="F")
    for bit, strength, fires in links:
        w = v.T.reshape(-1, 2, 1 << bit, len(v))
        if fires:
            w[:, 0] = (1 - strength) * w[:, 0] + strength * w[:, 1]
        else:
            w *= 1 - strength
    return v


def step(cause: Root, links: list[Links], v: Array) -> Array:
    """Return the message after a cause's turn."""
    out: Array = (cause.absent * v.T).T
    for (weight, _), fires in zip(cause.present, links, strict=True):
        out += (weight * trigger(v, fires).T).T
    return out


def step_back(cause: Root, links: list[Links], u: Array) -> Array:
    """Return the transpose of `step`."""
    out: Array = (cause.absent * u.T).T
    for (weight, _), fires in zip(cause.present, links, strict=True):
        out += (weight * trigger_back(u, fires).T).T
    return out
