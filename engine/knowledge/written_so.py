"""How a value that was written otherwise is to be written: what each record looks like on one line, and commas that cut a text."""

import re
from collections.abc import Iterable
from typing import Any

from .. import model
from .strict_yaml import Node, Sheet

SENTENCE = re.compile(r"[A-Za-z]")


def expected_for(kinds: Iterable[Any]) -> str:
    """Return what is expected where the types alone say too little, or an empty text.

    Examples
    --------
    >>> expected_for([model.Minutes])
    'minutes by hands: a mapping with homeowner, technician or both'
    """
    every = [*kinds]
    if model.Minutes in every:
        return "minutes by hands: a mapping with homeowner, technician or both"
    if model.Number in every and len(every) > 1:
        return "a strength word of scales.yaml, or a mapping with n (above 0 and below 1) and basis"
    return ""


def mend_for(value: Any, kinds: Iterable[Any]) -> str:
    """Return how a bare value is written as one of some types, or an empty text where there is nothing to say.

    Parameters
    ----------
    value : scalar
        What was written.
    kinds : iterable of type
        What the field takes.

    Examples
    --------
    >>> mend_for(1, [model.Minutes])
    "write {homeowner: 1, technician: 1}, and leave out the hands that can't do it"
    >>> mend_for(14, [model.Number])
    'say what the number rests on: {n: 14, basis: judgement}'
    """
    every = [*kinds]
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if model.Minutes in every:
        said = f"{value:g}" if number else "4"
        return f"write {{homeowner: {said}, technician: {said}}}, and leave out the hands that can't do it"
    if model.Number not in every:
        return ""
    if len(every) == 1:
        return f"say what the number rests on: {{n: {value:g}, basis: judgement}}" if number else ""
    if number and 0 < value < 1:
        return f"say what the number rests on: {{n: {value:g}, basis: judgement}}; or write a word, such as likely"
    return "a chance lies above 0 and below 1: write a word, such as very likely, or {n: 0.9, basis: judgement}"


def cut_by_comma(sheet: Sheet, node: Node, key: str) -> tuple[str, str] | None:
    """Return the field whose text a comma cut, and how it is written, where an unknown key of a `{...}` is the rest of that text.

    Parameters
    ----------
    sheet : Sheet
    node : Node
        The mapping.
    key : str
        A key of it that no field has.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.strict_yaml import parse
    >>> sheet = parse("loose: {says: a gap, all round}", "f")
    >>> cut_by_comma(sheet, sheet.root.value["loose"], "all round")
    ('says', 'says: "a gap, all round"')
    """
    names = [*node.value]
    at = names.index(key)
    line, column = node.keys.get(key, (0, 0))
    before = "\n".join([*sheet.rows[: line - 1], sheet.rows[line - 1][: column - 1]])[-400:] if line else ""
    if at == 0 or node.value[key].value is not None or not before.rstrip().endswith(","):
        return None
    # Of a text with several commas every part but the first is such a key.
    rest = [key]
    while at and node.value[names[at - 1]].value is None and names[at - 1] in node.keys:
        at -= 1
        rest.insert(0, names[at])
    if at == 0:
        return None
    name = names[at - 1]
    value = node.value[name]
    if not value.plain or isinstance(value.value, list | dict):
        return None
    if isinstance(value.value, int | float) and not SENTENCE.search(key):
        return name, f"{name}: {value.value:g}.{key}"
    for later in names[names.index(key) + 1 :]:
        if node.value[later].value is not None:
            break
        rest.append(later)
    text = ", ".join([str(value.value), *rest])
    return name, f'{name}: "{text}"' if '"' not in text else f"{name}: '{text.replace(chr(39), chr(39) * 2)}'"
