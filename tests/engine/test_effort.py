"""effort: what is spent is counted in every limit around it, once for what is remembered, and nothing goes on that nobody waits for."""

import threading

import pytest

from dryfloor.engine import effort
from dryfloor.engine.advise import advise, question_of
from dryfloor.engine.advising.explain import weights
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import MOST_EVENTS, fold
from dryfloor.engine.effort import AbandonedError, IntractableError, abandoned_when, limit, spend, spend_once
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.paper.filled_sheet import FilledSheet
from dryfloor.engine.reports.handover import handover
from dryfloor.engine.reports.recheck import rechecks
from dryfloor.engine.reports.report import report
from dryfloor.engine.reports.visit_plan import bring
from dryfloor.engine.survey.assess import survey
from tests.support.heavy_cases import abnormal, all_abnormal, alternating


def test_an_inner_limit_spends_of_the_outer_one_and_holds_by_itself(monkeypatch):
    monkeypatch.setattr(effort, "MOST_CELLS", 10)
    with limit(2) as outer:
        for _ in range(2):
            with limit():
                spend(8)
        assert outer.spent == 16
        with pytest.raises(IntractableError), limit():
            spend(11)

    def thrice():
        for _ in range(3):
            with limit():
                spend(8)

    with limit(2), pytest.raises(IntractableError):
        thrice()
    spend(10**12)  # without a limit nothing is refused


def test_what_is_remembered_counts_once_in_the_outermost_limit():
    with limit() as outer:
        for _ in range(3):
            with limit():
                spend_once("words", 5)
        assert outer.spent == 5
    with limit() as outer:
        spend_once("words", 5)
        assert outer.spent == 5


WAYS = {
    "advise": advise,
    "question": lambda kb, events: question_of(kb, events, "drain"),
    "weights": weights,
    "hand-over": handover,
    "report": report,
    "bring": bring,
}


@pytest.mark.parametrize("way", WAYS)
def test_every_way_in_refuses_the_same_case_with_what_to_leave_out(kb, way):
    events = [*all_abnormal(kb), *(Event(cleared=h) for h, r in kb.hazards.items() if r.gate)]
    with pytest.raises(InvalidInputError) as refused:
        WAYS[way](kb, events)
    (problem,) = refused.value.problems
    assert problem.code == "C030"
    answered = sum(e.check is not None for e in events)
    assert answered > 200
    assert f"6 complaints and {answered} answers" in problem.message
    assert "alone" in problem.mend


def test_words_that_name_complaints_pass_no_limit(kb):
    heard = [Event(heard=c.hear[0]) for c in kb.complaints.values()]
    with pytest.raises(InvalidInputError) as refused:
        advise(kb, [Event(role="technician"), *heard, *abnormal(kb)])
    assert [p.code for p in refused.value.problems] == ["C030"]


def test_a_survey_is_held_to_the_same(kb, monkeypatch):
    drain = FilledSheet("s", {"drain": "standpipe"}, {"standpipe-height": "31 in"}, None, "technician")
    assert survey(kb, drain).lines
    monkeypatch.setattr(effort, "MOST_CELLS", 1000)
    with pytest.raises(InvalidInputError) as refused:
        survey(kb, drain)
    assert refused.value.problems[0].code == "C030"
    with pytest.raises(InvalidInputError) as refused:
        rechecks(
            kb, fold(kb, [Event(role="desk"), Event(complaints=["walks"]), *abnormal(kb)[:3], Event(role="technician")])
        )
    assert refused.value.problems[0].code == "C030"


def test_refusals_hang_on_nothing_that_is_remembered(kb):
    """What an answer spends is the same the first time and the second."""
    events = [Event(role="desk"), Event(heard="it hops about when it spins and it is dark outside"), *abnormal(kb)[:9]]
    spent = []
    for _ in range(2):
        with limit(100) as all_of_it:
            advise(kb, events)
        spent.append(all_of_it.spent)
    assert spent[0] == spent[1] > 1000


def test_one_complaint_is_told_to_leave_out_answers_and_many_remedies_to_begin_anew(kb, monkeypatch):
    monkeypatch.setattr(effort, "MOST_CELLS", 1000)
    for events, words in (
        (all_abnormal(kb, 1), "leave out the answers"),
        ([*all_abnormal(kb, 2), *[Event(remedy=sorted(kb.causes)[0], did="done")] * 31], "begin a new case"),
    ):
        with pytest.raises(InvalidInputError) as refused:
            advise(kb, events)
        assert words in refused.value.problems[0].mend


def test_too_many_events_are_refused_with_a_code_of_their_own(kb):
    assert fold(kb, alternating(kb, MOST_EVENTS - 2)).answers
    with pytest.raises(InvalidInputError) as refused:
        advise(kb, alternating(kb, MOST_EVENTS + 1000))
    assert refused.value.problems[0].code == "C032"
    assert "10,000" in refused.value.problems[0].expected


@pytest.mark.parametrize("way", ["advise", "hand-over", "bring"])
def test_thinking_ends_at_its_next_step_once_nobody_waits(kb, way):
    """Wherever the flag is raised, what is under way ends: it is asked at every step, not only at the first."""
    events = [Event(role="desk"), Event(complaints=["spin-wet", "noisy"]), *abnormal(kb)[:20]]
    events += [Event(cleared=h) for h, r in kb.hazards.items() if r.gate]
    asked = 0

    def after(most):
        def abandoned():
            nonlocal asked
            asked += 1
            return asked > most

        return abandoned

    with abandoned_when(after(10**9)):
        advise(kb, events)
    steps = asked
    assert steps > 400
    for at in (0, steps // 4, steps // 2, steps - 1):
        asked = 0
        with pytest.raises(AbandonedError), abandoned_when(after(at)):
            WAYS[way](kb, events)
        assert asked == at + 1


def test_a_flag_of_one_thread_is_not_that_of_another():
    flag = threading.Event()
    flag.set()
    seen = []

    def other():
        spend(1)
        seen.append("went on")

    with abandoned_when(flag.is_set):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert seen == ["went on"]
