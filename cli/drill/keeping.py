"""The files of a drill: a pupil's own deck, which a kill leaves whole, and the class's results, one line a round."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from ...engine.drill.repetition import Deck, decoded, encoded
from ...engine.errors import InvalidInputError, Problem
from ..terminal.env import Env

DECK = "drill.json"
HEAD = (
    "pupil",
    "code",
    "seed",
    "score",
    "minutes",
    "ended",
    "verdict",
    "rule",
    "limit",
    "who",
    "missed",
    "gate",
    "ours_missed",
)
HEADS = (HEAD, HEAD[:-1], HEAD[:-2])  # a file that was begun before the last of them were kept goes on as it was
MOST = 40  # letters of a pupil's name or number
MOST_BYTES = 1_000_000  # of a deck


def deck_path(env: Env, named: str | None) -> Path:
    """Return the file of the pupil's deck."""
    return Path(named) if named else env.data_dir / DECK


def read_deck(env: Env, path: Path) -> Deck:
    """Return a pupil's deck; a damaged one is put aside and said, and a new one begun."""
    try:
        with open(path, "rb") as file:
            text = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return Deck()
    except OSError as error:
        raise _unusable(path, "can't be read", error) from error
    try:
        if len(text) > MOST_BYTES:
            raise ValueError("too large")
        return decoded(text)
    except ValueError:
        aside = path.with_name(path.name + ".damaged")
        with suppress(OSError):
            os.replace(path, aside)
        env.say(f"{path} is damaged; it is kept as {aside.name}, and a new one is begun.", err=True)
        return Deck()


def write_deck(path: Path, deck: Deck) -> None:
    """Write a pupil's deck beside its place, synced, and put it there in one step: a kill leaves the old one or the new one.

    Raises
    ------
    InvalidInputError
        If it can't be written.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with open(beside, "wb") as file:
            file.write(encoded(deck))
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink()
        raise _unusable(path, "can't be written", error) from error


def named_pupil(name: str) -> str:
    """Return a pupil's name or number as it goes into the class's file, where no spreadsheet takes it for a formula.

    Examples
    --------
    >>> named_pupil("  =cmd; row 7 ")
    'cmd row 7'
    """
    kept = "".join(c if c.isalnum() or c in " ._-" else "" for c in name[: 4 * MOST])
    return " ".join(kept.split())[:MOST].lstrip("-")


def add_result(path: Path, row: dict[str, object]) -> None:
    """Add one line to the class's results, in one write at the end of the file; its head first where it is new.

    Raises
    ------
    InvalidInputError
        If it can't be written, or is a file of something else.
    """
    head = ",".join(HEAD) + "\n"
    columns: tuple[str, ...] = HEAD
    try:
        with open(path, "a+b") as file:
            size, whole = file.seek(0, os.SEEK_END), True
            if size:
                file.seek(0)
                first = file.readline(1000).decode("utf-8", "replace")
                columns = head_of(first) or ()
                if not columns:
                    raise InvalidInputError([no_results(path, "--class")])
                file.seek(size - 1)
                whole = file.read(1) == b"\n"
            line = ",".join(_cell(row.get(name, "")) for name in columns) + "\n"
            line = line if not size or whole else "\n" + line
            file.write(((head if not size else "") + line).encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise _unusable(path, "can't be written", error) from error


def head_of(line: str) -> tuple[str, ...] | None:
    """Return the columns of a class's file by its first line; None where it is no such file."""
    said = tuple(line.lstrip("\ufeff").strip().split(","))
    return said if said in HEADS else None


def no_results(path: Path, option: str) -> Problem:
    """Return what is said of a file of something else."""
    return Problem(
        code="D005",
        file=str(path),
        message="this is no file of a class's results",
        expected=",".join(HEAD),
        mend=f"name another file after {option}; what is in this one was left as it is",
    )


def _cell(value: object) -> str:
    text = str(value)
    return '"' + text.replace('"', '""') + '"' if any(c in text for c in ',"\n\r') else text


def _unusable(path: Path, what: str, error: OSError) -> InvalidInputError:
    return InvalidInputError(
        [
            Problem(
                code="D006",
                file=str(path),
                message=f"it {what}: {error.strerror or error}",
                expected="a file in a folder that you may write to",
                mend="name another file",
            )
        ]
    )
