"""An installation as a case, and what a later case begins with."""

from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.case.installed import LEFT_WRONG, NOTED, installation, later
from dryfloor.engine.case.state import fold
from dryfloor.engine.case.status import standing
from tests.support.installations import sound


def kept(kb, told=()):
    """Return the events of a sound installation."""
    filled = sound(kb, "sound")
    measured = [n for n in filled.readings if kb.checks[n].kind == "measure"]
    return installation(None, filled.facts, filled.readings, measured, told, "technician", "sound"), filled


def test_an_installation_is_a_case_that_is_closed(kb):
    events, filled = kept(kb)
    for event in events:
        assert event_problems(kb, event) == [], event
    assert (standing(events).state, standing(events).closed) == ("closed", "installed")
    state = fold(kb, events)
    assert {a.check: a.said for a in state.answers} == filled.readings
    assert dict(state.facts) == filled.facts


def test_what_a_customer_read_is_the_customers(kb):
    events, _ = kept(kb, ("standpipe-height",))
    hands = {a.check: a.hands for a in fold(kb, events).answers}
    assert (hands["standpipe-height"], hands["hose-depth"]) == ("homeowner", "technician")


def test_a_later_case_begins_with_the_facts_and_the_readings_as_notes(kb):
    events, filled = kept(kb)
    found = later(kb, "K7M3R4", events)
    assert {e.fact: e.is_ for e in found if e.fact} == filled.facts
    notes = [e.note for e in found if e.note]
    assert all(n.startswith("At the installation, K7M3R4: ") and len(n) < NOTED + 80 for n in notes)
    assert any("standpipe height 42 in" in n for n in notes)
    assert all(any(kb.checks[c].title.lower() in n for n in notes) for c in filled.readings)
    assert [e for e in found if e.check] == []


def test_any_other_case_gives_nothing(kb):
    events, _ = kept(kb)
    assert later(kb, "K7M3R4", events[:-1]) == []


def test_what_was_left_wrong_is_told_before_everything_else(kb):
    readings = {"standpipe-height": "42 in", "outlet-holes": "ground-defeated", "hose-sealed": "loose"}
    events = installation(None, {}, readings, ["standpipe-height"], [], "technician", "broken")
    notes = [e.note for e in later(kb, "K7M3R4", events) if e.note]
    assert notes[0] == f"{LEFT_WRONG}, K7M3R4: three holes: an adapter, or the round pin is gone"
    assert not any(n.startswith(LEFT_WRONG) for n in notes[1:])
