"""The numbers of a kb that cases can teach: read from its network, and written back into its records."""

from typing import Any

from msgspec.structs import replace

from .. import model
from ..diagnosis.network import Network
from ..knowledge import graph

# What a number is of: its kind, then the ids that tell it from others of the kind.
Key = tuple[str, ...]
Numbers = dict[Key, float]
KINDS = ("rate", "unlisted", "share", "strength", "leak", "cures", "hit", "false_alarm")
# No number that is learned is surer than this: 0 and 1 are no chances, and there is always one more case.
LEAST = 1e-5
REPORTED = ("ask", "look", "try")


def numbers_of(network: Network) -> Numbers:
    """Return the numbers that cases can teach, as chances.

    Strengths of complaints are not among them: what cases say of them they say of rates as well, for nobody rings whose machine shows
    nothing. Nor are strengths that a cause's definition sets, prices, minutes, and how circumstances bear on a rate.

    Parameters
    ----------
    network : Network

    Returns
    -------
    dict
        ("rate", cause), ("unlisted", complaint), ("share", fact, option), ("strength", cause, node), ("leak", node), ("cures", cause),
        ("hit", hands, kind) and ("false_alarm", hands, kind) -> chance [prob].

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> numbers = numbers_of(Network(load_kb()))
    >>> ("rate", "standpipe-too-low") in numbers, ("strength", "standpipe-too-low", "complaint:siphons") in numbers
    (True, False)
    """
    kb = network.kb
    out: Numbers = {("rate", c): network.rate[c] for c in sorted(kb.causes)}
    out |= {("unlisted", c): network.leak[f"complaint:{c}"] for c in sorted(kb.complaints)}
    for fact in kb.facts.values():
        whole = sum(o.share_per_1000 for o in fact.options.values())
        out |= {("share", fact.id, name): o.share_per_1000 / whole for name, o in fact.options.items()}
    for cause in sorted(kb.causes):
        written = _written(kb, kb.causes[cause])
        for node in sorted(written):
            shown = network.signs[node[5:]] if node.startswith("sign:") else network.shown[node]
            if written[node] == shown[cause]:
                out["strength", cause, node] = shown[cause]
        out["cures", cause] = graph.strength(kb, kb.causes[cause].remedy.cures)
    out |= {("leak", node): network.leak[node] for node in _leaks(network)}
    out |= {("leak", graph.sign_node(s)): network.sign_leak[s] for s in sorted(kb.signs)}
    if kb.roles.reports is not None:
        for hands, rates in (("homeowner", kb.roles.reports.homeowner), ("technician", kb.roles.reports.technician)):
            for kind, each in zip(REPORTED, (rates.ask, rates.look, rates.try_), strict=True):
                out["hit", hands, kind] = each.hit.n
                out["false_alarm", hands, kind] = each.false_alarm.n
    return out


def _written(kb: model.KB, cause: model.Cause) -> dict[str, float]:
    """Return what a cause shows but complaints, by node, as strong as its lines say."""
    out: dict[str, float] = {}
    for node, value in _lines(kb, cause):
        out[node] = max(out.get(node, 0.0), graph.strength(kb, value))
    return out


def _lines(kb: model.KB, cause: model.Cause) -> list[tuple[str, Any]]:
    """Return the lines of a cause that show something but a complaint: the node, and the strength as it is written."""
    out: list[tuple[str, Any]] = []
    if cause.breaks and cause.breaks.side:
        out.append((graph.side_node(cause.breaks.rule, cause.breaks.side), cause.breaks.strength))
    out += [(node, s.strength) for s in cause.shows if (node := _node(kb, s))]
    return out


def _node(kb: model.KB, shows: model.Shows) -> str | None:
    """Return the node that a line is of; None for a complaint."""
    sign = graph.shown_sign(kb, shows)
    if sign:
        return graph.sign_node(sign)
    if shows.check:
        check = kb.checks[shows.check]
        if check.kind == "measure":
            return graph.side_node(check.rule or "", shows.side or "")
        return graph.answer_node(check.id, shows.answer or "")
    return graph.side_node(shows.rule, shows.side or "") if shows.rule else None


def _leaks(network: Network) -> list[str]:
    """Return the answers without a sign and the broken sides that have a rate of their own."""
    kb = network.kb
    out = [
        graph.answer_node(check.id, name)
        for check in kb.checks.values()
        for name, answer in check.answers.items()
        if answer.leak_per_1000 is not None and not answer.sign
    ]
    for rule in kb.rules.values():
        if rule.otherwise_per_1000 is not None:
            out += [n for side in graph.sides(rule) if (n := graph.side_node(rule.id, side)) in network.leak]
    return sorted(out)


