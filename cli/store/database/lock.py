"""Who holds a case: a process is named by its machine, its number, when it was born, and the boot that its number counts in."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from .checksums import HOLD, sound

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

BOOT = Path("/proc/sys/kernel/random/boot_id")
NUMBERS = "/proc/self/ns/pid"


def host() -> str:
    """Return the name of this machine."""
    if sys.platform == "win32":
        import socket

        return socket.gethostname()
    # The same name, without importing sockets before the first line.
    return os.uname().nodename


def boot() -> str:
    """Return which start of which system this is, and whose process numbers count here: a container has its own.

    It tells a machine that was given another name from another machine. Empty where the system does not say.
    """
    try:
        return f"{BOOT.read_text().strip()} {os.readlink(NUMBERS)}"
    except OSError:
        return ""


def me() -> tuple[str, int, str, str]:
    """Return this process: its machine, its number, when it was born, and the boot."""
    return host(), os.getpid(), born(os.getpid()), boot()


def born(process: int) -> str:
    """Return when a process began, by the system's own count, so that another one with its number is not taken for it.

    One that has ended, and that nobody has asked about yet, began never: it holds nothing any more.
    """
    try:
        state, *counts = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        return "" if state in "ZX" else counts[18]
    except (OSError, IndexError, ValueError):
        return ""


def can_tell(machine: str, started: str) -> bool:
    """Return whether it can be known here if a holder is still at work.

    Parameters
    ----------
    machine : str
    started : str
        Its boot; empty where it was not kept.
    """
    here = boot()
    if not started or not here or started == here:
        return machine == host() or (started != "" and started == here)
    # Another boot under this machine's name was the time before its last start; the same boot with other numbers is a container.
    return machine == host() and started.split()[0] != here.split()[0]


def alive(machine: str, process: int | str, birth: str, started: str = "") -> bool:
    """Return whether a holder may still be at work; one of which nothing can be known here is taken to be.

    Parameters
    ----------
    machine : str
    process : int
    birth : str
        What `born` said of it.
    started : str
        What `boot` said of it.
    """
    if not can_tell(machine, started):
        return True
    if started and boot() and started != boot():
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except (OSError, ValueError, OverflowError):
        pass
    return born(int(process)) == birth


def holder(db: Any, case: object) -> Any:
    """Return who holds a case and since when [ms since 1970, UTC]: (machine, process, born, boot, since); None where nobody does.

    Parameters
    ----------
    db : Connection or Database
    case : str
        Its id.

    A damaged mark holds nothing: it could not be told whose it is.
    """
    row = db.execute(f"SELECT {', '.join(HOLD)}, sum FROM holds WHERE of=?", (case,)).fetchone()
    return row[1:-1] if row and sound(row) and isinstance(row[2], int) else None


def elsewhere(found: Sequence[Any] | None) -> bool:
    """Return whether somebody who may be alive holds a case, and it is not this process.

    Parameters
    ----------
    found : (str, int, str, str, ...), optional
        As `me` or `holder`; None where nobody put a mark.

    Examples
    --------
    >>> elsewhere(None), elsewhere(me()), elsewhere(("no-machine-of-ours", 1, "", ""))
    (False, False, True)
    """
    return found is not None and tuple(found[:4]) != me() and alive(*found[:4])
