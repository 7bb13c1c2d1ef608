"""What is healthy closes by the person's yes, without a gate of a mend; a no goes on, and nobody is booked for it."""

import msgspec
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from tests.support.shipped import shipped

KB = shipped()
GATES = [Event(cleared=h.id) for h in KB.hazards.values() if h.gate]
HEALTHY = sorted(c.id for c in KB.causes.values() if c.kind == "normal")


def told(cause: str, role: str) -> list[Event]:
    """Return the first case of a cause as events."""
    given = KB.causes[cause].cases[0].given
    answers = [
        Event(check=k, value=v) if KB.checks[k].kind == "measure" else Event(check=k, answer=v)
        for k, v in given.answers.items()
    ]
    facts = [Event(fact=f, is_=o) for f, o in given.facts.items()]
    return [Event(role=role), Event(complaints=given.complaints), *facts, *answers]  # type: ignore[arg-type]


@pytest.mark.parametrize("cause", HEALTHY)
def test_a_no_goes_on_and_nobody_is_booked_for_what_is_healthy(cause: str) -> None:
    events = [*told(cause, "homeowner"), Event(remedy=cause, did="could-not"), *GATES]
    for _ in range(60):
        advice = advise(KB, events)
        step = advice.next
        assert step is None or step.cause != cause
        assert advice.finding is None or advice.finding.cause != cause
        if step is None or step.kind in ("hand-on", "stop"):
            break
        if step.kind == "gate":
            events = [*events, Event(cleared=step.id)]
        elif step.kind == "remedy":
            events = [*events, Event(remedy=step.cause, did="could-not")]
        else:
            events = [*events, Event(cant=step.id)]
    if advice.hand_on:
        said = " ".join([*advice.hand_on.looked, *advice.hand_on.tell])
        assert f"open: {KB.causes[cause].title.lower()}," not in said.lower()


@pytest.mark.parametrize("cause", HEALTHY)
def test_a_yes_closes_it_at_once(cause: str) -> None:
    advice = advise(KB, [*told(cause, "homeowner"), *GATES, Event(remedy=cause, did="done")])
    assert advice.status == "solved" or len(advice.complaints) > 1


def test_no_gate_of_a_mend_stands_before_what_is_healthy(kb) -> None:
    """Even where an entry names a hazard with a gate: nothing is mended there."""
    gated = next(h.id for h in kb.hazards.values() if h.gate and not h.when)
    cause = kb.causes["hot-pipe-ticks"]
    remedy = msgspec.structs.replace(cause.remedy, hazards=[gated], why_no_hazard=None)
    other = msgspec.structs.replace(kb, causes=kb.causes | {cause.id: msgspec.structs.replace(cause, remedy=remedy)})
    events = [e for e in [*told(cause.id, "homeowner"), *GATES] if e.cleared != gated]
    step = advise(other, events).next
    assert (step.kind, step.cause) == ("remedy", cause.id)


@pytest.mark.parametrize("cause", HEALTHY)
def test_a_no_lowers_what_is_healthy_and_no_other(cause: str) -> None:
    """It stood at what it was before, and what else it was could never be called found beside it."""
    before, after = (
        {b.cause: b.present for b in advise(KB, [*told(cause, "homeowner"), *GATES, *more]).beliefs}
        for more in ([], [Event(remedy=cause, did="could-not")])
    )
    assert after[cause] < 0.3 * before[cause] or before[cause] > 0.9
    assert after[cause] < before[cause]
    likeliest = max((c for c in before if c != cause), key=lambda c: before[c])
    assert after[likeliest] >= before[likeliest] - 1e-9
