"""Minutes: what the kb says for some hands, what a card shows to others, and no made-up minutes for what they can't do."""

import pytest

from dryfloor.engine import model
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.next_step import gate_step
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning import roles

HANDS = ("homeowner", "technician")


def test_a_check_takes_what_the_kb_says_and_is_refused_to_hands_without_minutes(kb):
    refused = 0
    for check in kb.checks.values():
        for hands in HANDS:
            written = getattr(check.minutes, hands)
            if written is None:
                refused += 1
                with pytest.raises(ValueError, match=check.id):
                    roles.check_minutes(check, hands)
                assert not roles.permitted(kb, check, hands)
                assert roles.shown_minutes(check, hands) == roles.OTHERS_MINUTES
            else:
                assert roles.check_minutes(check, hands) == roles.shown_minutes(check, hands) == written
    assert refused > 20


def test_a_fact_can_be_said_by_anybody(kb):
    fact = kb.facts["drain"]
    assert roles.fact_minutes(fact, "homeowner") == fact.minutes.homeowner
    untimed = model.Fact(title="x", id="x", ask=fact.ask, options=fact.options, minutes=model.Minutes(technician=2.0))
    assert [roles.fact_minutes(untimed, hands) for hands in HANDS] == [roles.SPOKEN_MINUTES, 2.0]


def test_a_gate_takes_a_word_wherever_it_stands(kb):
    gates = [h.id for h in kb.hazards.values() if h.gate]
    steps = [gate_step(kb, name, "why", kind) for name in gates for kind in ("gate", "stop")]
    assert {(s.minutes, s.cost) for s in steps} == {(roles.GATE_MINUTES, roles.GATE_MINUTES)}


def test_a_cause_whose_own_look_came_out_otherwise_is_denied_by_as_able_hands(kb) -> None:
    network = network_of(kb)
    cause = kb.causes["restraints-left-in"]
    look = cause.defines
    assert (look.check, look.answer) == ("restraints-left", "bolts-or-rods")

    def seen(answer: str, by: str, now: str) -> bool:
        events = [Event(role=by), Event(check=look.check, answer=answer), Event(role=now)]
        return roles.denied(network, fold(kb, events), cause)

    assert seen("none", "homeowner", "homeowner")
    assert seen("none", "technician", "homeowner")
    assert not seen("none", "homeowner", "technician"), "better hands look again"
    assert not seen("bolts-or-rods", "homeowner", "homeowner")
    hidden = kb.causes["bearing-worn"]
    assert hidden.defines.why_hidden
    assert not roles.denied(network, fold(kb, [Event(check=look.check, answer="none")]), hidden)


def test_a_measured_definition_is_denied_by_a_reading_within(kb) -> None:
    network = network_of(kb)
    cause = next(c for c in kb.causes.values() if c.defines.rule == "standpipe-height" and c.defines.side == "below")
    for value, denied in (("45 in", True), ("25 in", False)):
        state = fold(kb, [Event(role="technician"), Event(check="standpipe-height", value=value)])
        assert roles.denied(network, state, cause) == denied


def test_nothing_denied_is_found_or_mended(kb) -> None:
    """Everything else speaks for bolts left in; a technician has looked, and there are none."""
    told = {
        "tub-swing": "stuck",
        "restraints-counted": "never-out",
        "walks-empty": "walks",
        "walks-evened": "walks",
        "tub-knocks": "knocks",
    }
    events = [Event(role="technician"), Event(complaints=["walks"]), Event(fact="onset", is_="new")]
    events += [Event(check=c, answer=a) for c, a in told.items()]
    before = Analysis(network_of(kb), fold(kb, events))
    assert before.likeliest == "restraints-left-in"
    after = Analysis(network_of(kb), fold(kb, [*events, Event(check="restraints-left", answer="none")]))
    assert after.likeliest != "restraints-left-in"
    assert "remedy:restraints-left-in" not in {m.id for m in after.decision_problem.repairs}


def test_every_cause_says_what_defines_it_or_why_nobody_can_look(kb) -> None:
    for cause in kb.causes.values():
        assert cause.defines, cause.id
        assert bool(cause.defines.why_hidden) != bool(cause.defines.check or cause.defines.rule), cause.id


def test_what_one_check_saw_makes_senseless_what_another_that_saw_it_would(kb):
    """No voltage at the outlet is a dead washer: nobody asks that machine for its noises, though nobody pressed its button."""
    network = network_of(kb)
    start = [Event(role="technician"), Event(complaints=["no-power"])]

    def asked(*more: Event) -> set[str]:
        state = fold(kb, [*start, *more])
        return {c.id for c in roles.open_checks(network, state, sorted(kb.causes), "technician")}

    dead, alive = Event(check="outlet-readings", answer="all-dead"), Event(check="washer-shows-life", answer="life")
    noises = {"noise-kind", "pump-sound", "tub-knocks", "drain-restarted"}
    assert noises <= asked()
    assert noises & asked(dead) == set()
    assert noises & asked(Event(check="washer-shows-life", answer="no-life")) == set()
    # What was answered at the check itself counts, and what was seen before a remedy does not.
    assert noises <= asked(dead, alive)
    assert "tub-knocks" in asked(dead, Event(remedy="outlet-dead", did="done"))
