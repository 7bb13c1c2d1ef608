"""Steps and findings put into words and data: everything that a face shows, worked out here so that a face decides nothing."""

from typing import TYPE_CHECKING

from . import model, quantity, safety, views
from .advice import Card, Choice, Step
from .case import State
from .choose import Choice as Chosen
from .evidence import Net, limits

if TYPE_CHECKING:
    from .thought import Thought

EXAMPLES = {
    "length": "39 1/2 in, 3 ft 3 in, or 100 cm",
    "slope": "1/4 in/ft or 20 mm/m",
    "flow": "17 gpm or 64 L/min",
    "volume": "20 gal or 75 L",
    "pressure": "55 psi or 3.8 bar",
    "temperature": "120 F or 49 C",
    "voltage": "118 V",
    "current": "12 A",
    "time": "90 s or 2 min",
    "age": "5 years",
    "turns": "2/3 turn",
    "count": "0",
    "mass": "300 lb or 140 kg",
    "area": "100 sq in or 650 cm2",
}
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
SMALL, TINY = 0.5, 0.015  # limits below these are written in inches, or in millimetres [m]
LITTLE_V = 20  # limits below this are of a difference between two readings [V]
GOVERNS = "local code and the machine's manual govern, the stricter first"


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


def whose(rule: model.Rule, own: model.Limit | None = None) -> str:
    """Return whose limit a rule is.

    Parameters
    ----------
    rule : Rule
    own : Limit, optional
        The machine sheet's own limit on it, whose words are added.
    """
    said = f" ({own.says})" if own and own.says else ""
    if rule.authority == "code":
        return f"{rule.edition}, binds where adopted"
    if rule.authority == "manual":
        return f"this machine's own manual{said}"
    if rule.model and rule.model.gives:
        return f"worked out from readings, no published limit; {GOVERNS}"
    return f"common practice; {GOVERNS}"


def whose_short(rule: model.Rule) -> str:
    """Return whose limit a rule is, in a few words.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> whose_short(load_kb().rules["house-pressure"]), whose_short(load_kb().rules["standpipe-bore"])
    ('UPC 2015 and 2024', 'common practice')
    """
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


def limit_text(rule: model.Rule) -> str:
    """Return a rule's limits in trade and SI units.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> limit_text(load_kb().rules["standpipe-height"])
    '39 in (99 cm) to 96 in (244 cm)'
    """
    if rule.measures == "state":
        return rule.must or ""
    low, high = (quantity.show(v, rule.measures) if v is not None else "" for v in limits(rule))
    if low and high:
        return low if low == high else f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}"


