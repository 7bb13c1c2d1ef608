"""`dryfloor move`, `import` and `export --all`: kept cases carried from store to store, or through a file."""

import argparse
import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine.errors import Problem
    from ..result import Result
    from ..store.carrying import CaseRecord
    from ..store.store import Store

# What became of a case, as it is told.
TOLD = {
    "new": "new here",
    "longer": "gone on with at the other end",
    "same": "the same already",
    "shorter": "further on here already",
    "apart": "worked on at both ends: look at them, what was kept at the other one stands behind a note",
}
LINE_BYTES = 32 << 20  # a case of ten thousand events with long notes is far below
NAMED = ("apart",)  # these are named one by one


def export_all(args: argparse.Namespace, env: Env, store: "Store") -> "Result":
    """Write all kept cases into one file, for a machine without network.

    Parameters
    ----------
    args : Namespace
        out.
    env : Env
    store : Store
        Open to be read.
    """
    from ..result import Exit, Result
    from ..store.carried_file import lines
    from ..store.case_file import CaseKeep

    found, problems = _records(store)
    text = "".join(f"{line}\n" for line in lines(found))
    layout = Layout(env.width, env.colour)
    data = {"cases": [record.id for record in found], "problems": problems}
    code = Exit.USAGE if problems else Exit.DONE
    told = [line for problem in problems for line in problem.lines()]
    if not args.out:
        data["text"] = text
        return Result(command="export", status="exported", exit=code, data=data, lines=[*text.splitlines()])
    CaseKeep(Path(args.out), "name another file after -o").write(text)
    count = f"{len(found)} case{'' if len(found) == 1 else 's'}"
    said = layout.wrap(
        f"{count} in {args.out}. There: dryfloor import {args.out}; links are not in it, and what was said in confidence is: keep it so."
    )
    return Result(command="export", status="exported", exit=code, data=data | {"file": args.out}, lines=[*said, *told])


def take_in(args: argparse.Namespace, env: Env) -> "Result":
    """Take the cases of a file into the store; what is here already is gone on with, and nothing of either is lost."""
    from ..store.carried_file import records
    from ..store.opening import open_store

    with _read(args.file, env) as raw, open_store(args, env, write=True) as store:
        return _adopted("import", store, records(raw, "<stdin>" if args.file == "-" else args.file), env)


@contextmanager
def _read(name: str, env: Env) -> "Iterator[Iterable[bytes]]":
    """Open a file of cases, or what is piped in, line by line."""
    from ...engine.errors import InvalidInputError, Problem

    if name == "-":
        piped: Any = getattr(env.stdin, "buffer", None)
        yield _lines(piped if piped is not None else io.BytesIO(env.stdin.read().encode()))
        return
    try:
        with open(name, "rb") as file:
            yield _lines(file)
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="J025",
                    file=name,
                    message=f"it can't be read: {error.strerror or error}",
                    mend="name the file that dryfloor export --all wrote",
                )
            ]
        ) from None


def _lines(file: IO[bytes]) -> "Iterator[bytes]":
    """Yield the lines of a file; one that is too long to be a case comes in pieces, each of which is then none."""
    while line := file.readline(LINE_BYTES):
        yield line


def move(args: argparse.Namespace, env: Env) -> "Result":
    """Carry all cases of one store over to another, each in one write and read back there; it may be cut and run again."""
    from ...engine.errors import InvalidInputError, Problem
    from ..store.opening import open_store

    if args.source == args.target:
        raise InvalidInputError(
            [Problem(code="J027", message="both are the same store", mend="name another one after --to")]
        )
    here = argparse.Namespace(**{**vars(args), "store": args.source})
    there = argparse.Namespace(**{**vars(args), "store": args.target})
    with open_store(here, env, write=False) as source, open_store(there, env) as target:
        found, problems = _records(source)
        return _adopted("move", target, [*found, *problems], env, source)


def _records(store: "Store") -> "tuple[list[CaseRecord], list[Problem]]":
    """Return all cases of a store, each behind the one that it comes after; and what is said of those that can't be carried."""
    from ...engine.errors import InvalidInputError

    found: list[CaseRecord] = []
    problems: list[Problem] = []
    for line in store.find():
        try:
            found.append(store.record(line.id))
        except InvalidInputError as refused:
            problems += refused.problems
    by_id = {record.id: record for record in sorted(found, key=lambda r: (r.began, r.id))}
    ordered: dict[str, CaseRecord] = {}
    for record in by_id.values():
        behind = [record]
        while (before := by_id.get(behind[-1].earlier or "")) and before.id not in ordered and before not in behind:
            behind.append(before)
        ordered |= {r.id: r for r in reversed(behind)}
    return [*ordered.values()], problems


def _adopted(
    command: str, store: "Store", found: "Iterable[CaseRecord | Problem]", env: Env, source: "Store | None" = None
) -> "Result":
    from ...engine.errors import InvalidInputError, Problem
    from ..result import Exit, Result

    became: dict[str, list[str]] = {how: [] for how in TOLD}
    problems: list[Problem] = []
    for record in found:
        if isinstance(record, Problem):
            problems.append(record)
            continue
        try:
            with store.together():
                outcome = store.adopt(record)
                if source is not None:
                    store.link_by(record.id, source.link_digests(record.id))
                    _photos(record.id, source, store)
            if source is not None and outcome not in ("same", "shorter"):  # of those nothing was written
                _read_back(record.id, source, store)
            became[outcome].append(record.id)
        except InvalidInputError as refused:
            problems += refused.problems
    layout = Layout(env.width, env.colour)
    lines: list[str] = []
    for how, cases in became.items():
        if cases:
            names = f": {', '.join(cases)}" if how in NAMED else ""
            lines += layout.wrap(f"{len(cases)} {TOLD[how]}{names}.")
    lines = lines or layout.wrap("There was no case to take in.")
    for problem in problems:
        lines += problem.lines()
    if command == "move" and not problems:
        lines += layout.wrap("All are over. The store that they came from is as it was; remove it once you are sure.")
    data = {**became, "problems": problems}
    status = "incomplete" if problems else "carried"
    return Result(command=command, status=status, exit=Exit.USAGE if problems else Exit.DONE, data=data, lines=lines)


def _photos(case: str, source: "Store", target: "Store") -> None:
    """Bring over the photos of a case that the other store has not."""
    there = {target.photo(case, line.number) for line in target.photos(case)}
    for line in source.photos(case):
        photo = source.photo(case, line.number)
        if photo is not None and photo not in there:
            target.photograph(case, *photo)


def _read_back(case: str, source: "Store", target: "Store") -> None:
    """Hold what the other store has of a case now against what this one has: everything must be there.

    Raises
    ------
    InvalidInputError
        Where something is not.
    """
    from ...engine.errors import InvalidInputError, Problem

    there = target.events(case)
    if all(event in there for event in source.events(case)) and not target.line(case).damage:
        return
    message = f"case {case} does not read there as it does here"
    mend = "look at both (dryfloor show CASE --store STORE), and run the same command again"
    raise InvalidInputError([Problem(code="J028", file=str(target.path), message=message, mend=mend)])
