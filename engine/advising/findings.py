"""Findings, readings and hand-overs put into words: what was wrong, how sure, against which rule, and what to tell the next person."""

import msgspec

from .. import model
from ..advice import DIGITS, Finding, HandOn, Step
from ..case.state import State, Tried
from ..knowledge import graph
from ..planning import roles
from .analysis import Analysis
from .endings import OPEN, another_look, looked, trade_text, until
from .illustrations import of_finding
from .trades import called
from .wording import datum_text, in_100, limit_text, whose


def finding(analysis: Analysis, cause_id: str, p: float) -> Finding:
    """Return what was wrong, how sure, and the rule with its reading."""
    kb = analysis.network.kb
    cause = kb.causes[cause_id]
    rule = kb.rules[cause.breaks.rule] if cause.breaks else None
    expert = analysis.state.hands == "technician"
    rule_text = (
        f"{rule.title}: {limit_text(rule, expert)} ({datum_text(rule, expert)}); {whose(rule, expert=expert)}"
        if rule
        else cause.why_no_rule or ""
    )
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
        pictures=of_finding(kb, cause),
    )


def hand_on(analysis: Analysis, step: Step, found: Finding | None) -> HandOn:
    """Return to whom to hand on, what to tell them and what they should bring."""
    kb, state = analysis.network.kb, analysis.state
    tell = [f"What is wrong: {kb.complaints[c].says}." for c in state.complaints if c not in dict(state.gone)]
    if found:
        tell.append(
            f"Found: {found.title.lower()}, {in_100(found.p)}." + (f" Rule: {found.rule_text}." if found.rule else "")
        )
    else:
        tell += [f"Still open: {b.title.lower()}, {in_100(b.p)}." for b in analysis.open_beliefs[:3] if b.p >= OPEN]
        tell += another_look(analysis)
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
    likely = [b.cause for b in analysis.open_beliefs if b.p >= 0.15][:3]
    bring = sorted(
        {kb.parts[p].title for c in ([step.cause] if step.cause else likely) for p in kb.causes[c].remedy.parts}
    )
    cause = step.cause or (found.cause if found else None)
    to = called(kb, state, step.id, cause)
    return HandOn(
        to=to,
        fee=roles.trade_card(kb, step.id).fee.n,
        text=trade_text(analysis, step.id, to),
        looked=looked(analysis, found),
        until=until(analysis, cause, to),
        tell=tell,
        bring=bring,
    )


def rivals(state: State, last: Tried) -> list[Tried]:
    """Return the remedies that a passed proof speaks of: all that were done since a complaint that is gone was last seen.

    Parameters
    ----------
    state : State
    last : Tried
        The remedy whose proof passed.

    Examples
    --------
    >>> a, b = Tried("a", "done", 1), Tried("b", "done", 2, True)
    >>> [t.cause for t in rivals(State(remedies=(a, b), gone=(("walks", 2),), stands=(("walks", 0),)), b)]
    ['a', 'b']
    """
    stands = dict(state.stands)
    seen = min((stands.get(c, 0) for c, at in state.gone if at == last.epoch), default=last.epoch - 1)
    return [t for t in state.remedies if t.did == "done" and seen < t.epoch <= last.epoch and t.passed is not False]


def shares(kb: model.KB, analysis: Analysis, tried: list[Tried]) -> dict[str, float]:
    """Return how likely each of several remedies is the one that helped, by what was believed before the first [prob].

    Parameters
    ----------
    kb : KB
    analysis : Analysis
        Of the case as it is.
    tried : list of Tried
        As `rivals` returns them.

    Notes
    -----
    A cause's chance to explain the complaint times its remedy's chance to cure, made to sum to 1; that both were needed is
    not counted, so it is a comparison and no more. Source: derived here.
    """
    state = analysis.state
    first = min(t.epoch for t in tried)
    before = msgspec.structs.replace(
        state,
        remedies=tuple(t for t in state.remedies if t.epoch < first),
        answers=tuple(a for a in state.answers if a.epoch < first),
        gone=tuple(g for g in state.gone if g[1] < first),
        stands=tuple((c, min(at, first - 1)) for c, at in state.stands),
        epoch=first - 1,
        closed=None,
    )
    believed = {b.cause: b.p for b in Analysis(analysis.network, before).beliefs}
    weight = {t.cause: believed.get(t.cause, 0.0) * graph.strength(kb, kb.causes[t.cause].remedy.cures) for t in tried}
    whole = sum(weight.values())
    return {c: round(w / whole if whole else 1 / len(weight), DIGITS) for c, w in weight.items()}


def joint_finding(analysis: Analysis, last: Tried) -> Finding:
    """Return the finding of a case whose proof passed.

    Parameters
    ----------
    analysis : Analysis
    last : Tried
        The remedy whose proof passed.
    """
    kb = analysis.network.kb
    tried = rivals(analysis.state, last)
    if len({t.cause for t in tried}) < 2:
        return finding(analysis, last.cause, 1.0)
    share = shares(kb, analysis, tried)
    ranked = sorted(share, key=lambda c: (-share[c], c))
    found = finding(analysis, ranked[0], share[ranked[0]])
    each = "; ".join(f"{kb.causes[c].title.lower()} {in_100(share[c])}" for c in ranked)
    text = (
        f"One of {len(ranked)} that were mended before the same proof, or several of them: {each}. "
        "That it is mended was seen; which of them did it was not."
    )
    return msgspec.structs.replace(found, text=text)
