"""Findings, readings and hand-overs put into words: what was wrong, how sure, against which rule, and what to tell the next person."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from . import model, quantity, rules, views
from .adopted import advice_until, broken_under_all
from .advice import Finding, HandOn, Measured, Step
from .cards import in_100, limit_text, whose
from .evidence import Reading, held_against, holds, limits
from .machine import own_rule
from .thought import Thought

if TYPE_CHECKING:
    from .derived import Derived

UNTIL = "Until then:"  # how a remedy's step begins that is for whoever waits for the trade


def verdict_text(rule: model.Rule, verdict: rules.Verdict) -> str:
    """Return a verdict in words; below common practice is never called against the rules."""
    if rule.model and rule.model.gives:
        return _worked_out_text(rule, verdict)
    name = {"code": rule.edition or "the code", "manual": "this machine's manual", "practice": "common practice"}[
        rule.authority
    ]
    if verdict.state == "within":
        return f"within {name}"
    if verdict.state == "too-close":
        return f"too close to call against {name}: measure again, or with a better tool"
    by = quantity.show_difference(abs(verdict.margin), rule.measures)
    if rule.authority == "practice" and verdict.side == "below":
        return f"below common practice by {by}"
    return f"{verdict.side} {name} by {by}"


def _worked_out_text(rule: model.Rule, verdict: rules.Verdict) -> str:
    from .workings.records import show

    by = show(abs(verdict.margin), rule.measures)
    if verdict.state == "within":
        return f"holds, with {by} to spare"
    if verdict.state == "too-close":
        return "too close to call by this estimate"
    return f"broken by {by}"


def span(rule: model.Rule, value: float, low: float | None, high: float | None) -> tuple[float, float]:
    """Return the ends of a number line: where a true value can lie, else what holds the limits and the value [SI]."""
    if rule.plausible:
        return quantity.plausible(rule.plausible, rule.measures)
    marks = [v for v in (low, high, value) if v is not None]
    room = max(max(marks) - min(marks), abs(max(marks)) / 2)
    return min(marks) - room, max(marks) + room


def worked_out(kb: model.KB, d: "Derived") -> Measured:
    """Return a value worked out from readings as the face shows it."""
    from .workings.records import show

    rule = kb.rules[d.rule]
    first, last = span(rule, d.value, d.low, d.high)
    limit = f"at least {quantity.show(d.low, rule.measures)}" if d.low is not None and d.high is None else limit_text(rule)
    return Measured(
        check="",
        title=rule.title,
        said=show(d.value, rule.measures),
        rule=rule.id,
        verdict=d.verdict.state,
        side=d.verdict.side,
        conformity=round(d.verdict.conformity, 9),
        value=d.value,
        low=d.low,
        high=d.high,
        first=min(first, d.value),
        last=max(last, d.value),
        text=f"{d.text}; {verdict_text(rule, d.verdict)}",
        whose=whose(rule),
        limits=limit,
        means=d.says,
    )


def measured(
    kb: model.KB, r: Reading, means: list[str] | None = None, facts: Mapping[str, str] | None = None
) -> Measured:
    """Return a reading as the face shows it: verdict, number line, neighbours; a code that is not in force is left out."""
    known = dict(facts or {})
    rule = kb.rules[r.rule]
    alike = [kb.rules[n.rule] for n in rule.neighbours if n.same_reading_if and kb.rules[n.rule].measures == rule.measures]
    broken = [o.id for o in (rule, *alike) if held_against(kb, r, o).verdict.state == "broken"]
    low, high = limits(rule)
    first, last = span(rule, r.value, low, high)
    neighbours = []
    own = own_rule(kb, rule)
    if own:
        verdict = held_against(kb, r, own).verdict
        neighbours.append(f"{verdict_text(own, verdict)} ({limit_text(own)}); both bind, the stricter first")
    for n in rule.neighbours:
        other = kb.rules[n.rule]
        if n.same_reading_if and other.measures == rule.measures and holds(other.when, known):
            verdict = held_against(kb, r, other).verdict
            said = f"{_in_force(kb, other, verdict, known, broken)} ({limit_text(other)}), if {n.same_reading_if}"
            neighbours.append(said)
    return Measured(
        check=r.check,
        title=kb.checks[r.check].title,
        said=quantity.show(r.value, rule.measures),
        rule=rule.id,
        verdict=r.verdict.state,
        side=r.verdict.side,
        conformity=round(r.verdict.conformity, 9),
        value=r.value,
        low=low,
        high=high,
        first=first,
        last=last,
        text=_in_force(kb, rule, r.verdict, known, broken),
        whose=whose(rule, kb.limits.get(rule.id) if rule.authority == "manual" else None),
        limits=limit_text(rule),
        neighbours=neighbours,
        means=means or [],
    )


def _in_force(
    kb: model.KB, rule: model.Rule, verdict: rules.Verdict, known: dict[str, str], broken: list[str]
) -> str:
    """Return a verdict in words, with what the rule is worth here where that hangs on a code that nobody named."""
    text = verdict_text(rule, verdict)
    if not holds(rule.when, known):
        return f"{text}, which is not in force here"
    if verdict.state == "within" or broken_under_all(kb, rule, broken):
        return text
    advice = advice_until(kb, rule, known)
    return f"{text} ({advice})" if advice else text


def finding(thought: Thought, cause_id: str, p: float) -> Finding:
    """Return what was wrong, how sure, and the rule with its reading."""
    kb = thought.net.kb
    cause = kb.causes[cause_id]
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    rule_text = f"{rule.title}: {limit_text(rule)} ({rule.of}); {whose(rule)}" if rule else cause.why_no_rule or ""
    tells = [f"{kb.causes[m.cause].title if m.cause else m.healthy}: {m.tell}" for m in cause.mistaken_for]
    if cause.kind == "normal":
        text = f"This is normal: {cause.says} It explains what you see {in_100(p)}."
    else:
        text = f"{cause.title}. {cause.says} It explains what you see {in_100(p)}."
    return Finding(
        cause=cause_id,
        title=cause.title,
        says=cause.says,
        kind=cause.kind,
        p=p,
        rule=rule.id if rule else None,
        rule_text=rule_text,
        mistaken_for=tells,
        text=text,
    )


def hand_on(thought: Thought, step: Step, found: Finding | None) -> HandOn:
    """Return to whom to hand on, what to tell them and what they should bring."""
    kb, state = thought.net.kb, thought.state
    trade = views.trade_card(kb, step.id)
    tell = [f"What is wrong: {kb.complaints[c].says}." for c in state.complaints if c not in dict(state.gone)]
    if found:
        tell.append(
            f"Found: {found.title.lower()}, {in_100(found.p)}." + (f" Rule: {found.rule_text}." if found.rule else "")
        )
    else:
        tell += [f"Likely: {b.title.lower()}, {in_100(b.p)}." for b in thought.beliefs[:3] if b.p >= 0.05]
    tell += [f"Fact: {kb.facts[f].title.lower()}: {kb.facts[f].options[o].says}." for f, o in sorted(state.facts)]
    for answer in sorted(state.answers, key=lambda a: (a.epoch, not a.proof, a.check)):
        check = kb.checks[answer.check]
        said = check.answers[answer.said].says if answer.said in check.answers else answer.said
        tell.append(f"{'Proof' if answer.proof else 'Checked'}: {check.title.lower()}: {said}.")
    tell += [
        f"Done: {kb.causes[t.cause].remedy.title.lower()}" + ("; it did not help." if t.passed is False else ".")
        for t in state.remedies
        if t.did == "done"
    ]
    likely = [b.cause for b in thought.beliefs if b.p >= 0.15][:3]
    bring = sorted(
        {kb.parts[p].title for c in ([step.cause] if step.cause else likely) for p in kb.causes[c].remedy.parts}
    )
    text = (
        f"Book {'an' if trade.title[0].lower() in 'aeiou' else 'a'} {trade.title.lower()}."
        if step.id != "specialist"
        else f"This needs {trade.title.lower()}."
    )
    cause = step.cause or (found.cause if found else None)
    steps = kb.causes[cause].remedy.steps if cause else []
    until = [s.removeprefix(UNTIL).strip() for s in steps if s.startswith(UNTIL)]
    return HandOn(to=step.id, fee=trade.fee.n, text=text, until=until, tell=tell, bring=bring)
