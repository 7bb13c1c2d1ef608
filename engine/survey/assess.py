"""The survey of a whole installation: a sheet of readings and looks -> every rule's verdict, and what a break would lead to."""

from typing import Any

import msgspec
from msgspec import Struct, field

from .. import model
from ..advice import Belief
from ..advising.analysis import Analysis, bounded
from ..advising.verdicts import advice_until, broken_under_all, whichever
from ..advising.wording import ASK, both_limits, from_memory, limit_text, recalled, source_text, whose, without_code
from ..case.state import Answered, State
from ..diagnosis.derived import behind, measured_inputs
from ..diagnosis.evidence import derived_evidence as work_out
from ..diagnosis.network import network_of
from ..knowledge import graph
from ..knowledge.machine_sheet import own_rule
from ..measurement.readings import reading
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from ..paper.unread import Unread
from .areas import area_of, area_rank, measurers
from .blank_sheet import blank_lines
from .consequences import Leads, leads_to
from .declined import Declined, declined
from .findings import Defect, findings
from .judging import AssessedSheet, replaced_by, sought
from .lines import ORDER, Seen, SurveyLine
from .must_see import STAGES, Missing, due_at, missing
from .phone_check import PhoneCheck, phone_check
from .practice import replacing
from .seen import Proved, Unjudged, proved, unjudged
from .stops import Stop, stops

BINDS = {"code": 0, "manual": 1, "practice": 2}
NEW = {"onset": "new"}  # a finished installation is new, unless its sheet says otherwise
RAISED = 0.05  # a cause that is likelier than this is named, and one that breaks a broken rule always


class Survey(Struct, frozen=True, kw_only=True):
    """A surveyed installation.

    Every rule in the order of the walk round it; what was found broken by consequence, each with its mend; proofs that were made; filled
    lines that judge nothing here; what must be seen and was not (nothing where it is finished); the causes that the readings raise;
    and what keeps the machine from being run. `phone` is what a check before delivery came to;
    `read_as` how lines that a pen wrote were read, `unread` those that were not understood. `stage_left` are
    the empty lines of the stage up to which it was judged, by title.
    """

    title: str
    machine: str | None
    hands: str
    lines: list[SurveyLine]
    beliefs: list[Belief]
    counts: dict[str, int]
    findings: list[Defect] = field(default_factory=list)
    proofs: list[Proved] = field(default_factory=list)
    unjudged: list[Unjudged] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)
    stage: str = ""
    stops: list[Stop] = field(default_factory=list)
    declined: list[Declined] = field(default_factory=list)
    phone: PhoneCheck | None = None
    read_as: list[str] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    stage_left: list[str] = field(default_factory=list)

    @property
    def failed(self) -> bool:
        """Whether something that was seen is not as it must be, and its mend was not declined."""
        return bool(self.stops) or any(not p.passed for p in self.proofs) or any(not f.declined for f in self.findings)


def survey(kb: model.KB, filled: FilledSheet, stage: model.Stage | None = None) -> Survey:
    """Return the verdict on every rule of the kb.

    Parameters
    ----------
    kb : KB
        With the machine's own limits applied.
    filled : FilledSheet
        An installation that is finished is new, unless its facts say otherwise.
    stage : str, optional
        How far the installation has come: only what can be seen by then must have been seen. The last stage unless said.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> done = survey(load_kb(), FilledSheet("s", {"drain": "standpipe"}, {"standpipe-height": "31 in"}, None, "technician"))
    >>> [line.rule for line in done.lines if line.verdict == "broken" and line.counted]
    ['standpipe-height']
    >>> done.findings[0].mend.title, done.missing[0].fact
    ('Raise the standpipe', True)
    """
    filled = msgspec.structs.replace(filled, facts={**NEW, **filled.facts})
    answers = tuple(Answered(n, s, filled.by(n), 0) for n, s in filled.readings.items())
    state = State(role="technician", hands=filled.hands, facts=tuple(filled.facts.items()), answers=answers)
    with bounded(kb, state):
        return _survey(kb, filled, state, stage)


def _survey(kb: model.KB, filled: FilledSheet, state: State, stage: model.Stage | None) -> Survey:
    network = network_of(kb)
    read = {n: reading(kb, n, s, filled.by(n)) for n, s in filled.readings.items() if kb.checks[n].kind == "measure"}
    replaced = replacing(kb, filled.facts)
    site = AssessedSheet(network, filled, read, {d.rule: d for _, d in work_out(network, state)}, replaced, set())
    ties = measurers(kb)
    found = {rule.id: sought(site, rule, ties) for rule in kb.rules.values()}
    lines = [
        _line(site, rule, found, any(holds(c.when, filled.facts) for c in ties.get(rule.id, [])))
        for rule in kb.rules.values()
    ]
    lines.sort(key=lambda x: (area_rank(x.area), x.area, ORDER[x.verdict], not x.counted, BINDS[x.authority], x.rule))
    machine = kb.machines.get(filled.machine or "")
    idle = unjudged(kb, filled, replaced, site.judged)
    left = {x.check for x in idle}
    heard = tuple(a for a in state.answers if a.check not in left and kb.checks[a.check].rule not in replaced)
    beliefs = Analysis(network, msgspec.structs.replace(state, answers=heard)).beliefs
    proofs = proved(kb, filled)
    found_broken = findings(network, filled, [x for x in lines if x.verdict == "broken" and x.counted], proofs, beliefs)
    lacks = missing(kb, filled, stage)
    return Survey(
        title=filled.title,
        machine=machine.title if machine else filled.machine,
        hands=filled.hands,
        lines=lines,
        counts={v: sum(x.verdict == v for x in lines if x.counted) for v in ORDER},
        beliefs=_raised(kb, beliefs, lines),
        findings=found_broken,
        proofs=proofs,
        unjudged=idle,
        missing=lacks,
        phone=phone_check(kb, filled, len({f.check for f in found_broken}), lacks) if stage == "before" else None,
        facts=filled.facts,
        stage=stage or "",
        stops=stops(kb, filled),
        declined=declined(kb, filled, found_broken),
        read_as=[f'{name}: "{said}" as "{meant}"' for name, (said, meant) in filled.read_as.items() if said != meant],
        unread=list(filled.unread),
        stage_left=_stage_left(kb, filled, stage, lacks),
    )


