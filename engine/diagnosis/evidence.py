"""From the state of a case to what the belief needs: causes in play, their chances in each state of the facts, findings."""

from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .. import effort, model
from ..case.state import Answered, State, reports_of_then
from ..inference.cost import PLAIN
from ..inference.noisy_or import CausePrior, Finding, NoisyOr
from ..inference.signs import Reported
from ..knowledge import graph
from ..measurement.readings import gross_error
from ..model import holds
from .measured import counted, hands_of
from .network import Facts, Network, priors
from .signs import THEN, changed_since, reported_signs, told

if TYPE_CHECKING:
    from .derived import Derived

# How often a complaint that nothing listed explains ends by itself between two remedies (judgement) [prob].
ENDED_ALONE = 0.05
# How often a no to a healthy thing comes of itself: what is denied weighs no other cause, so only that it is not 0 matters [prob].
NO_OF_ITSELF = 1e-9
# How often a no to a healthy thing holds: that of a homeowner's look as it is judged, and no number that cases change (judgement) [prob].
NO_HOLDS = 0.97
# What it takes to read a reading, and to work one out [cells] (measured).
READING, DERIVED = 5_000, 50_000


HEALTHY = "healthy"  # names the findings that are a no to a healthy thing


@dataclass(frozen=True)
class Evidence:
    """Everything that `belief.infer_by_fact` takes, with the names behind the numbers."""

    causes: list[str]
    tables: list[CausePrior]
    facts: Facts
    findings: list[Finding]
    names: list[str]
    cures: dict[int, list[tuple[int, float]]]


def findings_of(
    network: Network, answer: Answered, answers: tuple[Answered, ...] | None = None
) -> list[tuple[str, float, float]]:
    """Return what one answer says of findings: (node, likelihood if on, likelihood if off); what it says of signs is told apart.

    Parameters
    ----------
    network : Network
    answer : Answered
    answers : tuple of Answered, optional
        All of the case: what other hands read of the same thing is taken together with it.
    """
    check = network.kb.checks[answer.check]
    if check.kind == "measure":
        effort.spend(READING)
        r = counted(network.kb, (answer,) if answers is None else answers, answer.check, answer.epoch)
        return [
            (graph.side_node(r.rule, side), *_pair(value, r.within))
            for side, value in (("below", r.below), ("above", r.above))
            if value is not None
        ]
    out: list[tuple[str, float, float]] = []
    for name in list(check.answers)[:-1]:
        node = graph.answer_node(check.id, name)
        if node in network.sign_at:
            if name == answer.said:
                return out
            continue
        if name == answer.said:
            return [*out, (node, 1.0, 0.0)]
        out.append((node, 0.0, 1.0))
    return out


def earlier_findings(network: Network, state: State) -> list[tuple[str, float, float, str, float]]:
    """Return what the readings of an installation say of findings today: (node, if on, if off, by whose hands, how far causes showed then).

    A cause that is at work now was at work then, too, unless it came about since; so its link to what was seen then is that much weaker.
    What was right then denies each cause so far by itself, and ties none to another. Proofs speak of a machine that ran then, and say
    nothing.
    """
    stayed = 1 - changed_since(network.kb)
    out: list[tuple[str, float, float, str, float]] = []
    for then in reports_of_then(state):
        if network.kb.checks[then.check].only_proof:
            continue
        for node, on, off in findings_of(network, Answered(then.check, then.said, then.hands, 0)):
            if on < off:
                out.append((node, 0.0, 1.0, then.hands, stayed * (1 - on / off)))
            else:
                out.append((node, on, off, then.hands, stayed))
    return out


def _pair(broken: float, within: float) -> tuple[float, float]:
    """Return two likelihoods with the larger at 1: only their ratio counts, and a product of hundreds of ratios is in no float."""
    most = max(broken, within)
    return (broken / most, within / most) if most > 0 else (1.0, 1.0)


