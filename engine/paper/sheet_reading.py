"""A survey sheet as it was filled in, read: what its lines say, and which of them were not understood."""

import json
import re
from typing import Any, get_args

from msgspec import structs

from .. import model
from ..answers.asides import low, says_nothing
from ..answers.penned import looked, option
from ..errors import InvalidInputError, Problem, nearest, one_of
from ..knowledge.strict_yaml import Node, Sheet
from ..language.sanitize import typed_line
from .filled_sheet import FilledSheet
from .penned_reading import measured
from .sheet_lines import NO_TEXT, by_lines
from .unread import Block, Unread

FIELDS = ("title", "machine", "hands", "stage", "told", "facts", "readings", "notes")
STAGES: tuple[model.Stage, ...] = get_args(model.Stage)
HANDS: dict[str, model.Hands] = {
    **dict.fromkeys(("homeowner", "owner", "customer", "caller", "tenant", "household"), "homeowner"),
    **dict.fromkeys(("technician", "tech", "installer", "fitter", "plumber", "electrician", "me", "us"), "technician"),
}


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
        If the file is broken as a whole, or nothing is filled in. A line that is not understood is no such mistake: it is in `unread`.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> from dryfloor.engine.knowledge.strict_yaml import parse
    >>> found = sheet_of(load_kb(), parse("readings: {taps-reachable: stiff, rocks-by-hand: maybe}", "sheet.yaml"))
    >>> found.readings, [(u.name, u.said) for u in found.unread]
    ({'taps-reachable': 'stuck'}, [('rocks-by-hand', 'maybe')])
    """
    if sheet.problems:
        sheet = by_lines(sheet, frozenset((*FIELDS, *kb.facts, *kb.checks)))
    root = sheet.root
    if root is None or any(p.code in NO_TEXT for p in sheet.problems):
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
    return _Reading(kb, sheet, root, hands).sheet(begun)


def fitted(kb: model.KB, machine: str | None) -> int | None:
    """Return how many restraints the sheet of a machine says were fitted."""
    sheet = kb.machines.get(machine or "")
    said = sheet.data.get("restraints", "") if sheet else kb.data.get("restraints", "")
    return int(said) if said.isdecimal() else None


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


class _Reading:
    """One sheet being read: what was understood, and in `unread` what was not."""

    def __init__(self, kb: model.KB, sheet: Sheet, root: Node, hands: model.Hands) -> None:
        self.kb, self.source, self.root, self.hands = kb, sheet, root, hands
        self.unread: list[Unread] = []
        self.read_as: dict[str, tuple[str, str]] = {}
        self.declined: list[str] = []
        self.rough: list[str] = []
        self.facts: dict[str, str] = {}
        self.readings: dict[str, str] = {}
        self.notes: list[str] = []
        self.site: dict[str, str] = {}  # the facts, with those of the machine's own sheet

    def sheet(self, begun: bool) -> FilledSheet:
        """Return the sheet; one with nothing on it is refused, unless it was only begun."""
        for p in self.source.problems:  # lines of a sheet that was read line by line
            named = re.search(r"'([\w-]+)'", p.message) if p.code == "Y006" else None
            row = self.source.rows[p.line - 1] if 0 < p.line <= len(self.source.rows) else ""
            name = named[1] if named else ""
            self._not(p, name or f"line {p.line}", row.strip(), "", name)
        title, machine = self._text("title"), self._text("machine")
        self._hands()
        stage = self._stage()
        self._fields()
        told = self._told()
        for name, at, said in self._lines("facts"):
            self._fact(name, at, said)
        own = self.kb.machines.get(machine or "")
        self.site = {**(own.facts if own else {}), **self.facts}
        for name, at, said in self._lines("readings"):
            self._line(name, at, said, fitted(self.kb, machine))
        notes = self._notes()
        if not self.readings and not self.declined and not begun and all(u.block != "readings" for u in self.unread):
            problem = self.source.placed(
                "S005",
                "no reading is filled in",
                self.root,
                expected="at least one line under readings: with a value",
                mend="fill in what was measured, such as standpipe-height: 42 in",
            )
            raise InvalidInputError([*(u.problem for u in self.unread), problem], more=self.source.more)
        return FilledSheet(
            title or "Survey",
            self.facts,
            self.readings,
            machine,
            self.hands,
            tuple(n for n in told if n in self.readings),
            tuple(self.declined),
            self.read_as,
            tuple(dict.fromkeys((*notes, *self.notes))),
            tuple(self.unread),
            tuple(self.rough),
            stage,
        )

    def _not(
        self,
        problem: Problem,
        name: str,
        said: str,
        block: Block = "",
        of: str = "",
        at: Node | tuple[int, int] | None = None,
    ) -> None:
        """Note a line that was not understood."""
        record: model.Check | model.Fact | None = self.kb.checks.get(of or name) or self.kb.facts.get(of or name)
        if at is not None:
            placed = self.source.placed(problem.code, problem.message, at)
            problem = structs.replace(placed, expected=problem.expected, nearest=problem.nearest, mend=problem.mend)
        self.unread.append(
            Unread(name=name, title=record.title if record else name, said=said, problem=problem, block=block)
        )

    def _unknown(
        self, code: str, what: str, name: str, said: str, at: Any, block: Block, expected: str, near: str, mend: str
    ) -> None:
        self._not(
            Problem(code=code, message=f"unknown {what} '{name}'", expected=expected, nearest=near, mend=mend),
            name, said, block, at=at,
        )  # fmt: skip

    def _fields(self) -> None:
        """Take the lines of a sheet that lost their indent, and note fields that a sheet does not have."""
        for key in [k for k in self.root.value if k not in FIELDS]:
            at, node = self.root.keys.get(key, (self.root.line, self.root.column)), self.root.value[key]
            block = "readings" if key in self.kb.checks else "facts" if key in self.kb.facts else ""
            if block and not isinstance(node.value, dict | list):
                own = self._block(block)
                if key not in own.value or own.value[key].value is None:
                    own.value[key], own.keys[key] = node, at
                continue
            self._unknown(
                "S002", "field", key, _shown(node), at, "", one_of(FIELDS),
                nearest(key, [*FIELDS, *self.kb.checks, *self.kb.facts]),
                "a reading belongs under readings:, a circumstance under facts:",
            )  # fmt: skip

    def _block(self, key: str) -> Node:
        """Return a block of the sheet as a mapping: of a list of lines, those lines."""
        node: Node | None = self.root.value.get(key)
        if node is None or node.value is None:
            node = self.root.value[key] = Node({}, self.root.line, self.root.column)
        if isinstance(node.value, list):
            lines = [x for x in node.value if isinstance(x.value, dict)]
            merged = Node({k: v for x in lines for k, v in x.value.items()}, node.line, node.column)
            merged.keys |= {k: v for x in lines for k, v in x.keys.items()}
            node = self.root.value[key] = merged
        if not isinstance(node.value, dict):
            self._unknown(
                "S002",
                "text",
                key,
                _shown(node),
                node,
                "",
                f"under {key}: a line for each",
                "",
                f"write {key}: alone, and each line below it",
            )
            node = self.root.value[key] = Node({}, node.line, node.column)
        return node

    def _lines(self, block: str) -> list[tuple[str, tuple[int, int], str]]:
        """Return the filled lines of a block: name, place and what stands there; an empty one was not measured."""
        out: list[tuple[str, tuple[int, int], str]] = []
        node = self._block(block)
        for name, line in node.value.items():
            at = node.keys.get(name, (node.line, node.column))
            said = _shown(line)
            if name.lower() == "declined" and not said and out:
                # In a braced list a comma cuts it off the line that it belongs to.
                out[-1] = (*out[-1][:2], f"{out[-1][2]}, declined")
            elif said:
                out.append((name, at, said))
        return out

    def _text(self, key: str) -> str | None:
        node = self.root.value.get(key)
        return (typed_line(_shown(node)) or None) if node is not None else None

    def _hands(self) -> None:
        said = self._text("hands")
        if said is None:
            return
        found = HANDS.get(low(said))
        if found:
            self.hands = found
        else:
            self._not(
                Problem(
                    code="S004", message=f"unknown hands '{said}'", expected="homeowner, technician",
                    nearest=nearest(said, ["homeowner", "technician"]), mend=f"say who measured; read as a {self.hands}'s until then",
                ), "hands", said, at=self.root.value["hands"],
            )  # fmt: skip

    def _stage(self) -> model.Stage | None:
        said = self._text("stage")
        found = next((s for s in STAGES if said and low(said).replace(" ", "-") == s), None)
        if said and not found:
            self._unknown(
                "S009",
                "stage",
                said,
                said,
                self.root.value["stage"],
                "",
                ", ".join(STAGES),
                nearest(said, STAGES),
                "leave it empty where all is done",
            )
        return found

    def _told(self) -> list[str]:
        """Return what a customer read: names, or what was said where whoever is there has not filled the line in yet."""
        node = self.root.value.get("told")
        if node is None or node.value is None:
            return []
        if isinstance(node.value, dict):
            own = self._block("readings")
            given = [k for k, v in own.value.items() if v.value is not None]
            left = [k for k, v in node.value.items() if v.value is not None and k not in given]
            own.value |= {k: node.value[k] for k in left}
            own.keys |= {k: node.keys.get(k, (node.line, node.column)) for k in left}
            return left
        names = [_shown(x) for x in node.value] if isinstance(node.value, list) else _shown(node).split(",")
        out = []
        for name in (n.strip() for n in names):
            if name in self.kb.checks:
                out.append(name)
            elif name:
                self._unknown(
                    "S003", "reading", name, "told", node, "", "under told: the readings that the customer made", nearest(name, self.kb.checks),
                    "correct the line's name",
                )  # fmt: skip
        return out

    def _notes(self) -> list[str]:
        node = self.root.value.get("notes")
        if node is None or node.value is None:
            return []
        texts = [_shown(x) for x in node.value] if isinstance(node.value, list) else [_shown(node)]
        return [t for t in map(typed_line, texts) if t]

    def _fact(self, name: str, at: tuple[int, int], said: str) -> None:
        fact = self.kb.facts.get(name)
        if fact is None:
            self._unknown(
                "C012", "fact", name, said, at, "facts", one_of(self.kb.facts), nearest(name, self.kb.facts),
                "use the id of a fact; dryfloor survey --blank lists them",
            )  # fmt: skip
            return
        found, problem = option(fact, said)
        if found:
            self.facts[name] = found
            if found != said:
                self.read_as[name] = (said, fact.options[found].says)
        elif says_nothing(said):
            self.read_as[name] = (said, LEFT_EMPTY)
        elif problem:
            self._not(problem, name, said, "facts", at=at)

    def _line(self, name: str, at: tuple[int, int], written: str, fitted: int | None) -> None:
        said, declined = declines(written)
        check = self.kb.checks.get(name)
        if check is None:
            known = {c: c for c in self.kb.checks} | {
                c.rule: c.id for c in self.kb.checks.values() if c.rule and c.kind == "measure"
            }
            near = nearest(name, known)
            self._unknown(
                "S003", "reading", name, written, at, "readings", "the id of a check; dryfloor survey --blank lists them",
                known[near] if near else "", "correct the line's name",
            )  # fmt: skip
            return
        if said:
            self._said(check, at, said, written, fitted)
        # Of a line that was not understood nobody knows what was declined.
        if declined and not any(u.name == name for u in self.unread):
            self.declined.append(name)

    def _said(self, check: model.Check, at: tuple[int, int], said: str, written: str, fitted: int | None) -> None:
        name = check.id
        if self.hands == "homeowner" and any(self.hands in self.kb.hazards[h].never for h in check.hazards):
            self._not(
                Problem(
                    code="S006", message=f"'{name}' is no line for a homeowner's hands", expected="a reading by a qualified person",
                    mend="leave it empty; where a qualified person measured, write hands: technician",
                ), name, written, "readings", at=at,
            )  # fmt: skip
            return
        if check.kind == "measure":
            self._measured(check, at, said, written)
            return
        read, problem = looked(check, said, fitted)
        if read:
            self.readings[name] = read.answer
            if read.answer != said:
                self.read_as[name] = (said, check.answers[read.answer].says)
            self._remark(check, said, read.remark)
        elif says_nothing(said):
            self.read_as[name] = (said, LEFT_EMPTY)
        elif problem:
            self._not(problem, name, written, "readings", at=at)

    def _measured(self, check: model.Check, at: tuple[int, int], said: str, written: str) -> None:
        if says_nothing(said):
            self.read_as[check.id] = (said, LEFT_EMPTY)
            return
        found = measured(self.kb, check, said, self.site)
        if isinstance(found, Problem):
            self._not(found, check.id, written, "readings", at=at)
            return
        self.readings[check.id] = found.value
        if found.rough:
            self.rough.append(check.id)
        if found.value != said:
            self.read_as[check.id] = (said, f"{found.value}, more or less" if found.rough else found.value)
        self._remark(check, said, found.remark)

    def _remark(self, check: model.Check, said: str, remark: str) -> None:
        if remark:
            self.notes.append(typed_line(f"{check.title}: {said}"))


LEFT_EMPTY = "not seen"


def _shown(node: Node) -> str:
    """Return what stands at a node as a text: a count or a voltage is written without quotes."""
    value = node.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    return value.strip() if isinstance(value, str) else json.dumps(node.data(), ensure_ascii=False)
