"""What to bring and whether to go: the chance of each part and tool, minutes on site, who must come, and which way costs least.

Chances are exact: of the causes whose remedy names a part, that at least one explains a complaint that still stands. A part is
brought where its chance times the cost of coming a second time exceeds what carrying it costs. Costs are homeowner minutes, and
judgement: `kb/roles.yaml` and `kb/parts.yaml` hold them, and a shop's own kb folder may hold others.
"""

from collections.abc import Iterable
from math import ceil, inf
from typing import Literal

import numpy as np

from . import model, safety, views
from .advice import Frozen
from .belief import any_of
from .cards import in_100
from .case import Event, State, fold
from .choose import Choice, Costing, Mend, View, normal
from .steps import least_cost
from .thought import DIGITS, Thought, net_of
from .visit import Visit, visits

WayKind = Literal["phone", "visit", "plumber", "electrician", "stop", "nothing"]
WORDS: dict[WayKind, str] = {
    "phone": "NOT YET",
    "visit": "GO",
    "plumber": "BOOK",
    "electrician": "BOOK",
    "stop": "STOP",
    "nothing": "DONE",
}
TRADES = ("technician", "plumber", "electrician")
# What carrying a part costs where the kb does not say, as a share of its price (judgement) [-].
CARRY_SHARE = 0.05
# The ends of the range of minutes on site [share of visits].
LOW, HIGH = 0.1, 0.9
LEAST_CHANCE = 0.0005  # a chance below this is not worth a line
ENDED = ("solved", "not-a-fault")


class PartNeed(Frozen, frozen=True, kw_only=True):
    """A part, for the trade whose work needs it: its chance, and the sum by which it is brought or left; costs in homeowner minutes."""

    part: str
    title: str
    by: str
    chance: float
    price: float
    second_visit: float
    carry: float
    bring: bool
    text: str


class ToolNeed(Frozen, frozen=True, kw_only=True):
    """A tool, and the share of played visits in which a check needed it."""

    tool: str
    chance: float
    text: str


class Comer(Frozen, frozen=True, kw_only=True):
    """Whose work it is, with the chance that such work is needed."""

    trade: str
    title: str
    chance: float
    text: str


class Way(Frozen, frozen=True, kw_only=True):
    """A way to go on, and what it is expected to cost until it is mended [homeowner minutes]; `asks`: it begins with a question."""

    kind: WayKind
    asks: bool
    title: str
    price: float
    text: str


