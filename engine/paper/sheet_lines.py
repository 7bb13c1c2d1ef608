"""A sheet that is no YAML, read line by line as a pen wrote it: what is wrong with a line stays with that line."""

import re
from collections.abc import Iterator
from typing import Any

from ..knowledge.strict_yaml import ODD, Node, Sheet, parse, scalar

NO_TEXT = frozenset(("Y002", "Y009", "Y010", "Y011"))  # there is nothing to read, or no end of it
BLOCKS = ("facts", "readings", "told", "notes")
KEY = re.compile(
    r"^(?P<in>\s*)(?P<item>-\s+)?(?P<quote>[\"']?)(?P<key>[A-Za-z][\w-]*)(?P=quote)\s*:(?P<gap>\s*)(?P<value>.*)$"
)
NOTE = re.compile(r"\s#.*$|^#.*$")
SIGN = ("[", "{")


def by_lines(sheet: Sheet, known: frozenset[str]) -> Sheet:
    """Return a sheet whose lines were read each by itself.

    A tab, an odd indent, a colon or a quote inside a text, a sign that YAML keeps for itself: the line is read as it was meant. A line that
    has no name and no value, and a name that stands twice with two values, is a problem, and the others are read.

    Parameters
    ----------
    sheet : Sheet
        As it was parsed, with its problems.
    known : frozenset of str
        The names that a line can have: fields, facts, checks.

    Returns
    -------
    Sheet
        The same one where there is no line to be read.

    Examples
    --------
    >>> broken = parse('readings:\\n\\tdrip-rate: "dry\\n  hose-depth: 6 in: twice\\n', "sheet.yaml")
    >>> [p.code for p in broken.problems]
    ['Y001']
    >>> by_lines(broken, frozenset(("readings", "drip-rate", "hose-depth"))).root.data()
    {'readings': {'drip-rate': 'dry', 'hose-depth': '6 in: twice'}}
    """
    if any(p.code in NO_TEXT for p in sheet.problems):
        return sheet
    out = Sheet(sheet.name, "")
    out.rows = sheet.rows
    root = Node({}, 1, 1)
    block = ""
    for number, row in enumerate(_rows(sheet.rows), 1):
        if out.full:
            break
        if not row.strip() or row.lstrip().startswith("#") or row.strip() in ("---", "..."):
            continue
        line = KEY.match(row)
        if line and not line["gap"] and line["value"] and line["key"] not in known:
            line = None  # 12:30, or a word with a colon: no name of a line
        column = len(row) - len(row.lstrip()) + 1
        if line and not line["item"] and (not line["in"] or line["key"] in BLOCKS):
            block = _field(out, root, line, number)
        elif line and block in ("facts", "readings", "told"):
            _put(out, root.value[block], line["key"], _value(line["value"], number, column), number, column)
        elif block in ("notes", "told") and row.lstrip().startswith("-"):
            _item(root, block, row.lstrip()[1:].strip(), number, column)
        else:
            out.problem(
                "Y001",
                "this line has no name and no value",
                (number, column),
                expected="a name, a colon, and what was seen: hose-depth: 6 in",
                mend="write it so, or under notes: behind a dash; the other lines are read",
            )
    if not set(root.value) & {"facts", "readings", "told"} and not set(root.value) & (known - {"title"}):
        return sheet
    out.root = root
    return out


def _rows(rows: list[str]) -> Iterator[str]:
    """Yield lines without letters that nobody sees."""
    for row in rows:
        yield ODD.sub("", row.replace("\t", "  ").replace("\u00a0", " ")).rstrip()


def _field(out: Sheet, root: Node, line: re.Match[str], number: int) -> str:
    """Enter a field of the sheet, and return the block that begins with it."""
    key, column = line["key"], len(line["in"]) + 1
    text = _bare(line["value"])
    if key not in BLOCKS:
        _put(out, root, key, _value(line["value"], number, column), number, column)
        return ""
    if key in root.value:
        return key
    found: Any = {} if key != "notes" else []
    if text.startswith(SIGN):
        inline = parse(text, out.name)
        if inline.root is not None and not inline.problems:
            found = _moved(inline.root, number, line.start("value")).value
        else:
            found = _cut(text, number, column)
    root.value[key] = Node(found, number, column)
    root.keys[key] = (number, column)
    if isinstance(found, dict):
        root.value[key].keys |= {k: (v.line, v.column) for k, v in found.items()}
    return key


def _moved(node: Node, line: int, column: int) -> Node:
    """Return a node that stood alone at its place in the file."""
    value = node.value
    if isinstance(value, dict):
        value = {k: _moved(v, line, column) for k, v in value.items()}
    elif isinstance(value, list):
        value = [_moved(v, line, column) for v in value]
    return Node(value, line, column + node.column, node.plain)


def _cut(text: str, number: int, column: int) -> dict[str, Node]:
    """Return the entries of a braced list whose braces or quotes are not whole: cut at its commas."""
    out: dict[str, Node] = {}
    last = ""
    for part in text.strip("{}[] ").split(","):
        name, colon, value = part.partition(":")
        if colon and re.fullmatch(r"\s*[\w-]+\s*", name):
            last = name.strip()
            out[last] = Node(_text(value), number, column)
        elif last:
            out[last] = Node(f"{out[last].value or ''},{part}".strip(", "), number, column)
    return out


def _item(root: Node, block: str, text: str, number: int, column: int) -> None:
    """Enter a line of a list."""
    node = root.value[block]
    if node.value == {}:
        node.value = []
    if isinstance(node.value, list):
        node.value.append(Node(_text(text), number, column))


def _put(out: Sheet, of: Node, key: str, value: Node, number: int, column: int) -> None:
    """Enter a line; of two with one name the one that is filled in counts, and neither where they differ."""
    if not isinstance(of.value, dict):
        of.value = {}
    first = of.value.get(key)
    if first is not None and first.value is not None and value.value is not None and first.value != value.value:
        out.problem(
            "Y006",
            f"the key '{key}' stands twice, with '{first.value}' and '{value.value}'",
            (number, column),
            expected=f"one '{key}' (the first is at line {of.keys[key][0]})",
            mend="keep one of the two; until then neither is judged",
        )
        of.value[key] = Node("", number, column)  # an empty text, which no third value takes the place of
        return
    if first is None or first.value is None:
        of.value[key] = value
        of.keys[key] = (number, column)


def _value(text: str, number: int, column: int) -> Node:
    return Node(_text(text), number, column)


def _bare(text: str) -> str:
    return NOTE.sub("", text).strip()


def _text(text: str) -> Any:
    """Return what stands behind a colon: a quoted text without its quotes where they are whole, else as it is; None where nothing does."""
    bare = text.strip()
    if len(bare) > 1 and bare[0] in "\"'":
        quoted = parse(bare, "")
        if quoted.root is not None and not quoted.problems and isinstance(quoted.root.value, str):
            return quoted.root.value
        if bare.count(bare[0]) % 2:  # a quote that nobody closed
            bare = bare[1:]
    return scalar(_bare(bare), True)
