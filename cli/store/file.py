"""The file of a store: connecting to it, seeing whose it is, bringing it to this version."""

import errno
import os
import sqlite3
import stat
from contextlib import suppress
from pathlib import Path
from typing import Literal

from ...engine.errors import InvalidInputError, Problem
from . import checksums, errors, schema
from .errors import StorePlace, damaged

MEMORY: Literal[":memory:"] = ":memory:"


def connected(path: StorePlace, write: bool) -> sqlite3.Connection:
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


def _connected(path: StorePlace, write: bool) -> sqlite3.Connection:
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


def prepare(db: sqlite3.Connection, path: StorePlace, write: bool) -> None:
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
        raise InvalidInputError(
            [
                Problem(
                    code="J012",
                    file=str(path),
                    message=f"this store was written by a newer dryfloor (its version is {version}, this one reads up to {schema.VERSION})",
                    expected="a dryfloor at least as new as the store",
                    mend="install the newer dryfloor, or name another store with --store FILE; this one is left as it is",
                )
            ]
        )
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
