"""Who holds a case: a process, named by its machine, its number and the time of its birth."""

import os
import sys
from pathlib import Path

Holder = tuple[str, int, str]


def host() -> str:
    """Return the name of this machine."""
    if sys.platform == "win32":
        import socket

        return socket.gethostname()
    # The same name, without importing sockets before the first line.
    return os.uname().nodename


def me() -> Holder:
    """Return this process: its machine, its number, when it was born."""
    return host(), os.getpid(), born(os.getpid())


def born(process: int) -> str:
    """Return when a process began, by the system's own count, so that another one with its number is not taken for it.

    One that has ended, and that nobody has asked about yet, began never: it holds nothing any more.
    """
    try:
        state, *counts = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        return "" if state in "ZX" else counts[18]
    except (OSError, IndexError, ValueError):
        return ""


def alive(machine: str, process: int | str, birth: str) -> bool:
    """Return whether a holder may still be at work; one on another machine is taken to be.

    Parameters
    ----------
    machine : str
    process : int
    birth : str
        What `born` said of it.
    """
    if machine != host():
        return True
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except (OSError, ValueError):
        pass
    return born(int(process)) == birth


def elsewhere(holder: "tuple[str, int | str, str] | None") -> bool:
    """Return whether somebody who is alive holds a case, and it is not this process.

    Parameters
    ----------
    holder : (str, int, str), optional
        As `me`, from the store; None where nobody put a mark.

    Examples
    --------
    >>> elsewhere(None), elsewhere(me()), elsewhere(("no-machine-of-ours", 1, ""))
    (False, False, True)
    """
    return holder is not None and tuple(holder) != me() and alive(*holder)
