"""Every gate stands where it must: it comes, one word clears it, everything else stops, and it is asked again.

`stops.yaml` holds a case for each way in which a hazard's gate is met, cases in which something is never asked or told, and what
a card must say or must never say.
"""

import random
import re
from typing import Any

import msgspec
import pytest
import yaml

from dryfloor.engine.advice import Advice
from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import event_problems, parse_case
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import State
from dryfloor.engine.case.validation import is_word
from dryfloor.engine.measurement import formatting, quantity
from dryfloor.engine.planning import roles
from tests.support.places import TESTS
from tests.support.plain_yaml import plain_yaml
from tests.support.shipped import shipped

KB = shipped()
ALL: list[dict[str, Any]] = plain_yaml(TESTS / "stops.yaml")
STOPS = [s for s in ALL if "hazard" in s]
NEVER = [pytest.param(s, id=f"{s['never'][0]}-{i}") for i, s in enumerate(ALL) if "never" in s]
OFFERED = [pytest.param(s, id=s["offered"][0]) for s in ALL if "offered" in s]
CARDS = [pytest.param(s, id=s["card"]) for s in ALL if "card" in s]
GATED = sorted(h for h, record in KB.hazards.items() if record.gate)
HOWS = {"complaint", "heard", "answer", "check", "remedy"}
NAMED = [pytest.param(s, id=f"{s['hazard']}-{s['how']}-{i}") for i, s in enumerate(STOPS)]
WALKS, QUICK = 32, 16


def events_of(stop: dict[str, Any]) -> list[Event]:
    """The case of a scenario as events, worked out once for all that is asked of it."""
    at = next(n for n, one in enumerate(STOPS) if one is stop)
    if at not in PLAYED:
        PLAYED[at] = tuple(played(stop))
    return [*PLAYED[at]]


PLAYED: dict[int, tuple[Event, ...]] = {}


def played(stop: dict[str, Any]) -> list[Event]:
    """The case of a scenario as events, read as a case file is read; other questions that come first are passed over.

    Which question is cheapest moves with every strength of the kb; that the hazard's own step is gated must not.
    """
    events = parse_case(KB, yaml.safe_dump(stop["case"], sort_keys=False).encode())
    if stop["how"] not in ("check", "remedy"):
        return events
    for _ in range(60):
        advice = advise(KB, events)
        if advice.next is None or advice.next.kind not in ("fact", "check", "gate"):
            break
        if advice.next.kind != "gate":
            events.append(Event(skip=advice.next.id))
        elif advice.next.id == stop["hazard"]:
            title = advice.next.why.partition(": ")[2]
            meets = [c.id for c in KB.checks.values() if c.title == title and stop["hazard"] in c.hazards]
            if stop["how"] == "check" or not meets:
                break
            events.append(Event(skip=meets[0]))
        else:
            events.append(Event(cleared=advice.next.id))
    return events


def gate_of(hazard: str):  # type: ignore[no-untyped-def]
    gate = KB.hazards[hazard].gate
    assert gate is not None
    return gate


def until(events: list[Event], hazard: str) -> Advice:
    """Clear the gates before this one, and return the advice that asks it."""
    events = list(events)
    for _ in range(len(GATED)):
        advice = advise(KB, events)
        if advice.next is None or advice.next.kind != "gate" or advice.next.id == hazard:
            return advice
        events.append(Event(cleared=advice.next.id))
    raise AssertionError("gates without end")


def met_by(stop: dict[str, Any], advice: Advice) -> str:
    """The ways in which a case can raise its hazard, worked out from the kb alone."""
    hazard, case = stop["hazard"], stop["case"]
    if any(
        KB.checks[c].answers[a].raises == hazard
        for c, a in case.get("answers", {}).items()
        if a in KB.checks[c].answers
    ):
        return "answer"
    if any(hazard in KB.complaints[c].gates for c in case.get("complaints", [])):
        return "complaint"
    if "say" in case:
        return "heard"
    assert advice.next is not None
    title = advice.next.why.partition(": ")[2]
    named = {c.title for c in KB.checks.values() if hazard in c.hazards}
    mends = {c.remedy.title for c in KB.causes.values() if hazard in c.remedy.hazards}
    return "check" if title in named else "remedy" if title in mends else "nothing"


