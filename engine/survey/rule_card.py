"""The card of a rule: limits, datum, whose it is, sources with grades, how to measure, what breaks it and what follows."""

from msgspec import Struct

from .. import model
from ..advising.wording import GRADES, both_limits, in_100, limit_text, whose
from ..diagnosis.derived import behind
from ..diagnosis.network import network_of
from ..knowledge import graph
from ..knowledge.machine_sheet import own_rule
from ..measurement import formatting
from ..measurement.readings import half_width
from .areas import area_of, area_rank, measurers
from .consequences import leads_to

LED = 4  # complaints named on a card


class RuleLine(Struct, frozen=True, kw_only=True):
    """A rule in the list."""

    rule: str
    title: str
    limits: str
    authority: str


class RuleCard(Struct, frozen=True, kw_only=True):
    """A rule's card."""

    rule: str
    title: str
    area: str
    of: str
    limits: str
    whose: str
    authority: str
    breaks: dict[str, str]
    applies: list[str]
    measure: list[str]
    neighbours: list[str]
    causes: list[str]
    leads_to: dict[str, list[str]]
    sources: list[str]
    practice: list[str]
    working: list[str]
    derived: bool
    instead: list[str]
    danger: str


def by_area(kb: model.KB) -> dict[str, list[RuleLine]]:
    """Return all rules by area, in the order of a walk round the machine.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> next(iter(by_area(load_kb())))
    'stand'
    """
    areas = sorted({area_of(kb, "rules", r) for r in kb.rules}, key=lambda a: (area_rank(a), a))
    return {
        area: [
            RuleLine(rule=r.id, title=r.title, limits=limit_text(r), authority=r.edition or r.authority)
            for r in kb.rules.values()
            if area_of(kb, "rules", r.id) == area
        ]
        for area in areas
    }


def danger_text(kb: model.KB, rule: model.Rule) -> str:
    """Return what a break can do by itself, from where on, and whether the machine is run with it; an empty text where it hurts nobody.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> danger_text(kb, kb.rules["drain-air-break"])
    'It can flood the house. Not run before it is mended.'
    """
    danger = rule.danger
    if danger is None:
        return f"may be run until it is mended: {rule.why_no_danger}" if rule.why_no_danger else ""
    hazard = kb.hazards[danger.hazard]
    ends = [f"{text} or {way}" for text, way in ((danger.below, "below"), (danger.above, "above")) if text]
    if danger.output:
        ends.append(f"{danger.output} of {danger.at_least:g} or more as the working gives it")
    at = f"At {', or '.join(ends)}: " if ends else ""
    run = "" if danger.may_run else " Not run before it is mended."
    because = f" Why: {danger.because}." if danger.because else ""
    return f"{at}{hazard.danger or hazard.says}{run}{because}"


def rule_card(kb: model.KB, rule_id: str) -> RuleCard:
    """Return the card of one rule.

    Parameters
    ----------
    kb : KB
    rule_id : str
        A rule of the kb.
    """
    rule = kb.rules[rule_id]
    breaks = {
        side: text for side, text in (("below", rule.below), ("above", rule.above), ("broken", rule.broken)) if text
    }
    own = own_rule(kb, rule)
    limits, whom = both_limits(kb, rule, own) if own else (limit_text(rule), whose(rule, kb.limits.get(rule.id)))
    return RuleCard(
        rule=rule.id,
        title=rule.title,
        area=area_of(kb, "rules", rule.id),
        of=rule.of,
        limits=limits,
        whose=whom,
        authority=rule.authority,
        breaks=breaks,
        applies=_applies(kb, rule),
        measure=_measure(kb, rule),
        neighbours=_neighbours(kb, rule),
        leads_to=_leads(kb, rule),
        causes=[
            f"{c.title} ({c.breaks.side})" if c.breaks.side else c.title
            for c in kb.causes.values()
            if c.breaks and c.breaks.rule == rule_id
        ],
        sources=[_cite(kb, c) for c in rule.sources],
        practice=[f"{p} of the common-practice list; no published source" for p in rule.practice_ids],
        working=_working(kb, rule),
        derived=bool(rule.model and rule.model.gives),
        instead=[
            f"'{other.title}' judges a finished installation where {'; '.join(_applies(kb, other))}"
            for other in kb.rules.values()
            if rule.id in other.replaces
        ],
        danger=danger_text(kb, rule),
    )


def _leads(kb: model.KB, rule: model.Rule) -> dict[str, list[str]]:
    """Return what a break leads to, by side: complaints with their chance where that side is broken."""
    network = network_of(kb)
    out = {}
    for side in [None] if rule.measures == "state" else graph.sides(rule):
        found = leads_to(network, rule, side, {})
        if found:
            out[side or "broken"] = [f"{kb.complaints[x.complaint].title.lower()} {in_100(x.p)}" for x in found[:LED]]
    return out


