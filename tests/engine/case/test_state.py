"""A case is a list of events: folding, undoing, replaying, and what each event does to the state."""

from functools import reduce

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dryfloor.engine.advise import advise
from dryfloor.engine.case.case_file import dump, event_problems, parse_case
from dryfloor.engine.case.events import COMPANIONS, Event
from dryfloor.engine.case.rows import LEADING, leading
from dryfloor.engine.case.state import Answered, State, Tried, fold, passes, seen_to_work, step
from tests.support.shipped import shipped

KB = shipped()
LOOKS = sorted((c.id, a) for c in KB.checks.values() if c.kind != "measure" for a in c.answers)
GATES = sorted((h.id, h.gate.word) for h in KB.hazards.values() if h.gate)
PROVED = sorted(c for c, r in KB.causes.items() if r.proof.passes != "within")


def of(*events):
    """Return the state after some events."""
    return fold(KB, list(events))


def proof(cause, passed):
    """Return the proof event of a cause that passes or fails."""
    record = KB.causes[cause].proof
    said = next(a for a in KB.checks[record.check].answers if (a == record.passes) == passed)
    return Event(proof=record.check, answer=said)


events = st.one_of(
    st.builds(
        Event,
        role=st.sampled_from(["homeowner", "desk", "technician"]),
        hands=st.none() | st.sampled_from(["homeowner", "technician"]),
    ),
    st.builds(Event, hands=st.sampled_from(["homeowner", "technician"])),
    st.builds(
        Event,
        heard=st.text(max_size=8),
        complaints=st.none() | st.lists(st.sampled_from(sorted(KB.complaints)), max_size=2),
    ),
    st.builds(Event, complaints=st.lists(st.sampled_from(sorted(KB.complaints)), max_size=2)),
    st.sampled_from([(f.id, o) for f in KB.facts.values() for o in f.options]).map(
        lambda x: Event(fact=x[0], is_=x[1])
    ),
    st.sampled_from(LOOKS).map(lambda x: Event(check=x[0], answer=x[1])),
    st.just(Event(check="standpipe-height", value="31 in")),
    st.sampled_from(GATES).map(lambda x: Event(cleared=x[0], word=x[1])),
    st.sampled_from(GATES).map(lambda x: Event(stopped=x[0])),
    st.builds(Event, cant=st.sampled_from(sorted(KB.checks)[:9])),
    st.builds(Event, skip=st.sampled_from(sorted(KB.facts))),
    st.builds(Event, note=st.text(max_size=8)),
    st.builds(Event, remedy=st.sampled_from(PROVED), did=st.sampled_from([None, "done", "could-not"])),
    st.tuples(st.sampled_from(PROVED), st.booleans()).map(lambda x: proof(*x)),
    st.builds(Event, still=st.lists(st.sampled_from(sorted(KB.complaints)), max_size=2)),
    st.just(Event(resumed=True)),
    st.sampled_from(sorted(KB.machines)).map(lambda m: Event(machine=m)),
)
lists = st.lists(events, max_size=14)


@settings(max_examples=200, deadline=None)
@given(lists)
def test_any_list_of_sound_events_folds_and_stays_consistent(found):
    assert all(event_problems(KB, e) == [] for e in found)
    state = fold(KB, found)
    assert state.epoch == sum(e.remedy is not None and (e.did or "done") == "done" for e in found)
    assert len(set(state.complaints)) == len(state.complaints)
    assert [n for n, _ in state.stands] == list(state.complaints)
    assert all(e <= state.epoch for _, e in state.stands)
    assert {n for n, _ in state.gone} <= set(state.complaints)
    assert len(dict(state.facts)) == len(state.facts)
    assert len(dict(state.passed_over)) == len(state.passed_over)
    assert not ({n for n, _ in state.passed_over} & set(dict(state.facts)))
    assert state.stopped not in state.cleared or state.stopped is None
    last = {(a.check, a.epoch, a.hands) for a in state.answers if not a.proof}
    assert len(last) == sum(
        not a.proof for a in state.answers
    )  # one answer to a check, by the same hands, between two remedies


