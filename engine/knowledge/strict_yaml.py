"""Strict YAML: a tree whose every node knows its line and column, and one placed message for every mistake.

Plain YAML reads `no` as false, `12:30` as 750, `010` as 8, and keeps the last of two equal keys in silence. Here a plain
scalar is text unless it is written like a JSON number, true, false or null. Anchors, aliases, tags and a key
twice are refused; so are files that are too large or nested too deep, before anything is built from them.
"""

import math
import re
import stat
from pathlib import Path
from typing import Any, NamedTuple

import yaml
from msgspec import structs

from ..errors import InvalidInputError, Problem, excerpt

MOST_BYTES = 1_000_000
MOST_DEPTH = 16
# A file has at most so many values, scalars, lists and mappings together; the largest file of a kb has some thousand.
MOST_VALUES = 200_000
# So many mistakes are kept of one file; nobody mends more before looking again.
MOST_PROBLEMS = 200
TOO_DEEP = "this is not a dryfloor file; check what was saved"
NUMBER = re.compile(r"-?((0|[1-9]\d*)(\.\d+)?|\.\d+)([eE][-+]?\d+)?$")
WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None, "": None}
# Control characters but tab and line end, soft hyphens, zero-width and direction marks, non-characters, lone surrogates.
ODD = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)


# A letter beyond U+FFFF as JSON escapes it, in two halves; a backslash that is itself escaped begins no such half.
PAIR = re.compile(r"\\\\|\\u([dD][89abAB][0-9a-fA-F]{2})\\u([dD][c-fC-F][0-9a-fA-F]{2})")


def _joined(match: re.Match[str]) -> str:
    if match[1] is None:
        return match[0]
    return f"\\U{0x10000 + ((int(match[1], 16) - 0xD800) << 10) + int(match[2], 16) - 0xDC00:08x}"


NO_KEYS: dict[str, tuple[int, int]] = {}  # shared by all that is no mapping: a kb has a hundred scalars to a cause


class Node:
    """A YAML value with its place: `value` is a scalar, a list of nodes, or a dict of text to nodes."""

    __slots__ = ("column", "keys", "line", "plain", "value")
    keys: dict[str, tuple[int, int]]

    def __init__(self, value: Any, line: int, column: int, plain: bool = False) -> None:
        self.value = value
        self.line = line
        self.column = column
        self.plain = plain
        self.keys = {} if isinstance(value, dict) else NO_KEYS

    def data(self) -> Any:
        """Return the plain Python value of this node and all below it."""
        if isinstance(self.value, dict):
            return {k: v.data() for k, v in self.value.items()}
        if isinstance(self.value, list):
            return [v.data() for v in self.value]
        return self.value


class Sheet:
    """A parsed file: its name, its lines, its root node and what was wrong with it."""

    def __init__(self, name: str, text: str) -> None:
        self.name = name
        self.rows = text.splitlines()
        self.problems: list[Problem] = []
        self.more = 0  # problems that were counted and not kept
        self.root: Node | None = None

    @property
    def full(self) -> bool:
        """Whether no more problems are kept: whoever looks for more of them may stop."""
        return len(self.problems) >= MOST_PROBLEMS

    def placed(self, code: str, message: str, at: Node | tuple[int, int] | None = None, **more: str) -> Problem:
        """Return a problem at a node or a (line, column)."""
        line, column = (at.line, at.column) if isinstance(at, Node) else at or (0, 0)
        shown = excerpt(self.rows[line - 1], column) if 0 < line <= len(self.rows) else ""
        return Problem(code=code, message=message, file=self.name, line=line, column=column, shown=shown, **more)

    def problem(self, code: str, message: str, at: Node | tuple[int, int] | None = None, **more: str) -> None:
        """Note a problem at a node or a (line, column)."""
        if self.full:
            self.more += 1
            return
        self.problems.append(self.placed(code, message, at, **more))


def scalar(text: str, plain: bool) -> Any:
    """Return the value of a scalar: JSON-like numbers, true, false and null when plain, else the text.

    Examples
    --------
    >>> scalar("no", True), scalar("010", True), scalar("1.5", True), scalar("1.5", False)
    ('no', '010', 1.5, '1.5')
    """
    if not plain:
        return text
    if text in WORDS:
        return WORDS[text]
    if NUMBER.match(text):
        value = float(text)
        if not math.isfinite(value):
            return text
        return int(text) if re.fullmatch(r"-?\d{1,15}", text) else value
    return text


class Longest(NamedTuple):
    """The most entries that any one list or mapping of a file may have, and what is said of a longer one."""

    entries: int
    refusal: Problem


