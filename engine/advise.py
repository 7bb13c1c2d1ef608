"""One case in, one advice out: what is believed, what is dangerous, what to do next and why. Pure: no clock, no I/O, no randomness.

Everything else is a way in or out: the walk loops around this with a person, a script feeds it a file.
"""

from typing import Any

import msgspec
from msgspec import UNSET

from . import model
from .advice import DIGITS, Advice, Card, Finding, HandOn, HeardComplaint, Measured, Price, Step, StepKind, WorkedOut
from .advising import cards, findings, verdicts
from .advising import gates as safety
from .advising.analysis import EVEN, Analysis, bounded
from .advising.next_step import BEFORE_QUESTIONS, gate_step, next_step
from .advising.outcome import turned_out
from .advising.progress import where
from .case.events import Event
from .case.state import State, fold
from .diagnosis.evidence import derived_evidence, latest
from .diagnosis.measured import counted
from .diagnosis.network import network_of
from .errors import InvalidInputError, Problem, nearest
from .measurement.retelling import for_reader
from .planning import roles

PROVED = ("solved", "on-trial", "not-a-fault")  # how a case closes whose proof passed


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

    Raises
    ------
    InvalidInputError
        If so much hangs together that more than `effort.MOST_CELLS` would be needed (C030), or with too many events (C032).

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> a = advise(load_kb(), [Event(role="technician"), Event(complaints=["walks"])])
    >>> a.next.kind, a.beliefs[0].p > a.beliefs[1].p
    ('gate', True)
    """
    with bounded(kb, events):
        return for_reader(_advise(kb, events))


def _advise(kb: model.KB, events: list[Event]) -> Advice:
    state = fold(kb, events)
    heard, hazards = heard_in(kb, state)
    if any(heard):
        # Nobody confirmed these, and they are used: each stands from where it was said, so that a proof can end it.
        named = iter(heard)
        events = [_naming(e, next(named)) if e.heard is not None else e for e in events]
        state = fold(kb, events)
    return _advice(kb, state, [h for found in heard for h in found], hazards)


def advise_state(kb: model.KB, state: State) -> Advice:
    """Return the advice for a folded case; what its words say stands from the beginning."""
    with bounded(kb, state):
        heard, hazards = heard_in(kb, state)
        found = [h for some in heard for h in some]
        if found:
            names = tuple(dict.fromkeys(h.complaint for h in found))
            state = msgspec.structs.replace(state, complaints=names, stands=tuple((n, 0) for n in names))
        return for_reader(_advice(kb, state, found, hazards))


def _naming(event: Event, heard: list[HeardComplaint]) -> Event:
    return msgspec.structs.replace(event, complaints=list(dict.fromkeys(h.complaint for h in heard)))


def _advice(kb: model.KB, state: State, heard: list[HeardComplaint], hazards: list[str]) -> Advice:
    network = network_of(kb)
    analysis = Analysis(network, state)
    gates = safety.raised(kb, state, hazards)
    step, choice = next_step(analysis, gates)
    finding = _finding(analysis, step)
    card = cards.card(network, state, analysis, step, choice) if step else None
    if card and choice and card.kind in ("fact", "check", "remedy"):
        card = msgspec.structs.replace(card, where=where(analysis, choice))
    return Advice(
        status=_status(state, step),
        role=state.role,
        hands=state.hands,
        complaints=list(state.complaints),
        heard=heard,
        facts=dict(sorted(state.facts)),
        hazards=safety.states(kb, state, gates),
        beliefs=analysis.beliefs,
        unknown=analysis.unknown,
        next=step,
        card=card,
        finding_cause=finding.cause if finding else None,
        finding=finding,
        hand_on=_hand_on(analysis, step, finding),
        prices=[Price(kind=v.kind, id=v.id, price=round(v.price, 6)) for v in choice.ranked] if choice else [],
        readings=readings(kb, state),
        worked_out=worked(kb, state),
        unchecked=_unchecked(analysis),
        notices=list(state.notices),
        residual=round(analysis.residual, DIGITS),
        turned_out=turned_out(kb, state) or UNSET,
    )


def card_of(kb: model.KB, events: list[Event], event: Event) -> Any:
    """Return the card of an answered check or fact, to be answered anew."""
    network = network_of(kb)
    state = fold(kb, events)
    name = event.check or event.fact or ""
    record: Any = kb.checks[name] if event.check else kb.facts[name]
    minutes = roles.shown_minutes(record, state.hands)
    step = Step(
        kind="check" if event.check else "fact",
        id=name,
        title=record.title,
        why="you asked to change it",
        minutes=minutes,
        cost=minutes,
    )
    with bounded(kb, state):
        return cards.card(network, state, Analysis(network, state), step, None)


def question_of(kb: model.KB, events: list[Event], name: str) -> Card:
    """Return the card of a check or a fact that is answered out of turn, or anew; in front of it the gate that is open.

    Parameters
    ----------
    kb : KB
    events : list of Event
    name : str
        The id of a check that the hands at the machine may do, or of a fact.

    Raises
    ------
    InvalidInputError
        If there is no such question for these hands, or too much hangs together.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> question_of(load_kb(), [Event(role="homeowner"), Event(complaints=["slow-fill"])], "drain").kind
    'fact'
    """
    with bounded(kb, events):
        return for_reader(_question_of(kb, events, name))


def _question_of(kb: model.KB, events: list[Event], name: str) -> Card:
    state = fold(kb, events)
    _, hazards = heard_in(kb, state)
    named: list[str] = []
    if name in kb.checks:
        if not roles.permitted(kb, kb.checks[name], state.hands):
            raise InvalidInputError(
                [
                    Problem(
                        code="C031",
                        message=f"{kb.checks[name].title}: these hands can't do that",
                        mend="leave it to who may do it",
                    )
                ]
            )
        name = _first_asked(kb, state, name)
        named = kb.checks[name].hazards
    elif name not in kb.facts:
        known = [*kb.facts, *kb.checks]
        raise InvalidInputError(
            [
                Problem(
                    code="C012",
                    message=f"unknown question '{name}'",
                    nearest=nearest(name, known),
                    mend="use the id of a check or a fact",
                )
            ]
        )
    gate = state.stopped or safety.first_open(kb, state, [*safety.raised(kb, state, hazards), *named])
    if gate is None:
        asked: Card = card_of(kb, events, Event(check=name) if name in kb.checks else Event(fact=name))
        return asked
    kind: StepKind = "stop" if state.stopped else "gate"
    network = network_of(kb)
    step = gate_step(kb, gate, BEFORE_QUESTIONS, kind)
    if not state.stopped and safety.condition_only(kb, gate):
        step = msgspec.structs.replace(step, guards=f"check:{name}")
    return cards.card(network, state, Analysis(network, state), step, None)


def _first_asked(kb: model.KB, state: State, name: str) -> str:
    """Return the question that comes first: a check that must not be done blind waits for what must be seen before it."""
    check = kb.checks.get(name)
    status, only = roles.waits_for(network_of(kb), state, check) if check else ("met", None)
    if only is None:
        return name
    if status == "open":
        return _first_asked(kb, state, only.check)
    raise InvalidInputError(
        [
            Problem(
                code="C034",
                message=f"'{name}' is not done here: '{only.check}' came out otherwise",
                expected=f"'{only.check}' to come out as '{only.answer or only.side}'",
                mend=f"leave it, or answer '{only.check}' anew if that has changed",
            )
        ]
    )


def heard_in(kb: model.KB, state: State) -> tuple[list[list[HeardComplaint]], list[str]]:
    """Hear the words of a case: for each saying the complaints that nobody confirmed, and hazards that any words name."""
    if not state.words and not state.notes:
        return [], list(state.hazards)
    from .language.matching import hear

    said = [hear(words, kb) for words in state.words]
    told = [h.hazard for heard in said for h in heard.hazards]
    # Danger is heard in a note, too, but a remark is no story of trouble: there it must be likelier than not.
    told += [h.hazard for note in state.notes for h in hear(note, kb).hazards if h.surely]
    hazards = list(dict.fromkeys([*told, *state.hazards]))
    if state.complaints:
        return [], hazards
    found = []
    for heard in said:
        likely = [m for m in heard.complaints if m.likely]
        found.append([HeardComplaint(complaint=m.complaint, score=m.score, phrase=m.words) for m in likely])
    return found, hazards


def _status(state: State, step: Step | None) -> str:
    if state.stopped:
        return "stopped"
    if state.closed:
        return state.closed
    return "open" if step else "no-step"


def _finding(analysis: Analysis, step: Step | None) -> Finding | None:
    """Return the cause whose remedy is next, the best one at hand-on, or the one that was mended and proved."""
    state = analysis.state
    proved = [t for t in state.remedies if t.passed]
    if state.closed in PROVED and proved:
        return findings.joint_finding(analysis, proved[-1])
    if step is None or not analysis.beliefs:
        return None
    # What was found is said before the gate of its mend, not behind it.
    mending = step.kind == "remedy" or (step.kind == "gate" and step.cause is not None)
    if not mending and step.kind != "hand-on":
        return None
    name = step.cause if mending else analysis.likeliest
    best = next((b for b in analysis.beliefs if b.cause == name), None)
    return findings.finding(analysis, best.cause, best.p) if best and best.p >= EVEN and state.complaints else None


def _hand_on(analysis: Analysis, step: Step | None, finding: Finding | None) -> HandOn | None:
    return findings.hand_on(analysis, step, finding) if step and step.kind == "hand-on" else None


def readings(kb: model.KB, state: State) -> list[Measured]:
    """Return every reading of the case against its rule, with what it amounts to."""
    from .diagnosis.derived import meanings

    found = [
        (a, counted(kb, state.answers, a.check, a.epoch))
        for a in latest(state.answers)
        if kb.checks[a.check].kind == "measure"
    ]
    values = {a.check: (r.value, r.half_width) for a, r in found}
    expert = state.hands == "technician"
    told = [
        verdicts.measured(kb, r, meanings(kb, kb.checks[a.check], values), dict(state.facts), expert) for a, r in found
    ]
    return [
        msgspec.structs.replace(m, neighbours=[*verdicts.by_several(kb, state, a), *m.neighbours])
        for m, (a, _) in zip(told, found, strict=True)
    ]


def worked(kb: model.KB, state: State) -> list[WorkedOut]:
    """Return what the physics makes of the readings of the latest stretch."""
    out = []
    for epoch, d in derived_evidence(network_of(kb), state):
        if epoch == max(a.epoch for a in state.answers):
            rule = kb.rules[d.rule]
            text = f"{rule.title}: {d.text}; {verdicts.verdict_text(rule, d.verdict)}"
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


def _unchecked(analysis: Analysis) -> list[str]:
    """Return the checks that were passed over, in id order."""
    return sorted(name for name, _ in analysis.state.passed_over if name in analysis.network.kb.checks)
