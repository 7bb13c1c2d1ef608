"""A kb folder -> records, with all mistakes of all files at once.

A folder is read in three steps, so that a test which changes one file pays for one file: `parse_folder` makes a
sheet of every file, `piece` turns a sheet into records, `assemble` puts the pieces together and checks what
they say of each other (`refs.py`).
"""

from pathlib import Path
from typing import Any

from .. import model
from ..errors import InvalidInputError, Problem, in_order
from . import validate
from .folder import home
from .pieces import LISTS, SINGLES, TABLES, Entry, Piece
from .strict_yaml import at_path


def assemble(pieces: list[Piece], cases: bool = True) -> tuple[model.KB | None, list[Problem]]:
    """Return the kb of all pieces and every problem in file order; no kb where there is any problem.

    Parameters
    ----------
    pieces : list of Piece
        One for each file.
    cases : bool
        Also check the references inside cases and decoys.
    """
    problems = [p for pc in pieces for p in pc.problems]
    tables: dict[str, dict[str, Entry]] = {name: {} for name in TABLES.values()}
    singles: dict[str, Entry] = {}
    decoys: list[Entry] = []
    doubled: set[str] = set()
    for pc in pieces:
        for entry in pc.entries:
            value = entry.record
            if pc.name in SINGLES:
                singles[pc.name] = entry
            elif isinstance(value, model.Decoy):
                decoys.append(entry)
            elif isinstance(value, model.Overlay):
                continue
            else:
                table = tables[TABLES[type(value)]]
                if value.id in table:
                    doubled.add(TABLES[type(value)])
                    problems.append(_twice(table[value.id], entry))
                table.setdefault(value.id, entry)
    names = {pc.name for pc in pieces}
    for name in [*LISTS, *SINGLES]:
        if name not in names:
            problems.append(
                Problem(
                    code="K012", message=f"the kb has no {name}", mend=f"add {name}; see the templates in kb/README.md"
                )
            )
    if len(singles) == len(SINGLES) and all(pc.kind for pc in pieces):
        lost = _lost_ids(pieces)
        for name in doubled:  # one of the two was meant to have an id that others name: they are not blamed for it
            lost[name] = None
        if not problems or None not in (lost["facts"], lost["hazards"]):
            problems += validate.check(tables, singles, decoys, cases, lost)
    if problems:
        return None, in_order(problems)
    records: dict[str, Any] = {t: {i: e.record for i, e in sorted(rows.items())} for t, rows in tables.items()}
    places = {
        f"{t}/{i}": f"{e.sheet.name}:{e.node.line}" for t, rows in tables.items() for i, e in sorted(rows.items())
    }
    kb = model.KB(
        **records,
        roles=singles["roles.yaml"].record,
        scales=singles["scales.yaml"].record,
        decoys=[e.record for e in decoys],
        places=places,
    )
    return kb, []


def _twice(first: Entry, second: Entry) -> Problem:
    """Return that an id stands twice, at the second place."""
    name = second.record.id
    mend = f"give this one an id of its own, and change it where it is named; '{name}' stays the first one's"
    if isinstance(second.record, model.Cause):
        mend = f"a cause's id is its file's name: rename this file or the other; no two are both {name}.yaml"
    if first.record == second.record:
        mend = "both say the same: delete this one"
    return second.sheet.placed(
        "K011",
        f"the id '{name}' is used twice",
        at_path(second.node, ("id",)),
        expected=f"one entry of this id (the first: {first.sheet.name}:{first.node.line})",
        mend=mend,
    )


def _lost_ids(pieces: list[Piece]) -> dict[str, set[str] | None]:
    """Return for each table the ids whose entries gave no record; None where they can't be known."""
    lost: dict[str, set[str] | None] = {name: set() for name in TABLES.values()}
    for pc in pieces:
        table = TABLES.get(pc.kind) if pc.kind else None
        if table:
            before = lost[table]
            lost[table] = None if before is None or pc.lost is None else before | pc.lost
    names = {pc.name for pc in pieces}
    for name, kind in LISTS.items():
        if name not in names and kind in TABLES:
            lost[TABLES[kind]] = None
    return lost


def read_kb(folder: Path | None = None) -> tuple[model.KB | None, list[Problem]]:
    """Return the kb of a folder over what it extends, and all its problems."""
    folder = folder or home()
    if not folder.is_dir():
        return None, [
            Problem(
                code="K013",
                message=f"there is no kb folder at '{folder}'",
                mend="name a folder that holds complaints.yaml and the rest",
            )
        ]
    from .overlay import pieces_of

    found = pieces_of(folder)
    if not found.good:
        return None, in_order([*found.problems, *(p for pc in found.pieces for p in pc.problems)])
    kb, problems = assemble(found.pieces)
    return (None, in_order([*found.problems, *problems])) if found.problems else (kb, problems)


def load_kb(folder: Path | None = None) -> model.KB:
    """Return the kb of a folder.

    Parameters
    ----------
    folder : Path, optional
        The kb folder; the shipped one unless said.

    Raises
    ------
    InvalidInputError
        With every problem of every file.

    Examples
    --------
    >>> "walks" in load_kb().complaints
    True
    """
    kb, problems = read_kb(folder)
    if kb is None:
        raise InvalidInputError(problems, kb=True)
    return kb
