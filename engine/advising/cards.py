"""Steps and findings put into words and data: everything that a face shows, worked out here so that a face decides nothing."""

import re
from collections import Counter
from math import inf
from typing import TYPE_CHECKING

from .. import model
from ..advice import Card, Choice, Step
from ..case.state import Earlier, State, reports_of_then
from ..diagnosis.earlier import behind
from ..diagnosis.network import Network, network_of
from ..measurement.formatting import READER
from ..measurement.readings import limits
from ..planning import roles
from ..planning.problem import Decision as Chosen
from . import gates, illustrations
from .verdicts import in_force
from .wording import BY, HELPED, in_100, minutes_text, rule_lines

if TYPE_CHECKING:
    from .analysis import Analysis

MONTHS_10 = 10 * 30.44 * 86400.0  # [s]
# How a reading may be written, by what is measured and the size of the rule's largest limit [SI, °C]: none is the limit itself.
EXAMPLES: dict[str, tuple[tuple[float, str], ...]] = {
    "length": (
        (0.015, "2 cards, 2 mm, or 1/16 in"),
        (0.5, "2 1/2 in or 6 cm"),
        (0.6, "18 in or 45 cm"),
        (3.0, "39 1/2 in, 3 ft 4 in, or 100 cm"),
        (inf, "14 steps, 40 ft, or 12 m"),
    ),
    "slope": ((inf, "3/8 in over 2 ft, 3/16 in/ft, or 12 mm/m"),),
    "flow": ((inf, "1 gal in 20 s, 3 gpm, or 11 L/min"),),
    "volume": ((0.01, "2 tbsp or 30 mL"), (inf, "18 gal, 70 L, or 24 x 20 x 14 in")),
    "pressure": ((inf, "55 psi or 3.8 bar"),),
    "temperature": ((10.0, "38 F or 3 C"), (40.0, "62 F or 17 C"), (inf, "115 F or 46 C")),
    "voltage": ((20.0, "2.5 V"), (150.0, "118 V"), (inf, "228 V")),
    "current": ((0.1, "1.2 mA"), (inf, "12 A")),
    "time": ((120.0, "45 s or 2 min"), (3600.0, "5 min or 90 s"), (inf, "3 h or 90 min")),
    "age": ((MONTHS_10, "3 weeks or 2 months"), (inf, "3 years or 30 months")),
    "turns": ((inf, "2 flats, 4 clock hours, or 1/3 turn"),),
    "count": ((inf, "0"),),
    "mass": ((inf, "300 lb or 140 kg"),),
    "area": ((inf, "100 sq in or 650 cm2"),),
}
SI_UNIT = re.compile(r"\d ?(?:m|mm|cm|cm2|L|L/min|mL|bar|kPa|C|kg|mm/m)\b")


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
                question=gate.at_once.first if gate.at_once else "",
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
        then=_then(kb, state, check.id, step.cause if step.proof else None),
    )


def said_then(kb: model.KB, then: Earlier) -> str:
    """Return what an earlier reading says, in words."""
    answers = kb.checks[then.check].answers
    return answers[then.said].says if then.said in answers else then.said


def _then(kb: model.KB, state: State, check: str, mended: str | None) -> str:
    """Return what was seen of a check at the installation, for the card that asks it again; of a proof what was left that it is about.

    It was so then, and may have changed.
    """
    became = {"left": ", and it was left so", "declined": ", and the mend was declined", "": ""}
    if mended:
        left = [e for e in state.earlier if e.left and mended in behind(network_of(kb), e)]
        return "; ".join(
            f"at the installation: {kb.checks[e.check].title.lower()}: {said_then(kb, e)}{became[e.left]}" for e in left
        )
    then = next((e for e in reports_of_then(state) if e.check == check), None)
    return f"at the installation: {said_then(kb, then)}{became[then.left]}" if then else ""


def _example(rule: model.Rule) -> str:
    """Return how a reading for a rule looks, in the reader's own habit first.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> token = READER.set("si-first")
    >>> _example(load_kb().rules["standpipe-height"])
    '100 cm, 39 1/2 in, or 3 ft 4 in'
    >>> READER.reset(token)
    """
    text = _both(rule)
    system = READER.get()
    if system not in ("us", "si", "si-first"):
        return text
    rows = [t.removeprefix("or ").strip() for t in re.split(r", | or ", text)]
    metric = [t for t in rows if SI_UNIT.search(t)]
    us = [t for t in rows if t not in metric]
    if not metric or not us:
        return text
    shown = us if system == "us" else metric if system == "si" else [*metric, *us]
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + (", or " if len(shown) > 2 else " or ") + shown[-1]


def _both(rule: model.Rule) -> str:
    """Return how a reading for a rule looks; a gap of a millimetre is not written like a standpipe.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> _both(load_kb().rules["all-feet-bear"]), _both(load_kb().rules["standpipe-height"])
    ('2 cards, 2 mm, or 1/16 in', '39 1/2 in, 3 ft 4 in, or 100 cm')
    >>> _both(load_kb().rules["room-above-freezing"]), _both(load_kb().rules["tub-volume"])
    ('38 F or 3 C', '18 gal, 70 L, or 24 x 20 x 14 in')
    """
    largest = max((v for v in limits(rule) if v is not None), default=0.0)
    return next((text for most, text in EXAMPLES.get(rule.measures, ()) if largest <= most), "")


def part_texts(kb: model.KB, remedy: model.Remedy, buys: bool) -> list[str]:
    """Return the parts of a remedy in words, each with its number; with what to ask for at the counter for whoever buys them.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> part_texts(kb, kb.causes["arrester-missing"].remedy, False)
    ['2 x water hammer arrester with hose thread']
    """
    out = []
    for name, n in Counter(remedy.parts).items():
        part = kb.parts[name]
        asked = f" ({part.ask_for})" if buys and part.ask_for else ""
        out.append(f"{n} x {part.title}{asked}" if n > 1 else f"{part.title}{asked}")
    return out


def _remedy_card(kb: model.KB, state: State, step: Step) -> Card:
    cause = kb.causes[step.id]
    remedy = cause.remedy
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    normal = cause.kind == "normal"
    by = roles.work_of(remedy, state)
    parts = part_texts(kb, remedy, by == "anyone" and state.hands == "homeowner")
    return Card(
        kind="remedy",
        id=step.id,
        title=remedy.title,
        meta=minutes_text(remedy.minutes)
        + ("" if normal else f", {HELPED if by == 'anyone' and roles.people(kb, remedy) > 1 else BY[by]}"),
        steps=remedy.steps,
        by=by,
        parts=parts,
        notes=gates.notes_at_steps(kb, state, remedy),
        why=step.why,
        rule=rule_lines(kb, rule, state.hands == "technician") if rule else [],
        pictures=illustrations.of_remedy(kb, cause),
        choices=[
            Choice(id="done", says="yes, that is how it is" if normal else "done"),
            Choice(id="could-not", says="no, it is different" if normal else "could not be done"),
        ],
    )
