"""What on a sheet keeps the machine from being run: what it is, the danger in plain words, and what to do until it is mended."""

import re

from msgspec import Struct, structs

from .. import model
from ..diagnosis.derived import amounts_to
from ..measurement import formatting, quantity
from ..measurement.readings import Reading, held_against, reading
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from .areas import area_of
from .practice import replacing, serves

# Until then: with current first, for metal that may be live is touched by nobody.
OFF = (
    "Until then: from a dry place, switch off its breaker before anybody touches the washer, a tap or a hose. Then, with dry hands from dry floor, "
    "pull its plug and close both taps; a hot or browned plug stays in. Anything wet at the outlet, the panel or the way to it, or a tingle: touch nothing, "
    "keep everybody away, and call an electrician. Water still runs: the house's main valve, if it can be reached dry."
)
SHUT = (
    "Until then: close both taps, and pull its plug with dry hands from dry floor. Water near a plug or an outlet: keep out of it, touch nothing, "
    "and close the house's main valve if it can be reached dry."
)
ACTS = {"power": OFF, "water": SHUT}
TAPS = "taps-reachable"  # the line that says whether its taps can be closed
NEEDS_WATER = ("supply", "fill")
CLOSE = re.compile(r"\b(c)lose (?:both|the|its) taps\b(?: of the washer)?", re.I)
# Where its taps can't be closed.
OFF_AT_MAIN = OFF.replace("pull its plug and close both taps;", "pull its plug;").replace(
    "Water still runs: the house's main valve, if it can be reached dry.",
    "Its taps can't be closed: close the house's main valve, if it can be reached dry.",
)
SHUT_AT_MAIN = (
    "Until then: its taps can't be closed, so close the house's main valve, and pull its plug with dry hands from dry floor. Water near a plug or "
    "an outlet: keep out of it, touch nothing, and close the main valve only if it can be reached dry."
)
AT_MAIN = {OFF: OFF_AT_MAIN, SHUT: SHUT_AT_MAIN}


def taps_stuck(kb: model.KB, filled: FilledSheet) -> bool:
    """Return whether a sheet says that the washer's taps can't be closed: then nobody is told to close them.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> [taps_stuck(load_kb(), FilledSheet("s", {}, {TAPS: said}, None, "technician")) for said in ("stuck", "free")]
    [True, False]
    """
    said = filled.readings.get(TAPS)
    return said is not None and kb.checks[TAPS].wrong(said)


def at_the_main(text: str) -> str:
    """Return what is done with its taps as it is done where they can't be closed: at the house's main valve.

    Examples
    --------
    >>> at_the_main("Away for more than a day: close both taps.")
    "Away for more than a day: close the house's main valve (its own taps can't be closed)."
    """
    return AT_MAIN.get(text) or CLOSE.sub(r"\1lose the house's main valve (its own taps can't be closed)", text)


class Stop(Struct, frozen=True, kw_only=True):
    """A line that came out so that the machine is not run; `danger` is empty where a run would only fail, `act` what to do meanwhile.

    `grave` is that it can hurt somebody by itself: a hazard's gate, current, or a rule whose looks can raise a gate.
    """

    check: str
    title: str
    said: str
    danger: str
    act: str
    grave: bool


def stops(kb: model.KB, filled: FilledSheet) -> list[Stop]:
    """Return what keeps the machine from being run, what can hurt somebody first, else in the order of the sheet.

    That is an answer that raises a hazard's gate; a break of a rule that is a danger by itself, seen or measured (`Rule.danger`: some only
    from a limit of their own on); and whatever came out wrong of what nobody leaves without, short of the runs themselves.

    Parameters
    ----------
    kb : KB
    filled : FilledSheet

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> said = {"fill-hose-bulge": "bulge", "things-on-top": "things"}
    >>> [(s.check, s.danger) for s in stops(load_kb(), FilledSheet("s", {}, said, None, "technician"))]
    [('fill-hose-bulge', 'It can flood the house.')]
    """
    every = [
        found
        for name, said in filled.readings.items()
        if holds(kb.checks[name].when, filled.facts) and (found := _stop(kb, filled, kb.checks[name], said))
    ]
    if taps_stuck(kb, filled):
        every = [structs.replace(s, act=at_the_main(s.act)) for s in every]
    return sorted(every, key=lambda s: not s.grave)


def meanwhile(found: list[Stop]) -> list[str]:
    """Return what to do until all is mended, each once; where current is in it, that comes before the taps."""
    acts = list(dict.fromkeys(s.act for s in found if s.danger))
    off = [a for a in acts if a in (OFF, OFF_AT_MAIN)]
    return off + [a for a in acts if a not in off and not (a in (SHUT, SHUT_AT_MAIN) and off)]


def in_use(found: list[Stop]) -> list[str]:
    """Return what a caller does with a washer that runs there already, once a phone check came upon a danger."""
    return [f"Is a washer in use there now? {act}" for act in meanwhile(found)]


