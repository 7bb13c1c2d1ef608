"""Advice as the templates show it: nothing is decided here, and no chance is reckoned."""

import re
from collections.abc import Callable
from datetime import datetime
from math import ceil
from typing import Any

from markupsafe import Markup
from msgspec import Struct, structs

from ...engine import model
from ...engine.advice import Advice, Belief, Card, Choice, Illustration, Measured
from ...engine.advising.endings import UNTIL
from ...engine.advising.outcome import turned_out
from ...engine.advising.wording import BY, in_100, minutes_text
from ...engine.case.events import Event
from ...engine.case.rows import leading
from ...engine.case.state import State, fold, seen_to_work
from ...engine.knowledge.graph import strength
from ..render.acceptance import number_line
from ..render.advice import SHOWN
from ..store.waiting import local
from .answers.own_words import OwnWords
from .answers.place import CaseLocation

PHONE = (320, 568)  # the first screen of a small phone [px]
FULL, FIRST = 4, 3  # so many answers stand on it whole; of more, the first ones
LIKELY = 0.15  # from here on a cause is worth saying who may mend it, as the hand-over says what to bring [prob]


class Said(Struct, frozen=True, kw_only=True):
    """One line of what was said: its title, what was said, the address where it is answered anew (empty: it can't be), if passed over."""

    title: str
    said: str
    change: str = ""
    passed: bool = False


class Yours(Struct, frozen=True, kw_only=True):
    """A remedy that may be called for: what it mends, how likely that is, and who may do it."""

    title: str
    remedy: str
    p: str
    by: str


def own_said(kb: model.KB, place: CaseLocation, own: OwnWords) -> list[str]:
    """Return what was just said in words of one's own and waits in the browser, in sentences; nothing once more was said."""
    texts = [t.event for t in own.at(place.events) if t.upto == len(place.events)] if place.kept is None else []
    return [_own(kb, e) for e in texts]


def _own(kb: model.KB, e: Event) -> str:
    if e.turned_out is not None:
        told = turned_out(kb, fold(kb, [e]))
        return told.text if told else e.turned_out
    return e.note or ""


def said(kb: model.KB, place: CaseLocation, own: OwnWords | None = None) -> list[Said]:
    """Return what was said of a case, in order: complaints, answers (each changeable), what was passed over, what was done, own words."""
    rows: dict[str, Said] = {}
    waits = own.at(place.events) if own and place.kept is None else []
    state = fold(kb, place.events)

    def in_own_words(at: int) -> None:
        for k, text in enumerate(waits):
            if text.upto == at:
                title = "What it was" if text.event.turned_out else "In your words"
                rows[f"own {k}"] = Said(title=title, said=_own(kb, text.event))

    for n, e in enumerate(place.events):
        in_own_words(n)
        lead = leading(e)
        if lead in ("complaints", "heard", "trial"):
            for c in e.complaints or []:
                rows[f"complaint {c}"] = Said(title="What is wrong", said=kb.complaints[c].says)
        elif lead == "hazard":
            rows[f"hazard {e.hazard}"] = Said(title="Danger that was heard", said=kb.hazards[e.hazard or ""].title)
        elif lead == "turned_out":
            # What was said of it before stands, too; the last word decides.
            rows |= {
                k: structs.replace(r, title="What it was, said before")
                for k, r in rows.items()
                if k.startswith("outcome ")
            }
            rows[f"outcome {n}"] = Said(title="What it was", said=_own(kb, e))
        elif lead == "note" and place.role == "homeowner":
            rows[f"note {n}"] = Said(title="In your words", said=e.note or "")
        elif lead == "machine":
            rows["machine"] = Said(title="Machine", said=kb.machines[e.machine or ""].title)
        elif lead in ("check", "fact"):
            rows[e.check or e.fact or ""] = _answer(kb, place, e)
        elif lead in ("cant", "skip"):
            name = e.cant or e.skip or ""
            if name in dict(state.passed_over):
                record: Any = kb.checks.get(name) or kb.facts.get(name)
                rows.setdefault(name, _passed(kb, place, name, record, lead))
        elif lead == "remedy":
            told = "done" if (e.did or "done") == "done" else "could not be done"
            rows[f"remedy {n}"] = Said(title=kb.causes[e.remedy or ""].remedy.title, said=told)
        elif lead == "proof":
            rows[f"proof {n}"] = Said(
                title=f"Proof: {kb.checks[e.proof or ''].title.lower()}", said=_words(kb, e.proof or "", e)
            )
        elif lead == "still":
            left = ", ".join(kb.complaints[c].says for c in e.still or []) or "nothing"
            rows[f"still {n}"] = Said(title="Still there", said=left)
    in_own_words(len(place.events))
    return list(rows.values())


