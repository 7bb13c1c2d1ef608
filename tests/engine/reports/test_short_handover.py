"""The hand-over in ten lines: never more, danger near the top, and nothing in it that the long one does not say."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.case.events import Event
from dryfloor.engine.reports.handover import handover
from dryfloor.engine.reports.short_handover import MOST_LINES, short_handover
from tests.support.random_cases import cases

LOW = [
    Event(role="homeowner"),
    Event(complaints=["siphons"]),
    Event(fact="drain", is_="standpipe"),
    Event(check="standpipe-height", value="31 in"),
]


@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_it_is_ten_lines_or_fewer_of_whatever_case(kb, data):
    told = short_handover(kb, [Event(role="homeowner"), *data.draw(cases(kb))])
    assert len(told.lines) + len(told.meanwhile) <= MOST_LINES
    assert all(t.text and "\n" not in t.text for t in told.lines)
    assert told.text == "\n".join(
        [f"{t.label}: {t.text}" for t in told.lines] + [f"Until then: {m}" for m in told.meanwhile]
    )


def test_it_says_what_the_long_card_says(kb):
    short, long = short_handover(kb, LOW), handover(kb, LOW)
    said = {t.label: t.text for t in short.lines}
    best = max([*long.ruled_in, *long.possible], key=lambda r: r.now)
    assert best.title.lower() in said["Likeliest"]
    assert said["Wrong"].rstrip(".") in "; ".join(long.complaints)
    assert "31 in (79 cm)" in said["Measured or seen"]
    assert all(
        p.split(" and ")[0] in ", ".join(x.title.lower() for x in long.bring)
        for p in said["Bring"].rstrip(".").split(", ")
    )


@pytest.mark.parametrize(
    ("more", "text"), [([], "nobody has looked yet"), ([Event(stopped="water-near-electricity")], "it was not safe")]
)
def test_a_danger_in_force_stands_second(kb, more, text):
    told = short_handover(kb, [*LOW, *more])
    assert told.lines[1].label == "Danger"
    assert text in told.lines[1].text
    assert not any(
        t.label == "Danger" for t in short_handover(kb, [*LOW, Event(cleared="water-near-electricity")]).lines
    )


def test_nothing_said_is_no_error(kb):
    assert short_handover(kb, [Event(role="homeowner")]).trade == "a washer technician"


def test_who_is_the_repairer_tells_whoever_comes_next(kb):
    for role, title in (("homeowner", "What to tell the repairer"), ("technician", "What to tell whoever comes next")):
        assert short_handover(kb, [Event(role=role), Event(complaints=["walks"])]).title == title