def parse(text: str, name: str, longest: Longest | None = None) -> Sheet:
    """Return the sheet of a YAML text; mistakes are in its `problems`, never raised.

    Parameters
    ----------
    text : str
        The YAML text.
    name : str
        What to call the file in messages.
    longest : Longest, optional
        Counted while it is read: nothing is made of a text with a longer list.

    Examples
    --------
    >>> parse("role: desk", "case.yaml").root.data()
    {'role': 'desk'}
    >>> parse("a: 1\\na: 2", "case.yaml").problems[0].lines()[0]
    "case.yaml:2:1 Y006 the key 'a' stands twice"
    """
    if "\\u" in text:
        text = PAIR.sub(_joined, text)
    sheet = Sheet(name, text)
    odd = ODD.search(text)
    if odd:
        row = text.count("\n", 0, odd.start()) + 1
        column = odd.start() - text.rfind("\n", 0, odd.start())
        sheet.problem(
            "Y008",
            f"an invisible character (U+{ord(odd.group()):04X})",
            (row, column),
            mend="delete it and type the text again",
        )
        return sheet
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        _build(sheet, yaml.parse(text, Loader=loader), longest)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        at = (mark.line + 1, mark.column + 1) if mark else None
        sheet.root = None
        if "maximum nesting" in str(error.problem):  # the parser's own limit, met while it looks ahead
            sheet.problem("Y009", f"nested deeper than {MOST_DEPTH} levels", at, mend=TOO_DEEP)
            return sheet
        sheet.problem(
            "Y001",
            f"not YAML: {error.problem or error.context}",
            at,
            mend="close the { or [; inside them a text with a comma or a colon stands in quotes"
            if "did not find expected ','" in str(error.problem)
            else "check the indentation, the quotes and the colons of this line and the one above",
        )
    except yaml.YAMLError as error:
        sheet.root = None
        sheet.problem("Y001", f"not YAML: {getattr(error, 'reason', error)}", mend="save the file as plain UTF-8 text")
    return sheet


def _build(sheet: Sheet, events: Any, longest: Longest | None) -> None:
    """Fold parser events into nodes; iterative, so that depth can't exhaust the stack."""
    stack: list[tuple[Node, list[str | None]]] = []
    values = 0

    def place(node: Node, as_key: str | None) -> None:
        if not stack:
            if sheet.root is None:
                sheet.root = node
            else:
                sheet.problem(
                    "Y007", "a second document in one file", node, mend="keep one document a file, without --- lines"
                )
            return
        parent, pending = stack[-1]
        if isinstance(parent.value, list):
            parent.value.append(node)
        elif pending[0] is None:
            key = as_key if as_key is not None else "?"
            if as_key is None:
                sheet.problem(
                    "Y005",
                    "a key that is not plain text",
                    node,
                    mend="keys are single words; put lists and mappings after a colon",
                )
            if key in parent.value:
                first = parent.keys[key]
                sheet.problem(
                    "Y006",
                    f"the key '{key}' stands twice",
                    node,
                    expected=f"one '{key}' (the first is at line {first[0]})",
                    mend="keep one of the two",
                )
            pending[0] = key
            parent.keys.setdefault(key, (node.line, node.column))
        else:
            parent.value[pending[0]] = node
            pending[0] = None

    for event in events:
        mark = event.start_mark
        at = (mark.line + 1, mark.column + 1)
        values += 1
        if values > MOST_VALUES or sheet.full:
            if values > MOST_VALUES:
                sheet.problem("Y011", f"more than {MOST_VALUES:,} values", at, mend=TOO_DEEP)
            sheet.root = None
            return
        if longest and stack and len(stack[-1][0].value) > longest.entries:
            sheet.problems.append(structs.replace(longest.refusal, file=sheet.name, line=at[0], column=at[1]))
            sheet.root = None
            return
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            # One message however many there are: a bomb has thousands.
            if all(p.code != "Y003" for p in sheet.problems):
                sheet.problem(
                    "Y003",
                    f"an anchor or alias ('{event.anchor}')",
                    at,
                    mend="write the value out where it is needed, here and at every other & and *",
                )
            if isinstance(event, yaml.AliasEvent):
                place(Node(None, *at), event.anchor)
                continue
        if getattr(event, "tag", None) and not (isinstance(event, yaml.ScalarEvent) and event.tag == "!"):
            sheet.problem("Y004", f"a tag ('{event.tag}')", at, mend="drop the tag; quote the value if it must be text")
        if isinstance(event, yaml.ScalarEvent):
            plain = event.style in (None, "")
            place(Node(scalar(event.value, plain), *at, plain), event.value)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            if len(stack) >= MOST_DEPTH:
                sheet.problem(
                    "Y009",
                    f"nested deeper than {MOST_DEPTH} levels",
                    at,
                    mend=TOO_DEEP,
                )
                sheet.root = None
                return
            node = Node({} if isinstance(event, yaml.MappingStartEvent) else [], *at)
            if (
                isinstance(node.value, dict)
                and stack
                and isinstance(stack[-1][0].value, dict)
                and stack[-1][1][0] is None
            ):
                sheet.problem(
                    "Y005",
                    "a key that is not plain text",
                    node,
                    mend="keys are single words; put lists and mappings after a colon",
                )
                sheet.root = None
                return
            place(node, None)
            stack.append((node, [None]))
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            stack.pop()


