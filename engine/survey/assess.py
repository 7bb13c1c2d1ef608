"""The survey of a whole installation: a sheet of readings and looks -> every rule's verdict, and what a break would lead to."""

import math
from typing import Literal

import msgspec
from msgspec import Struct, field

from .. import model
from ..advice import Belief, Measured
from ..advising import verdicts
from ..advising.analysis import Analysis, bounded
from ..advising.verdicts import advice_until, broken_under_all
from ..advising.wording import ASK, both_limits, from_memory, limit_text, source_text, whose
from ..case.state import Answered, State
from ..diagnosis.derived import Derived, behind, meanings
from ..diagnosis.evidence import derived_evidence as work_out
from ..diagnosis.network import Network, network_of
from ..knowledge import graph
from ..knowledge.machine_sheet import own_rule
from ..measurement import conformity as rules
from ..measurement.readings import Reading, held_against, reading
from ..model import holds
from .areas import area_of, area_rank, measurers
from .consequences import Leads, leads_to
from .filled_sheet import FilledSheet

SurveyVerdict = Literal["within", "too-close", "broken", "not-measured", "not-applicable"]
ORDER: dict[SurveyVerdict, int] = {"broken": 0, "too-close": 1, "within": 2, "not-measured": 3, "not-applicable": 4}
BINDS = {"code": 0, "manual": 1, "practice": 2}
RAISED = 0.05  # a cause that is likelier than this is named, and one that breaks a broken rule always


class SurveyLine(Struct, frozen=True, kw_only=True):
    """One rule in a survey.

    `counted` is false where another practice, the same look under another code, or a stand-in that the physics replaces, stands beside the rule that was judged.
    `advice` says why a code's rule that was not kept is no violation here: nobody knows which code is in force, or it stands here from
    memory and a customer asks first.
    `condition` is what must hold for a neighbour's reading to serve this rule as well. `on_sheet` is whether a line of the sheet reads this rule at all.
    `margin` is the distance to the nearer limit, minus outside [SI unit of the rule].
    """

    rule: str
    title: str
    area: str
    verdict: SurveyVerdict
    side: str | None
    said: str
    text: str
    limits: str
    whose: str
    source: str
    authority: str
    conformity: float | None = None
    margin: float | None = None
    measured: Measured | None = None
    means: list[str] = field(default_factory=list)
    leads_to: list[Leads] = field(default_factory=list)
    beside: bool = False
    condition: str = ""
    counted: bool = True
    on_sheet: bool = True
    advice: str = ""


class Survey(Struct, frozen=True, kw_only=True):
    """A surveyed installation: every rule in the order of the walk round it, and the causes that the readings raise."""

    title: str
    machine: str | None
    hands: str
    lines: list[SurveyLine]
    beliefs: list[Belief]
    counts: dict[str, int]


class Seen(Struct, frozen=True, kw_only=True):
    """What one reading or look says of a rule."""

    verdict: SurveyVerdict
    said: str
    text: str
    side: str | None = None
    conformity: float | None = None
    margin: float | None = None
    measured: Measured | None = None
    node: str = ""
    means: list[str] = field(default_factory=list)
    beside: bool = False
    condition: str = ""
    twin: bool = False  # a look that counts already under the rule that its check names


class AssessedSheet(Struct, frozen=True):
    """A sheet with all that follows from it: readings held against their rules, and what the physics makes of them."""

    network: Network
    filled: FilledSheet
    read: dict[str, Reading]
    derived: dict[str, Derived]

    @property
    def values(self) -> dict[str, tuple[float, float]]:
        """Return each measured check's value and half-width [SI]."""
        return {name: (r.value, r.half_width) for name, r in self.read.items()}

    @property
    def expert(self) -> bool:
        """Return whether the sheet is a technician's, who is shown what stands here from memory."""
        return self.filled.hands == "technician"


def survey(kb: model.KB, filled: FilledSheet) -> Survey:
    """Return the verdict on every rule of the kb.

    Parameters
    ----------
    kb : KB
        With the machine's own limits applied.
    filled : FilledSheet

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> done = survey(load_kb(), FilledSheet("s", {"drain": "standpipe"}, {"standpipe-height": "31 in"}, None, "technician"))
    >>> [line.rule for line in done.lines if line.verdict == "broken" and line.counted]
    ['standpipe-height']
    """
    answers = tuple(Answered(n, s, filled.hands, 0) for n, s in filled.readings.items())
    state = State(role="technician", hands=filled.hands, facts=tuple(filled.facts.items()), answers=answers)
    with bounded(kb, state):
        return _survey(kb, filled, state)


