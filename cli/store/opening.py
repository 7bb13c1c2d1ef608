"""Open the store; the journals that cases were kept in before it (one file a case, one JSON line an event) are carried over once.

They are only read now, to be brought into the store. A line is whole or it is not there: a torn last line, left by a power cut,
is dropped, and so is one that is damaged.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import IO

from ...engine.case.clearance import kept_of
from ...engine.case.events import Event
from ..terminal.env import Env
from .location import DONE, _journals, where
from .replay import replay

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from .store import Store


def hold(file: IO[bytes]) -> bool:
    """Mark a journal as in use; False where an older dryfloor is writing in it."""
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:  # no such locks on this system: nothing to hold
        return True
    except OSError:
        return False
    return True


def read(path: Path) -> list[Event]:
    """Return the events of a journal; lines that were cut or damaged are left out.

    Parameters
    ----------
    path : Path
    """
    events: list[Event] = []
    for line in path.read_bytes().split(b"\n"):
        replay(events, line)
    return events


def open_store(args: argparse.Namespace, env: Env, *, write: bool = True) -> Store:
    """Return the store, with the journals of before in it where it is the usual one.

    Parameters
    ----------
    args : Namespace
        `--store` counts.
    env : Env
    write : bool
        False where it is only read; a store that is not there is then refused.

    Raises
    ------
    InvalidInputError
        As `Store.open`.
    """
    from .store import Store

    place = where(args, env)
    old = [] if getattr(args, "store", None) else _journals(env)
    store = Store.open(place, write=write or bool(old))
    if old:
        try:
            carry_over(store, old)
        except BaseException:
            store.close()
            raise
    return store


def carry_over(store: Store, journals: list[Path]) -> list[str]:
    """Bring journals into the store and return the new cases; one that an older walk still writes is left for the next time.

    Each is brought over in one write under its own name, and its file renamed after that: a kill in between makes no second
    case of it.
    """
    from ...engine.case.status import told

    out = []
    for path in journals:
        try:
            with open(path, "rb") as file:
                if not hold(file):
                    continue
                events = read(path)
                if told(events) and store.carried(path.name) is None:
                    stat = path.stat()
                    with store.together():
                        case = store.begin(journal=path.name)
                        for event in kept_of(events):
                            store.add(case, event)
                        store.date(case, int(stat.st_mtime * 1000))
                    out.append(case)
                path.rename(path.with_name(path.name + DONE))
        except OSError:
            continue
    return out
