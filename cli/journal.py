"""The journals that cases were kept in before there was a store: one file a case, one JSON line an event.

They are only read now, to be brought into the store. A line is whole or it is not there: a torn last line, left by a power cut,
is dropped, and so is one that is damaged.
"""

from pathlib import Path
from typing import IO

from ..engine.case import Event
from .store import replay


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
