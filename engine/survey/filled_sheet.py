"""Survey sheets that were filled in: read and checked, beside a machine's own sheet, and written again."""

import json
import re

from msgspec import Struct, structs

from .. import model
from ..case.penned import answer, option
from ..case.validation import answer_problems, fact_problems
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..knowledge.decode import BAD, convert
from ..knowledge.machine_sheet import apply_sheet, load_sheet
from ..knowledge.strict_yaml import Node, Sheet
from ..language.sanitize import typed_line

FIELDS = ("title", "machine", "hands", "told", "facts", "readings", "notes")


class FilledSheet(Struct, frozen=True):
    """A survey sheet as it was read.

    `told` are the readings that a customer made, on the phone or at the door. `declined` are lines that the customer declined: of one with
    a reading its mend, of one without the look. `read_as` has of lines that a pen wrote what stood there, and how it was read. `notes` are words that
    fit no line.
    """

    title: str
    facts: dict[str, str]
    readings: dict[str, str]
    machine: str | None
    hands: model.Hands
    told: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    read_as: dict[str, tuple[str, str]] = {}
    notes: tuple[str, ...] = ()

    def by(self, name: str) -> model.Hands:
        """Return whose hands made a reading."""
        return "homeowner" if name in self.told else self.hands


def sheet_of(kb: model.KB, sheet: Sheet, hands: model.Hands = "technician", begun: bool = False) -> FilledSheet:
    """Return the filled sheet of a parsed file.

    Parameters
    ----------
    kb : KB
    sheet : Sheet
    hands : str
        Who measured, where the sheet does not say.
    begun : bool
        Whether a sheet with no reading on it yet is one.

    Raises
    ------
    InvalidInputError
        With every problem: unknown lines (nearest named), readings that can't be used, a sheet with nothing on it.
    """
    root = sheet.root
    if sheet.problems or root is None:
        empty = "print an empty sheet with dryfloor survey --blank, and fill it in"
        raise InvalidInputError(
            structs.replace(p, mend=empty, expected="facts: and readings:") if p.code == "Y010" else p
            for p in sheet.problems
        )
    if not isinstance(root.value, dict):
        sheet.problem(
            "S001",
            "a survey sheet is a mapping",
            root,
            expected="facts: and readings:",
            mend="start from dryfloor survey --blank",
        )
        raise InvalidInputError(sheet.problems)
    for key in root.value:
        if key not in FIELDS:
            known = [*FIELDS, *kb.checks, *kb.facts]
            sheet.problem(
                "S002",
                f"unknown field '{key}'",
                root.keys[key],
                expected=one_of(FIELDS),
                nearest=nearest(key, known),
                mend="a reading belongs under readings:, a circumstance under facts:",
            )
    title, machine, said_hands = (_text(sheet, root, k) for k in ("title", "machine", "hands"))
    if said_hands not in (None, "homeowner", "technician"):
        sheet.problem(
            "S004",
            f"unknown hands '{said_hands}'",
            root.value["hands"],
            expected="homeowner, technician",
            nearest=nearest(said_hands, ["homeowner", "technician"]),
            mend="say who measured",
        )
    hands = "homeowner" if said_hands == "homeowner" else "technician" if said_hands == "technician" else hands
    told = _told(kb, sheet, root)
    notes = _notes(sheet, root)
    read_as: dict[str, tuple[str, str]] = {}
    facts = _facts(kb, sheet, root, read_as)
    declined = _declined(kb, sheet, root)
    readings = _readings(kb, sheet, root, hands, fitted(kb, machine), read_as)
    if not sheet.problems and not readings and not declined and not begun:
        sheet.problem(
            "S005",
            "no reading is filled in",
            root,
            expected="at least one line under readings: with a value",
            mend="fill in what was measured, such as standpipe-height: 42 in",
        )
    if sheet.problems:
        raise InvalidInputError(sheet.problems, more=sheet.more)
    told = [n for n in told if n in readings]
    return FilledSheet(title or "Survey", facts, readings, machine, hands, tuple(told), tuple(declined), read_as, notes)


def fitted(kb: model.KB, machine: str | None) -> int | None:
    """Return how many restraints the sheet of a machine says were fitted."""
    sheet = kb.machines.get(machine or "")
    said = sheet.data.get("restraints", "") if sheet else kb.data.get("restraints", "")
    return int(said) if said.isdecimal() else None


