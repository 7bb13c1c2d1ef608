"""YAML nodes -> records: every field checked against its type, all mistakes placed, none raised."""

import re
import types
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Meta, Struct

from ..errors import nearest, one_of
from .strict_yaml import Node, Sheet
from .written_so import cut_by_comma, expected_for, mend_for

BAD = object()
LONGEST_NUMBER = 400  # letters; a file may be one line of a megabyte, which is not copied for each number in it
NAMES = {str: "text", int: "a whole number", float: "a number", bool: "true or false"}


@cache
def hints(record: type[Struct]) -> dict[str, Any]:
    """Return a record's field types with their notes, by the name that the YAML uses."""
    plain = get_type_hints(record, include_extras=True)
    return {f.encode_name: plain[f.name] for f in msgspec.structs.fields(record)}


@cache
def needed(record: type[Struct]) -> list[str]:
    """Return the names, as the YAML uses them, of the fields that a record can't do without."""
    return [f.encode_name for f in msgspec.structs.fields(record) if f.required]


@cache
def own_names(record: type[Struct]) -> dict[str, str]:
    """Return the names of a record's fields in Python, by the name that the YAML uses."""
    return {f.encode_name: f.name for f in msgspec.structs.fields(record)}


def describe(kind: Any) -> str:
    """Return a field type in words.

    Examples
    --------
    >>> describe(list[str])
    'a list of text'
    """
    origin = get_origin(kind)
    if origin is Annotated:
        return describe(get_args(kind)[0])
    if origin is Literal:
        return one_of(map(str, get_args(kind)))
    if origin in (Union, types.UnionType):
        return " or ".join(describe(k) for k in get_args(kind) if k is not type(None))
    if origin is list:
        return "a list of " + describe(get_args(kind)[0])
    if origin is dict:
        return "a mapping of names to " + describe(get_args(kind)[1])
    if isinstance(kind, type) and issubclass(kind, Struct):
        fields = msgspec.structs.fields(kind)
        must = [f.encode_name for f in fields if f.required]
        return "a mapping with " + (", ".join(must) or "any of " + ", ".join(f.encode_name for f in fields))
    return NAMES.get(kind, str(kind))


def convert(sheet: Sheet, node: Node, kind: Any, where: str = "") -> Any:
    """Return the value of a node as `kind`, or BAD after noting what is wrong on the sheet.

    Parameters
    ----------
    sheet : Sheet
        Where problems are noted.
    node : Node
        The YAML value.
    kind : type
        A record, or any field type used by records.
    where : str
        The field's path, for messages.
    """
    origin = get_origin(kind)
    if origin is Annotated:
        base, *notes = get_args(kind)
        value = convert(sheet, node, base, where)
        return value if value is BAD else _meta(sheet, node, value, [n for n in notes if isinstance(n, Meta)], where)
    if origin in (Union, types.UnionType):
        return _union(sheet, node, get_args(kind), where)
    if origin is Literal:
        if node.value in get_args(kind) and isinstance(node.value, str):
            return node.value
        return _wrong(sheet, node, kind, where, nearest(str(node.value), map(str, get_args(kind))))
    if origin is list:
        if not isinstance(node.value, list):
            return _wrong(sheet, node, kind, where)
        items = [convert(sheet, n, get_args(kind)[0], f"{where}[{i}]") for i, n in enumerate(node.value)]
        return BAD if BAD in items else items
    if origin is dict:
        if not isinstance(node.value, dict):
            return _wrong(sheet, node, kind, where)
        pairs = {k: convert(sheet, n, get_args(kind)[1], f"{where}.{k}") for k, n in node.value.items()}
        return BAD if any(v is BAD for v in pairs.values()) else pairs
    if isinstance(kind, type) and issubclass(kind, Struct):
        return record(sheet, node, kind, where)
    if kind is float and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        return float(node.value)
    if kind is type(None) and node.value is None:
        return None
    if isinstance(kind, type) and type(node.value) is kind:
        return node.value
    # A bare number is a fine answer or option name: `answer: 2` means the text "2".
    if kind is str and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        begins = node.column - 1
        written = sheet.rows[node.line - 1][begins : begins + LONGEST_NUMBER]
        return written.split("#")[0].split(",")[0].strip(" ]}") or str(node.value)
    return _wrong(sheet, node, kind, where)


