"""One net for each kb, beliefs with both probabilities, and nothing worked out before it is needed."""

import msgspec
import pytest

from dryfloor.engine import effort
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.errors import InvalidInputError


def analysis(kb, *events: Event) -> Analysis:
    return Analysis(network_of(kb), fold(kb, [Event(role="technician"), *events]))


def test_one_net_for_each_kb(kb) -> None:
    other = msgspec.structs.replace(kb)
    assert network_of(kb) is network_of(kb)
    assert network_of(other) is not network_of(kb)
    assert network_of(kb).kb is kb
    assert network_of(other).kb is other


def test_both_probabilities_are_of_the_exact_belief(kb) -> None:
    t = analysis(kb, Event(complaints=["walks"]), Event(check="foot-gap", value="2 mm"))
    index = {c: i for i, c in enumerate(t.evidence.causes)}
    for b in t.beliefs:
        assert b.p == pytest.approx(float(t.posterior.explains[index[b.cause]]), abs=1e-9)
        assert b.present == pytest.approx(float(t.posterior.present[index[b.cause]]), abs=1e-9)
        assert b.p == round(b.p, 9)
    assert t.unknown == pytest.approx(t.posterior.unknown, abs=1e-9)


def test_without_a_complaint_p_is_presence(kb) -> None:
    t = analysis(kb, Event(check="foot-gap", value="2 mm"))
    assert all(b.p == b.present for b in t.beliefs)
    assert t.beliefs[0].cause == "foot-unloaded"


def test_when_all_complaints_are_gone_p_is_presence(kb) -> None:
    t = analysis(
        kb, Event(complaints=["walks"]), Event(remedy="foot-unloaded"), Event(proof="spin-stays-put", answer="stayed")
    )
    assert all(b.p == b.present for b in t.beliefs)


def test_a_present_cause_need_not_explain(kb) -> None:
    """A short standpipe is there by its reading; a machine that walks is not explained by it."""
    drain = Event(fact="drain", is_="standpipe")
    usual = next(b for b in analysis(kb, drain).beliefs if b.cause == "standpipe-too-low")
    t = analysis(kb, Event(complaints=["walks"]), drain, Event(check="standpipe-height", value="27 in"))
    low = next(b for b in t.beliefs if b.cause == "standpipe-too-low")
    assert low.present > 10 * usual.present
    assert low.p == 0


def test_scenarios_and_views_wait_until_they_are_asked_for(kb) -> None:
    t = analysis(kb, Event(complaints=["walks"]))
    assert t.residual == 0
    assert t._scenarios is None
    assert t._view is None
    assert t.scenarios is t.scenarios
    assert t.decision_problem is t.decision_problem
    assert t.residual == t.scenarios.residual


def test_evidence_is_that_of_the_state(kb) -> None:
    events = [Event(role="technician"), Event(complaints=["siphons"]), Event(fact="drain", is_="tub")]
    state = fold(kb, events)
    t = Analysis(network_of(kb), state)
    assert t.evidence.names == gather_evidence(network_of(kb), state).names
    assert "standpipe-too-low" not in {b.cause for b in t.beliefs}


def test_a_case_that_hangs_together_too_much_is_refused_with_a_way_out(kb, monkeypatch) -> None:
    monkeypatch.setattr(effort, "MOST_CELLS", 1000)
    events = [
        Event(role="technician"),
        Event(complaints=["siphons", "walks"]),
        Event(check="hose-sealed", answer="taped"),
    ]
    with pytest.raises(InvalidInputError) as refused:
        Analysis(network_of(kb), fold(kb, events))
    problem = refused.value.problems[0]
    assert problem.code == "C030"
    assert "2 complaints and 1 answer hang" in problem.message
    assert "alone" in problem.mend