def _working(kb: model.KB, rule: model.Rule) -> list[str]:
    """Return the physics behind a rule: what works its value out, and the calculators that bear on it with their usual values."""
    from ..calculators.calculator import all_calculators, work

    out = []
    if rule.model:
        takes = (
            "; ".join(f"{n.replace('_', ' ')}: {_taken(kb, t)}" for n, t in rule.model.takes.items())
            or "its usual values"
        )
        out.append(
            f"worked out by {rule.model.working} from {takes}"
            if rule.model.gives
            else f"a break is weighed by {rule.model.working} with {takes}"
        )
        for other, side in rule.model.instead_of.items():
            silent = "a break of it says nothing" if other in rule.model.kept_counts else "says nothing"
            out.append(
                f"once it is worked out, {kb.rules[other].title.lower()} on the {side} side {silent}: that is a stand-in for it"
            )
    bears = [w for w in all_calculators().values() if rule.id in w.rules]
    if bears and not (rule.model and rule.model.gives):
        out.append(_read(kb, rule))
    for w in bears:
        out.append(f"{w.title}: dryfloor reckon {w.name}")
        said = behind(kb, rule, {}) if rule.model and rule.model.working == w.name else []
        if said:
            out += [f"with the values above: {text}" for text in said[:2]]
        elif all(i.default is not None for i in w.inputs):
            out += [f"with usual values: {text}" for text in work(w.name, {}).says[:2]]
    return out


def _read(kb: model.KB, rule: model.Rule) -> str:
    """Return why no working stands in for a rule: how else it is judged."""
    ties = measurers(kb)
    checks = ties.get(rule.id, [])
    if rule.measures == "state":
        return (
            "not worked out: it is looked at, and no calculation sees it"
            if checks
            else "not worked out: the walk does not ask for it; whoever plans or inspects judges it"
        )
    direct = [c.title.lower() for c in checks if c.kind == "measure"]
    if direct:
        return f"not worked out: it is read directly ({', '.join(direct)}), and a reading goes before a calculation"
    beside = [kb.rules[n.rule].title.lower() for n in rule.neighbours if n.same_reading_if and ties.get(n.rule)]
    if beside:
        return f"not worked out: the reading of {' or '.join(beside)} is held against it where one reading serves both"
    return "not worked out: the walk takes no reading of it; hold your own against it"


def _taken(kb: model.KB, take: model.Take) -> str:
    """Return where an input comes from, first to last, with the value that is taken else and what it rests on."""
    parts = [kb.checks[take.check].title.lower()] if take.check else []
    if take.data:
        parts.append(
            f"the machine sheet's {take.data} ({kb.data[take.data]})"
            if take.data in kb.data
            else f"the machine sheet's {take.data}"
        )
    if take.value:
        spread = f" give or take {take.give_or_take}" if take.give_or_take else ""
        parts.append(f"{take.value}{spread} ({take.basis})")
    return ", else ".join(parts)


def _applies(kb: model.KB, rule: model.Rule) -> list[str]:
    out = []
    for fact, wanted in rule.when.items():
        options = [wanted] if isinstance(wanted, str) else wanted
        out.append(f"{kb.facts[fact].title.lower()}: {' or '.join(kb.facts[fact].options[o].says for o in options)}")
    return out


def _measure(kb: model.KB, rule: model.Rule) -> list[str]:
    out = []
    ties = measurers(kb)
    for check in [c for name in (rule.id, *rule.replaces) for c in ties.get(name, [])]:
        tools = f" Tool: {', '.join(check.tools)}." if check.tools else ""
        spread = ""
        if check.kind == "measure":
            widths = {
                h: half_width(kb, check, h)
                for h in ("homeowner", "technician")
                if getattr(check.minutes, h) is not None
            }
            spread = (
                " Give or take "
                + ", ".join(f"{formatting.show_difference(w, rule.measures)} ({h})" for h, w in widths.items())
                + "."
            )
        out.append(f"{check.how_technician or check.how}{tools}{spread}")
    return out


def _neighbours(kb: model.KB, rule: model.Rule) -> list[str]:
    out = []
    for n in rule.neighbours:
        other = kb.rules[n.rule]
        same = f" One reading serves both if {n.same_reading_if}." if n.same_reading_if else ""
        out.append(
            f"{other.title} ({other.edition or other.authority}): {limit_text(other)}, of {other.of}. Differs: {n.differs}.{same}"
        )
    return out


def _cite(kb: model.KB, cite: model.Cite) -> str:
    source = kb.sources[cite.source]
    grade = cite.grade or source.grade
    at = f", {cite.at}" if cite.at else ""
    note = f"; {source.note}" if source.note else ""
    return f"{source.title}{at}: grade {grade}, {GRADES[grade]}{note}" + (f" <{source.url}>" if source.url else "")
