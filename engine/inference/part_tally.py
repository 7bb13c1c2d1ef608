"""What each part of a network did, as chances given the evidence: read off the bucket tree's tables on the way down.

A cause was there in one of its ways, each of its links fired, each showing happened and was caught by each report. Advice needs none of it;
who learns from cases counts it.
"""

from dataclasses import dataclass, field

import numpy as np

from .potentials import Array, Links, Showing, fire, fire_showing, row


@dataclass
class PartTally:
    """Chances given the evidence, by cause and way, by variable.

    Parameters
    ----------
    ways : dict
        Cause -> of each way in which it can be present [prob].
    exposed : dict
        Cause -> how much it is expected to be absent, each time by its odds: at the best rate this is how often it was there [-].
    fired : dict
        (cause, way, variable) -> that it is present so, and its link fired [prob].
    shown : dict
        (cause, way) -> for each of its showings that several reports may have caught: that it happened, and that each caught it [prob].
    unlisted : dict
        Identity of an unlisted showing -> the same of it [prob].
    scope : tuple of int
        The variables of the table that is read.
    """

    ways: dict[int, list[float]] = field(default_factory=dict)
    exposed: dict[int, float] = field(default_factory=dict)
    fired: dict[tuple[int, int, int], float] = field(default_factory=dict)
    shown: dict[tuple[int, int], list[tuple[float, list[float]]]] = field(default_factory=dict)
    unlisted: dict[int, tuple[float, list[float]]] = field(default_factory=dict)
    scope: tuple[int, ...] = ()

    def enter(
        self,
        cause: int,
        absent: Array,
        ways: list[tuple[Array, Links]],
        showings: list[list[Showing]],
        before: Array,
        after: Array,
    ) -> None:
        """Enter a cause.

        Parameters
        ----------
        cause : int
        absent : array
            Its chance not to be there, by the facts [prob].
        ways, showings : list
            By axis, as the factor has them.
        before : array
            The table before the cause is taken in.
        after : array
            The weight of what comes after each entry of the table after it.
        """
        self.exposed[cause] = float(np.vdot((1 - absent) * before, after))
        own = []
        for n, (weight, links) in enumerate(ways):
            some = showings[n] if showings else []
            base = weight * before
            whole = base.copy()
            fire(whole, links)
            for showing in some:
                fire_showing(whole, showing)
            own.append(float(np.vdot(whole, after)))
            for k, (axis, strength) in enumerate(links):
                part = base.copy()
                fire(part, links[:k] + links[k + 1 :])
                for showing in some:
                    fire_showing(part, showing)
                self.fired[cause, n, self.scope[axis]] = _fired(part, axis, strength, after)
            read = []
            for k, showing in enumerate(some):
                part = base.copy()
                fire(part, links)
                for other in some[:k] + some[k + 1 :]:
                    fire_showing(part, other)
                read.append(shown_weight(part, showing, after))
            if read:
                self.shown[cause, n] = read
        self.ways[cause] = own


def shown_weight(before: Array, showing: Showing, after: Array) -> tuple[float, list[float]]:
    """Return the weight of a showing's having happened, and of that and each of its reports' having caught it.

    Parameters
    ----------
    before : array
        The table with all else of its cause taken in.
    showing : Showing
        By axis.
    after : array
        The weight of what comes after each entry of the table after it.

    Examples
    --------
    Half of the time it happens; two reports may have caught it, and both did:

    >>> happened, caught = shown_weight(
    ...     np.array([[1.0, 0.0], [0.0, 0.0]]), Showing(0.5, [(0, 0.8), (1, 0.5)]), np.array([[0.0, 0.0], [0.0, 1.0]])
    ... )
    >>> round(happened, 3), [round(c, 3) for c in caught]
    (0.2, [0.2, 0.2])
    """
    part = before * showing.chance
    whole = part.copy()
    fire(whole, showing.catches)
    caught = []
    for k, (axis, hit) in enumerate(showing.catches):
        others = part.copy()
        fire(others, showing.catches[:k] + showing.catches[k + 1 :])
        caught.append(_fired(others, axis, hit, after))
    return float(np.vdot(whole, after)), caught


def _fired(part: Array, axis: int, strength: float, after: Array) -> float:
    """Return the weight of a link's having fired, whatever else triggered its finding."""
    clear, triggered = row(axis, 0), row(axis, 1)
    return strength * float(((part[clear] + part[triggered]) * after[triggered]).sum())
