"""What a closed case teaches: its cause only where it was seen or told, its answers where it was handed on, nothing else."""

import pytest

from dryfloor.engine.case.events import Event
from dryfloor.engine.learning.lessons import CaseLesson, lesson_of, named
from tests.support.lessons import walked
from tests.support.shipped import shipped

BEGUN = (Event(role="desk"), Event(complaints=["walks"]), Event(check="rocks-by-hand", answer="rocks"))


def taught(*events: Event, truth: str | None = None):
    return lesson_of(shipped(), [*BEGUN, *events], truth)


@pytest.mark.parametrize(
    ("end", "why"),
    [
        ((), "still open"),
        ((Event(stopped="walking-machine"), Event(closed="handed-on")), "stopped for safety"),
        ((Event(closed="given-up"),), "given up"),
        ((Event(closed="not-a-fault"),), "closed by the office without a proof"),
        ((Event(closed="installed"),), "a survey"),
    ],
)
def test_what_ended_without_a_cause_is_left_out_and_says_why(end, why):
    assert taught(*end) == why


def test_a_case_that_was_handed_on_is_censored():
    found = taught(Event(closed="handed-on"))
    assert isinstance(found, CaseLesson)
    assert (found.truth, found.told) == (None, False)
    assert found.state.answers == found.begun.answers != ()


def test_a_proof_that_was_seen_gives_the_cause():
    solved = [events for events in walked() if events[-1].closed is None]
    found = [lesson_of(shipped(), events) for events in solved]
    lessons = [x for x in found if isinstance(x, CaseLesson)]
    assert lessons
    for events, one in zip(solved, found, strict=True):
        if isinstance(one, CaseLesson) and one.truth is not None:
            assert one.truth == [e.remedy for e in events if e.remedy and e.did == "done"][-1]
            assert one.begun.remedies == ()


def test_what_it_turned_out_to_be_counts_whatever_the_end():
    for end in (Event(closed="handed-on"), Event(closed="given-up")):
        told = taught(end, Event(turned_out="a foot hung in the air", cause="foot-unloaded", by="technician"))
        assert isinstance(told, CaseLesson)
        assert (told.truth, told.told) == ("foot-unloaded", True)
        none = taught(end, Event(turned_out="a cracked drum", by="technician"))
        assert isinstance(none, CaseLesson)
        assert (none.truth, none.told) == ("", True)
    later = taught(Event(closed="given-up"), truth="foot-unloaded")
    assert isinstance(later, CaseLesson)
    assert later.truth == "foot-unloaded"


def test_what_the_kb_does_not_have_is_named():
    events = [*BEGUN, Event(check="sings", answer="yes"), Event(check="rocks-by-hand", answer="sways")]
    assert named(shipped(), events) == ["rocks-by-hand: sways", "sings"]
    assert lesson_of(shipped(), events) == "of another kb"


def test_cases_in_which_the_same_was_said_are_the_same():
    one = taught(Event(note="the dog is in the yard"), Event(closed="handed-on"))
    assert one == taught(Event(cant="foot-gap"), Event(closed="handed-on"))
