"""What is worth another look when better hands take over."""

import pytest

from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.measurement.readings import gross_error, half_width
from dryfloor.engine.planning import roles
from dryfloor.engine.reports.recheck import LEAST_SWING, MOST, rechecks

CASE = [
    Event(role="desk"),
    Event(complaints=["siphons"]),
    Event(fact="drain", is_="standpipe"),
    Event(check="standpipe-height", value="31 in"),
]


def found(kb, *events):
    return rechecks(kb, fold(kb, [*CASE, *events]))


def test_a_caller_s_reading_is_named_with_what_hangs_on_it(kb):
    (r,) = found(kb, Event(role="technician"))
    assert (r.check, r.said) == ("standpipe-height", "31 in")
    without = {b.cause: b.p for b in Analysis(network_of(kb), fold(kb, [*CASE[:-1], Event(role="technician")])).beliefs}
    assert r.without == without[r.cause]
    assert abs(r.before - r.without) >= LEAST_SWING
    check = kb.checks["standpipe-height"]
    assert half_width(kb, check, "homeowner") > half_width(kb, check, "technician")
    assert gross_error(kb, "homeowner") > gross_error(kb, "technician")
    assert "read by the caller give or take" in r.text
    assert "yours is good to" in r.text


@pytest.mark.parametrize(
    "events",
    [
        (Event(role="homeowner"),),  # no better hands
        (
            Event(remedy="standpipe-too-low", did="done"),
            Event(check="rocks-by-hand", answer="firm"),
            Event(role="technician"),
        ),  # nothing hangs on it
        (Event(role="technician"), Event(check="standpipe-height", value="31 in")),  # looked again already
        (
            Event(role="technician"),
            Event(remedy="standpipe-too-low", did="done"),
        ),  # what was mended since is another thing
    ],
)
def test_nothing_is_named_where_nothing_is_gained(kb, events):
    assert found(kb, *events) == []


def test_no_more_than_a_few_the_telling_ones_first_and_all_permitted(kb):
    looks = [
        c
        for c in kb.checks.values()
        if c.kind != "measure" and "siphons" not in c.id and not c.only_proof and not c.when
    ]
    case = [Event(check=c.id, answer=next(iter(c.answers))) for c in looks if c.minutes.homeowner]
    out = found(kb, *case[:12], Event(role="technician"))
    assert 0 < len(out) <= MOST
    swings = [abs(r.before - r.without) for r in out]
    assert swings == sorted(swings, reverse=True)
    assert all(roles.permitted(kb, kb.checks[r.check], "technician") for r in out)