@settings(max_examples=150, deadline=None)
@given(lists, st.integers(0, 14))
def test_a_case_may_be_cut_anywhere_and_gone_on_with(found, cut):
    head, tail = found[:cut], found[cut:]
    state = fold(KB, head)
    for event in tail:
        state = step(KB, state, event)
    assert state == fold(KB, found)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        events
        | st.builds(Event, remedy=st.sampled_from(PROVED), did=st.sampled_from(["done", "could-not"]))
        | st.tuples(st.sampled_from(PROVED), st.booleans()).map(lambda x: proof(*x)),
        max_size=20,
    )
)
def test_what_a_long_case_puts_aside_comes_back_in_its_place(found):
    """With nothing kept from step to step but what a proof may still judge, the state is that of the steps one by one."""
    one_by_one = reduce(lambda state, event: step(KB, state, event), found, State())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("dryfloor.engine.case.state.KEPT", 0)
        assert fold(KB, found) == one_by_one


@settings(max_examples=100, deadline=None)
@given(lists, events)
def test_back_restores_byte_for_byte(found, one):
    before = msgspec.json.encode(fold(KB, found))
    longer = [*found, one]
    fold(KB, longer)
    assert msgspec.json.encode(fold(KB, longer[:-1])) == before


@settings(max_examples=60, deadline=None)
@given(st.lists(events.filter(lambda e: not e.proof), max_size=8))
def test_the_file_is_replayed_to_the_same_state(found):
    assert msgspec.json.encode(fold(KB, parse_case(KB, dump(found).encode()))) == msgspec.json.encode(fold(KB, found))


def test_back_restores_the_advice_byte_for_byte():
    gates = [Event(cleared=g, word=KB.hazards[g].gate.word) for g in KB.complaints["walks"].gates]
    case = [Event(role="technician"), Event(complaints=["walks"]), *gates, Event(fact="onset", is_="new")]
    more = [
        Event(check="restraints-left", answer="base-block"),
        Event(cant="foot-gap"),
        Event(remedy="base-block-left-in", did="done"),
        proof("base-block-left-in", False),
        Event(role="desk"),
    ]
    before = msgspec.json.encode(advise(KB, case))
    for n in range(1, len(more) + 1):
        assert msgspec.json.encode(advise(KB, case + more[:n])) != before
    assert msgspec.json.encode(advise(KB, list(case))) == before


def test_an_event_is_known_by_its_leading_field():
    assert {
        leading(Event(**{n: [] if n in ("complaints", "still") else True if n == "resumed" else "x"})) for n in LEADING
    } == set(LEADING)
    assert leading(Event(hands="homeowner")) == "hands"
    assert leading(Event(heard="x", complaints=["walks"])) == "heard"
    fields = {*Event.__struct_fields__} - {"at"}  # a time goes with all
    assert {*LEADING, *(c for cs in COMPANIONS.values() for c in cs)} == fields


def test_the_state_is_never_changed_in_place():
    state = of(Event(complaints=["walks"]))
    kept = msgspec.json.encode(state)
    for event in (Event(fact="onset", is_="new"), Event(remedy="foot-unloaded", did="done"), Event(still=[])):
        step(KB, state, event)
    assert msgspec.json.encode(state) == kept


@pytest.mark.parametrize(
    ("role", "hands"), [("homeowner", "homeowner"), ("desk", "homeowner"), ("technician", "technician")]
)
def test_a_role_brings_its_usual_hands_unless_others_are_named(role, hands):
    assert (of(Event(role=role)).role, of(Event(role=role)).hands) == (role, hands)
    other = "technician" if hands == "homeowner" else "homeowner"
    assert of(Event(role=role, hands=other)).hands == other
    assert of(Event(role="desk"), Event(hands="technician")).role == "desk"


