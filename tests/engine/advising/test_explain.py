"""The weight of an answer is what leaving it out changes."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.explain import weights
from dryfloor.engine.case.events import Event

BEGUN = [Event(role="technician"), Event(complaints=["walks"])]
ANSWERS = [
    Event(fact="onset", is_="moved"),
    Event(check="restraints-left", answer="none"),
    Event(check="foot-gap", value="2 mm"),
    Event(check="rocks-by-hand", answer="rocks"),
]


def p_of(kb, events: list[Event], cause: str) -> float:
    return next((b.p for b in advise(kb, events).beliefs if b.cause == cause), 0.0)


def test_a_weight_is_the_belief_without_and_with_the_answer(kb) -> None:
    events = [*BEGUN, *ANSWERS]
    cause, found = weights(kb, events)
    assert cause == "foot-unloaded" == advise(kb, events).beliefs[0].cause
    assert len(found) == len(ANSWERS)
    by_hand = {round(p_of(kb, [e for e in events if e is not answer], cause), 9) for answer in ANSWERS}
    assert {w.without for w in found} == by_hand
    assert {w.with_it for w in found} == {p_of(kb, events, cause)}


def test_heaviest_first(kb) -> None:
    _, found = weights(kb, [*BEGUN, *ANSWERS])
    moved = [abs(w.with_it - w.without) for w in found]
    assert moved == sorted(moved, reverse=True)
    assert moved[0] > 0.05


def test_words_say_which_way(kb) -> None:
    for cause in ("foot-unloaded", "restraints-left-in", "floor-springy"):
        _, found = weights(kb, [*BEGUN, *ANSWERS], cause)
        for w in found:
            change = w.with_it - w.without
            said = (
                "says nothing either way"
                if abs(change) < 0.005
                else "speaks for it"
                if change > 0
                else "speaks against it"
            )
            assert said in w.text, w
            assert w.text.startswith(w.what)


def test_answers_are_named_as_they_were_asked(kb) -> None:
    _, found = weights(kb, [*BEGUN, *ANSWERS])
    texts = {w.what for w in found}
    assert f"{kb.checks['foot-gap'].title}: 2 mm" in texts
    assert f"{kb.checks['rocks-by-hand'].title}: {kb.checks['rocks-by-hand'].answers['rocks'].says}" in texts
    assert f"{kb.facts['onset'].title}: {kb.facts['onset'].options['moved'].says}" in texts


def test_nothing_to_explain_without_a_complaint(kb) -> None:
    assert weights(kb, [Event(role="desk")]) == (None, [])


def test_events_that_answer_nothing_carry_no_weight(kb) -> None:
    idle = [
        Event(cant="floor-frequency"),
        Event(skip="floor"),
        Event(note="the cat was in the way"),
        Event(cleared="walking-machine"),
    ]
    assert weights(kb, [*BEGUN, *ANSWERS, *idle]) == weights(kb, [*BEGUN, *ANSWERS])


def test_a_cause_that_is_not_in_play_has_no_weight_anywhere(kb) -> None:
    cause, found = weights(kb, [*BEGUN, *ANSWERS], "inlet-valve-stuck-open")
    assert cause == "inlet-valve-stuck-open"
    assert [w.with_it for w in found] == pytest.approx([0.0] * len(found))
