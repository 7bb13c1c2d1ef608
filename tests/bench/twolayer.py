"""A case as a plain two-layer network, worked out of the kb's records without the engine's inference.

Facts -> causes -> findings; only what the evidence touches is in it, which is the pruning that a user of a library does by hand.
"""

import math
from collections.abc import Iterable
from itertools import product
from typing import Any

from msgspec import Struct

from dryfloor.engine import model
from dryfloor.engine.case.state import State
from dryfloor.engine.diagnosis import evidence, signs
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.measurement import readings


class Cause(Struct, frozen=True):
    """A cause: its unknown parent facts, and its chance for each combination of their options [prob].

    `chance` runs over the options of `parents` in their order, the last fact fastest.
    """

    parents: list[str]
    chance: list[float]


class Seen(Struct, frozen=True):
    """A noisy-OR finding with net leak, and what was reported: likelihood if it is on, and if it is off.

    Seen is 1 and 0, not seen is 0 and 1; anything else is soft evidence.
    """

    leak: float
    links: dict[str, float]
    on: float
    off: float


class TwoLayer(Struct, frozen=True):
    """A network with its evidence: fact -> share of each option, cause -> its chance, finding -> what was reported."""

    facts: dict[str, list[float]]
    causes: dict[str, Cause]
    seen: dict[str, Seen]
    complaint: str = ""

    @property
    def positives(self) -> int:
        """How many findings were reported as likelier on than off."""
        return sum(s.on > s.off for s in self.seen.values())

    def states(self, cause: str) -> list[tuple[int, ...]]:
        """Return the combinations of options that a cause's chance runs over."""
        return list(product(*(range(len(self.facts[f])) for f in self.causes[cause].parents)))


def allowed(when: dict[str, Any], facts: dict[str, str]) -> bool:
    """Return whether facts, as far as they are known, allow a circumstance."""
    for fact, wanted in when.items():  # noqa: SIM110  (one line of it would be wider than the code is)
        if fact in facts and facts[fact] not in ({wanted} if isinstance(wanted, str) else {*wanted}):
            return False
    return True


def usual(kb: model.KB, when: dict[str, Any]) -> float:
    """Return how usual a circumstance is, facts being independent [prob]."""
    out = 1.0
    for fact, wanted in when.items():
        options = kb.facts[fact].options
        out *= sum(options[o].share_per_1000 for o in ([wanted] if isinstance(wanted, str) else wanted)) / 1000
    return out


def per_episode(kb: model.KB) -> float:
    """Return the factor from `per_1000` to chances: together the causes come as often as scales.yaml says."""
    return kb.scales.episode_rate.n / sum(c.per_1000.n / 1000 * usual(kb, c.when) for c in kb.causes.values())


def strength(kb: model.KB, said: str | model.Number | None) -> float:
    """Return a strength as a chance: a word of the scales, a number, or the usual strength of a broken rule."""
    if said is None:
        return kb.scales.breaks_strength.n
    return kb.scales.words[said] if isinstance(said, str) else said.n


def links(kb: model.KB, node: str, hands: str = "technician") -> dict[str, float]:
    """Return the causes that show a finding, with their strengths; later records of a cause replace its earlier ones.

    By what defines it a cause shows as surely as the scales say, and nothing that is looked at is surer than who reports it.
    """
    errs = next(r.gross_error_per_1000.n for r in kb.roles.roles if r.id == hands) / 1000
    out = {}
    for cause in kb.causes.values():
        shown = {}
        if cause.breaks and cause.breaks.side:
            shown[f"side:{cause.breaks.rule}:{cause.breaks.side}"] = cause.breaks.strength
        for s in cause.shows:
            if s.complaint:
                name = f"complaint:{s.complaint}"
            elif s.rule:
                name = f"side:{s.rule}:{s.side}"
            elif s.side:
                name = f"side:{kb.checks[s.check or ''].rule}:{s.side}"
            elif s.sign:
                name = f"sign:{s.sign}"
            else:
                sign = kb.checks[s.check or ""].answers[s.answer or ""].sign
                name = f"sign:{sign}" if sign else f"answer:{s.check}:{s.answer}"
            shown[name] = s.strength
        if node in shown:
            out[cause.id] = strength(kb, shown[node])
            if node == _defined(kb, cause) and not (cause.breaks and node.startswith("side:")):
                out[cause.id] = max(out[cause.id], kb.scales.defines_strength.n if kb.scales.defines_strength else 0.0)
            if node.startswith("answer:"):
                out[cause.id] = min(out[cause.id], 1 - errs)
    return dict(sorted(out.items()))


