"""A case carried from one store to another: what it is made of, and what becomes of it where the other store has it too.

A case has one id wherever it is, so the same case is known by it. Its rows only grow: of two copies one is mostly the beginning of the other, and the
longer one goes on. Where both went on apart, nothing of either is lost: what was kept at the other end is added behind a note that says so.
"""

from collections.abc import Sequence
from typing import Literal

import msgspec

from ...engine.case.events import Event
from .database.checksums import checksum
from .replay import replay

Outcome = Literal["new", "same", "longer", "shorter", "apart"]
APART = "This case was worked on at both ends. What follows was kept at the other one"
TAKEN_BACK = "At the other end this was taken back or changed"


class CaseRecord(msgspec.Struct, frozen=True, kw_only=True):
    """A case as it is carried: what is kept of it as a whole, its rows as they were written and when, the notes that wait beside them, and the marks of the queue."""

    id: str
    reference: str = ""
    earlier: str | None = None
    kb: str = ""
    journal: str = ""
    began: int
    touched: int
    shown: str = ""
    declined: int = 0
    rows: list[str]
    times: list[int | None] = []
    notes: list[str] = []
    marks: list[tuple[int, str]] = []

    @property
    def bodies(self) -> list[str]:
        """All that was said, the notes that wait at its end."""
        return [*self.rows, *self.notes]


def mark(bodies: Sequence[str]) -> str:
    """Return a short mark of some rows: whether they were taken in before is told by it.

    Examples
    --------
    >>> mark(['{"note":"a"}']) == mark(['{"note":"a"}']), mark(['{"note":"a"}']) == mark(['{"note":"b"}'])
    (True, False)
    """
    return f"{checksum(*bodies):08x}"


def joined(here: Sequence[str], there: Sequence[str]) -> tuple[Outcome, list[str]]:
    """Return what becomes of a case that two stores have, and the rows that are to be added here.

    Parameters
    ----------
    here, there : sequence of str
        The rows of either, as JSON.

    Examples
    --------
    >>> a, b, c = ('{"note":"%s"}' % x for x in "abc")
    >>> joined([a], [a, b]), joined([a, b], [a])
    (('longer', ['{"note":"b"}']), ('shorter', []))
    >>> outcome, added = joined([a, b], [a, c])
    >>> outcome, added[1:]
    ('apart', ['{"note":"c"}'])
    >>> joined([a, b, *added], [a, c])
    ('same', [])
    """
    here, there = list(here), list(there)
    if here == there:
        return "same", []
    if there[: len(here)] == here:
        return "longer", there[len(here) :]
    if here[: len(there)] == there:
        return "shorter", []
    ours, theirs = _events(here), _events(there)
    sign = f"({mark(there)})"
    if any(e.note and e.note.startswith(APART) and sign in e.note for e in ours):
        return "same", []
    if any(e.note and e.note.startswith(APART) and f"({mark(here)})" in e.note for e in theirs):
        # The other end has taken ours in already: what it made of both stands here, too.
        common = _common(ours, theirs)
        taken = [f'{{"undo":{len(ours) - common}}}'] if len(ours) > common else []
        return "longer", taken + [msgspec.json.encode(e).decode() for e in theirs[common:]]
    common = _common(ours, theirs)
    before = _events([*_shared(here, there)])
    gone = [e for e in before[common:] if e not in theirs]
    added = [Event(note=f"{APART} {sign}.")]
    added += [Event(note=f"{TAKEN_BACK}: {_said(e)}") for e in gone]
    added += theirs[common:]
    return "apart", [msgspec.json.encode(e).decode() for e in added]


def _common(ours: Sequence[Event], theirs: Sequence[Event]) -> int:
    """Return how many events both begin with."""
    for n, (a, b) in enumerate(zip(ours, theirs, strict=False)):
        if a != b:
            return n
    return min(len(ours), len(theirs))


def _shared(here: Sequence[str], there: Sequence[str]) -> Sequence[str]:
    """Return the rows that both began with."""
    for n, (a, b) in enumerate(zip(here, there, strict=False)):
        if a != b:
            return here[:n]
    return here[: min(len(here), len(there))]


def _events(bodies: Sequence[str]) -> list[Event]:
    events: list[Event] = []
    for body in bodies:
        replay(events, body)
    return events


def _said(event: Event) -> str:
    return ", ".join(f"{k}: {v}" for k, v in msgspec.to_builtins(event).items())
