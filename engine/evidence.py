"""From the state of a case to what the belief needs: causes in play, their chances in each state of the facts, findings."""

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from . import graph, model, quantity, rules
from .case import Answered, State
from .fold import Finding, Table
from .messages import Array

if TYPE_CHECKING:
    from .derived import Derived

# How often a complaint that nothing listed explains ends by itself between two remedies (judgement) [prob].
ENDED_ALONE = 0.05


@dataclass(frozen=True)
class Reading:
    """A measurement as it was said, against its rule: SI value and half-width, verdict, likelihoods of below, within, above."""

    check: str
    rule: str
    said: str
    value: float
    half_width: float
    verdict: rules.Verdict
    below: float | None
    within: float
    above: float | None


@dataclass(frozen=True)
class Facts:
    """The unknown facts that bear on the causes: names, options, and the shares of each one's options."""

    names: list[str]
    options: list[list[str]]
    shares: list[Array]


@dataclass(frozen=True)
class Evidence:
    """Everything that `belief.infer_by_fact` takes, with the names behind the numbers."""

    causes: list[str]
    tables: list[Table]
    facts: Facts
    findings: list[Finding]
    names: list[str]
    cures: dict[int, list[tuple[int, float]]]


class Net:
    """A kb with its graph, built once and used by every piece of advice."""

    def __init__(self, kb: model.KB) -> None:
        self.kb = kb
        self.graph: Any = graph.build(kb)
        self.shown = {
            n: graph.shown_by(self.graph, n) for n in self.graph if n.split(":")[0] in ("complaint", "answer", "side")
        }
        self.leak = {n: float(self.graph.nodes[n].get("leak", 0.001)) for n in self.shown}
        self.rate = {c: float(self.graph.nodes[f"cause:{c}"]["rate"]) for c in kb.causes}
        # Which rules are worked out from a check's reading, by their place in the kb: an answer must not look at all rules.
        self.modelled: dict[str, list[tuple[int, model.Rule]]] = {}
        for place, rule in enumerate(kb.rules.values()):
            if rule.model and rule.model.gives:
                for check in sorted({t.check for t in rule.model.takes.values() if t.check}):
                    self.modelled.setdefault(check, []).append((place, rule))
        # Answers of pure functions of the kb, remembered because every step of a walk asks them again.
        self.memo: dict[tuple[Any, ...], Any] = {}
        self.bears = {
            c.id: tuple(sorted({f for w in (c.when, *(x.when for x in c.likelier)) for f in w}))
            for c in kb.causes.values()
        }

    def checks_for(self, causes: list[str]) -> list[str]:
        """Return the checks with an answer or a side that any of the causes shows, sorted."""
        key = ("checks", *causes)
        if key not in self.memo:
            self.memo[key] = graph.checks_for(self.graph, causes)
        found: list[str] = self.memo[key]
        return found


def chance(net: Net, cause: model.Cause, facts: dict[str, str]) -> float:
    """Return a cause's chance before any finding, all its facts being given [prob]; 0 where its `when` is contradicted.

    Parameters
    ----------
    net : Net
    cause : Cause
    facts : dict
        Fact -> option, for at least the facts that bear on the cause.
    """
    bears = net.bears[cause.id]
    key = (cause.id, *(facts.get(f) for f in bears))
    if key not in net.memo:
        out = net.rate[cause.id] if holds(cause.when, facts) else 0.0
        for likelier in cause.likelier:
            if holds(likelier.when, facts):
                out *= likelier.times.n
        net.memo[key] = min(out, 0.5)
    found: float = net.memo[key]
    return found


def holds(when: dict[str, Any], facts: dict[str, str]) -> bool:
    """Return whether known facts allow a circumstance: what is not known contradicts nothing.

    Examples
    --------
    >>> holds({"drain": "standpipe"}, {"drain": "tub"}), holds({"drain": "standpipe"}, {})
    (False, True)
    """
    return all(
        fact not in facts or facts[fact] in ([wanted] if isinstance(wanted, str) else wanted)
        for fact, wanted in when.items()
    )


