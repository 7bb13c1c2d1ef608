"""No finding, no remedy and no part is named whose defining look stands denied by the same or better hands, over random walks.

What is denied is worked out here from the answers and the kb alone, apart from what the planning makes of it.
"""

import random

import pytest

from dryfloor.cli.page import presenters
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.measurement.readings import limits, reading
from dryfloor.engine.reports.parts_and_trades import parts
from dryfloor.engine.reports.report import report
from dryfloor.engine.reports.short_handover import short_handover
from tests.support.shipped import shipped

KB = shipped()
ABLE = {"homeowner": ("homeowner", "technician"), "technician": ("technician",)}


def denied(state):
    """Return the causes whose defining look was taken last by able hands with its normal answer, or a reading inside its rule."""
    out = set()
    for cause in KB.causes.values():
        look = cause.defines
        if look is None or not (look.check or look.rule):
            continue
        names = (
            {look.check}
            if look.check
            else {c.id for c in KB.checks.values() if c.kind == "measure" and c.rule == look.rule}
        )
        told = [a for a in state.answers if a.check in names and not a.proof and a.hands in ABLE[state.hands]]
        if not told:
            continue
        last = told[-1]
        if look.rule:
            verdict = reading(KB, last.check, last.said, last.hands).verdict
            if verdict.state == "within":
                out.add(cause.id)
        elif last.said == list(KB.checks[last.check].answers)[-1] and last.said not in (look.answer, *look.also):
            out.add(cause.id)
    return out


def said(check, chance):
    """Return an answer to a check: any of its answers, a reading inside its limits or outside."""
    if check.kind != "measure":
        names = list(check.answers)
        return Event(check=check.id, answer=names[-1] if chance.random() < 0.6 else chance.choice(names))
    rule = KB.rules[check.rule]
    low, high = limits(rule)
    inside = low if high is None else high if low is None else (low + high) / 2
    outside = high * 1.2 if low is None else low * 0.8 or -0.05
    from dryfloor.engine.measurement import formatting

    return Event(
        check=check.id,
        value=formatting.show(inside if chance.random() < 0.6 else outside, rule.measures).partition(" (")[0],
    )


def walk(seed):
    """Yield the case after each answer of somebody who answers anything, in some role, to its end."""
    chance = random.Random(seed)
    events = [Event(role=chance.choice(["homeowner", "desk", "technician"]))]
    names = chance.sample(sorted(KB.complaints), 1 + (chance.random() < 0.2))
    events += [Event(complaints=[n]) for n in names]
    for _ in range(40):
        advice = advise(KB, events)
        yield events, advice
        step = advice.next
        if step is None or step.kind in ("hand-on", "stop"):
            if step is None or chance.random() < 0.5 or events[0].role == "technician":
                return
            events = [*events, Event(role="technician")]  # taken up by better hands
        elif step.kind == "gate":
            events = [*events, Event(cleared=step.id)]
        elif step.kind == "fact":
            if step.id == "still-there":
                events = [*events, Event(still=names[:1])]
                continue
            options = list(KB.facts[step.id].options)
            events = [
                *events,
                Event(fact=step.id, is_=chance.choice(options)) if chance.random() < 0.8 else Event(cant=step.id),
            ]
        elif step.kind == "remedy":
            events = [*events, Event(remedy=step.cause, did=chance.choice(["done", "could-not"]))]
        elif step.proof:
            answer = said(KB.checks[step.id], chance)
            events = [*events, Event(proof=step.id, answer=answer.answer, value=answer.value)]
        else:
            events = [*events, said(KB.checks[step.id], chance) if chance.random() < 0.9 else Event(cant=step.id)]


def named(events, advice, state, whole):
    """Return every cause that is named as found, to be mended, to be booked, or to bring a part for."""
    done = {t.cause for t in state.remedies if t.did == "done"}
    out = {advice.finding.cause} if advice.finding else set()
    out |= {advice.next.cause} if advice.next and advice.next.cause and not advice.next.proof else set()
    may, helped, may_not = presenters.yours(KB, advice, state)
    titles = {y.remedy for y in (*may, *helped, *may_not)}
    out |= {
        b.cause
        for b in advice.beliefs
        if KB.causes[b.cause].remedy.title in titles
        and not any(
            KB.causes[o.cause].remedy.title == KB.causes[b.cause].remedy.title and o.cause != b.cause
            for o in advice.beliefs
        )
    }
    return {c for c in out - {None} if c not in done}


def held(seed):
    network = network_of(KB)
    for events, advice in walk(seed):
        state = fold(KB, events)
        against = denied(state)
        step = advice.next
        if step is not None and step.kind == "hand-on" and step.cause:
            assert advice.finding is not None, (seed, "booked as if found", events)
        assert not named(events, advice, state, False) & against, (seed, events)
        # A part for what is denied alone: nobody brings or books it.
        wanted = {p for b in advice.beliefs if b.cause not in against for p in KB.causes[b.cause].remedy.parts}
        titles = {KB.parts[p].title for p in wanted}
        if advice.hand_on:
            assert {*advice.hand_on.bring} <= titles, (seed, events)
            told = " ".join([*advice.hand_on.looked, *advice.hand_on.tell])
            for cause in against:
                assert f"open: {KB.causes[cause].title.lower()}," not in told.lower(), (seed, cause, events)
    analysis = Analysis(network, state)
    assert {p.part for p in parts(analysis) if p.bring} <= wanted, (seed, events)
    short = short_handover(KB, events)
    likely = next((t.text for t in short.lines if t.label == "Likeliest"), "").lower()
    made = report(KB, events)
    for cause in against - {t.cause for t in state.remedies}:
        assert f"{KB.causes[cause].title.lower()}, " not in likely, (seed, cause, events)
        assert not made.summary or not made.summary[0].startswith(f"{KB.causes[cause].title}. "), (seed, cause, events)


@pytest.mark.parametrize("seed", range(12))
def test_nothing_is_named_against_its_own_look(seed):
    held(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 250))
def test_nothing_is_named_against_its_own_look_over_many_walks(seed):
    held(seed)
