"""What a report rests on: the rules that were broken, the readings beside their limits, their sources, and how far it holds."""

from .. import model
from ..advice import Advice, Frozen, Measured
from ..advising.analysis import Analysis
from ..advising.wording import GRADES, datum_text, in_100, limit_text, whose


class ReadingLine(Frozen, frozen=True, kw_only=True):
    """A reading with its number line, in words for the reader."""

    measured: Measured
    text: str


class SourceLine(Frozen, frozen=True, kw_only=True):
    """What a rule rests on, with its grade in words."""

    rule: str
    title: str
    grade: str
    text: str


def broken(kb: model.KB, cause: str) -> model.Rule | None:
    """Return the rule that a cause breaks, if it is one of the installation."""
    breaks = kb.causes[cause].breaks
    return kb.rules[breaks.rule] if breaks else None


def told_rules(kb: model.KB, causes: list[str], advice: Advice) -> list[str]:
    """Return the rules that the report speaks of, the broken ones first."""
    first = [b.rule for c in causes if (b := kb.causes[c].breaks)]
    return list(dict.fromkeys([*first, *(m.rule for m in advice.readings), *(w.rule for w in advice.worked_out)]))


def rule_text(kb: model.KB, causes: list[str], expert: bool) -> list[str]:
    """Return the broken rules: what holds, what follows when it does not, and whose rule it is."""
    out = []
    for name in causes:
        rule, cause = broken(kb, name), kb.causes[name]
        if rule is None:
            out.append(f"No installation rule is broken: {cause.why_no_rule}.")
            continue
        side = cause.breaks.side if cause.breaks else None
        follows = {"below": rule.below, "above": rule.above}.get(side or "", rule.broken)
        out.append(
            f"{rule.title}: {limit_text(rule, expert)}. {'Looked at' if rule.measures == 'state' else 'Measured'}: {datum_text(rule, expert)}."
        )
        if follows:
            when = {"below": "When it is less", "above": "When it is more"}.get(side or "", "When that is not so")
            out.append(f"{when}: {follows[0].lower()}{follows[1:]}")
        own = kb.limits.get(rule.id) if rule.authority == "manual" else None
        out.append(f"Whose rule: {whose(rule, own, expert)}." + (f" Id: {rule.id}." if expert else ""))
    return out


def reading_lines(advice: Advice, rules: list[str], expert: bool) -> list[ReadingLine]:
    """Return the readings, those of the broken rule first."""
    ranked = sorted(enumerate(advice.readings), key=lambda r: (rules.index(r[1].rule), r[0]))
    out = []
    for _, m in ranked:
        text = f"{m.title}: {m.said}, {m.text}. Limit: {m.limits}."
        if expert:
            text += (
                f" Kept {in_100(m.conformity)}, by the reading's own give or take. {m.whose[0].upper()}{m.whose[1:]}."
            )
            text += "".join(f" Beside it: {n}." for n in m.neighbours[:2])
        out.append(ReadingLine(measured=m, text=text))
    return out


def sources(kb: model.KB, rules: list[str], expert: bool = True) -> list[SourceLine]:
    """Return what the rules rest on; the grade of a value may be weaker than its source's.

    Parameters
    ----------
    kb : KB
    rules : list of str
    expert : bool
        A technician reads the letter of each grade; a customer what it means, once.
    """
    out = []
    for name in rules:
        for cite in kb.rules[name].sources:
            source = kb.sources[cite.source]
            grade = cite.grade or source.grade
            title = f"{source.title}{', ' + cite.at if cite.at else ''}"
            word = grade if grade == GRADES[grade] else f"{grade}, {GRADES[grade]}"
            plain = GRADES[grade].lower()
            told = title if title.lower().startswith(plain) else f"{title} ({plain})"
            text = f"{kb.rules[name].title}: {f'{title} ({word})' if expert else told}"
            out.append(SourceLine(rule=name, title=title, grade=grade, text=text))
    return out


def closing(expert: bool, then: Analysis) -> list[str]:
    """Return how far the report holds: what was seen, on whose word the chances rest, and whose rules bind."""
    out = [
        "This holds for what was seen and measured, when it was. Chances rest on judgement, not on counted cases.",
        "Local code and the machine's manual both bind, the stricter first; a licensed trade decides where one is required.",
    ]
    if expert:
        out.append(
            "A weight is what leaving that answer out would change; weights need not add up. "
            f"Planning list lacks {100 * then.residual:.2g} % of the evidence; chances shown are exact under this kb."
            if then.residual
            else "A weight is what leaving that answer out would change; weights need not add up."
        )
    return out
