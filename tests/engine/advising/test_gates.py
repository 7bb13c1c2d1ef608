"""Which gates stand open, in which order, what opens them again, and for whom they do not stand at all."""

from itertools import permutations

import pytest

from dryfloor.engine import model
from dryfloor.engine.advise import advise
from dryfloor.engine.advising import gates
from dryfloor.engine.case import validation
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.interpret import interpret
from dryfloor.engine.case.state import fold

# ANSI Z535.4: three words for people, one for property, in this order of gravity.
ORDER = ["DANGER", "WARNING", "CAUTION", "NOTICE"]


def gated(kb) -> list[str]:
    return [h for h, record in kb.hazards.items() if record.gate]


def next_gate(kb, *events: Event) -> str | None:
    step = advise(kb, [Event(role="homeowner"), *events]).next
    return step.id if step and step.kind == "gate" else None


def test_one_word_and_nothing_else_is_safe(kb) -> None:
    for name in gated(kb):
        gate = kb.hazards[name].gate
        for said in (gate.word, gate.word.upper(), f" {gate.word}. ", f"'{gate.word}'", f"{gate.word}!"):
            assert validation.is_word(gate, said), said
        others = {kb.hazards[h].gate.word for h in gated(kb)} - {gate.word}
        for said in (
            "",
            " ",
            "y",
            "yes",
            "ok",
            "no",
            "1",
            f"not {gate.word}",
            f"{gate.word} now",
            f"un{gate.word}",
            gate.word[1:],
            *others,
        ):
            assert not validation.is_word(gate, said), said


@pytest.mark.parametrize(
    "complaint",
    ["water-on-floor", "walks", "no-drain", "siphons", "leaking-coupling", "freeze-damage", "standpipe-overflow"],
)
def test_gates_come_before_questions_and_each_once(kb, complaint: str) -> None:
    events, asked = [Event(complaints=[complaint])], []
    while (gate := next_gate(kb, *events)) and len(asked) < 20:
        asked.append(gate)
        events.append(Event(cleared=gate))
        advice = advise(kb, [Event(role="homeowner"), *events])
        if advice.next and advice.next.kind == "gate" and advice.next.why.startswith("before the next step"):
            break
    assert set(asked) >= {g for g in kb.complaints[complaint].gates if g}
    assert len(asked) == len(set(asked))


def test_the_gravest_comes_first_whatever_the_order_of_complaints(kb) -> None:
    for some in permutations(["walks", "water-on-floor", "freeze-damage"]):
        state = fold(kb, [Event(role="homeowner"), Event(complaints=list(some))])
        words = [kb.hazards[h].signal for h in gates.raised(kb, state, [])]
        assert words == sorted(words, key=ORDER.index)
        assert words[0] == "DANGER"  # gas smell, of the machine that walks


def test_what_the_person_says_comes_before_what_the_complaint_brings(kb) -> None:
    assert next_gate(kb, Event(heard="the washer leaks and it gives me an electric shock")) == "shock-tingle"
    assert next_gate(kb, Event(heard="I smell gas")) == "gas-smell"


@pytest.mark.parametrize(
    "late", [Event(heard="now I smell gas in here"), Event(note="customer says: it smells like gas")]
)
def test_danger_said_after_its_gate_was_cleared_opens_it_again(kb, late: Event) -> None:
    cleared = [Event(cleared=h) for h in gated(kb)]
    before = [Event(complaints=["walks"]), *cleared]
    assert next_gate(kb, *before) is None
    assert next_gate(kb, *before, late) == "gas-smell"
    assert next_gate(kb, *before, late, Event(cleared="gas-smell")) is None
    for remark in ("the hoses are black", "the dog is in the yard", "key is with the neighbour"):
        assert next_gate(kb, *before, Event(note=remark)) is None


def test_an_answer_that_raises_a_hazard_opens_its_gate_again(kb) -> None:
    raising = [(c.id, a, r.raises) for c in kb.checks.values() for a, r in c.answers.items() if r.raises]
    assert raising
    for check, answer, hazard in raising:
        if kb.checks[check].only_proof:
            continue
        cleared = [Event(cleared=h) for h in gated(kb)]
        begun = [Event(complaints=["walks"]), *cleared]
        assert next_gate(kb, *begun, Event(check=check, answer=answer)) == hazard, (check, answer)
        normal = list(kb.checks[check].answers)[-1]
        if not kb.checks[check].answers[normal].raises:
            assert next_gate(kb, *begun, Event(check=check, answer=normal)) is None, check


def test_new_hands_and_a_resumed_case_are_asked_again(kb) -> None:
    begun = [Event(complaints=["walks"]), *(Event(cleared=h) for h in gated(kb))]
    for again in (Event(role="technician"), Event(hands="technician"), Event(resumed=True)):
        assert next_gate(kb, *begun, again) is not None


def test_gas_is_asked_after_whatever_the_dryer_runs_on(kb) -> None:
    """A heater or a range has a connector, too: an electric dryer rules no gas out."""
    for dryer in kb.facts["dryer-beside"].options:
        state = fold(kb, [Event(role="homeowner"), Event(complaints=["walks"]), Event(fact="dryer-beside", is_=dryer)])
        assert {"gas-smell", "walking-machine"} <= set(gates.raised(kb, state, [])), dryer


