"""What a sheet says of a rule: its own readings and looks, else the physics, else a neighbour's reading."""

import math
from dataclasses import replace

import msgspec
from msgspec import Struct

from .. import model
from ..advice import Measured
from ..advising import verdicts
from ..diagnosis.derived import Derived, meanings
from ..diagnosis.network import Network
from ..knowledge import graph
from ..knowledge.machine_sheet import own_rule
from ..measurement import conformity as rules
from ..measurement.readings import Reading, held_against, limits
from ..model import holds
from ..paper.filled_sheet import FilledSheet
from .lines import ORDER, Seen
from .practice import aside


class AssessedSheet(Struct, frozen=True):
    """A sheet with all that follows from it: readings held against their rules, and what the physics makes of them."""

    network: Network
    filled: FilledSheet
    read: dict[str, Reading]
    derived: dict[str, Derived]
    replaced: dict[str, list[str]]
    judged: set[str]  # the checks that some rule was held against, filled in on the way

    @property
    def values(self) -> dict[str, tuple[float, float]]:
        """Return each measured check's value and half-width [SI]."""
        return {name: (r.value, r.half_width) for name, r in self.read.items()}

    @property
    def expert(self) -> bool:
        """Return whether the sheet is a technician's, who is shown what stands here from memory."""
        return self.filled.hands == "technician"


def sought(site: AssessedSheet, rule: model.Rule, ties: dict[str, list[model.Check]]) -> Seen:
    why = aside(site.network.kb, rule, site.filled.facts, site.replaced)
    if why:
        return Seen(verdict="not-applicable", said="", text=why)
    # A rule that judges in another's place takes its readings, too.
    return _found(site, rule, [c for name in (rule.id, *rule.replaces) for c in ties.get(name, [])])


def _found(site: AssessedSheet, rule: model.Rule, checks: list[model.Check]) -> Seen:
    """Return the worst of what was seen of a rule: its own readings and looks, else the physics, else a neighbour's reading."""
    read = [c for c in checks if c.id in site.filled.readings and holds(c.when, site.filled.facts)]
    seen = [_seen(site, rule, c) for c in read]
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
    site.judged.update(s.check for s in seen)
    return min(
        seen,
        key=lambda s: (ORDER[s.verdict], math.inf if s.margin is None else s.margin),
        default=Seen(verdict="not-measured", said="", text=""),
    )


def _seen(site: AssessedSheet, rule: model.Rule, check: model.Check) -> Seen:
    kb = site.network.kb
    if check.id in site.read:
        means = meanings(kb, check, site.values)
        return _judged(site, rule, site.read[check.id], means)
    return _looked(site, rule, check)


def _looked(site: AssessedSheet, rule: model.Rule, check: model.Check) -> Seen:
    answer = site.filled.readings[check.id]
    said = check.answers[answer].says
    if not check.wrong(answer):
        return Seen(verdict="within", said=said, text=said, check=check.id)
    return Seen(
        verdict="broken",
        check=check.id,
        said=said,
        text=f"{said}. {rule.broken}" if rule.broken else said,
        node=graph.answer_node(*_same_as(check, answer)),
    )


def _same_as(check: model.Check, answer: str) -> tuple[str, str]:
    """Return the check and answer whose consequences an answer has on a sheet: a count of what came out is no memory of it."""
    other = check.on_sheet.same_as.get(answer, {}) if check.on_sheet else {}
    return next(iter(other.items()), (check.id, answer))


def accepted(verdict: rules.Verdict, guarded: bool, limit: float) -> rules.Verdict:
    """Return a verdict as a finished installation is accepted: on its limit or inside it a reading is within.

    A nominal value (a 2 in pipe, a gap of 1 in) is not called close; what lies outside by less than its own give or take is. A hazard's
    rule keeps its guard band. This is simple acceptance (JCGM 106 8.2, from memory, unverified); `conformity` stays as it was.

    Examples
    --------
    >>> on = rules.judge(2.0, None, 2.0, 0.06)
    >>> on.state, accepted(on, False, 2.0).state, accepted(on, True, 2.0).state
    ('too-close', 'within', 'too-close')
    """
    if verdict.state == "too-close" and not guarded and verdict.margin >= -1e-9 * max(abs(limit), 1e-3):
        return msgspec.structs.replace(verdict, state="within", side=None)
    return verdict


def _accepted(r: Reading, rule: model.Rule) -> Reading:
    limit = max(abs(x) for x in limits(rule) if x is not None)
    return replace(r, verdict=accepted(r.verdict, rule.guarded, limit))


def _judged(site: AssessedSheet, rule: model.Rule, r: Reading, means: list[str]) -> Seen:
    """Return a reading against its rule, and against the machine's own limit where a code and a manual both bind."""
    kb = site.network.kb
    r = _accepted(r if r.rule == rule.id else held_against(kb, r, rule), rule)
    m = verdicts.measured(kb, r, means, site.filled.facts, site.expert)
    verdict, text = r.verdict, m.text
    own = own_rule(kb, rule)
    if own:
        other = _accepted(held_against(kb, r, own), own).verdict
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
        check=m.check,
    )


def _beside(site: AssessedSheet, rule: model.Rule) -> list[Seen]:
    """Return neighbours' readings and looks held against this rule, each with the condition under which one serves both."""
    kb = site.network.kb
    out = _looked_beside(site, rule)
    for name, r in site.read.items():
        if not holds(kb.checks[name].when, site.filled.facts):
            continue  # a pipe that is not there says nothing of the hose beside it
        for neighbour in kb.rules[r.rule].neighbours:
            if neighbour.rule == rule.id and neighbour.same_reading_if and rule.measures == kb.rules[r.rule].measures:
                held = _accepted(held_against(kb, r, rule), rule)
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
        for neighbour in own.neighbours if own and holds(check.when, site.filled.facts) else []:
            if own and neighbour.rule == rule.id and neighbour.same_reading_if and own.measures == "state":
                twin = not aside(kb, own, site.filled.facts, site.replaced)
                seen = _looked(site, rule, check)
                out.append(msgspec.structs.replace(seen, beside=True, condition=neighbour.same_reading_if, twin=twin))
    return out


def replaced_by(site: AssessedSheet, rule: model.Rule, found: Seen) -> str:
    """Return what judges in place of a common practice that only stands in for it, or an empty text."""
    if rule.authority != "practice" or found.side is None or found.verdict not in ("broken", "too-close"):
        return ""
    for d in site.derived.values():
        if d.instead_of.get(rule.id) == found.side:
            return (
                f"a stand-in, not counted: judged by '{site.network.kb.rules[d.rule].title.lower()}' for this machine"
            )
    if rule.stand_in == found.side:
        return (
            "a stand-in, not counted: what counts is how far the hose's end hangs over this washer's water line. "
            "Name its sheet (machine:), and watch a fill"
        )
    return ""
