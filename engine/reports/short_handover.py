"""The hand-over in ten lines: what to tell the repairer from wherever one stands, and what may be done until they come."""

from .. import effort, model
from ..advice import Advice, Frozen
from ..advise import advise
from ..advising.analysis import Analysis, bounded
from ..advising.endings import LIKELY_STILL, OPEN, in_order, until
from ..advising.wording import BY, in_100
from ..case.events import Event
from ..case.state import State, fold
from ..diagnosis.network import network_of
from ..measurement import formatting
from ..measurement.readings import reading
from ..measurement.retelling import for_reader
from ..planning import roles
from .handover import hazard_lines, tried
from .parts_and_trades import ENDED, parts

TITLE, ONWARD = "What to tell the repairer", "What to tell whoever comes next"
MOST_LINES, MOST_NAMED = 10, 3
READ, FIRST = 3, "First on arrival"


class ToldLine(Frozen, frozen=True, kw_only=True):
    """One line: what it is about, and what is told."""

    label: str
    text: str


class ShortHandOver(Frozen, frozen=True, kw_only=True):
    """What to tell, in ten lines or fewer, and what to do until somebody comes."""

    title: str
    lines: list[ToldLine]
    meanwhile: list[str]
    trade: str

    @property
    def text(self) -> str:
        """All of it as plain text, to be read out, copied or sent."""
        return "\n".join([f"{t.label}: {t.text}" for t in self.lines] + [f"Until then: {m}" for m in self.meanwhile])


def short_handover(kb: model.KB, events: list[Event]) -> ShortHandOver:
    """Return what to tell the repairer of a case as it stands.

    Parameters
    ----------
    kb : KB
    events : list of Event
        The case, checked by `case_file`.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> told = short_handover(load_kb(), [Event(role="homeowner"), Event(complaints=["walks"])])
    >>> told.lines[0].label, len(told.lines) <= 10
    ('Wrong', True)
    """
    with bounded(kb, events, effort.TOLD):
        return for_reader(_short(kb, events))


def _short(kb: model.KB, events: list[Event]) -> ShortHandOver:
    state, advice = fold(kb, events), advise(kb, events)
    over = state.closed in ENDED
    analysis = None if over or not state.complaints else Analysis(network_of(kb), state)
    gone = dict(state.gone)
    rows = [("Wrong", "; ".join(kb.complaints[c].says for c in advice.complaints if c not in gone))]
    rows += [
        ("Danger", f"{h.title}: {'it was not safe' if h.state == 'stopped' else 'nobody has looked yet'}")
        for h in hazard_lines(kb, advice)
        if h.state != "cleared"
    ][:2]
    rows.append(("Likeliest", _likeliest(analysis) if analysis else ""))
    rows.append(("Measured or seen", _seen(kb, state)))
    if analysis:
        rows.append(("In order", _joined(in_order(analysis))))
    rows.append(("Done already", "; ".join(tried(kb, state)[:MOST_NAMED])))
    rows.append((FIRST, _first(kb, advice, state)))
    rows.append(("Bring", _joined([p.title.lower() for p in parts(analysis) if p.bring]) if analysis else ""))
    known = [f"{kb.facts[f].title.lower()}: {kb.facts[f].options[o].says}" for f, o in sorted(state.facts)]
    rows.append(("The place", "; ".join(known[:MOST_NAMED])))
    lines = [ToldLine(label=label, text=_ended(text)) for label, text in rows if text]
    meanwhile = [_ended(t[0].upper() + t[1:]) for t in until(analysis, analysis.likeliest)] if analysis else []
    return ShortHandOver(
        title=ONWARD if state.role == "technician" else TITLE,
        lines=lines[: max(1, MOST_LINES - len(meanwhile))],
        meanwhile=meanwhile,
        trade=_trade(kb, analysis, state),
    )


def _likeliest(analysis: Analysis) -> str:
    named = [f"{b.title.lower()}, {in_100(b.p)}" for b in analysis.open_beliefs[:MOST_NAMED] if b.p >= OPEN]
    doubted = [b for b in analysis.doubted_beliefs[:1] if b.p >= LIKELY_STILL]
    named += [f"though a look denied it: {b.title.lower()} ({in_100(b.p)})" for b in doubted]
    return "; ".join(named) or "no single cause stands out yet"


def _seen(kb: model.KB, state: State) -> str:
    """Return the readings and the answers that are not as they should be, the last ones."""
    out = []
    for a in state.answers:
        check = kb.checks[a.check]
        if check.kind == "measure":
            r = reading(kb, a.check, a.said, a.hands)
            if r.verdict.state != "within":
                out.append(f"{check.title.lower()} {formatting.show(r.value, kb.rules[r.rule].measures)}")
        elif a.said in check.answers and a.said != list(check.answers)[-1]:
            out.append(f"{check.title.lower()}: {check.answers[a.said].says}")
    return "; ".join(out[-READ:])


def _first(kb: model.KB, advice: Advice, state: State) -> str:
    step = advice.next
    if step is None or step.kind in ("stop", "gate") or step.id in ("complaint", "still-there"):
        return ""
    if step.kind == "hand-on" and step.cause:
        return kb.causes[step.cause].remedy.title
    return step.title if step.kind != "hand-on" else ""


def _trade(kb: model.KB, analysis: Analysis | None, state: State) -> str:
    """Return whom to call, in words."""
    if analysis and analysis.likeliest:
        by = roles.work_of(kb.causes[analysis.likeliest].remedy, state)
        if by in ("plumber", "electrician"):
            return BY[by]
    return BY["technician"]


def _joined(titles: list[str]) -> str:
    more = len(titles) - MOST_NAMED
    named = [t[0].lower() + t[1:] for t in titles[:MOST_NAMED]]
    return ", ".join(named) + (f" and {more} more" if more > 0 else "")


def _ended(text: str) -> str:
    return text if text[-1:] in ".?!" or not text else f"{text}."