def test_every_gate_has_a_scenario() -> None:
    assert sorted({s["hazard"] for s in STOPS}) == GATED
    assert {s["how"] for s in STOPS} == HOWS


def test_every_hazard_that_is_heard_and_every_answer_that_raises_one_has_a_scenario() -> None:
    heard = {s["hazard"] for s in STOPS if s["how"] == "heard"}
    assert heard == {h for h in GATED if KB.hazards[h].hear}
    raised = {(c.id, a) for c in KB.checks.values() if not c.only_proof for a, r in c.answers.items() if r.raises}
    answered = {(c, a) for s in STOPS if s["how"] == "answer" for c, a in s["case"]["answers"].items()}
    assert raised - answered == set()


@pytest.mark.parametrize("stop", NAMED)
def test_the_gate_comes_before_anything_else(stop: dict[str, Any]) -> None:
    hazard = stop["hazard"]
    advice = advise(KB, events_of(stop))
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id) == ("gate", hazard)
    assert advice.card is not None
    assert advice.card.word == gate_of(hazard).word
    assert advice.card.question
    assert met_by(stop, advice) == stop["how"]


@pytest.mark.parametrize("stop", NAMED)
def test_the_safe_word_goes_on(stop: dict[str, Any]) -> None:
    hazard = stop["hazard"]
    word = gate_of(hazard).word
    events = events_of(stop)
    clearing = Event(cleared=hazard, word=word)
    assert event_problems(KB, clearing) == []
    after = advise(KB, [*events, clearing])
    assert after.status != "stopped"
    assert after.next is None or (after.next.kind, after.next.id) != ("gate", hazard)
    assert {h.id: h.state for h in after.hazards}[hazard] == "cleared"


@pytest.mark.parametrize("stop", NAMED)
def test_any_other_word_stops_with_what_to_do_and_whom_to_call(stop: dict[str, Any]) -> None:
    hazard = stop["hazard"]
    gate = gate_of(hazard)
    for said in (
        "",
        "yes",
        "no",
        "ok",
        f"not {gate.word}",
        f"{gate.word} I think",
        f"is it {gate.word}",
        gate.word[:-1],
        "nonne",
    ):
        assert not is_word(gate, said)
        refused = [p.code for p in event_problems(KB, Event(cleared=hazard, word=said))]
        assert refused == ["C014"]
    events = [*events_of(stop), Event(stopped=hazard)]
    advice = advise(KB, events)
    assert advice.status == "stopped"
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id) == ("stop", hazard)
    assert advice.card is not None
    assert advice.card.do_now == gate.do_now
    assert advice.card.do_now
    assert advice.card.call == gate.call
    assert advice.card.call
    # The case is kept: what was said and answered before the stop is still there.
    assert advice.facts == advise(KB, events_of(stop)).facts


@pytest.mark.parametrize("stop", NAMED)
@pytest.mark.parametrize("again", ["role", "resumed"])
def test_the_same_gate_is_asked_again(stop: dict[str, Any], again: str) -> None:
    hazard, events = stop["hazard"], events_of(stop)
    new = Event(resumed=True) if again == "resumed" else Event(role=stop["case"]["role"])
    for before in (Event(cleared=hazard, word=gate_of(hazard).word), Event(stopped=hazard)):
        advice = until([*events, before, new], hazard)
        assert advice.next is not None
        assert (advice.next.kind, advice.next.id) == ("gate", hazard)
        assert advice.status != "stopped"


@pytest.mark.parametrize("part", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, 9))])
def test_a_cleared_gate_does_not_clear_another(part: int) -> None:
    for stop in STOPS[part::9]:
        for other in GATED:
            if other != stop["hazard"] and other not in stop["case"].get("cleared", []):
                after = until([*events_of(stop), Event(cleared=other)], stop["hazard"])
                assert after.next is not None
                assert after.next.id == stop["hazard"], (stop, other)


