"""An installation as a case, and what a later case begins with."""

from dryfloor.engine.case.case_file import event_problems
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.installed import (
    DECLINED_THEN,
    ENDED,
    LEFT_WRONG,
    MENDED_SINCE,
    OPEN,
    Left,
    installation,
    later,
    put_right,
    surveyed,
)
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


def test_a_later_case_begins_with_the_facts_and_the_readings_of_then(kb):
    events, filled = kept(kb, ("standpipe-height",))
    found = later(kb, "K7M3R4", events)
    assert {e.fact: e.is_ for e in found if e.fact} == filled.facts
    assert {e.earlier: e.value or e.answer for e in found if e.earlier} == filled.readings
    assert [e.earlier for e in found if e.why == "told"] == ["standpipe-height"]
    assert [e for e in found if e.check or e.note] == []
    assert [p for e in found for p in event_problems(kb, e)] == []


def test_any_other_case_gives_nothing(kb):
    events, _ = kept(kb)
    assert later(kb, "K7M3R4", events[:-1]) == []


def test_what_was_left_wrong_is_told_before_everything_else(kb):
    readings = {"standpipe-height": "42 in", "outlet-holes": "ground-defeated", "hose-sealed": "loose"}
    events = installation(None, {}, readings, ["standpipe-height"], [], "technician", "broken")
    notes = [e.note for e in later(kb, "K7M3R4", events) if e.note]
    assert notes[0] == f"{LEFT_WRONG}, K7M3R4: Holes of the outlet: an adapter, or the round pin is gone"
    assert not any(n.startswith(LEFT_WRONG) for n in notes[1:])


LOW = Left("standpipe-height", "Standpipe height", "31 in. Raise the standpipe, by a licensed plumber")
HOLES = Left(
    "outlet-holes",
    "Grounding kind of outlet",
    "two slots only. Have a grounded outlet put in, by a licensed electrician",
)
FACTS = {"drain": "standpipe"}
BAD = {"standpipe-height": "31 in", "outlet-holes": "two-slots"}


def survey_of(readings, to_mend, before=(), **more):
    """Return the events of a survey with some readings."""
    return installation(
        None, FACTS, readings, ["standpipe-height"], [], "technician", "x", to_mend=to_mend, before=before, **more
    )


def test_an_installation_with_breaks_stands_open_until_they_are_mended(kb):
    first = survey_of(BAD, [LOW, HOLES], to_see=[Left("rocks-by-hand", "Rocks when pressed")])
    assert all(event_problems(kb, e) == [] for e in first)
    assert (standing(first).state, standing(first).closed) == ("open", OPEN)
    assert surveyed(first).to_mend == [LOW, HOLES]
    half = survey_of({**BAD, "standpipe-height": "42 in"}, [HOLES], before=first)
    assert [e.check for e in half if e.check] == ["standpipe-height"]
    both = [*first, *half]
    assert (standing(both).state, surveyed(both).to_mend, surveyed(both).to_see) == ("open", [HOLES], [])
    assert surveyed(both).mended == [Left("standpipe-height", "Standpipe height", 'was "31 in", now "42 in"')]
    end = [*both, *survey_of({**BAD, "standpipe-height": "42 in", "outlet-holes": "three-holes"}, [], before=both)]
    assert (standing(end).state, standing(end).closed) == ("closed", ENDED)
    assert [x.check for x in surveyed(end).mended] == ["standpipe-height", "outlet-holes"]
    assert {a.check: a.said for a in fold(kb, end).answers}["standpipe-height"] == "42 in"


def test_a_line_that_is_emptied_is_not_mended():
    first = survey_of(BAD, [LOW, HOLES])
    after = [*first, *survey_of({"standpipe-height": "42 in"}, [], before=first)]
    assert (standing(after).state, surveyed(after).to_mend) == ("open", [HOLES])


