"""The next step: a stop, a gate, a pending proof, what is left, or what costs least."""

from collections.abc import Callable

import msgspec

from .. import model
from ..advice import Step, StepKind
from ..case.state import repeated, reports_of_then
from ..diagnosis.earlier import leading_here
from ..diagnosis.measured import disagreeing
from ..inference.potentials import Array
from ..planning import roles
from ..planning.myopic import choose
from ..planning.problem import Decision, DecisionProblem
from . import gates as safety
from . import reasons, trades
from .analysis import EVEN, Analysis
from .cards import said_then

# Share of the price of acting that a question must save before it is asked [-]. Judgement: the leaf is optimistic about what is
# learnt, so that at 0 a walk goes on asking at 98 in 100 for half a minute of 56.
LEAST_GAIN = 0.02
# From here on a fault is mended without the look that defines it (judgement: below, more than one mend in twenty would be in vain) [prob].
SURE = 0.95
BEFORE_QUESTIONS = "safety comes before the question"
# From a belief over the scenarios of a view, the choice that some way of choosing makes there.
Policy = Callable[[Array, DecisionProblem], Decision]


def least_cost(root: Array, decision_problem: DecisionProblem) -> Decision:
    """Return the shipped choice from a belief: one step ahead, for every role and every belief alike."""
    return choose(root, decision_problem, LEAST_GAIN)


def next_step(analysis: Analysis, gates: list[str], policy: Policy = least_cost) -> tuple[Step | None, Decision | None]:
    """Return the next step: a stop, a gate, a pending proof, what is left, or what the policy chooses: what costs least."""
    kb, state = analysis.network.kb, analysis.state
    if state.stopped:
        hazard = kb.hazards[state.stopped]
        return Step(kind="stop", id=hazard.id, title=hazard.title, why="this is not safe now", minutes=0, cost=0), None
    if state.closed:
        return None, None
    gate = safety.first_open(kb, state, gates)
    if gate:
        return gate_step(kb, gate, BEFORE_QUESTIONS), None
    if not state.complaints:
        return Step(
            kind="fact",
            id="complaint",
            title="What is wrong",
            why="nothing that I know was heard yet",
            minutes=roles.COMPLAINT_MINUTES,
            cost=roles.COMPLAINT_MINUTES,
        ), None
    pending = _pending(analysis) or _measured_again(analysis) or _left_then(analysis)
    step, choice = (pending, None) if pending else _cheapest(analysis, policy)
    if step and step.kind in ("check", "remedy"):
        named = kb.checks[step.id].hazards if step.kind == "check" else _mended_with(kb.causes[step.cause or ""])
        gate = safety.first_open(kb, state, named)
        if gate:
            before = gate_step(kb, gate, f"before the next step: {step.title}")
            behind = f"{step.kind}:{step.id}" if safety.condition_only(kb, gate) else None
            cause = step.cause if step.kind == "remedy" else None
            return msgspec.structs.replace(before, cause=cause, guards=behind), choice
    return step, choice


def _mended_with(cause: model.Cause) -> list[str]:
    """Return the hazards that are asked about before a mend: of what is healthy nothing is mended, so none."""
    return [] if cause.kind == "normal" else cause.remedy.hazards


def gate_step(kb: model.KB, name: str, why: str, kind: StepKind = "gate") -> Step:
    """Return the step of a gate, or of a stop at one: it takes no more than a word, whoever says it.

    Parameters
    ----------
    kb : KB
    name : str
        A hazard.
    why : str
        Why it comes now, as the card says it.
    kind : str, optional
        "gate", or "stop" once something is not safe.
    """
    minutes = roles.GATE_MINUTES
    return Step(kind=kind, id=name, title=kb.hazards[name].title, why=why, minutes=minutes, cost=minutes)


