"""The survey of a whole installation: a sheet of readings and looks -> every rule's verdict, and what a break would lead to."""

from typing import Literal

import msgspec
from msgspec import Struct

from . import findings, graph, model, quantity, views
from .advice import Belief, Measured
from .belief import Finding, infer
from .cards import limit_text, source_text, whose
from .case import Answered, State
from .casefile import answer_problems, fact_problems
from .evidence import Net, Reading, held_against, holds, priors, reading
from .problems import Refused, nearest, one_of
from .records import BAD, convert
from .thought import DIGITS, Thought, net_of
from .yamlio import Node, Sheet

Verdict = Literal["within", "too-close", "broken", "not-measured", "not-applicable"]
# The order in which a person walks round: what it stands on, behind it the drain, the taps, the outlet, then cold and use.
AREAS = ("stand", "drain", "supply", "power", "cold", "use", "no_drain")
FIELDS = ("title", "facts", "readings", "machine", "hands")


class Leads(Struct, frozen=True, kw_only=True):
    """A complaint that a broken rule leads to, with its chance once it is broken [prob]."""

    complaint: str
    p: float


class Line(Struct, frozen=True, kw_only=True):
    """One rule in a survey."""

    rule: str
    title: str
    area: str
    verdict: Verdict
    side: str | None
    said: str
    text: str
    limits: str
    whose: str
    source: str
    authority: str
    conformity: float | None
    measured: Measured | None
    leads_to: list[Leads]
    beside: bool


class Survey(Struct, frozen=True, kw_only=True):
    """A surveyed installation: every rule, broken ones first within their area, and the causes that the readings raise."""

    title: str
    machine: str | None
    lines: list[Line]
    beliefs: list[Belief]
    counts: dict[str, int]


class Filled(Struct, frozen=True):
    """A survey sheet as it was read."""

    title: str
    facts: dict[str, str]
    readings: dict[str, str]
    machine: str | None
    hands: model.Hands


def sheet_of(kb: model.KB, sheet: Sheet) -> Filled:
    """Return the filled sheet of a parsed file.

    Parameters
    ----------
    kb : KB
    sheet : Sheet

    Raises
    ------
    Refused
        With every problem: unknown lines (nearest named), readings that can't be used.
    """
    root = sheet.root
    if sheet.problems or root is None:
        raise Refused(sheet.problems)
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
            sheet.problem(
                "S002",
                f"unknown field '{key}'",
                root.keys[key],
                expected=one_of(FIELDS),
                nearest=nearest(key, FIELDS),
                mend="a reading belongs under readings:, a circumstance under facts:",
            )
    facts = _texts(sheet, root, "facts")
    readings = {k: v for k, v in _texts(sheet, root, "readings").items() if v.strip()}
    for name, option in facts.items():
        for p in fact_problems(kb, name, option):
            sheet.problem(
                p.code, p.message, _at(root, "facts", name), expected=p.expected, nearest=p.nearest, mend=p.mend
            )
    for name, said in readings.items():
        at = _at(root, "readings", name)
        if name not in kb.checks:
            sheet.problem(
                "S003",
                f"unknown reading '{name}'",
                at,
                expected=one_of(kb.checks),
                nearest=nearest(name, kb.checks),
                mend="use the id of a check in the kb",
            )
            continue
        measure = kb.checks[name].kind == "measure"
        for p in answer_problems(kb, name, None if measure else said, said if measure else None):
            sheet.problem(p.code, p.message, at, expected=p.expected, nearest=p.nearest, mend=p.mend)
    title, machine, hands = (_text(sheet, root, k) for k in ("title", "machine", "hands"))
    if hands not in (None, "homeowner", "technician"):
        sheet.problem(
            "S004",
            f"unknown hands '{hands}'",
            root.value["hands"],
            expected="homeowner, technician",
            mend="say who measured",
        )
    if sheet.problems:
        raise Refused(sheet.problems)
    return Filled(title or "Survey", facts, readings, machine, "homeowner" if hands == "homeowner" else "technician")


def _texts(sheet: Sheet, root: Node, key: str) -> dict[str, str]:
    node = root.value.get(key)
    if node is None or node.value is None:
        return {}
    if isinstance(node.value, dict):
        # A blank line of a printed sheet is a line that was not measured.
        node.value = {k: v for k, v in node.value.items() if v.value is not None}
    value = convert(sheet, node, dict[str, str], key)
    return {} if value is BAD else value


