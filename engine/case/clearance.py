"""A cleared gate counts in the run in which somebody vouched for it, and in no other: how a kept case is read without it."""

from collections.abc import Sequence

from .events import Event


def without_clearances(events: Sequence[Event]) -> list[Event | None]:
    """Return the events of a kept case, each at its place, as they count for whoever opens it later.

    A clearance is left out (None): nobody knows what was seen at the machine since. Where it ended a stop, what stays is that
    somebody took the case up again (`resumed`), so that the stop does not stand and its gate is asked.

    Parameters
    ----------
    events : sequence of Event

    Examples
    --------
    >>> found = without_clearances([Event(cleared="gas-smell"), Event(stopped="sewage"), Event(cleared="sewage")])
    >>> found[0], found[1].stopped, found[2].resumed
    (None, 'sewage', True)
    """
    out: list[Event | None] = []
    stopped: str | None = None
    for event in events:
        if event.cleared is not None:
            ended = event.cleared == stopped
            stopped = None if ended else stopped
            out.append(Event(resumed=True) if ended else None)
            continue
        if event.stopped is not None:
            stopped = event.stopped
        elif event.role or event.hands or event.resumed or event.trial:
            stopped = None
        out.append(event)
    return out


def kept_of(events: Sequence[Event]) -> list[Event]:
    """Return what of a case is kept in a store or a file: all of it but its clearances.

    Examples
    --------
    >>> [event.role for event in kept_of([Event(role="desk"), Event(cleared="gas-smell")])]
    ['desk']
    """
    return [event for event in without_clearances(events) if event is not None]
