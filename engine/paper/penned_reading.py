"""What a pen wrote where a value belongs: a bare number, about so much, a remark behind it, level, new; read as one value, or asked back."""

import re
from typing import NamedTuple

from .. import model
from ..answers.asides import BOUND, low, passes, unhedged, without_remark
from ..case.validation import answer_problems
from ..errors import Problem
from ..measurement import numerals, quantity
from ..measurement.parsing import QuantityProblem
from ..measurement.readings import limits
from ..measurement.units import BY_EYE, USUAL, measures_of, units_of

SYSTEMS = {"us-120": "us", "eu-230": "si"}
# In these words a vial reads nothing, and a hose has no age.
LEVEL = re.compile(
    r"(?:dead |perfectly |spot |exactly )?level|(?:the )?bubble(?: is)?(?: dead)? (?:in the )?(?:centered|centred|center|centre|middle)|(?:centered|centred)"
)
NEW = re.compile(r"(?:brand[- ]?)?new(?: hoses?| ones?| today)?")
JUDGED = re.compile(
    r"(?:it is |it's |is |all |looks? )?(?:ok|okay|o\.k|good|fine|pass|passed|right|normal|yes|y|done|checked|\u2713|\u2714)"
)
PER = re.compile(
    r"^(?P<rise>[\d\s./\u00bc-\u00be\u2150-\u215e]+?)\s*(?:per|/|over|in|to the|a)\s*(?P<run>(?:\d+\s*)?(?P<of>ft|foot|feet|'|m|meter|metre)\b.*|\d*\s*')$",
    re.I,
)
SIDES = re.compile(r"^[\d./]+(?:\s+[\d]+/[\d]+)?(?:\s*(?:x|\u00d7|\*|by)\s*[\d./]+(?:\s+[\d]+/[\d]+)?){2}$", re.I)


# From so much to so much; a unit before the dash is the one behind it, too.
NUMBER = r"\d+(?:\.\d+)?(?:\s+\d+/\d+)?|\d+/\d+"
RANGE = re.compile(
    rf"^(?:from |between )?(?P<low>{NUMBER})\s*(?P<of>[a-z'\"]*)\s*(?:-|\u2013|\bto\b|\band\b)\s*(?P<high>{NUMBER})\s*(?P<unit>[a-z'\"]*)$",
    re.I,
)
DIGIT = re.compile(r"[\d\u00bc-\u00be\u2150-\u215e]")  # a fraction of one sign, too
NO_GAP = frozenset(("none", "no gap", "zero", "nil", "nothing"))
BEFORE, SMALLER = (
    re.compile(r"I can't place '(.+)' before the number"),
    " what, after ",
)  # the questions of `measurement.parsing`
ALSO = {"pressure": ("bar",)}  # as usual as the unit that a limit is printed in


class Penned(NamedTuple):
    """A value as it is read, in trade notation; `rough` where it is only about so much, `remark` what stood behind it."""

    value: str
    rough: bool = False
    remark: str = ""


def measured(kb: model.KB, check: model.Check, text: str, facts: dict[str, str]) -> Penned | Problem:
    """Return the value that a line says, or what to ask back.

    A value that can be read as it stands stays as it is. A bare number has the unit in which alone it can be true there, or that its limit
    is printed in; where two are plausible it is asked back.

    Parameters
    ----------
    kb : KB
    check : Check
        One that measures.
    text : str
        As it stands on the line.
    facts : dict
        What is known of the site: its house voltage says in whose units a bare number is.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb, here = load_kb(), {"supply-system": "us-120"}
    >>> measured(kb, kb.checks["standpipe-height"], "31", here).value
    '31 in'
    >>> measured(kb, kb.checks["outlet-distance"], "about 4 ft, by eye", here)
    Penned(value='4 ft', rough=True, remark='by eye')
    >>> measured(kb, kb.checks["standpipe-bore"], "2", {}).code
    'C023'
    """
    found = _read(kb, check, text.strip(), facts) or _between(kb, check, text.strip(), facts)
    if found:
        return found
    rule = kb.rules[check.rule or ""]
    problem = answer_problems(kb, check.id, None, text)[0]
    if JUDGED.fullmatch(low(text)):
        return Problem(
            code=problem.code,
            message=f"'{text}' is no reading of '{check.id}': it asks for a value",
            expected=problem.expected,
            mend="write what it reads, with its unit; or leave the line empty",
        )
    doubt = _doubtful(check, rule, text.strip(), facts)
    if doubt:
        return Problem(
            code=problem.code,
            message=f"'{check.id}': {text.strip()} what? Do you mean {', or '.join(doubt)}?",
            expected=problem.expected,
            nearest=doubt[0] if len(doubt) == 1 else "",
            mend=problem.mend,
        )
    return problem