def holds_words(text: str, entry: dict[str, Any]) -> None:
    """What must be said stands there, and what must never be said does not."""
    for words in entry.get("told", []):
        assert words.lower() in text.lower(), f"not told: {words}"
    for words in entry.get("untold", []):
        assert words.lower() not in text.lower(), f"told: {words}"


def words_of(record: Any) -> str:
    """Every text of a kb record, as one."""
    if isinstance(record, str):
        return record
    if isinstance(record, dict):
        return " ".join(words_of(r) for r in record.values())
    if isinstance(record, list):
        return " ".join(words_of(r) for r in record)
    return ""


def test_every_entry_is_of_one_kind() -> None:
    assert all(sum(k in s for k in ("hazard", "never", "offered", "card")) == 1 for s in ALL)


@pytest.mark.parametrize("stop", [p for p in NAMED if "told" in p.values[0] or "untold" in p.values[0]])
def test_gate_and_stop_say_what_matters(stop: dict[str, Any]) -> None:
    hazard = KB.hazards[stop["hazard"]]
    holds_words(words_of(msgspec.to_builtins(hazard) | {"hear": []}), stop)


@pytest.mark.parametrize("entry", CARDS)
def test_a_card_says_what_matters(entry: dict[str, Any]) -> None:
    name = entry["card"]
    records = [t[name] for t in (KB.checks, KB.hazards) if name in t]
    records += [KB.causes[name].remedy] if name in KB.causes else []
    assert len(records) == 1
    holds_words(words_of(msgspec.to_builtins(records[0])), entry)


@pytest.mark.parametrize("entry", NEVER)
def test_what_must_never_be_asked_there_is_not(entry: dict[str, Any]) -> None:
    """Walked with every gate cleared and every question passed over; priced is as bad as asked."""
    known = {*KB.checks, *KB.causes}
    assert {*entry["never"]} <= known
    case = {k: v for k, v in entry["case"].items() if k != "skip"}
    events = parse_case(KB, yaml.safe_dump(case, sort_keys=False).encode())
    events += [Event(skip=name) for name in entry["case"].get("skip", [])]
    for _ in range(150):
        advice = advise(KB, events)
        step = advice.next
        if step is None or step.kind == "hand-on" or step.id in ("complaint", "still-there"):
            return
        assert step.id not in entry["never"]
        if step.kind == "gate":
            events.append(Event(cleared=step.id))
        elif step.kind == "remedy":
            events.append(Event(remedy=step.id, did="could-not"))
        else:
            events.append(Event(skip=step.id))
    raise AssertionError("a walk without end")


@pytest.mark.parametrize("entry", OFFERED)
def test_what_a_person_may_do_is_offered(entry: dict[str, Any]) -> None:
    """No trade is booked for what screws on by hand, slides by an inch or is a switch on the wall."""
    events = parse_case(KB, yaml.safe_dump(entry["case"], sort_keys=False).encode())
    priced = {p.id for p in advise(KB, [*events, *(Event(cleared=h) for h in GATED)]).prices}
    assert {f"remedy:{c}" for c in entry["offered"]} <= priced


def test_every_hazard_is_one_sentence_that_says_what_to_do() -> None:
    """What hurts, how, and what to do: no second sentence that a frightened person has to find, and no plea for care."""
    for hazard in KB.hazards.values():
        inside = re.findall(r"[.!?](?=\s+\S)", hazard.says)
        assert inside == [], hazard.id
        assert not re.search(r"\b(careful|caution|take care|beware)\b", hazard.says, re.IGNORECASE), hazard.id


def reading_of(check: str, rng: random.Random) -> str:
    """A reading somewhere in what can be true."""
    rule = KB.rules[KB.checks[check].rule or ""]
    low, high = (quantity.parse(end.strip(), rule.measures) for end in (rule.plausible or "").split(" to "))
    return formatting.show(rng.uniform(low, high), rule.measures, "si")