def _survey(kb: model.KB, filled: FilledSheet, state: State) -> Survey:
    network = network_of(kb)
    read = {n: reading(kb, n, s, filled.hands) for n, s in filled.readings.items() if kb.checks[n].kind == "measure"}
    site = AssessedSheet(network, filled, read, {d.rule: d for _, d in work_out(network, state)})
    ties = measurers(kb)
    found = {rule.id: _sought(site, rule, ties.get(rule.id, [])) for rule in kb.rules.values()}
    lines = [_line(site, rule, found, bool(ties.get(rule.id))) for rule in kb.rules.values()]
    lines.sort(key=lambda x: (area_rank(x.area), x.area, ORDER[x.verdict], not x.counted, BINDS[x.authority], x.rule))
    machine = kb.machines.get(filled.machine or "")
    return Survey(
        title=filled.title,
        machine=machine.title if machine else filled.machine,
        hands=filled.hands,
        lines=lines,
        counts={v: sum(x.verdict == v for x in lines if x.counted) for v in ORDER},
        beliefs=_raised(kb, Analysis(network, state).beliefs, lines),
    )


def _raised(kb: model.KB, beliefs: list[Belief], lines: list[SurveyLine]) -> list[Belief]:
    """Return the causes to name: first those that break a broken rule, then whatever else is likely; each part likeliest first."""
    broken = {(x.rule, x.side) for x in lines if x.verdict == "broken" and x.counted}
    named = [b for b in beliefs if b.kind != "normal"]
    breaks = {c.id: (c.breaks.rule, c.breaks.side) for c in kb.causes.values() if c.breaks}
    first = [b for b in named if breaks.get(b.cause) in broken]
    return first + [b for b in named if b not in first and b.present >= RAISED]


def _sought(site: AssessedSheet, rule: model.Rule, checks: list[model.Check]) -> Seen:
    if holds(rule.when, site.filled.facts):
        return _found(site, rule, checks)
    return Seen(verdict="not-applicable", said="", text="")


def _advice(site: AssessedSheet, rule: model.Rule, every: dict[str, Seen]) -> str:
    """Return why a code's rule that is not kept is only advice here, or an empty text: it binds, or its rivals say the same."""
    verdict = every[rule.id].verdict
    if verdict not in ("broken", "too-close"):
        return ""
    kept_by_none = [r for r, s in every.items() if ORDER[s.verdict] <= ORDER[verdict]]
    if broken_under_all(site.network.kb, rule, kept_by_none):
        return ""
    return advice_until(site.network.kb, rule, site.filled.facts)


def _line(site: AssessedSheet, rule: model.Rule, every: dict[str, Seen], on_sheet: bool) -> SurveyLine:
    kb = site.network.kb
    found = every[rule.id]
    if found.verdict == "broken" and not found.beside:
        found = msgspec.structs.replace(found, means=[*found.means, *behind(kb, rule, site.values)])
    applies = found.verdict != "not-applicable"
    stand_in = _replaced(site, rule, found)
    # A customer is not told of a violation on the strength of somebody's memory of a code.
    memory = not site.expert and from_memory(rule) and found.verdict in ("broken", "too-close")
    advice = f"advice: {ASK}" if memory else _advice(site, rule, every)
    counted = not stand_in and not advice and not (found.beside and (found.twin or rule.authority == "practice"))
    own = own_rule(kb, rule)
    limits, whom = limit_text(rule), whose(rule, kb.limits.get(rule.id), site.expert)
    if own:
        limits, whom = both_limits(kb, rule, own)
    if found.measured and not found.measured.check:
        limits = found.measured.limits  # worked out: this machine's own need may stand in the rule's place
    return SurveyLine(
        rule=rule.id,
        title=rule.title,
        area=area_of(kb, "rules", rule.id),
        verdict=found.verdict,
        side=found.side,
        said=found.said,
        text=_joined(found.text, stand_in, "" if advice in found.text else advice),
        limits=limits,
        whose=whom,
        source=source_text(kb, rule, site.expert),
        authority=rule.authority,
        conformity=found.conformity,
        margin=found.margin,
        measured=found.measured,
        means=found.means,
        beside=found.beside,
        condition=found.condition,
        counted=counted,
        on_sheet=on_sheet,
        advice=advice,
        leads_to=_leads(site, rule, found) if applies and (counted or (memory and not found.twin)) else [],
    )


def _joined(*texts: str) -> str:
    """Return texts that are not empty as one, without a full stop before a semicolon."""
    said = [t for t in texts if t]
    return "; ".join([*(t.removesuffix(".") for t in said[:-1]), *said[-1:]])


def _found(site: AssessedSheet, rule: model.Rule, checks: list[model.Check]) -> Seen:
    """Return the worst of what was seen of a rule: its own readings and looks, else the physics, else a neighbour's reading."""
    seen = [_seen(site, rule, c) for c in checks if c.id in site.filled.readings]
    readings = [s for s in seen if s.measured]
    if len(readings) > 1:
        # Two readings of one rule: each is called by its own name.
        seen = [
            msgspec.structs.replace(s, said=f"{s.measured.title.lower()} {s.said}") if s.measured else s for s in seen
        ]
    if not seen and rule.id in site.derived:
        seen = [_worked(site, rule)]
    if not seen:
        seen = _beside(site, rule)
    return min(
        seen,
        key=lambda s: (ORDER[s.verdict], math.inf if s.margin is None else s.margin),
        default=Seen(verdict="not-measured", said="", text=""),
    )


def _seen(site: AssessedSheet, rule: model.Rule, check: model.Check) -> Seen:
    kb = site.network.kb
    if check.id in site.read:
        means = meanings(kb, check, site.values)
        return _judged(site, site.read[check.id], means)
    return _looked(site, rule, check)


