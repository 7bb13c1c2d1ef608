"""A kb folder -> records, with all mistakes of all files at once.

A folder is read in three steps, so that a test which changes one file pays for one file: `parse_folder` makes a
sheet of every file, `piece` turns a sheet into records, `assemble` puts the pieces together and checks what
they say of each other (`refs.py`).
"""

import re
from pathlib import Path
from typing import Any

from msgspec import Struct

from . import model, refs
from .cache import OVERLAY, files, home
from .problems import Problem, Refused
from .records import BAD, convert, record
from .yamlio import Node, Sheet, read

LISTS: dict[str, type[Struct]] = {
    "complaints.yaml": model.Complaint,
    "facts.yaml": model.Fact,
    "hazards.yaml": model.Hazard,
    "parts.yaml": model.Part,
    "sources.yaml": model.Source,
    "decoys.yaml": model.Decoy,
}
SINGLES: dict[str, type[Struct]] = {"roles.yaml": model.Roles, "scales.yaml": model.Scales}
FOLDERS: dict[str, type[Struct]] = {"rules": model.Rule, "checks": model.Check}
SLUG = r"[a-z0-9]+(-[a-z0-9]+)*"
TABLES: dict[type[Struct], str] = {
    model.Complaint: "complaints",
    model.Fact: "facts",
    model.Hazard: "hazards",
    model.Part: "parts",
    model.Source: "sources",
    model.Rule: "rules",
    model.Check: "checks",
    model.Cause: "causes",
    model.Machine: "machines",
}


class Entry:
    """One record with the node and the sheet that it came from."""

    __slots__ = ("node", "record", "sheet")

    def __init__(self, value: Any, node: Node, sheet: Sheet) -> None:
        self.record = value
        self.node = node
        self.sheet = sheet


class Piece:
    """What one file holds: its records and what was wrong inside the file."""

    def __init__(self, name: str, kind: type[Struct] | None) -> None:
        self.name = name
        self.kind = kind
        self.entries: list[Entry] = []
        self.problems: list[Problem] = []
        # Ids that stand in the file but gave no record; None where not even the ids are known.
        self.lost: set[str] | None = set()


def parse_folder(folder: Path, name: str | None = None) -> dict[str, Sheet]:
    """Return a sheet for every YAML file of a kb folder, keyed by relative path; `name` is what messages call the folder."""
    name = name or folder.name
    return {(rel := p.relative_to(folder).as_posix()): read(p, f"{name}/{rel}") for p in files(folder)}


def piece(rel: str, sheet: Sheet) -> Piece:
    """Return the records of one file.

    Parameters
    ----------
    rel : str
        Path relative to the kb folder; it decides what the file holds.
    sheet : Sheet
        The parsed file. Its problems are copied, not changed.
    """
    top, _, rest = rel.partition("/")
    kind = LISTS.get(rel) or SINGLES.get(rel) or (FOLDERS.get(top) if rest else None)
    if kind is None and rest and top in ("causes", "machines"):
        kind = model.Cause if top == "causes" else model.Machine
    if rel == OVERLAY:
        kind = model.Overlay
    out = Piece(rel, kind)
    work = Sheet(sheet.name, "")
    work.rows = sheet.rows
    work.problems = list(sheet.problems)
    if kind is None:
        known = [
            *LISTS,
            *SINGLES,
            "rules/<area>.yaml",
            "checks/<area>.yaml",
            "causes/<area>/<slug>.yaml",
            "machines/<slug>.yaml",
        ]
        work.problem(
            "K010",
            "no kb file has this place",
            (0, 0),
            expected=", ".join(known),
            mend="rename it, or move it out of the kb",
        )
    elif top == "causes" and not re.fullmatch(SLUG, Path(rel).stem):
        work.problem(
            "K014",
            f"'{Path(rel).stem}' can't be the id of a cause",
            (0, 0),
            expected="small letters, digits and single hyphens, naming a state",
            mend="rename the file",
        )
    elif sheet.root is not None and not sheet.problems:
        root = sheet.root
        if rel in SINGLES or rel == OVERLAY or top in ("causes", "machines"):
            given = {"id": Path(rel).stem} if top == "causes" else {}
            value = record(work, root, kind, "", given)
            if value is not BAD:
                out.entries.append(Entry(value, root, work))
        elif not isinstance(root.value, list):
            work.problem(
                "K002",
                "the file is not a list",
                root,
                expected="a list of entries, each starting with '- title:'",
                mend="put '- ' before each entry",
            )
        else:
            for child in root.value:
                value = convert(work, child, kind)
                if value is not BAD:
                    out.entries.append(Entry(value, child, work))
    out.problems = work.problems
    if kind is model.Cause and not out.entries:
        out.lost = {Path(rel).stem}
    elif kind is None or sheet.root is None or sheet.problems:
        out.lost = None
    else:
        out.lost = _lost(sheet.root, {id(e.node) for e in out.entries})
    return out


def _lost(root: Node, good: set[int]) -> set[str] | None:
    """Return the ids of nodes that gave no record, or None where one of them has no id to tell."""
    nodes = root.value if isinstance(root.value, list) else [root]
    found = set()
    for node in nodes:
        if id(node) not in good:
            own = node.value.get("id") if isinstance(node.value, dict) else None
            if own is None or not isinstance(own.value, str):
                return None
            found.add(own.value)
    return found


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
                    first = table[value.id]
                    problems.append(
                        entry.sheet.placed(
                            "K011",
                            f"the id '{value.id}' is used twice",
                            entry.node,
                            expected=f"one entry of this id (the first: {first.sheet.name}:{first.node.line})",
                            mend="give one of them another id",
                        )
                    )
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
        if not problems or None not in (lost["facts"], lost["hazards"]):
            problems += refs.check(tables, singles, decoys, cases, lost)
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


def in_order(problems: list[Problem]) -> list[Problem]:
    """Return problems sorted by file, line, column and code, each once."""
    return sorted(set(problems), key=lambda p: (p.file, p.line, p.column, p.code, p.message))


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
    Refused
        With every problem of every file.

    Examples
    --------
    >>> "walks" in load_kb().complaints
    True
    """
    kb, problems = read_kb(folder)
    if kb is None:
        raise Refused(problems, kb=True)
    return kb
