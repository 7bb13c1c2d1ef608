"""A survey before it is made: which lines it has for whose hands, as a sheet to fill in or as cards to answer."""

import re
import textwrap

from .. import model
from ..advice import Card, Step
from ..advising.cards import check_card, fact_card
from ..advising.wording import limit_text, whose_short
from ..answers.penned import lettered
from ..case.state import State
from ..model import holds
from ..planning import roles
from .areas import HABITS, area_of, area_rank, area_title, asked_facts, measurers
from .must_see import hand_minutes, must_see, places
from .practice import replacing, serves

WIDTH = 79  # of a blank sheet, where nobody says [characters]


def blank_lines(kb: model.KB, hands: str, facts: dict[str, str]) -> list[model.Check]:
    """Return the checks of a blank sheet, in the order of a walk round the machine, those that these hands may do.

    A look or a measurement serves its rule best; a trial or a question stands in only where a rule has neither. What must be seen has a
    line of its own whatever else serves its rule; proofs that need a run come last.
    """
    ties = measurers(kb)
    replaced = replacing(kb, facts)
    chosen = []
    for name, checks in ties.items():
        if area_of(kb, "rules", name) in HABITS:
            continue
        may = [c for c in checks if roles.permitted(kb, c, hands) and serves(kb, c, facts, replaced)]
        best = [c for c in may if c.kind in ("look", "measure")] or [c for c in may if c.kind == "try"] or may
        chosen += best if best and best[0].kind in ("look", "measure") else best[:1]
    seen = {c.id for c in chosen}
    chosen += [c for c in must_see(kb, hands) if c.id not in seen and holds(c.when, facts)]
    return sorted(chosen, key=lambda c: (area_rank(area_of(kb, "rules", c.rule or "")), KINDS[c.kind], c.id))


KINDS = {"look": 0, "try": 1, "ask": 2, "measure": 3}


def datum(kb: model.KB, check: model.Check, role: str, hands: str) -> str:
    """Return what a line asks for: the rule's own datum where the check reads just that, else the check's own question."""
    if check.kind == "measure" and check.rule:
        reads = [c for c in measurers(kb).get(check.rule, []) if c.kind == "measure"]
        if reads == [check]:
            return kb.rules[check.rule].of
    return roles.voice(check.ask, role, hands)


def care(kb: model.KB, check: model.Check) -> str:
    """Return the hazards met at a check, each with its signal word, or an empty text."""
    return "; ".join(f"{kb.hazards[h].signal} {kb.hazards[h].title.lower()}" for h in check.hazards)


PROOFS = "One run, watched"


LETTER = re.compile(r"\b([a-z])\) ")


def comment(text: str, width: int, hanging: str = "    ", indent: str = "  # ") -> list[str]:
    """Return a text as comment lines of a sheet."""
    whole = LETTER.sub("\\1)\x1f", text)  # a letter stays with its answer
    rows = textwrap.wrap(
        whole, width, initial_indent=indent, subsequent_indent=indent + hanging, break_on_hyphens=False
    )
    return [row.replace("\x1f", " ") for row in rows]


HEAD = (
    "Survey sheet, in the order of a walk round the machine. Leave a line empty where nothing was measured or seen.",
    "Answer in the words that stand above a line, by their letter, or with ok where it is as the last one says; 4 of 4 is a count. "
    "Write values with their unit: 39 1/2 in, 100 cm, 2/3 turn, 120 F, 55 psi. Words behind an answer are kept as a note. What nobody knows stays empty, or is a ?.",
    "Where the customer does not want a mend or a look, write declined: 31 in, declined. What can hurt somebody can't be declined.",
    "Local code and the machine's manual both bind, the stricter one first; common practice fills the gaps.",
    "Stop where it is not safe: water near electricity, gas, live parts. Those are for a licensed trade.",
)


def blank(
    kb: model.KB,
    hands: model.Hands = "technician",
    facts: dict[str, str] | None = None,
    machine: str = "",
    width: int = WIDTH,
) -> str:
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
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> "standpipe-height:" in blank(load_kb())
    True
    """
    facts = facts or {}
    lines = blank_lines(kb, hands, facts)
    size = (
        f"The whole sheet: {len(lines)} lines, {sum(hand_minutes(c, hands) for c in lines):.0f} min of hands. "
        "dryfloor survey --blank --minutes 10 prints what matters most. MUST is what nobody leaves without."
    )
    out = [line for text in (*HEAD, size) for line in comment(text, width, "", "# ")]
    out += [
        "title:",
        f"machine: {machine}".rstrip() + ("" if machine else " # a machine sheet, or nothing"),
        f"hands: {hands}",
        "facts:",
    ]
    for fact in asked_facts(kb):
        if holds(fact.when, facts):
            out += fact_lines(fact, facts.get(fact.id, ""), width)
    out.append("readings:")
    area = None
    for check in lines:
        here = area_of(kb, "rules", check.rule or "")
        if here != area:
            area = here
            out += ["", f"  # --- {area_title(here) if here else PROOFS} ---"]
        out += [*line_of(kb, check, hands, width, facts), f"  {check.id}:"]
    return "\n".join(out) + "\n"


def fact_lines(fact: model.Fact, said: str, width: int) -> list[str]:
    """Return the lines of a fact on a sheet: its options in words, each with its letter, and the line to fill in."""
    told = lettered({o: x.says for o, x in fact.options.items()})
    return [*comment(f"{fact.title}: {told}", width), f"  {fact.id}: {said}".rstrip()]


def line_of(
    kb: model.KB,
    check: model.Check,
    hands: model.Hands,
    width: int,
    facts: dict[str, str],
    role: model.Role | None = None,
) -> list[str]:
    """Return what stands above a line of a sheet, as comments: what to read, limit or answers, tools, care; a desk's in words to ask."""
    tools = ", ".join(check.tools) or "no tool"
    asked = roles.voice(check.ask, "desk", hands) if role == "desk" else datum(kb, check, hands, hands)
    out = comment(f"{check.title}: {asked}", width)
    if check.kind == "measure":
        rule = serves(kb, check, facts, replacing(kb, facts)) or kb.rules[check.rule or ""]
        whom = whose_short(rule, expert=hands == "technician")
        out += comment(f"    {limit_text(rule)} ({whom}); {tools}", width)
    else:
        out += comment(f"    {lettered({a: x.says for a, x in check.answers.items()})}; {tools}", width)
    note = care(kb, check)
    must = check.on_sheet.must_see if check.on_sheet else None
    in_place = places(kb).get(check.id, "")
    return [
        *out,
        *(comment(f"    {note}", width) if note else []),
        *(comment(f"    MUST{_either(kb, check)}: {must}", width) if must else []),
        *(comment(f"    does in the place of {in_place}", width) if in_place else []),
    ]


def _either(kb: model.KB, check: model.Check) -> str:
    names = check.on_sheet.instead if check.on_sheet else []
    return f", this or {' or '.join(names)}" if names else ""


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
    minutes = roles.shown_minutes(record, hands)
    step = Step(kind="fact" if fact else "check", id=name, title=record.title, why="", minutes=minutes, cost=minutes)
    state = State(role=role, hands=hands, facts=tuple(facts.items()))
    return fact_card(kb, state, step) if fact else check_card(kb, state, step)