def _looked(site: AssessedSheet, rule: model.Rule, check: model.Check) -> Seen:
    answer = site.filled.readings[check.id]
    said = check.answers[answer].says
    if answer == list(check.answers)[-1]:
        return Seen(verdict="within", said=said, text=said)
    return Seen(
        verdict="broken",
        said=said,
        text=f"{said}. {rule.broken}" if rule.broken else said,
        node=graph.answer_node(check.id, answer),
    )


def _judged(site: AssessedSheet, r: Reading, means: list[str]) -> Seen:
    """Return a reading against its rule, and against the machine's own limit where a code and a manual both bind."""
    kb = site.network.kb
    m = verdicts.measured(kb, r, means, site.filled.facts, site.expert)
    verdict, text = r.verdict, m.text
    own = own_rule(kb, kb.rules[r.rule])
    if own:
        other = held_against(kb, r, own).verdict
        said = verdicts.verdict_text(own, other)
        if (ORDER[other.state], other.margin) < (ORDER[verdict.state], verdict.margin):
            text = f"{said}; {text}"
            verdict = other
        else:
            text = f"{text}; {said}"
    return _of(m, verdict, text, means)


def _worked(site: AssessedSheet, rule: model.Rule) -> Seen:
    d = site.derived[rule.id]
    m = verdicts.worked_out(site.network.kb, d)
    return _of(m, d.verdict, m.text, means=d.says)


def _of(m: Measured, verdict: rules.Verdict, text: str, means: list[str] | None = None, condition: str = "") -> Seen:
    return Seen(
        verdict=verdict.state,
        said=m.said,
        text=text,
        side=verdict.side,
        conformity=round(verdict.conformity, 9),
        margin=round(verdict.margin, 9),
        measured=m,
        means=means or [],
        beside=bool(condition),
        condition=condition,
    )


def _beside(site: AssessedSheet, rule: model.Rule) -> list[Seen]:
    """Return neighbours' readings and looks held against this rule, each with the condition under which one serves both."""
    kb = site.network.kb
    out = _looked_beside(site, rule)
    for r in site.read.values():
        for neighbour in kb.rules[r.rule].neighbours:
            if neighbour.rule == rule.id and neighbour.same_reading_if and rule.measures == kb.rules[r.rule].measures:
                held = held_against(kb, r, rule)
                m = msgspec.structs.replace(verdicts.measured(kb, held, expert=site.expert), neighbours=[])
                out.append(
                    _of(
                        m,
                        held.verdict,
                        f"{m.text}, if {neighbour.same_reading_if}",
                        condition=neighbour.same_reading_if,
                    )
                )
    return out


def _looked_beside(site: AssessedSheet, rule: model.Rule) -> list[Seen]:
    """Return looks that were made for another code's rule and serve this one as well."""
    kb = site.network.kb
    out: list[Seen] = []
    if rule.measures != "state":
        return out
    for name in site.filled.readings:
        check = kb.checks[name]
        own = kb.rules[check.rule] if check.rule and check.kind != "measure" and not check.only_proof else None
        for neighbour in own.neighbours if own else []:
            if own and neighbour.rule == rule.id and neighbour.same_reading_if and own.measures == "state":
                twin = holds(own.when, site.filled.facts)
                seen = _looked(site, rule, check)
                out.append(msgspec.structs.replace(seen, beside=True, condition=neighbour.same_reading_if, twin=twin))
    return out


def _replaced(site: AssessedSheet, rule: model.Rule, found: Seen) -> str:
    """Return what judges in place of a common practice that only stands in for it, or an empty text."""
    if rule.authority != "practice" or found.side is None or found.verdict not in ("broken", "too-close"):
        return ""
    for d in site.derived.values():
        if d.instead_of.get(rule.id) == found.side:
            return (
                f"a stand-in, not counted: judged by '{site.network.kb.rules[d.rule].title.lower()}' for this machine"
            )
    return ""


def _leads(site: AssessedSheet, rule: model.Rule, found: Seen) -> list[Leads]:
    """Return what the break leads to; where the rule is kept or was not seen, what a break on either side would lead to."""
    facts = site.filled.facts
    if found.verdict in ("broken", "too-close"):
        return leads_to(site.network, rule, found.side, facts, found.node)
    sides: list[str | None] = [None] if rule.measures == "state" else [*graph.sides(rule)]
    return [leads for side in sides for leads in leads_to(site.network, rule, side, facts)]


def to_builtins(done: Survey) -> object:
    """Return a survey as plain data for the envelope."""
    return msgspec.to_builtins(done)


CLOSING = (
    "This holds for what was measured, on the day it was measured; chances rest on judgement. Local code and the machine's manual both bind, the stricter first; "
    "a licensed trade decides where one is required."
)


def count_text(done: "Survey") -> str:
    """Return the counts of a survey in one sentence."""
    c = done.counts
    return (
        f"{c['broken']} broken, {c['too-close']} too close to call, {c['within']} within, "
        f"{c['not-measured']} not measured, {c['not-applicable']} not applicable"
    )