def _defined(kb: model.KB, cause: model.Cause) -> str:
    """Return the finding that defines a cause: of several answers the one that comes last."""
    look = cause.defines
    if look is None or look.why_hidden:
        return ""
    if look.rule:
        return f"side:{look.rule}:{look.side}"
    named = [a for a in kb.checks[look.check or ""].answers if a in (look.answer, *look.also)]
    sign = kb.checks[look.check or ""].answers[named[-1]].sign
    return f"sign:{sign}" if sign else f"answer:{look.check}:{named[-1]}"


def leak(kb: model.KB, node: str) -> float:
    """Return how often a finding is there with no listed cause [prob]."""
    kind, name, *more = node.split(":")
    if kind == "complaint":
        return min(0.5, kb.complaints[name].unlisted_per_1000.n / 1000 * per_episode(kb))
    if kind == "answer":
        return (kb.checks[name].answers[more[0]].leak_per_1000 or 1.0) / 1000
    if kind == "sign":
        return kb.signs[name].leak_per_1000 / 1000
    rule = kb.rules[name]
    otherwise = rule.otherwise_per_1000 or 1.0
    limited = (rule.min is not None) + (rule.max is not None)
    return (otherwise.get(more[0], 1.0) if isinstance(otherwise, dict) else otherwise / limited) / 1000


def chance(kb: model.KB, cause: model.Cause, facts: dict[str, str]) -> float:
    """Return a cause's chance where all facts that bear on it are known [prob]."""
    if not allowed(cause.when, facts):
        return 0.0
    rate = min(0.3, cause.per_1000.n / 1000 * per_episode(kb))
    for likelier in cause.likelier:
        rate *= likelier.times.n if allowed(likelier.when, facts) else 1.0
    return min(0.5, rate)


def reported(network: Network, state: State) -> dict[str, tuple[float, float]]:
    """Return what the answers of a state say of findings; nothing was mended yet, and every check was answered once.

    What a reading is worth, and what readings are worth together, is the rules' part and not inference: it is taken from there.
    Two checks that read one rule are two looks, each a finding of its own: `node@check`.
    """
    kb = network.kb
    out: dict[str, tuple[float, float]] = {}
    for a in sorted(state.answers, key=lambda a: a.check):
        check = kb.checks[a.check]
        if check.kind == "measure":
            r = readings.reading(kb, a.check, a.said, a.hands)
            for side, value in (("below", r.below), ("above", r.above)):
                if value is not None:
                    out[f"side:{r.rule}:{side}@{a.check}"] = value / r.within, 1.0
            continue
        for answer in list(check.answers)[:-1]:
            if not check.answers[answer].sign:
                out[f"answer:{check.id}:{answer}"] = (1.0, 0.0) if answer == a.said else (0.0, 1.0)
            if answer == a.said:
                break
    for _, found in evidence.derived_evidence(network, state):
        replaced = {f"side:{rule}:{side}" for rule, side in found.instead_of.items()}
        spared = {f"side:{rule}:{found.instead_of[rule]}" for rule in found.kept_counts}
        out = {
            node: (on, off)
            for node, (on, off) in out.items()
            if (said := node.partition("@")[0]) not in replaced or (said in spared and on < off)
        }
        for side, value in (("below", found.below), ("above", found.above)):
            if value is not None:
                out[f"side:{found.rule}:{side}"] = value / found.within, 1.0
    return out


def posed(network: Network, state: State) -> TwoLayer:
    """Return the network of a state with one complaint and no remedies, pruned to the ancestors of its evidence."""
    (complaint,) = state.complaints
    said = {f"complaint:{complaint}": (1.0, 0.0)} | reported(network, state)
    signs_seen = shown_by_reports(network, state)
    return two_layer(network.kb, said, dict(state.facts), f"complaint:{complaint}", state.hands, signs_seen)


class Entangled(ValueError):
    """Two positive reports of one sign: what they share is no two-layer network."""