def latest(answers: tuple[Answered, ...]) -> list[Answered]:
    """Return the last answer to each check between two remedies, in id order; proofs speak of the complaint alone."""
    last = {(a.check, a.epoch): a for a in answers if not a.proof}
    return [last[k] for k in sorted(last)]


def reported(network: Network, state: State) -> list[tuple[str, float, float, int, str]]:
    """Return what all answers say of findings, and what readings say together: (node, if on, if off, epoch, by whose hands)."""
    raw = [
        (node, on, off, answer.epoch, answer.hands)
        for answer in latest(state.answers)
        for node, on, off in findings_of(network, answer, state.answers)
    ]
    derived = derived_evidence(network, state)
    # What is worked out stands in for what is read directly, and for what was worked out before it.
    stood_for: set[tuple[str, int]] = set()
    # Of these only a break is stood for: a hose that is short enough by its own rule is not the one that hangs too deep.
    kept_counts: set[tuple[str, int]] = set()
    worked: list[tuple[str, float, float, int, str]] = []
    for epoch, found in reversed(derived):
        sides = [("above", found.above), ("below", found.below)]
        said = [
            (graph.side_node(found.rule, side), *_pair(v, found.within), epoch, "")
            for side, v in sides
            if v is not None
        ]
        worked += [s for s in said if (s[0], epoch) not in stood_for]
        stood_for |= {(graph.side_node(rule, side), epoch) for rule, side in found.instead_of.items()}
        kept_counts |= {(graph.side_node(rule, found.instead_of[rule]), epoch) for rule in found.kept_counts}
    return [
        (node, on, off, epoch, hands)
        for node, on, off, epoch, hands in raw
        if (node, epoch) not in stood_for or ((node, epoch) in kept_counts and on < off)
    ] + worked[::-1]