def half_width(kb: model.KB, check: model.Check, hands: str) -> float:
    """Return the half-width of a reading by some hands [SI]."""
    rule = kb.rules[check.rule or ""]
    spread = check.give_or_take
    text = (
        spread if isinstance(spread, str) else (spread or {}).get(hands) or next(iter((spread or {"": "0"}).values()))
    )
    return quantity.parse_tolerance(text, rule.measures)


def limits(rule: model.Rule) -> tuple[float | None, float | None]:
    """Return a rule's limits [SI]."""
    return (
        quantity.parse(rule.min, rule.measures) if rule.min else None,
        quantity.parse(rule.max, rule.measures) if rule.max else None,
    )


def gross_error(kb: model.KB, hands: str) -> float:
    """Return how often some hands report something quite wrong [prob]."""
    return next(r.gross_error_per_1000.n for r in kb.roles.roles if r.id == hands) / 1000


def reading(kb: model.KB, check_id: str, said: str, hands: str) -> Reading:
    """Return a measurement against its rule.

    Raises
    ------
    quantity.QuantityProblem
        If it can't be read, or can't be true.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> reading(load_kb(), "standpipe-height", "31 in", "technician").verdict.side
    'below'
    """
    check = kb.checks[check_id]
    rule = kb.rules[check.rule or ""]
    value = quantity.parse(said, rule.measures)
    problem = quantity.check_plausible(value, rule, said)
    if problem:
        raise problem
    low, high = limits(rule)
    a = half_width(kb, check, hands)
    verdict = rules.judge(low, high, value, a, rule.guarded)
    first, last = quantity.plausible(rule.plausible or "", rule.measures)
    below, within, above = rules.likelihoods(low, high, first, last, value, verdict.u, gross_error(kb, hands))
    return Reading(check_id, rule.id, said, value, a, verdict, below, within, above)


def held_against(kb: model.KB, r: Reading, rule: model.Rule) -> Reading:
    """Return a reading held against another rule on the same datum; it is judged, but enters no belief.

    Parameters
    ----------
    kb : KB
    r : Reading
    rule : Rule
        A neighbour that counts from the same datum, perhaps under a condition.
    """
    verdict = rules.judge(*limits(rule), r.value, r.half_width, rule.guarded)
    return Reading(r.check, rule.id, r.said, r.value, r.half_width, verdict, None, 1.0, None)


def findings_of(net: Net, answer: Answered) -> list[tuple[str, float, float]]:
    """Return what one answer says of findings: (node, likelihood if on, likelihood if off)."""
    check = net.kb.checks[answer.check]
    if check.kind == "measure":
        r = reading(net.kb, answer.check, answer.said, answer.hands)
        return [
            (graph.side_node(r.rule, side), value / r.within, 1.0)
            for side, value in (("below", r.below), ("above", r.above))
            if value is not None
        ]
    out: list[tuple[str, float, float]] = []
    for name in list(check.answers)[:-1]:
        node = graph.answer_node(check.id, name)
        if name == answer.said:
            return [*out, (node, 1.0, 0.0)]
        out.append((node, 0.0, 1.0))
    return out


def latest(answers: tuple[Answered, ...]) -> list[Answered]:
    """Return the last answer to each check between two remedies, in id order; proofs speak of the complaint alone."""
    last = {(a.check, a.epoch): a for a in answers if not a.proof}
    return [last[k] for k in sorted(last)]


def reported(net: Net, state: State) -> list[tuple[str, float, float, int]]:
    """Return what all answers say of findings, and what readings say together: (node, if on, if off, epoch)."""
    raw = [
        (node, on, off, answer.epoch) for answer in latest(state.answers) for node, on, off in findings_of(net, answer)
    ]
    for epoch, found in worked_out(net, state):
        stands_in = {graph.side_node(rule, side) for rule, side in found.instead_of.items()}
        raw = [r for r in raw if r[3] != epoch or r[0] not in stands_in]
        for side, value in (("below", found.below), ("above", found.above)):
            if value is not None:
                raw.append((graph.side_node(found.rule, side), value / found.within, 1.0, epoch))
    return raw


