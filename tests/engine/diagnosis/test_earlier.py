"""What was seen at an installation, as evidence at a callback: weaker than the same look today, and never more than that."""

import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.next_step import next_step
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import Earlier, fold
from dryfloor.engine.diagnosis.earlier import behind, leading_here
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.diagnosis.signs import THEN, told
from dryfloor.engine.planning.roles import open_checks
from tests.support.installations import sound

START = [
    Event(role="technician"),
    Event(fact="dryer-beside", is_="electric-dryer"),
    Event(fact="drain", is_="standpipe"),
    Event(fact="supply-system", is_="us-120"),
]


def believed(kb, complaint, *seen):
    """Return how likely each cause explains a complaint."""
    analysis = Analysis(network_of(kb), fold(kb, [*START, Event(complaints=[complaint]), *seen]))
    return {b.cause: b.p for b in analysis.beliefs}


@pytest.mark.parametrize(
    ("complaint", "cause", "event", "up"),
    [
        ("water-on-floor", "coupling-not-tight", {"check": "drip-rate", "answer": "dripping"}, True),
        ("water-on-floor", "coupling-not-tight", {"check": "drip-rate", "answer": "dry"}, False),
        ("walks", "foot-unloaded", {"check": "rocks-by-hand", "answer": "rocks"}, True),
        ("walks", "foot-unloaded", {"check": "rocks-by-hand", "answer": "firm"}, False),
        ("siphons", "hose-sealed-in-pipe", {"check": "hose-sealed", "answer": "loose"}, False),
        ("siphons", "hose-pushed-too-deep", {"check": "hose-depth", "value": "14 in"}, True),
        ("siphons", "hose-pushed-too-deep", {"check": "hose-depth", "value": "5 in"}, False),
    ],
)
def test_a_report_from_then_lies_between_no_report_and_the_look_of_today(kb, complaint, cause, event, up):
    then = {("earlier" if k == "check" else k): v for k, v in event.items()}
    without, before, today = (
        believed(kb, complaint, *some).get(cause, 0.0) for some in ([], [Event(**then)], [Event(**event)])
    )
    assert (without < before <= today + 1e-9) if up else (today - 1e-9 <= before < without)


def test_what_is_seen_today_counts_in_place_of_what_was_seen_then(kb):
    then, today = Event(earlier="drip-rate", answer="dripping", why="left"), Event(check="drip-rate", answer="dry")
    assert believed(kb, "water-on-floor", then, today) == believed(kb, "water-on-floor", today)


def test_what_can_not_change_and_was_right_is_not_asked_again(kb):
    then = [
        Event(earlier="standpipe-height", value="42 in"),
        Event(earlier="restraints-counted", answer="all-out"),
        Event(earlier="washer-taps-turned", answer="open"),
    ]
    state = fold(kb, [*START, *then, Event(complaints=["walks", "siphons", "slow-fill"])])
    network = network_of(kb)
    ids = {c.id for c in open_checks(network, state, list(kb.causes), "technician")}
    assert not ids & {"standpipe-height", "restraints-counted", "restraints-left"}
    assert "washer-taps-turned" in ids  # a tap is turned


@pytest.mark.parametrize("became", ["left", "declined", "told"])
def test_what_was_left_wrong_or_only_told_is_asked_again(kb, became):
    state = fold(kb, [*START, Event(earlier="standpipe-height", value="31 in", why=became)])
    assert state.answers == ()


def first_card(kb, complaint, *seen):
    analysis = Analysis(network_of(kb), fold(kb, [*START, Event(complaints=[complaint]), *seen]))
    return next_step(analysis, [])[0]


@pytest.mark.parametrize("became", ["left", "declined"])
def test_what_was_left_and_leads_here_is_looked_at_first(kb, became):
    left = Event(earlier="rocks-by-hand", answer="rocks", why=became)
    step = first_card(kb, "walks", left)
    assert (step.id, "at the installation" in step.why) == ("rocks-by-hand", True)
    # It has nothing to do with a tub that does not empty, and once it was looked at the walk goes on.
    assert "at the installation" not in first_card(kb, "no-drain", left).why
    assert first_card(kb, "walks", left, Event(check="rocks-by-hand", answer="firm")).id != "rocks-by-hand"


def test_a_look_of_then_that_was_right_does_not_lead(kb):
    assert "at the installation" not in first_card(kb, "walks", Event(earlier="rocks-by-hand", answer="firm")).why


def test_a_gate_of_then_is_asked_again_where_it_was_left(kb):
    from dryfloor.engine.advising.gates import raised

    for became, wanted in (("left", True), (None, False)):
        state = fold(kb, [*START, Event(earlier="fill-hose-bulge", answer="split", why=became)])
        assert bool(raised(kb, state, [])) is wanted


def test_causes_behind_a_break_of_then(kb):
    network = network_of(kb)
    drip = Earlier("drip-rate", "dripping", "technician", "left")
    assert "coupling-not-tight" in behind(network, drip)
    assert leading_here(network, fold(kb, [*START, Event(complaints=["walks"])]), drip) == set()
    assert behind(network, Earlier("standpipe-height", "42 in", "technician")) == set()
    assert "standpipe-too-low" in behind(network, Earlier("standpipe-height", "31 in", "technician"))


def test_a_whole_sheet_of_then_does_not_tie_a_callback_into_knots(kb):
    filled = sound(kb, "sound")
    then = [
        Event(earlier=n, **({"value": s} if kb.checks[n].kind == "measure" else {"answer": s}))
        for n, s in filled.readings.items()
    ]
    for complaint in ("walks", "water-on-floor", "no-drain", "no-power"):
        assert first_card(kb, complaint, *then) is not None


@pytest.mark.parametrize("role", ["homeowner", "technician"])
@pytest.mark.parametrize("complaint", ["walks", "noisy"])
@pytest.mark.parametrize("seen", [("floor-bounce", "trembles"), ("room-shakes", "shakes")])
def test_who_confirms_what_was_left_broken_does_not_lower_its_cause(kb, role, complaint, seen):
    """A floor seen to tremble at the installation was .59, and .33 once somebody said that the room shakes, too."""
    base = [
        Event(role=role),
        Event(fact="floor", is_="wood-joists"),
        Event(earlier="floor-bounce", answer="trembles", why="left"),
        Event(complaints=[complaint]),
    ]
    network = network_of(kb)

    def springy(events):
        return next(b.present for b in Analysis(network, fold(kb, events)).beliefs if b.cause == "floor-springy")

    check, answer = seen
    assert springy([*base, Event(check=check, answer=answer)]) >= springy(base)


@pytest.mark.parametrize(
    ("then", "today", "holds"),
    [
        (
            ("floor-bounce", "trembles"),
            ("room-shakes", "only-machine"),
            False,
        ),  # who denies the coarser denies its kinds
        (("room-shakes", "only-machine"), ("floor-bounce", "trembles"), False),  # what is seen now was denied then
        (("room-shakes", "shakes"), ("floor-bounce", "dead"), True),  # something else may shake
        (("floor-bounce", "dead"), ("room-shakes", "shakes"), True),
    ],
)
def test_a_report_of_then_is_taken_back_by_what_says_otherwise_alone(kb, then, today, holds):
    events = [*START, Event(earlier=then[0], answer=then[1]), Event(check=today[0], answer=today[1])]
    assert any(r.hands == THEN for r in told(network_of(kb), fold(kb, events))) is holds
