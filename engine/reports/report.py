"""The report on a case for whoever keeps it: what was wrong and how sure, the rule and its reading, what was done and proved, and on what it rests.

All text is decided here, in two versions: plain words for a homeowner, numbers for a technician. The faces only lay it out.
"""

from typing import Literal

from .. import effort, model
from ..advice import Advice, Frozen, Illustration
from ..advise import advise
from ..advising.analysis import Analysis, bounded
from ..advising.explain import chance_of
from ..advising.illustrations import of_finding
from ..advising.outcome import turned_out
from ..advising.wording import in_100
from ..case.events import Event
from ..case.state import State, fold
from ..diagnosis.network import network_of
from ..language.sanitize import printable
from ..measurement.retelling import for_reader
from ..planning import roles
from . import handover
from .basis import ReadingLine, SourceLine, broken, closing, reading_lines, rule_text, sources, told_rules
from .history import LEAST, Trail, trail_key, trail_of, trail_text
from .parts_and_trades import ENDED

Reader = Literal["homeowner", "technician"]
READERS: tuple[Reader, ...] = ("homeowner", "technician")
EVEN, NAMED = 0.5, 0.02
# How sure, in words a household uses; chances from which each holds (judgement) [prob].
SURE = (
    (0.95, "almost certain"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.4, "about as likely as not"),
    (0.0, "possible"),
)
STATE = {
    "open": "nobody has confirmed that this is safe",
    "cleared": "this was clear when it was asked",
    "stopped": "this was not safe, and everything stopped here",
}


class ReportHazard(Frozen, frozen=True, kw_only=True):
    """A danger that bears on the case, and how it stood."""

    signal: str
    title: str
    says: str
    state: str


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
    now: list[str]
    hazards: list[ReportHazard]
    rule: str
    rule_text: list[str]
    lines: list[ReadingLine]
    worked_out: list[str]
    pictures: list[Illustration]
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
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> r = report(load_kb(), [Event(role="desk"), Event(complaints=["siphons"]), Event(check="standpipe-height", value="31 in")])
    >>> r.verdict, r.lines[0].measured.said
    ('Not found yet', '31 in (79 cm)')
    """
    with bounded(kb, events, effort.TOLD):
        return for_reader(_report(kb, events, reader, date))


def _report(kb: model.KB, events: list[Event], reader: Reader, date: str) -> Report:
    state = fold(kb, events)
    advice = advise(kb, events)
    causes = _causes(kb, advice, state)
    upto = _before_the_fix(events, causes)
    network = network_of(kb)
    then = Analysis(network, fold(kb, upto))
    expert = reader == "technician"
    rules = told_rules(kb, causes, advice)
    trail = trail_of(kb, events, upto, causes, then, expert)
    return Report(
        reader=reader,
        title=_title(kb, state),
        verdict=_verdict(kb, advice, state, causes),
        date=printable(date, 200),
        machine=printable(kb.machines[state.machine].title) if state.machine in kb.machines else "",
        words=[printable(w) for w in state.words],
        complaint=_complaint(kb, state),
        summary=_summary(kb, state, causes, then, expert),
        now=_now(kb, advice, state, reader),
        hazards=_hazards(kb, advice, causes, state),
        rule=kb.rules[rules[0]].title if causes and rules and broken(kb, causes[0]) else "",
        rule_text=rule_text(kb, causes, expert),
        lines=reading_lines(advice, rules, expert),
        worked_out=[w.text for w in advice.worked_out] if expert else [],
        pictures=of_finding(kb, kb.causes[causes[0]]) if causes else [],
        done=handover.tried(kb, state) or ["Nothing was mended yet."],
        next=_next(kb, advice, reader),
        unchecked=handover.passed_over(kb, state) or ["Nothing that was asked was passed over."],
        others=_others(kb, state, then, causes, expert) if state.complaints else [],
        trail_text=trail_text(kb, causes),
        trail_key=trail_key(trail),
        trail=trail,
        notes=[printable(n) for n in state.notes],
        sources=sources(kb, rules, expert),
        closing=closing(expert, then),
    )


def _causes(kb: model.KB, advice: Advice, state: State) -> list[str]:
    """Return what was found: all that was mended and proved, else the cause that explains the complaint, if one does."""
    proved = [t.cause for t in state.remedies if t.passed]
    if proved:
        return list(dict.fromkeys(proved))
    if not state.complaints or state.closed == "solved":
        return []
    if advice.finding:
        return [advice.finding.cause]
    best = [b.cause for b in advice.beliefs[:1] if b.p >= EVEN]
    return [c for c in best if not roles.denied(network_of(kb), state, kb.causes[c])]


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
    if state.outcome:
        return "It turned out to be something else" if causes else "Found out afterwards"
    if state.closed == "solved":
        return "Found, mended and seen to work" if causes else "The trouble is gone"
    if state.closed == "reported-solved":
        return "Reported solved, not seen"
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


def _summary(kb: model.KB, state: State, causes: list[str], then: Analysis, expert: bool) -> list[str]:
    """Return what was wrong and how sure."""
    told = turned_out(kb, state)
    out = [told.text, *(told.before or ())] if told else []
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
    if not causes and state.complaints and state.closed != "solved" and not told:
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


def _hazards(kb: model.KB, advice: Advice, causes: list[str], state: State) -> list[ReportHazard]:
    """Return the hazards of the case as they stood, then those of a fix that is still to be done."""
    done = {t.cause for t in state.remedies if t.did == "done"}
    out = [
        ReportHazard(signal=h.signal, title=h.title, says=h.says, state=STATE[h.state])
        for h in handover.hazard_lines(kb, advice)
        if not (state.closed == "solved" and h.state == "open")
    ]
    seen = {h.title for h in out}
    todo = [h for c in causes if c not in done for h in kb.causes[c].remedy.hazards]
    for name in dict.fromkeys(todo):
        hazard = kb.hazards[name]
        if hazard.title not in seen:
            out.append(
                ReportHazard(signal=hazard.signal, title=hazard.title, says=hazard.says, state="bears on the fix")
            )
    return out


def _now(kb: model.KB, advice: Advice, state: State, reader: Reader) -> list[str]:
    """Return what comes before everything else: what a stop demands, or the gate that is asked next."""
    if state.stopped:
        gate = kb.hazards[state.stopped].gate
        return [*gate.do_now, f"Call: {gate.call}"] if gate else []
    if state.closed in ENDED:
        return []
    step = advice.next
    gate = kb.hazards[step.id].gate if step and step.kind == "gate" else None
    if gate is None:
        return []
    asked = roles.voice(gate.ask, reader, reader)
    return [f"{asked} Answer \u201c{gate.word}\u201d only if all is safe; in doubt, stop."]


def _next(kb: model.KB, advice: Advice, reader: Reader) -> list[str]:
    """Return what is to be done, where anything is and nothing has to be made safe before."""
    step = advice.next
    if step is None or step.kind in ("gate", "stop"):
        return []
    if advice.hand_on:
        return [advice.hand_on.text, *advice.hand_on.looked, *(f"Until then: {u}" for u in advice.hand_on.until)]
    if step.kind == "remedy" and advice.card:
        return [f"{step.title} ({advice.card.meta}):", *advice.card.steps]
    record = kb.checks.get(step.id) or kb.facts.get(step.id)
    return [" ".join(t for t in (f"{step.title}.", roles.voice(record.ask, reader, reader) if record else "") if t)]


def _others(kb: model.KB, state: State, then: Analysis, causes: list[str], expert: bool) -> list[str]:
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
