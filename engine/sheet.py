"""Survey sheets: a filled one read and checked, a blank one to fill in, in the order of a walk round the machine."""

import json
import textwrap

from msgspec import Struct, structs

from . import model, views
from .advice import Card, Step
from .answers import answer_problems, fact_problems
from .cards import check_card, fact_card, limit_text, whose_short
from .case import State
from .evidence import holds
from .machine import apply_sheet, load_sheet
from .problems import Problem, Refused, nearest, one_of
from .records import BAD, convert
from .yamlio import Node, Sheet

# The walk round the machine: its feet, behind it the drain and its hose, taps and hoses, the fill, the outlet, the room, then use.
AREAS = (
    "stand", "noise", "drain", "no_drain", "supply", "fill", "power", "no_power", "live", "lights", "cold", "use",
    "first_run", "spin_wet", "suds_or_smell",
)  # fmt: skip
TITLES = {
    "stand": "What it stands on",
    "drain": "Drain",
    "no_drain": "Drain hose and pump",
    "supply": "Taps and hoses",
    "fill": "Filling",
    "power": "Outlet and circuit",
    "cold": "Cold",
    "use": "Room and hot water",
    "noise": "Noise",
    "no_power": "Power",
    "live": "Live readings",
    "lights": "Lights and display",
    "first_run": "First run",
    "spin_wet": "Spin",
    "suds_or_smell": "Suds and smell",
}
FIELDS = ("title", "machine", "hands", "facts", "readings")
# Habits of a household: a survey judges them where they are given, but its sheet does not ask them of an installer.
HABITS = ("spin_wet", "suds_or_smell")
# Facts of a history, which a finished installation does not have yet.
HISTORY = ("onset", "rhythm")
WIDTH = 79  # of a blank sheet, where nobody says [characters]


class Filled(Struct, frozen=True):
    """A survey sheet as it was read."""

    title: str
    facts: dict[str, str]
    readings: dict[str, str]
    machine: str | None
    hands: model.Hands


def area_of(kb: model.KB, kind: str, name: str) -> str:
    """Return the area of a rule or a check: the file that it stands in."""
    return kb.places.get(f"{kind}/{name}", "").rpartition(":")[0].rpartition("/")[2].removesuffix(".yaml")


def area_rank(area: str) -> int:
    """Return where an area comes in the walk round the machine."""
    return AREAS.index(area) if area in AREAS else len(AREAS)


def area_title(area: str) -> str:
    """Return an area's name for people."""
    return TITLES.get(area, area.replace("_", " ").capitalize())


def measurers(kb: model.KB) -> dict[str, list[model.Check]]:
    """Return the checks tied to each rule, proofs left out."""
    out: dict[str, list[model.Check]] = {}
    for check in kb.checks.values():
        if check.rule and not check.only_proof:
            out.setdefault(check.rule, []).append(check)
    return out


def asked_facts(kb: model.KB) -> list[model.Fact]:
    """Return the facts of a site that a survey asks: what was tried before, and a complaint's history, are not among them."""
    return [f for f in kb.facts.values() if not f.id.startswith("tried-") and f.id not in HISTORY]


def sheet_of(kb: model.KB, sheet: Sheet, hands: model.Hands = "technician") -> Filled:
    """Return the filled sheet of a parsed file.

    Parameters
    ----------
    kb : KB
    sheet : Sheet
    hands : str
        Who measured, where the sheet does not say.

    Raises
    ------
    Refused
        With every problem: unknown lines (nearest named), readings that can't be used, a sheet with nothing on it.
    """
    root = sheet.root
    if sheet.problems or root is None:
        empty = "print an empty sheet with dryfloor survey --blank, and fill it in"
        raise Refused(structs.replace(p, mend=empty, expected="facts: and readings:") if p.code == "Y010" else p for p in sheet.problems)
    if not isinstance(root.value, dict):
        sheet.problem(
            "S001",
            "a survey sheet is a mapping",
            root,
            expected="facts: and readings:",
            mend="start from dryfloor survey --blank",
        )
        raise Refused(sheet.problems)
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
    facts = _facts(kb, sheet, root)
    readings = _readings(kb, sheet, root, hands)
    if not sheet.problems and not readings:
        sheet.problem(
            "S005",
            "no reading is filled in",
            root,
            expected="at least one line under readings: with a value",
            mend="fill in what was measured, such as standpipe-height: 42 in",
        )
    if sheet.problems:
        raise Refused(sheet.problems)
    return Filled(title or "Survey", facts, readings, machine, hands)


