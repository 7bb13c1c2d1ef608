"""The marks of the queue, beside a case's rows: each with its checksum; they only grow, and whoever holds the case may be anybody."""

import msgspec

from ...engine.case.queue_marks import QueueMark
from .database.checksums import checksum, sound
from .database.interface import Database

MARK = ("of", "at", "body")  # what a mark's checksum covers
ORDERED = f"SELECT {', '.join(MARK)}, sum FROM marks WHERE of=? ORDER BY at, number"


def add(db: Database, case: str, at: int, body: str) -> None:
    """Write one mark."""
    row = (case, at, body)
    db.execute(f"INSERT INTO marks({', '.join(MARK)}, sum) VALUES(?,?,?,?)", (*row, checksum(*row)))


def written(mark: QueueMark) -> str:
    """Return a mark as it is kept."""
    return msgspec.json.encode(mark).decode()


def kept(db: Database, case: str) -> list[tuple[int, str]]:
    """Return the marks of a case as they are kept, with when [ms since 1970, UTC], the first first; damaged ones are left out."""
    rows = db.execute(ORDERED, (case,)).fetchall()
    return [(row[1], row[2]) for row in rows if sound(row) and isinstance(row[2], str)]


def read(db: Database, case: str) -> list[QueueMark]:
    """Return the marks of a case, the first first."""
    out = []
    for _, body in kept(db, case):
        try:
            out.append(msgspec.json.decode(body, type=QueueMark))
        except (msgspec.DecodeError, UnicodeDecodeError):
            continue  # of a newer version, or carried here by a file that somebody else wrote
    return out


def damaged(db: Database) -> list[str]:
    """Return whose marks are damaged, a sentence each."""
    out = []
    for row in db.execute(f"SELECT {', '.join(MARK)}, sum FROM marks ORDER BY number"):
        if not sound(row):
            name = row[0].decode("ascii", "replace") if isinstance(row[0], bytes) else str(row[0])
            out.append(f"A mark of case {name} in the queue is damaged and counts no more; set it again.")
    return out
