"""What the files of a kb are cut into: entries with their places, before they are checked."""

import re
from pathlib import Path
from typing import Any

from msgspec import Struct

from .. import model
from ..errors import Problem
from .decode import BAD, convert, record
from .folder import OVERLAY, files
from .strict_yaml import Node, Sheet, read

LISTS: dict[str, type[Struct]] = {
    "complaints.yaml": model.Complaint,
    "facts.yaml": model.Fact,
    "hazards.yaml": model.Hazard,
    "parts.yaml": model.Part,
    "sources.yaml": model.Source,
    "decoys.yaml": model.Decoy,
}
# Lists that a kb may do without.
OPTIONAL: dict[str, type[Struct]] = {"signs.yaml": model.Sign}
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
    model.Sign: "signs",
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
    kind = LISTS.get(rel) or OPTIONAL.get(rel) or SINGLES.get(rel) or (FOLDERS.get(top) if rest else None)
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
            *OPTIONAL,
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