def _facts(kb: model.KB, sheet: Sheet, root: Node) -> dict[str, str]:
    facts = _texts(sheet, root, "facts")
    for name, option in facts.items():
        for p in fact_problems(kb, name, option):
            mend = "write one of these behind the colon" if name in kb.facts else "use the id of a fact; dryfloor survey --blank lists them"
            sheet.problem(p.code, p.message, _at(root, "facts", name), expected=p.expected, nearest=p.nearest, mend=mend)
    return facts


def _readings(kb: model.KB, sheet: Sheet, root: Node, hands: str) -> dict[str, str]:
    readings = _texts(sheet, root, "readings")
    for name, said in readings.items():
        at = _at(root, "readings", name)
        check = kb.checks.get(name)
        if check is None:
            known = {c: c for c in kb.checks} | {c.rule: c.id for c in kb.checks.values() if c.rule and c.kind == "measure"}
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
        measure = check.kind == "measure"
        for p in answer_problems(kb, name, None if measure else said, said if measure else None):
            mend = p.mend if measure else "write one of these behind the colon, or leave the line empty"
            sheet.problem(p.code, p.message, at, expected=p.expected, nearest=p.nearest, mend=mend)
    return readings


def _texts(sheet: Sheet, root: Node, key: str) -> dict[str, str]:
    node = root.value.get(key)
    if node is None or node.value is None:
        return {}
    if isinstance(node.value, dict):
        # An empty line of a sheet is a line that was not measured.
        node.value = {k: v for k, v in node.value.items() if v.value is not None}
    value = convert(sheet, node, dict[str, str], key)
    return {} if value is BAD else {k: v for k, v in value.items() if v.strip()}


def _text(sheet: Sheet, root: Node, key: str) -> str | None:
    node = root.value.get(key)
    value = convert(sheet, node, str, key) if node is not None and node.value is not None else None
    return None if value is BAD or not value else str(value)


def _at(root: Node, key: str, name: str) -> tuple[int, int]:
    place: tuple[int, int] = root.value[key].keys.get(name, (root.line, root.column))
    return place


