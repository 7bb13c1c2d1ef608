"""Whose work it is: who may not do it, who could not, and what was not found at all."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.trades import called, left_to
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import State


def begun(kb, role: str, *complaints: str) -> list[Event]:
    gates = [Event(cleared=h) for h, record in kb.hazards.items() if record.gate]
    return [Event(role=role), Event(complaints=list(complaints)), *gates]  # type: ignore[arg-type]


@pytest.mark.parametrize("role", ["homeowner", "desk", "technician"])
def test_what_could_not_be_done_goes_to_whoever_can_and_says_what_was_found(kb, role: str) -> None:
    """A siphon break that the household could not fit is a plumber's, and the plumber is told of the siphon."""
    told = [Event(fact="drain", is_="floor-drain"), Event(check="siphon-break-fitted", answer="absent")]
    events = [*begun(kb, role, "siphons"), *told]
    assert advise(kb, events).next.id == "floor-drain-without-siphon-break"  # type: ignore[union-attr]
    events.append(Event(remedy="floor-drain-without-siphon-break", did="could-not"))
    advice = advise(kb, events)
    for _ in range(20):
        if advice.next is None or advice.next.kind == "hand-on":
            break
        events.append(Event(skip=advice.next.id))
        advice = advise(kb, events)
    assert advice.hand_on is not None
    assert (advice.hand_on.to, advice.finding_cause) == ("plumber", "floor-drain-without-siphon-break")


def test_a_technician_is_never_sent_a_technician(kb) -> None:
    state = State(role="technician", hands="technician")
    named = {left_to(kb, c, state) for c in kb.causes.values()}
    assert named == {"plumber", "electrician", "specialist"}


def test_a_rented_house_is_the_landlords_and_the_drop_the_utilitys(kb) -> None:
    rented = State(role="homeowner", facts=(("tenure", "rented"),))
    assert called(kb, rented, "plumber", "standpipe-too-low") == "landlord"
    assert called(kb, State(role="homeowner"), "plumber", "standpipe-too-low") == "plumber"
    assert called(kb, rented, "technician", "pump-worn") == "technician"
    # Who came to mend a tenant's washer books nobody for the house either.
    at_work = State(role="technician", hands="technician", facts=rented.facts)
    assert called(kb, at_work, "plumber", "standpipe-too-low") == "landlord"
    assert called(kb, rented, "electrician", "neutral-loose") == "utility"


@pytest.mark.parametrize(("complaint", "trade"), [("standpipe-overflow", "plumber"), ("spin-wet", "technician")])
def test_where_nothing_was_found_the_trade_follows_the_belief(kb, complaint: str, trade: str) -> None:
    over = [Event(skip=n) for n in [*kb.checks, *kb.facts]] + [Event(skip=f"remedy:{c}") for c in kb.causes]
    advice = advise(kb, [*begun(kb, "homeowner", complaint), *over])
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id) == ("hand-on", trade)
