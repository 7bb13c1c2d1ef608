"""What a closed case teaches: a proof gives the cause; what an office was told weighs less, and is no truth."""

import pytest

from dryfloor.engine.case.events import Event
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.learning.counts import REPORTED_WRONG, Parameters, counted
from dryfloor.engine.learning.lessons import lesson_of
from dryfloor.engine.reports.month import MonthCase, month
from tests.support.shipped import shipped

CAUSE = "foot-unloaded"
TOLD = [Event(role="desk"), Event(complaints=["walks"]), Event(check="rocks-by-hand", answer="rocks")]
MENDED = [*TOLD, Event(remedy=CAUSE, did="done")]
REPORTED = [*MENDED, Event(closed="reported-solved", why="rang: it stands still")]


def present(*cases):
    """How often the cause was there, as the counts have it."""
    parameters = Parameters(network_of(shipped()))
    lessons = [lesson_of(shipped(), case) for case in cases]
    counts = counted(network_of(shipped()), parameters, lessons)
    return counts.yes[parameters.place["rate", CAUSE]]


def test_what_was_reported_counts_between_not_knowing_and_being_told():
    """Against Bayes by hand: the report comes of itself, or of the cause: both by noisy-OR."""
    unknown = present([*TOLD, Event(closed="handed-on")])
    told = present([*TOLD, Event(closed="handed-on"), Event(turned_out="a foot", cause=CAUSE)])
    reported = present(REPORTED)
    assert unknown < reported < told
    e = REPORTED_WRONG
    odds = unknown / (1 - unknown) * (1 - (1 - e) * e) / e
    assert reported == pytest.approx(odds / (1 + odds), rel=1e-6)


def test_what_was_reported_is_no_truth_and_a_later_visit_overrules_it():
    lesson = lesson_of(shipped(), REPORTED)
    assert (lesson.truth, lesson.told, lesson.reported) == (None, False, CAUSE)
    later = lesson_of(shipped(), REPORTED, "restraints-left-in")
    assert (later.truth, later.reported) == ("restraints-left-in", None)


def test_with_nothing_mended_only_the_answers_count():
    bare = lesson_of(shipped(), [*TOLD, Event(closed="reported-solved", why="rang")])
    assert (bare.truth, bare.reported) == (None, None)


def test_a_month_counts_it_apart_from_what_a_proof_closed():
    found = month(shipped(), "2026-11", [MonthCase(reference="", events=REPORTED)])
    assert (found.ends, found.saved, found.reported, found.causes) == ({"reported-solved": 1}, 0, 1, [])