def _pending(analysis: Analysis) -> Step | None:
    """Return the proof of the last remedy, or the question which complaints are left."""
    kb, state = analysis.network.kb, analysis.state
    done = [t for t in state.remedies if t.did == "done"]
    if not done:
        return None
    last = done[-1]
    left = [c for c in state.complaints if c not in dict(state.gone)]
    if last.passed is None:
        check = kb.checks[kb.causes[last.cause].proof.check]
        # Hands that may not do it, a homeowner after the plumber say, are asked what is left instead.
        if check.id not in dict(state.passed_over) and roles.permitted(kb, check, state.hands):
            minutes = roles.check_minutes(check, state.hands)
            return Step(
                kind="check",
                id=check.id,
                title=check.title,
                proof=True,
                cause=last.cause,
                minutes=minutes,
                cost=minutes,
                why=f"a fix counts only when it is seen to work: {kb.causes[last.cause].title.lower()}",
            )
    elif last.passed is False or all(_shown_gone(kb, last.cause, c, left) for c in left):
        return None
    if state.asked_still < state.epoch:
        return Step(
            kind="fact",
            id="still-there",
            title="What is left",
            why="a fix can cure one complaint and not another",
            minutes=roles.SPOKEN_MINUTES,
            cost=roles.SPOKEN_MINUTES,
        )
    return None


def _left_then(analysis: Analysis) -> Step | None:
    """Return the look at what was left broken at the installation and leads to what is complained of: before anything is sought elsewhere."""
    network, state = analysis.network, analysis.state
    kb = network.kb
    found = []
    for then in reports_of_then(state):
        check = kb.checks[then.check]
        behind = leading_here(network, state, then)
        if then.left and behind and not check.only_proof and roles.askable(network, state, check, state.hands):
            p = sum(b.p for b in analysis.beliefs if b.cause in behind)
            found.append((-p, then.check, then))
    if not found:
        return None
    then = min(found)[2]
    left = f"left so at the installation: {said_then(kb, then)}"
    step = _question(analysis, "check", then.check, f"it was {left}")
    # What must be known before the look says for what, too.
    return step if step.id == then.check else msgspec.structs.replace(step, why=f"{step.why}, {left}")


def _measured_again(analysis: Analysis) -> Step | None:
    """Return the measurement whose readings by several hands can't both be right, where these hands may take it once more."""
    kb, state = analysis.network.kb, analysis.state
    for name, read in disagreeing(kb, state):
        check = kb.checks[name]
        if roles.askable(analysis.network, state, check, state.hands):
            said = " and ".join(a.said for a in read)
            return _question(analysis, "check", name, f"two readings of it, {said}, can't both be right: measure again")
    return None


def _shown_gone(kb: model.KB, cause: str, complaint: str, left: list[str]) -> bool:
    """Return whether the passed proof of a remedy showed that the only complaint left is gone."""
    return len(left) == 1 and repeated(kb, kb.causes[cause].proof.check, complaint)