def test_a_walk_after_it_is_told_what_was_left_mended_and_declined(kb):
    first = survey_of(BAD, [LOW, HOLES])
    after = [*first, *survey_of({**BAD, "outlet-holes": "three-holes"}, [], before=first, declined=[LOW])]
    notes = [e.note for e in later(kb, "K7M3R4", after) if e.note]
    assert standing(after).closed == ENDED
    assert notes[0].startswith(f"{DECLINED_THEN}, K7M3R4: Standpipe height: 31 in. Raise the standpipe")
    assert notes[1].startswith(f"{MENDED_SINCE}, K7M3R4: Grounding kind of outlet: was")
    assert not any(n.startswith(LEFT_WRONG) for n in notes)
    assert {e.earlier: e.why for e in later(kb, "K7M3R4", after) if e.earlier} == {
        "standpipe-height": "declined", "outlet-holes": None
    }  # fmt: skip
    assert later(kb, "K7M3R4", first)[1].note.startswith(f"{LEFT_WRONG}, K7M3R4: Standpipe height: 31 in")


DRIP = Left("drip-rate", "Dry with the taps open", "it drips. Tighten the dripping hose nut, by whoever installs")
SPIN = Left("spin-stays-put", "Spin stays put")
CALLBACK = [
    Event(role="technician"),
    Event(complaints=["water-on-floor"]),
    Event(remedy="coupling-not-tight", did="done"),
    Event(proof="dry-paper-ten-minutes", answer="dry"),
    Event(closed="solved"),
]


def dripping(to_see=()):
    """Return the events of an installation that drips."""
    return installation(
        None, {}, {"drip-rate": "dripping"}, [], [], "technician", "broken", to_mend=[DRIP], to_see=to_see
    )


def test_a_callback_that_was_proved_closes_what_it_mended_at_the_installation(kb):
    first = dripping([SPIN])
    more = put_right(kb, first, CALLBACK, lambda check: {"coupling-not-tight"}, "R8F4X7, 2026-12-20")
    after = [*first, *more]
    assert [p for e in more for p in event_problems(kb, e)] == []
    assert (surveyed(after).to_mend, surveyed(after).to_see) == ([], [SPIN])
    assert surveyed(after).mended[0].text == (
        'was "it drips", mended by case R8F4X7, 2026-12-20: Tighten the dripping hose nut; ten-minute dry paper: dry everywhere'
    )
    assert standing(after).closed == OPEN
    # Its old reading is none of what stands there now; whoever surveys it again says how it is.
    assert [e.earlier for e in later(kb, "K7M3R4", after) if e.earlier] == []
    alone = dripping()
    assert standing([*alone, *put_right(kb, alone, CALLBACK, lambda c: {"coupling-not-tight"}, "x")]).closed == ENDED


def test_a_run_that_passes_is_no_second_look_at_a_floor(kb):
    """The feet were set and the spin stays put: the floor that was found soft is as soft as it was."""
    soft = Left(
        "floor-soft", "Floor carries the full machine", "soft. Have the floor looked at, by a washer technician"
    )
    first = installation(None, {}, {"floor-soft": "soft"}, [], [], "technician", "broken", to_mend=[soft])
    cause = next(c for c in kb.causes.values() if c.proof.check == "spin-stays-put")
    now = [
        Event(role="technician"),
        Event(complaints=["walks"]),
        Event(remedy=cause.id, did="done"),
        Event(proof="spin-stays-put", answer="stayed"),
        Event(closed="solved"),
    ]
    assert put_right(kb, first, now, lambda check: {cause.id}, "x") == []
    named = [Left(soft.check, soft.title, f"soft. {cause.remedy.title}, by a washer technician")]
    told = installation(None, {}, {"floor-soft": "soft"}, [], [], "technician", "broken", to_mend=named)
    assert surveyed([*told, *put_right(kb, told, now, lambda check: {cause.id}, "x")]).to_mend == []


def test_another_mend_with_a_proof_of_the_same_thing_closes_it_too(kb):
    first = dripping()
    worn = [CALLBACK[0], CALLBACK[1], Event(remedy="hose-washer-worn", did="done"), *CALLBACK[3:]]
    assert kb.causes["hose-washer-worn"].proof.check == "dry-paper-ten-minutes"
    assert surveyed([*first, *put_right(kb, first, worn, lambda check: {"hose-washer-worn"}, "x")]).to_mend == []