def _stage_left(kb: model.KB, filled: FilledSheet, stage: model.Stage | None, lacks: list[Missing]) -> list[str]:
    """Return the titles of a stage's own lines that are empty and need not be seen."""
    if stage in (None, STAGES[-1]):
        return []
    passed = {*filled.readings, *filled.declined, *(m.id for m in lacks)}
    here = (c for c in blank_lines(kb, filled.hands, filled.facts) if c.on_sheet and due_at(c, stage))
    return [c.title for c in here if c.id not in passed and holds(c.when, filled.facts)]


def _raised(kb: model.KB, beliefs: list[Belief], lines: list[SurveyLine]) -> list[Belief]:
    """Return the causes to name: first those that break a broken rule, then whatever else is likely; each part likeliest first."""
    broken = {(x.rule, x.side) for x in lines if x.verdict == "broken" and x.counted}
    named = [b for b in beliefs if b.kind != "normal"]
    breaks = {c.id: (c.breaks.rule, c.breaks.side) for c in kb.causes.values() if c.breaks}
    first = [b for b in named if breaks.get(b.cause) in broken]
    return first + [b for b in named if b not in first and b.present >= RAISED]


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
    # A floor that nobody looked into is not spoken of as if it were known.
    invented = rule.model and rule.model.assumes_site and not measured_inputs(rule.model, site.values)
    if found.verdict == "broken" and not found.beside and not invented:
        found = msgspec.structs.replace(found, means=[*found.means, *behind(kb, rule, site.values)])
    applies = found.verdict != "not-applicable"
    stand_in = replaced_by(site, rule, found)
    # A customer is not told of a violation on the strength of somebody's memory of a code.
    memory = not site.expert and from_memory(rule) and found.verdict in ("broken", "too-close")
    advice = f"advice: {ASK}" if memory else _advice(site, rule, every)
    counted = not stand_in and not advice and not (found.beside and (found.twin or rule.authority == "practice"))
    own = own_rule(kb, rule)
    asked_by = whichever(kb, rule, site.filled.facts)
    limits, whom = limit_text(rule), whose(rule, kb.limits.get(rule.id), site.expert)
    if own:
        limits, whom = both_limits(kb, rule, own)
    if found.measured and not found.measured.check:
        limits = found.measured.limits  # worked out: this machine's own need may stand in the rule's place
    if asked_by and site.expert and not own:
        whom = asked_by
    return SurveyLine(
        rule=rule.id,
        title=without_code(rule) if asked_by else rule.title,
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
        check=found.check,
        node=found.node,
        told=found.check in site.filled.told,
        recalled=recalled(rule) and not own and not (found.measured and not found.measured.check),
        leads_to=_leads(site, rule, found) if applies and (counted or (memory and not found.twin)) else [],
    )


def _joined(*texts: str) -> str:
    """Return texts that are not empty as one, without a full stop before a semicolon."""
    said = [t for t in texts if t]
    return "; ".join([*(t.removesuffix(".") for t in said[:-1]), *said[-1:]])


def _leads(site: AssessedSheet, rule: model.Rule, found: Seen) -> list[Leads]:
    """Return what the break leads to; where the rule is kept or was not seen, what a break on either side would lead to."""
    facts = site.filled.facts
    if rule.replaces and not found.node:
        rule = site.network.kb.rules[rule.replaces[0]]  # the causes are those of the rule in whose place it judges
    if found.verdict in ("broken", "too-close"):
        return leads_to(site.network, rule, found.side, facts, found.node)
    sides: list[str | None] = [None] if rule.measures == "state" else [*graph.sides(rule)]
    return [leads for side in sides for leads in leads_to(site.network, rule, side, facts)]


def to_builtins(done: Survey) -> dict[str, Any]:
    """Return a survey as plain data for the envelope."""
    plain: dict[str, Any] = msgspec.to_builtins(done)
    return plain


CLOSING = (
    "This holds for what was measured, on the day it was measured; chances rest on judgement. Local code and the machine's manual both bind, the stricter first; "
    "a licensed trade decides where one is required."
)


TOLD_CLOSING = CLOSING.replace("what was measured, on the day it was measured", "what was told, on the day it was told")


def count_text(done: "Survey") -> str:
    """Return the counts of a survey in one sentence."""
    if done.phone:
        return done.phone.text
    c = done.counts
    failed = sum(not p.passed for p in done.proofs)
    proofs = f"{failed} proof{'s' if failed > 1 else ''} failed, " if failed else ""
    passed = sum(f.declined for f in done.findings)
    said = f" ({passed} mend{'s' if passed > 1 else ''} declined by the customer)" if passed else ""
    if done.stage and done.stage != STAGES[-1]:
        left = f", {len(done.stage_left)} more lines of this stage left empty" if done.stage_left else ""
        return f"As far as {done.stage}: {c['broken']} broken{said}, {proofs}{c['too-close']} too close to call, {c['within']} within{left}"
    return (
        f"{c['broken']} broken{said}, {proofs}{c['too-close']} too close to call, {c['within']} within, "
        f"{c['not-measured']} not measured, {c['not-applicable']} not applicable"
    )
