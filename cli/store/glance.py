"""Which case a walk is offered: the newest open one in nobody's hands; read with the standard library alone, for the first line.

It reads and writes nothing else: whatever it can't be sure of is left to the store, which is opened anyway a moment later.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

from ...engine.case.rows import UncertainRowError, decode_rows
from ...engine.case.status import standing
from .database import schema
from .database.checksums import CASES, LAST, ROWS, chain, sound_case, text
from .database.lock import elsewhere, holder

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

OFFERED = 50  # the newest cases that are looked at for one to go on with


class Offer:
    """What the first line says of a case; `store.CaseLine` says the same and more."""

    def __init__(self, case: str, state: str, words: str, answers: int) -> None:
        self.id = case
        self.state = state
        self.words = words
        self.answers = answers


def free(db: Any, holding: Callable[[object], Any]) -> Iterator[Any]:
    """Yield the newest cases that were not declined and that nobody else who is alive holds, as `CASES` reads them.

    Parameters
    ----------
    db : Connection or Database
    holding : callable
        Gives who holds a case, as `lock.holder`.
    """
    rows = db.execute(f"{CASES} WHERE declined=0 ORDER BY touched DESC, id LIMIT {OFFERED}").fetchall()
    for row in rows:
        if not elsewhere(holding(row[0])):
            yield row


def glance(path: Path) -> Offer | None:
    """Return the case that `Store.offered` would offer, or None where it would offer none.

    Parameters
    ----------
    path : Path
        The store's file. Nothing is written to it.

    Raises
    ------
    UncertainRowError
        Where only the store can tell: another version, a damaged row, anything that the database does not like.
    """
    try:
        db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None, timeout=0)
        db.text_factory = text
        try:
            return _newest(db)
        finally:
            db.close()
    except (sqlite3.Error, OSError, ValueError) as error:
        raise UncertainRowError(str(error)) from error


def _newest(db: sqlite3.Connection) -> Offer | None:
    db.execute("BEGIN")  # everything as of one moment
    for name, wanted in (("application_id", schema.MARK), ("user_version", schema.VERSION)):
        if db.execute(f"PRAGMA {name}").fetchone()[0] != wanted:
            raise UncertainRowError(name)
    for row in free(db, lambda case: holder(db, case)):
        case = row[0]
        if not sound_case(row):
            raise UncertainRowError("a damaged case")
        rows = db.execute(f"{ROWS} rows WHERE of=? ORDER BY number", (case,)).fetchall()
        kept_rows = chain(rows, row[LAST])
        if not all(row.good for row in kept_rows):
            raise UncertainRowError("a damaged row")
        found = standing(decode_rows([row.body for row in kept_rows]))
        if found.state == "open":
            return Offer(case, found.state, found.words, found.answers)
    return None
