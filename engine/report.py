"""The report on a case for whoever keeps it: what was wrong and how sure, the rule and its reading, what was done and proved, and on what it rests.

All text is decided here, in two versions: plain words for a homeowner, numbers for a technician. The faces only lay it out.
"""

from typing import Literal

from . import handover, model, views
from .advice import Advice, Frozen, Measured
from .advise import advise
from .cards import GRADES, in_100, limit_text, whose
from .case import DEFAULT_HANDS, Event, State, fold, leading
from .explain import chance_of, left_out, said, way
from .plain import plain
from .thought import Thought, net_of

Reader = Literal["homeowner", "technician"]
READERS: tuple[Reader, ...] = ("homeowner", "technician")
EVEN, LEAST, NAMED = 0.5, 0.005, 0.02
# How sure, in words a household uses; chances from which each holds (judgement) [prob].
SURE = (
    (0.95, "almost certain"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.4, "about as likely as not"),
    (0.0, "possible"),
)
# How strongly an answer speaks, by how far it moves the chance (judgement) [prob].
STRONG = ((0.3, "strongly"), (0.05, ""), (LEAST, "a little"))
STATE = {
    "open": "nobody has confirmed that this is safe",
    "cleared": "this was clear when it was asked",
    "stopped": "this was not safe, and everything stopped here",
}


class Hazard(Frozen, frozen=True, kw_only=True):
    """A danger that bears on the case, and how it stood."""

    signal: str
    title: str
    says: str
    state: str


class Line(Frozen, frozen=True, kw_only=True):
    """A reading with its number line, in words for the reader."""

    measured: Measured
    text: str


class Trail(Frozen, frozen=True, kw_only=True):
    """One thing of the case, in its order; `weight` is how far it moves the finding's chance, None where nothing was asked.

    `bar` is the weight as a share of the heaviest one, from -1 (against) to 1 (for) [-].
    """

    n: int
    who: str
    what: str
    weight: float | None
    bar: float
    says: str


class SourceLine(Frozen, frozen=True, kw_only=True):
    """What a rule rests on, with its grade in words."""

    rule: str
    title: str
    grade: str
    text: str


class Report(Frozen, frozen=True, kw_only=True):
    """All of it, in the order in which it is read."""

    reader: str
    title: str
    verdict: str
    date: str
    machine: str
    words: list[str]
    complaint: list[str]
    summary: list[str]
    hazards: list[Hazard]
    rule: str
    rule_text: list[str]
    lines: list[Line]
    worked_out: list[str]
    done: list[str]
    next: list[str]
    unchecked: list[str]
    others: list[str]
    trail_text: str
    trail_key: str
    trail: list[Trail]
    notes: list[str]
    sources: list[SourceLine]
    closing: list[str]


def report(kb: model.KB, events: list[Event], reader: Reader = "homeowner", date: str = "") -> Report:
    """Return the report on a case.

    Parameters
    ----------
    kb : KB
        With the machine's own limits where the case names a sheet.
    events : list of Event
        The case, checked by `casefile`.
    reader : str
        homeowner or technician.
    date : str
        Printed as it is given; no clock is read.

    Examples
    --------
    >>> from dryfloor.engine.load import load_kb
    >>> r = report(load_kb(), [Event(role="desk"), Event(complaints=["siphons"]), Event(check="standpipe-height", value="31 in")])
    >>> r.verdict, r.lines[0].measured.said
    ('Most likely found, not mended yet', '31 in (79 cm)')
    """
    state = fold(kb, events)
    advice = advise(kb, events)
    causes = _causes(advice, state)
    upto = _before_the_fix(events, causes)
    net = net_of(kb)
    then = Thought(net, fold(kb, upto))
    expert = reader == "technician"
    rules = _rules(kb, causes, advice)
    trail = _trail(kb, events, upto, causes, then, expert)
    return Report(
        reader=reader,
        title=_title(kb, state),
        verdict=_verdict(kb, advice, state, causes),
        date=plain(date, 200),
        machine=plain(kb.machines[state.machine].title) if state.machine in kb.machines else "",
        words=[plain(w) for w in state.words],
        complaint=_complaint(kb, state),
        summary=_summary(kb, state, causes, then, expert),
        hazards=_hazards(kb, advice, causes, state),
        rule=kb.rules[rules[0]].title if causes and rules and _broken(kb, causes[0]) else "",
        rule_text=_rule_text(kb, causes, expert),
        lines=_lines(advice, rules, expert),
        worked_out=[w.text for w in advice.worked_out] if expert else [],
        done=handover.tried(kb, state) or ["Nothing was mended yet."],
        next=_next(kb, advice, state, reader),
        unchecked=handover.passed_over(kb, state) or ["Nothing that was asked was passed over."],
        others=_others(kb, state, then, causes, expert) if state.complaints else [],
        trail_text=_trail_text(kb, causes),
        trail_key=_trail_key(trail),
        trail=trail,
        notes=[plain(n) for n in state.notes],
        sources=_sources(kb, rules),
        closing=_closing(expert, then),
    )