def record(sheet: Sheet, node: Node, kind: type[Struct], where: str = "", given: dict[str, Any] | None = None) -> Any:
    """Return a record from a mapping node, or BAD; `given` are fields that the file does not write itself."""
    if not isinstance(node.value, dict):
        return _other_shape(sheet, node, (kind,), where)
    fields = hints(kind)
    given = given or {}
    writable = [name for name in fields if name not in given]
    values: dict[str, Any] = dict(given)
    bad = False
    for key, child in node.value.items():
        if key not in writable and sheet.full:
            sheet.more += 1
            bad = True
            continue
        cut = cut_by_comma(sheet, node, key) if key not in writable else None
        if cut:
            bad = True
            name, written = cut
            if all(p.mend != f"write {written}" for p in sheet.problems[-1:]):  # one text, however many commas
                sheet.problem(
                    "K001",
                    f"'{key}' stands where a field's name is wanted: the comma before it ends '{_path(where, name)}'",
                    node.keys.get(key, (node.line, node.column)),
                    expected="inside { } a text with a comma in quotes, a number with a point",
                    nearest=nearest(key, writable),
                    mend=f"write {written}",
                )
            continue
        if key not in writable:
            sheet.problem(
                "K001",
                f"unknown field '{_path(where, key)}'",
                node.keys.get(key, (node.line, node.column)),
                expected=one_of(writable, 30),
                nearest=nearest(key, writable),
                mend="correct the name, or drop the field",
            )
            bad = True
            continue
        value = convert(sheet, child, fields[key], _path(where, key))
        bad = bad or value is BAD
        values[key] = value
    for name in needed(kind):
        if name not in values:
            sheet.problem(
                "K003",
                f"the field '{_path(where, name)}' is missing",
                node,
                expected=describe(fields[name]),
                mend=f"add '{name}:'",
            )
            bad = True
    if bad:
        return BAD
    own = own_names(kind)
    return kind(**{own[k]: v for k, v in values.items()})


def _path(where: str, key: str) -> str:
    return f"{where}.{key}" if where else key


def _shown(node: Node) -> str:
    if isinstance(node.value, dict):
        return "a mapping"
    if isinstance(node.value, list):
        return "a list"
    if node.value is None:
        return "nothing"
    text = str(node.value)
    return f"'{text[:60]}'" if isinstance(node.value, str) else text[:60].lower()


def _wrong(sheet: Sheet, node: Node, kind: Any, where: str, near: str = "") -> Any:
    expected = kind if isinstance(kind, str) else describe(kind)
    sheet.problem(
        "K002",
        f"'{where}' is {_shown(node)}",
        node,
        expected=expected,
        nearest=near,
        mend=f"write {expected}",
    )
    return BAD


def _other_shape(sheet: Sheet, node: Node, kinds: tuple[Any, ...], where: str) -> Any:
    """Note that a value has the shape of none of some types, with what it looks like in one of them."""
    expected = expected_for(kinds) or " or ".join(describe(k) for k in kinds)
    scalar = not isinstance(node.value, dict | list)
    mend = (mend_for(node.value, kinds) if scalar else "") or f"write {expected}"
    sheet.problem("K002", f"'{where}' is {_shown(node)}", node, expected=expected, mend=mend)
    return BAD


def _union(sheet: Sheet, node: Node, kinds: tuple[Any, ...], where: str) -> Any:
    """Take the member that fits the node's shape, so that messages speak of the right one."""
    members = [k for k in kinds if k is not type(None)]
    if node.value is None and len(members) < len(kinds):
        return None
    if len(members) == 1:
        return convert(sheet, node, members[0], where)
    for member in members:
        base = get_args(member)[0] if get_origin(member) is Annotated else member
        origin = get_origin(base)
        shape: Any = (
            dict
            if origin is dict or (isinstance(base, type) and issubclass(base, Struct))
            else list
            if origin is list
            else str
        )
        if base is float:
            shape = int | float
        if isinstance(node.value, shape) and not isinstance(node.value, bool):
            return convert(sheet, node, member, where)
    return _other_shape(sheet, node, tuple(members), where)


def _meta(sheet: Sheet, node: Node, value: Any, notes: list[Meta], where: str) -> Any:
    for note in notes:
        if note.pattern and isinstance(value, str) and not re.search(note.pattern, value):
            sheet.problem(
                "K004",
                f"'{where}' is '{value}'",
                node,
                expected=note.description or note.pattern,
                mend="use small letters, digits and single hyphens",
            )
            return BAD
        if note.min_length and len(value) < note.min_length:
            sheet.problem(
                "K005",
                f"'{where}' is too short",
                node,
                expected=f"at least {note.min_length} " + ("letters" if isinstance(value, str) else "entries"),
                mend="write it out",
            )
            return BAD
        low, high = note.gt, note.lt
        if isinstance(value, int | float) and (
            (low is not None and value <= low) or (high is not None and value >= high)
        ):
            bounds = " and ".join(
                t
                for t in (f"above {low:g}" if low is not None else "", f"below {high:g}" if high is not None else "")
                if t
            )
            sheet.problem(
                "K006",
                f"'{where}' is {value:g}",
                node,
                expected=f"a number {bounds}",
                mend=_bounded(low, high),
            )
            return BAD
    return value


def _bounded(low: float | None, high: float | None) -> str:
    """Return how a number outside its bounds is mended."""
    if high == 1000:
        return "count of 1000; nothing is certain here, so 0 and 1000 are errors"
    if high == 1:
        return "nothing is certain here: 0 and 1 are errors; of 100 or of 1000, divide"
    return f"write a number above {low:g}" if high is None else f"write a number below {high:g}"