def test_a_callback_about_something_else_or_without_proof_closes_nothing(kb):
    first = dripping([SPIN])
    assert put_right(kb, first, CALLBACK, lambda check: {"hose-washer-worn"}, "x") == []
    failed = [*CALLBACK[:3], Event(proof="dry-paper-ten-minutes", answer="wet")]
    assert put_right(kb, first, failed, lambda check: {"coupling-not-tight"}, "x") == []
    assert put_right(kb, CALLBACK, CALLBACK, lambda check: {"coupling-not-tight"}, "x") == []


def test_what_a_callback_saw_right_is_right_and_what_it_watched_is_seen(kb):
    first = dripping([SPIN])
    seen = [CALLBACK[0], Event(complaints=["walks"]), Event(check="drip-rate", answer="dry")]
    after = [*first, *put_right(kb, first, seen, lambda check: set(), "R8F4X7")]
    assert (surveyed(after).to_mend, surveyed(after).to_see) == ([], [SPIN])
    spun = [
        *seen[:2],
        Event(remedy="foot-unloaded", did="done"),
        Event(proof="spin-stays-put", answer="stayed"),
    ]
    after = [*first, *put_right(kb, first, spun, lambda check: set(), "R8F4X7")]
    assert (surveyed(after).to_mend, surveyed(after).to_see) == ([DRIP], [])


def test_a_proof_that_looks_at_the_same_rule_sees_the_line(kb):
    """Ten minutes of dry paper at every coupling saw that nothing drips there."""
    wet = Left("coupling-wet", "Dry with the taps open", "wet where the hose meets the tap")
    drip = Left("drip-rate", kb.checks["drip-rate"].title)
    assert kb.checks["drip-rate"].rule == kb.checks["dry-paper-ten-minutes"].rule
    first = installation(
        None, {}, {"coupling-wet": "at-tap"}, [], [], "technician", "broken", to_mend=[wet], to_see=[drip, SPIN]
    )
    after = [*first, *put_right(kb, first, CALLBACK, lambda check: {"coupling-not-tight"}, "R8F4X7")]
    assert (surveyed(after).to_mend, surveyed(after).to_see) == ([], [SPIN])


BOLTS = Left(
    "restraints-counted", "Shipping restraints out", "none came out. Take the bolts or rods out, by whoever installs"
)
BOLTS_OUT = [
    Event(role="technician"),
    Event(complaints=["walks"]),
    Event(remedy="restraints-left-in", did="done"),
    Event(proof="spin-stays-put", answer="stayed"),
    Event(closed="solved"),
]


def test_what_was_mended_is_neither_told_as_left_wrong_nor_asked_again(kb):
    """Its reading of then still says so; the note of the mend says how it is."""
    first = installation(
        None, {}, {"restraints-counted": "never-out"}, [], [], "technician", "broken", to_mend=[BOLTS], to_see=[SPIN]
    )
    after = [*first, *put_right(kb, first, BOLTS_OUT, lambda check: {"restraints-left-in"}, "R8F4X7")]
    assert surveyed(after).to_mend == []
    # Before it was mended it is told as it was seen, not by a rule's title, which says how it must be.
    told = next(e.note for e in later(kb, "K7M3R4", first) if e.note)
    assert told.startswith(f"{LEFT_WRONG}, K7M3R4: {kb.checks['restraints-counted'].title}: none came out")
    begun = later(kb, "K7M3R4", after)
    assert not [e.note for e in begun if (e.note or "").startswith(LEFT_WRONG)]
    assert [e.note for e in begun if (e.note or "").startswith(MENDED_SINCE)]
    # No bolt goes back in by itself: that they are out stands as an answer.
    assert kb.checks["restraints-counted"].lasts
    answers = {a.check: a.said for a in fold(kb, begun).answers}
    assert not kb.checks["restraints-counted"].wrong(answers["restraints-counted"])
    assert [p for e in begun for p in event_problems(kb, e)] == []


def test_a_break_of_an_installation_kept_before_notes_is_still_told(kb):
    old = [Event(role="technician"), Event(check="restraints-counted", answer="never-out"), Event(closed=ENDED)]
    assert [e.note for e in later(kb, "K7M3R4", old) if (e.note or "").startswith(LEFT_WRONG)]
