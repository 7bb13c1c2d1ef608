"""The journal: every confirmed answer on disk, synced, before the next question appears.

One file a case, one JSON line an event. A line is whole or it is not there: a torn last line, left by a power cut, is dropped
when the file is read. `{"undo": n}` takes back the last n events.
"""

import os
import time
from pathlib import Path
from typing import Any

import msgspec

from ..engine.case import Event, leading
from ..engine.problems import Problem, Refused


class Journal:
    """Appends events to one file; without a path it keeps nothing."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self._file: Any = None

    def _write(self, line: bytes) -> None:
        if self.path is None:
            return
        try:
            if self._file is None:
                self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                fresh = not self.path.exists()
                self._file = open(self.path, "ab")  # noqa: SIM115 - it stays open for the whole walk
                if not fresh:
                    mend_tail(self.path)
                if fresh:
                    _sync_folder(self.path.parent)
            self._file.write(line + b"\n")
            self._file.flush()
            os.fsync(self._file.fileno())
        except OSError as error:
            raise Refused(
                [
                    Problem(
                        code="J001",
                        file=str(self.path),
                        message=f"the answer could not be kept: {error.strerror or error}",
                        expected="a folder that can be written to, with room on the disk",
                        mend="free some room or set DRYFLOOR_DATA_DIR to another folder; what was kept before is still there",
                    )
                ]
            ) from error

    def add(self, event: Event) -> None:
        """Keep one event; it is on disk when this returns.

        Raises
        ------
        Refused
            If it can't be written.
        """
        self._write(msgspec.json.encode(event))

    def undo(self, count: int) -> None:
        """Keep that the last `count` events are taken back."""
        self._write(msgspec.json.encode({"undo": count}))

    def close(self) -> None:
        """Close the file."""
        if self._file is not None:
            self._file.close()
            self._file = None


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
    for line in path.read_bytes().splitlines():
        try:
            data = msgspec.json.decode(line)
            if isinstance(data, dict) and isinstance(data.get("undo"), int):
                del events[max(0, len(events) - data["undo"]) :]
            else:
                events.append(msgspec.convert(data, Event))
        except (msgspec.DecodeError, msgspec.ValidationError):
            continue
    return events


def fresh(folder: Path) -> Journal:
    """Return a journal for a new case, named by the time it began."""
    stamp = time.strftime("%Y%m%d-%H%M%S")
    path = folder / "cases" / f"{stamp}-{os.getpid()}.jsonl"
    return Journal(path)


def open_case(folder: Path) -> tuple[Path, list[Event]] | None:
    """Return the newest case that was begun and not closed, if there is one.

    Parameters
    ----------
    folder : Path
        The data folder.
    """
    try:
        paths = sorted((folder / "cases").glob("*.jsonl"), reverse=True)
    except OSError:
        return None
    for path in paths[:5]:
        try:
            events = read(path)
        except OSError:
            continue
        kinds = [leading(e) for e in events]
        if "closed" not in kinds and any(k in ("heard", "complaints", "check", "fact", "remedy") for k in kinds):
            return path, events
    return None