def _causes(advice: Advice, state: State) -> list[str]:
    """Return what was found: all that was mended and proved, else the cause that explains the complaint, if one does."""
    proved = [t.cause for t in state.remedies if t.passed]
    if proved:
        return list(dict.fromkeys(proved))
    if not state.complaints or state.closed == "solved":
        return []
    if advice.finding:
        return [advice.finding.cause]
    return [b.cause for b in advice.beliefs[:1] if b.p >= EVEN]


def _before_the_fix(events: list[Event], causes: list[str]) -> list[Event]:
    """Return the case as it stood when the first of these fixes was begun: that is what the finding rested on."""
    for n, event in enumerate(events):
        if event.remedy in causes and (event.did or "done") == "done":
            return events[:n]
    return events


def _title(kb: model.KB, state: State) -> str:
    names = [kb.complaints[c].title for c in state.complaints]
    return "Washer report: " + (
        "; ".join([names[0], *(n[0].lower() + n[1:] for n in names[1:])]) if names else "no complaint yet"
    )


def _verdict(kb: model.KB, advice: Advice, state: State, causes: list[str]) -> str:
    if state.stopped:
        return "Stopped for safety"
    if state.closed == "solved":
        return "Found, mended and seen to work" if causes else "The trouble is gone"
    normal = bool(causes) and kb.causes[causes[0]].kind == "normal"
    if state.closed == "not-a-fault" or (normal and not state.remedies):
        return "Not a fault" if state.closed == "not-a-fault" else "Most likely not a fault"
    found = "Most likely found, not mended yet" if causes else "Not found yet"
    if any(t.passed for t in state.remedies):
        found = "One thing is mended, something is left"
    ended = {"handed-on": "; handed on", "given-up": "; given up"}.get(state.closed or "", "")
    return found + ended


def _complaint(kb: model.KB, state: State) -> list[str]:
    gone = dict(state.gone)
    return [
        f"{kb.complaints[c].says[0].upper()}{kb.complaints[c].says[1:]}{' (gone now)' if c in gone else ''}."
        for c in state.complaints
    ]


def sure(p: float) -> str:
    """Return how sure a chance is, in the words of a household.

    Examples
    --------
    >>> sure(0.97), sure(0.5)
    ('almost certain (97 in 100)', 'about as likely as not (50 in 100)')
    """
    return f"{next(word for least, word in SURE if round(p, 2) >= least)} ({in_100(p)})"


def _summary(kb: model.KB, state: State, causes: list[str], then: Thought, expert: bool) -> list[str]:
    """Return what was wrong and how sure."""
    out = []
    for name in causes:
        cause = kb.causes[name]
        p = chance_of(then, name)
        out.append(f"{cause.title}. {cause.says}")
        proved = any(t.cause == name and t.passed for t in state.remedies)
        if proved:
            before = (
                f"By the answers it explained the complaint {in_100(p)}"
                if expert
                else f"Before the fix it was {sure(p)} that this was behind it"
            )
            out.append(f"{before}; after the fix it was seen to work.")
        elif expert:
            out.append(f"It explains the complaint {in_100(p)}; something not listed does {in_100(then.unknown)}.")
        else:
            out.append(f"It is {sure(p)} that this is behind it.")
    if not causes and state.complaints and state.closed != "solved":
        best = [b for b in then.beliefs if b.p >= NAMED][:3]
        if best:
            named = "; ".join(f"{b.title.lower()} ({in_100(b.p)})" for b in best)
            out.append(f"No single cause stands out yet. Likeliest so far: {named}.")
        else:
            out.append("Nothing that is listed here explains it well.")
    elif not causes and state.closed == "solved":
        out.append("The trouble ended; which fix ended it was not proved.")
    elif not state.complaints:
        out.append("Nothing is complained of yet.")
    return out


def _hazards(kb: model.KB, advice: Advice, causes: list[str], state: State) -> list[Hazard]:
    """Return the hazards of the case as they stood, then those of a fix that is still to be done."""
    done = {t.cause for t in state.remedies if t.did == "done"}
    out = [
        Hazard(signal=h.signal, title=h.title, says=h.says, state=STATE[h.state])
        for h in handover.hazard_lines(kb, advice)
        if not (state.closed == "solved" and h.state == "open")
    ]
    seen = {h.title for h in out}
    todo = [h for c in causes if c not in done for h in kb.causes[c].remedy.hazards]
    for name in dict.fromkeys(todo):
        hazard = kb.hazards[name]
        if hazard.title not in seen:
            out.append(Hazard(signal=hazard.signal, title=hazard.title, says=hazard.says, state="bears on the fix"))
    return out


