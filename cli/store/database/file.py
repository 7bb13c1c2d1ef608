"""A store in a file, by SQLite: connecting to it, seeing whose it is, bringing it to this version, and what SQLite alone says."""

import errno
import os
import sqlite3
import stat
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Literal

from ....engine.errors import InvalidInputError, Problem
from . import checksums, errors, schema
from .errors import FilePlace, damaged, newer
from .lock import holder, me

MEMORY: Literal[":memory:"] = ":memory:"
MOST = 20  # complaints of the database that are told


class FileDatabase:
    """A `Database` in one file: one process writes at a time, any number read.

    Parameters
    ----------
    place : Path or ':memory:'
        `:memory:` keeps nothing beyond this process.
    write : bool
        False: read only; the file must be there.

    Raises
    ------
    InvalidInputError
        As `prepare`.
    OSError, sqlite3.Error
        As `connected`.
    """

    leases = False
    rows_again = "rows NOT INDEXED"
    id_again = "+id"  # a damaged key leads others astray: this look goes through the whole table

    def __init__(self, place: FilePlace, write: bool) -> None:
        self.place = place
        self._db = connected(place, write)
        try:
            prepare(self._db, place, write)
        except BaseException:
            self._db.close()
            raise

    def execute(self, sql: str, values: Sequence[object] = ()) -> sqlite3.Cursor:
        """Do one statement, `?` for each value."""
        return self._db.execute(sql, values)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction, synced at its end; whoever else wants to write waits for it."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):
                self._db.execute("ROLLBACK")
            raise

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Read everything as of one moment."""
        self._db.execute("BEGIN")
        try:
            yield
        finally:
            self._db.execute("ROLLBACK")

    def alone(self, case: str) -> None:
        """Nothing to do: nobody else writes while this process does."""

    def holder(self, case: object) -> Any:
        """Return who holds a case, as `lock.holder`."""
        return holder(self._db, case)

    def mark(self, case: str, since: int) -> None:
        """Put the mark of this process on a case, since when [ms since 1970, UTC]."""
        row = (case, *me(), since)
        names = ", ".join((*checksums.HOLD, "sum"))
        self._db.execute(
            f"INSERT OR REPLACE INTO holds({names}) VALUES(?,?,?,?,?,?,?)", (*row, checksums.checksum(*row))
        )

    def unmark(self, case: str) -> bool:
        """Take the mark of this process off a case; return whether there was one."""
        sql = "DELETE FROM holds WHERE of=? AND host=? AND process=? AND born=? AND boot=?"
        return self._db.execute(sql, (case, *me())).rowcount > 0

    def settle(self) -> bool:
        """Nothing to do: a file says itself how a transaction ended."""
        return False

    def is_damage(self, error: Exception) -> bool:
        """Return whether an error says that the file is damaged."""
        return (getattr(error, "sqlite_errorname", "") or "").startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB"))

    def unsound(self) -> list[str]:
        """Return what SQLite finds wrong with its file, in sentences."""
        try:
            said = [str(row[0]) for row in self._db.execute(f"PRAGMA integrity_check({MOST})")]
        except sqlite3.DatabaseError as error:
            if not self.is_damage(error):
                raise
            said = [str(error)]
        return [f"The file: {text.strip()}." for text in said if text != "ok"]

    def scrub(self) -> None:
        """Empty the log and write the file anew, so that nothing of what was removed is left in either.

        Raises
        ------
        InvalidInputError
            Where somebody reads the file so long that the log can't be emptied.
        """
        self._empty_log()
        self._db.execute("VACUUM")
        self._empty_log()

    def _empty_log(self) -> None:
        found = self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if found and found[0]:
            raise InvalidInputError(
                [
                    Problem(
                        code="J015",
                        file=str(self.place),
                        message="the case is removed, but another program reads the store, and parts of it are still in its log",
                        mend="close the other program; the next start of dryfloor empties the log",
                    )
                ]
            )

    def hurry(self) -> None:
        """Wait hardly at all for other writers from here on."""
        with suppress(sqlite3.Error):
            self._db.execute("PRAGMA busy_timeout=100")

    def close(self) -> None:
        """Close the file; nothing is raised."""
        with suppress(sqlite3.Error):
            self._db.close()


def connected(path: FilePlace, write: bool) -> sqlite3.Connection:
    """Return a connection to a store's file; to be written it is made where it is not there, for the owner's eyes alone.

    Parameters
    ----------
    path : Path or ':memory:'
    write : bool

    Raises
    ------
    OSError
        Where it can't be made, or is not there to be read.
    sqlite3.Error
        Where it can't be opened.
    """
    db = _connected(path, write)
    # A letter that was damaged is found by its row's checksum; refused here, it would hide all other rows.
    db.text_factory = checksums.text
    return db


def _connected(path: FilePlace, write: bool) -> sqlite3.Connection:
    if path == MEMORY:
        return sqlite3.connect(":memory:", isolation_level=None, timeout=errors.WAIT_S)
    path = Path(path)
    with suppress(FileNotFoundError):
        # A pipe, a device or a folder has no pages; to open a pipe would wait for whoever never comes.
        if not stat.S_ISREG(path.stat().st_mode):
            raise OSError(errno.EINVAL, "it is no file that can hold a store")
    if write and not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        # Nobody else's eyes: what is in a case was said in confidence.
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        _sync_folder(path.parent)
    if not write and not path.exists():
        raise FileNotFoundError(2, "there is no such store", str(path))
    uri = path.absolute().as_uri()
    return sqlite3.connect(
        f"{uri}?mode={'rw' if write else 'ro'}", uri=True, isolation_level=None, timeout=errors.WAIT_S
    )


def prepare(db: sqlite3.Connection, path: FilePlace, write: bool) -> None:
    """Set how it is kept, see whose it is, and bring it to this version.

    Parameters
    ----------
    db : Connection
    path : Path or ':memory:'
    write : bool

    Raises
    ------
    InvalidInputError
        Where it is another program's database, or of a newer version.
    """
    for setting in ("foreign_keys=ON", "secure_delete=ON", "temp_store=MEMORY", "synchronous=FULL", "fullfsync=ON"):
        db.execute(f"PRAGMA {setting}")
    mark = db.execute("PRAGMA application_id").fetchone()[0]
    version = db.execute("PRAGMA user_version").fetchone()[0]
    empty = not db.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
    if not empty and mark != schema.MARK:
        raise InvalidInputError([damaged(path, "this is a database, but no store of dryfloor", "J013")])
    if version > schema.VERSION:
        raise InvalidInputError([newer(path, version)])
    if write:
        db.execute("PRAGMA journal_mode=WAL")
    if version >= schema.VERSION:
        return
    if write:
        upgrade(db)
        return
    # Reading knows this version alone, so an older one is brought to it first.
    writer = connected(path, True)
    try:
        prepare(writer, path, True)
    finally:
        writer.close()


def upgrade(db: sqlite3.Connection, to: int = schema.VERSION) -> None:
    """Bring a store to a version, whole or not at all."""
    db.execute("BEGIN IMMEDIATE")
    try:
        # Another process may have been here first.
        version = db.execute("PRAGMA user_version").fetchone()[0]
        for number, step in enumerate(schema.STEPS[version:to], version + 1):
            for sql in step.split(";\n"):
                if sql.strip():
                    db.execute(sql)
            if number == schema.SEALED:
                checksums.seal(db)
        db.execute(f"PRAGMA application_id={schema.MARK}")
        db.execute(f"PRAGMA user_version={max(version, to)}")
        db.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        raise


def _sync_folder(folder: Path) -> None:
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
