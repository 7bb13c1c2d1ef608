"""What a case turned out to be: kept typed, shown, no evidence, and of no weight where nobody said it."""

import msgspec
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.learning.lessons import turned_out
from dryfloor.engine.reports.report import report
from dryfloor.engine.reports.visit_plan import bring

SAID = [
    Event(role="homeowner"),
    Event(heard="it stays full of water", complaints=["no-drain"]),
    Event(fact="drain", is_="standpipe"),
]


def test_advice_without_it_is_the_same_to_the_byte(kb):
    """The field is left out, not empty: who reads the envelope of an older case finds what stood there before."""
    assert b"turned_out" not in msgspec.json.encode(advise(kb, SAID))


def test_it_closes_the_case_and_is_no_evidence(kb):
    told = Event(
        turned_out="the branch was full of roots", cause="drain-line-part-blocked", by="plumber", date="2026-03-09"
    )
    before, after = advise(kb, SAID), advise(kb, [*SAID, told])
    assert (after.status, after.next, after.card, after.finding) == ("turned-out", None, None, None)
    assert (after.beliefs, after.unknown) == (before.beliefs, before.unknown)
    said = after.turned_out
    assert (said.cause, said.by, said.date) == ("drain-line-part-blocked", "plumber", "2026-03-09")
    assert said.words == "the branch was full of roots"
    assert kb.causes["drain-line-part-blocked"].title.lower() in said.text
    assert "licensed plumber" in said.text


@pytest.mark.parametrize("cause", [None, "drain-line-part-blocked"])
def test_the_last_word_holds_and_hands_are_those_at_the_machine_unless_said(kb, cause):
    first = Event(turned_out="a sock in the pump", cause="restraints-left-in", by="technician")
    state = fold(kb, [*SAID, first, Event(turned_out="roots", cause=cause)])
    assert (state.outcome.words, state.outcome.cause, state.outcome.by) == ("roots", cause, "homeowner")
    assert state.closed == "turned-out"


def test_a_stop_for_safety_stands_whatever_it_turned_out_to_be(kb):
    hazard = next(h.id for h in kb.hazards.values() if h.gate)
    advice = advise(kb, [*SAID, Event(stopped=hazard), Event(turned_out="a loose plug")])
    assert (advice.status, advice.next.kind) == ("stopped", "stop")


def test_the_report_says_it_first_and_nobody_is_sent(kb):
    events = [*SAID, Event(turned_out="roots", by="plumber")]
    made = report(kb, events)
    assert made.summary[0].startswith("It turned out to be")
    assert made.verdict != "Stopped for safety"
    assert bring(kb, events).status == "turned-out"


def test_what_was_said_before_stands_and_the_last_word_decides(kb):
    first = Event(turned_out="a sock in the pump", cause="restraints-left-in", by="technician", date="2026-03-09")
    then = Event(turned_out="roots", by="plumber", date="2026-03-14")
    told = advise(kb, [*SAID, first, then]).turned_out
    assert (told.words, told.date) == ("roots", "2026-03-14")
    (before,) = told.before
    for part in ("a sock in the pump", "technician", "2026-03-09", kb.causes["restraints-left-in"].title.lower()):
        assert part in before
    summary = report(kb, [*SAID, first, then]).summary
    assert ["roots" in summary[0], "sock" in summary[1]] == [True, True]
    # Who says the same again says nothing new, and one word alone is told as before.
    assert msgspec.UNSET is advise(kb, [*SAID, then, then]).turned_out.before
    assert turned_out([first, then]) == ""