def _told(kb: model.KB, sheet: Sheet, root: Node) -> list[str]:
    """Return what a customer read: names, or what was said where whoever is there has not filled the line in yet."""
    node = root.value.get("told")
    if node is not None and isinstance(node.value, dict):
        own = root.value.get("readings")
        if own is None or own.value is None:
            own = root.value["readings"] = Node({}, node.line, node.column)
        if not isinstance(own.value, dict):
            return []
        given = [k for k, v in own.value.items() if v.value is not None]
        left = [k for k, v in node.value.items() if v.value is not None and k not in given]
        own.value |= {k: node.value[k] for k in left}
        own.keys |= {k: node.keys[k] for k in left}
        return left
    value = convert(sheet, node, list[str], "told") if node is not None and node.value is not None else []
    names: list[str] = [] if value is BAD else list(value)
    for name in names:
        if name not in kb.checks:
            sheet.problem(
                "S003",
                f"unknown reading '{name}'",
                node,
                expected="under told: the readings that the customer made",
                nearest=nearest(name, kb.checks),
                mend="correct the line's name",
            )
    return names


def _notes(sheet: Sheet, root: Node) -> tuple[str, ...]:
    node = root.value.get("notes")
    value = convert(sheet, node, list[str], "notes") if node is not None and node.value is not None else []
    return () if value is BAD else tuple(typed_line(text) for text in value)


DECLINED = re.compile(r"(?i)(?:^|[\s,;.(]+)declined[\s.)]*$")  # written behind a value, or alone in its place


def declines(text: str) -> tuple[str, bool]:
    """Return what a line says without the word that its mend, or its look, was declined, and whether that word is there.

    Examples
    --------
    >>> declines("31 in, declined"), declines("declined"), declines("31 in")
    (('31 in', True), ('', True), ('31 in', False))
    """
    found = DECLINED.search(text)
    return (text[: found.start()].strip(), True) if found else (text, False)


def _declined(kb: model.KB, sheet: Sheet, root: Node) -> list[str]:
    """Return the lines that say declined, and leave in them what else they say."""
    node = root.value.get("readings")
    out = []
    if node is not None and isinstance(node.value, dict):
        for name, line in node.value.items():
            if name.lower() == "declined":
                sheet.problem(
                    "S003",
                    "a comma has cut 'declined' off its line",
                    _at(root, "readings", name),
                    expected='quotes round the whole: standpipe-height: "31 in, declined"',
                    mend="put quotes round it, or write each reading on a line of its own",
                )
            elif isinstance(line.value, str):
                text, said = declines(line.value)
                if said:
                    line.value = text
                    out.append(name)
                    if name not in kb.checks and not text:
                        sheet.problem(
                            "S003",
                            f"unknown reading '{name}'",
                            _at(root, "readings", name),
                            expected="the id of a check; dryfloor survey --blank lists them",
                            nearest=nearest(name, kb.checks),
                            mend="correct the line's name",
                        )
    return out


def _facts(kb: model.KB, sheet: Sheet, root: Node, read_as: dict[str, tuple[str, str]]) -> dict[str, str]:
    facts = _texts(sheet, root, "facts")
    for name, said in facts.items():
        if name not in kb.facts:
            (p,) = fact_problems(kb, name, said)
            mend = "use the id of a fact; dryfloor survey --blank lists them"
            sheet.problem(
                p.code, p.message, _at(root, "facts", name), expected=p.expected, nearest=p.nearest, mend=mend
            )
            continue
        found, problem = option(kb.facts[name], said)
        if problem:
            sheet.problem(
                problem.code,
                problem.message,
                _at(root, "facts", name),
                expected=problem.expected,
                nearest=problem.nearest,
                mend=problem.mend,
            )
        if found and found != said:
            facts[name] = found
            read_as[name] = (said, kb.facts[name].options[found].says)
    return facts


def _readings(
    kb: model.KB, sheet: Sheet, root: Node, hands: str, fitted: int | None, read_as: dict[str, tuple[str, str]]
) -> dict[str, str]:
    readings = _texts(sheet, root, "readings")
    for name, said in readings.items():
        at = _at(root, "readings", name)
        check = kb.checks.get(name)
        if check is None:
            known = {c: c for c in kb.checks} | {
                c.rule: c.id for c in kb.checks.values() if c.rule and c.kind == "measure"
            }
            near = nearest(name, known)
            sheet.problem(
                "S003",
                f"unknown reading '{name}'",
                at,
                expected="the id of a check; dryfloor survey --blank lists them",
                nearest=known[near] if near else "",
                mend="correct the line's name",
            )
            continue
        if hands == "homeowner" and any(hands in kb.hazards[h].never for h in check.hazards):
            sheet.problem(
                "S006",
                f"'{name}' is no line for a homeowner's hands",
                at,
                expected="a reading by a qualified person",
                mend="leave it empty; where a qualified person measured, write hands: technician",
            )
        if check.kind == "measure":
            for p in answer_problems(kb, name, None, said):
                sheet.problem(p.code, p.message, at, expected=p.expected, nearest=p.nearest, mend=p.mend)
            continue
        found, problem = answer(check, said, fitted)
        if problem:
            sheet.problem(
                problem.code, problem.message, at, expected=problem.expected, nearest=problem.nearest, mend=problem.mend
            )
        if found and found != said:
            readings[name] = found
            read_as[name] = (said, check.answers[found].says)
    return readings


