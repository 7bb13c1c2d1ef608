"""Checksums of what is kept: each row carries its own, and that of the row before it in its case, so that no damage passes for content.

They are CRC-32: against a disk or a copy that went wrong, which it always tells where a few bytes in a row changed; not against a
person who means harm. Read for the first line too, so by the standard library alone.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from zlib import crc32

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

# What each checksum covers, in this order; the checksum itself, `sum`, stands after them.
CASE = ("id", "reference", "earlier", "kb", "journal", "began", "touched", "shown", "declined", "last", "waiting")
ROW = ("before", "of", "body")  # and `at`, where a row has one
ROWS = "SELECT before, of, body, sum, at FROM"
LINK = ("digest", "of")
HOLD = ("of", "host", "process", "born", "boot", "since")
COVERED = {"cases": CASE, "links": LINK, "holds": HOLD}  # `rows` have a chain besides
CASES = f"SELECT {', '.join(CASE)}, sum FROM cases"
LAST, WAITING = CASE.index("last"), CASE.index("waiting")
LAST_MS = 253_402_300_799_000  # the end of the year 9999, the last that a date can be written of [ms since 1970, UTC]


def text(raw: bytes) -> str | bytes:
    """Return text that the database holds; bytes that are none stay bytes, so that one damaged letter hides nothing else."""
    try:
        return raw.decode()
    except UnicodeDecodeError:
        return raw


def checksum(*values: object) -> int:
    """Return the checksum of some values of a row, their kinds included.

    Examples
    --------
    >>> checksum("12") == checksum("12"), checksum("12") == checksum(12), checksum("1", "2") == checksum("12", "")
    (True, False, False)
    """
    found = 0
    for value in values:
        raw = value if isinstance(value, bytes) else str(value).encode("utf-8", "surrogatepass")
        found = crc32(f"{type(value).__name__} {len(raw)} ".encode(), found)
        found = crc32(raw, found)
    return found


def sound(row: Iterable[object]) -> bool:
    """Return whether a row is as it was written: its last value is the checksum of the others.

    Examples
    --------
    >>> sound(("K7M3R4", 12, checksum("K7M3R4", 12))), sound(("K7M3R4", 13, checksum("K7M3R4", 12)))
    (True, False)
    """
    *values, kept = row
    return type(kept) is int and kept == checksum(*values)


def sound_case(row: Any) -> bool:
    """Return whether what is kept of a case as a whole is as it was written, and what a case can have.

    Parameters
    ----------
    row : tuple
        As `CASES` reads it.
    """
    name, reference, earlier, kb, journal, began, touched, shown, *_ = row
    return (
        sound(row)
        and all(isinstance(word, str) for word in (name, reference, earlier or "", kb, journal, shown))
        and all(isinstance(at, int) and 0 <= at <= LAST_MS for at in (began, touched))
    )


class KeptRow:
    """A row of a case held against its checksums; `body` is None where rows are missing, `good` False where it can't be trusted, `at` when it was kept."""

    def __init__(self, body: str | None, good: bool, at: int | None = None) -> None:
        self.body = body
        self.good = good
        self.at = at


def chain(rows: Iterable[Any], last: object) -> list[KeptRow]:
    """Return the rows of a case, and where one is damaged or some are missing.

    Parameters
    ----------
    rows : iterable of (before, of, body, sum, at)
        In their order; `at` may be left out.
    last : int, optional
        The checksum of the last row, as the case keeps it; None where that can't be trusted.

    Examples
    --------
    >>> one, two = checksum(0, "K7M3R4", "a"), checksum(checksum(0, "K7M3R4", "a"), "K7M3R4", "b")
    >>> rows = [(0, "K7M3R4", "a", one), (one, "K7M3R4", "b", two)]
    >>> [p.good for p in chain(rows, two)], [p.good for p in chain(rows[1:], two)], [p.good for p in chain(rows[:1], two)]
    ([True, True], [False, True], [True, False])
    """
    out: list[KeptRow] = []
    fits: tuple[object, ...] = (0,)
    for before, of, body, kept, *rest in rows:
        at = rest[0] if rest else None
        covered = (before, of, body) if at is None else (before, of, body, at)
        good = sound((*covered, kept)) and isinstance(body, str)
        if good and before not in fits:
            out.append(KeptRow(None, False))
        out.append(KeptRow(body if isinstance(body, str) else "", good, at if good else None))
        # Of a damaged row either the checksum is still the one that the next row knows, or the rest of it is.
        fits = (kept,) if good else (kept, checksum(*covered))
    if last is not None and last not in fits:
        out.append(KeptRow(None, False))
    return out


def seal(db: sqlite3.Connection) -> None:
    """Give every row of a store its checksums, as it stands: what was kept before there were any is taken for what it is."""
    ends: dict[object, int] = {}
    for number, of, body in db.execute("SELECT number, of, body FROM rows ORDER BY number").fetchall():
        before = ends.get(of, 0)
        ends[of] = checksum(before, of, body)
        db.execute("UPDATE rows SET before=?, sum=? WHERE number=?", (before, ends[of], number))
    for (name,) in db.execute("SELECT id FROM cases").fetchall():
        db.execute("UPDATE cases SET last=? WHERE id=?", (ends.get(name, 0), name))
    for table, columns in COVERED.items():
        for row in db.execute(f"SELECT {', '.join(columns)} FROM {table}").fetchall():
            db.execute(f"UPDATE {table} SET sum=? WHERE {columns[0]}=?", (checksum(*row), row[0]))
