"""A shop's own kb folder over another one: its kb.yaml says what it extends, and which entries it replaces whole.

Nothing is merged field by field: an entry is theirs or ours. Whatever clashes is said before the kb is put together.
"""

from pathlib import Path

from .. import model
from ..errors import Problem, nearest, one_of
from .folder import OVERLAY, SHIPPED, extends, home
from .pieces import SINGLES, TABLES, Entry, Piece, parse_folder, piece
from .strict_yaml import Sheet, at_path


class Overlaid:
    """The pieces of a kb folder and of those below it, and what clashes between them; good is False where no kb can come of it."""

    def __init__(self, pieces: list[Piece], problems: list[Problem], good: bool = True) -> None:
        self.pieces = pieces
        self.problems = problems
        self.good = good


def pieces_of(folder: Path, above: tuple[Path, ...] = ()) -> Overlaid:
    """Return the pieces of a kb folder, over those of the folder that it extends.

    Parameters
    ----------
    folder : Path
    above : tuple of Path
        Folders that extend this one, to see when they go round in a circle.

    Examples
    --------
    >>> pieces_of(home()).problems
    []
    """
    taken = {p.name for p in above}
    name = f"{folder.resolve().parent.name}/{folder.name}" if folder.name in taken else folder.name
    sheets = parse_folder(folder, name)
    own = [piece(rel, sheet) for rel, sheet in sheets.items()]
    if OVERLAY not in sheets:
        return Overlaid(own, [])
    found = [e for p in own if p.name == OVERLAY for e in p.entries]
    if not found:
        return Overlaid(own, [], good=False)
    entry = found[0]
    said: model.Overlay = entry.record
    base = home() if said.extends == SHIPPED else folder / Path(said.extends).expanduser()
    problem = _base_problem(entry, folder, base, (*above, folder))
    if problem:
        return Overlaid(own, [problem], good=False)
    below = pieces_of(base, (*above, folder))
    problems = [*below.problems, *_clashes(entry, below.pieces, own)]
    return Overlaid([*_without(below.pieces, own), *own], problems, below.good)


def _base_problem(entry: Entry, folder: Path, base: Path, path: tuple[Path, ...]) -> Problem | None:
    """Return what is wrong with the folder that is extended, if anything."""
    said = entry.record.extends
    at = at_path(entry.node, ("extends",))
    if extends(folder) != said:
        return entry.sheet.placed(
            "K019", "extends is written in an unusual way", at, expected=f"a line of its own: extends: {said}",
            mend="write the folder's name plainly after 'extends: ', without braces or line breaks",
        )  # fmt: skip
    if base.resolve() in [p.resolve() for p in path]:
        return entry.sheet.placed(
            "K015", f"'{said}' goes round in a circle", at, expected="shipped, or a folder that does not lead back here",
            mend="let the innermost folder extend shipped, or nothing",
        )  # fmt: skip
    if not base.is_dir():
        near = nearest(base.name, [p.name for p in base.parent.iterdir()]) if base.parent.is_dir() else ""
        return entry.sheet.placed(
            "K013", f"there is no kb folder at '{base}'", at, expected="shipped, or the path of a kb folder", nearest=near,
            mend="correct the path; it is seen from the folder that kb.yaml is in",
        )  # fmt: skip
    return None


def _ids(pieces: list[Piece]) -> dict[str, dict[str, Entry]]:
    """Return every entry by table and id; a file that is one record goes by its name."""
    out: dict[str, dict[str, Entry]] = {name: {} for name in (*TABLES.values(), "files")}
    for p in pieces:
        for entry in p.entries:
            if p.name in SINGLES:
                out["files"].setdefault(Path(p.name).stem, entry)
            elif type(entry.record) in TABLES:
                out[TABLES[type(entry.record)]].setdefault(entry.record.id, entry)
    return out


def _clashes(overlay: Entry, below: list[Piece], own: list[Piece]) -> list[Problem]:
    """Return where two folders have the same id without saying so, and where one replaces what is not there."""
    replaces = overlay.record.replaces
    theirs, ours = _ids(below), _ids(own)
    problems = []
    for table, entries in ours.items():
        for name, entry in entries.items():
            if name in theirs[table] and name not in replaces:
                first = theirs[table][name]
                problems.append(
                    _placed(
                        entry, "K016", f"'{name}' is in the kb that this one extends, too ({first.sheet.name}:{first.node.line})",
                        expected="an id of its own, or the id under replaces: in kb.yaml",
                        mend=f"add '{name}' to replaces: in {overlay.sheet.name}, or give this entry another id",
                    )
                )  # fmt: skip
    known = sorted({name for entries in theirs.values() for name in entries})
    here = {name for entries in ours.values() for name in entries}
    broken = any(p.problems for p in own)
    for i, name in enumerate(replaces):
        at = at_path(overlay.node, ("replaces", i))
        if name not in known:
            problems.append(
                overlay.sheet.placed(
                    "K017", f"'{name}' can't be replaced: there is no such entry", at, expected=one_of(known),
                    nearest=nearest(name, known), mend="correct the id, or take it out and just add the entry",
                )
            )  # fmt: skip
        elif name not in here and not broken:
            problems.append(
                overlay.sheet.placed(
                    "K018", f"'{name}' is to be replaced, and this folder has no entry of that id", at,
                    expected="a whole entry of the same kind and id in this folder",
                    mend="add the entry, or take the id out of replaces:",
                )
            )  # fmt: skip
    return problems


def _placed(entry: Entry, code: str, message: str, **more: str) -> Problem:
    sheet: Sheet = entry.sheet
    return sheet.placed(code, message, entry.node, **more)


def _without(below: list[Piece], own: list[Piece]) -> list[Piece]:
    """Return the pieces below without the entries that this folder has itself, and without its kb.yaml."""
    ours = _ids(own)
    out = []
    for p in below:
        if p.name == OVERLAY or (p.name in SINGLES and Path(p.name).stem in ours["files"]):
            continue
        left = Piece(p.name, p.kind)
        left.problems, left.lost = p.problems, p.lost
        left.entries = [
            e for e in p.entries if type(e.record) not in TABLES or e.record.id not in ours[TABLES[type(e.record)]]
        ]
        out.append(left)
    return out