def _words(kb: model.KB, check: str, e: Event) -> str:
    given = e.answer or e.value or ""
    answers = kb.checks[check].answers
    return answers[given].says if given in answers else given


def _answer(kb: model.KB, place: CaseLocation, e: Event) -> Said:
    if e.check:
        return Said(title=kb.checks[e.check].title, said=_words(kb, e.check, e), change=place.asking(e.check))
    fact = kb.facts[e.fact or ""]
    return Said(title=fact.title, said=fact.options[e.is_ or ""].says, change=place.asking(fact.id))


def _passed(kb: model.KB, place: CaseLocation, name: str, record: Any, lead: str) -> Said:
    told = "can't tell" if lead == "cant" else "skipped"
    if record is not None:
        return Said(title=record.title, said=told, change=place.asking(name), passed=True)
    cause = name.removeprefix("remedy:")
    return Said(title=kb.causes[cause].remedy.title if cause in kb.causes else "What is left", said=told, passed=True)


def line(m: Measured) -> Markup:
    """Return a reading's number line as SVG; `acceptance` escapes what it says."""
    return Markup(number_line(m))


def drawer(kb: model.KB, advice: Advice, events: list[Event]) -> Callable[[Illustration], Markup]:
    """Return what draws the pictures of a page, to the readings of its case and its machine's sheet."""
    from ...engine.advising.illustrations import drawn

    machine = kb.machines.get(next((e.machine for e in reversed(events) if e.machine), ""))

    known: dict[str, Markup] = {}

    def svg(shown: Illustration) -> Markup:
        key = f"{shown.id} {shown.rule}"
        if key not in known:
            # Its texts are escaped where it is drawn.
            known[key] = Markup(drawn(kb, shown, advice.readings, machine, alone=False))
        return known[key]

    return svg


def last_reading(advice: Advice, events: list[Event]) -> Measured | None:
    """Return the reading that was given last, where nothing was said after it."""
    name = (events[-1].check or events[-1].proof) if events and events[-1].value else None
    return next((m for m in advice.readings if m.check == name), None) if name else None


def fresh_notices(kb: model.KB, advice: Advice, events: list[Event]) -> list[str]:
    """Return the notices that the last thing said brought about."""
    if not events:
        return []
    noted = [f"Not understood, so it is kept as a note: '{events[-1].note}'."] if events[-1].note else []
    return noted + advice.notices[len(fold(kb, events[:-1]).notices) :]


def others(advice: Advice) -> list[str]:
    """Return what else may be wrong beside a finding, as the command line says it."""
    found = advice.finding
    if found is None or found.p >= 1:
        return []
    rest = [b for b in advice.beliefs[:4] if b.cause != found.cause and b.p >= SHOWN]
    return [f"{b.title.lower()} {in_100(b.p)}" for b in rest][:2]


def yours(kb: model.KB, advice: Advice, state: State | None = None) -> tuple[list[Yours], list[Yours], list[Yours]]:
    """Return the remedies that may be called for: those that anybody may do alone, those that take two, and those that are work for a trade."""
    from ...engine.diagnosis.network import network_of
    from ...engine.planning import roles

    here = state or State(role=advice.role, hands=advice.hands, facts=tuple(advice.facts.items()))  # type: ignore[arg-type]
    network = network_of(kb)
    likely = [b for b in advice.beliefs if b.p >= LIKELY]
    # What its own look denies is not told as anybody's work.
    wanted = [b for b in likely if not roles.denied(network, here, kb.causes[b.cause])][:4]
    if advice.next and advice.next.cause and all(b.cause != advice.next.cause for b in wanted):
        wanted += [b for b in advice.beliefs if b.cause == advice.next.cause]
    rows = [(kb.causes[b.cause].remedy, b) for b in wanted]
    lines = [(r, Yours(title=b.title, remedy=r.title, p=in_100(b.p), by=BY[roles.work_of(r, here)])) for r, b in rows]
    may = [(r, y) for r, y in lines if r.by == "anyone" and roles.may_mend(kb, r, advice.hands, here)]
    # What takes two is nothing that one person alone may do, whoever they are.
    alone = [y for r, y in may if roles.people(kb, r) == 1]
    helped = [y for _, y in may if y not in alone]
    return alone, helped, [y for _, y in lines if y not in alone and y not in helped]


