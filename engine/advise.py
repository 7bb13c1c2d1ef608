"""advise(kb, case) -> Advice: the heart. Pure, no clock, no I/O, no randomness.

Everything else is a way in or out: the walk loops around this with a person, a script feeds it a file.
"""

from typing import Any

import numpy as np

from . import cards, model, safety, views
from .advice import Advice, Belief, Finding, HandOn, HeardComplaint, Price, Step
from .belief import Posterior, infer
from .case import Event, State, fold
from .choose import Choice, View, choose
from .evidence import Evidence, Net, gather, latest, reading
from .scenarios import Scenarios, list_scenarios

EVEN = 0.5
DIGITS = 9
_nets: list[tuple[model.KB, Net]] = []


def net_of(kb: model.KB) -> Net:
    """Return the compiled network of a kb, built once for each kb that is in use."""
    for known, net in _nets:
        if known is kb:
            return net
    net = Net(kb)
    _nets.insert(0, (kb, net))
    del _nets[3:]
    return net


class Thought:
    """Everything worked out about one state, before it is put into words."""

    def __init__(self, net: Net, state: State) -> None:
        self.net = net
        self.state = state
        self.evidence: Evidence = gather(net, state)
        e = self.evidence
        self.posterior: Posterior = infer(e.prior, e.facts.share, e.findings, e.cures)
        self.beliefs = _beliefs(net.kb, state, e, self.posterior)
        self._scenarios: Scenarios | None = None
        self._view: View | None = None

    @property
    def scenarios(self) -> Scenarios:
        """The planning belief, listed when first needed."""
        if self._scenarios is None:
            self._scenarios = list_scenarios(self.evidence, self.posterior.evidence, self.posterior.present)
        return self._scenarios

    @property
    def view(self) -> View:
        """What the role may do."""
        if self._view is None:
            self._view = views.view(self.net, self.state, self.evidence, self.scenarios, self.state.role, self.state.hands)
        return self._view

    @property
    def unknown(self) -> float:
        """Chance that the complaint has no listed explanation."""
        return round(self.posterior.unknown, DIGITS)


def _beliefs(kb: model.KB, state: State, e: Evidence, posterior: Posterior) -> list[Belief]:
    standing = any(f.complaint and f.gone_at is None for f in e.findings)
    out = []
    for i, name in enumerate(e.causes):
        cause = kb.causes[name]
        present = round(float(posterior.present[i]), DIGITS)
        p = round(float(posterior.explains[i]), DIGITS) if standing else present
        out.append(Belief(cause=name, title=cause.title, kind=cause.kind, p=p, present=present, breaks=cause.breaks.rule if cause.breaks else None))
    return sorted(out, key=lambda b: (-b.p, -b.present, b.cause))


def advise(kb: model.KB, events: list[Event]) -> Advice:
    """Return the advice for a case.

    Parameters
    ----------
    kb : KB
        From `load.load_kb`, with a machine sheet applied where there is one.
    events : list of Event
        The case, checked by `casefile`.

    Returns
    -------
    Advice
        The same to the byte for the same kb and events.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> a = advise(load_kb(), [Event(role="technician"), Event(complaints=["walks"]), Event(cleared="walking-machine", word="stopped")])
    >>> a.next.kind in ("fact", "check")
    True
    """
    return advise_state(kb, fold(kb, events))


def advise_state(kb: model.KB, state: State) -> Advice:
    """Return the advice for a folded case."""
    net = net_of(kb)
    heard, hazards = _hear(kb, state)
    unconfirmed = [h.complaint for h in heard]
    if unconfirmed and not state.complaints:
        state = _with_complaints(state, unconfirmed)
    thought = Thought(net, state)
    gates = safety.raised(kb, state, hazards)
    step, choice = _next(thought, gates)
    finding = _finding(thought, step)
    card = cards.card(net, state, thought, step, choice) if step else None
    return Advice(
        status=_status(state, step), role=state.role, hands=state.hands, complaints=list(state.complaints), heard=heard,
        facts=dict(sorted(state.facts)), hazards=safety.states(kb, state, gates), beliefs=thought.beliefs, unknown=thought.unknown,
        next=step, card=card, finding=finding, hand_on=_hand_on(thought, step, finding),
        prices=[Price(kind=v.kind, id=v.id, price=round(v.price, 6)) for v in choice.ranked] if choice else [],
        readings=readings(kb, state), unchecked=_unchecked(thought), notices=list(state.notices),
        residual=round(thought._scenarios.residual, DIGITS) if thought._scenarios else 0.0,
    )


