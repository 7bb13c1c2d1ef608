"""From the state of a case to what the belief needs: causes in play, their chances in each state of the facts, findings."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..case.state import Answered, State
from ..inference.noisy_or import CausePrior, NoisyOr
from ..knowledge import graph
from ..measurement.readings import gross_error, reading
from ..model import holds
from .network import Facts, Network, priors

if TYPE_CHECKING:
    from .derived import Derived

# How often a complaint that nothing listed explains ends by itself between two remedies (judgement) [prob].
ENDED_ALONE = 0.05


@dataclass(frozen=True)
class Evidence:
    """Everything that `belief.infer_by_fact` takes, with the names behind the numbers."""

    causes: list[str]
    tables: list[CausePrior]
    facts: Facts
    findings: list[NoisyOr]
    names: list[str]
    cures: dict[int, list[tuple[int, float]]]


def findings_of(network: Network, answer: Answered) -> list[tuple[str, float, float]]:
    """Return what one answer says of findings: (node, likelihood if on, likelihood if off)."""
    check = network.kb.checks[answer.check]
    if check.kind == "measure":
        r = reading(network.kb, answer.check, answer.said, answer.hands)
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


def reported(network: Network, state: State) -> list[tuple[str, float, float, int]]:
    """Return what all answers say of findings, and what readings say together: (node, if on, if off, epoch)."""
    raw = [
        (node, on, off, answer.epoch)
        for answer in latest(state.answers)
        for node, on, off in findings_of(network, answer)
    ]
    for epoch, found in derived_evidence(network, state):
        stands_in = {graph.side_node(rule, side) for rule, side in found.instead_of.items()}
        raw = [r for r in raw if r[3] != epoch or r[0] not in stands_in]
        for side, value in (("below", found.below), ("above", found.above)):
            if value is not None:
                raw.append((graph.side_node(found.rule, side), value / found.within, 1.0, epoch))
    return raw


def derived_evidence(network: Network, state: State) -> "list[tuple[int, Derived]]":
    """Return what the physics makes of the readings of each stretch between remedies, rule by rule."""
    kb = network.kb
    answers = latest(state.answers)
    touched = {place: rule for a in answers for place, rule in network.modelled.get(a.check, ())}
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


def gather_evidence(network: Network, state: State) -> Evidence:
    """Return the evidence of a state, folded in id order.

    Parameters
    ----------
    network : Network
    state : State
    """
    kb = network.kb
    raw = reported(network, state)
    play = set(graph.relevant(network.graph, list(state.complaints)))
    play |= {c for node, *_ in raw for c in network.shown[node]}
    play |= {t.cause for t in state.remedies}
    known = dict(state.facts)
    causes = [c for c in sorted(play) if holds(kb.causes[c].when, known)]
    index = {c: i for i, c in enumerate(causes)}
    facts, tables = priors(network, causes, known)

    def linked(node: str) -> dict[int, float]:
        return {index[c]: s for c, s in network.shown[node].items() if c in index}

    findings, names = [], []
    gone, stands = dict(state.gone), dict(state.stands)
    for complaint in sorted(state.complaints):
        node = f"complaint:{complaint}"
        # Seen and gone with no remedy in between, it says nothing of what is wrong.
        if complaint not in gone or gone[complaint] > stands[complaint]:
            findings.append(
                NoisyOr(
                    network.leak[node],
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
        findings.append(NoisyOr(network.leak[node], linked(node), on, off, epoch))
        names.append(node)
    cures: dict[int, list[tuple[int, float]]] = {}
    for tried in state.remedies:
        if tried.did == "done" and tried.cause in index:
            cures.setdefault(index[tried.cause], []).append(
                (tried.epoch, graph.strength(kb, kb.causes[tried.cause].remedy.cures))
            )
    return Evidence(causes, tables, facts, findings, names, cures)