def answered(advice: Advice, rng: random.Random) -> Event | None:
    """An answer to the next step, drawn at random; None where the walk is over."""
    step = advice.next
    if step is None or step.kind in ("hand-on", "stop") or step.id in ("complaint", "still-there"):
        return None
    if step.kind == "gate":
        return Event(cleared=step.id)
    if step.kind == "fact":
        return Event(fact=step.id, is_=rng.choice(sorted(KB.facts[step.id].options)))
    if step.kind == "remedy":
        return Event(remedy=step.id, did="could-not")
    if rng.random() < 0.1:
        return Event(cant=step.id)
    check = KB.checks[step.id]
    if check.kind == "measure":
        return Event(check=step.id, value=reading_of(step.id, rng))
    return Event(check=step.id, answer=rng.choice(sorted(check.answers)))


@pytest.mark.parametrize(
    "seed", [*range(QUICK), *(pytest.param(n, marks=pytest.mark.slow) for n in range(QUICK, WALKS))]
)
def test_homeowner_hands_are_never_led_into_what_is_not_theirs(seed: int) -> None:
    """Random walks of homeowners and of desks with a caller at the machine: nothing forbidden is ever offered."""
    rng = random.Random(seed)
    role = ("homeowner", "desk")[seed % 2]
    complaint = sorted(KB.complaints)[seed % len(KB.complaints)]
    events = [Event(role=role), Event(complaints=[complaint])]  # type: ignore[arg-type]
    for _ in range(40):
        advice = advise(KB, events)
        assert advice.hands == "homeowner"
        step = advice.next
        if step and step.kind == "check":
            check = KB.checks[step.id]
            assert check.minutes.homeowner is not None, step.id
            assert not [h for h in check.hazards if "homeowner" in KB.hazards[h].never], step.id
        if step and step.kind == "remedy":
            remedy = KB.causes[step.id].remedy
            assert advice.card is not None
            assert (remedy.by, advice.card.by) == ("anyone", "anyone"), step.id
            assert not [n for n in advice.card.notes if "homeowner" in KB.hazards[n.hazard].never], step.id
        event = answered(advice, rng)
        if event is None:
            break
        events.append(event)


def test_what_no_homeowner_may_do_has_no_homeowner_minutes() -> None:
    """Live voltage, screwed panels and gas: the kb leaves those hands out, so no filter has to save them."""
    assert {h for h in KB.hazards if "homeowner" in KB.hazards[h].never} == {
        "live-voltage",
        "screwed-panel",
        "gas-connector",
        "working-height",
    }
    for check in KB.checks.values():
        if [h for h in check.hazards if "homeowner" in KB.hazards[h].never]:
            assert check.minutes.homeowner is None, check.id
            assert check.ask.homeowner is None, check.id
    for cause in KB.causes.values():
        barred = [KB.hazards[h] for h in cause.remedy.hazards if "homeowner" in KB.hazards[h].never]
        if barred and cause.remedy.by == "anyone":
            # Wherever the danger can be, it is another's: each option, written out.
            for hazard in barred:
                assert hazard.when, cause.id
                for fact, wanted in hazard.when.items():
                    for option in [wanted] if isinstance(wanted, str) else wanted:
                        state = State(facts=((fact, option),))
                        assert roles.work_of(cause.remedy, state) != "anyone", (cause.id, option)


def test_electrocution_is_never_a_caution_and_a_gate_says_what_to_do() -> None:
    for name in ("shock-tingle", "live-voltage", "water-near-electricity", "unplug-first", "wet-floor"):
        assert KB.hazards[name].signal in ("DANGER", "WARNING"), name
    for name in GATED:
        gate = gate_of(name)
        assert " " not in gate.word
        for voice in (gate.ask.homeowner, gate.ask.desk, gate.ask.technician):
            assert voice, name
        assert len({gate.ask.homeowner, gate.ask.desk, gate.ask.technician}) == 3, name