def test_a_stacked_dryer_is_asked_for_only_where_there_may_be_one(kb) -> None:
    def opened(*facts: Event) -> str | None:
        state = fold(kb, [Event(role="homeowner"), Event(complaints=["walks"]), *facts])
        return gates.first_open(kb, state, ["machine-tipping"])

    assert opened() == "machine-tipping"
    assert opened(Event(fact="dryer-beside", is_="stacked-dryer")) == "machine-tipping"
    assert opened(Event(fact="dryer-beside", is_="electric-dryer")) is None
    assert opened(Event(cleared="machine-tipping")) is None


def test_a_complaint_that_is_gone_brings_no_gate(kb) -> None:
    events = [Event(role="technician"), Event(complaints=["walks", "no-drain"]), Event(still=["no-drain"])]
    names = gates.raised(kb, fold(kb, events), [])
    assert "walking-machine" not in names
    assert set(names) == set(kb.complaints["no-drain"].gates)


def test_notes_stand_gravest_first_and_only_where_they_apply(kb) -> None:
    state = fold(kb, [Event(role="homeowner"), Event(fact="dryer-beside", is_="no-dryer")])
    found = gates.notes(kb, state, ["overtight-plastic", "sharp-edges", "gas-connector", "shock-tingle", "hot-water"])
    assert [n.hazard for n in found] == ["shock-tingle", "hot-water", "sharp-edges", "overtight-plastic"]
    assert [n.signal for n in found] == ORDER


def test_states_of_hazards(kb) -> None:
    events = [
        Event(role="homeowner"),
        Event(complaints=["water-on-floor"]),
        Event(cleared="water-running"),
        Event(stopped="water-near-electricity"),
    ]
    advice = advise(kb, events)
    assert {h.id: h.state for h in advice.hazards} == {"water-running": "cleared", "water-near-electricity": "stopped"}
    assert {h.id: h.state for h in advise(kb, events[:2]).hazards} == {
        "water-running": "open",
        "water-near-electricity": "open",
    }


def test_the_record_keeps_its_word_to_one(kb) -> None:
    for name in gated(kb):
        gate: model.Gate = kb.hazards[name].gate
        assert gate.word == gate.word.strip().lower()
        assert len(gate.word.split()) == 1


CONDITIONS = {"machine-lifting", "machine-tipping", "stored-pressure"}
BLOCK = [
    Event(complaints=["walks"]),
    Event(fact="onset", is_="new"),
    Event(fact="dryer-beside", is_="no-dryer"),
    Event(check="restraints-left", answer="base-block"),
]


def test_what_no_home_can_be_in_by_itself_is_a_condition_of_a_step(kb) -> None:
    """Closed taps, a helper, nothing on top; what a complaint, an answer or words raise is a danger and ends the walk."""
    found = {h for h in gated(kb) if gates.condition_only(kb, h)}
    assert found >= CONDITIONS
    assert not found & {
        "gas-smell",
        "shock-tingle",
        "burning-smell",
        "water-near-electricity",
        "water-running",
        "sewage",
    }


def at_the_mend(kb):
    """A case in front of the gate of a mend that is only its condition: a washer is to be tilted."""
    events = [Event(role="technician"), *BLOCK]
    for _ in range(40):
        advice = advise(kb, events)
        step = advice.next
        assert step is not None
        if step.kind == "gate" and step.guards and step.cause:
            return events, advice
        if step.kind == "gate":
            events.append(Event(cleared=step.id))
        elif step.kind == "fact":
            events.append(Event(fact=step.id, is_=next(iter(kb.facts[step.id].options))))
        elif step.kind == "check" and kb.checks[step.id].kind != "measure":
            said = [s.answer for s in kb.causes["base-block-left-in"].shows if s.check == step.id]
            events.append(Event(check=step.id, answer=said[0] if said else list(kb.checks[step.id].answers)[-1]))
        else:
            events.append(Event(cant=step.id if step.kind == "check" else f"remedy:{step.id}"))
    raise AssertionError("never came to it")


def test_what_was_found_is_said_before_the_gate_of_its_mend_and_no_step_of_it(kb) -> None:
    _, advice = at_the_mend(kb)
    assert advice.finding is not None
    assert advice.next.guards == f"remedy:{advice.finding_cause}"
    assert advice.card.kind == "gate"
    assert advice.card.steps == []


def test_a_condition_that_is_not_met_leaves_the_mend_and_stops_nothing(kb) -> None:
    events, advice = at_the_mend(kb)
    left = interpret(kb, advice.card, "not safe").event
    assert left == Event(remedy=advice.next.cause, did="could-not")
    after = advise(kb, [*events, left])
    assert after.status != "stopped"
    assert after.next.cause != advice.next.cause or after.next.kind == "hand-on"
    assert interpret(kb, advice.card, advice.card.word).event == Event(cleared=advice.next.id, word=advice.card.word)