def _hear(kb: model.KB, state: State) -> tuple[list[HeardComplaint], list[str]]:
    """Hear the words of the case: complaints that nobody confirmed, and hazards that any words name."""
    if not state.words:
        return [], []
    from .hear import hear

    found, hazards = [], []
    for words in state.words:
        heard = hear(words, kb)
        hazards += [h.hazard for h in heard.hazards]
        if not state.complaints:
            found += [HeardComplaint(complaint=m.complaint, score=m.score, phrase=m.words) for m in heard.complaints if m.likely]
    return found, list(dict.fromkeys(hazards))


def _with_complaints(state: State, names: list[str]) -> State:
    import msgspec

    names = list(dict.fromkeys(names))
    return msgspec.structs.replace(state, complaints=tuple(names), stands=tuple((n, state.epoch) for n in names))


def _status(state: State, step: Step | None) -> str:
    if state.stopped:
        return "stopped"
    if state.closed:
        return state.closed
    return "open" if step else "no-step"


def _next(thought: Thought, gates: list[str]) -> tuple[Step | None, Choice | None]:
    """Return the next step: a stop, a gate, a pending proof, what is left, or what costs least."""
    kb, state = thought.net.kb, thought.state
    if state.stopped:
        hazard = kb.hazards[state.stopped]
        return Step(kind="stop", id=hazard.id, title=hazard.title, why="this is not safe now", minutes=0, cost=0), None
    if state.closed:
        return None, None
    gate = safety.first_open(kb, state, gates)
    if gate:
        return _gate(kb, gate, "safety comes before the question"), None
    if not state.complaints:
        return Step(kind="fact", id="complaint", title="What is wrong", why="nothing that I know was heard yet", minutes=0.5, cost=0.5), None
    pending = _pending(thought)
    step, choice = (pending, None) if pending else _cheapest(thought)
    if step and step.kind in ("check", "remedy"):
        named = kb.checks[step.id].hazards if step.kind == "check" else kb.causes[step.cause or ""].remedy.hazards
        gate = safety.first_open(kb, state, named)
        if gate:
            return _gate(kb, gate, f"before the next step: {step.title}"), choice
    return step, choice


def _gate(kb: model.KB, name: str, why: str) -> Step:
    return Step(kind="gate", id=name, title=kb.hazards[name].title, why=why, minutes=0.2, cost=0.2)


def _pending(thought: Thought) -> Step | None:
    """Return the proof of the last remedy, or the question which complaints are left."""
    kb, state = thought.net.kb, thought.state
    done = [t for t in state.remedies if t.did == "done"]
    if not done:
        return None
    last = done[-1]
    left = [c for c in state.complaints if c not in dict(state.gone)]
    if last.passed is None:
        check = kb.checks[kb.causes[last.cause].proof.check]
        if check.id not in dict(state.passed_over):
            minutes = views.minutes_of(check.minutes, state.hands) or check.minutes.technician or check.minutes.homeowner or 1
            return Step(kind="check", id=check.id, title=check.title, proof=True, cause=last.cause, minutes=minutes,
                        cost=minutes, why=f"a fix counts only when it is seen to work: {kb.causes[last.cause].title.lower()}")
    elif last.passed is False or len(left) < 2:
        return None
    if state.asked_still < state.epoch:
        return Step(kind="fact", id="still-there", title="What is left", why="a fix can cure one complaint and not another", minutes=0.3, cost=0.3)
    return None


