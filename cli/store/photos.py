"""Photos of a case, beside its rows: each with its checksum, so many of a case and no more than fit the store."""

from msgspec import Struct

from ...engine.errors import Problem
from .database.checksums import checksum, sound
from .database.interface import Database

MOST = 6  # of one case
# Of all cases together [bytes]: forgetting writes the file anew, which this keeps to seconds.
MOST_BYTES = 512 * 1024 * 1024
PHOTO = ("of", "kept", "body", "small")  # what its checksum covers


class PhotoLine(Struct, frozen=True, kw_only=True):
    """What a list shows of a photo: its number, and when it was kept (UTC)."""

    number: int
    kept: str


def room(db: Database, case: str, more: int) -> Problem | None:
    """Return why one more photo is not kept, or None.

    Parameters
    ----------
    db : Database
    case : str
    more : int
        The size of the new one [bytes].
    """
    if db.execute("SELECT count(*) FROM photos WHERE of=?", (case,)).fetchone()[0] >= MOST:
        message = f"this case has {MOST} photos, as many as one may have"
        return Problem(code="J029", message=message, mend="remove one that shows least, then add this one")
    kept = db.execute("SELECT coalesce(sum(length(body) + length(small)), 0) FROM photos").fetchone()[0]
    if kept + more > MOST_BYTES:
        message = f"the photos of all cases together take {MOST_BYTES // 1024**2} MB, and no more are kept"
        return Problem(code="J030", message=message, mend="show it to whoever comes; forgetting old cases makes room")
    return None


def add(db: Database, case: str, now: int, body: bytes, small: bytes) -> int:
    """Write a photo and return its number."""
    row = (case, now, body, small)
    sql = f"INSERT INTO photos({', '.join(PHOTO)}, sum) VALUES(?,?,?,?,?) RETURNING number"
    return int(db.execute(sql, (*row, checksum(*row))).fetchone()[0])


def kept(db: Database, case: str) -> list[tuple[int, object]]:
    """Return the numbers of a case's photos and when each was kept [ms since 1970, UTC], the first first."""
    return db.execute("SELECT number, kept FROM photos WHERE of=? ORDER BY number", (case,)).fetchall()


def read(db: Database, case: str, number: int) -> tuple[bytes, bytes] | None:
    """Return a photo and its small one; None where the case has none of that number, or it is damaged."""
    row = db.execute(f"SELECT {', '.join(PHOTO)}, sum FROM photos WHERE of=? AND number=?", (case, number)).fetchone()
    return (row[2], row[3]) if row and sound(row) and isinstance(row[2], bytes) and isinstance(row[3], bytes) else None


def remove(db: Database, case: str, number: int | None = None) -> int:
    """Remove one photo of a case, or all; return how many."""
    only, values = ("", (case,)) if number is None else (" AND number=?", (case, number))
    return db.execute(f"DELETE FROM photos WHERE of=?{only}", values).rowcount


def damaged(db: Database) -> list[str]:
    """Return whose photos are damaged, a sentence each."""
    out = []
    for row in db.execute(f"SELECT {', '.join(PHOTO)}, sum FROM photos ORDER BY number"):
        if not sound(row):
            name = row[0].decode("ascii", "replace") if isinstance(row[0], bytes) else str(row[0])
            out.append(f"A photo of case {name} is damaged and is not shown; the caller can send it again.")
    return out