def seen(state: State, events: list[Event]) -> bool:
    """Return whether what was mended was seen to work, at its proof or in the washes after it."""
    return seen_to_work(state) or any(e.trial == "stayed-away" for e in events)


def until(kb: model.KB, advice: Advice) -> list[str]:
    """Return what to do until the trade comes."""
    return [t[0].upper() + t[1:] for t in (advice.hand_on.until if advice.hand_on else [])]


def steps(texts: list[str]) -> list[str]:
    """Return a remedy's steps without the mark of those that are for whoever waits."""
    return [t.removeprefix(UNTIL).strip() for t in texts]


def tell(advice: Advice) -> str:
    """Return the text to read out or to copy when booking."""
    hand = advice.hand_on
    if hand is None:
        return ""
    lines = [*hand.tell, *([f"Please bring: {', '.join(hand.bring)}."] if hand.bring else [])]
    return "\n".join(lines)


def urgent(kb: model.KB, place: CaseLocation) -> list[tuple[str, str]]:
    """Return the dangers that are told what to do at once, in the kb's turn: what somebody says of each, and the address that tells it."""
    gates = [(h, h.gate.at_once) for h in kb.hazards.values() if h.gate and h.gate.at_once]
    gates.sort(key=lambda gate: (gate[1].turn, gate[0].id))
    return [
        (now.says, place.url(structs.replace(place.address.plus(Event(hazard=h.id)), stop=h.id))) for h, now in gates
    ]


def by_frequency(kb: model.KB, choices: list[Choice]) -> list[Choice]:
    """Return the complaints, the commonest first: as often as their causes, and what is not listed, bring them."""
    often = {c.id: c.unlisted_per_1000.n for c in kb.complaints.values()}
    for cause in kb.causes.values():
        for shown in cause.shows:
            if shown.complaint in often:
                often[shown.complaint] += cause.per_1000.n * strength(kb, shown.strength)
    return sorted(choices, key=lambda c: (-round(often.get(c.id, 0.0), 9), c.id))


def open_questions(kb: model.KB, state: State) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the questions that these hands could still answer about the complaints, as (group, [(id, title)])."""
    from ...engine.diagnosis.network import network_of
    from ...engine.knowledge import graph
    from ...engine.model import holds
    from ...engine.planning import roles

    network = network_of(kb)
    causes = graph.relevant(network.graph, list(state.complaints))
    known = dict(state.facts)
    facts = [(f.id, f.title) for f in kb.facts.values() if f.id not in known and holds(f.when, known)]
    checks = [(c.id, c.title) for c in roles.open_checks(network, state, causes, state.hands)]
    return [("Circumstances", sorted(facts, key=lambda x: x[1])), ("Checks", sorted(checks, key=lambda x: x[1]))]


def explained(kb: model.KB, advice: Advice) -> list[tuple[str, list[Belief]]]:
    """Return for each complaint that stands the causes that may explain it, likeliest first.

    Parameters
    ----------
    kb : KB
    advice : Advice
    """
    worth = [b for b in advice.beliefs if b.p >= SHOWN]
    return [
        (kb.complaints[c].says, [b for b in worth if any(s.complaint == c for s in kb.causes[b.cause].shows)])
        for c in advice.complaints
        if c in kb.complaints
    ]


def picture_fits(card: Card, drawn: Callable[[Illustration], Markup]) -> bool:
    """Return whether a card's picture leaves room for its first answers on the first screen of a small phone; True where it has none.

    Reckoned from the letters of a line and the height of its parts at 320 px; `tests/cli/page/test_first_screen.py` measures it.
    """
    shown = [svg for p in card.pictures if p.step == 0 and (svg := str(drawn(p)))]
    if not shown:
        return True
    boxes = [re.search(r'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ([\d.]+)"', svg) for svg in shown]
    high = sum(24 + PHONE[0] * 0.9 * float(b[2]) / float(b[1]) for b in boxes if b)
    said = card.question or card.title
    high += 140 + 26 * ceil(len(said) / 25) + 30 * len(card.notes) + 24 * (len(card.meta) > 18)
    if card.steps:
        high += 24 + 24 * ceil(len(card.steps[0]) / 28)
    elif card.measures:
        high += 130
    else:
        answers = card.choices if len(card.choices) <= FULL else card.choices[:FIRST]
        high += sum(30 + 22 * ceil(len(c.says) / 32) for c in answers)
    return high <= PHONE[1]


def zone() -> str:
    """Return what the time of that place is called."""
    return datetime.now().astimezone().tzname() or "local time"


FILTERS = {"picture_fits": picture_fits, "local": local, "in_100": in_100, "minutes": minutes_text, "line": line}
