"""What a reading amounts to, in words: within, too close, broken, worked out; and whether the code behind a rule is in force."""

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from .. import model
from ..advice import Measured
from ..case.state import Answered, State
from ..diagnosis.measured import beside, counting
from ..knowledge.machine_sheet import own_rule
from ..measurement import conformity, formatting, quantity
from ..measurement.readings import Reading, held_against, limits, reading
from ..model import holds
from .wording import ASK, from_memory, limit_text, whose

if TYPE_CHECKING:
    from ..diagnosis.derived import Derived


def hangs_on(kb: model.KB, rule: model.Rule) -> list[str]:
    """Return the facts that say which code is in force and on which a code's rule hangs: those with an option `unknown`."""
    if rule.authority != "code":
        return []
    return [f for f in rule.when if any(o.unknown for o in kb.facts[f].options.values())]


def in_force(kb: model.KB, check: model.Check, facts: dict[str, str]) -> model.Rule | None:
    """Return the rule that a check serves at this site: its own, else one on the same reading; none where none is in force.

    Parameters
    ----------
    kb : KB
    check : Check
        Tied to a rule.
    facts : dict
        What is known of the site.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> in_force(kb, kb.checks["trap-arm-length"], {"plumbing-code": "upc"}).id
    'trap-arm-length-upc-2in'
    """
    own = kb.rules[check.rule or ""]
    if own.authority != "code":
        return own if holds(own.when, facts) else None
    alike = [kb.rules[n.rule] for n in own.neighbours if n.same_reading_if]
    rivals = [r for r in alike if r.authority == "code" and r.measures == own.measures]
    return next((r for r in (own, *rivals) if holds(r.when, facts)), None)


def advice_until(kb: model.KB, rule: model.Rule, facts: Mapping[str, str]) -> str:
    """Return why a code's rule is only advice here, or an empty text where it binds.

    Parameters
    ----------
    kb : KB
    rule : Rule
    facts : mapping
        Fact -> option, as far as known.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> advice_until(kb, kb.rules["trap-arm-length-upc-2in"], {})
    'advice, as long as the plumbing code in force is not known'
    >>> advice_until(kb, kb.rules["trap-arm-length-upc-2in"], {"plumbing-code": "upc"})
    ''
    """
    for name in hangs_on(kb, rule):
        fact = kb.facts[name]
        if name not in facts or fact.options[facts[name]].unknown:
            return f"advice, as long as the {fact.title[:1].lower()}{fact.title[1:]} is not known"
    return ""


def broken_under_all(kb: model.KB, rule: model.Rule, broken: Collection[str]) -> bool:
    """Return whether a rule, or one on the same reading, is broken whichever code is in force: then it is no mere advice.

    Parameters
    ----------
    kb : KB
    rule : Rule
    broken : collection of str
        Rules that are not kept.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> arm = kb.rules["trap-arm-length-upc-2in"]
    >>> broken_under_all(kb, arm, ["trap-arm-length-upc-2in"])
    False
    >>> broken_under_all(kb, arm, ["trap-arm-length-upc-2in", "trap-arm-length-ipc-2in", "trap-arm-length-irc-2in"])
    True
    """
    rivals = [rule, *(kb.rules[n.rule] for n in rule.neighbours if n.same_reading_if)]
    rivals = [r for r in rivals if r.authority == "code"]

    def speaks(r: model.Rule, fact: str, option: str) -> bool:
        return holds({fact: r.when.get(fact, option)}, {fact: option})

    return all(
        any(speaks(r, f, o) for r in rivals if r.id in broken)
        for f in hangs_on(kb, rule)
        for o, option in kb.facts[f].options.items()
        # A code of one place counts as a rival only where it says something of this reading; what the others omit, they allow.
        if not option.unknown and (not option.local or any(speaks(r, f, o) for r in rivals))
    )


def whichever(kb: model.KB, rule: model.Rule, facts: Mapping[str, str]) -> str:
    """Return by which codes a rule is asked for where nobody said which is in force and all that may be ask for the same; else an empty text.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> whichever(kb, kb.rules["supply-valve-access"], {})[:70]
    'asked for by each code that may be in force there: IRC 2021; IPC 606.3'
    >>> whichever(kb, kb.rules["supply-valve-access"], {"plumbing-code": "irc"}), whichever(kb, kb.rules["trap-arm-length-upc-2in"], {})
    ('', '')
    """
    if not advice_until(kb, rule, facts):
        return ""
    alike = [kb.rules[n.rule] for n in rule.neighbours if n.same_reading_if]
    same = [r for r in (rule, *alike) if r.authority == "code" and limit_text(r) == limit_text(rule)]
    if not broken_under_all(kb, rule, [r.id for r in same]):
        return ""
    return f"asked for by each code that may be in force there: {'; '.join(r.edition or r.title for r in same)}; binds where adopted"


def verdict_text(rule: model.Rule, verdict: conformity.Verdict, expert: bool = True) -> str:
    """Return a verdict in words; below common practice is never called against the rules.

    Parameters
    ----------
    rule : Rule
    verdict : Verdict
    expert : bool
        False for a customer: a code's rule that stands here from memory is not quoted to them, they are told to ask.
    """
    if rule.model and rule.model.gives:
        return _worked_out_text(rule, verdict)
    name = {"code": rule.edition or "the code", "manual": "this machine's manual", "practice": "common practice"}[
        rule.authority
    ]
    if not expert and from_memory(rule):
        name = "what a code may ask"
        asks = "" if verdict.state == "within" else f"; {ASK}"
        return f"{_against(rule, verdict, name)}{asks}"
    return _against(rule, verdict, name)