def _read(kb: model.KB, check: model.Check, text: str, facts: dict[str, str]) -> Penned | None:
    """Return the value as it stands, else without what a pen adds: words behind it are let go one by one, as long as they take nothing back."""
    rule = kb.rules[check.rule or ""]
    # A turn past hand-tight is what is asked for; past 4 ft may be anything.
    if not text or (BOUND.search(text) and rule.measures != "turns" and not _fits(kb, check, text)):
        return None
    found = _core(kb, check, text, facts)
    if found or _with_units(check, rule, text, facts):
        return found  # two units are plausible: what stands behind the number is no remark
    head, remark = without_remark(text)
    if not remark:
        head, remark = _shorter(text, "")
    while head:
        if (
            passes(remark)
            and not DIGIT.search(remark)
            and not any(measures_of(w.strip(".,;()")) for w in remark.split())
        ):
            found = _core(kb, check, head, facts)
            if found:
                return found._replace(remark=remark)
        head, remark = _shorter(head, remark)
    return None


def _core(kb: model.KB, check: model.Check, text: str, facts: dict[str, str]) -> Penned | None:
    """Return the value as it stands; else without its hedge, by its words, with the unit that it lacks, or without the words before it."""
    if _fits(kb, check, text):
        return Penned(text)
    bare, rough = unhedged(text)
    if rough:
        inner = _core(kb, check, bare, facts)
        return inner._replace(rough=True) if inner else None
    rule = kb.rules[check.rule or ""]
    words = low(text)
    metric = SYSTEMS.get(facts.get("supply-system", "")) == "si"
    if rule.measures == "slope" and LEVEL.fullmatch(words):
        return Penned("0 mm/m" if metric else "0 in/ft")
    if rule.measures == "age" and NEW.fullmatch(words):
        return Penned("0 years")
    if "gap" in rule.of and words in NO_GAP:
        return Penned("0 mm" if metric else "0 in")
    with_unit = [t for t in _with_units(check, rule, text, facts) if _fits(kb, check, t)]
    if with_unit:
        return Penned(with_unit[0]) if len(with_unit) == 1 else None
    problem = answer_problems(kb, check.id, None, text)[0]
    lead = BEFORE.search(problem.message)
    sure = (lead and passes(lead[1])) or SMALLER in problem.message
    return Penned(problem.nearest) if sure and problem.nearest and _fits(kb, check, problem.nearest) else None


def _between(kb: model.KB, check: model.Check, text: str, facts: dict[str, str]) -> Penned | None:
    """Return the end nearer a limit of a range whose two ends are judged alike by every rule that the reading may serve; else nothing."""
    rule = kb.rules[check.rule or ""]
    found = RANGE.match(text)
    if not found or rule.measures == "slope":
        return None
    unit = found["of"] or found["unit"]
    if not unit:
        return None
    ends = [f"{found['low'].strip()} {unit}", f"{found['high'].strip()} {found['unit'] or unit}"]
    if not all(_fits(kb, check, end) for end in ends):
        return None
    low, high = (quantity.parse(end, rule.measures) for end in ends)
    serves = [rule, *(kb.rules[n.rule] for n in rule.neighbours if n.same_reading_if and n.rule in kb.rules)]
    edges = [e for r in serves if r.measures == rule.measures for e in limits(r) if e is not None]
    if low >= high or any(low <= e <= high for e in edges):
        return None
    nearest = min(ends, key=lambda end: min((abs(quantity.parse(end, rule.measures) - e) for e in edges), default=0.0))
    return Penned(nearest, rough=True, remark=f"from {ends[0]} to {ends[1]}")


