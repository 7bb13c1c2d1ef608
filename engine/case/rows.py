"""The rows of a case as they are kept: what each does to the events before it, and reading them without the records.

A row is an event, `{"undo": n}` for the last n events taken back, or `{"at": i, "put": event}` for another event in the place of
the one at i.
"""

from __future__ import annotations

from collections.abc import Callable

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any, TypeVar

    E = TypeVar("E")

# What the fields of `case.Event` may hold, by their names in a row; a test compares them with the records.
TEXTS = frozenset(
    (
        *("heard", "hazard", "fact", "is", "cleared", "word", "stopped", "check", "answer", "value", "cant", "skip"),
        *("note", "remedy", "did", "proof", "closed", "why", "trial", "machine", "earlier"),
        *("turned_out", "cause", "by", "date", "at"),
    )
)
LISTS = frozenset(("complaints", "still"))
FLAGS = frozenset(("resumed",))
CHOICES = {"role": ("homeowner", "desk", "technician"), "hands": ("homeowner", "technician")}


class UncertainRowError(ValueError):
    """A row that only the records can judge."""


class RowEvent:
    """An event whose fields were read without the records; a field that is not set is None.

    Examples
    --------
    >>> event = decode_row({"heard": "it hops", "complaints": ["walks"]})
    >>> event.heard, event.closed
    ('it hops', None)
    """

    def __init__(self, fields: dict[str, Any]) -> None:
        self.__dict__.update(fields)

    def __getattr__(self, name: str) -> Any:
        return None


def apply(events: list[E], row: object, event: Callable[[object], E]) -> None:
    """Apply one row to the events before it.

    Parameters
    ----------
    events : list
        Changed in place.
    row : object
        As JSON gives it.
    event : callable
        Makes an event of what JSON gives; what it raises leaves the events as they were.

    Examples
    --------
    >>> events = ["a", "b", "c"]
    >>> for row in ("d", {"undo": 2}, {"at": 0, "put": "e"}):
    ...     apply(events, row, str)
    >>> events
    ['e', 'b']
    """
    if isinstance(row, dict) and isinstance(row.get("undo"), int):
        del events[max(0, len(events) - row["undo"]) :]
    elif isinstance(row, dict) and isinstance(row.get("at"), int):
        new = event(row.get("put"))
        if 0 <= row["at"] < len(events):
            events[row["at"]] = new
    else:
        events.append(event(row))


def decode_row(data: object) -> RowEvent:
    """Return an event without the records, where they would certainly take it.

    Raises
    ------
    UncertainRowError
        Where they might refuse it.

    Examples
    --------
    >>> decode_row({"heard": 3})
    Traceback (most recent call last):
    dryfloor.engine.case.rows.UncertainRowError: heard
    """
    if not isinstance(data, dict):
        raise UncertainRowError("no event")
    for name, value in data.items():
        if value is None and (name in TEXTS or name in LISTS or name in FLAGS or name in CHOICES):
            continue
        if name in TEXTS:
            fits = isinstance(value, str)
        elif name in LISTS:
            fits = isinstance(value, list) and all(isinstance(v, str) for v in value)
        elif name in FLAGS:
            fits = isinstance(value, bool)
        else:
            fits = isinstance(value, str) and value in CHOICES.get(name, ())
        if not fits:
            raise UncertainRowError(name)
    return RowEvent(data)


def decode_rows(bodies: list[Any]) -> list[RowEvent]:
    """Return the events of a case, its rows read by the standard library alone.

    Parameters
    ----------
    bodies : list of str
        JSON.

    Raises
    ------
    UncertainRowError
        Where the records might read any of it differently, or not at all.

    Examples
    --------
    >>> [e.note for e in decode_rows(['{"note": "a"}', '{"note": "b"}', '{"undo": 1}'])]
    ['a']
    """
    from json import loads

    events: list[RowEvent] = []
    for body in bodies:
        # Half of a letter written as an escape is text to one reader and none to another.
        if not isinstance(body, str) or "\\ud" in body or "\\uD" in body:
            raise UncertainRowError("no text")
        try:
            row = loads(body, parse_int=_count, parse_float=_no_count, parse_constant=_no_count)
        except (ValueError, RecursionError) as error:
            raise UncertainRowError("no JSON") from error
        apply(events, row, decode_row)
    return events


def _count(text: str) -> int:
    """Return a whole number of a size that every reader takes."""
    if len(text) > 9:
        raise UncertainRowError("too large")
    return int(text)


def _no_count(text: str) -> float:
    raise UncertainRowError("no whole number")


LEADING = (
    "role",
    "heard",
    "trial",
    "complaints",
    "hazard",
    "fact",
    "cleared",
    "stopped",
    "check",
    "cant",
    "skip",
    "note",
    "remedy",
    "proof",
    "still",
    "resumed",
    "closed",
    "machine",
    "earlier",
    "turned_out",
)


def leading(event: object) -> str:
    """Return the name of the field that says what kind of event this is.

    Parameters
    ----------
    event : Event or Plain

    Examples
    --------
    >>> from dryfloor.engine.case.events import Event
    >>> leading(Event(heard="it hops", complaints=["walks"]))
    'heard'
    """
    for name in LEADING:
        if getattr(event, name) is not None:
            return name
    return "hands"
