"""The whole store held against its checksums, and the file against what the database makes of it."""

from collections.abc import Iterable

from . import marks, photos
from .database.checksums import HOLD, LINK, sound
from .database.interface import Database
from .replay import read


def verified(db: Database) -> tuple[int, int, list[str]]:
    """Return how many cases and rows a store has, and what is damaged, in sentences.

    Parameters
    ----------
    db : Database

    Raises
    ------
    Exception
        The database's own, where the list of cases can't be read.
    """
    names = [row[0] for row in db.execute("SELECT id FROM cases ORDER BY touched DESC, id")]
    names += lost(db, names)
    out = [f"Case {_shown(name)}: {text}" for name in names for text in read(db, name).damage]
    for row in db.execute(f"SELECT {', '.join(LINK)}, sum FROM links"):
        if not sound(row):
            out.append(f"A link to case {_shown(row[1])} is damaged and leads nowhere; make another.")
    for row in db.execute(f"SELECT {', '.join(HOLD)}, sum FROM holds"):
        if not sound(row):
            out.append(f"The mark of who holds case {_shown(row[0])} is damaged and holds nothing.")
    out += photos.damaged(db) + marks.damaged(db)
    rows = db.execute("SELECT count(*) FROM rows").fetchone()[0]
    return len(names), rows, out + db.unsound()


def lost(db: Database, names: Iterable[object]) -> list[object]:
    """Return the cases of which rows are left and nothing else.

    Parameters
    ----------
    db : Database
    names : iterable
        The cases that are known as such.
    """
    known = set(names)
    return [of for (of,) in db.execute("SELECT DISTINCT of FROM rows") if of not in known]


def _shown(name: object) -> str:
    return name.decode("ascii", "replace") if isinstance(name, bytes) else str(name)
