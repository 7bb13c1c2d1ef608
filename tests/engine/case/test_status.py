"""Where a case stands, from its events alone, and that it agrees with the fold that knows the kb."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.case.events import CLOSED, Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.case.status import STATES, standing, told
from tests.support.shipped import shipped

KB = shipped()
SAID = Event(heard="it hops", complaints=["walks"])


@pytest.mark.parametrize(
    ("events", "state", "closed"),
    [
        ([], "open", None),
        ([SAID], "open", None),
        ([SAID, Event(closed="handed-on")], "waiting", "handed-on"),
        ([SAID, Event(closed="handed-on"), Event(role="technician")], "open", None),
        ([SAID, Event(closed="handed-on"), Event(resumed=True)], "waiting", "handed-on"),
        ([SAID, Event(closed="on-trial")], "on-trial", "on-trial"),
        ([SAID, Event(closed="on-trial"), Event(role="desk")], "on-trial", "on-trial"),
        ([SAID, Event(closed="on-trial"), Event(trial="came-back")], "open", None),
        ([SAID, Event(closed="on-trial"), Event(trial="stayed-away")], "closed", "solved"),
        ([SAID, Event(trial="came-back"), Event(closed="solved")], "closed", "solved"),
        ([SAID, Event(closed="given-up", why="rang off")], "closed", "given-up"),
        ([SAID, Event(closed="not-a-fault")], "closed", "not-a-fault"),
        ([SAID, Event(turned_out="roots")], "closed", "turned-out"),
        ([SAID, Event(closed="handed-on"), Event(turned_out="roots", by="plumber")], "closed", "turned-out"),
        ([SAID, Event(closed="on-trial"), Event(turned_out="roots"), Event(role="desk")], "closed", "turned-out"),
    ],
)
def test_where_it_stands(events, state, closed):
    found = standing(events)
    assert (found.state, found.closed) == (state, closed)
    assert found.state in STATES
    last = events[-1] if events else Event()
    told = next((e.turned_out for e in events if e.turned_out), None)
    assert found.why == (told or last.why or "")


def test_the_reason_goes_when_the_case_goes_on():
    waits = [SAID, Event(closed="handed-on", why="no level there")]
    assert standing([*waits, Event(resumed=True)]).why == "no level there"
    assert standing([*waits, Event(role="technician")]).why == ""


@settings(deadline=None)
@given(
    st.lists(
        st.one_of(
            st.sampled_from(CLOSED).map(lambda c: Event(closed=c)),
            st.sampled_from(["came-back", "stayed-away"]).map(lambda t: Event(trial=t)),
            st.sampled_from(["desk", "technician"]).map(lambda r: Event(role=r)),
            st.just(Event(resumed=True)),
            st.just(Event(turned_out="roots", cause=None)),
            st.just(SAID),
        ),
        max_size=8,
    )
)
def test_it_agrees_with_the_fold(events):
    assert standing(events).closed == fold(KB, events).closed


def test_what_it_counts_and_what_is_worth_keeping():
    found = standing(
        [
            Event(role="desk"),
            SAID,
            Event(fact="onset", is_="new"),
            Event(check="rocks-by-hand", answer="rocks"),
            Event(skip="floor"),
        ]
    )
    assert (found.answers, found.complaints, found.words, found.role) == (2, ("walks",), "it hops", "desk")
    assert not told([Event(role="desk"), Event(cleared="gas-smell"), Event(machine="x")])
    assert all(told([e]) for e in (SAID, Event(note="x"), Event(fact="a", is_="b"), Event(proof="p", answer="a")))
