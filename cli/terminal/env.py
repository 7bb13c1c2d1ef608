"""The streams, the folders and the habits of the terminal: the one place that reads the environment."""

from __future__ import annotations

import io
import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path

from ...engine.language.sanitize import visible
from .layout import COLOURS

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import TextIO

APP = "dryfloor"
LEAST, MOST = 20, 100  # columns
LONGEST_LINE = 100_000  # letters of a line on standard input; no answer has more
ROWS = 24  # rows of a screen that nobody told us of
# The styles that `Layout.paint` gives; whatever else a text holds that a terminal would obey is written out.
PAINT = re.compile(rf"(\x1b\[(?:{'|'.join(sorted({*COLOURS.values(), '0'}))})m)")


class OutputError(Exception):
    """Nothing more can be written to a stream: a full device, a stream that is closed."""


class Env:
    """Where a command reads and writes; tests give it their own streams and folders."""

    def __init__(
        self,
        stdin: TextIO | None = None,
        stdout: TextIO | None = None,
        stderr: TextIO | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> None:
        self.stdin = stdin if stdin is not None else _own(sys.stdin)
        self.stdout = stdout if stdout is not None else _own(sys.stdout, out=True)
        self.stderr = stderr if stderr is not None else _own(sys.stderr)
        self.environ = environ if environ is not None else os.environ
        self.case = ""  # the kept case in which all that was answered so far is on disk; empty where there is none

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
    def kb(self) -> str:
        """The kb folder that DRYFLOOR_KB names; empty where it names none."""
        return self.environ.get("DRYFLOOR_KB", "")

    @property
    def metric(self) -> bool:
        """Whether the locale names a country that measures in SI; without a country the trade's US units stand first."""
        named = next((v for v in (self.environ.get(n, "") for n in ("LC_ALL", "LC_MEASUREMENT", "LANG")) if v), "")
        country = named.partition(".")[0].partition("@")[0].partition("_")[2]
        return bool(country) and country not in ("US", "LR", "MM")

    @property
    def interactive(self) -> bool:
        """Whether a person at a full terminal is on both ends."""
        return is_tty(self.stdin) and is_tty(self.stdout) and self.environ.get("TERM", "") not in ("", "dumb")

    @property
    def width(self) -> int:
        """Columns to write to: the terminal's as they are now, else COLUMNS, else 80; at least 20 and at most 100."""
        return max(LEAST, min(MOST, self._size(0) or _number(self.environ.get("COLUMNS", "")) or 80))

    @property
    def height(self) -> int:
        """Rows of the screen: the terminal's as they are now, at least 24, which is also what is taken without one."""
        return max(ROWS, self._size(1))

    def _size(self, which: int) -> int:
        """Return the terminal's columns (0) or rows (1) as they are now; 0 where there is no terminal."""
        try:
            return os.get_terminal_size(self.stdout.fileno())[which] if is_tty(self.stdout) else 0
        except (OSError, ValueError):
            return 0

    @property
    def colour(self) -> bool:
        """Whether to colour: FORCE_COLOR, else a terminal; never with NO_COLOR."""
        if self.environ.get("NO_COLOR"):
            return False
        if self.environ.get("FORCE_COLOR"):
            return True
        return is_tty(self.stdout) and self.environ.get("TERM", "") not in ("", "dumb")

    def say(self, text: str = "", err: bool = False) -> None:
        """Write a line."""
        self.write(text + "\n", err)

    def write(self, text: str, err: bool = False) -> None:
        """Write text at once, the one place that does: made printable, and a letter that the stream can't show replaced.

        Raises
        ------
        OutputError
            If it can't be written.
        BrokenPipeError
            If nobody reads any more.
        """
        stream = self.stderr if err else self.stdout
        text = self._printable(text, err)
        try:
            try:
                stream.write(text)
            except UnicodeEncodeError:
                code = stream.encoding or "ascii"
                stream.write(text.encode(code, "replace").decode(code))
            stream.flush()
        except BrokenPipeError:
            raise
        except (OSError, ValueError) as error:
            which = "standard error" if err else "standard output"
            why = getattr(error, "strerror", None) or "it is closed"
            raise OutputError(f"nothing can be written to {which}: {why}") from error

    def _printable(self, text: str, err: bool) -> str:
        if err or "\x1b" not in text or not self.colour:
            return visible(text)
        return "".join(part if n % 2 else visible(part) for n, part in enumerate(PAINT.split(text)))

    def read_line(self) -> str:
        """Return the next line of standard input with its end, or nothing at its end.

        Raises
        ------
        EndlessLineError
            If no line has so many letters.
        """
        line = self.stdin.readline(LONGEST_LINE + 1)
        if len(line) > LONGEST_LINE:
            raise EndlessLineError
        return line


class EndlessLineError(Exception):
    """A line of standard input that does not end."""


class Closed(io.StringIO):
    """A stream of the program's own that was closed before it began: what is written to it is not lost in silence."""

    def write(self, text: str, /) -> int:
        """Refuse."""
        raise ValueError("closed")


def _own(stream: TextIO | None, out: bool = False) -> TextIO:
    """Return one of the program's own streams: bytes that are no text are replaced, a closed input is an empty one."""
    if stream is None:
        return Closed() if out else io.StringIO()
    if isinstance(stream, io.TextIOWrapper) and stream.readable():
        stream.reconfigure(errors="replace")
    return stream


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() else 0


def one_thread() -> None:
    """Let numpy's linear algebra keep to one thread, unless somebody set it otherwise; to be called before numpy is loaded.

    The matrices here are small: more threads double the work, and wait for each other where the machine is busy.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def help_width() -> int:
    """Return the columns that argparse would give its help: COLUMNS, else the terminal's, else 80, less a margin of 2."""
    asked = _number(os.environ.get("COLUMNS", ""))
    if not asked:
        try:
            asked = os.get_terminal_size(sys.__stdout__.fileno()).columns if sys.__stdout__ else 0
        except (OSError, ValueError):
            asked = 0
    return (asked or 80) - 2


def is_tty(stream: TextIO) -> bool:
    """Return whether a stream is a terminal; a closed or made-up stream is none."""
    try:
        return stream.isatty()
    except (AttributeError, ValueError):
        return False
