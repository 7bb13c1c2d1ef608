"""What to bring and whether to go: the chance of each part and tool, minutes on site, who must come, and which way costs least."""

from math import ceil

from .. import effort, model
from ..advice import DIGITS, Frozen
from ..advising import gates
from ..advising.analysis import Analysis, bounded
from ..advising.next_step import least_cost
from ..advising.wording import in_100
from ..case.events import Event
from ..case.state import State, fold
from ..diagnosis.network import network_of
from ..planning import roles
from ..simulation.visits import Visit, visits
from .alternatives import Way, WayKind, cheapest, problem_here, ways
from .parts_and_trades import ENDED, Comer, PartNeed, parts, who

WORDS: dict[WayKind, str] = {
    "phone": "NOT YET",
    "visit": "GO",
    "plumber": "BOOK",
    "electrician": "BOOK",
    "stop": "STOP",
    "nothing": "DONE",
}
# The ends of the range of minutes on site [share of visits].
LOW, HIGH = 0.1, 0.9


class ToolNeed(Frozen, frozen=True, kw_only=True):
    """A tool, and the share of played visits in which a check needed it."""

    tool: str
    chance: float
    text: str


class VisitMinutes(Frozen, frozen=True, kw_only=True):
    """Minutes on site of a technician's visit: 10th, 50th and 90th percentile of played visits, and how these end."""

    low: float
    middle: float
    high: float
    visits: int
    text: str
    ends: str


class Bring(Frozen, frozen=True, kw_only=True):
    """What to bring, and whether to go: `choice` comes first; where it is to stop, `then` says what comes after."""

    status: str
    choice: WayKind
    word: str
    choice_text: str
    then: WayKind | None
    stop: list[str]
    ways: list[Way]
    who: list[Comer]
    unknown: float
    minutes: VisitMinutes | None
    parts: list[PartNeed]
    tools: list[ToolNeed]
    basis: str


BASIS = "Costs are in homeowner minutes and, like all strengths and rates, judgement."


def bring(kb: model.KB, events: list[Event]) -> Bring:
    """Return what to bring to a case, and whether to go.

    Parameters
    ----------
    kb : KB
    events : list of Event
        The case, checked by `casefile`.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> b = bring(load_kb(), [Event(role="desk"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe"),
    ...     Event(check="standpipe-height", value="31 in"), Event(cleared="water-near-electricity")])
    >>> b.choice, next(p.bring for p in b.parts if p.part == "standpipe-extension-2in")
    ('phone', True)
    """
    with bounded(kb, events, effort.PLAYED):
        return _bring(kb, events)


def _bring(kb: model.KB, events: list[Event]) -> Bring:
    network = network_of(kb)
    state = fold(kb, events)
    analysis = Analysis(network, state)
    standing = [c for c in state.complaints if c not in dict(state.gone)]
    status = state.closed or ("stopped" if state.stopped else "open" if standing else "no-complaint")
    if state.closed in ENDED or not standing:
        text = (
            "Nothing is left to do here."
            if state.complaints
            else "Nothing is complained of yet, so nothing can be said."
        )
        return Bring(
            status=status, choice="nothing", word=WORDS["nothing"], choice_text=text, then=None, stop=[], ways=[], who=[], unknown=0.0,
            minutes=None, parts=[], tools=[], basis=BASIS,
        )  # fmt: skip
    stop = stopping(kb, state)
    decision_problem = problem_here(analysis)
    choice = least_cost(analysis.scenarios.weight, decision_problem)
    priced = ways(analysis, decision_problem, choice)
    best = cheapest(priced, choice.least_gain)
    choice_text = _stop_text(best) if stop else f"{best.title}: {best.text}."
    if best is not priced[0] and not stop:
        choice_text += f" Asking on would save less than {100 * choice.least_gain:g} % of that."
    played = visits(analysis)
    return Bring(
        status=status,
        choice="stop" if stop else best.kind,
        word=WORDS["stop" if stop else best.kind],
        choice_text=choice_text,
        then=best.kind if stop else None,
        stop=stop,
        ways=priced,
        who=who(analysis),
        unknown=analysis.unknown,
        minutes=_minutes(kb, played),
        parts=parts(analysis),
        tools=_tools(kb, [v.checks for v in played]),
        basis=BASIS,
    )


def stopping(kb: model.KB, state: State) -> list[str]:
    """Return why nobody should use it for now: a stop, and gates of DANGER or WARNING that nobody cleared."""
    if state.stopped:
        gate = kb.hazards[state.stopped].gate
        return [*(gate.do_now if gate else []), *([f"Call: {gate.call}"] if gate else [])]
    said = _heard(kb, state)
    grave = [n for n in gates.raised(kb, state, said) if kb.hazards[n].signal in ("DANGER", "WARNING")]
    out = []
    for name in grave:
        gate = kb.hazards[name].gate
        if gate and name not in state.cleared:
            out.append(
                f"Not cleared yet: {kb.hazards[name].title.lower()}. Ask: {roles.voice(gate.ask, state.role, state.hands)}"
            )
    return out


def _heard(kb: model.KB, state: State) -> list[str]:
    if not state.words and not state.notes:
        return []
    from ..language.matching import hear

    return list(dict.fromkeys(h.hazard for text in (*state.words, *state.notes) for h in hear(text, kb).hazards))


def _stop_text(best: Way) -> str:
    return f"Stop using it until this is clear. Then: {best.title[0].lower()}{best.title[1:]}."


def _minutes(kb: model.KB, played: list[Visit]) -> VisitMinutes:
    """Return the range of minutes of played visits, each end the minutes of one of them, and how the visits end."""
    ranked = sorted(v.minutes for v in played)
    low, middle, high = (ranked[max(0, ceil(q * len(ranked)) - 1)] for q in (LOW, 0.5, HIGH))
    text = f"{low:.0f} to {high:.0f} min on site (8 visits in 10), half of them at most {max(1, round(middle))} min"
    if high - low < 1:
        text = f"about {max(1, round(middle))} min on site"
    solved = sum(v.solved for v in played) / len(played)
    ends = [f"{in_100(solved)} end with it mended there"] if solved else []
    for trade in dict.fromkeys(sorted(v.booked for v in played if v.booked)):
        share = sum(v.booked == trade for v in played) / len(played)
        ends.append(f"{in_100(share)} with work left for: {roles.trade_card(kb, trade).title.lower()}")
    return VisitMinutes(low=low, middle=middle, high=high, visits=len(ranked), text=text, ends="; ".join(ends))


def _tools(kb: model.KB, played: list[tuple[str, ...]]) -> list[ToolNeed]:
    """Return the tools that checks needed in played visits, most often needed first."""
    used = [{t for c in checks for t in kb.checks[c].tools} for checks in played]
    share = {t: sum(t in own for own in used) / len(used) for t in {t for own in used for t in own}}
    ranked = sorted(share.items(), key=lambda s: (-s[1], s[0]))
    return [ToolNeed(tool=t, chance=round(p, DIGITS), text=f"{t}: {in_100(p)}") for t, p in ranked]
