"""The kb as a networkx graph: what shows what, what is read by which check, and what part a complaint touches.

Nodes are texts `kind:id`: cause, complaint, answer (`answer:check:answer`), side (`side:rule:below`), check, rule, fact, hazard.
"""

from collections.abc import Iterable
from typing import Any

import networkx as nx

from .. import model

# All judgement. Rates are scaled to the episode rate of scales.yaml, so a kb of few causes can be scaled beyond what a chance may be;
# these keep a cause from being nearly certain, and a complaint from being mostly unlisted, before anything is seen. No number of
# the shipped kb reaches them.
MOST_RATE = 0.3  # of a cause, before its circumstances [prob]
MOST_CHANCE = 0.5  # of a cause in its likeliest circumstances [prob]
MOST_UNLISTED = 0.5  # of a complaint with no listed cause [prob]
# How often a side or a state is off where the kb says no rate, since no check reads it (judgement: as rare as what it does say) [prob].
UNREAD_LEAK = 0.001


def family_of(kb: model.KB, cause: str) -> str:
    """Return the family of a cause: the folder that its file lies in."""
    return kb.places.get(f"causes/{cause}", "").rpartition("/")[0].rpartition("/")[2]


def answer_node(check: str, answer: str) -> str:
    """Return the node of one answer of a check."""
    return f"answer:{check}:{answer}"


def sign_node(sign: str) -> str:
    """Return the node of a sign."""
    return f"sign:{sign}"


def side_node(rule: str, side: str) -> str:
    """Return the node of one broken side of a rule."""
    return f"side:{rule}:{side}"


def strength(kb: model.KB, value: str | model.Number | None) -> float:
    """Return a strength as a probability; an absent one is the strength of a broken rule."""
    if value is None:
        return kb.scales.breaks_strength.n
    return value.n if isinstance(value, model.Number) else kb.scales.words[value]


def sides(rule: model.Rule) -> list[str]:
    """Return the sides on which a rule can be broken."""
    return [side for side, limit in (("below", rule.min), ("above", rule.max)) if limit]


def scale(kb: model.KB) -> float:
    """Return the factor from `per_1000` to chances: listed causes together have the episode rate of scales.yaml."""
    total = sum(c.per_1000.n / 1000 * share(kb, c.when) for c in kb.causes.values())
    return kb.scales.episode_rate.n / total if total else 1.0


def share(kb: model.KB, when: dict[str, Any]) -> float:
    """Return how usual a circumstance is, facts being independent."""
    out = 1.0
    for fact, wanted in when.items():
        options = kb.facts[fact].options
        out *= sum(options[o].share_per_1000 for o in ([wanted] if isinstance(wanted, str) else wanted)) / 1000
    return out


def kinds(kb: model.KB) -> dict[str, tuple[str, ...]]:
    """Return every sign with itself and all its kinds: who reports it reports any of them.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> all(own in of for own, of in kinds(load_kb()).items())
    True
    """
    out: dict[str, set[str]] = {s: set() for s in kb.signs}
    for sign in kb.signs:
        ahead = [sign]
        while ahead:
            above = ahead.pop()
            out[above].add(sign)
            ahead += kb.signs[above].coarser
    return {s: tuple(sorted(some)) for s, some in out.items()}


def reporting(kb: model.KB) -> dict[str, tuple[str, ...]]:
    """Return for every answer that reports a sign, by its node, the signs that it speaks of.

    They are its own and the kinds of it, without those that a more telling answer of the same check speaks of: it was not given.
    """
    of = kinds(kb)
    out = {}
    for check in kb.checks.values():
        before: set[str] = set()
        for name, answer in check.answers.items():
            if answer.sign:
                out[answer_node(check.id, name)] = tuple(s for s in of[answer.sign] if s not in before)
                before |= {*of[answer.sign]}
    return out


