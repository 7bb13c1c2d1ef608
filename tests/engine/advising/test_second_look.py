"""What weaker hands, an earlier time or a look before a remedy said against a cause is looked at once more, and never hidden at the end."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.endings import LIKELY_STILL
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning.roles import denied, second_look
from tests.support.shipped import shipped

KB = shipped()
NETWORK = network_of(KB)
GATES = [Event(cleared=h.id) for h in KB.hazards.values() if h.gate]


def looked_for() -> list[tuple[str, str, str]]:
    """Return the causes defined by a look that a homeowner may take and any machine has: the look, and its last answer."""
    out = []
    for cause in KB.causes.values():
        check = KB.checks.get((cause.defines.check or "") if cause.defines else "")
        if check is None or check.kind != "look" or check.only_if or any(KB.hazards[h].never for h in check.hazards):
            continue
        if (
            cause.kind != "normal"
            and cause.remedy.only_if is None
            and None not in (check.minutes.homeowner, check.minutes.technician)
        ):
            out.append((cause.id, check.id, list(check.answers)[-1]))
    return out


LOOKS = looked_for()


def state_of(cause: str, *events: Event):
    complaint = next(s.complaint for s in KB.causes[cause].shows if s.complaint)
    return fold(KB, [Event(role="homeowner"), Event(complaints=[complaint]), *events])


@pytest.mark.parametrize(("cause", "check", "no"), LOOKS)
def test_whose_word_stands_against_a_cause(cause: str, check: str, no: str) -> None:
    said = Event(check=check, answer=no)
    look = lambda state: second_look(NETWORK, state, KB.causes[cause], state.hands)  # noqa: E731
    own = state_of(cause, said)
    assert denied(NETWORK, own, KB.causes[cause])
    assert look(own) is None, "who has just said so is not asked again"
    surer = state_of(cause, said, Event(role="technician"))
    assert not denied(NETWORK, surer, KB.causes[cause])
    assert look(surer).id == check
    assert look(state_of(cause, said, Event(role="technician"), said)) is None
    mended = state_of(cause, said, Event(remedy="foot-unloaded", did="done"))
    assert look(mended).id == check, "the remedy may have moved what was looked at"
    assert look(state_of(cause)) is None


def test_there_are_looks_to_try() -> None:
    assert len(LOOKS) > 10


def told_after_counting() -> list[Event]:
    """A new machine that walks on every wash: its restraints were counted out at the installation, and nothing else is wrong."""
    right = {
        "restraints-counted": "all-out", "foot-gap": "0 mm", "level-front": "0 mm in 24 in", "floor-bounce": "dead",
        "rocks-by-hand": "firm", "lock-nut-turns": "tight", "basket-packing-left": "clear",
    }  # fmt: skip
    then = [
        Event(earlier=n, **({"value": s} if KB.checks[n].kind == "measure" else {"answer": s}))
        for n, s in right.items()
        if KB.checks[n].kind == "measure" or s in KB.checks[n].answers
    ]
    return [
        Event(role="homeowner"),
        *then,
        Event(complaints=["walks"]),
        Event(fact="onset", is_="new"),
        Event(fact="rhythm", is_="every-time"),
        Event(fact="machine", is_="front-loader"),
        Event(check="walks-evened", answer="walks"),
        Event(check="tub-knocks", answer="knocks"),
        Event(check="tub-swing", answer="stuck"),
        Event(check="noisy-when-empty", answer="noisy"),
        *GATES,
    ]


def test_what_was_counted_out_at_the_installation_is_looked_at_once_more() -> None:
    """The report of then holds its cause down, and the restraints are still the likeliest of all."""
    events = told_after_counting()
    asked = []
    for _ in range(12):
        advice = advise(KB, events)
        step = advice.next
        if step is None or step.kind != "check":
            break
        asked.append(step.id)
        assert not step.id.startswith("restraints") or "another look" in step.why or "look once more" in step.why
        events = [*events, Event(cant=step.id)]
    assert "restraints-left" in asked or "restraints-counted" in asked, asked


def test_the_hand_on_names_what_was_denied_and_is_likely_all_the_same() -> None:
    events = told_after_counting()
    for _ in range(60):
        advice = advise(KB, events)
        step = advice.next
        if step is None or step.kind == "hand-on":
            break
        if step.kind == "gate":
            events = [*events, Event(cleared=step.id)]
        elif step.kind == "remedy":
            events = [*events, Event(remedy=step.cause, did="could-not")]
        else:
            events = [*events, Event(cant=step.id)]
    assert advice.hand_on is not None
    doubted = Analysis(NETWORK, fold(KB, events)).doubted_beliefs
    likely = [b for b in doubted if b.p >= LIKELY_STILL]
    assert likely
    told = " ".join(advice.hand_on.looked if advice.finding is None else [])
    for b in likely[:3]:
        assert advice.finding is not None or f"{b.title.lower()}, " in told.partition("Denied by an earlier look")[2]
