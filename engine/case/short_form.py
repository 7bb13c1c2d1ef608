"""The short mapping of a case file -> its events: sugar for a case without remedies."""

from typing import Any

from .. import model
from ..errors import nearest, one_of
from ..knowledge.decode import BAD, convert
from ..knowledge.strict_yaml import Node, Sheet
from .events import Event

SHORT = ("role", "hands", "say", "complaints", "facts", "answers", "cleared", "machine")


def short_events(sheet: Sheet, root: Node, kb: model.KB) -> list[tuple[Event, Node]]:
    """Turn the short mapping into events: sugar for a case without remedies."""
    out: list[tuple[Event, Node]] = []
    for key in root.value:
        if key not in SHORT:
            sheet.problem(
                "C004",
                f"unknown field '{key}'",
                root.keys[key],
                expected=one_of([*SHORT, "events"], 20),
                nearest=nearest(key, [*SHORT, "events"]),
                mend="correct the name",
            )

    def add(key: str, **fields: Any) -> None:
        node = root.value[key]
        event = Event(**fields)
        out.append((event, node))

    def text(key: str) -> str | None:
        node = root.value.get(key)
        if node is None:
            return None
        value = convert(sheet, node, str, key)
        return None if value is BAD else value

    role, hands = text("role"), text("hands")
    if "role" in root.value or "hands" in root.value:
        _role(sheet, root, role, hands, out)
    if machine := text("machine"):
        add("machine", machine=machine)
    if say := text("say"):
        add("say", heard=say)
    for key, kind in (("complaints", list[str]), ("cleared", list[str])):
        if key in root.value:
            values = convert(sheet, root.value[key], kind, key)
            if values is not BAD:
                for i, value in enumerate(values):
                    node = root.value[key].value[i]
                    out.append((Event(complaints=[value]) if key == "complaints" else Event(cleared=value), node))
    for key in ("facts", "answers"):
        if key in root.value:
            values = convert(sheet, root.value[key], dict[str, str], key)
            if values is not BAD:
                out += [(_pair(kb, key, k, v), _keyed(root.value[key], k)) for k, v in values.items()]
    return out


def _keyed(node: Node, key: str) -> Node:
    line, column = node.keys[key]
    return Node(node.value[key].value, line, column)


def _role(sheet: Sheet, root: Node, role: str | None, hands: str | None, out: list[tuple[Event, Node]]) -> None:
    known = ("homeowner", "desk", "technician")
    for key, value, options in (("role", role, known), ("hands", hands, ("homeowner", "technician"))):
        if value is not None and value not in options:
            sheet.problem(
                "C005",
                f"unknown {key} '{value}'",
                root.value[key],
                expected=one_of(options),
                nearest=nearest(value, options),
                mend=f"write one of them after {key}:",
            )
            return
    if role is None and hands is None:
        return  # neither could be read, which is said already
    out.append((Event(role=role, hands=hands), root))  # type: ignore[arg-type]


def _pair(kb: model.KB, key: str, name: str, value: str) -> Event:
    if key == "facts":
        return Event(fact=name, is_=value)
    check = kb.checks.get(name)
    return Event(check=name, value=value) if check and check.kind == "measure" else Event(check=name, answer=value)