def with_numbers(kb: model.KB, numbers: Numbers, counted: dict[Key, int] | None = None) -> model.KB:
    """Return a kb with other numbers; one that is not given stays.

    Parameters
    ----------
    kb : KB
    numbers : dict
        As `numbers_of` returns them.
    counted : dict, optional
        Number -> out of how many cases, for those that were counted; others are written as judgement.

    Notes
    -----
    Rates are scaled by what the kb's `per_1000` stand for, and its episode rate moves with their sum, so that a rate is read back as it
    was given.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> kb = load_kb()
    >>> with_numbers(kb, numbers_of(Network(kb))).scales.episode_rate.n == kb.scales.episode_rate.n
    True
    """
    k = graph.scale(kb)
    of = counted or {}

    def number(key: Key, value: float) -> model.Number:
        if key in of:
            return model.Number(n=value, basis="counted", n_of=of[key])
        return model.Number(n=value, basis="judgement")

    def per_1000(key: Key, old: model.Number) -> model.Number:
        return number(key, 1000 * numbers[key] / k) if key in numbers else old

    def cause(c: model.Cause) -> model.Cause:
        def strength(node: str | None, old: Any) -> Any:
            key = ("strength", c.id, node or "")
            return number(key, numbers[key]) if key in numbers else old

        cures: Key = ("cures", c.id)
        own = (k for k in numbers if k[0] == "strength" and k[1] == c.id)
        changed = c
        if next(own, None):
            side = c.breaks and c.breaks.side and graph.side_node(c.breaks.rule, c.breaks.side)
            changed = replace(
                c,
                breaks=c.breaks and replace(c.breaks, strength=strength(side or None, c.breaks.strength)),
                shows=[replace(s, strength=strength(_node(kb, s), s.strength)) for s in c.shows],
            )
        return replace(
            changed,
            per_1000=per_1000(("rate", c.id), c.per_1000),
            remedy=replace(c.remedy, cures=number(cures, numbers[cures])) if cures in numbers else c.remedy,
        )

    def leak(node: str, old: Any) -> Any:
        return 1000 * numbers["leak", node] if ("leak", node) in numbers else old

    def check(c: model.Check) -> model.Check:
        answers = {
            a: replace(x, leak_per_1000=leak(graph.answer_node(c.id, a), x.leak_per_1000)) for a, x in c.answers.items()
        }
        return replace(c, answers=answers)

    def rule(r: model.Rule) -> model.Rule:
        sides = [s for s in graph.sides(r) if ("leak", graph.side_node(r.id, s)) in numbers]
        if not sides or r.otherwise_per_1000 is None:
            return r
        was = r.otherwise_per_1000
        own = was if isinstance(was, dict) else dict.fromkeys(graph.sides(r), was / len(graph.sides(r)))
        return replace(r, otherwise_per_1000={s: leak(graph.side_node(r.id, s), n) for s, n in own.items()})

    def fact(f: model.Fact) -> model.Fact:
        if not any(("share", f.id, o) in numbers for o in f.options):
            return f
        whole = sum(o.share_per_1000 for o in f.options.values())
        new = {o: numbers.get(("share", f.id, o), x.share_per_1000 / whole) for o, x in f.options.items()}
        scale = whole / sum(new.values())
        return replace(f, options={o: replace(x, share_per_1000=scale * new[o]) for o, x in f.options.items()})

    out = replace(
        kb,
        causes={n: cause(c) for n, c in kb.causes.items()},
        complaints={
            n: replace(c, unlisted_per_1000=per_1000(("unlisted", n), c.unlisted_per_1000))
            for n, c in kb.complaints.items()
        },
        checks={n: check(c) for n, c in kb.checks.items()},
        rules={n: rule(r) for n, r in kb.rules.items()},
        facts={n: fact(f) for n, f in kb.facts.items()},
        signs={n: replace(s, leak_per_1000=leak(graph.sign_node(n), s.leak_per_1000)) for n, s in kb.signs.items()},
        roles=_roles(kb.roles, numbers, number),
    )
    total = sum(c.per_1000.n / 1000 * graph.share(out, c.when) for c in out.causes.values())
    if numbers and k * total != kb.scales.episode_rate.n:
        out = replace(out, scales=replace(kb.scales, episode_rate=replace(kb.scales.episode_rate, n=k * total)))
    return out


def _roles(roles: model.Roles, numbers: Numbers, number: Any) -> model.Roles:
    if roles.reports is None:
        return roles

    def rates(hands: str, kind: str, old: model.Rates) -> model.Rates:
        hit, alarm = ("hit", hands, kind), ("false_alarm", hands, kind)
        return replace(
            old,
            hit=number(hit, numbers[hit]) if hit in numbers else old.hit,
            false_alarm=number(alarm, numbers[alarm]) if alarm in numbers else old.false_alarm,
        )

    def by_kind(hands: str, old: model.RatesByKind) -> model.RatesByKind:
        return replace(
            old,
            ask=rates(hands, "ask", old.ask),
            look=rates(hands, "look", old.look),
            try_=rates(hands, "try", old.try_),
        )

    reports = roles.reports
    return replace(
        roles,
        reports=replace(
            reports,
            homeowner=by_kind("homeowner", reports.homeowner),
            technician=by_kind("technician", reports.technician),
        ),
    )
