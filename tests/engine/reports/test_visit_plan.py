"""What to bring and whether to go: nothing where it is over, nowhere before it is safe, and the range of minutes."""

import msgspec
import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.reports.parts_and_trades import needed
from dryfloor.engine.reports.visit_plan import bring
from tests.support.telling import LOW_PIPE


def thought_of(kb, events):
    return Analysis(network_of(kb), fold(kb, events))


@pytest.mark.parametrize("closed", ["solved", "not-a-fault"])
def test_a_case_that_is_over_needs_nothing(kb, closed):
    found = bring(kb, [*LOW_PIPE, Event(closed=closed)])
    assert (found.choice, found.parts, found.tools, found.who, found.minutes) == ("nothing", [], [], [], None)
    assert needed(thought_of(kb, [*LOW_PIPE, Event(closed=closed)]), kb.causes) == 0


@pytest.mark.usefixtures("few_visits")
def test_a_case_that_was_proved_needs_nothing(kb):
    events = [Event(role="technician"), Event(complaints=["walks"]), Event(check="rocks-by-hand", answer="rocks")]
    assert bring(kb, [*events, Event(cleared="walking-machine")]).parts
    over = [*events, Event(remedy="foot-unloaded"), Event(proof="spin-stays-put", answer="stayed")]
    assert bring(kb, over).status == "solved"
    assert bring(kb, over).parts == []


@pytest.mark.usefixtures("few_visits")
def test_nobody_goes_on_before_it_is_safe(kb):
    first = bring(kb, [e for e in LOW_PIPE if not e.cleared])
    assert (first.choice, first.then) == ("stop", bring(kb, LOW_PIPE).choice)
    assert first.stop[0].startswith("Not cleared yet: water near electricity. Ask: Please don't touch anything yet")
    stopped = bring(kb, [*LOW_PIPE, Event(stopped="water-near-electricity")])
    assert (stopped.status, stopped.choice) == ("stopped", "stop")
    assert stopped.stop[-1].startswith("Call: An electrician")
    # Danger that was only said in words, or noted, counts too.
    walks = [Event(role="desk"), Event(complaints=["walks"]), *(Event(cleared=g) for g in kb.complaints["walks"].gates)]
    assert bring(kb, walks).choice != "stop"
    spoken = bring(kb, [*walks, Event(note="the outlet is wet")])
    assert (spoken.choice, len(spoken.stop)) == ("stop", 1)
    assert "water near electricity" in spoken.stop[0]


def test_without_a_complaint_nothing_can_be_said(kb):
    assert bring(kb, [Event(role="desk")]).status == "no-complaint"


@pytest.mark.usefixtures("few_visits")
def test_the_same_case_gives_the_same_bytes(kb):
    assert msgspec.json.encode(bring(kb, LOW_PIPE)) == msgspec.json.encode(bring(msgspec.structs.replace(kb), LOW_PIPE))


@pytest.mark.slow
def test_the_same_case_gives_the_same_bytes_over_all_visits(kb):
    assert msgspec.json.encode(bring(kb, LOW_PIPE)) == msgspec.json.encode(bring(msgspec.structs.replace(kb), LOW_PIPE))


@pytest.mark.parametrize("visits", ["few_visits", pytest.param(None, marks=pytest.mark.slow)])
def test_minutes_are_a_range_of_played_visits(kb, request, visits):
    if visits:
        request.getfixturevalue(visits)
    found = bring(kb, [Event(role="desk"), Event(complaints=["walks"])]).minutes
    assert 0 < found.low <= found.middle <= found.high
    assert found.ends