def with_machine(kb: model.KB, filled: Filled, named: str | None) -> tuple[model.KB, Filled]:
    """Return the kb with the limits and data of the machine that was named, else of the sheet's own, and the sheet with its facts.

    Raises
    ------
    Refused
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
        raise Refused(problems)
    return apply_sheet(kb, sheet), structs.replace(filled, machine=sheet.id, facts={**sheet.facts, **filled.facts})


def blank_lines(kb: model.KB, hands: str, facts: dict[str, str]) -> list[model.Check]:
    """Return the checks of a blank sheet, in the order of a walk round the machine, those that these hands may do.

    A look or a measurement serves its rule best; a trial or a question stands in only where a rule has neither.
    """
    ties = measurers(kb)
    chosen = []
    for name, checks in ties.items():
        if area_of(kb, "rules", name) in HABITS:
            continue
        may = [c for c in checks if views.permitted(kb, c, hands) and holds(c.when, facts) and holds(_rule(kb, c).when, facts)]
        best = [c for c in may if c.kind in ("look", "measure")] or [c for c in may if c.kind == "try"] or may
        chosen += best if best and best[0].kind in ("look", "measure") else best[:1]
    return sorted(chosen, key=lambda c: (area_rank(area_of(kb, "rules", c.rule or "")), KINDS[c.kind], c.id))


KINDS = {"look": 0, "try": 1, "ask": 2, "measure": 3}


def _rule(kb: model.KB, check: model.Check) -> model.Rule:
    return kb.rules[check.rule or ""]


def datum(kb: model.KB, check: model.Check, role: str, hands: str) -> str:
    """Return what a line asks for: the rule's own datum where the check reads just that, else the check's own question."""
    rule = _rule(kb, check)
    reads = [c for c in measurers(kb)[rule.id] if c.kind == "measure"]
    if check.kind == "measure" and reads == [check]:
        return rule.of
    return views.voice(check.ask, role, hands)


def care(kb: model.KB, check: model.Check) -> str:
    """Return the hazards met at a check, each with its signal word, or an empty text."""
    return "; ".join(f"{kb.hazards[h].signal} {kb.hazards[h].title.lower()}" for h in check.hazards)


def _comment(text: str, width: int, hanging: str = "    ", indent: str = "  # ") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=indent + hanging, break_on_hyphens=False)


HEAD = (
    "Survey sheet, in the order of a walk round the machine. Leave a line empty where nothing was measured or seen.",
    'Write values with their unit: 39 1/2 in, 100 cm, 2/3 turn, 120 F, 55 psi. Put quotes round a value that holds a " or a #.',
    "Local code and the machine's manual both bind, the stricter one first; common practice fills the gaps.",
    "Stop where it is not safe: water near electricity, gas, live parts. Those are for a licensed trade.",
)


def blank(kb: model.KB, hands: model.Hands = "technician", facts: dict[str, str] | None = None, machine: str = "", width: int = WIDTH) -> str:
    """Return a survey sheet to fill in, as YAML: beside each line what to read, from where, its limit, tool and care.

    Parameters
    ----------
    kb : KB
        With a machine sheet applied where there is one.
    hands : str
    facts : dict, optional
        What is known of the site; lines that it rules out are left away.
    machine : str
        Name of the machine sheet, written into the sheet.
    width : int
        Longest line; a name with its value is never broken [characters].

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> "standpipe-height:" in blank(load_kb())
    True
    """
    facts = facts or {}
    out = [line for text in HEAD for line in _comment(text, width, "", "# ")]
    out += [
        "title:",
        f"machine: {machine}".rstrip() + ("" if machine else " # a machine sheet, or nothing"),
        f"hands: {hands}",
        "facts:",
    ]
    for fact in asked_facts(kb):
        if holds(fact.when, facts):
            line = f"  {fact.id}: {facts.get(fact.id, '')}".rstrip()
            beside = line.ljust(20) + " # " + " | ".join(fact.options)
            out += [beside] if len(beside) <= width else [*_comment(" | ".join(fact.options), width, ""), line]
    out.append("readings:")
    area = None
    for check in blank_lines(kb, hands, facts):
        here = area_of(kb, "rules", check.rule or "")
        if here != area:
            area = here
            out += ["", f"  # --- {area_title(here)} ---"]
        out += [*_line(kb, check, hands, width), f"  {check.id}:"]
    return "\n".join(out) + "\n"


def _line(kb: model.KB, check: model.Check, hands: model.Hands, width: int) -> list[str]:
    rule = _rule(kb, check)
    tools = ", ".join(check.tools) or "no tool"
    out = _comment(f"{check.title}: {datum(kb, check, hands, hands)}", width)
    if check.kind == "measure":
        out += _comment(f"    {limit_text(rule)} ({whose_short(rule)}); {tools}", width)
    else:
        out += _comment("    " + " | ".join(f"{a} = {x.says}" for a, x in check.answers.items()) + f"; {tools}", width)
    note = care(kb, check)
    return out + (_comment(f"    {note}", width) if note else [])


def text_of(filled: Filled) -> str:
    """Return a filled sheet as YAML that `sheet_of` reads back.

    Examples
    --------
    >>> print(text_of(Filled("Alder Lane 4", {"drain": "tub"}, {"tub-rim-height": '39 1/2"'}, None, "technician")), end="")
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
    for name, values in (("facts", filled.facts), ("readings", filled.readings)):
        if values:
            out += [f"{name}:", *(f"  {k}: {json.dumps(v)}" for k, v in values.items())]
    return "\n".join(out) + "\n"


def line_card(kb: model.KB, name: str, role: model.Role, hands: model.Hands, facts: dict[str, str]) -> Card:
    """Return the card of one line of a survey by asking: a fact or a check.

    Parameters
    ----------
    kb : KB
    name : str
        A fact or a check of the kb.
    role, hands : str
        Who asks, and whose hands are at the machine.
    facts : dict
        What is known of the site.
    """
    fact = name in kb.facts and name not in kb.checks
    record: model.Fact | model.Check = kb.facts[name] if fact else kb.checks[name]
    minutes = views.minutes_of(record.minutes, hands) or 1.0
    step = Step(kind="fact" if fact else "check", id=name, title=record.title, why="", minutes=minutes, cost=minutes)
    state = State(role=role, hands=hands, facts=tuple(facts.items()))
    return fact_card(kb, state, step) if fact else check_card(kb, state, step)