@pytest.mark.parametrize(
    "event", [Event(resumed=True), Event(role="technician"), Event(role="homeowner"), Event(hands="homeowner")]
)
def test_whoever_is_new_at_the_machine_is_asked_the_gates_again(event):
    state = of(
        Event(role="homeowner"),
        Event(complaints=["walks"]),
        Event(cleared="walking-machine"),
        Event(check="restraints-left", answer="none"),
    )
    assert state.cleared == ("walking-machine",)
    after = step(KB, state, event)
    assert after.cleared == ()
    assert after.answers == state.answers
    assert after.complaints == state.complaints
    stopped = of(Event(stopped="walking-machine"))
    assert step(KB, stopped, event).stopped is None
    gates = KB.complaints["walks"].gates
    case = [Event(role="homeowner"), Event(complaints=["walks"]), *(Event(cleared=g) for g in gates)]
    assert advise(KB, case).next.kind != "gate"
    again = advise(KB, [*case, event]).next
    assert again.kind == "gate"
    assert again.id in gates


def test_new_hands_may_do_what_the_old_could_not():
    state = of(Event(role="homeowner"), Event(cant="foot-gap"), Event(skip="onset"))
    assert state.passed_over == (("foot-gap", "cant"), ("onset", "skip"))
    assert step(KB, state, Event(role="desk")).passed_over == state.passed_over  # the same hands
    assert step(KB, state, Event(role="technician")).passed_over == ()


def test_a_gate_is_cleared_stopped_at_and_cleared_later():
    assert of(Event(stopped="sewage")).stopped == "sewage"
    assert of(Event(cleared="sewage"), Event(stopped="sewage")).cleared == ()
    late = of(Event(stopped="sewage"), Event(cleared="sewage"))
    assert (late.stopped, late.cleared) == (None, ("sewage",))
    assert of(Event(stopped="sewage"), Event(cleared="gas-smell")).stopped == "sewage"


def test_an_answer_that_raises_a_hazard_takes_its_clearance_back():
    check, answer, hazard = next(
        (c.id, a, x.raises) for c in KB.checks.values() for a, x in c.answers.items() if x.raises
    )
    state = of(Event(cleared=hazard), Event(cleared="gas-smell"), Event(check=check, answer=answer))
    assert state.cleared == tuple(g for g in ("gas-smell",) if g != hazard)
    other = next(a for a, x in KB.checks[check].answers.items() if not x.raises)
    assert hazard in of(Event(cleared=hazard), Event(check=check, answer=other)).cleared


def test_a_second_answer_replaces_the_first_and_is_said_aloud():
    state = of(Event(check="restraints-left", answer="none"), Event(check="restraints-left", answer="base-block"))
    assert state.answers == (Answered("restraints-left", "base-block", "homeowner", 0),)
    assert state.notices == (
        "Shipping restraints left: was 'nothing; only empty holes or caps'; it is now 'a block or packing is still under the machine'.",
    )
    again = of(Event(check="restraints-left", answer="none"), Event(check="restraints-left", answer="none"))
    assert (len(again.answers), again.notices) == (1, ())


def test_after_a_remedy_or_by_other_hands_it_is_a_new_answer():
    first = Event(check="restraints-left", answer="none")
    mended = of(first, Event(remedy="foot-unloaded", did="done"), Event(check="restraints-left", answer="base-block"))
    assert [(a.said, a.epoch) for a in mended.answers] == [("none", 0), ("base-block", 1)]
    assert mended.notices == ()
    failed = of(
        first, Event(remedy="foot-unloaded", did="could-not"), Event(check="restraints-left", answer="base-block")
    )
    assert [a.said for a in failed.answers] == ["base-block"]
    handed = of(first, Event(role="technician"), Event(check="restraints-left", answer="base-block"))
    assert [(a.said, a.hands) for a in handed.answers] == [("none", "homeowner"), ("base-block", "technician")]


def test_a_changed_fact_is_said_aloud_and_no_longer_passed_over():
    state = of(Event(skip="onset"), Event(fact="onset", is_="new"), Event(fact="onset", is_="moved"))
    assert (state.facts, state.passed_over) == ((("onset", "moved"),), ())
    assert state.notices == (
        "When it began: was 'since it was newly installed'; it is now 'since it was moved or pulled out'.",
    )
    assert of(Event(fact="onset", is_="new"), Event(fact="onset", is_="new")).notices == ()
    assert of(Event(cant="foot-gap"), Event(check="foot-gap", value="0 mm")).passed_over == ()


