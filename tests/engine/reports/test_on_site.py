"""Visits as their times tell them, and what they took against what `bring` said: minutes counted by hand, chances as `bring` gives them."""

import pytest

from dryfloor.engine.case.events import Event
from dryfloor.engine.reports import on_site
from dryfloor.engine.reports.month import MonthCase, month
from dryfloor.engine.reports.on_site import against_bring, before_visit, visit_minutes
from dryfloor.engine.reports.visit_plan import bring

TALK = [Event(role="desk"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe")]
COME = [
    Event(role="technician"),
    Event(check="standpipe-height", value="31 in"),
    Event(check="hose-sealed", answer="loose"),
]
AGAIN = [Event(resumed=True), Event(check="hose-depth", value="5 in"), Event(closed="given-up", why="nobody was in")]
CASE = [*TALK, *COME, *AGAIN]
SPOKEN = ["2026-11-02T08:00:00Z", "2026-11-02T08:01:00Z", "2026-11-02T08:02:00Z"]
# From 9:00 to 9:25, then from 13:25, four hours after, to 13:40; it was closed at the office in the evening.
TWO = [*SPOKEN, *(f"2026-11-02T{at}:00Z" for at in ("09:00", "09:10", "09:25", "13:25", "13:40", "19:00"))]
# The same, and back a minute sooner: one visit, from 9:00 to 13:39.
ONE = [*TWO[:6], "2026-11-02T13:24:00Z", "2026-11-02T13:39:00Z", TWO[-1]]


def test_four_hours_without_an_answer_part_two_visits():
    assert visit_minutes(CASE, TWO) == [25, 15]
    assert visit_minutes(CASE, ONE) == [279]


def test_the_talk_before_and_the_closing_after_are_on_no_visit():
    assert visit_minutes(TALK, SPOKEN) == []
    assert visit_minutes([*COME, Event(note="a part is ordered")], [*TWO[3:6], "2026-11-02T10:00:00Z"]) == [25]
    assert visit_minutes([*COME, Event(role="desk"), Event(skip="hose-depth")], [*TWO[3:6], TWO[8], TWO[8]]) == [25]


def test_a_case_that_was_only_opened_is_no_visit():
    assert visit_minutes([Event(role="technician"), *COME], ["2026-11-01T20:00:00Z", *TWO[3:6]]) == [25]


def test_hands_at_the_machine_make_a_visit_not_the_voice_on_the_phone():
    by_phone = [Event(role="technician", hands="homeowner"), *COME[1:]]
    assert visit_minutes(by_phone, TWO[3:6]) == []
    there = [Event(role="desk", hands="technician"), *COME[1:]]
    assert visit_minutes(there, TWO[3:6]) == [25]


def test_times_of_two_zones_and_out_of_order_are_one_stretch():
    """Merged from two machines: 10:10 an hour east of UTC is 9:10."""
    assert visit_minutes(COME, ["2026-11-02T09:25:00Z", "2026-11-02T10:10:00+01:00", "2026-11-02T09:00:00Z"]) == [25]


@pytest.mark.parametrize("times", [[], [*TWO[:5], "", *TWO[6:]], TWO[:-1]])
def test_without_each_time_nothing_is_said(times):
    assert visit_minutes(CASE, times) == []


def test_a_case_is_taken_as_it_stood_before_the_technician():
    assert before_visit(CASE) == TALK
    assert before_visit(TALK) == TALK
    assert before_visit(COME) == []


@pytest.mark.usefixtures("few_visits")
def test_minutes_and_call_outs_are_held_against_what_was_said(kb):
    said = bring(kb, TALK)
    middle = said.minutes.middle
    assert middle < 40
    twice = [*CASE, Event(turned_out="the stack was full of roots", by="plumber")]
    cases = [
        ("A", CASE, TWO),
        ("B", twice, [*ONE, "2026-11-09T08:00:00Z"]),
        ("C", TALK, SPOKEN),
        ("D", COME, TWO[3:6]),
        ("E", CASE, []),
        ("F", [*TALK, *COME, AGAIN[-1]], [*TWO[:6], TWO[-1]]),
    ]
    seen = []
    found = against_bring(kb, cases, lambda done, of: seen.append((done, of)))
    assert seen == [(0, 3), (1, 3), (2, 3)]
    assert (found.cases, found.of) == (3, 3)
    assert (found.over, found.under) == (2 + (middle < 25), int(middle > 25))
    assert (found.said, found.taken) == pytest.approx((middle, (25 + 40 + 279) / 3))
    assert found.ratio == pytest.approx(40 / middle)
    assert found.inside == sum(said.minutes.low <= taken <= said.minutes.high for taken in (25, 40, 279)) > 0
    assert found.called == pytest.approx(3 * sum(w.chance for w in said.who if w.trade != "anyone"))
    assert (found.came, found.again) == (2 + 1 + 1 + 1, 1)


def test_a_sample_is_spread_evenly_and_in_the_order_of_the_ids(kb, monkeypatch):
    asked = []
    monkeypatch.setattr(on_site, "bring", lambda kb, events: asked.append(events[-1].note))
    cases = [(f"{n:03}", [*TALK, Event(note=f"{n}"), *COME], [*SPOKEN, *TWO[2:6]]) for n in reversed(range(100))]
    assert against_bring(kb, cases) is None
    assert asked == [str(n * 100 // 40) for n in range(40)]


@pytest.mark.usefixtures("few_visits")
def test_a_month_holds_its_closed_cases_alone(kb):
    done = MonthCase(id="A", reference="", events=CASE, times=tuple(TWO))
    still_open = MonthCase(id="B", reference="", events=CASE[:-1], times=tuple(TWO[:-1]))
    assert month(kb, "2026-11", [done, still_open]).on_site.cases == 1
    assert month(kb, "2026-11", [still_open]).on_site is None
    assert month(kb, "2026-11", [MonthCase(reference="", events=CASE)]).on_site is None
