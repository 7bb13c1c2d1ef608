"""`dryfloor drill --summary`: a class's file read back, line by line, and summed."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from ...engine.errors import InvalidInputError, Problem
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout
from .keeping import MOST, head_of, no_results

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ...engine.diagnosis.network import Network
    from ...engine.drill.class_summary import Played

MOST_BYTES, MOST_LINES = 20_000_000, 20_000
INTERRUPTED = "interrupted"
ENDS = ("solved", "gate", "left", "stopped", "false-sound", INTERRUPTED)
MARKED = ("verdict", "rule", "limit", "who")


def summary(env: Env, network: Network, path: Path) -> Result:
    """Return what a class's file amounts to; a line that can't be read is named, and the rest is summed."""
    from ...engine.drill.class_summary import summed
    from ..render.class_summary import lines_of

    played, problems = read_results(path)
    layout = Layout(env.width, env.colour)
    if not played:
        said = "No round that can be summed is in this file." if problems else "No round is in this file yet."
        return Result(
            command="drill",
            status="nothing",
            exit=Exit.NOTHING,
            data={"file": str(path), "summary": None},
            errors=problems,
            lines=layout.wrap(said),
        )
    found = summed(network, played)
    lines = lines_of(layout, found)
    if problems:
        left = "1 line was" if len(problems) == 1 else f"{len(problems)} lines were"
        lines += ["", *layout.wrap(f"{left} not counted; each is named beside this.")]
    return Result(
        command="drill",
        status="summary",
        data={"file": str(path), "summary": found},
        errors=problems,
        lines=lines,
    )


def read_results(path: Path) -> tuple[list[Played], list[Problem]]:
    """Return the rounds of a class's file, and what is wrong with each line that is left out.

    Raises
    ------
    InvalidInputError
        If it can't be read, or is a file of something else.
    """
    try:
        with open(path, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="D006",
                    file=str(path),
                    message=f"it can't be read: {error.strerror or error}",
                    expected="a file that dryfloor drill --class wrote",
                    mend="name that file",
                )
            ]
        ) from error
    text = raw.decode("utf-8", "replace")
    columns = head_of(text.partition("\n")[0]) if len(raw) <= MOST_BYTES else None
    if columns is None:
        raise InvalidInputError([no_results(path, "--summary")])
    played: list[Played] = []
    problems: list[Problem] = []
    reader = csv.reader(io.StringIO(text, newline=""))
    next(reader)
    try:
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if reader.line_num > MOST_LINES:
                problems.append(_wrong(path, reader.line_num, "more lines than are read", f"{MOST_LINES} at most"))
                break
            one = _played(path, reader.line_num, dict(zip(columns, row, strict=False)), len(row) == len(columns))
            if isinstance(one, Problem):
                problems.append(one)
            else:
                played.append(one)
    except csv.Error as error:
        problems.append(_wrong(path, reader.line_num, str(error), "cells parted by commas"))
    return played, problems


def _played(path: Path, line: int, row: dict[str, str], whole: bool) -> Played | Problem:
    from ...engine.drill.class_summary import Played

    if not whole:
        return _wrong(path, line, f"{len(row)} cells", "as many as the first line has")
    if row["ended"] == INTERRUPTED:
        row = row | {"score": "0"}  # it has none, and is kept apart
    numbers: dict[str, float] = {}
    for name, low, high in (("score", -2.0, 2.0), ("minutes", 0.0, 1000.0)):
        try:
            numbers[name] = float(row[name])
        except ValueError:
            numbers[name] = float("nan")
        if not low <= numbers[name] <= high:
            return _wrong(path, line, f"{name} is '{row[name][:20]}'", f"a number from {low:g} to {high:g}")
    if row["ended"] not in ENDS:
        return _wrong(path, line, f"ended is '{row['ended'][:20]}'", ", ".join(ENDS))
    return Played(
        pupil=" ".join(row["pupil"].split())[:MOST],
        code=row["code"],
        score=numbers["score"],
        minutes=numbers["minutes"],
        ended=row["ended"],
        missed=tuple(dict.fromkeys(row["missed"].split())),
        gate=row.get("gate", ""),
        ours_missed=tuple(dict.fromkeys(row.get("ours_missed", "").split())),
        marks=tuple((name, row[name]) for name in MARKED),
    )


def _wrong(path: Path, line: int, message: str, expected: str) -> Problem:
    return Problem(
        code="D009",
        file=str(path),
        line=line,
        message=message,
        expected=expected,
        mend="mend the line or take it out; the others are summed without it",
    )
