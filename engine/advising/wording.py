"""Words that cards, findings and reports share: chances, minutes, limits and whose they are."""

import re

from .. import model
from ..measurement import formatting
from ..measurement.readings import limits

GRADES = {
    "P": "published",
    "S": "published, as quoted by others",
    "M": "from memory, unverified",
    "C": "common practice",
    "D": "derived here",
    "judgement": "judgement",
}
BY = {
    "anyone": "you may do this yourself",
    "technician": "a washer technician",
    "plumber": "a licensed plumber",
    "electrician": "a licensed electrician",
}
HELPED = "you may do this with a helper"
GOVERNS = "local code and the machine's manual govern, the stricter first"
ASK = "ask the building department which code is in force"


def in_100(p: float) -> str:
    """Return a probability as people say it.

    Examples
    --------
    >>> in_100(0.942), in_100(0.001)
    ('94 in 100', 'under 1 in 100')
    """
    if p < 0.005:
        return "under 1 in 100"
    if p > 0.995:
        return "over 99 in 100"
    return f"{100 * p:.0f} in 100"


def minutes_text(minutes: float) -> str:
    """Return minutes for a card.

    Examples
    --------
    >>> minutes_text(0.3), minutes_text(4), minutes_text(1.5)
    ('under a minute', '4 min', '1.5 min')
    """
    return "under a minute" if minutes < 1 else f"{minutes:g} min"


def from_memory(rule: model.Rule) -> bool:
    """Return whether a code's rule stands here from memory, unverified: its first citation has grade M.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rules = load_kb().rules
    >>> from_memory(rules["trap-seal-upc"]), from_memory(rules["trap-seal"])
    (True, False)
    """
    return rule.authority == "code" and _recalled(rule)


def _recalled(rule: model.Rule) -> bool:
    return (rule.sources[0].grade or rule.sources[0].source) in ("M", "memory")


def without_code(rule: model.Rule) -> str:
    """Return a rule's title without the code in brackets at its end: nobody said which is in force.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> without_code(load_kb().rules["supply-valve-access"])
    'Access to the taps'
    """
    return re.sub(r" \((?:IRC|IPC|UPC|NEC)[^)]*\)$", "", rule.title)


def recalled(rule: model.Rule) -> bool:
    """Return whether a rule's limit, whoever it is, stands here from memory.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> rules = load_kb().rules
    >>> recalled(rules["standpipe-height-front-loader"]), recalled(rules["standpipe-height"])
    (True, False)
    """
    return rule.authority != "manual" and _recalled(rule)


def whose(rule: model.Rule, own: model.Limit | None = None, expert: bool = True) -> str:
    """Return whose limit a rule is.

    Parameters
    ----------
    rule : Rule
    own : Limit, optional
        The machine sheet's own limit on it, whose words are added.
    expert : bool
        False for a customer, to whom no code is quoted from memory: they are told to ask.
    """
    if rule.authority == "practice" and _recalled(rule):
        said = rule.sources[0].at
        return f"{f'{said}, ' if said else ''}from memory, unverified; {GOVERNS}"
    if not expert and from_memory(rule):
        return f"a code may ask for it; {ASK}"
    said = f" ({own.says})" if own and own.says else ""
    if rule.authority == "code":
        return f"{rule.edition}, binds where adopted"
    if rule.authority == "manual":
        return f"this machine's own manual{said}"
    if rule.model and rule.model.gives:
        return f"worked out from readings, no published limit; {GOVERNS}"
    return f"common practice; {GOVERNS}"


def whose_short(rule: model.Rule, expert: bool = True) -> str:
    """Return whose limit a rule is, in a few words; to a customer no code is quoted from memory.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> whose_short(load_kb().rules["house-pressure"]), whose_short(load_kb().rules["standpipe-bore"])
    ('UPC 2015 and 2024', 'common practice')
    """
    if rule.authority == "practice" and _recalled(rule):
        return "from memory, unverified"
    if not expert and from_memory(rule):
        return "a code may ask it"
    if rule.authority == "practice":
        return "worked out" if rule.model and rule.model.gives else "common practice"
    return rule.edition or ("the code" if rule.authority == "code" else "the machine's manual")


def both_limits(kb: model.KB, rule: model.Rule, own: model.Rule) -> tuple[str, str]:
    """Return the limits of a code's rule and of the machine's manual beside it, and whose they are: both bind, the stricter rules.

    Parameters
    ----------
    kb : KB
        With the machine sheet applied.
    rule, own : Rule
        The code's rule, and the same with the machine's own limits, from `machine.own_rule`.
    """
    (low, high), (own_low, own_high) = limits(rule), limits(own)
    looser_low = low is not None and own_low is not None and own_low < low
    looser_high = high is not None and own_high is not None and own_high > high
    manual = whose(own, kb.limits[rule.id])
    text = f"{limit_text(rule)}; the machine's own manual: {limit_text(own)}"
    if looser_low or looser_high:
        return text, f"{whose(rule)}, and rules here: {manual} is looser"
    return text, f"{whose(rule)}, and so does {manual}"


def datum_text(rule: model.Rule, expert: bool = True) -> str:
    """Return what a rule is measured or seen of, and from where; in plain words for whoever is no technician.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> datum_text(load_kb().rules["standpipe-height"], expert=False)
    "open top of the upright drain pipe, above what the washer's feet stand on"
    """
    return (not expert and rule.plain and rule.plain.of) or rule.of


def limit_text(rule: model.Rule, expert: bool = True) -> str:
    """Return a rule's limits in trade and SI units, or what must be seen; that in plain words for whoever is no technician.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> limit_text(load_kb().rules["standpipe-height"])
    '39 in (99 cm) to 96 in (244 cm)'
    """
    if rule.measures == "state":
        return (not expert and rule.plain and rule.plain.must) or rule.must or ""
    low, high = (formatting.show(v, rule.measures) if v is not None else "" for v in limits(rule))
    if low and high:
        return low if low == high else f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}"


def source_text(kb: model.KB, rule: model.Rule, expert: bool = True) -> str:
    """Return a rule's first source and its grade in words; no code is quoted to a customer from memory."""
    if not expert and from_memory(rule):
        return GRADES["M"]
    cite = rule.sources[0]
    source = kb.sources[cite.source]
    grade = cite.grade or source.grade
    if grade == "C":
        return "common practice, no published source"
    return f"{source.title}{', ' + cite.at if cite.at else ''} ({GRADES[grade]})"


def rule_lines(kb: model.KB, rule: model.Rule, expert: bool = True) -> list[str]:
    """Return a rule as lines: what, limits, whose, and neighbours that differ.

    Parameters
    ----------
    kb : KB
    rule : Rule
    expert : bool
        False leaves out neighbours without numbers: what a code's other paragraph says helps nobody who only looks;
        and those that stand here from memory.
    """
    lines = [f"{datum_text(rule, expert)}: {limit_text(rule, expert)}", whose(rule, expert=expert)]
    for n in rule.neighbours[:2]:
        other = kb.rules[n.rule]
        if not expert and (other.measures == "state" or other.measures != rule.measures or from_memory(other)):
            continue
        lines.append(f"beside it {other.edition or other.title}: {limit_text(other)}; {n.differs}")
    return lines
