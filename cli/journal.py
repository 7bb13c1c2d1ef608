"""The journal: every confirmed answer on disk, synced, before the next question appears.

One file a case, one JSON line an event. A line is whole or it is not there: a torn last line, left by a power cut, is dropped
when the file is read. `{"undo": n}` takes back the last n events; `{"at": i, "put": event}` puts another event in the place of
the one at i.
"""

import os
import time
from pathlib import Path
from typing import IO, Any

import msgspec

from ..engine.case import Event, leading
from ..engine.problems import Problem, Refused

TELLING = ("heard", "complaints", "check", "fact", "remedy", "note")  # events worth offering a case for
OFFERED = 20  # the newest cases that are looked at


class Journal:
    """Appends events to one file; without a path it keeps nothing."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.written = 0
        self._file: IO[bytes] | None = None

    def _write(self, record: Any) -> None:
        if self.path is None:
            return
        try:
            if self._file is None:
                self._file = self._open(self.path)
            line = msgspec.json.encode(record) + b"\n"
            # Unbuffered: what a full disk refuses must not come out later, after its answer was given up.
            while line:
                line = line[self._file.write(line) :]
            os.fsync(self._file.fileno())
            self.written += 1
        except OSError as error:
            raise Refused([_unkept(self.path, error)]) from error

    def _open(self, path: Path) -> IO[bytes]:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        fresh = not path.exists()
        file = open(path, "ab", buffering=0)  # noqa: SIM115 - it stays open for the whole walk
        hold(file)
        if fresh:
            _sync_folder(path.parent)
        else:
            mend_tail(path)
        return file

    def add(self, event: Event) -> None:
        """Keep one event; it is on disk when this returns.

        Raises
        ------
        Refused
            If it can't be written.
        """
        self._write(event)

    def undo(self, count: int) -> None:
        """Keep that the last `count` events are taken back."""
        self._write({"undo": count})

    def put(self, at: int, event: Event) -> None:
        """Keep that another event stands in the place of the one at `at`."""
        self._write({"at": at, "put": event})

    def close(self) -> None:
        """Close the file."""
        if self._file is not None:
            self._file.close()
            self._file = None

    def drop(self) -> None:
        """Close the file and remove it: nothing was said in it."""
        self.close()
        if self.path is not None:
            try:
                self.path.unlink(missing_ok=True)
            except OSError:
                return


def _unkept(path: Path, error: OSError) -> Problem:
    return Problem(
        code="J001",
        file=str(path),
        message=f"this case can't be kept in {path.parent}: {error.strerror or error}",
        expected="a folder that can be written to, with room on the disk",
        mend="free some room or set DRYFLOOR_DATA_DIR to another folder; what was kept before is still there",
    )


def hold(file: IO[bytes]) -> bool:
    """Mark a journal as in use, so that no second walk takes it up; False where another walk holds it."""
    try:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:  # no such locks on this system: nothing to hold
        return True
    except OSError:
        return False
    return True


def mend_tail(path: Path) -> None:
    """End a file that was cut in mid-line with a line end, so that the next line stands alone."""
    with open(path, "rb+") as file:
        file.seek(0, os.SEEK_END)
        if file.tell():
            file.seek(-1, os.SEEK_END)
            if file.read(1) != b"\n":
                file.write(b"\n")


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def read(path: Path) -> list[Event]:
    """Return the events of a journal; lines that were cut or damaged are left out.

    Parameters
    ----------
    path : Path
    """
    events: list[Event] = []
    for line in path.read_bytes().split(b"\n"):
        try:
            data = msgspec.json.decode(line)
            if isinstance(data, dict) and isinstance(data.get("undo"), int):
                del events[max(0, len(events) - data["undo"]) :]
            elif isinstance(data, dict) and isinstance(data.get("at"), int):
                event = msgspec.convert(data.get("put"), Event)
                if 0 <= data["at"] < len(events):
                    events[data["at"]] = event
            else:
                events.append(msgspec.convert(data, Event))
        except (msgspec.DecodeError, msgspec.ValidationError, UnicodeDecodeError):
            continue
    return events


def fresh(folder: Path) -> Journal:
    """Return a journal for a new case, named by the time it began."""
    now = time.time_ns()
    stamp = time.strftime("%Y%m%d-%H%M%S", time.localtime(now // 10**9))
    return Journal(folder / "cases" / f"{stamp}-{now % 10**9:09d}-{os.getpid()}.jsonl")


def open_case(folder: Path) -> tuple[Path, list[Event]] | None:
    """Return the newest case that was begun, not closed, and is in nobody's hands now.

    Parameters
    ----------
    folder : Path
        The data folder.
    """
    try:
        paths = sorted((folder / "cases").glob("*.jsonl"), reverse=True)[:OFFERED]
    except OSError:
        return None
    for path in paths:
        try:
            with open(path, "rb") as file:
                free = hold(file)
            events = read(path) if free else []
        except OSError:
            continue
        if is_open(events):
            return path, events
    return None


def is_open(events: list[Event]) -> bool:
    """Return whether something was said in a case that is not closed; one handed on is open again to the next role.

    Examples
    --------
    >>> is_open([Event(heard="it hops")]), is_open([Event(heard="it hops"), Event(closed="handed-on")])
    (True, False)
    """
    closed = None
    for event in events:
        closed = event.closed or (None if event.role and closed == "handed-on" else closed)
    return closed is None and any(leading(e) in TELLING for e in events)