def danger_of(kb: model.KB, filled: FilledSheet, check: model.Check) -> model.RuleDanger | None:
    """Return the danger that a filled line's break is by itself, or None: it keeps its rule, or hurts nobody so far.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb, line = load_kb(), "outlet-voltage-drop"
    >>> drops = [FilledSheet("s", {"supply-system": "us-120"}, {line: said}, None, "technician") for said in ("4.2 V", "9 V")]
    >>> [danger.hazard if (danger := danger_of(kb, sheet, kb.checks[line])) else None for sheet in drops]
    [None, 'burning-smell']
    """
    rule = serves(kb, check, filled.facts, replacing(kb, filled.facts))
    if rule is None or check.only_proof:
        return None
    said = filled.readings[check.id]
    danger = rule.danger or _guarded(kb, rule, check)
    if check.kind != "measure":
        return danger if check.wrong(said) else None
    r = reading(kb, check.id, said, filled.by(check.id))
    r = r if r.rule == rule.id else held_against(kb, r, rule)
    if danger is None or r.verdict.state != "broken":
        return None
    return danger if _past(rule, danger, r) or _amounts(kb, filled, check, danger) else None


def _guarded(kb: model.KB, rule: model.Rule, check: model.Check) -> model.RuleDanger | None:
    """Return the danger of a guarded rule that says nothing of its own: the first hazard of its check that has words for it."""
    if not rule.guarded or rule.why_no_danger:
        return None
    named = [h for h in check.hazards if kb.hazards[h].danger] or check.hazards
    return model.RuleDanger(hazard=named[0]) if named else None


def _past(rule: model.Rule, danger: model.RuleDanger, r: Reading) -> bool:
    """Return whether a broken reading lies where a break is a danger; the rule's own limit has the guard band."""
    ends = [quantity.parse(text, rule.measures) if text else None for text in (danger.below, danger.above)]
    if ends == [None, None] and danger.output is None:
        return True
    low, high = ends
    return (low is not None and r.value <= low) or (high is not None and r.value >= high)


def _amounts(kb: model.KB, filled: FilledSheet, check: model.Check, danger: model.RuleDanger) -> bool:
    """Return whether the physics behind a reading comes to what is a danger, with what else was measured on the sheet."""
    if danger.output is None:
        return False
    values = {}
    for name, said in filled.readings.items():
        if kb.checks[name].kind == "measure":
            r = reading(kb, name, said, filled.by(name))
            values[name] = (r.value, r.half_width)
    found = amounts_to(kb, check, danger.output, values)
    return found is not None and found >= (danger.at_least or 0.0)


def may_go_on(kb: model.KB, check: model.Check, found: list[Stop]) -> bool:
    """Return whether a line that needs no run is still looked at beside what stops one: where something can hurt, by eye and ear alone."""
    if not any(s.grave for s in found):
        return True
    return check.kind in ("look", "ask") and area_of(kb, "rules", check.rule or "") not in NEEDS_WATER


def _stop(kb: model.KB, filled: FilledSheet, check: model.Check, said: str) -> Stop | None:
    danger = danger_of(kb, filled, check)
    wrong = check.wrong(said)
    raised = check.answers[said].raises if wrong else None
    name = raised or (danger.hazard if danger and not danger.may_run else None)
    if name:
        hazard = kb.hazards[name]
        # A gate that is raised, and whatever current is in, hurts by itself; water and a walk need the run.
        grave = bool(raised) or hazard.shut_off == "power" or check.kind == "measure" or _raises(kb, check.rule)
        return _of(kb, check, said, hazard.danger or hazard.says, ACTS.get(hazard.shut_off or "", hazard.says), grave)
    if wrong and not check.only_proof and check.rule in _must(kb) and holds(kb.rules[check.rule].when, filled.facts):
        return _of(kb, check, said, "", SHUT, False)
    return None


def _of(kb: model.KB, check: model.Check, said: str, danger: str, act: str, grave: bool) -> Stop:
    text = check.answers[said].says if check.answers else formatting.show(*_value(kb, check, said))
    return Stop(check=check.id, title=check.title, said=text, danger=danger, act=act, grave=grave)


def _value(kb: model.KB, check: model.Check, said: str) -> tuple[float, model.Measure]:
    measures = kb.rules[check.rule or ""].measures
    return quantity.parse(said, measures), measures


def _must(kb: model.KB) -> set[str]:
    return {
        c.rule for c in kb.checks.values() if c.rule and c.on_sheet and c.on_sheet.must_see and c.on_sheet.at != "run"
    }


def _raises(kb: model.KB, rule: str | None) -> bool:
    """Return whether some look at a rule raises a gate: what has not burst yet is no safer to run."""
    return any(a.raises for c in kb.checks.values() if c.rule == rule and rule for a in c.answers.values())