def read(path: Path | str, name: str | None = None, longest: Longest | None = None) -> Sheet:
    """Return the sheet of a file; an unreadable, huge or binary file is a problem like any other.

    Parameters
    ----------
    path : Path or str
        The file.
    name : str, optional
        What to call it in messages; its path unless said.
    longest : Longest, optional
        As for `parse`.
    """
    path = Path(path)
    name = name or str(path)
    try:
        if path.is_dir():
            return _unreadable(name, "this is a folder, not a file", "name the file inside it")
        found = path.stat()
        # What a shell pours in by `<(...)` has its writer already; at a named pipe a reader may wait for ever.
        poured = str(path).startswith(("/dev/fd/", "/proc/self/fd/"))
        if stat.S_ISSOCK(found.st_mode) or (stat.S_ISFIFO(found.st_mode) and not poured):
            return _unreadable(
                name, "this is a pipe, not a file", "put what comes out of it into a file, and name that"
            )
        size = found.st_size
        if size > MOST_BYTES:
            return _unreadable(
                name,
                f"the file is {size / 1e6:.1f} MB",
                f"a file of this kind is under {MOST_BYTES / 1e6:.0f} MB; check that it is the right one",
            )
        # A device or a pipe has no size: read no more than is needed to refuse it.
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        near = _near_file(path)
        return _unreadable(name, "there is no such file", "check the name and the folder", near)
    except PermissionError:
        return _unreadable(
            name, "this file may not be read by you", "change its permissions, or copy it to a place of yours"
        )
    except (OSError, ValueError) as error:
        return _unreadable(
            name, f"the file can't be read: {getattr(error, 'strerror', None) or error}", "check the name and the disk"
        )
    return from_bytes(raw, name, longest)


def from_bytes(raw: bytes, name: str, longest: Longest | None = None) -> Sheet:
    """Return the sheet of bytes from a file or a pipe.

    Examples
    --------
    >>> from_bytes(b"\\xff\\xfe", "case.yaml").problems[0].message
    'not UTF-8 text (byte 0xff at place 0)'
    """
    if len(raw) > MOST_BYTES:
        return _unreadable(
            name,
            f"the input is over {MOST_BYTES / 1e6:.0f} MB",
            f"input of this kind is under {MOST_BYTES / 1e6:.0f} MB; check that it is the right one",
        )
    if b"\0" in raw:
        return _unreadable(name, "this is a binary file, not text", "name the YAML file itself")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        row, column = before.count(b"\n") + 1, len(before) - before.rfind(b"\n")
        message = f"not UTF-8 text (byte 0x{raw[error.start]:02x} at place {error.start})"
        return _unreadable(name, message, "save the file as UTF-8", at=(row, column))
    sheet = parse(text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n"), name, longest)
    if sheet.root is None and not sheet.problems:
        sheet.problem(
            "Y010",
            "the file is empty",
            expected="a YAML mapping or list",
            mend="see the templates in kb/README.md, or the case file in README.md",
        )
    return sheet


def _unreadable(name: str, message: str, mend: str, near: str = "", at: tuple[int, int] | None = None) -> Sheet:
    sheet = Sheet(name, "")
    sheet.problem("Y002", message, at, mend=mend, nearest=near)
    return sheet


def _near_file(path: Path) -> str:
    from ..errors import nearest

    try:
        return nearest(path.name, [p.name for p in path.parent.iterdir()])
    except OSError:
        return ""


def at_path(node: Node, path: tuple[str | int, ...]) -> Node | tuple[int, int]:
    """Return the node at a path, or the deepest one on the way that is there."""
    place: Node | tuple[int, int] = node
    for step in path:
        value = node.value
        if isinstance(value, dict) and step in value:
            place = node.keys.get(str(step), (node.line, node.column))
            node = value[step]
            place = node if not isinstance(node.value, dict | list) else place
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            node = value[step]
            place = node
        else:
            break
    return place


def checked(sheet: Sheet) -> Node:
    """Return the root of a sheet without problems.

    Raises
    ------
    InvalidInputError
        With all problems of the sheet.
    """
    if sheet.problems or sheet.root is None:
        raise InvalidInputError(sheet.problems)
    return sheet.root