def source_text(kb: model.KB, rule: model.Rule) -> str:
    """Return a rule's first source and its grade in words."""
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
        False leaves out neighbours without numbers: what a code's other paragraph says helps nobody who only looks.
    """
    lines = [f"{rule.of}: {limit_text(rule)}", whose(rule)]
    for n in rule.neighbours[:2]:
        other = kb.rules[n.rule]
        if not expert and (other.measures == "state" or other.measures != rule.measures):
            continue
        lines.append(f"beside it {other.edition or other.title}: {limit_text(other)}; {n.differs}")
    return lines


def card(net: Net, state: State, thought: "Thought", step: Step, choice: Chosen | None) -> Card:
    """Return the card of a step in the voice of who is there."""
    kb = net.kb
    if step.kind in ("gate", "stop"):
        hazard = kb.hazards[step.id]
        gate = hazard.gate
        assert gate is not None
        note = safety.notes(kb, state, [step.id])
        if step.kind == "stop":
            return Card(
                kind="stop",
                id=step.id,
                title=hazard.title,
                notes=note,
                do_now=gate.do_now,
                call=gate.call,
                word=gate.word,
            )
        return Card(
            kind="gate",
            id=step.id,
            title=hazard.title,
            notes=note,
            question=views.voice(gate.ask, state.role, state.hands),
            word=gate.word,
            do_now=gate.do_now,
            call=gate.call,
            why=step.why,
        )
    if step.kind == "fact":
        return fact_card(kb, state, step)
    if step.kind == "check":
        return check_card(kb, state, step)
    if step.kind == "remedy":
        return _remedy_card(kb, state, step)
    finding = thought.beliefs[0] if thought.beliefs else None
    also = (
        [f"Likeliest so far: {finding.title.lower()}, {in_100(finding.p)}."] if finding and step.cause is None else []
    )
    return Card(
        kind="hand-on",
        id=step.id,
        title=step.title,
        why=step.why,
        also=also,
        notes=safety.notes(kb, state, kb.causes[step.cause].remedy.hazards if step.cause else []),
    )


def fact_card(kb: model.KB, state: State, step: Step) -> Card:
    """Return the card of a fact: its question in the voice of who asks, and its options."""
    if step.id == "complaint":
        return Card(
            kind="fact",
            id="complaint",
            title="What is wrong",
            question="What is wrong? Say it in your own words.",
            why=step.why,
            choices=[Choice(id=c.id, says=c.says) for c in kb.complaints.values()],
        )
    if step.id == "still-there":
        left = [c for c in state.complaints if c not in dict(state.gone)]
        return Card(
            kind="fact",
            id="still-there",
            title=step.title,
            question="Which of these is still there?",
            why=step.why,
            choices=[*(Choice(id=c, says=kb.complaints[c].says) for c in left), Choice(id="none", says="none of them")],
        )
    fact = kb.facts[step.id]
    return Card(
        kind="fact",
        id=step.id,
        title=fact.title,
        meta=f"ask, {minutes_text(step.minutes)}",
        question=views.voice(fact.ask, state.role, state.hands),
        why=step.why,
        choices=[Choice(id=o, says=option.says) for o, option in fact.options.items()],
    )


def check_card(kb: model.KB, state: State, step: Step) -> Card:
    """Return the card of a check: question, how, tool, rule, safety notes, answers."""
    check = kb.checks[step.id]
    expert = state.hands == "technician"
    tools = ", ".join(check.tools) if check.tools else "no tools"
    rule = kb.rules[check.rule] if check.rule else None
    return Card(
        kind="check",
        id=check.id,
        title=check.title,
        meta=f"{check.kind}, {minutes_text(step.minutes)}, {tools}",
        question=views.voice(check.ask, state.role, state.hands),
        how=(check.how_technician or check.how) if expert else check.how,
        rule=rule_lines(kb, rule, expert) if rule else [],
        notes=safety.notes(kb, state, check.hazards),
        why=step.why,
        choices=[Choice(id=a, says=answer.says) for a, answer in check.answers.items()],
        measures=rule.measures if rule and check.kind == "measure" else "",
        example=_example(rule) if rule and check.kind == "measure" else "",
    )


def _example(rule: model.Rule) -> str:
    """Return how a reading for a rule looks; a gap of a millimetre is not written like a standpipe.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> _example(load_kb().rules["all-feet-bear"]), _example(load_kb().rules["standpipe-height"])
    ('2 mm or 1/16 in', '39 1/2 in, 3 ft 3 in, or 100 cm')
    """
    marks = [v for v in limits(rule) if v is not None]
    if rule.measures == "length" and marks and max(marks) < SMALL:
        return "2 mm or 1/16 in" if max(marks) < TINY else "2 1/2 in or 6 cm"
    if rule.measures == "voltage" and marks and max(marks) < LITTLE_V:
        return "2.5 V"
    return EXAMPLES.get(rule.measures, "")


def _remedy_card(kb: model.KB, state: State, step: Step) -> Card:
    cause = kb.causes[step.id]
    remedy = cause.remedy
    parts = [kb.parts[p].title for p in remedy.parts]
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    normal = cause.kind == "normal"
    return Card(
        kind="remedy",
        id=step.id,
        title=remedy.title,
        meta=minutes_text(remedy.minutes) + ("" if normal else f", {BY[remedy.by]}"),
        steps=remedy.steps,
        by=remedy.by,
        parts=parts,
        notes=safety.notes(kb, state, remedy.hazards),
        why=step.why,
        rule=rule_lines(kb, rule) if rule else [],
        choices=[
            Choice(id="done", says="yes, that is how it is" if normal else "done"),
            Choice(id="could-not", says="no, it is different" if normal else "could not be done"),
        ],
    )