def _text(sheet: Sheet, root: Node, key: str) -> str | None:
    node = root.value.get(key)
    value = convert(sheet, node, str, key) if node is not None and node.value is not None else None
    return None if value is BAD else value


def _at(root: Node, key: str, name: str) -> tuple[int, int]:
    place: tuple[int, int] = root.value[key].keys.get(name, (root.line, root.column))
    return place


def area_of(kb: model.KB, kind: str, name: str) -> str:
    """Return the area of a rule or a check: the file that it stands in."""
    return kb.places.get(f"{kind}/{name}", "").rpartition(":")[0].rpartition("/")[2].removesuffix(".yaml")


def measurers(kb: model.KB) -> dict[str, list[model.Check]]:
    """Return the checks tied to each rule."""
    out: dict[str, list[model.Check]] = {}
    for check in kb.checks.values():
        if check.rule and not check.only_proof:
            out.setdefault(check.rule, []).append(check)
    return out


def survey(kb: model.KB, filled: Filled) -> Survey:
    """Return the verdict on every rule of the kb.

    Parameters
    ----------
    kb : KB
        With the machine's own limits applied.
    filled : Filled

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> done = survey(load_kb(), Filled("s", {"drain": "standpipe"}, {"standpipe-height": "31 in"}, None, "technician"))
    >>> [line.rule for line in done.lines if line.verdict == "broken" and not line.beside]
    ['standpipe-height']
    """
    net = net_of(kb)
    ties = measurers(kb)
    read = {n: reading(kb, n, s, filled.hands) for n, s in filled.readings.items() if kb.checks[n].kind == "measure"}
    lines = [_line(net, filled, rule, ties.get(rule.id, []), read) for rule in kb.rules.values()]
    lines.sort(key=lambda x: (_area_rank(x.area), ORDER[x.verdict], x.rule))
    answers = tuple(Answered(n, s, filled.hands, 0) for n, s in filled.readings.items())
    thought = Thought(
        net, State(role="technician", hands=filled.hands, facts=tuple(filled.facts.items()), answers=answers)
    )
    # Practices that differ stand beside each other; a reading can't keep them all, so only the one it was measured for counts.
    counted = [x for x in lines if not (x.beside and x.authority == "practice")]
    counts: dict[str, int] = {v: sum(x.verdict == v for x in counted) for v in ORDER}
    return Survey(
        title=filled.title,
        machine=filled.machine,
        lines=lines,
        counts=counts,
        beliefs=[b for b in thought.beliefs if b.present >= 0.05],
    )


ORDER: dict[Verdict, int] = {"broken": 0, "too-close": 1, "within": 2, "not-measured": 3, "not-applicable": 4}


def _area_rank(area: str) -> int:
    return AREAS.index(area) if area in AREAS else len(AREAS)


def _line(net: Net, filled: Filled, rule: model.Rule, checks: list[model.Check], read: dict[str, Reading]) -> Line:
    kb = net.kb
    said, side, conformity, text = "", None, None, ""
    measured: Measured | None = None
    verdict: Verdict = "not-measured"
    beside = _beside(kb, rule, read)
    used_beside = False
    if not holds(rule.when, filled.facts):
        verdict = "not-applicable"
    else:
        if beside and not any(c.id in filled.readings for c in checks):
            measured, condition = beside
            used_beside = True
            verdict, conformity = measured.verdict, measured.conformity  # type: ignore[assignment]
            side = measured.side if verdict == "broken" else None
            said, text = measured.said, f"{measured.text}, if {condition}"
        for check in checks:
            if check.id not in filled.readings:
                continue
            if check.id in read:
                measured = findings.measured(kb, read[check.id])
                verdict, side = (
                    read[check.id].verdict.state,
                    read[check.id].verdict.side if read[check.id].verdict.state == "broken" else None,
                )
                said, conformity, text = measured.said, measured.conformity, measured.text
                break
            answer = filled.readings[check.id]
            normal = answer == list(check.answers)[-1]
            if verdict in ("not-measured", "within"):
                verdict = "within" if normal else "broken"
                said = check.answers[answer].says
                text = said if normal else (rule.broken or said)
    return Line(
        rule=rule.id,
        title=rule.title,
        area=area_of(kb, "rules", rule.id),
        verdict=verdict,
        side=side,
        said=said,
        text=text,
        limits=limit_text(rule),
        whose=whose(rule),
        source=source_text(kb, rule),
        authority=rule.authority,
        conformity=conformity,
        measured=measured,
        beside=used_beside,
        leads_to=leads_to(net, rule, side, filled) if verdict in ("broken", "too-close") else [],
    )


