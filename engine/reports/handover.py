"""The hand-over card: all that whoever comes next should know before they set out, hazards first, in words and data."""

from statistics import median
from typing import Literal

from .. import effort, model
from ..advice import Advice, Frozen, Step
from ..advise import advise
from ..advising import gates
from ..advising.analysis import Analysis, bounded
from ..advising.cards import said_then
from ..advising.endings import RULED_OUT, WORTH
from ..advising.explain import chance_of, left_out, said
from ..advising.verdicts import verdict_text
from ..advising.wording import in_100, minutes_text
from ..case.events import Event
from ..case.rows import leading
from ..case.state import Answered, Earlier, State, fold
from ..diagnosis.evidence import latest
from ..diagnosis.network import network_of
from ..language.sanitize import printable
from ..measurement import formatting
from ..measurement.readings import gross_error, half_width, reading
from ..measurement.retelling import for_reader
from ..planning import roles
from .parts_and_trades import ENDED, PartNeed, parts

# From here a cause is ruled in (judgement) [prob].
RULED_IN = 0.5
# An answer whose loss would move the leading cause by so much rests on it (judgement) [prob].
MATTERS = 0.05
MOST_RULED_OUT = 6
AGAINST = 2.0  # so many times less likely by an answer that says something against a cause itself (judgement) [-]
LEAST = 1e-6  # below this a chance is as good as none [prob]
MOST_GATES = 12


class Ruled(Frozen, frozen=True, kw_only=True):
    """A cause with its chance by the complaint alone and by all that is known now."""

    cause: str
    title: str
    before: float
    now: float
    text: str


class HazardLine(Frozen, frozen=True, kw_only=True):
    """A hazard of the case: open, cleared or stopped at, and its note."""

    id: str
    title: str
    signal: str
    state: Literal["open", "cleared", "stopped"]
    says: str
    text: str


class RecheckLine(Frozen, frozen=True, kw_only=True):
    """A caller's reading that a technician reads better, and by how much [SI; of 1000 readings]."""

    check: str
    title: str
    said: str
    was: float
    yours: float
    was_wrong: float
    yours_wrong: float
    minutes: float
    text: str


class HandOver(Frozen, frozen=True, kw_only=True):
    """All of it, in the order in which it is read."""

    to: str
    status: str
    title: str
    hazards: list[HazardLine]
    words: list[str]
    complaints: list[str]
    ruled_in: list[Ruled]
    possible: list[Ruled]
    ruled_out: list[Ruled]
    unknown: float
    unknown_text: str
    facts: list[str]
    answered: list[str]
    then: list[str]
    done: list[str]
    first: list[str]
    recheck: list[RecheckLine]
    not_seen: list[str]
    notes: list[str]
    bring: list[PartNeed]
    basis: str


def handover(kb: model.KB, events: list[Event], role: model.Role = "technician") -> HandOver:
    """Return the hand-over card of a case.

    Parameters
    ----------
    kb : KB
    events : list of Event
        The case, checked by `casefile`.
    role : str
        Who takes it over.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> card = handover(load_kb(), [Event(role="desk"), Event(heard="it hops", complaints=["walks"])])
    >>> card.words, card.recheck
    (['it hops'], [])
    """
    with bounded(kb, events, effort.TOLD):
        return for_reader(_handover(kb, events, role))


def _handover(kb: model.KB, events: list[Event], role: model.Role) -> HandOver:
    state = fold(kb, events)
    advice = advise(kb, events)
    complaints = [kb.complaints[c].says for c in advice.complaints if c not in dict(state.gone)]
    ruled_in, possible, ruled_out = ruled(kb, events, state)
    return HandOver(
        to=role,
        status=advice.status,
        title=f"Hand-over to the {roles.role_card(kb, role).id}",
        hazards=hazard_lines(kb, advice),
        words=[printable(w) for w in state.words],
        complaints=complaints,
        ruled_in=ruled_in,
        possible=possible,
        ruled_out=ruled_out,
        unknown=advice.unknown,
        unknown_text=f"Something that is not listed here: {in_100(advice.unknown)}.",
        facts=[f"{kb.facts[f].title}: {kb.facts[f].options[o].says}" for f, o in sorted(state.facts)],
        answered=[answered(kb, a) for a in state.answers if not a.proof and a.check in {e.check for e in events}],
        then=[then(kb, e) for e in sorted(state.earlier, key=lambda e: not e.left)],
        done=tried(kb, state),
        first=first(kb, events, role),
        recheck=rechecks(kb, events, state, roles.default_hands(role)),
        not_seen=passed_over(kb, state),
        notes=[printable(n) for n in state.notes],
        bring=[p for p in _parts(kb, state) if p.bring],
        basis="Chances rest on judgement. Local code and the machine's manual both bind, the stricter first.",
    )


def _parts(kb: model.KB, state: State) -> list[PartNeed]:
    """Return the parts that may be needed where a complaint still stands; `dryfloor bring` has the sums."""
    over = state.closed in ENDED or not set(state.complaints) - set(dict(state.gone))
    return [] if over else parts(Analysis(network_of(kb), state))