def _cheapest(analysis: Analysis, policy: Policy) -> tuple[Step | None, Decision]:
    kb, state = analysis.network.kb, analysis.state
    choice = policy(analysis.scenarios.weight, analysis.decision_problem)
    best = choice.best
    if best.kind == "remedy" and not _likely(analysis, best.id):
        # Nobody is told "this is normal" of what is likelier something else: what else may be asked comes first, then somebody comes.
        onward = [v for v in choice.ranked if v.kind != "remedy" or _likely(analysis, v.id)]
        best = next((v for v in onward if v.kind == "question" and v.price < choice.hand_on), None) or next(
            (v for v in onward if v.kind == "hand-on"), best
        )
    kind, _, name = best.id.partition(":")
    why = reasons.why_now(analysis, choice)
    if best.kind == "question":
        if any(a.check == name and not a.proof for a in state.answers):
            # Whoever reads it remembers that it was asked.
            why = f"it was looked at before, and is worth another look: {why}"
        return _question(analysis, kind, name, why), choice
    if best.kind == "remedy":
        remedy = kb.causes[name].remedy
        again = roles.second_look(analysis.network, state, kb.causes[name], state.hands)
        if again is not None:
            why = f"an earlier look said otherwise, and still it is likeliest: {kb.causes[name].title.lower()}; look once more"
            return _question(analysis, "check", again.id, why), choice
        # Nobody is booked to cut pipe either before the reading that calls for it.
        if remedy.only_if and roles.condition(analysis.network, state, remedy) == "open":
            return _question(
                analysis,
                "check",
                remedy.only_if.check,
                f"it must stand before anybody does this: {remedy.title.lower()}",
            ), choice
    if kind == "remedy":
        cause = kb.causes[name]
        # Whose work it is hangs on these: an inch forward, but not beside a gas dryer.
        look = _defining(analysis, cause)
        if look is not None:
            return _question(
                analysis, "check", look.id, f"it decides whether this is it: {cause.title.lower()}"
            ), choice
        for fact in roles.unsettled(cause.remedy, state):
            return _question(
                analysis, "fact", fact, f"it decides who may do this: {cause.remedy.title.lower()}"
            ), choice
        cost = next(m.cost for m in analysis.decision_problem.repairs if m.id == best.id)
        return Step(
            kind="remedy",
            id=name,
            title=cause.remedy.title,
            why=why,
            minutes=cause.remedy.minutes,
            cost=round(cost, 6),
            cause=name,
        ), choice
    if kind == "hand-on":
        cause = kb.causes[name]
        booked = roles.work_of(cause.remedy, state)
        # Below even odds a trade is called, and nothing is named as if it were found.
        sure = any(b.cause == name and b.p >= EVEN for b in analysis.beliefs)
        return Step(
            kind="hand-on",
            id=booked,
            title=f"Book: {cause.remedy.title.lower()}" if sure else f"Hand on to the {booked}",
            why=why,
            minutes=cause.remedy.minutes,
            cost=round(best.price, 6),
            cause=name if sure else None,
        ), choice
    found = kb.causes.get(analysis.likeliest or "")
    if found and roles.condition(analysis.network, state, found.remedy) == "met":
        trade = trades.left_to(kb, found, state)
        tried = any(t.cause == found.id and t.did == "could-not" for t in state.remedies)
        if trade in trades.LICENSED or tried:
            # Whoever can end it is named, and not somebody who would only hand it on; but nobody is booked to cut pipe unseen.
            return Step(
                kind="hand-on",
                id=trade,
                title=f"Book: {found.remedy.title.lower()}",
                why=why,
                minutes=0,
                cost=round(choice.hand_on, 6),
                cause=found.id,
            ), choice
    to = trades.expected(analysis)
    return Step(
        kind="hand-on",
        id=to,
        title=f"Hand on to the {to}",
        why=why,
        minutes=0,
        cost=round(choice.hand_on, 6),
    ), choice


def _likely(analysis: Analysis, name: str) -> bool:
    """Return whether a mend may be offered by what is believed: of what is healthy only where it is likelier so than not."""
    cause = analysis.network.kb.causes.get(name.partition(":")[2])
    if cause is None or cause.kind != "normal":
        return True
    return any(b.cause == cause.id and b.p >= EVEN for b in analysis.beliefs)


def _defining(analysis: Analysis, cause: model.Cause) -> model.Check | None:
    """Return the look that defines a cause, where these hands can take it, nobody has, and the cause is not sure without it."""
    state = analysis.state
    look = cause.defines
    sure = any(b.cause == cause.id and b.p >= SURE for b in analysis.beliefs)
    if look is None or sure or not (look.check or look.rule):
        return None
    checks = roles.open_checks(analysis.network, state, [cause.id], state.hands)
    own = (c for c in checks if c.id == look.check or (look.rule and c.kind == "measure" and c.rule == look.rule))
    return next(own, None)


def _question(analysis: Analysis, kind: str, name: str, why: str) -> Step:
    """Return the step of a fact or a check; a check that hangs on an unknown fact, or on another check, asks that first."""
    kb, state = analysis.network.kb, analysis.state
    rate = roles.minute_price(kb, state.role, state.hands)
    if kind == "check":
        check = kb.checks[name]
        known = dict(state.facts)
        passed = dict(state.passed_over)
        for fact in sorted(check.when):
            silly = roles.senseless(analysis.network, state, kb.facts[fact])
            if fact not in known and fact not in passed and not silly:
                return _question(
                    analysis, "fact", fact, f"it decides whether this is worth a look: {check.title.lower()}"
                )
        first = roles.waits_for(analysis.network, state, check)[1]
        if first:
            return _question(analysis, "check", first.check, f"it must be known before this: {check.title.lower()}")
        minutes = roles.check_minutes(check, state.hands)
        return Step(kind="check", id=name, title=check.title, why=why, minutes=minutes, cost=round(minutes * rate, 6))
    fact_minutes = roles.fact_minutes(kb.facts[name], state.hands)
    return Step(
        kind="fact",
        id=name,
        title=kb.facts[name].title,
        why=why,
        minutes=fact_minutes,
        cost=round(fact_minutes * rate, 6),
    )
