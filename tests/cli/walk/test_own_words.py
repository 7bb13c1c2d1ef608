"""None of these, in words of one's own, at every prompt of a walk: kept as a note, of no weight, and the question is left."""

import pytest

from dryfloor.engine.advice import Card
from dryfloor.engine.advise import advise, question_of
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from tests.support.shipped import shipped

KB = shipped()
WORDS = "none of these"


def cards():
    """Return the card of every check, fact and gate of the kb, as a homeowner or else a technician is shown it."""
    for name, record in [*KB.checks.items(), *KB.facts.items()]:
        hands = "homeowner" if name in KB.facts or record.minutes.homeowner else "technician"
        kind = "check" if name in KB.checks else "fact"
        options = record.answers if kind == "check" else record.options
        choices = [{"id": k, "says": v.says} for k, v in options.items()]
        yield hands, kind, name, choices


@pytest.mark.parametrize("text", ["words it sings like a bird", "none of these"])
def test_every_check_fact_and_gate_takes_it(text):
    from dryfloor.engine.advice import Choice

    for _, kind, name, choices in cards():
        measures = "length" if kind == "check" and KB.checks[name].kind == "measure" else ""
        card = Card(kind=kind, id=name, title="", measures=measures, choices=[Choice(**c) for c in choices])
        reply = interpret(KB, card, text)
        says = [c["says"].lower() for c in choices]
        if text == WORDS and any(s.startswith("none of") for s in says):
            assert reply.event is not None
        else:
            assert (reply.command, reply.event) == ("words", None), name
    for name, hazard in KB.hazards.items():
        if hazard.gate:
            card = Card(kind="gate", id=name, title="", word=hazard.gate.word)
            assert interpret(KB, card, text).command == "words", name


def test_the_question_is_left_and_nothing_is_believed_otherwise(run):
    done = run(
        "walk",
        "--role",
        "homeowner",
        "--json",
        typed="water drips from the tap\ndry\nyes\nnone of these\nit sings like a bird\n",
    )
    events = [Event(role="homeowner"), Event(complaints=["leaking-coupling"])]
    before = advise(KB, events)
    card = question_of(KB, events, "drain")
    assert card
    after = advise(KB, [*events, Event(note="Drain: it sings like a bird"), Event(cant="drain")])
    assert [(b.cause, b.p) for b in before.beliefs] == [(b.cause, b.p) for b in after.beliefs]
    assert "Kept in your words" in done.err, done.err


def test_at_a_gate_words_are_kept_and_clear_nothing(run):
    done = run(
        "walk",
        "--role",
        "homeowner",
        typed="the washer hops about\nyes\nnone of these\nit wears a hat now\nwords my cat sits on it\n",
    )
    assert done.out.count("Kept in your words for the next person") == 2
    assert done.out.count("If all is safe, type the word") >= 3


def test_at_the_list_of_complaints_words_are_kept_although_nothing_fits(run):
    done = run("walk", "--role", "homeowner", typed="words it sings like a bird\nthe washer hops about\nyes\n")
    assert "What you said is kept as a note" in " ".join(done.out.split())
    assert "BEFORE ANYTHING ELSE" in done.out
