"""Why now: one line on why this step comes next, in plain words."""

from typing import TYPE_CHECKING

import numpy as np

from ..inference.potentials import Array
from ..planning.problem import Decision, Test, normal
from ..planning.roles import work_of
from .wording import BY, in_100

if TYPE_CHECKING:
    from .analysis import Analysis

# From here on an answer is said to convict a cause, and to settle it [prob].
LIKELY, SURE = 0.6, 0.9
# A cause that matters so much is worth naming when an answer leaves this share of it [prob], [-].
WORTH, LEFT = 0.1, 0.3
RARE = 0.01  # answers rarer than this are not worth a word [prob]


def why_now(analysis: "Analysis", choice: Decision) -> str:
    """Return one line on why this step is the next one.

    Parameters
    ----------
    analysis : Analysis
    choice : Decision
        With the step that is taken as its best.

    Returns
    -------
    str
        Of a question: the abnormal answer that would convict a cause, else what an answer would rule out, else what it would speak for.
    """
    kb = analysis.network.kb
    best = choice.best
    kind, _, name = best.id.partition(":")
    if best.kind == "remedy":
        p = in_100(next((b.p for b in analysis.beliefs if b.cause == name), 0.0))
        if kind == "hand-on":
            return f"{_title(analysis, name)}: it explains what you see {p}, and is work for {BY[work_of(kb.causes[name].remedy, analysis.state)]}"
        if any(v.kind == "question" for v in choice.ranked):
            return f"it explains what you see {p}; trying it costs less than asking on"
        return f"it explains what you see {p}"
    if best.kind == "hand-on":
        return "nothing that is left for these hands to check or mend is likely to save the visit"
    question = next(q for q in analysis.decision_problem.tests if q.id == best.id)
    return _asked(analysis, kind, name, question)


def _asked(analysis: "Analysis", kind: str, name: str, question: Test) -> str:
    """Return what the answers to a question would tell."""
    listed = analysis.scenarios
    joint = question.likelihood * listed.weight
    share: Array = joint.sum(axis=1)
    after = normal(joint) @ listed.needs
    now = listed.weight @ listed.needs
    # A check's last answer is the normal one; a fact has none.
    abnormal = np.arange(len(share)) < len(share) - (kind == "check")
    seen = (share > RARE)[:, None]
    rise = np.where(seen, share[:, None] * (after - now), 0.0)
    fall = -rise
    rise[~abnormal] = 0.0
    convicts = np.where((after >= LIKELY) & (after > now + WORTH), rise, 0.0)
    acquits = np.where((now >= WORTH) & (after <= LEFT * now), fall, 0.0)
    for table, says in ((convicts, _convicts), (acquits, _acquits), (rise, _speaks)):
        if table.max(initial=0.0) > 1e-6:
            at, i = np.unravel_index(int(np.round(table, 12).argmax()), table.shape)
            answer = _answer(analysis, kind, name, int(at))
            return says(answer, _title(analysis, analysis.evidence.causes[int(i)]), float(now[i]), float(after[at, i]))
    return "it parts what is left best for the minutes it takes"


def _convicts(answer: str, title: str, now: float, after: float) -> str:
    return (
        f"if {answer}, it is {'almost surely' if after >= SURE else 'most likely'} this: {title} ({in_100(now)} so far)"
    )


def _acquits(answer: str, title: str, now: float, after: float) -> str:
    return f"if {answer}, it can hardly be this: {title} ({in_100(now)} so far)"


def _speaks(answer: str, title: str, now: float, after: float) -> str:
    return f"if {answer}, this becomes {'much ' if after >= 2 * now else ''}likelier: {title}"


def _title(analysis: "Analysis", cause: str) -> str:
    title = analysis.network.kb.causes[cause].title
    return title[0].lower() + title[1:]


def _answer(analysis: "Analysis", kind: str, name: str, at: int) -> str:
    """Return an outcome of a question as words after 'if'."""
    kb = analysis.network.kb
    if kind == "fact":
        n = analysis.evidence.facts.names.index(name)
        return f'"{kb.facts[name].options[analysis.evidence.facts.options[n][at]].says}"'
    check = kb.checks[name]
    if check.kind != "measure":
        return f'"{list(check.answers.values())[at].says}"'
    rule = kb.rules[check.rule or ""]
    found = [*(side for side, limit in (("below", rule.min), ("above", rule.max)) if limit), "within"][at]
    if found == "within":
        return "it is within the rule"
    return f"it is under {rule.min}" if found == "below" else f"it is over {rule.max}"