class Minutes(Frozen, frozen=True, kw_only=True):
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
    minutes: Minutes | None
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
    >>> from dryfloor.engine.load import load_kb
    >>> b = bring(load_kb(), [Event(role="desk"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe"),
    ...     Event(check="standpipe-height", value="31 in"), Event(cleared="water-near-electricity")])
    >>> b.choice, next(p.bring for p in b.parts if p.part == "standpipe-extension-2in")
    ('phone', True)
    """
    net = net_of(kb)
    state = fold(kb, events)
    thought = Thought(net, state)
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
    view = view_here(thought)
    choice = least_cost(thought.scenarios.weight, view)
    priced = ways(thought, view, choice)
    best = cheapest(priced, choice.least_gain)
    choice_text = _stop_text(best) if stop else f"{best.title}: {best.text}."
    if best is not priced[0] and not stop:
        choice_text += f" Asking on would save less than {100 * choice.least_gain:g} % of that."
    played = visits(thought)
    return Bring(
        status=status,
        choice="stop" if stop else best.kind,
        word=WORDS["stop" if stop else best.kind],
        choice_text=choice_text,
        then=best.kind if stop else None,
        stop=stop,
        ways=priced,
        who=who(thought),
        unknown=thought.unknown,
        minutes=_minutes(kb, played),
        parts=parts(thought),
        tools=_tools(kb, [v.checks for v in played]),
        basis=BASIS,
    )


def needed(thought: Thought, causes: Iterable[str]) -> float:
    """Return the exact chance that at least one of some causes explains a complaint that still stands [prob]."""
    e = thought.evidence
    ours = frozenset(i for i, c in enumerate(e.causes) if c in set(causes))
    if thought.state.closed in ENDED:
        return 0.0
    if len(ours) == 1:
        return round(float(thought.posterior.explains[next(iter(ours))]), DIGITS)
    return round(any_of(e.tables, e.facts.shares, e.findings, e.cures, ours, thought.posterior.evidence), DIGITS)


def whose_work(remedy: model.Remedy) -> str:
    """Return the trade that does a remedy once somebody comes: what anyone may do, a technician does there."""
    return remedy.by if remedy.by in TRADES else "technician"


def second_visit(kb: model.KB) -> float:
    """Return what coming a second time costs [homeowner minutes]: as roles.yaml says, else a technician's call-out."""
    return (kb.roles.second_visit or views.trade_card(kb, "technician").fee).n


def carrying(kb: model.KB, part: model.Part) -> float:
    """Return what carrying a part to a visit costs [homeowner minutes]."""
    return (part.carry.n if part.carry else CARRY_SHARE * part.price.n) * kb.roles.price_unit.n


def parts(thought: Thought) -> list[PartNeed]:
    """Return each part that may be needed, by the trade whose work needs it; those to bring first, likeliest first."""
    kb = thought.net.kb
    users: dict[tuple[str, str], list[str]] = {}
    for i, c in enumerate(thought.evidence.causes):
        if thought.posterior.explains[i] > 0:
            remedy = kb.causes[c].remedy
            for each in dict.fromkeys(remedy.parts):
                users.setdefault((each, whose_work(remedy)), []).append(c)
    out = []
    again = second_visit(kb)
    for (name, trade), causes in users.items():
        part = kb.parts[name]
        chance = needed(thought, causes)
        if chance < LEAST_CHANCE:
            continue
        carry = carrying(kb, part)
        brought = chance * again > carry
        text = (
            f"{100 * chance:.1f} in 100 x {again:g} for a second visit = {chance * again:.1f}, "
            f"carrying it {carry:g}: {'bring' if brought else 'leave'}"
        )
        out.append(
            PartNeed(
                part=name, title=part.title, by=trade, chance=chance, price=part.price.n, second_visit=again,
                carry=round(carry, DIGITS), bring=brought, text=text,
            )
        )  # fmt: skip
    return sorted(out, key=lambda p: (TRADES.index(p.by), not p.bring, -p.chance, p.part))


def who(thought: Thought) -> list[Comer]:
    """Return whose work it may be, with the exact chance of each, likeliest first."""
    kb = thought.net.kb
    causes: dict[str, list[str]] = {}
    for c in thought.evidence.causes:
        causes.setdefault(kb.causes[c].remedy.by, []).append(c)
    titles = {"anyone": "Whoever is there, no trade needed"} | {t: views.trade_card(kb, t).title for t in TRADES}
    out = []
    for trade, names in causes.items():
        chance = needed(thought, names)
        if chance >= LEAST_CHANCE:
            out.append(
                Comer(trade=trade, title=titles[trade], chance=chance, text=f"{titles[trade]}: {in_100(chance)}")
            )
    return sorted(out, key=lambda w: (-w.chance, w.trade))


def stopping(kb: model.KB, state: State) -> list[str]:
    """Return why nobody should use it for now: a stop, and gates of DANGER or WARNING that nobody cleared."""
    if state.stopped:
        gate = kb.hazards[state.stopped].gate
        return [*(gate.do_now if gate else []), *([f"Call: {gate.call}"] if gate else [])]
    said = _heard(kb, state)
    grave = [n for n in safety.raised(kb, state, said) if kb.hazards[n].signal in ("DANGER", "WARNING")]
    out = []
    for name in grave:
        gate = kb.hazards[name].gate
        if gate and name not in state.cleared:
            out.append(
                f"Not cleared yet: {kb.hazards[name].title.lower()}. Ask: {views.voice(gate.ask, state.role, state.hands)}"
            )
    return out


def _heard(kb: model.KB, state: State) -> list[str]:
    if not state.words and not state.notes:
        return []
    from .hear import hear

    return list(dict.fromkeys(h.hazard for text in (*state.words, *state.notes) for h in hear(text, kb).hazards))


def view_here(thought: Thought) -> View:
    """Return what whoever answers may do; where no technician is there yet, the desk goes on in their place."""
    state = thought.state
    if state.role == "technician" and state.hands != "technician":
        return views.view(thought.net, state, thought.evidence, thought.scenarios, "desk", state.hands)
    return thought.view


def ways(thought: Thought, view: View, choice: Choice) -> list[Way]:
    """Return the ways to go on with their prices, cheapest first: by phone, a visit, a licensed trade booked at once."""
    kb, state = thought.net.kb, thought.state
    there = state.hands == "technician"
    role = state.role if there or state.role != "technician" else "desk"
    root = thought.scenarios.weight
    costing = Costing(view, root)
    on = [v for v in choice.ranked if v.kind == "question" or v.id.startswith("remedy:")]
    out = []
    if on and not there:
        onward = "Go on without a visit" if role == "homeowner" else "Go on by phone"
        out.append(_way("phone", f"{onward} ({_first(kb, on[0].id)})", on[0].price, on[0].kind == "question"))
    if there:
        out.append(_way("visit", "Go on with the technician who is there", on[0].price if on else choice.hand_on))
    else:
        out.append(_way("visit", "Send a technician", choice.hand_on))
    # Where the best order of fixes begins with a trade, that is its price: it goes on with the rest of the order.
    ordered = {v.id: v.price for v in choice.ranked}
    for trade in ("plumber", "electrician"):
        prices = [
            min(_booked(costing, root, k, mend), ordered.get(mend.id, inf))
            for k, mend in enumerate(view.mends)
            if mend.id.startswith("hand-on:") and _ready(thought, mend, trade)
        ]
        if prices:
            title = views.trade_card(kb, trade).title.lower()
            article = "an" if title[0] in "aeiou" else "a"
            out.append(_way(trade, f"Book {article} {title}", min(prices)))
    return sorted(out, key=lambda w: (round(w.price, DIGITS), w.kind))


def _first(kb: model.KB, step: str) -> str:
    """Return the first step of a way in words."""
    kind, _, name = step.partition(":")
    if kind == "remedy":
        return f"mend: {kb.causes[name].remedy.title.lower()}"
    return f"ask: {(kb.checks[name] if kind == 'check' else kb.facts[name]).title.lower()}"


def cheapest(priced: list[Way], least_gain: float) -> Way:
    """Return the way to take: the cheapest, but a question must save as much as in a walk before it is put first."""
    best = priced[0]
    if best.asks and len(priced) > 1 and best.price > (1 - least_gain) * priced[1].price:
        return priced[1]
    return best


def _way(kind: str, title: str, price: float, asks: bool = False) -> Way:
    text = f"expected to cost {price:.0f} homeowner minutes until it is mended"
    return Way(kind=kind, asks=asks, title=title, price=round(price, 6), text=text)  # type: ignore[arg-type]


def _ready(thought: Thought, mend: Mend, trade: str) -> bool:
    """Return whether a trade may be booked for a remedy: nobody is, before the reading that calls for it."""
    remedy = thought.net.kb.causes[mend.id.partition(":")[2]].remedy
    return remedy.by == trade and views.condition(thought.net, thought.state, remedy) == "met"


def _booked(costing: Costing, root: "np.typing.NDArray[np.float64]", k: int, mend: Mend) -> float:
    """Return the price of having one remedy done by its trade first, and of handing on what it leaves."""
    view: View = costing.view
    alone = costing.fix[:, k] & (view.needs.sum(axis=1) == 1)
    rest = root * np.where(alone, 1 - mend.chance, 1.0)
    left = float(rest.sum())
    return mend.cost + (left * float(costing.hand_on(normal(rest[None, :]))[0]) if left > 0 else 0.0)


def _stop_text(best: Way) -> str:
    return f"Stop using it until this is clear. Then: {best.title[0].lower()}{best.title[1:]}."


def _minutes(kb: model.KB, played: list[Visit]) -> Minutes:
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
        ends.append(f"{in_100(share)} with work left for: {views.trade_card(kb, trade).title.lower()}")
    return Minutes(low=low, middle=middle, high=high, visits=len(ranked), text=text, ends="; ".join(ends))


def _tools(kb: model.KB, played: list[tuple[str, ...]]) -> list[ToolNeed]:
    """Return the tools that checks needed in played visits, most often needed first."""
    used = [{t for c in checks for t in kb.checks[c].tools} for checks in played]
    share = {t: sum(t in own for own in used) / len(used) for t in {t for own in used for t in own}}
    ranked = sorted(share.items(), key=lambda s: (-s[1], s[0]))
    return [ToolNeed(tool=t, chance=round(p, DIGITS), text=f"{t}: {in_100(p)}") for t, p in ranked]
