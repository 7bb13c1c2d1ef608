"""Where nothing was found it is said, with what is out of the question and what was in order; and nobody waits without a word."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.endings import LANDLORD, MAKER, UNTIL, looked, ruled_out, until
from dryfloor.engine.advising.findings import finding
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of

ROLES = ("homeowner", "desk", "technician")


def ended(kb, role: str, complaint: str, most: int = 80):
    """The case of somebody to whom everything looks healthy and who can do no remedy, with its last advice."""
    events = [Event(role=role), Event(complaints=[complaint])]
    for _ in range(most):
        advice = advise(kb, events)
        step = advice.next
        if step is None or step.kind in ("hand-on", "stop"):
            return events, advice
        if step.kind == "gate":
            events.append(Event(cleared=step.id))
        elif step.kind == "remedy":
            events.append(Event(remedy=step.id, did="could-not"))
        elif step.kind == "fact":
            events.append(Event(fact=step.id, is_=list(kb.facts[step.id].options)[-1]))
        elif kb.checks[step.id].kind == "measure":
            events.append(Event(cant=step.id))
        else:
            events.append(Event(check=step.id, answer=list(kb.checks[step.id].answers)[-1]))
    raise AssertionError("no end")


@pytest.fixture(scope="module")
def sound(kb):
    return ended(kb, "homeowner", "no-drain")


def test_where_nothing_was_found_nobody_is_named_as_if(sound) -> None:
    _, advice = sound
    assert advice.finding is None
    assert all(b.p < 0.5 for b in advice.beliefs)
    assert advice.hand_on.looked[0].startswith("Not found")
    assert not any(t.startswith(("Likely", "Found")) for t in advice.hand_on.tell)


def test_what_is_ruled_out_was_worth_a_thought_and_is_not_any_more(kb, sound) -> None:
    """By the posterior without and with the answers, worked out here once more."""
    events, advice = sound
    network = network_of(kb)
    bare = {b.cause: b.p for b in Analysis(network, fold(kb, events[:2])).beliefs}
    now = {b.cause: b.p for b in advice.beliefs}
    gone = ruled_out(Analysis(network, fold(kb, events)))
    assert gone
    assert gone == sorted(gone, key=lambda c: (-bare[c], c))
    assert {c for c, p in bare.items() if p >= 0.02 and now.get(c, 0) < 0.01} == set(gone)
    first = kb.causes[gone[0]].title
    assert first[0].lower() + first[1:] in advice.hand_on.looked[0]


def test_only_what_was_looked_at_and_is_held_by_a_rule_is_in_order(kb, sound) -> None:
    events, advice = sound
    said = next(t for t in advice.hand_on.looked if "in order" in t)
    for check in kb.checks.values():
        asked = any(e.check == check.id for e in events)
        title = check.title[0].lower() + check.title[1:]
        listed = title in said.partition(": ")[2].rstrip(".").split(", ")
        assert not listed or (asked and check.rule and check.kind != "ask"), check.id
    assert said.startswith("As far as it was looked at, the installation is in order")


def test_a_broken_rule_that_was_found_says_nothing_of_what_is_in_order(kb) -> None:
    events = [Event(role="homeowner"), Event(complaints=["siphons"]), Event(check="standpipe-height", value="20 in")]
    analysis = Analysis(network_of(kb), fold(kb, events))
    assert looked(analysis, finding(analysis, "standpipe-too-low", 0.9)) == []
    assert looked(analysis, None)


@pytest.mark.parametrize("role", ROLES)
def test_whoever_waits_is_told_what_to_do_meanwhile_and_a_tenant_whom_to_ask(kb, role: str) -> None:
    _, advice = ended(kb, role, "noisy")
    until = advice.hand_on.until
    assert kb.complaints["noisy"].meanwhile in until
    assert (LANDLORD in until) is (role != "technician")


def test_every_complaint_says_what_to_do_meanwhile(kb) -> None:
    for complaint in kb.complaints.values():
        assert complaint.meanwhile, complaint.id
        assert len(complaint.meanwhile) <= 160, complaint.id


def test_whoever_waits_for_a_trade_is_told_what_to_do_until_then(kb) -> None:
    """A worn bearing is not run 'while you stay with it': what the mend says for those who wait stands before what the complaint says."""
    silent = [c.id for c in kb.causes.values() if c.remedy.by != "anyone" and not _waiting(c)]
    assert silent == []
    bearing = fold(kb, [Event(role="homeowner"), Event(complaints=["noisy"])])
    told = until(Analysis(network_of(kb), bearing), "bearing-worn")
    assert told[0].startswith("stop using it")
    assert kb.complaints["noisy"].meanwhile not in told


def _waiting(cause) -> list[str]:
    return [s for s in cause.remedy.steps if s.startswith(UNTIL)]


def test_what_is_inside_the_machine_is_said_to_be_the_makers_while_its_warranty_lasts(kb) -> None:
    network = network_of(kb)
    for role in ROLES:
        case = Analysis(network, fold(kb, [Event(role=role), Event(complaints=["no-power"])]))
        for cause in ("washer-control-dead", "outlet-dead"):
            inside = kb.causes[cause].kind == "machine" and role != "technician"
            assert (MAKER in until(case, cause)) is inside