def _beside(kb: model.KB, rule: model.Rule, read: dict[str, Reading]) -> tuple[Measured, str] | None:
    """Return a neighbour's reading held against this rule, and the condition under which one reading serves both."""
    for r in read.values():
        for neighbour in kb.rules[r.rule].neighbours:
            if neighbour.rule == rule.id and neighbour.same_reading_if and rule.measures == kb.rules[r.rule].measures:
                return findings.measured(kb, held_against(kb, r, rule)), neighbour.same_reading_if
    return None


def leads_to(net: Net, rule: model.Rule, side: str | None, filled: Filled) -> list[Leads]:
    """Return the complaints that a broken rule leads to, each with its chance given the break, likeliest first.

    Notes
    -----
    P(complaint | broken) = P(complaint and broken) / P(broken), both exact; the rule is broken because a cause that breaks it is
    present or for a reason of its own.
    """
    kb = net.kb
    breakers = sorted(
        c.id
        for c in kb.causes.values()
        if c.breaks and c.breaks.rule == rule.id and c.breaks.side == side and holds(c.when, filled.facts)
    )
    if not breakers:
        return []
    facts, prior = priors(net, breakers, filled.facts)
    index = {c: i for i, c in enumerate(breakers)}
    if side:
        node = graph.side_node(rule.id, side)
        broken = Finding(net.leak[node], {index[c]: s for c, s in net.shown[node].items() if c in index}, 1.0, 0.0)
    else:
        broken = Finding(1e-3, dict.fromkeys(index.values(), kb.scales.breaks_strength.n), 1.0, 0.0)
    base = infer(prior, facts.share, [broken]).evidence
    out = []
    for complaint in kb.complaints:
        node = f"complaint:{complaint}"
        links = {index[c]: s for c, s in net.shown[node].items() if c in index}
        if links:
            p = (
                infer(prior, facts.share, [broken, Finding(net.leak[node], links, 1.0, 0.0, complaint=True)]).evidence
                / base
            )
            out.append(Leads(complaint=complaint, p=round(p, DIGITS)))
    return sorted(out, key=lambda x: (-x.p, x.complaint))


def blank_lines(kb: model.KB, hands: str, facts: dict[str, str]) -> list[model.Check]:
    """Return the checks of a blank sheet, in the order of a walk round the machine, those that these hands may do."""
    chosen = [
        c
        for c in kb.checks.values()
        if c.rule
        and not c.only_proof
        and c.kind in ("measure", "look")
        and views.permitted(kb, c, hands)
        and holds(c.when, facts)
    ]
    return sorted(chosen, key=lambda c: (_area_rank(area_of(kb, "checks", c.id)), c.kind != "look", c.id))


def blank(kb: model.KB, hands: str = "technician", facts: dict[str, str] | None = None) -> str:
    """Return a survey sheet to fill in, as YAML with tool, datum and limits beside each line.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> "standpipe-height:" in blank(load_kb())
    True
    """
    facts = facts or {}
    out = [
        "# Survey sheet. Fill in what applies; leave a line empty where it was not measured.",
        "title: ",
        f"hands: {hands}",
        "facts:",
    ]
    for fact in kb.facts.values():
        if not fact.id.startswith("tried-") and fact.id not in ("onset", "rhythm"):
            out.append(f"  {fact.id}: {facts.get(fact.id, '')}".ljust(28) + "# " + " | ".join(fact.options))
    out.append("readings:")
    area = None
    for check in blank_lines(kb, hands, facts):
        here = area_of(kb, "checks", check.id)
        if here != area:
            area = here
            out.append(f"  # {here.replace('_', ' ')}")
        rule = kb.rules[check.rule or ""]
        tools = ", ".join(check.tools) or "no tool"
        if check.kind == "measure":
            out.append(f"  # {rule.of}: {limit_text(rule)}. Tool: {tools}")
        else:
            out.append(f"  # {rule.of}. {' | '.join(check.answers)}")
        out.append(f"  {check.id}:")
    return "\n".join(out) + "\n"


def to_builtins(done: Survey) -> object:
    """Return a survey as plain data for the envelope."""
    return msgspec.to_builtins(done)


def show_value(rule: model.Rule, value: float) -> str:
    """Return a value in a rule's trade and SI units."""
    return quantity.show(value, rule.measures)
