"""Steps and findings put into words and data: everything that a face shows, worked out here so that a face decides nothing."""

from typing import TYPE_CHECKING

from .. import model
from ..advice import Card, Choice, Step
from ..case.state import State
from ..diagnosis.network import Network
from ..measurement.readings import limits
from ..planning import roles
from ..planning.problem import Decision as Chosen
from . import gates, illustrations
from .verdicts import in_force
from .wording import BY, in_100, minutes_text, rule_lines

if TYPE_CHECKING:
    from .analysis import Analysis

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
SMALL, TINY = 0.5, 0.015  # limits below these are written in inches, or in millimetres [m]
LITTLE_V = 20  # limits below this are of a difference between two readings [V]
TUB = 0.01  # limits above this are of a tub, below it of what is wrung from a towel [m3]
COOL = 40  # limits below this are of air or of cold water [°C]


def card(network: Network, state: State, analysis: "Analysis", step: Step, choice: Chosen | None) -> Card:
    """Return the card of a step in the voice of who is there."""
    kb = network.kb
    if step.kind in ("gate", "stop"):
        hazard = kb.hazards[step.id]
        gate = hazard.gate
        assert gate is not None
        note = gates.notes(kb, state, [step.id])
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
            question=roles.voice(gate.ask, state.role, state.hands),
            word=gate.word,
            do_now=gate.do_now,
            call=gate.call,
            why=step.why,
            guards=step.guards or "",
            pictures=illustrations.of_hazard(hazard),
        )
    if step.kind == "fact":
        return fact_card(kb, state, step)
    if step.kind == "check":
        return check_card(kb, state, step)
    if step.kind == "remedy":
        return _remedy_card(kb, state, step)
    finding = analysis.beliefs[0] if analysis.beliefs else None
    also = (
        [f"Likeliest so far: {finding.title.lower()}, {in_100(finding.p)}."] if finding and step.cause is None else []
    )
    return Card(
        kind="hand-on",
        id=step.id,
        title=step.title,
        why=step.why,
        also=also,
        notes=gates.notes(kb, state, kb.causes[step.cause].remedy.hazards if step.cause else []),
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
        question=roles.voice(fact.ask, state.role, state.hands),
        why=step.why,
        choices=[Choice(id=o, says=option.says) for o, option in fact.options.items()],
    )


def check_card(kb: model.KB, state: State, step: Step) -> Card:
    """Return the card of a check: question, how, tool, rule, safety notes, answers."""
    check = kb.checks[step.id]
    expert = state.hands == "technician"
    tools = ", ".join(check.tools) if check.tools else "no tools"
    # Where the code is known, its own words stand on the card; where none of them is in force, those of the check's rule.
    rule = (in_force(kb, check, dict(state.facts)) or kb.rules[check.rule]) if check.rule else None
    return Card(
        kind="check",
        id=check.id,
        title=check.title,
        meta=f"{check.kind}, {minutes_text(step.minutes)}, {tools}",
        question=roles.voice(check.ask, state.role, state.hands),
        how=(check.how_technician or check.how) if expert else check.how,
        rule=rule_lines(kb, rule, expert) if rule else [],
        notes=gates.notes(kb, state, check.hazards),
        why=step.why,
        choices=[Choice(id=a, says=answer.says) for a, answer in check.answers.items()],
        measures=rule.measures if rule and check.kind == "measure" else "",
        example=_example(rule) if rule and check.kind == "measure" else "",
        pictures=illustrations.of_check(kb, check, rule),
    )


def _example(rule: model.Rule) -> str:
    """Return how a reading for a rule looks; a gap of a millimetre is not written like a standpipe.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> _example(load_kb().rules["all-feet-bear"]), _example(load_kb().rules["standpipe-height"])
    ('2 mm or 1/16 in', '39 1/2 in, 3 ft 3 in, or 100 cm')
    >>> _example(load_kb().rules["room-above-freezing"]), _example(load_kb().rules["tub-volume"])
    ('38 F or 3 C', '20 gal, 75 L, or 24 x 20 x 14 in')
    """
    marks = [v for v in limits(rule) if v is not None]
    if rule.measures == "length" and marks and max(marks) < SMALL:
        return "2 mm or 1/16 in" if max(marks) < TINY else "2 1/2 in or 6 cm"
    if rule.measures == "temperature" and marks and max(marks) < COOL:
        return "38 F or 3 C"
    if rule.measures == "volume" and marks and min(marks) > TUB:
        return "20 gal, 75 L, or 24 x 20 x 14 in"
    if rule.measures == "volume" and marks:
        return "2 tbsp or 30 mL"
    if rule.measures == "slope":
        return "1/4 in over 2 ft, 1/4 in/ft, or 20 mm/m"
    if rule.measures == "voltage" and marks and max(marks) < LITTLE_V:
        return "2.5 V"
    return EXAMPLES.get(rule.measures, "")


def _remedy_card(kb: model.KB, state: State, step: Step) -> Card:
    cause = kb.causes[step.id]
    remedy = cause.remedy
    parts = [kb.parts[p].title for p in remedy.parts]
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    normal = cause.kind == "normal"
    by = roles.work_of(remedy, state)
    return Card(
        kind="remedy",
        id=step.id,
        title=remedy.title,
        meta=minutes_text(remedy.minutes) + ("" if normal else f", {BY[by]}"),
        steps=remedy.steps,
        by=by,
        parts=parts,
        notes=gates.notes(kb, state, remedy.hazards),
        why=step.why,
        rule=rule_lines(kb, rule, state.hands == "technician") if rule else [],
        pictures=illustrations.of_remedy(kb, cause),
        choices=[
            Choice(id="done", says="yes, that is how it is" if normal else "done"),
            Choice(id="could-not", says="no, it is different" if normal else "could not be done"),
        ],
    )