def derived_evidence(network: Network, state: State) -> "list[tuple[int, Derived]]":
    """Return what the physics makes of the readings of each stretch between remedies, rule by rule."""
    kb = network.kb
    answers = latest(state.answers)
    touched = {place: rule for a in answers for place, rule in network.modelled.get(a.check, ())}
    modelled = [rule for _, rule in sorted(touched.items()) if holds(rule.when, dict(state.facts))]
    if not modelled:
        return []
    from .derived import derive

    by_epoch: dict[int, list[Answered]] = {}
    for a in answers:
        by_epoch.setdefault(a.epoch, []).append(a)
    out = []
    for epoch in sorted(by_epoch):
        read: dict[str, tuple[float, float]] = {}
        hands = "technician"
        for a in by_epoch[epoch]:
            if kb.checks[a.check].kind == "measure":
                effort.spend(READING)
                r = counted(kb, state.answers, a.check, a.epoch)
                read[a.check] = (r.value, r.half_width)
                # One weak reading makes the whole working as weak as itself.
                hands = "homeowner" if hands_of(kb, state.answers, a.check, a.epoch) == "homeowner" else hands
        direct = {kb.checks[c].rule for c in read}
        for rule in modelled:
            if rule.id in direct:
                continue
            effort.spend(DERIVED)
            found = derive(kb, rule, read, gross_error(kb, hands))
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
    effort.spend(PLAIN * (len(state.answers) + len(state.remedies)))
    raw = reported(network, state)
    then = earlier_findings(network, state)
    effort.spend(PLAIN * len(then))
    reports = told(network, state)
    effort.spend(PLAIN * len(reports))
    play = set(graph.relevant(network.graph, list(state.complaints)))
    play |= {c for node, *_ in raw for c in network.shown[node]}
    # What was right at the installation brings no cause into play that nothing else speaks of.
    play |= {c for node, on, off, *_ in then if on > off for c in network.shown[node]}
    play |= {c for r in reports if r.said or r.hands != THEN for sign in r.of for c in network.signs[sign]}
    play |= {t.cause for t in state.remedies}
    known = dict(state.facts)
    causes = [c for c in sorted(play) if holds(kb.causes[c].when, known)]
    index = {c: i for i, c in enumerate(causes)}
    facts, tables = priors(network, causes, known)

    def linked(node: str, hands: str = "") -> dict[int, float]:
        return {index[c]: s for c, s in network.links(node, hands).items() if c in index}

    loosely = kb.scales.another_name.n if kb.scales.another_name else 0.0

    def complained(node: str) -> dict[int, float]:
        """The links of a complaint, and those of causes that show another of them: one trouble is often named twice."""
        links = linked(node)
        if loosely and len(state.complaints) > 1:
            others = {c for n in state.complaints for c in network.shown[f"complaint:{n}"]}
            links |= {index[c]: loosely for c in sorted(others) if c in index and index[c] not in links}
        return links

    findings: list[Finding] = []
    names = []
    gone, stands = dict(state.gone), dict(state.stands)
    for complaint in sorted(state.complaints):
        node = f"complaint:{complaint}"
        # Seen and gone with no remedy in between, it says nothing of what is wrong.
        if complaint not in gone or gone[complaint] > stands[complaint]:
            findings.append(
                NoisyOr(
                    network.leak[node],
                    complained(node),
                    1.0,
                    ENDED_ALONE if complaint in gone else 0.0,
                    stands[complaint],
                    True,
                    gone.get(complaint),
                )
            )
            names.append(node)
    for node, on, off, epoch, hands in raw:
        findings.append(NoisyOr(network.leak[node], linked(node, hands), on, off, epoch))
        names.append(node)
    for node, on, off, hands, stayed in then:
        links = {i: stayed * s for i, s in linked(node, hands).items()}
        if links:
            findings.append(NoisyOr(network.leak[node], links, on, off, 0))
            names.append(node)
    for signs, group in reported_signs(network, reports, index):
        findings.append(group)
        names.append(graph.sign_node("+".join(signs)))
    for cause, at in not_so(kb, state).items():
        # Told how it looks when all is well, somebody looked and said no: a look's denial.
        findings.append(NoisyOr(NO_OF_ITSELF, {index[cause]: NO_HOLDS} if cause in index else {}, 0.0, 1.0, at))
        names.append(f"{HEALTHY}:{cause}")
    return Evidence(causes, tables, facts, findings, names, _cures(kb, state, index, findings))


def not_so(kb: model.KB, state: State) -> dict[str, int]:
    """Return the healthy things to which somebody said no, that is not how it is, each with how many remedies had been done.

    Examples
    --------
    >>> from dryfloor.engine.case.state import Tried
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> not_so(load_kb(), State(remedies=(Tried("pump-hum", "could-not", 0), Tried("foot-unloaded", "could-not", 0))))
    {'pump-hum': 0}
    """
    return {t.cause: t.epoch for t in state.remedies if t.did == "could-not" and kb.causes[t.cause].kind == "normal"}


def _epochs(f: Finding) -> set[int]:
    """Return at how many remedies done something was seen of a finding."""
    if isinstance(f, Reported):
        return f.epochs
    return {f.epoch} if f.gone_at is None else {f.epoch, f.gone_at}


def _cures(
    kb: model.KB, state: State, index: dict[str, int], findings: list[Finding]
) -> dict[int, list[tuple[int, float]]]:
    """Return the remedies done on each cause, those of one cause between which nothing was seen taken together as the last of them."""
    seen = sorted({epoch for f in findings for epoch in _epochs(f)})
    cures: dict[int, list[tuple[int, float]]] = {}
    for tried in state.remedies:
        if tried.did == "done" and tried.cause in index:
            done = cures.setdefault(index[tried.cause], [])
            cure = graph.strength(kb, kb.causes[tried.cause].remedy.cures)
            if done and bisect_left(seen, done[-1][0]) == bisect_left(seen, tried.epoch):
                cure = 1 - (1 - done.pop()[1]) * (1 - cure)
            done.append((tried.epoch, cure))
    return cures
