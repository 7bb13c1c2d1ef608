"""The weight of an answer is what leaving it out changes."""

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from dryfloor.engine import effort
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.explain import left_out, weights
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.rows import leading
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from tests.support.heavy_cases import alternating

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


def plainly_left_out(kb, events):
    """What `left_out` says, each answer left out of the list of events and all of it folded again."""
    out = []
    for i, event in enumerate(events):
        if leading(event) in ("check", "fact"):
            beliefs = Analysis(network_of(kb), fold(kb, events[:i] + events[i + 1 :])).beliefs
            out.append((i, {b.cause: b.p for b in beliefs}))
    return out


@settings(deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_what_was_changed_later_is_left_out_as_if_all_was_folded_again(kb, data) -> None:
    """Few checks and facts, many changes, both hands, remedies, proofs and trials between: where the order could matter."""
    causes = ["feet-not-level", "standpipe-too-low"]
    causes = [c for c in causes if c in kb.causes] or sorted(kb.causes)[:2]
    event = st.one_of(
        st.sampled_from([("hose-sealed", "taped"), ("hose-sealed", list(kb.checks["hose-sealed"].answers)[-1])]).map(
            lambda a: Event(check=a[0], answer=a[1])
        ),
        st.sampled_from(["31 in", "39 in"]).map(lambda v: Event(check="standpipe-height", value=v)),
        st.sampled_from(["tub", "standpipe"]).map(lambda o: Event(fact="drain", is_=o)),
        st.sampled_from(list(kb.facts["rhythm"].options)).map(lambda o: Event(fact="rhythm", is_=o)),
        st.sampled_from(["homeowner", "desk", "technician"]).map(lambda r: Event(role=r)),
        st.sampled_from([Event(skip="drain"), Event(cant="hose-sealed"), Event(still=["siphons"]), Event(still=[])]),
        st.sampled_from(causes).map(lambda c: Event(remedy=c, did="done")),
        st.sampled_from([Event(trial="came-back"), Event(trial="stayed-away")]),
        st.sampled_from(causes).flatmap(lambda c: proof_of(kb, c)),
    )
    events = [
        Event(role="technician"),
        Event(complaints=["siphons", "walks"]),
        *data.draw(st.lists(event, max_size=14)),
    ]
    try:
        plain = plainly_left_out(kb, events)
    except ValueError:
        assume(False)  # these answers can't all be true
    assert left_out(kb, events) == plain


def proof_of(kb, cause):
    check = kb.checks[kb.causes[cause].proof.check]
    if check.kind == "measure":
        return st.just(Event(proof=check.id, value="38 in"))
    return st.sampled_from(list(check.answers)).map(lambda a: Event(proof=check.id, answer=a))


def test_a_case_of_many_changes_costs_no_more_than_what_stands(kb) -> None:
    """Counted, not timed: the posteriors that are worked out are those of the answers that stand, and one for all changed ones."""
    spent = []
    for count in (80, 160, 1600):
        with effort.limit(100) as all_of_it:
            assert len(left_out(kb, alternating(kb, count, checks=4))) == count
        spent.append(all_of_it.spent)
    assert spent[0] == spent[1] == spent[2]


@pytest.mark.parametrize("order", ["tht", "thth", "htht", "tth", "thht", "hth"])
def test_of_two_hands_the_one_that_looked_last_counts_where_an_answer_is_left_out(kb, order) -> None:
    """Each looks again and sees the other thing than before."""
    role = {"t": "technician", "h": "desk"}
    answers = list(kb.checks["hose-sealed"].answers)
    events = [Event(complaints=["siphons", "walks"])]
    for n, who in enumerate(order):
        events += [Event(role=role[who]), Event(check="hose-sealed", answer=answers[(n + order[:n].count(who)) % 2])]
    assert left_out(kb, events) == plainly_left_out(kb, events)