def sign_links(kb: model.KB) -> dict[str, dict[str, float]]:
    """Return for every sign the causes that show it, with their strengths.

    A cause that shows an answer shows the sign that the answer reports; of several strengths the greatest holds.
    """
    out: dict[str, dict[str, float]] = {s: {} for s in sorted(kb.signs)}
    for name in sorted(kb.causes):
        cause = kb.causes[name]
        sure = kb.scales.defines_strength.n if kb.scales.defines_strength else 0.0
        defined = defining(kb, cause)
        for shows in cause.shows:
            sign = shown_sign(kb, shows)
            if sign:
                s = max(out[sign].get(name, 0.0), strength(kb, shows.strength))
                out[sign][name] = max(s, sure) if defined == sign_node(sign) else s
    return out


def shown_sign(kb: model.KB, shows: model.Shows) -> str | None:
    """Return the sign that a cause shows by a line, or None where the line is of something else."""
    if shows.sign or not (shows.check and shows.answer):
        return shows.sign
    return kb.checks[shows.check].answers[shows.answer].sign


def any_of(chances: Iterable[float]) -> float:
    """Return the chance that at least one of several things happens, each by itself [prob]."""
    out = 1.0
    for p in chances:
        out *= 1 - p
    return 1 - out


def build(kb: model.KB) -> "nx.DiGraph[str]":
    """Return the graph of a kb.

    Raises
    ------
    ValueError
        If an answer or a rule that is read has no rate; a kb that was checked has them all.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> g = build(load_kb())
    >>> "cause:standpipe-too-low" in g.pred["complaint:siphons"]
    True
    """
    g: nx.DiGraph[str] = nx.DiGraph()
    k = scale(kb)
    for c in kb.complaints.values():
        g.add_node(f"complaint:{c.id}", leak=min(MOST_UNLISTED, c.unlisted_per_1000.n / 1000 * k))
        g.add_edges_from((f"complaint:{c.id}", f"hazard:{h}", {"kind": "gates"}) for h in c.gates)
    of = reporting(kb)
    for check in kb.checks.values():
        _check(g, kb, check, of)
    for rule in kb.rules.values():
        if rule.model and rule.model.gives:
            _sides(g, rule)
    for cause in kb.causes.values():
        _cause(g, kb, cause, k)
    _signs(g, kb, of)
    return g


def _signs(g: Any, kb: model.KB, of: dict[str, tuple[str, ...]]) -> None:
    """Link the answers that report a sign to the causes that show it, as an answer without error would."""
    links = sign_links(kb)
    for node, own in of.items():
        for cause in sorted({c for sign in own for c in links[sign]}):
            shown = any_of(links[sign].get(cause, 0.0) for sign in own)
            g.add_edge(f"cause:{cause}", node, kind="shows", strength=shown)


def _sides(g: Any, rule: model.Rule) -> None:
    """Add a rule's broken sides, each with how often it is broken where no listed cause is at work."""
    otherwise = rule.otherwise_per_1000
    if otherwise is None:
        raise ValueError(
            f"the rule '{rule.id}' is read or worked out but has no otherwise_per_1000; add it to the rule"
        )
    for side in sides(rule):
        per_1000 = otherwise[side] if isinstance(otherwise, dict) else otherwise / len(sides(rule))
        g.add_node(side_node(rule.id, side), leak=per_1000 / 1000)


def _check(g: Any, kb: model.KB, check: model.Check, of: dict[str, tuple[str, ...]]) -> None:
    name = f"check:{check.id}"
    g.add_node(name)
    if check.kind == "measure" and check.rule:
        rule = kb.rules[check.rule]
        _sides(g, rule)
        g.add_edges_from((name, side_node(rule.id, side), {"kind": "reads"}) for side in sides(rule))
    for answer in list(check.answers)[:-1]:
        leak, own = check.answers[answer].leak_per_1000, of.get(answer_node(check.id, answer), ())
        if own:
            leak = 1000 * any_of(kb.signs[s].leak_per_1000 / 1000 for s in own)
        if leak is None:
            raise ValueError(f"the answer '{answer}' of '{check.id}' has no leak_per_1000; add it, or put it last")
        g.add_node(answer_node(check.id, answer), leak=leak / 1000)
        g.add_edge(name, answer_node(check.id, answer), kind="yields")
    g.add_edges_from((name, f"hazard:{h}", {"kind": "meets"}) for h in check.hazards)
    if check.rule:
        g.add_edge(f"rule:{check.rule}", name, kind="measured by")


