"""Minutes: what the kb says for some hands, what a card shows to others, and no made-up minutes for what they can't do."""

import pytest

from dryfloor.engine import model
from dryfloor.engine.advising.next_step import gate_step
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