def _against(rule: model.Rule, verdict: conformity.Verdict, name: str) -> str:
    if verdict.state == "within":
        return f"within {name}"
    if verdict.state == "too-close":
        return f"too close to call against {name}: measure again, or with a better tool"
    by = formatting.show_difference(abs(verdict.margin), rule.measures)
    if rule.authority == "practice" and verdict.side == "below":
        return f"below common practice by {by}"
    return f"{verdict.side} {name} by {by}"


def _worked_out_text(rule: model.Rule, verdict: conformity.Verdict) -> str:
    from ..calculators.calculator import show

    by = show(abs(verdict.margin), rule.measures)
    if verdict.state == "within":
        return f"holds, with {by} to spare"
    if verdict.state == "too-close":
        return "too close to call by this estimate"
    return f"broken by {by}"


WHOSE = {"homeowner": "by the household", "technician": "by the technician"}


def by_several(kb: model.KB, state: State, answer: Answered) -> list[str]:
    """Return what several hands read of one thing, in a sentence: taken together, or that they can't both be right; nothing of one reading.

    Parameters
    ----------
    kb : KB
    state : State
    answer : Answered
        One of the readings.
    """
    read = beside(state.answers, answer.check, answer.epoch)
    if len(read) < 2:
        return []
    measures = kb.rules[kb.checks[answer.check].rule or ""].measures
    each = [reading(kb, a.check, a.said, a.hands) for a in read]
    said = " and ".join(
        f"{formatting.show(r.value, measures)} {WHOSE[a.hands]}" for a, r in zip(read, each, strict=True)
    )
    counts = counting(kb, read)
    if len(counts) > 1:
        return [f"{said}, taken together by their give or take"]
    settled = "who measured twice" if counts[0].again else "until it is measured again"
    return [f"{said} can't both be right; what counts is the one {WHOSE[counts[0].hands]}, {settled}"]


def span(rule: model.Rule, value: float, low: float | None, high: float | None) -> tuple[float, float]:
    """Return the ends of a number line: where a true value can lie, else what holds the limits and the value [SI]."""
    if rule.plausible:
        return quantity.plausible(rule.plausible, rule.measures)
    marks = [v for v in (low, high, value) if v is not None]
    room = max(max(marks) - min(marks), abs(max(marks)) / 2)
    return min(marks) - room, max(marks) + room


def worked_out(kb: model.KB, d: "Derived") -> Measured:
    """Return a value worked out from readings as the face shows it."""
    from ..calculators.calculator import show

    rule = kb.rules[d.rule]
    first, last = span(rule, d.value, d.low, d.high)
    limit = (
        f"at least {formatting.show(d.low, rule.measures)}"
        if d.low is not None and d.high is None
        else limit_text(rule)
    )
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
    kb: model.KB,
    r: Reading,
    means: list[str] | None = None,
    facts: Mapping[str, str] | None = None,
    expert: bool = True,
) -> Measured:
    """Return a reading as the face shows it: verdict, number line, neighbours; a code that is not in force is left out.

    Parameters
    ----------
    kb : KB
    r : Reading
    means : list of str, optional
        What the reading amounts to.
    facts : mapping, optional
        Fact -> option, as far as known.
    expert : bool
        False for a customer, to whom no code's words from memory are quoted.
    """
    known = dict(facts or {})
    rule = kb.rules[r.rule]
    alike = [
        kb.rules[n.rule] for n in rule.neighbours if n.same_reading_if and kb.rules[n.rule].measures == rule.measures
    ]
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
            if not expert and from_memory(other):
                continue
            said = (
                f"{_in_force(kb, other, verdict, known, broken, expert)} ({limit_text(other)}), if {n.same_reading_if}"
            )
            neighbours.append(said)
    return Measured(
        check=r.check,
        title=kb.checks[r.check].title,
        said=formatting.show(r.value, rule.measures),
        rule=rule.id,
        verdict=r.verdict.state,
        side=r.verdict.side,
        conformity=round(r.verdict.conformity, 9),
        value=r.value,
        low=low,
        high=high,
        first=first,
        last=last,
        text=_in_force(kb, rule, r.verdict, known, broken, expert),
        whose=whose(rule, kb.limits.get(rule.id) if rule.authority == "manual" else None, expert),
        limits=limit_text(rule, expert),
        neighbours=neighbours,
        means=means or [],
    )


def _in_force(
    kb: model.KB,
    rule: model.Rule,
    verdict: conformity.Verdict,
    known: dict[str, str],
    broken: list[str],
    expert: bool,
) -> str:
    """Return a verdict in words, with what the rule is worth here where that hangs on a code that nobody named."""
    text = verdict_text(rule, verdict, expert)
    if not holds(rule.when, known):
        return f"{text}, which is not in force here"
    if verdict.state == "within" or broken_under_all(kb, rule, broken):
        return text
    advice = advice_until(kb, rule, known)
    return f"{text} ({advice})" if advice else text