def _texts(sheet: Sheet, root: Node, key: str) -> dict[str, str]:
    node = root.value.get(key)
    if node is None or node.value is None:
        return {}
    if isinstance(node.value, dict):
        # An empty line of a sheet is a line that was not measured.
        node.value = {k: v for k, v in node.value.items() if v.value is not None}
        for line in node.value.values():
            # A count or a voltage is written without quotes.
            if isinstance(line.value, int | float) and not isinstance(line.value, bool):
                line.value = f"{line.value:g}"
    value = convert(sheet, node, dict[str, str], key)
    return {} if value is BAD else {k: v for k, v in value.items() if v.strip()}


def _text(sheet: Sheet, root: Node, key: str) -> str | None:
    node = root.value.get(key)
    value = convert(sheet, node, str, key) if node is not None and node.value is not None else None
    return None if value is BAD or not value else str(value)


def _at(root: Node, key: str, name: str) -> tuple[int, int]:
    place: tuple[int, int] = root.value[key].keys.get(name, (root.line, root.column))
    return place


def with_machine(kb: model.KB, filled: FilledSheet, named: str | None) -> tuple[model.KB, FilledSheet]:
    """Return the kb with the limits and data of the machine that was named, else of the sheet's own, and the sheet with its facts.

    Raises
    ------
    InvalidInputError
        If there is no such machine sheet, or a fact of the survey contradicts it.
    """
    machine = named or filled.machine
    if not machine:
        return kb, filled
    sheet = load_sheet(kb, machine)
    problems = [
        Problem(
            code="S007",
            message=f"the survey says {fact}: {filled.facts[fact]}, the machine sheet '{sheet.id}' says {option}",
            expected="one of the two",
            mend="name the right machine sheet, or correct the fact",
        )
        for fact, option in sheet.facts.items()
        if filled.facts.get(fact, option) != option
    ]
    if problems:
        raise InvalidInputError(problems)
    return apply_sheet(kb, sheet), structs.replace(filled, machine=sheet.id, facts={**sheet.facts, **filled.facts})


def taken_on(filled: FilledSheet, hands: model.Hands) -> FilledSheet:
    """Return a sheet as it goes on in some hands: what a customer read before stays theirs, with a customer's give or take.

    Examples
    --------
    >>> phone = FilledSheet("x", {}, {"standpipe-height": "42 in"}, None, "homeowner")
    >>> on = taken_on(phone, "technician")
    >>> on.hands, on.by("standpipe-height"), on.by("hose-depth")
    ('technician', 'homeowner', 'technician')
    """
    if filled.hands == hands or hands == "homeowner":
        return filled
    return structs.replace(filled, hands=hands, told=tuple(filled.readings))


def written(filled: FilledSheet, name: str) -> str:
    """Return what a line of a sheet says, with the word that it was declined.

    Examples
    --------
    >>> sheet = FilledSheet("x", {}, {"standpipe-height": "31 in"}, None, "technician", (), ("standpipe-height", "gap-behind"))
    >>> written(sheet, "standpipe-height"), written(sheet, "gap-behind")
    ('31 in, declined', 'declined')
    """
    said = filled.readings.get(name, "")
    return ", ".join(t for t in (said, "declined" if name in filled.declined else "") if t)


def text_of(filled: FilledSheet) -> str:
    """Return a filled sheet as YAML that `sheet_of` reads back.

    Examples
    --------
    >>> print(text_of(FilledSheet("Alder Lane 4", {"drain": "tub"}, {"tub-rim-height": '39 1/2"'}, None, "technician")), end="")
    title: "Alder Lane 4"
    hands: technician
    facts:
      drain: "tub"
    readings:
      tub-rim-height: "39 1/2\\""
    """
    out = [f"title: {json.dumps(filled.title)}"]
    if filled.machine:
        out.append(f"machine: {json.dumps(filled.machine)}")
    out += [f"hands: {filled.hands}"]
    if filled.told:
        out.append(f"told: [{', '.join(filled.told)}]")
    lines = {
        n: written(filled, n) for n in [*filled.readings, *(n for n in filled.declined if n not in filled.readings)]
    }
    for name, values in (("facts", filled.facts), ("readings", lines)):
        if values:
            out += [f"{name}:", *(f"  {k}: {json.dumps(v)}" for k, v in values.items())]
    if filled.notes:
        out += ["notes:", *(f"  - {json.dumps(text)}" for text in filled.notes)]
    return "\n".join(out) + "\n"
