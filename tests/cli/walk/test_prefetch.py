"""Advice worked out ahead is the advice worked out then, byte for byte, and nothing that a person sees hangs on it."""

import msgspec
import pytest

from dryfloor.cli.walk import prefetch
from dryfloor.cli.walk.prefetch import Prefetch
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from tests.support.shipped import shipped

START = [Event(role="technician"), Event(complaints=["siphons"])]


def counted(monkeypatch):
    calls = []

    def noted(kb, events):
        calls.append(len(events))
        return advise(kb, events)

    monkeypatch.setattr(prefetch, "advise", noted)
    return calls


def test_what_was_foreseen_is_what_is_worked_out_then(monkeypatch):
    kb = shipped()
    ahead = Prefetch(kb, True)
    events = list(START)
    for _ in range(4):
        advice = ahead.advise(events)
        assert msgspec.json.encode(advice) == msgspec.json.encode(advise(kb, events))
        if not advice.card or not advice.card.choices:
            break
        ahead.look(events, advice.card, advice.next.proof)
        ahead.wait()
        calls = counted(monkeypatch)
        event = interpret(kb, advice.card, "1", advice.next.proof).event
        events.append(event)
        foreseen = ahead.advise(events)
        assert not calls, "what was foreseen must not be worked out again"
        assert msgspec.json.encode(foreseen) == msgspec.json.encode(advise(kb, events))
        monkeypatch.undo()
    ahead.close()


def test_an_answer_that_nobody_foresaw_is_worked_out():
    kb = shipped()
    ahead = Prefetch(kb, True)
    advice = ahead.advise(START)
    ahead.look(START, advice.card, False)
    other = [*START, Event(note="the floor is wet")]
    assert msgspec.json.encode(ahead.advise(other)) == msgspec.json.encode(advise(kb, other))
    assert not ahead.wait(), "what was begun for other answers must be dropped"
    ahead.close()


def test_without_a_person_reading_nothing_is_worked_ahead(monkeypatch):
    kb = shipped()
    calls = counted(monkeypatch)
    plain = Prefetch(kb, False)
    advice = plain.advise(START)
    plain.look(START, advice.card, False)
    assert len(calls) == 1
    plain.close()


def test_what_goes_wrong_ahead_goes_wrong_when_it_is_asked_for(monkeypatch):
    kb = shipped()
    ahead = Prefetch(kb, True)
    advice = ahead.advise(START)

    def broken(kb, events):
        raise ValueError("no advice")

    monkeypatch.setattr(prefetch, "advise", broken)
    ahead.look(START, advice.card, False)
    event = interpret(kb, advice.card, "1", False).event
    with pytest.raises(ValueError, match="no advice"):
        ahead.advise([*START, event])
    ahead.close()