def shown_by_reports(network: Network, state: State) -> dict[str, Seen]:
    """Return what reports of signs come to as findings of their own: a denied sign is off, a positive report is on but for a false alarm.

    Who reported what, and whose report counts, is the rules' part and taken from there; strengths and leaks are read off the records.

    Raises
    ------
    Entangled
        If two positive reports speak of one sign.
    """
    kb = network.kb
    reports = signs.told(network, state)
    missed = {
        k: math.prod(1 - r.hit for r in reports if not r.said and k in r.of) for k in {k for r in reports for k in r.of}
    }
    out = {}
    for k, m in sorted(missed.items()):
        if m < 1:
            own = {c: s * (1 - m) for c, s in links(kb, f"sign:{k}").items()}
            out[f"sign:{k}"] = Seen(leak(kb, f"sign:{k}") * (1 - m), own, 0.0, 1.0)
    positive = [r for r in reports if r.said]
    if any({*r.of} & {*other.of} for r in positive for other in positive if r is not other):
        raise Entangled("two positive reports of one sign")
    for r in positive:
        silent: dict[str, float] = {}
        quiet = 1.0
        for k in r.of:
            m, base = missed[k], leak(kb, f"sign:{k}")
            quiet *= 1 - base * m * r.hit / (1 - base * (1 - m))
            for c, s in links(kb, f"sign:{k}").items():
                silent[c] = silent.get(c, 1.0) * (1 - s * m * r.hit / (1 - s * (1 - m)))
        out[f"report:{r.sign}"] = Seen(1 - quiet, {c: 1 - s for c, s in sorted(silent.items())}, 1.0, r.false_alarm)
    return out


def two_layer(
    kb: model.KB,
    said: dict[str, tuple[float, float]],
    known: dict[str, str],
    complaint: str = "",
    hands: str = "technician",
    signs_seen: dict[str, Seen] | None = None,
) -> TwoLayer:
    """Return the network of some evidence: (likelihood if on, if off) of each finding, the facts that are known, reports of signs."""
    reports = signs_seen or {}
    shown = {node: links(kb, node.partition("@")[0], hands) for node in said}
    complaints = [node for node in said if node.startswith("complaint:")]
    if len(complaints) > 1 and kb.scales.another_name:
        named = {c for node in complaints for c in shown[node]}
        for node in complaints:
            shown[node] = dict.fromkeys(named, kb.scales.another_name.n) | shown[node]
    by_reports = [s.links for s in reports.values()]
    alive = sorted({c for by in [*shown.values(), *by_reports] for c in by if allowed(kb.causes[c].when, known)})
    parents = {c: sorted(_bearing(kb.causes[c]) - {*known}) for c in alive}
    facts = {}
    for fact in sorted({f for named in parents.values() for f in named}):
        options = kb.facts[fact].options
        whole = sum(options[o].share_per_1000 for o in sorted(options))
        facts[fact] = [options[o].share_per_1000 / whole for o in sorted(options)]
    causes = {}
    for c in alive:
        ways = product(*(sorted(kb.facts[f].options) for f in parents[c]))
        causes[c] = Cause(
            parents[c], [chance(kb, kb.causes[c], known | dict(zip(parents[c], way, strict=True))) for way in ways]
        )
    seen = {}
    for node, (on, off) in said.items():
        by = {c: s for c, s in shown[node].items() if c in causes}
        seen[node] = Seen(leak(kb, node.partition("@")[0]), by, on, off)
    for node, s in reports.items():
        seen[node] = Seen(s.leak, {c: x for c, x in s.links.items() if c in causes}, s.on, s.off)
    return TwoLayer(facts, causes, seen, complaint)


def _bearing(cause: model.Cause) -> set[str]:
    circumstances: Iterable[dict[str, Any]] = (cause.when, *(x.when for x in cause.likelier))
    return {f for when in circumstances for f in when}


def folded(network: TwoLayer) -> tuple[dict[str, tuple[float, float]], dict[str, Seen]]:
    """Return what a careful user folds in before asking a library: (weight if absent, if present) by cause, and the rest.

    What was not seen factors by cause, and so does whatever one cause alone can show.
    """
    weights = dict.fromkeys(network.causes, (1.0, 1.0))
    rest = {}
    for node, s in network.seen.items():
        silent = 1 - s.leak
        if s.on == s.off:
            continue
        if s.on == 0:
            by = {c: 1 - strength for c, strength in s.links.items()}
        elif len(s.links) <= 1:
            absent = s.on + (s.off - s.on) * silent
            by = {c: (s.on + (s.off - s.on) * silent * (1 - strength)) / absent for c, strength in s.links.items()}
        else:
            rest[node] = s
            continue
        for c, factor in by.items():
            weights[c] = weights[c][0], weights[c][1] * factor
    return weights, rest
