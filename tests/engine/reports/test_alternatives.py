"""The ways to go on: the cheapest is taken, as the walk takes it, and nobody is sent for nothing."""

import pytest
from msgspec.structs import replace

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.reports.visit_plan import bring
from tests.support.telling import BOOKED, LOW_PIPE

pytestmark = pytest.mark.usefixtures("few_visits")  # the ways are priced by the choice, not by what is played


def test_the_way_that_costs_least_is_taken(kb):
    found = bring(kb, BOOKED)
    assert found.choice == "plumber"
    # It is what the walk does, where a question must save 2 % before it is asked instead.
    step = advise(kb, BOOKED).next
    assert (step.kind, step.id) == ("hand-on", "plumber")
    assert bring(kb, LOW_PIPE).choice == bring(kb, LOW_PIPE).ways[0].kind == "phone"
    assert [w.price for w in found.ways] == sorted(w.price for w in found.ways)
    taped = [*LOW_PIPE[:4], Event(check="hose-sealed", answer="taped"), Event(check="standpipe-height", value="42 in")]
    by_phone = bring(kb, taped)
    assert by_phone.choice == "phone"
    assert "(mend: " in by_phone.ways[0].title


@pytest.mark.parametrize("n", range(5, 11))
def test_it_says_what_the_walk_would_do(kb, n):
    """Once all is clear, the next step of the walk and the way to go agree at every answer."""
    events = [*BOOKED[:n], Event(cleared="water-running")]
    step = advise(kb, events).next
    if n == 5:  # the walk asks first what the plumber's work hangs on
        assert step.kind in ("check", "fact")
    expected = step.id if step.kind == "hand-on" else "phone"
    assert bring(kb, events).choice == {"technician": "visit"}.get(expected, expected)


def test_a_plumber_is_not_booked_before_the_reading_that_calls_for_one(kb):
    unread = [e for e in LOW_PIPE if e.check != "standpipe-height"]
    assert "plumber" not in {w.kind for w in bring(kb, unread).ways}


def test_a_technician_who_is_there_is_not_sent_again(kb):
    found = bring(kb, [Event(role="technician"), *LOW_PIPE[1:]])
    assert {w.kind for w in found.ways} <= {"visit", "plumber", "electrician"}
    assert "Go on with the technician who is there" in {w.title for w in found.ways}


def test_a_dear_call_out_keeps_the_plumber_away(kb):
    """The prices come from roles.yaml: with a fee beyond all others nobody books that trade."""
    trades = [replace(t, fee=replace(t.fee, n=9999)) if t.id == "plumber" else t for t in kb.roles.trades]
    assert bring(replace(kb, roles=replace(kb.roles, trades=trades)), BOOKED).choice != "plumber"
