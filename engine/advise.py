"""advise(kb, case) -> Advice: the heart. Pure, no clock, no I/O, no randomness.

Everything else is a way in or out: the walk loops around this with a person, a script feeds it a file.
"""

from typing import Any

from . import cards, findings, model, safety, views
from .advice import Advice, Finding, HandOn, HeardComplaint, Measured, Price, Step, WorkedOut
from .case import Event, State, fold
from .evidence import latest, reading, worked_out
from .steps import next_step
from .thought import DIGITS, Thought, net_of

EVEN = 0.5


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
    >>> a = advise(load_kb(), [Event(role="technician"), Event(complaints=["walks"])])
    >>> a.next.kind, a.beliefs[0].p > a.beliefs[1].p
    ('gate', True)
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
    step, choice = next_step(thought, gates)
    finding = _finding(thought, step)
    card = cards.card(net, state, thought, step, choice) if step else None
    return Advice(
        status=_status(state, step),
        role=state.role,
        hands=state.hands,
        complaints=list(state.complaints),
        heard=heard,
        facts=dict(sorted(state.facts)),
        hazards=safety.states(kb, state, gates),
        beliefs=thought.beliefs,
        unknown=thought.unknown,
        next=step,
        card=card,
        finding_cause=finding.cause if finding else None,
        finding=finding,
        hand_on=_hand_on(thought, step, finding),
        prices=[Price(kind=v.kind, id=v.id, price=round(v.price, 6)) for v in choice.ranked] if choice else [],
        readings=readings(kb, state),
        worked_out=worked(kb, state),
        unchecked=_unchecked(thought),
        notices=list(state.notices),
        residual=round(thought.residual, DIGITS),
    )


def card_of(kb: model.KB, events: list[Event], event: Event) -> Any:
    """Return the card of an answered check or fact, to be answered anew."""
    net = net_of(kb)
    state = fold(kb, events)
    name = event.check or event.fact or ""
    record: Any = kb.checks[name] if event.check else kb.facts[name]
    minutes = views.minutes_of(record.minutes, state.hands) or 1
    step = Step(
        kind="check" if event.check else "fact",
        id=name,
        title=record.title,
        why="you asked to change it",
        minutes=minutes,
        cost=minutes,
    )
    return cards.card(net, state, Thought(net, state), step, None)


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
            found += [
                HeardComplaint(complaint=m.complaint, score=m.score, phrase=m.words)
                for m in heard.complaints
                if m.likely
            ]
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


def _finding(thought: Thought, step: Step | None) -> Finding | None:
    """Return the cause whose remedy is next, the best one at hand-on, or the one that was mended and proved."""
    state = thought.state
    proved = [t for t in state.remedies if t.passed]
    if state.closed == "solved" and proved:
        return findings.finding(thought, proved[-1].cause, 1.0)
    if step is None or not thought.beliefs:
        return None
    best = thought.beliefs[0]
    if step.kind == "remedy":
        best = next(b for b in thought.beliefs if b.cause == step.cause)
    elif step.kind != "hand-on":
        return None
    return findings.finding(thought, best.cause, best.p) if best.p >= EVEN and state.complaints else None


def _hand_on(thought: Thought, step: Step | None, finding: Finding | None) -> HandOn | None:
    return findings.hand_on(thought, step, finding) if step and step.kind == "hand-on" else None


def readings(kb: model.KB, state: State) -> list[Measured]:
    """Return every reading of the case against its rule, with what it amounts to."""
    from .derived import meanings

    found = [
        (a, reading(kb, a.check, a.said, a.hands))
        for a in latest(state.answers)
        if kb.checks[a.check].kind == "measure"
    ]
    values = {a.check: (r.value, r.half_width) for a, r in found}
    return [findings.measured(kb, r, meanings(kb, kb.checks[a.check], values)) for a, r in found]


def worked(kb: model.KB, state: State) -> list[WorkedOut]:
    """Return what the physics makes of the readings of the latest stretch."""
    out = []
    for epoch, d in worked_out(kb, state):
        if epoch == max(a.epoch for a in state.answers):
            rule = kb.rules[d.rule]
            text = f"{rule.title}: {d.text}; {findings.verdict_text(rule, d.verdict)}"
            side = d.verdict.side if d.verdict.state == "broken" else None
            out.append(
                WorkedOut(
                    rule=d.rule,
                    title=rule.title,
                    working=d.working,
                    text=text,
                    verdict=d.verdict.state,
                    side=side,
                    conformity=round(d.verdict.conformity, DIGITS),
                    says=d.says,
                )
            )
    return out


def _unchecked(thought: Thought) -> list[str]:
    """Return the checks that were passed over, in id order."""
    return sorted(name for name, _ in thought.state.passed_over if name in thought.net.kb.checks)