def hazard_lines(kb: model.KB, advice: Advice) -> list[HazardLine]:
    """Return the hazards of a case: stopped at, then open, then cleared, gravest first in each."""
    word = {
        "stopped": "STOPPED here: it was not safe",
        "open": "not cleared",
        "cleared": "was clear when asked; ask again before you touch anything",
    }
    order = list(word)
    found = sorted(advice.hazards, key=lambda h: (order.index(h.state), gates.RANK[h.signal]))
    return [
        HazardLine(id=h.id, title=h.title, signal=h.signal, state=h.state, says=kb.hazards[h.id].says, text=f"{h.title}: {word[h.state]}")
        for h in found
    ]  # fmt: skip


def ruled(kb: model.KB, events: list[Event], state: State) -> tuple[list[Ruled], list[Ruled], list[Ruled]]:
    """Return what is ruled in, what is still possible, and what is ruled out, with what did it."""
    if not state.complaints or state.closed == "solved":
        return [], [], []
    network = network_of(kb)
    now = Analysis(network, state)
    bare = Analysis(network, fold(kb, [e for e in events if leading(e) in ("role", "hands", "heard", "complaints")]))
    less = left_out(kb, events)
    ruled_in, possible, ruled_out = [], [], []
    for b in now.beliefs:
        before = chance_of(bare, b.cause)
        text = f"{b.title}: {in_100(b.p)} ({in_100(before)} by the complaint alone)"
        one = Ruled(cause=b.cause, title=b.title, before=before, now=b.p, text=text)
        if b.p >= RULED_IN:
            ruled_in.append(one)
        elif b.p >= WORTH:
            possible.append(one)
    instead = f"; what explains it instead: {ruled_in[0].title.lower()}" if ruled_in else ""
    open_to_it = {b.cause: chance_of(now, b.cause) for b in bare.beliefs if b.p >= WORTH}
    fell = _fell(less, {c: p for c, p in open_to_it.items() if p < RULED_IN})
    for b in bare.beliefs:
        p = chance_of(now, b.cause)
        if p < RULED_OUT and b.p >= WORTH and b.cause not in {t.cause for t in state.remedies}:
            by = _by(kb, events, fell, b.cause)
            text = f"{b.title}: {in_100(p)} ({in_100(b.p)} by the complaint alone)" + (f"; by: {by}" if by else instead)
            ruled_out.append(Ruled(cause=b.cause, title=b.title, before=b.p, now=p, text=text))
    return ruled_in, possible, ruled_out[:MOST_RULED_OUT]


def _fell(
    less: list[tuple[int, dict[str, float]]], now: dict[str, float]
) -> list[tuple[int, dict[str, tuple[float, float]]]]:
    """Return for each answer how many times less likely it made each of some causes, in all and beside what it did to most of them.

    An answer that speaks for one cause takes from all others by about the same; what it takes from one of them beyond that is what it
    says against that one itself.
    """
    out = []
    for place, without in less:
        times = {c: (without.get(c, 0.0) + LEAST) / (p + LEAST) for c, p in now.items()}
        common = max(1.0, median(times.values())) if len(times) > 2 else 1.0
        out.append((place, {c: (n, n / common) for c, n in times.items()}))
    return out


def _by(kb: model.KB, events: list[Event], fell: list[tuple[int, dict[str, tuple[float, float]]]], cause: str) -> str:
    """Return the answer that says most against a cause itself; none where it is only less likely because another explains it."""
    place, (times, own) = max(
        ((n, f[cause]) for n, f in fell), key=lambda x: (round(x[1][1], 6), -x[0]), default=(0, (1.0, 1.0))
    )
    if min(times, own) < AGAINST:
        return ""
    text = said(kb, events[place])
    return text[0].lower() + text[1:]


def then(kb: model.KB, e: Earlier) -> str:
    """Return what was seen at the installation that a case comes after, in words."""
    became = {"left": ", left so", "declined": ", its mend declined", "": ""}
    by = ", as the customer said" if e.hands == "homeowner" else ""
    return printable(f"{kb.checks[e.check].title}: {said_then(kb, e)}{became[e.left]}{by}")


def answered(kb: model.KB, a: Answered) -> str:
    """Return an answer with whose hands gave it, and its verdict where it is a reading."""
    check = kb.checks[a.check]
    whose = "the technician" if a.hands == "technician" else "the caller"
    if check.kind != "measure":
        return f"{check.title}: {check.answers[a.said].says} ({whose})"
    r = reading(kb, a.check, a.said, a.hands)
    rule = kb.rules[r.rule]
    return f"{check.title}: {formatting.show(r.value, rule.measures)}, {verdict_text(rule, r.verdict)} ({whose})"


def tried(kb: model.KB, state: State) -> list[str]:
    """Return what was done about it, and what its proof said."""
    out = []
    for t in state.remedies:
        title = kb.causes[t.cause].remedy.title
        if t.did != "done":
            out.append(f"{title}: could not be done")
        else:
            proof = {True: "seen to work", False: "it did not help", None: "not proved yet"}[t.passed]
            out.append(f"{title}: done, {proof}")
    return out