def _cause(g: Any, kb: model.KB, cause: model.Cause, k: float) -> None:
    name = f"cause:{cause.id}"
    g.add_node(name, rate=min(MOST_RATE, cause.per_1000.n / 1000 * k))
    if cause.breaks:
        g.add_edge(name, f"rule:{cause.breaks.rule}", kind="breaks")
        if cause.breaks.side:
            g.add_edge(
                name,
                side_node(cause.breaks.rule, cause.breaks.side),
                kind="shows",
                strength=strength(kb, cause.breaks.strength),
            )
    for shows in cause.shows:
        if shown_sign(kb, shows):
            continue
        target = f"complaint:{shows.complaint}" if shows.complaint else ""
        if shows.check:
            check = kb.checks[shows.check]
            target = (
                side_node(check.rule or "", shows.side or "")
                if check.kind == "measure"
                else answer_node(check.id, shows.answer or "")
            )
        elif shows.rule:
            target = side_node(shows.rule, shows.side or "")
        sure = kb.scales.defines_strength.n if kb.scales.defines_strength and defining(kb, cause) == target else 0.0
        g.add_edge(name, target, kind="shows", strength=max(sure, strength(kb, shows.strength)))
    for when in [cause.when, *(x.when for x in cause.likelier)]:
        g.add_edges_from((f"fact:{fact}", name, {"kind": "bears on"}) for fact in when)
    g.add_edges_from((name, f"hazard:{h}", {"kind": "remedy meets"}) for h in cause.remedy.hazards)


def defining(kb: model.KB, cause: model.Cause) -> str | None:
    """Return the finding that defines a cause, or the sign where the look reports one.

    Of several answers it is the least telling, for it comes once the others are denied.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> defining(kb, kb.causes["restraints-left-in"])
    'sign:bolts-left'
    """
    look = cause.defines
    if look is None or not (look.check or look.rule):
        return None
    if look.rule:
        return side_node(look.rule, look.side or "")
    answers = kb.checks[look.check or ""].answers
    least = max([look.answer or "", *look.also], key=list(answers).index)
    return sign_node(answers[least].sign or "") if answers[least].sign else answer_node(look.check or "", least)


def shown_by(g: Any, node: str) -> dict[str, float]:
    """Return the causes that show a finding, with their strengths.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> shown_by(build(load_kb()), "complaint:siphons")["standpipe-too-low"] > 0.5
    True
    """
    if node not in g:
        return {}
    return {p.partition(":")[2]: d["strength"] for p, d in sorted(g.pred[node].items()) if d["kind"] == "shows"}


def relevant(g: Any, complaints: list[str]) -> list[str]:
    """Return the causes that show any of the complaints, sorted; all causes where there is no complaint."""
    if not complaints:
        return sorted(n.partition(":")[2] for n in g if n.startswith("cause:"))
    return sorted({c for name in complaints for c in shown_by(g, f"complaint:{name}")})


def checks_for(g: Any, causes: list[str]) -> list[str]:
    """Return the checks with an answer or a side that any of the causes shows, sorted."""
    found = set()
    for cause in causes:
        for target in g.succ[f"cause:{cause}"]:
            if g.edges[f"cause:{cause}", target]["kind"] == "shows" and not target.startswith("complaint:"):
                found |= {p.partition(":")[2] for p in g.pred[target] if p.startswith("check:")}
    return sorted(found)


def facts_for(g: Any, causes: list[str]) -> list[str]:
    """Return the facts that bear on any of the causes, sorted."""
    return sorted({p.partition(":")[2] for c in causes for p in g.pred[f"cause:{c}"] if p.startswith("fact:")})