def _cheapest(thought: Thought) -> tuple[Step | None, Choice]:
    kb, state = thought.net.kb, thought.state
    choice = choose(thought.scenarios.weight, thought.view)
    best = choice.best
    kind, _, name = best.id.partition(":")
    why = cards.why_now(thought, choice)
    if best.kind == "question":
        return _question(thought, kind, name, why), choice
    if best.kind == "remedy" and kind == "remedy":
        cause = kb.causes[name]
        only = cause.remedy.only_if
        if only and views.condition(thought.net, state, cause.remedy) == "open":
            return _question(thought, "check", only.check, f"it must stand before anybody does this: {cause.remedy.title.lower()}"), choice
        cost = next(m.cost for m in thought.view.mends if m.id == best.id)
        return Step(kind="remedy", id=name, title=cause.remedy.title, why=why, minutes=cause.remedy.minutes, cost=round(cost, 6), cause=name), choice
    if kind == "hand-on":
        cause = kb.causes[name]
        return Step(kind="hand-on", id=cause.remedy.by, title=f"Book: {cause.remedy.title.lower()}", why=why, minutes=cause.remedy.minutes,
                    cost=round(best.price, 6), cause=name), choice
    card = views.role_card(kb, state.role)
    return Step(kind="hand-on", id=card.hand_on_to, title=f"Hand on to the {card.hand_on_to}", why=why, minutes=0, cost=round(choice.hand_on, 6)), choice


def _question(thought: Thought, kind: str, name: str, why: str) -> Step:
    """Return the step of a fact or a check; a check that hangs on an unknown fact asks that fact first."""
    kb, state = thought.net.kb, thought.state
    rate = views.minute_price(kb, state.role, state.hands)
    if kind == "check":
        check = kb.checks[name]
        known = dict(state.facts)
        passed = dict(state.passed_over)
        for fact in sorted(check.when):
            if fact not in known and fact not in passed:
                return _question(thought, "fact", fact, f"it decides whether this is worth a look: {check.title.lower()}")
        minutes = views.minutes_of(check.minutes, state.hands) or 1
        return Step(kind="check", id=name, title=check.title, why=why, minutes=minutes, cost=round(minutes * rate, 6))
    fact_minutes = views.minutes_of(kb.facts[name].minutes, state.hands) or 0.3
    return Step(kind="fact", id=name, title=kb.facts[name].title, why=why, minutes=fact_minutes, cost=round(fact_minutes * rate, 6))


def _finding(thought: Thought, step: Step | None) -> Finding | None:
    """Return the cause whose remedy is next, the best one at hand-on, or the one that was mended and proved."""
    kb, state = thought.net.kb, thought.state
    proved = [t for t in state.remedies if t.passed]
    if state.closed == "solved" and proved:
        return cards.finding(thought, proved[-1].cause, 1.0)
    if step is None or not thought.beliefs:
        return None
    best = thought.beliefs[0]
    if step.kind == "remedy":
        best = next(b for b in thought.beliefs if b.cause == step.cause)
    elif step.kind != "hand-on":
        return None
    return cards.finding(thought, best.cause, best.p) if best.p >= EVEN and state.complaints else None


def _hand_on(thought: Thought, step: Step | None, finding: Finding | None) -> HandOn | None:
    return cards.hand_on(thought, step, finding) if step and step.kind == "hand-on" else None


def readings(kb: model.KB, state: State) -> list[Any]:
    """Return every reading of the case against its rule."""
    return [cards.measured(kb, reading(kb, a.check, a.said, a.hands)) for a in latest(state.answers) if kb.checks[a.check].kind == "measure"]


def _unchecked(thought: Thought) -> list[str]:
    """Return the checks that were passed over, in id order."""
    return sorted(name for name, _ in thought.state.passed_over if name in thought.net.kb.checks)


def top_mass(thought: Thought) -> float:
    """Return the share of the belief that the listed scenarios hold; for tests and reports."""
    return float(np.sum(thought.scenarios.weight))