def worked_out(net: Net, state: State) -> "list[tuple[int, Derived]]":
    """Return what the physics makes of the readings of each stretch between remedies, rule by rule."""
    kb = net.kb
    answers = latest(state.answers)
    touched = {place: rule for a in answers for place, rule in net.modelled.get(a.check, ())}
    modelled = [rule for _, rule in sorted(touched.items()) if holds(rule.when, dict(state.facts))]
    if not modelled:
        return []
    from .derived import derive

    out = []
    for epoch in sorted({a.epoch for a in answers}):
        read: dict[str, tuple[float, float]] = {}
        hands = "technician"
        for a in answers:
            if a.epoch == epoch and kb.checks[a.check].kind == "measure":
                r = reading(kb, a.check, a.said, a.hands)
                read[a.check] = (r.value, r.half_width)
                # One weak reading makes the whole working as weak as itself.
                hands = a.hands if a.hands == "homeowner" else hands
        direct = {kb.checks[c].rule for c in read}
        for rule in modelled:
            found = derive(kb, rule, read, gross_error(kb, hands)) if rule.id not in direct else None
            if found:
                out.append((epoch, found))
    return out


def gather(net: Net, state: State) -> Evidence:
    """Return the evidence of a state, folded in id order.

    Parameters
    ----------
    net : Net
    state : State
    """
    kb = net.kb
    raw = reported(net, state)
    play = set(graph.relevant(net.graph, list(state.complaints)))
    play |= {c for node, *_ in raw for c in net.shown[node]}
    play |= {t.cause for t in state.remedies}
    known = dict(state.facts)
    causes = [c for c in sorted(play) if holds(kb.causes[c].when, known)]
    index = {c: i for i, c in enumerate(causes)}
    facts, tables = priors(net, causes, known)

    def linked(node: str) -> dict[int, float]:
        return {index[c]: s for c, s in net.shown[node].items() if c in index}

    findings, names = [], []
    gone, stands = dict(state.gone), dict(state.stands)
    for complaint in sorted(state.complaints):
        node = f"complaint:{complaint}"
        if gone.get(complaint, 99) > stands[complaint]:
            findings.append(
                Finding(
                    net.leak[node],
                    linked(node),
                    1.0,
                    ENDED_ALONE if complaint in gone else 0.0,
                    stands[complaint],
                    True,
                    gone.get(complaint),
                )
            )
            names.append(node)
    for node, on, off, epoch in raw:
        findings.append(Finding(net.leak[node], linked(node), on, off, epoch))
        names.append(node)
    cures: dict[int, list[tuple[int, float]]] = {}
    for tried in state.remedies:
        if tried.did == "done" and tried.cause in index:
            cures.setdefault(index[tried.cause], []).append(
                (tried.epoch, graph.strength(kb, kb.causes[tried.cause].remedy.cures))
            )
    return Evidence(causes, tables, facts, findings, names, cures)


def priors(net: Net, causes: list[str], known: dict[str, str]) -> tuple[Facts, list[Table]]:
    """Return the unknown facts that bear on the causes, and each cause's chance by those of them that it heeds."""
    kb = net.kb
    names = sorted({f for c in causes for f in net.bears[c]} - set(known))
    options = [sorted(kb.facts[f].options) for f in names]
    shares = []
    for f, os in zip(names, options, strict=True):
        share = np.array([kb.facts[f].options[o].share_per_1000 / 1000 for o in os])
        shares.append(share / share.sum())
    place = {f: n for n, f in enumerate(names)}
    return Facts(names, options, shares), [_table(net, cause, known, place) for cause in causes]


def _table(net: Net, cause: str, known: dict[str, str], place: dict[str, int]) -> Table:
    """Return a cause's chance by the unknown facts that it heeds; the numbers are remembered, for every step asks them again."""
    kb, bears = net.kb, net.bears[cause]
    heeds = tuple(f for f in bears if f in place)
    key = ("table", cause, *(known.get(f) for f in bears))
    if key not in net.memo:
        options = [sorted(kb.facts[f].options) for f in heeds]
        each = (known | dict(zip(heeds, way, strict=True)) for way in product(*options))
        chances = np.array([chance(net, kb.causes[cause], facts) for facts in each])
        net.memo[key] = chances.reshape([len(o) for o in options])
    return Table(tuple(place[f] for f in heeds), net.memo[key])
