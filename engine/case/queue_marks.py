"""What a queue knows of a case beside what was said in it: who has it, when to ring back, what it waits for, and that it is needed soon.

Marks only grow; the last of each kind stands. They are no events: no evidence, and no advice hangs on them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from msgspec import Struct

WAITS = ("part", "plumber", "owner")
NOTHING = "nothing"  # what takes a mark away again
MOST = 20  # letters of a mark that somebody goes by


class QueueMark(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """One mark: what is set now, an empty text where something ends; `by` says who set it.

    Parameters
    ----------
    has : str, optional
        Who has the case.
    ring_back : str, optional
        When to ring back (UTC), as ISO 8601.
    waits : str, optional
        What it waits for: part, plumber, owner.
    soon : bool, optional
        Whether it is needed soon, for whatever reason.
    by : str
    """

    has: str | None = None
    ring_back: str | None = None
    waits: str | None = None
    soon: bool | None = None
    by: str = ""


class Queued(Struct, frozen=True, kw_only=True):
    """How a case stands in the queue; a text is empty where there is nothing."""

    who: str = ""
    ring_back: str = ""
    waits: str = ""
    soon: bool = False


def queued(marks: Iterable[QueueMark]) -> Queued:
    """Return how a case stands by its marks, the first set first.

    Examples
    --------
    >>> queued([QueueMark(has="ann"), QueueMark(waits="part"), QueueMark(has="")])
    Queued(who='', ring_back='', waits='part', soon=False)
    """
    who, ring_back, waits, soon = "", "", "", False
    for m in marks:
        who = who if m.has is None else m.has
        ring_back = ring_back if m.ring_back is None else m.ring_back
        waits = waits if m.waits is None else m.waits
        soon = soon if m.soon is None else m.soon
    return Queued(who=who, ring_back=ring_back, waits=waits, soon=soon)


def time_of(text: str, now: datetime) -> datetime | None:
    """Return the time that somebody means, or None.

    Parameters
    ----------
    text : str
        16:00 (today, or tomorrow once that is past), `tomorrow 9:30`, `2026-12-01 16:00`, or ISO 8601 with a zone.
    now : datetime
        With its zone, in which the text is meant.

    Examples
    --------
    >>> from datetime import UTC
    >>> now = datetime(2026, 12, 1, 15, 0, tzinfo=UTC)
    >>> [str(time_of(t, now))[:16] for t in ("16:00", "9:30", "tomorrow 8", "2026-12-03 10:15")]
    ['2026-12-01 16:00', '2026-12-02 09:30', '2026-12-02 08:00', '2026-12-03 10:15']
    >>> time_of("soon", now) is time_of("25:00", now) is time_of("2026-02-30 9:00", now) is None
    True
    """
    words = text.lower().replace("t", " ", 1).split() if text[:4].isdigit() and text.isascii() else text.lower().split()
    try:
        if (text.isascii() and text[-1:] in ("z", "Z")) or "+" in text:
            found = datetime.fromisoformat(text)
            return found if found.tzinfo else None
        day, clock = (words[0], words[1]) if len(words) == 2 else ("", words[0] if len(words) == 1 else "")
        at = _clock(clock)
        if at is None:
            return None
        base = (
            now if day in ("", "today", "tomorrow") else datetime.strptime(day, "%Y-%m-%d").replace(tzinfo=now.tzinfo)
        )
        base += timedelta(days=day == "tomorrow")
        found = base.replace(hour=at[0], minute=at[1], second=0, microsecond=0)
        return found + timedelta(days=1) if not day and found <= now else found
    except (ValueError, OverflowError):
        return None


def _clock(text: str) -> tuple[int, int] | None:
    hour, _, minute = text.partition(":")
    if not (
        hour.isascii() and hour.isdigit() and len(hour) < 3 and (not minute or (minute.isascii() and minute.isdigit()))
    ):
        return None
    at = int(hour), int(minute or 0)
    return at if at[0] < 24 and at[1] < 60 else None
