"""Whoever takes a case up is told all that was said and done, what is open again, and nothing that a terminal would act on."""

import pytest

from dryfloor.cli.store.event_log import EventLog
from dryfloor.cli.store.store import CaseLine
from dryfloor.cli.terminal.layout import Layout
from dryfloor.cli.walk import takeover
from dryfloor.cli.walk.loop import Walk
from dryfloor.engine.case.events import Event
from tests.support.person import quiet_env

LAYOUT = Layout(80)
SAID = [
    Event(role="homeowner"),
    Event(heard="it hops \x1b[2Jabout", complaints=["walks"]),
    Event(fact="onset", is_="new"),
    Event(check="rocks-by-hand", answer="firm"),
    Event(check="rocks-by-hand", answer="rocks"),
    Event(note="ring\a twice"),
]


def text(lines):
    return " ".join(" ".join(lines).split())


def test_what_was_said_comes_back_and_no_control_letter_with_it(kb):
    told = text(takeover.told(LAYOUT, kb, SAID))
    check = kb.checks["rocks-by-hand"]
    assert f"{check.title}: {check.answers['rocks'].says}" in told
    assert check.answers["firm"].says not in told  # the last answer stands
    assert f"{kb.facts['onset'].title}: {kb.facts['onset'].options['new'].says}" in told
    assert '"it hops [2Jabout"' in told
    assert "ring twice" in told
    assert all(letter.isprintable() for letter in told)


@pytest.mark.parametrize(
    ("after", "said"),
    [
        ([Event(remedy="foot-unloaded", did="could-not")], "could not be done"),
        ([Event(remedy="foot-unloaded", did="done")], "not proved yet"),
        ([Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer="stayed")], "seen to work"),
        ([Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer="moved")], "it did not help"),
    ],
)
def test_how_a_mend_went_is_said(kb, after, said):
    told = text(takeover.told(LAYOUT, kb, [*SAID, Event(cleared="walking-machine"), *after]))
    assert f"{kb.causes['foot-unloaded'].remedy.title}: {said}." in told


def test_what_a_technician_may_look_at_is_open_again(kb):
    """By the kb's own fields: a homeowner gave both up, one of them for hands that have no minutes for it."""
    events = [*SAID, Event(cant="paper-under-foot"), Event(skip="rocks-by-hand")]
    again = takeover.opened(kb, [*events, Event(role="technician")])
    assert again == [kb.checks[n].title.lower() for n in ("paper-under-foot", "rocks-by-hand")]
    assert takeover.opened(kb, [*events, Event(role="technician"), Event(cant="paper-under-foot")]) == [
        kb.checks["rocks-by-hand"].title.lower()
    ]
    assert takeover.opened(kb, events) == []


def line(**more):
    told = {
        "id": "K7M3R4", "reference": "", "state": "open", "complaints": ["walks"], "words": "", "began": "", "touched": "",
        "answers": 2, "earlier": None, "role": "homeowner",
    }  # fmt: skip
    return CaseLine(**told | more)


def test_the_head_names_the_case_who_had_it_and_why_it_came(kb):
    walk = Walk(quiet_env(), None, kb, EventLog(None, events=[*SAID, Event(role="technician")]))
    shown = text(
        takeover.lines(walk, line(reference="Alder 4", earlier="A2C3F4", state="waiting", why="the lock nut is stuck"))
    )
    assert shown.startswith("CASE K7M3R4, reference Alder 4")
    assert "dryfloor show A2C3F4" in shown
    assert "the lock nut is stuck." in shown
    assert "The homeowner had it; none of this is asked again, only what keeps you safe." in shown
    same = text(takeover.lines(walk, line(role="technician")))
    assert "had it" not in same
    assert "handed on" not in same


def test_the_number_of_what_is_worth_another_look_is_the_one_that_change_takes(kb):
    from dryfloor.cli.walk import side_commands
    from dryfloor.engine.case.state import fold
    from dryfloor.engine.reports.recheck import rechecks

    events = [Event(role="desk"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe"),
              Event(check="standpipe-height", value="38 in"), Event(role="technician")]  # fmt: skip
    walk = Walk(quiet_env(), None, kb, EventLog(None, events=events))
    found = rechecks(kb, fold(kb, events))
    assert found
    shown = text(takeover.lines(walk, line(role="desk")))
    for r in found:
        number = next(
            n for n, (title, _, _) in enumerate(side_commands.answered(walk), 1) if title == kb.checks[r.check].title
        )
        assert f"change {number} asks it again" in shown