def test_complaints_are_kept_once_in_the_order_they_came():
    state = of(Event(heard="it hops", complaints=["walks", "walks"]), Event(complaints=["siphons", "walks"]))
    assert (state.complaints, state.words) == (("walks", "siphons"), ("it hops",))
    assert state.stands == (("walks", 0), ("siphons", 0))


def test_a_complaint_that_was_gone_and_is_said_again_stands_anew():
    gone = [Event(complaints=["walks", "siphons"]), Event(remedy="foot-unloaded", did="done"), Event(still=["siphons"])]
    assert of(*gone).gone == (("walks", 1),)
    state = of(*gone, Event(complaints=["walks"]))
    assert state.gone == ()
    assert dict(state.stands) == {"walks": 1, "siphons": 1}
    assert state.closed is None


def test_only_a_remedy_that_was_done_begins_a_new_epoch():
    assert of(Event(remedy="foot-unloaded", did="done")).epoch == 1
    assert of(Event(remedy="foot-unloaded")).epoch == 1
    state = of(Event(remedy="foot-unloaded", did="could-not"))
    assert (state.epoch, state.remedies) == (0, (Tried("foot-unloaded", "could-not", 0),))


def test_a_passed_proof_of_the_only_complaint_closes_the_case():
    state = of(
        Event(complaints=["walks"]), Event(remedy="base-block-left-in", did="done"), proof("base-block-left-in", True)
    )
    assert (state.closed, state.gone) == ("solved", (("walks", 1),))
    assert state.remedies[-1].passed is True
    assert state.answers[-1].proof


def test_a_proof_that_repeats_another_complaint_asks_what_is_left():
    """The water goes off in time, and it may still smell: that a proof passed ends what it repeats, and nothing else."""
    case = [
        Event(complaints=["suds-or-smell"]),
        *(Event(cleared=g) for g, _ in GATES),
        Event(remedy="pump-filter-clogged", did="done"),
        Event(proof="pump-out-time", value="1.5 min"),
    ]
    assert (of(*case).closed, of(*case).gone, of(*case).remedies[-1].passed) == (None, (), True)
    assert advise(KB, case).next.id == "still-there"
    assert of(*case, Event(still=[])).closed == "solved"
    stands = [*case, Event(still=["suds-or-smell"])]
    assert of(*stands).closed is None
    assert advise(KB, stands).next.id != "still-there"
    of_its_own = [Event(complaints=["no-drain"]), *case[1:]]
    assert of(*of_its_own).closed == "solved"


def test_a_passed_proof_with_two_complaints_asks_which_is_left():
    case = [
        Event(role="technician"),
        Event(complaints=["walks", "siphons"]),
        *(Event(cleared=g) for g, _ in GATES),
        Event(remedy="base-block-left-in", did="done"),
        proof("base-block-left-in", True),
    ]
    assert (of(*case).closed, of(*case).gone) == (None, ())
    assert advise(KB, case).next.id == "still-there"
    left = [*case, Event(still=["siphons"])]
    assert (of(*left).gone, of(*left).asked_still) == ((("walks", 1),), 1)
    assert dict(of(*left).stands)["siphons"] == 1
    assert of(*case, Event(still=[])).closed == "solved"


def test_a_failed_proof_makes_the_complaint_stand_after_the_remedy():
    state = of(
        Event(complaints=["walks"]), Event(remedy="base-block-left-in", did="done"), proof("base-block-left-in", False)
    )
    assert (state.closed, state.gone, dict(state.stands)) == (None, (), {"walks": 1})
    assert state.remedies[-1].passed is False


def test_a_failed_proof_speaks_only_of_what_the_cause_shows():
    shown = {s.complaint for s in KB.causes["base-block-left-in"].shows}
    assert "siphons" not in shown
    state = of(
        Event(complaints=["walks", "siphons"]),
        Event(remedy="base-block-left-in", did="done"),
        proof("base-block-left-in", False),
    )
    assert dict(state.stands) == {"walks": 1, "siphons": 0}


