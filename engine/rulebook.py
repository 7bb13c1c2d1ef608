"""The card of a rule: limits, datum, whose it is, sources with grades, how to measure, what breaks it and what follows."""

from msgspec import Struct

from . import model, quantity
from .cards import GRADES, limit_text, whose
from .evidence import half_width
from .survey import AREAS, area_of, measurers


class Row(Struct, frozen=True, kw_only=True):
    """A rule in the list."""

    rule: str
    title: str
    limits: str
    authority: str


class Entry(Struct, frozen=True, kw_only=True):
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
    sources: list[str]
    practice: list[str]
    working: list[str]


def by_area(kb: model.KB) -> dict[str, list[Row]]:
    """Return all rules by area, in the order of a walk round the machine.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> next(iter(by_area(load_kb())))
    'stand'
    """
    areas = sorted(
        {area_of(kb, "rules", r) for r in kb.rules}, key=lambda a: (AREAS.index(a) if a in AREAS else len(AREAS), a)
    )
    return {
        area: [
            Row(rule=r.id, title=r.title, limits=limit_text(r), authority=r.edition or r.authority)
            for r in kb.rules.values()
            if area_of(kb, "rules", r.id) == area
        ]
        for area in areas
    }


def entry(kb: model.KB, rule_id: str) -> Entry:
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
    return Entry(
        rule=rule.id,
        title=rule.title,
        area=area_of(kb, "rules", rule.id),
        of=rule.of,
        limits=limit_text(rule),
        whose=whose(rule),
        authority=rule.authority,
        breaks=breaks,
        applies=_applies(kb, rule),
        measure=_measure(kb, rule),
        neighbours=_neighbours(kb, rule),
        causes=[
            f"{c.title} ({c.breaks.side})" if c.breaks.side else c.title
            for c in kb.causes.values()
            if c.breaks and c.breaks.rule == rule_id
        ],
        sources=[_cite(kb, c) for c in rule.sources],
        practice=[f"states {p} of common practice" for p in rule.practice_ids],
        working=_working(kb, rule),
    )


def _working(kb: model.KB, rule: model.Rule) -> list[str]:
    """Return the physics behind a rule: what works its value out, and the calculators that bear on it with their usual values."""
    from .workings import all_workings, work

    out = []
    if rule.model:
        takes = ", ".join(f"{n} from {t.check or t.data or t.value}" for n, t in rule.model.takes.items())
        out.append(f"worked out by {rule.model.working}: {takes}")
    for w in all_workings().values():
        if rule.id in w.rules:
            out.append(f"{w.title}: dryfloor reckon {w.name}")
            if all(i.default is not None for i in w.inputs):
                out += [f"with usual values: {text}" for text in work(w.name, {}).says[:2]]
    return out


def _applies(kb: model.KB, rule: model.Rule) -> list[str]:
    out = []
    for fact, wanted in rule.when.items():
        options = [wanted] if isinstance(wanted, str) else wanted
        out.append(f"{kb.facts[fact].title.lower()}: {' or '.join(kb.facts[fact].options[o].says for o in options)}")
    return out


def _measure(kb: model.KB, rule: model.Rule) -> list[str]:
    out = []
    for check in measurers(kb).get(rule.id, []):
        tools = f"; {', '.join(check.tools)}" if check.tools else ""
        spread = ""
        if check.kind == "measure":
            widths = {
                h: half_width(kb, check, h)
                for h in ("homeowner", "technician")
                if getattr(check.minutes, h) is not None
            }
            spread = "; give or take " + ", ".join(
                f"{quantity.show_difference(w, rule.measures)} ({h})" for h, w in widths.items()
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
