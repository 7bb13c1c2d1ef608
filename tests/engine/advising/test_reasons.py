"""The one line on why a step comes now names what an answer would tell, and is true of the belief."""

import re

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.reasons import LEFT, LIKELY, why_now
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.planning.problem import ActionValue, Decision

SAID = re.compile(
    r'^if (?:"(?P<answer>.+)"|it is (?:under|over) .+|it is within the rule), '
    r"(?P<says>it is almost surely this|it is most likely this|it can hardly be this|this becomes (?:much )?likelier): "
    r"(?P<title>[^(]+?)(?: \((?:under |over )?\d+ in 100 so far\))?$"
)


def asked(kb, role: str, complaint: str, most: int = 12):
    """Steps of a walk with its advice, first answers given to what is asked."""
    events = [
        Event(role=role),
        Event(complaints=[complaint]),
        *(Event(cleared=h) for h, r in kb.hazards.items() if r.gate),
    ]  # type: ignore[arg-type]
    for n in range(most):
        advice = advise(kb, events)
        step = advice.next
        if step is None or step.kind not in ("fact", "check") or step.proof:
            return
        yield events, advice
        if step.kind == "fact":
            events = [*events, Event(fact=step.id, is_=list(kb.facts[step.id].options)[n % 2])]
        elif kb.checks[step.id].kind == "measure":
            events = [*events, Event(cant=step.id)]
        else:
            events = [*events, Event(check=step.id, answer=list(kb.checks[step.id].answers)[-1])]


@pytest.mark.parametrize(
    "role", ["homeowner", *(pytest.param(r, marks=pytest.mark.slow) for r in ("desk", "technician"))]
)
def test_every_question_has_a_reason_in_words(kb, role: str) -> None:
    plain = 0
    for complaint in ("walks", "siphons", "no-drain", "water-on-floor"):
        for _, advice in asked(kb, role, complaint):
            why = advice.next.why
            if why.startswith(("it decides wh", "it must stand", "it must be known before", "it parts what is left")):
                continue
            found = SAID.match(why)
            assert found, why
            titles = {b.title.lower() for b in advice.beliefs}
            assert found["title"].lower() in titles, why
            plain += 1
    assert plain > 10


def test_what_is_promised_of_an_answer_comes_true(kb) -> None:
    """Say the answer that the reason names: the exact belief then moves as promised (planning belief: to 0.12)."""
    kept = 0
    for complaint in ("walks", "siphons", "no-drain", "leaking-coupling"):
        for events, advice in asked(kb, "technician", complaint):
            step, found = advice.next, SAID.match(advice.next.why)
            if not found or not found["answer"] or step.kind != "check":
                continue
            check = kb.checks[step.id]
            answer = next(a for a, r in check.answers.items() if r.says == found["answer"])
            cause = next(b.cause for b in advice.beliefs if b.title.lower() == found["title"].lower())
            was = {b.cause: b.p for b in advice.beliefs}[cause]
            now = {b.cause: b.p for b in advise(kb, [*events, Event(check=step.id, answer=answer)]).beliefs}[cause]
            if found["says"].startswith(("it is almost", "it is most")):
                assert now > LIKELY - 0.12, (step.id, answer, cause, was, now)
                assert answer != list(check.answers)[-1]
            elif found["says"].startswith("it can hardly"):
                assert now < was * (LEFT + 0.12), (step.id, answer, cause, was, now)
            else:
                assert now > was, (step.id, answer, cause, was, now)
                assert answer != list(check.answers)[-1]
            kept += 1
    assert kept > 10


def test_remedies_and_handing_on_say_how_sure_and_why(kb) -> None:
    events = [Event(role="homeowner"), Event(complaints=["siphons"]), Event(fact="drain", is_="standpipe")]
    t = Analysis(network_of(kb), fold(kb, events))
    low = next(b for b in t.beliefs if b.cause == "standpipe-too-low")
    said = why_now(t, Decision(ActionValue("remedy", "hand-on:standpipe-too-low", 1.0)))
    assert said.startswith("standpipe too low: it explains what you see")
    assert f"{100 * low.p:.0f} in 100" in said
    assert said.endswith("work for a licensed plumber")
    alone = why_now(t, Decision(ActionValue("remedy", "remedy:hose-sealed-in-pipe", 1.0)))
    assert "asking" not in alone
    asking = ActionValue("question", "check:hose-sealed", 2.0)
    assert "asking on" in why_now(t, Decision(ActionValue("remedy", "remedy:hose-sealed-in-pipe", 1.0), [asking]))
    assert why_now(t, Decision(ActionValue("hand-on", "", 1.0))).startswith("nothing that is left")