def _broken(kb: model.KB, cause: str) -> model.Rule | None:
    breaks = kb.causes[cause].breaks
    return kb.rules[breaks.rule] if breaks else None


def _rules(kb: model.KB, causes: list[str], advice: Advice) -> list[str]:
    """Return the rules that the report speaks of, the broken ones first."""
    broken = [b.rule for c in causes if (b := kb.causes[c].breaks)]
    return list(dict.fromkeys([*broken, *(m.rule for m in advice.readings), *(w.rule for w in advice.worked_out)]))


def _rule_text(kb: model.KB, causes: list[str], expert: bool) -> list[str]:
    """Return the broken rules: what holds, what follows when it does not, and whose rule it is."""
    out = []
    for name in causes:
        rule, cause = _broken(kb, name), kb.causes[name]
        if rule is None:
            out.append(f"No installation rule is broken: {cause.why_no_rule}.")
            continue
        side = cause.breaks.side if cause.breaks else None
        follows = {"below": rule.below, "above": rule.above}.get(side or "", rule.broken)
        out.append(
            f"{rule.title}: {limit_text(rule)}. {'Looked at' if rule.measures == 'state' else 'Measured'}: {rule.of}."
        )
        if follows:
            when = {"below": "When it is less", "above": "When it is more"}.get(side or "", "When that is not so")
            out.append(f"{when}: {follows[0].lower()}{follows[1:]}")
        own = kb.limits.get(rule.id) if rule.authority == "manual" else None
        out.append(f"Whose rule: {whose(rule, own)}." + (f" Id: {rule.id}." if expert else ""))
    return out


def _lines(advice: Advice, rules: list[str], expert: bool) -> list[Line]:
    """Return the readings, those of the broken rule first."""
    ranked = sorted(enumerate(advice.readings), key=lambda r: (rules.index(r[1].rule), r[0]))
    out = []
    for _, m in ranked:
        text = f"{m.title}: {m.said}, {m.text}. Limit: {m.limits}."
        if expert:
            text += (
                f" Kept {in_100(m.conformity)}, by the reading's own give or take. {m.whose[0].upper()}{m.whose[1:]}."
            )
            text += "".join(f" Beside it: {n}." for n in m.neighbours[:2])
        out.append(Line(measured=m, text=text))
    return out


def _next(kb: model.KB, advice: Advice, state: State, reader: Reader) -> list[str]:
    """Return what is to be done, where anything is."""
    if state.closed in ("solved", "not-a-fault"):
        return []
    if state.stopped:
        gate = kb.hazards[state.stopped].gate
        return [*gate.do_now, f"Call: {gate.call}"] if gate else []
    step, out = advice.next, []
    if advice.hand_on:
        out = [advice.hand_on.text, *(f"Until then: {u}" for u in advice.hand_on.until)]
    elif step and step.kind == "gate" and advice.card:
        gate = kb.hazards[step.id].gate
        asked = views.voice(gate.ask, reader, reader) if gate else ""
        out = [f"{asked} Answer \u201c{advice.card.word}\u201d only if all is safe; anything else means stop."]
    elif step and step.kind == "remedy" and advice.card:
        out = [f"{step.title} ({advice.card.meta}):", *advice.card.steps]
    elif step:
        record = kb.checks.get(step.id) or kb.facts.get(step.id)
        out = [" ".join(t for t in (f"{step.title}.", views.voice(record.ask, reader, reader) if record else "") if t)]
    return out


def _others(kb: model.KB, state: State, then: Thought, causes: list[str], expert: bool) -> list[str]:
    """Return what else could have been behind it, and how to tell a homeowner so."""
    rest = [b for b in then.beliefs if b.cause not in causes and b.p >= (LEAST if expert else NAMED)][
        : 8 if expert else 3
    ]
    out = [f"{b.title}: {in_100(b.p)}" for b in rest]
    if expert or then.unknown >= NAMED:
        out.append(f"Something that is not listed here: {in_100(then.unknown)}")
    told = kb.causes[causes[0]].mistaken_for if causes and state.closed != "solved" else []
    # What was looked at and is out of the question is not held up again.
    tells = [m for m in told if m.cause is None or chance_of(then, m.cause) >= LEAST][:2]
    for m in tells:
        other = kb.causes[m.cause].title if m.cause else (m.healthy or "")
        out.append(f"Easily mistaken for it: {other[0].lower()}{other[1:]}. {m.tell[0].upper()}{m.tell[1:]}")
    return out