def passed_over(kb: model.KB, state: State) -> list[str]:
    """Return what was asked and could not be done, or was skipped."""
    out = []
    for name, how in sorted(state.passed_over):
        kind, _, cause = name.rpartition(":")
        title = (
            kb.causes[cause].remedy.title if kind == "remedy"
            else kb.checks[name].title if name in kb.checks
            else kb.facts[name].title if name in kb.facts
            else "What is left"
        )  # fmt: skip
        out.append(f"{title}: {'could not be done' if how == 'cant' else 'skipped'}")
    return out


def first(kb: model.KB, events: list[Event], role: model.Role) -> list[str]:
    """Return what to do first on arrival: the gates that are asked anew, then the step behind them, why, and how."""
    told = [*events, Event(role=role)]
    if fold(kb, events).closed in ENDED:
        return []
    out = []
    step: Step | None = None
    for _ in range(MOST_GATES):
        advice = advise(kb, told)
        step = advice.next
        if step is None or step.kind != "gate" or advice.card is None:
            break
        out.append(f"{step.title}: {advice.card.question} If all is safe: {advice.card.word}. Else stop.")
        told.append(Event(cleared=step.id, word=advice.card.word))
    if step is None:
        return out
    card = advice.card
    minutes = f", {minutes_text(step.minutes)}" if step.minutes else ""
    tools = ", ".join(kb.checks[step.id].tools) if step.kind == "check" else ""
    out.append(f"{step.title}{minutes}{f', {tools}' if tools else ''}. Why: {step.why}.")
    if card and card.question:
        out.append(" ".join(t for t in (card.question, card.how) if t))
    return out + (list(card.steps) if card else [])


def rechecks(kb: model.KB, events: list[Event], state: State, hands: str) -> list[RecheckLine]:
    """Return the readings that these hands take better than those that took them, where it matters; too close to call first.

    Parameters
    ----------
    kb : KB
    events : list of Event
    state : State
        The fold of the same events.
    hands : str
        Whose hands take over.
    """
    weaker = [
        a
        for a in latest(state.answers)
        if a.hands != hands and kb.checks[a.check].kind == "measure" and a.epoch == state.epoch
    ]
    if not weaker or state.closed in ENDED:
        return []
    now = Analysis(network_of(kb), state)
    top = now.beliefs[0].cause if now.beliefs else ""
    weight = {
        events[i].check: abs(less.get(top, 0.0) - chance_of(now, top))
        for i, less in left_out(kb, events)
        if events[i].check
    }
    out = []
    for a in weaker:
        check = kb.checks[a.check]
        minutes = roles.minutes_of(check.minutes, hands)
        was, yours = half_width(kb, check, a.hands), half_width(kb, check, hands)
        was_wrong, yours_wrong = gross_error(kb, a.hands), gross_error(kb, hands)
        better = yours < was or yours_wrong < was_wrong
        if minutes is None or not roles.permitted(kb, check, hands) or yours > was or not better:
            continue
        r = reading(kb, a.check, a.said, a.hands)
        near = abs(r.verdict.margin) <= was
        if not near and r.verdict.state != "too-close" and weight.get(a.check, 0.0) < MATTERS:
            continue
        out.append(
            (near, weight.get(a.check, 0.0), _recheck(kb, a, minutes, (was, yours), (was_wrong, yours_wrong), near))
        )
    return [one for _, _, one in sorted(out, key=lambda o: (not o[0], -round(o[1], 9), o[2].check))]


def _recheck(
    kb: model.KB, a: Answered, minutes: float, width: tuple[float, float], wrong: tuple[float, float], near: bool
) -> RecheckLine:
    check = kb.checks[a.check]
    rule = kb.rules[check.rule or ""]
    r = reading(kb, a.check, a.said, a.hands)
    value, was, yours = (
        formatting.show(r.value, rule.measures),
        formatting.show_difference(width[0], rule.measures),
        formatting.show_difference(width[1], rule.measures),
    )
    finer = f"give or take {was}; by you {yours}" if width[1] < width[0] else f"give or take {was}, as by you"
    times = f", {width[0] / width[1]:.0f} times finer" if 0 < width[1] <= width[0] / 1.5 else ""
    close = "It lies within that of the limit. " if near else ""
    text = (
        f"{check.title}: {value} by the caller, {finer}{times}. {close}Callers are quite wrong {1000 * wrong[0]:.0f} times in 1000, "
        f"you {1000 * wrong[1]:.0f}. {minutes_text(minutes)[0].upper()}{minutes_text(minutes)[1:]}."
    )
    return RecheckLine(
        check=a.check, title=check.title, said=value, was=width[0], yours=width[1], was_wrong=round(1000 * wrong[0], 6),
        yours_wrong=round(1000 * wrong[1], 6), minutes=minutes, text=text,
    )  # fmt: skip