def test_a_proof_belongs_to_the_last_remedy_that_was_done():
    state = of(
        Event(complaints=["walks"]),
        Event(remedy="base-block-left-in", did="done"),
        Event(remedy="foot-unloaded", did="could-not"),
        proof("base-block-left-in", True),
    )
    assert [(t.cause, t.passed) for t in state.remedies] == [("base-block-left-in", True), ("foot-unloaded", None)]


def test_a_proof_that_proves_nothing_is_left_out_aloud():
    """The journal of an older kb may hold one."""
    for case in (
        [proof("base-block-left-in", True)],
        [Event(remedy="base-block-left-in", did="could-not"), proof("base-block-left-in", True)],
        [Event(remedy="standpipe-too-high", did="done"), proof("base-block-left-in", True)],
    ):
        state = of(*case)
        assert state.answers == ()
        assert "left out" in state.notices[-1]
        assert all(t.passed is None for t in state.remedies)


def test_a_measured_proof_passes_within_its_rule_alone():
    cause = next(c for c in KB.causes.values() if c.proof.passes == "within" and c.proof.check == "pump-out-time")
    rule = KB.rules[KB.checks[cause.proof.check].rule]
    assert rule.max
    inside, outside = rule.plausible.split(" to ")
    if not rule.min:
        assert passes(KB, cause.id, inside, "technician")
    assert not passes(KB, cause.id, outside, "technician")
    look = KB.causes["base-block-left-in"]
    assert passes(KB, look.id, look.proof.passes, "technician")
    assert not passes(KB, look.id, "other", "technician")


def test_notes_words_machine_and_closing_are_kept():
    state = of(
        Event(note="cat asleep in it"),
        Event(heard="it hops"),
        Event(machine="brook-front-loader"),
        Event(closed="handed-on"),
    )
    assert (state.notes, state.words, state.machine, state.closed) == (
        ("cat asleep in it",),
        ("it hops",),
        "brook-front-loader",
        "handed-on",
    )
    assert of() == State()


def test_what_is_healthy_ends_with_a_yes_and_needs_no_proof():
    healthy = next(c for c in KB.causes.values() if c.kind == "normal" and c.proof.passes != "within")
    other = next(c for c in sorted(KB.complaints) if c != "noisy")
    yes = Event(remedy=healthy.id, did="done")
    state = of(Event(complaints=["noisy"]), yes)
    assert (state.closed, state.gone) == ("solved", (("noisy", 1),))
    assert of(Event(complaints=["noisy"]), Event(remedy=healthy.id, did="could-not")).closed is None
    # Of two complaints it is asked which is left; a fault still waits for its proof.
    assert of(Event(complaints=["noisy", other]), yes).closed is None
    fault = next(c for c in PROVED if KB.causes[c].kind != "normal")
    assert of(Event(complaints=["noisy"]), Event(remedy=fault, did="done")).closed is None
    # A case of an older program asked for a proof: where that failed, the complaint stands again.
    again = of(Event(complaints=["noisy"]), yes, proof(healthy.id, False))
    assert (again.closed, again.gone, dict(again.stands)) == (None, (), {"noisy": 1})


@pytest.mark.parametrize("how", ["cant", "skip"])
def test_who_can_not_tell_what_is_left_is_not_asked_again_at_once(kb, how):
    events = [
        Event(role="homeowner"),
        Event(complaints=["walks"]),
        Event(remedy="foot-unloaded", did="done"),
        Event(**{how: "spin-stays-put"}),
        Event(**{how: "still-there"}),
    ]
    state = fold(kb, events)
    assert state.asked_still == state.epoch == 1
    again = fold(kb, [*events, Event(remedy="foot-unloaded", did="done")])
    assert again.asked_still < again.epoch


def test_a_fix_counts_as_seen_only_by_its_proof(kb):
    mended = [Event(complaints=["walks"]), Event(remedy="foot-unloaded", did="done")]
    assert not seen_to_work(fold(kb, [*mended, Event(cant="spin-stays-put"), Event(still=[])]))
    assert seen_to_work(fold(kb, [*mended, Event(proof="spin-stays-put", answer="stayed")]))