def _shorter(head: str, remark: str) -> tuple[str, str]:
    """Return a text with its last word moved to the remark; no head is left once that word has a digit in it."""
    head, _, last = head.rpartition(" ")
    return ("", "") if not head or DIGIT.search(last) else (head.rstrip(), f"{last} {remark}".strip())


def _fits(kb: model.KB, check: model.Check, text: str) -> bool:
    return not answer_problems(kb, check.id, None, text)


def _with_units(check: model.Check, rule: model.Rule, text: str, facts: dict[str, str]) -> list[str]:
    """Return a text that lacks its unit with each unit that it may have there: those its limit is printed in where it can be true in one, else any."""
    templates = _lacking(rule, text)
    if not templates:
        return []
    of = (
        {"slope": "length", "volume": "length"}.get(rule.measures, rule.measures)
        if templates != ["{}"]
        else rule.measures
    )
    system = SYSTEMS.get(facts.get("supply-system", ""))
    known = [
        u.symbol
        for u in units_of(of)
        if u.symbol not in BY_EYE and (u.system == "any" or system is None or u.system == system)
    ]
    if templates != ["{}"]:  # a rise or a side of a tub is in inches or centimeters, or millimeters
        known = (
            [u for u in known if u in ("in", "cm")]
            if rule.measures == "volume"
            else [u for u in known if u in ("in", "mm")]
        )
    usual = [u for u in known if u in _printed(check, rule)]
    tried = {u: templates[0].format(f"{text} {u}" if templates == ["{}"] else u) for u in known}
    fitting = {u: t for u, t in tried.items() if _true(rule, t)}
    return [t for u, t in fitting.items() if u in usual] or [*fitting.values()]


def _lacking(rule: model.Rule, text: str) -> list[str]:
    """Return how a text without its unit takes one, or nothing where no unit is lacking."""
    tidy = numerals.tidy(text)
    lead, parts = numerals.scan(tidy)
    if not lead and len(parts) == 1 and not parts[0].unit and not parts[0].rest:
        return ["{}"]
    per = PER.match(tidy) if rule.measures == "slope" else None
    if per:
        return [f"{per['rise'].strip()} {{}} per {per['run'].strip()}"]
    return [f"{text} {{}}"] if rule.measures == "volume" and SIDES.match(tidy) else []


def _printed(check: model.Check, rule: model.Rule) -> set[str]:
    """Return the units that a rule's limit is printed in, in either system, and those that its question names."""
    limits = " ".join(t for t in (rule.min, rule.max) if t)
    asked = " ".join(t for t in (check.ask.homeowner, check.ask.desk, check.ask.technician) if t)
    out = set(ALSO.get(rule.measures, ()))
    for u in units_of(rule.measures):
        names = "|".join(re.escape(n) for n in (u.symbol, *u.names))
        if re.search(rf"\d\s*(?:{names})(?!\w)", limits) or re.search(rf"\bhow many (?:{names})\b", asked, re.I):
            out.add(u.symbol)
    # A limit is printed in both systems, each in its usual unit.
    return out | {s for s in USUAL[rule.measures] if rule.measures not in ("time", "age")}


def _true(rule: model.Rule, text: str) -> bool:
    try:
        return quantity.check_plausible(quantity.parse(text, rule.measures), rule, text) is None
    except QuantityProblem:
        return False


def _doubtful(check: model.Check, rule: model.Rule, text: str, facts: dict[str, str]) -> list[str]:
    return _with_units(check, rule, text, facts)[:3]
