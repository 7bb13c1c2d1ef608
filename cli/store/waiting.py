"""The calls of a store that wait for somebody: read for the queue, and the next one taken; times as people say them."""

from datetime import UTC, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.reports.queue import QueuePlace, WaitingCall
    from .store import Store

STATES = ("open", "waiting")


def waiting(store: "Store") -> "list[WaitingCall]":
    """Return the calls of a store that are open or were handed on, and are whole; installations stand in no queue."""
    from ...engine.reports.queue import WaitingCall

    return [
        WaitingCall(
            case=line.id, reference=line.reference, state=line.state, began=line.began, events=events, queued=stands
        )
        for line, events, stands in store.calls(STATES)
        if line.closed != "to-mend"
    ]


def known_calls(kb: "model.KB", calls: "list[WaitingCall]") -> "list[WaitingCall]":
    """Return calls with the events alone that this kb still understands."""
    from msgspec.structs import replace

    from ...engine.case.case_file import take_up

    return [replace(c, events=take_up(kb, c.events)[0]) for c in calls]


def next_free(store: "Store", places: "list[QueuePlace]", by: str) -> "QueuePlace | None":
    """Take the first call that can be worked on and that nobody has; one that somebody takes at this moment is passed over."""
    from msgspec.structs import replace

    from ...engine.case.queue_marks import QueueMark
    from ...engine.errors import InvalidInputError

    for p in places:
        if p.who or not (p.can or p.due) or store.held(p.case):
            continue
        try:
            store.queue(p.case, QueueMark(has=by, by=by))
        except InvalidInputError as refused:
            if refused.problems[0].code not in ("J032", "J014"):
                raise
            continue
        return replace(p, who=by)
    return None


def local(at: str) -> str:
    """Return a time (UTC, ISO 8601) by the clock of this machine."""
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):
        return at[:25]


def time_meant(text: str) -> str:
    """Return the time that somebody means, UTC, as ISO 8601.

    Raises
    ------
    InvalidInputError
        U039, where it is none.
    """
    from ...engine.case.queue_marks import time_of
    from ...engine.errors import InvalidInputError, Problem

    found = time_of(text.strip()[:40], datetime.now().astimezone())
    try:
        if found is not None:
            return found.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    except (OverflowError, OSError, ValueError):
        pass
    problem = Problem(
        code="U039",
        message=f"'{text[:40]}' is no time",
        expected="16:00, tomorrow 9:30, or 2026-12-01 16:00",
        mend="type one of these; nothing takes it away again",
    )
    raise InvalidInputError([problem])
