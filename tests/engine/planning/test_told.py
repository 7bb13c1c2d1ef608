"""What a complaint says by itself: a fact that holds until somebody says otherwise, an answer that is not asked for."""

from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning import roles


def test_a_fact_that_a_complaint_tells_holds_until_it_is_said_otherwise(kb) -> None:
    frozen = [Event(role="homeowner"), Event(complaints=["freeze-damage"])]
    assert dict(fold(kb, frozen).facts)["recent-frost"] == "frost"
    assert dict(fold(kb, [*frozen, Event(fact="recent-frost", is_="no-frost")]).facts)["recent-frost"] == "no-frost"
    before = [Event(role="homeowner"), Event(fact="onset", is_="moved"), Event(complaints=["first-run"])]
    assert dict(fold(kb, before).facts)["onset"] == "moved"


def test_every_answer_that_a_complaint_tells_is_not_asked_as_long_as_it_stands(kb) -> None:
    network = network_of(kb)
    told = 0
    for complaint in kb.complaints.values():
        state = fold(kb, [Event(role="technician"), Event(complaints=[complaint.id])])
        about = [c.id for c in kb.causes.values() if any(s.complaint == complaint.id for s in c.shows)]
        asked = {c.id for c in roles.open_checks(network, state, about, "technician")}
        assert not asked & set(complaint.tells.answers)
        told += len(complaint.tells.answers)
    assert told


def test_what_a_complaint_tells_makes_senseless_what_its_answer_would(kb) -> None:
    """It came over the pipe while it drained, so nobody counts drops with the machine off."""
    state = fold(kb, [Event(role="homeowner"), Event(complaints=["water-on-floor", "standpipe-overflow"])])
    assert roles.said_by_complaints(kb, state)["when-water-shows"] == "draining"
    seen = fold(kb, [Event(role="homeowner"), Event(complaints=["standpipe-overflow"])])
    gone = fold(
        kb,
        [
            Event(role="homeowner"),
            Event(complaints=["standpipe-overflow", "walks"]),
            Event(remedy="pipe-mouth-obstructed", did="done"),
            Event(still=["walks"]),
        ],
    )
    assert roles.said_by_complaints(kb, seen)
    assert not roles.said_by_complaints(kb, gone)
