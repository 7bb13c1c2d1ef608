"""One case read from its rows, each held against its checksums: what is damaged is said in its place, and the rest goes on."""

from collections.abc import Sequence
from typing import Any

import msgspec

from ...engine.case.events import Event
from ...engine.case.rows import apply
from .database.checksums import CASES, LAST, ROWS, WAITING, KeptRow, chain, sound, sound_case
from .database.interface import Database

MOST = 60  # letters of what stands beside a damaged row
AS_A_WHOLE = "What is kept of this case as a whole is damaged: its reference, its dates, or what it comes after."
LOST = "What is kept of this case as a whole is lost, its reference and its dates; its rows are there."


class KeptCase:
    """A case as it was read.

    Parameters
    ----------
    events : list of Event
        A note stands where a row is damaged or lost, so that what is said of rows by their place stays so.
    damage : list of str
        What is damaged, in sentences; empty where all is as it was written.
    row : tuple, optional
        What is kept of the case as a whole, as `CASES` reads it; None where it is lost.
    times : list of int, optional
        When each event was kept [ms since 1970, UTC]; None where that is not known.
    """

    def __init__(self, events: list[Event], damage: list[str], row: Any, times: list[int | None]) -> None:
        self.events = events
        self.times = times
        self.damage = damage
        self.row = row


def read(db: Database, case: str) -> KeptCase:
    """Read a case; what stands in no index any more is looked for in the table itself.

    Parameters
    ----------
    db : Database
    case : str
        Its id, as the store writes it.

    Raises
    ------
    Exception
        The database's own, where nothing of it can be read.
    """
    row = case_row(db, case)
    whole = row is not None and sound_case(row)
    last = row[LAST] if whole else None
    kept_rows = _kept_rows(db, "rows", case, last)
    if not all(p.good for p in kept_rows):
        again = _kept_rows(db, db.rows_again, case, last)
        if _bad(again) < _bad(kept_rows):
            kept_rows = again
    events, damage, times = _replayed(kept_rows)
    _remarked(db, case, row[WAITING] if whole else 0, events, damage)
    if not whole:
        damage.insert(0, LOST if row is None else AS_A_WHOLE)
    times += [None] * (len(events) - len(times))
    return KeptCase(events, damage, row, times)


def _remarked(db: Database, case: str, waiting: int, events: list[Event], damage: list[str]) -> None:
    """Add the notes that wait until a case is free, and what is said of those that are damaged or lost."""
    found = db.execute("SELECT of, body, sum FROM remarks WHERE of=? ORDER BY number", (case,)).fetchall()
    for row in found:
        if not sound(row) or not replay(events, row[1]):
            damage.append("A note that was left beside it is damaged.")
            events.append(Event(note=f"DAMAGED: {damage[-1]}"))
    for _ in range(len(found), waiting):
        damage.append("A note that was left beside it is lost.")
        events.append(Event(note=f"DAMAGED: {damage[-1]}"))


def case_row(db: Database, case: str) -> Any:
    """Return what is kept of a case as a whole, as `CASES` reads it, or None."""
    try:
        found = db.execute(f"{CASES} WHERE id=?", (case,)).fetchone()
    except Exception as error:
        if not db.is_damage(error):
            raise
        found = None
    # A damaged key leads others astray: the second look goes through the whole table.
    return found or db.execute(f"{CASES} WHERE {db.id_again}=?", (case,)).fetchone()


def _kept_rows(db: Database, table: str, case: str, last: object) -> list[KeptRow]:
    rows: list[Any] = []
    try:
        rows.extend(db.execute(f"{ROWS} {table} WHERE of=? ORDER BY number", (case,)))
    except Exception as error:
        if not db.is_damage(error):
            raise
        return [*chain(rows, None), KeptRow(None, False)]
    return chain(rows, last)


def _bad(kept_rows: Sequence[KeptRow]) -> int:
    return sum(not p.good for p in kept_rows) * 1000 - len(kept_rows)


def _replayed(kept_rows: list[KeptRow]) -> tuple[list[Event], list[str], list[int | None]]:
    """Return the events of a case, what is said of each row that is damaged or lost, and when each event was kept."""
    records = [_record(p) for p in kept_rows]
    events: list[Event] = []
    damage: list[str] = []
    times: list[int | None] = []
    number = 0
    for at, (kept, record) in enumerate(zip(kept_rows, records, strict=True)):
        number += kept.body is not None
        if record is not None:
            try:
                apply(events, record, _event)
            except msgspec.ValidationError:
                pass
            else:
                apply(times, record, lambda _, at=kept.at: at)  # type: ignore[misc]
                continue
        before = _said(records[at - 1]) if at else "the beginning"
        after = _said(records[at + 1]) if at + 1 < len(records) else "the end"
        what = f"Row {number} is damaged" if kept.body is not None else "Something that was kept is lost"
        damage.append(f"{what}. It stood between {before} and {after}.")
        # One that took something back or changed it left no event of its own.
        if kept.body is None or not kept.body.startswith(('{"undo"', '{"at"')):
            events.append(Event(note=f"DAMAGED: {damage[-1]}"))
            times.append(None)
    return events, damage, times


def _record(kept: KeptRow) -> Any:
    if not kept.good or kept.body is None:
        return None
    try:
        record = msgspec.json.decode(kept.body)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return None
    return record if isinstance(record, dict) else None


def _said(record: Any) -> str:
    """Return a row in a few words, without a kb."""
    if record is None:
        return "another damaged row"
    if "undo" in record:
        return f"{record['undo']} taken back"
    if "put" in record:
        return f"a change to {_said(record['put'] if isinstance(record['put'], dict) else None)}"
    words = [w if isinstance(w, str) else ", ".join(map(str, w)) for w in record.values() if isinstance(w, str | list)]
    said = ": ".join(["".join(c for c in w if c.isprintable()) for w in words][:2])
    name = next(iter(record), "row")
    return f"{name} {said[:MOST]}{'...' if len(said) > MOST else ''}".strip()


def replay(events: list[Event], body: str | bytes) -> bool:
    """Apply one row to the events before it; False where it can't be read.

    Examples
    --------
    >>> events = [Event(role="desk"), Event(note="a"), Event(note="b")]
    >>> replay(events, '{"undo": 2}'), len(events)
    (True, 1)
    """
    try:
        apply(events, msgspec.json.decode(body), _event)
    except (msgspec.DecodeError, msgspec.ValidationError, UnicodeDecodeError, RecursionError):
        return False
    return True


def _event(data: object) -> Event:
    return msgspec.convert(data, Event)
