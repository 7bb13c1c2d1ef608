"""What on a sheet keeps the machine from being run: what it is, the danger in plain words, and what to do until it is mended."""

from msgspec import Struct

from .. import model
from ..measurement import formatting
from ..measurement.readings import reading
from ..model import holds
from .areas import area_of
from .filled_sheet import FilledSheet

SHOCK = "It can give a shock that kills, or start a fire."
FLOOD = "It can flood the house."
SCALD = "It can scald, children sooner."
# A hazard whose gate an answer raises, as a danger in plain words; one that is not named here speaks with its own sentence.
DANGERS = {
    "shock-tingle": "It can give a shock that kills.",
    "water-near-electricity": "It can give a shock that kills.",
    "lost-neutral": SHOCK,
    "burning-smell": "It can start a fire.",
    "water-running": FLOOD,
    "frozen-pipe": "A pipe that froze can burst and flood the house.",
    "scalding-supply": SCALD,
}
ELECTRIC = ("shock-tingle", "water-near-electricity", "lost-neutral", "burning-smell")
# What a break of what nobody leaves without can do, by the part of the house; a closed tap hurts nobody.
AREAS = {
    "power": SHOCK,
    "drain": FLOOD,
    "supply": FLOOD,
    "stand": "It can walk off its place and pull its hoses loose.",
}
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
NEEDS_WATER = ("supply", "fill")


class Stop(Struct, frozen=True, kw_only=True):
    """A line that came out so that the machine is not run; `danger` is empty where a run would only fail, `act` what to do meanwhile.

    `grave` is that it can hurt somebody by itself: a hazard's gate, a guarded rule, or the outlet.
    """

    check: str
    title: str
    said: str
    danger: str
    act: str
    grave: bool


def stops(kb: model.KB, filled: FilledSheet) -> list[Stop]:
    """Return what keeps the machine from being run, what can hurt somebody first, else in the order of the sheet.

    That is an answer that raises a hazard's gate, and any other wrong answer to a look at the same rule; a guarded rule that is broken, seen
    or measured; and whatever came out wrong of what nobody leaves without, short of the runs themselves.

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
    return sorted(every, key=lambda s: not s.grave)


def meanwhile(found: list[Stop]) -> list[str]:
    """Return what to do until all is mended, each once; where current is in it, that comes before the taps."""
    acts = list(dict.fromkeys(s.act for s in found if s.danger))
    return [a for a in acts if a == OFF] + [a for a in acts if a != OFF and not (a == SHUT and OFF in acts)]


def scalds(kb: model.KB, check: str, side: str | None) -> bool:
    """Return whether a reading past its limit is water that scalds."""
    found = kb.checks.get(check)
    return bool(
        found
        and side == "above"
        and found.kind == "measure"
        and kb.rules[found.rule or ""].measures == "temperature"
        and "scalding-supply" in found.hazards
    )


def may_go_on(kb: model.KB, check: model.Check, found: list[Stop]) -> bool:
    """Return whether a line that needs no run is still looked at beside what stops one: where something can hurt, by eye and ear alone."""
    if not any(s.grave for s in found):
        return True
    return check.kind in ("look", "ask") and area_of(kb, "rules", check.rule or "") not in NEEDS_WATER


def _stop(kb: model.KB, filled: FilledSheet, check: model.Check, said: str) -> Stop | None:
    rule = kb.rules.get(check.rule or "")
    if rule and not holds(rule.when, filled.facts):
        rule = None
    area = area_of(kb, "rules", rule.id) if rule else ""
    if check.kind == "measure":
        if not (rule and rule.guarded):
            return None
        r = reading(kb, check.id, said, filled.by(check.id))
        if r.verdict.state != "broken":
            return None
        return _of(check, formatting.show(r.value, rule.measures), AREAS.get(area, SHOCK), OFF, True)
    if not check.answers or said == list(check.answers)[-1]:
        return None
    answer = check.answers[said]
    raised = answer.raises or (_raised(kb, rule) if rule and not check.only_proof else None)
    if raised:
        danger = DANGERS.get(raised, kb.hazards[raised].says)
        act = (
            OFF
            if raised in ELECTRIC
            else SHUT
            if danger in (FLOOD, DANGERS["frozen-pipe"])
            else kb.hazards[raised].says
        )
        return _of(check, answer.says, danger, act, True)
    if rule and not check.only_proof and (rule.guarded or rule.id in _must(kb)):
        electric = rule.guarded or area == "power"
        return _of(check, answer.says, AREAS.get(area, ""), OFF if electric else SHUT, electric)
    return None


def _of(check: model.Check, said: str, danger: str, act: str, grave: bool) -> Stop:
    return Stop(check=check.id, title=check.title, said=said, danger=danger, act=act, grave=grave)


def _must(kb: model.KB) -> set[str]:
    return {
        c.rule for c in kb.checks.values() if c.rule and c.on_sheet and c.on_sheet.must_see and c.on_sheet.at != "run"
    }


def _raised(kb: model.KB, rule: model.Rule) -> str | None:
    """Return the hazard that a look at this rule can raise: what has not burst yet is no safer to run."""
    return next(
        (a.raises for c in kb.checks.values() if c.rule == rule.id for a in c.answers.values() if a.raises), None
    )
