"""The streams, the folders and the habits of the terminal: the one place that reads the environment."""

import os
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TextIO

APP = "dryfloor"


class Env:
    """Where a command reads and writes; tests give it their own streams and folders."""

    def __init__(
        self,
        stdin: TextIO | None = None,
        stdout: TextIO | None = None,
        stderr: TextIO | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> None:
        self.stdin = stdin if stdin is not None else sys.stdin
        self.stdout = stdout if stdout is not None else sys.stdout
        self.stderr = stderr if stderr is not None else sys.stderr
        self.environ = environ if environ is not None else os.environ

    def _folder(self, own: str, xdg: str, usual: str) -> Path:
        if self.environ.get(own):
            return Path(self.environ[own])
        base = self.environ.get(xdg)
        return (Path(base) if base else Path(self.environ.get("HOME") or Path.home()) / usual) / APP

    @property
    def data_dir(self) -> Path:
        """Folder for kept cases: DRYFLOOR_DATA_DIR, else under XDG_DATA_HOME."""
        return self._folder("DRYFLOOR_DATA_DIR", "XDG_DATA_HOME", ".local/share")

    @property
    def cache_dir(self) -> Path:
        """Folder for the compiled kb: DRYFLOOR_CACHE_DIR, else under XDG_CACHE_HOME."""
        return self._folder("DRYFLOOR_CACHE_DIR", "XDG_CACHE_HOME", ".cache")

    @property
    def interactive(self) -> bool:
        """Whether a person at a full terminal is on both ends."""
        return _tty(self.stdin) and _tty(self.stdout) and self.environ.get("TERM", "") not in ("", "dumb")

    @property
    def width(self) -> int:
        """Columns to write to: the terminal's, at least 20 and at most 100; 80 where there is none."""
        columns = self.environ.get("COLUMNS", "")
        found = (
            int(columns)
            if columns.isdigit() and int(columns)
            else shutil.get_terminal_size((80, 24)).columns
            if _tty(self.stdout)
            else 80
        )
        return max(20, min(100, found))

    @property
    def colour(self) -> bool:
        """Whether to colour: FORCE_COLOR, else a terminal without NO_COLOR."""
        if self.environ.get("NO_COLOR"):
            return False
        return bool(self.environ.get("FORCE_COLOR")) or (
            _tty(self.stdout) and self.environ.get("TERM", "") not in ("", "dumb")
        )

    def say(self, text: str = "", err: bool = False) -> None:
        """Write a line; a reader that went away is no fault of ours to show."""
        stream = self.stderr if err else self.stdout
        try:
            stream.write(text + "\n")
        except UnicodeEncodeError:
            code = stream.encoding or "ascii"
            stream.write(text.encode(code, "replace").decode(code) + "\n")
        stream.flush()


def _tty(stream: TextIO) -> bool:
    try:
        return stream.isatty()
    except (AttributeError, ValueError):
        return False