def _trail(
    kb: model.KB, events: list[Event], upto: list[Event], causes: list[str], then: Thought, expert: bool
) -> list[Trail]:
    """Return the case in its order, each answer with its weight for what was found: what leaving it out would change."""
    less = dict(left_out(kb, upto)) if causes else {}
    now = chance_of(then, causes[0]) if causes else 0.0
    weights = {n: now - without.get(causes[0], 0.0) for n, without in less.items()}
    most = max([abs(w) for w in weights.values()], default=0.0)
    role: str = "homeowner"
    hands: str = "homeowner"
    out: list[Trail] = []
    for n, event in enumerate(events):
        if leading(event) in ("role", "hands"):
            role = event.role or role
            hands = event.hands or DEFAULT_HANDS[role]
        what = _what(kb, event)
        if not what:
            continue
        weight, bar, says = None, 0.0, ""
        if n in weights:
            weight = round(weights[n], 6)
            bar = round(weights[n] / most, 3) if abs(weights[n]) >= LEAST else 0.0
            says = way(now - weights[n], now) if expert else _strength(weights[n])
        whom = "" if leading(event) in ("role", "closed") else _who(role, hands)
        out.append(Trail(n=len(out) + 1, who=whom, what=what, weight=weight, bar=bar, says=says))
    return out


def _who(role: str, hands: str) -> str:
    if hands == "technician":
        return "technician"
    return "household" if role == "homeowner" else f"household, asked by the {role}"


def _trail_text(kb: model.KB, causes: list[str]) -> str:
    """Return what the weights of the trail are for."""
    if not causes:
        return "Nothing was found yet, so no answer carries weight."
    title = kb.causes[causes[0]].title
    return f"In the order in which it went, with what each answer did for this finding: {title[0].lower()}{title[1:]}."


def _trail_key(trail: list[Trail]) -> str:
    """Return what the bars of the trail stand for; empty where there are none."""
    most = max([abs(t.weight) for t in trail if t.weight is not None], default=0.0)
    if most < LEAST:
        return ""
    return f"A full bar to the right speaks for it, an open bar to the left against it. The longest bar moves its chance by {100 * most:.0f} in 100."


def _strength(change: float) -> str:
    """Return how strongly an answer speaks, in words."""
    word = next((w for least, w in STRONG if abs(change) >= least), None)
    if word is None:
        return "changes nothing by itself"
    return f"speaks {word + ' ' if word else ''}{'for' if change > 0 else 'against'} it"


def _what(kb: model.KB, event: Event) -> str:
    """Return one event in words; empty where it is nothing to tell."""
    kind = leading(event)
    if kind == "heard":
        return f"Said: \u201c{plain(event.heard or '', 300)}\u201d"
    if kind in ("check", "fact"):
        return plain(said(kb, event))
    if kind == "proof":
        return f"Proof. {plain(said(kb, event))}"
    if kind == "remedy":
        did = "done" if (event.did or "done") == "done" else "could not be done"
        return f"Fix. {kb.causes[event.remedy or ''].remedy.title}: {did}"
    if kind in ("cleared", "stopped"):
        hazard = kb.hazards[(event.cleared or event.stopped) or ""]
        return f"Safety. {hazard.title}: {'clear' if kind == 'cleared' else 'not safe, stopped'}"
    if kind in ("cant", "skip"):
        name = (event.cant or event.skip) or ""
        (text,) = handover.passed_over(kb, State(passed_over=((name, kind),)))
        return text
    if kind == "still":
        left = "; ".join(kb.complaints[c].title for c in event.still or []) or "nothing"
        return f"What is left: {left}"
    if kind == "closed":
        return f"Closed: {(event.closed or '').replace('-', ' ')}"
    if kind == "role" and event.role:
        return f"From here: {views.role_card(kb, event.role).title.lower()}"
    return ""


def _sources(kb: model.KB, rules: list[str]) -> list[SourceLine]:
    """Return what the rules rest on, with grades; the grade of a value may be weaker than its source's."""
    out = []
    for name in rules:
        for cite in kb.rules[name].sources:
            source = kb.sources[cite.source]
            grade = cite.grade or source.grade
            title = f"{source.title}{', ' + cite.at if cite.at else ''}"
            word = grade if grade == GRADES[grade] else f"{grade}, {GRADES[grade]}"
            text = f"{kb.rules[name].title}: {title} ({word})"
            out.append(SourceLine(rule=name, title=title, grade=grade, text=text))
    return out


def _closing(expert: bool, then: Thought) -> list[str]:
    out = [
        "This holds for what was seen and measured, when it was. Chances rest on judgement, not on counted cases.",
        "Local code and the machine's manual both bind, the stricter first; a licensed trade decides where one is required.",
    ]
    if expert:
        out.append(
            "A weight is what leaving that answer out would change; weights need not add up. "
            f"Planning list lacks {100 * then.residual:.2g} % of the evidence; chances shown are exact under this kb."
            if then.residual
            else "A weight is what leaving that answer out would change; weights need not add up."
        )
    return out
