"""What can go wrong with the store, in words: what the database or the disk says, and whose hands a case is in."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

from ....engine.errors import InvalidInputError, Problem
from . import lock, schema
from .place import ServerPlace

FilePlace = Path | Literal[":memory:"]
StorePlace = FilePlace | ServerPlace
WAIT_S = 5.0  # how long a writer waits for another one


class InDoubtError(Exception):
    """A transaction may have ended or not: the server was lost meanwhile, and can't be asked."""


def busy(case: str, machine: str, process: int | str, started: str = "", since: str = "") -> Problem:
    """Return that a case is in other hands; where nothing tells whether they are still at work, also how to take it.

    Parameters
    ----------
    case : str
    machine : str
    process : int
    started : str
        Its boot.
    since : str
        When it took the case (UTC).
    """
    if not lock.can_tell(machine, started):
        return Problem(
            code="J011",
            message=f"case {case} is held by process {process} on {machine}" + (f" since {since}" if since else ""),
            expected="one person at a time on a case",
            mend=f"go on there; where nothing runs there any more, take it: dryfloor resume {case} --take {process}. A note is kept at any time",
        )
    where = "" if machine == lock.host() else f" on {machine}"
    return Problem(
        code="J011",
        message=f"case {case} is open in another window{where} (process {process})",
        expected="one person at a time on a case",
        mend="go on there, or close that window first; dryfloor show reads it meanwhile",
    )


def leased(case: str, machine: str, process: int | str) -> Problem:
    """Return that a case is in other hands, which hold it as long as they renew their lease."""
    return Problem(
        code="J011",
        message=f"case {case} is open in another window on {machine} (process {process})",
        expected="one person at a time on a case",
        mend="go on there, or close that window first; where it stopped by itself the case is free within a minute. A note is kept at any time",
    )


def newer(path: StorePlace, version: int) -> Problem:
    """Return that a store is of a newer version than this program reads."""
    return Problem(
        code="J012",
        file=str(path),
        message=f"this store was written by a newer dryfloor (its version is {version}, this one reads up to {schema.VERSION})",
        expected="a dryfloor at least as new as the store",
        mend="install the newer dryfloor, or name another store with --store FILE; this one is left as it is",
    )


def damaged(path: StorePlace, what: str, code: str = "J013") -> Problem:
    """Return that a store can't be used as it is."""
    return Problem(
        code=code,
        file=str(path),
        message=f"the store can't be used: {what}",
        expected="a store that dryfloor wrote",
        mend="put a copy of it in its place, or move it aside and a new one is begun; it is left as it is",
    )


def headless(path: StorePlace, case: str) -> Problem:
    """Return that nothing can be added to a case of which only the rows are left."""
    return Problem(
        code="J013",
        file=str(path),
        message=f"case {case} can't be gone on with: what is kept of it as a whole is damaged; its rows are there",
        expected="a case that is whole",
        mend=f"keep what is left of it in a file and go on with that: dryfloor export {case} -o case.yaml, then dryfloor walk --case case.yaml",
    )


@contextmanager
def translating_errors(path: StorePlace) -> Iterator[None]:
    """Turn what the database or the disk says into words for a person."""
    try:
        yield
    except sqlite3.Error as error:
        raise InvalidInputError([problem(path, error)]) from error
    except UnicodeDecodeError as error:  # the database quotes in its own words what is no text
        raise InvalidInputError([damaged(path, "the names of its tables are damaged")]) from error
    except InDoubtError as error:
        raise InvalidInputError([in_doubt(path)]) from error
    except OSError as error:
        raise InvalidInputError([unkept(path, error.strerror or str(error))]) from error
    except Exception as error:
        if not isinstance(path, ServerPlace) or not type(error).__module__.startswith("psycopg"):
            raise
        raise InvalidInputError([server_problem(path, error)]) from error


def problem(path: StorePlace, error: sqlite3.Error) -> Problem:
    """Return what an error of the database means to a person."""
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return Problem(
            code="J010",
            file=str(path),
            message=f"another program keeps the store locked; waited {WAIT_S:g} s",
            expected="a store that is free for a moment",
            mend="close the other program, or wait and try again; nothing was lost",
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_FORMAT")):
        return damaged(path, str(error))
    why = {
        "SQLITE_FULL": "the disk is full",
        "SQLITE_READONLY": "it is read-only",
        "SQLITE_CANTOPEN": "it can't be opened",
        "SQLITE_IOERR": "the disk can't be written or read",
        "SQLITE_PERM": "permission denied",
    }
    said = next((text for start, text in why.items() if name.startswith(start)), "")
    return unkept(path, said or str(error)) if said else damaged(path, str(error))


def unkept(path: StorePlace, why: str) -> Problem:
    """Return that nothing can be kept in a place."""
    return Problem(
        code="J001",
        file=str(path),
        message=f"cases can't be kept there: {why}",
        expected="a file in a folder that can be written to, with room on the disk",
        mend="free some room, or set DRYFLOOR_DATA_DIR to another folder or --store to another file; what was kept before is still there",
    )


def server_problem(place: ServerPlace, error: Exception) -> Problem:
    """Return what an error of the server, or of the way to it, means to a person.

    Parameters
    ----------
    place : ServerPlace
    error : psycopg.Error
        Its SQLSTATE tells the kind (PostgreSQL documentation, appendix A: from memory, unverified); without one the server was not reached.
    """
    state = getattr(error, "sqlstate", None) or ""
    if state in ("55P03", "40P01", "40001", "57014"):
        return Problem(
            code="J010",
            file=str(place),
            message=f"somebody else writes to the same case; waited {WAIT_S:g} s",
            expected="a case that is free for a moment",
            mend="wait and try again; nothing was lost",
        )
    if state.startswith("XX"):
        return damaged(place, "the server says that what it holds is damaged")
    why = {
        "28": "it does not let this user in",
        "3D": "there is no such database there",
        "42501": "this user may not do that there",
        "25006": "it is read-only",
        "53100": "its disk is full",
        "53": "it has no room or no connection left",
        "57": "it is stopping or starting",
        "22": "it can't hold such a text",
    }
    said = next((text for start, text in why.items() if state.startswith(start)), "")
    if not said:
        said = "it can't be reached" if not state or state.startswith("08") else f"it refuses ({state})"
    return Problem(
        code="J024",
        file=str(place),
        message=f"the store on the server can't be used: {said}",
        expected="a PostgreSQL server that can be reached and written to",
        mend="try again in a moment; what was confirmed before is there, and of this nothing was kept",
    )


def in_doubt(place: StorePlace) -> Problem:
    """Return that nobody knows whether the last write was kept."""
    return Problem(
        code="U041",
        file=str(place),
        message="it is not known whether this was kept: the server was lost while it was written",
        expected="a PostgreSQL server that stays reachable until it has answered",
        mend="open the case again in a moment: what stands there was kept; say again only what is missing",
    )
