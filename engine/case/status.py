"""Where a case stands, from its events alone: open, waiting for the next role, on trial, or closed.

No kb is needed, so that a list of cases can be shown from any store in an instant; nor are the records, so that a start can
offer a case before they are imported.
"""

from __future__ import annotations

from collections.abc import Sequence

from .rows import leading

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Literal

    from .events import Event
    from .rows import RowEvent

    Stands = Literal["open", "waiting", "on-trial", "closed"]

STATES: tuple[Stands, ...] = ("open", "waiting", "on-trial", "closed")
# How a case stands of which somebody said afterwards what it was.
TURNED_OUT = "turned-out"
TELLING = (
    "heard",
    "complaints",
    "check",
    "fact",
    "remedy",
    "proof",
    "note",
    "turned_out",
)  # events worth keeping a case for


class Standing:
    """What a list says of a case: its state, how it was closed and why, what was complained of, how much was answered."""

    def __init__(
        self,
        *,
        state: Stands,
        closed: str | None,
        why: str,
        role: str,
        complaints: tuple[str, ...],
        words: str,
        answers: int,
    ) -> None:
        self.state: Stands = state
        self.closed = closed
        self.why = why
        self.role = role
        self.complaints = complaints
        self.words = words
        self.answers = answers


def standing(events: Sequence[Event | RowEvent]) -> Standing:
    """Return where a case stands.

    Parameters
    ----------
    events : list of Event or RowEvent

    Examples
    --------
    >>> from dryfloor.engine.case.events import Event
    >>> s = standing([Event(role="desk"), Event(heard="it hops", complaints=["walks"]), Event(closed="handed-on")])
    >>> s.state, s.complaints, s.words
    ('waiting', ('walks',), 'it hops')
    """
    closed, why, role, words, answers = None, "", "homeowner", "", 0
    complaints: dict[str, None] = {}
    for event in events:
        kind = leading(event)
        if kind in ("check", "fact", "proof"):
            answers += 1
        elif kind == "closed":
            closed, why = event.closed, event.why or ""
        elif kind == "turned_out":
            closed, why = TURNED_OUT, event.turned_out or ""
        elif kind == "trial" and closed == "on-trial":
            closed, why = (None if event.trial == "came-back" else "solved"), ""
        elif kind == "role":
            role = event.role or role
            # One that was handed on is open again to whoever takes it up.
            closed, why = (None, "") if closed == "handed-on" else (closed, why)
        words = words or event.heard or ""
        if event.complaints:
            complaints |= dict.fromkeys(event.complaints)
    state: Stands = {None: "open", "to-mend": "open", "handed-on": "waiting", "on-trial": "on-trial"}.get(
        closed, "closed"
    )  # type: ignore[assignment]
    return Standing(
        state=state, closed=closed, why=why, role=role, complaints=tuple(complaints), words=words, answers=answers
    )


def told(events: Sequence[Event | RowEvent]) -> bool:
    """Return whether anything was said in a case that is worth keeping.

    Examples
    --------
    >>> from dryfloor.engine.case.events import Event
    >>> told([Event(role="desk")]), told([Event(role="desk"), Event(note="rings back at four")])
    (False, True)
    """
    return any(leading(e) in TELLING for e in events)
