"""Gates, what must be asked first, proofs, what is left; each found by walking, not by looking into the choice."""

import msgspec
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event

ROLES = ("homeowner", "desk", "technician")
COMPLAINTS = ("walks", "siphons", "no-drain", "leaking-coupling", "freeze-damage", "standpipe-overflow")


def begun(kb, role: str, *complaints: str) -> list[Event]:
    """A case with its complaints, and every gate cleared."""
    gates = [Event(cleared=h) for h, record in kb.hazards.items() if record.gate]
    return [Event(role=role), Event(complaints=list(complaints)), *gates]  # type: ignore[arg-type]


def following(kb, events: list[Event], most: int = 60):
    """Every advice of a walk in which checks come out normal, facts are not known, and no remedy can be done."""
    for _ in range(most):
        advice = advise(kb, events)
        yield events, advice
        step = advice.next
        if step is None or step.kind in ("hand-on", "stop"):
            return
        if step.kind == "remedy":
            events = [*events, Event(remedy=step.id, did="could-not")]
        elif step.kind == "fact":
            events = [*events, Event(fact=step.id, is_=next(iter(kb.facts[step.id].options)))]
        elif kb.checks[step.id].kind == "measure":
            events = [*events, Event(cant=step.id)]
        else:
            events = [*events, Event(check=step.id, answer=list(kb.checks[step.id].answers)[-1])]
    raise AssertionError("no end")


# The quick run walks from two of them.
PARTS = [COMPLAINTS[:2], pytest.param(COMPLAINTS[2:], marks=pytest.mark.slow)]


@pytest.fixture(scope="module", params=PARTS, ids=["two", "the others"])
def walked(kb, request):
    """Every advice of such a walk of each role from each of some complaints."""
    return {(role, c): list(following(kb, begun(kb, role, c))) for role in ROLES for c in request.param}


@pytest.mark.parametrize("role", ROLES)
def test_facts_come_before_checks_that_hang_on_them(kb, walked, role: str) -> None:
    hung = 0
    for events, advice in (each for (who, _), steps in walked.items() if who == role for each in steps):
        step = advice.next
        known = {e.fact for e in events if e.fact} | {e.cant or e.skip for e in events}
        if step and step.kind == "check" and not step.proof:
            # What everything complained of already tells is not asked: a washer hurt by frost stood in frost.
            complaints = {c for e in events for c in e.complaints or ()}
            told = {
                f for f in kb.checks[step.id].when if any(complaints <= {*u.complaints} for u in kb.facts[f].unless)
            }
            assert set(kb.checks[step.id].when) <= known | told, step.id
            hung += bool(kb.checks[step.id].when)
    assert hung, "no check that hangs on a fact was ever asked"


def test_a_fact_that_decides_about_a_check_says_so(kb, walked) -> None:
    said = [
        advice.next.why
        for steps in walked.values()
        for _, advice in steps
        if advice.next and advice.next.kind == "fact" and advice.next.why.startswith("it decides whether")
    ]
    titles = {c.title.lower() for c in kb.checks.values() if c.when}
    assert said
    assert all(why.partition(": ")[2] in titles for why in said)


CONDITIONS = ["restraints-left-in", "standpipe-too-low", "tap-stem-weeps", "tub-too-small", "standpipe-too-high"]


@pytest.mark.parametrize("cause", CONDITIONS)
def test_what_a_remedy_stands_on_is_asked_before_it(kb, cause: str) -> None:
    """All other questions are passed over: even so nobody mends, and nobody is booked, before the condition is seen."""
    record = kb.causes[cause]
    only = record.remedy.only_if
    assert only is not None
    complaint = next(s.complaint for s in record.shows if s.complaint)
    shown = [s for s in record.shows if s.check and s.check != only.check and kb.checks[s.check].kind != "measure"]
    told = {s.check: Event(check=s.check, answer=s.answer) for s in reversed(shown)}
    facts = [Event(fact=f, is_=w if isinstance(w, str) else w[0]) for f, w in record.when.items()]
    over = [
        Event(skip=n) for n in [*kb.checks, *kb.facts] if n != only.check and n not in told and n not in record.when
    ]
    over += [Event(skip=f"remedy:{c}") for c in kb.causes if c != cause]
    events = [*begun(kb, "technician", complaint), *facts, *told.values(), *over]
    events += [Event(cleared=h) for h, r in kb.hazards.items() if r.gate]
    # Who passed over three hundred questions has no patience left: with it, somebody may be sent, but never for this remedy.
    tireless = msgspec.structs.replace(kb, roles=msgspec.structs.replace(kb.roles, patience=None))
    step, tired = advise(tireless, events).next, advise(kb, events).next
    assert step is not None
    assert (step.kind, step.id) == ("check", only.check)
    assert tired is not None
    assert (tired.kind, tired.id) == ("check", only.check) or (tired.kind, tired.cause) == ("hand-on", None)


@pytest.mark.parametrize("role", ROLES)
def test_nobody_is_booked_to_cut_pipe_before_the_pipe_is_measured(kb, role: str) -> None:
    """However sure by everything else, and whatever is passed over: the reading is asked for before anybody is booked."""
    record = kb.causes["standpipe-too-low"]
    shown = {s.check: Event(check=s.check, answer=s.answer) for s in reversed(record.shows) if s.check}
    facts = [Event(fact="drain", is_="standpipe"), Event(fact="onset", is_="new"), Event(fact="raised", is_="platform")]
    events = [*begun(kb, role, "siphons"), *facts, Event(check="drain-hose-in-hook", answer="held"), *shown.values()]
    advice = advise(kb, events)
    assert advice.beliefs[0].p > 0.95
    while advice.next is not None and advice.next.kind in ("check", "fact") and advice.next.id != "standpipe-height":
        events.append(Event(skip=advice.next.id))
        advice = advise(kb, events)
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id) == ("check", "standpipe-height")
    assert advice.next.why == f"it must stand before anybody does this: {record.remedy.title.lower()}"
    measured = advise(kb, [*events, Event(check="standpipe-height", value="29 in")])
    assert measured.next is not None
    assert (measured.next.kind, measured.next.id) == ("hand-on", "plumber")


@pytest.mark.parametrize("role", ROLES)
def test_no_remedy_and_no_booking_while_its_condition_is_open(kb, walked, role: str) -> None:
    for events, advice in (each for (who, _), steps in walked.items() if who == role for each in steps):
        step = advice.next
        if step and step.cause and step.kind in ("remedy", "hand-on"):
            only = kb.causes[step.cause].remedy.only_if
            assert only is None or only.check in {e.check for e in events}, (step.kind, step.cause)


def test_a_proof_is_pending_after_a_remedy(kb) -> None:
    for cause in ("foot-unloaded", "standpipe-too-low", "coupling-not-tight"):
        record = kb.causes[cause]
        complaint = next(s.complaint for s in record.shows if s.complaint)
        events = [*begun(kb, "technician", complaint), Event(remedy=cause, did="done")]
        step = advise(kb, events).next
        assert step is not None
        assert (step.kind, step.id, step.proof, step.cause) == ("check", record.proof.check, True, cause)
        could_not = [*events[:-1], Event(remedy=cause, did="could-not")]
        step = advise(kb, could_not).next
        assert step is None or not step.proof


def test_a_proof_that_was_passed_over_asks_what_is_left(kb) -> None:
    events = [
        *begun(kb, "technician", "walks"),
        Event(remedy="foot-unloaded", did="done"),
        Event(cant="spin-stays-put"),
    ]
    advice = advise(kb, events)
    assert advice.next is not None
    assert advice.next.id == "still-there"
    assert advise(kb, [*events, Event(still=[])]).status == "solved"
    gone_on = advise(kb, [*events, Event(still=["walks"])])
    assert gone_on.status == "open"
    assert gone_on.next is not None
    assert gone_on.next.id != "still-there"


def test_a_proof_that_these_hands_may_not_do_asks_what_is_left(kb) -> None:
    """The plumber set the pressure; the homeowner has no gauge and is not asked to use one."""
    tried = 0
    for cause in kb.causes.values():
        check = kb.checks[cause.proof.check]
        if check.minutes.homeowner is None or any("homeowner" in kb.hazards[h].never for h in check.hazards):
            complaint = next(s.complaint for s in cause.shows if s.complaint)
            step = advise(kb, [*begun(kb, "homeowner", complaint), Event(remedy=cause.id, did="done")]).next
            assert step is not None
            assert step.id == "still-there", cause.id
            tried += 1
    assert tried


def test_two_complaints_ask_which_is_left(kb) -> None:
    """A proof speaks of one complaint; the other may stand."""
    mended = [Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer="stayed")]
    events = [*begun(kb, "technician", "walks", "no-drain"), *mended]
    advice = advise(kb, events)
    assert advice.status == "open"
    assert advice.next is not None
    assert (advice.next.kind, advice.next.id) == ("fact", "still-there")
    assert advice.card is not None
    assert [c.id for c in advice.card.choices] == ["walks", "no-drain", "none"]
    left = advise(kb, [*events, Event(still=["no-drain"])])
    assert left.status == "open"
    assert left.next is not None
    assert left.next.id != "still-there"
    # What shows only the complaint that is gone can at most be meant by the other's name, too.
    assert {b.cause for b in left.beliefs if b.p > 0.02} <= {
        c.id for c in kb.causes.values() if any(s.complaint == "no-drain" for s in c.shows)
    }
    assert advise(kb, [*events, Event(still=[])]).status == "solved"


def test_a_passed_proof_of_one_complaint_solves(kb) -> None:
    events = [
        *begun(kb, "technician", "walks"),
        Event(remedy="foot-unloaded"),
        Event(proof="spin-stays-put", answer="stayed"),
    ]
    advice = advise(kb, events)
    assert (advice.status, advice.next) == ("solved", None)
    assert advice.finding is not None
    assert advice.finding.cause == "foot-unloaded"


@pytest.mark.parametrize("cause", ["foot-unloaded", "restraints-left-in", "lock-nut-loose"])
def test_a_failed_proof_goes_on_and_unknown_does_not_fall(kb, cause: str) -> None:
    before = begun(kb, "technician", "walks")
    after = [*before, Event(remedy=cause, did="done"), Event(proof=kb.causes[cause].proof.check, answer="walked")]
    was, now = advise(kb, before), advise(kb, after)
    assert now.status == "open"
    assert now.next is not None
    assert now.next.cause != cause or now.next.kind != "remedy"
    assert now.unknown >= was.unknown
    chance = {b.cause: b.p for b in was.beliefs}, {b.cause: b.p for b in now.beliefs}
    assert chance[1][cause] < chance[0][cause]


def test_gates_come_first_and_those_of_a_step_just_before_it(kb) -> None:
    raw = [Event(role="technician"), Event(complaints=["walks"])]
    step = advise(kb, raw).next
    assert step is not None
    assert step.kind == "gate"
    before_a_step = set()
    for complaint in COMPLAINTS:
        gates = {g for g in kb.complaints[complaint].gates if g}
        events = [Event(role="technician"), Event(complaints=[complaint]), *(Event(cleared=g) for g in gates)]
        for _, advice in following(kb, events):
            if advice.next and advice.next.kind == "gate":
                before_a_step.add(advice.next.id)
                assert advice.next.why.startswith("before the next step: ")
                break
    assert before_a_step


def test_costs_are_minutes_of_who_is_busy(kb, walked) -> None:
    """At the desk two people are busy; a technician's minute costs half as much again (roles.yaml)."""
    per = {r.id: r.per_minute.n for r in kb.roles.roles}
    rate = {"homeowner": per["homeowner"], "desk": per["desk"] + per["homeowner"], "technician": per["technician"]}
    for role in ROLES:
        for _, advice in (each for (who, _), steps in walked.items() if who == role for each in steps):
            step = advice.next
            if step and step.kind in ("fact", "check") and step.id in {*kb.facts, *kb.checks}:
                record = kb.facts[step.id] if step.kind == "fact" else kb.checks[step.id]
                wanted = record.minutes.technician if role == "technician" else record.minutes.homeowner
                assert step.minutes == wanted
                assert step.cost == pytest.approx(wanted * rate[role], abs=1e-6)


def test_another_policy_chooses_and_the_gates_stay(kb):
    """What a policy says is the next step, but for a gate; without one the shipped choice is made."""
    from dryfloor.engine.advising.analysis import Analysis
    from dryfloor.engine.advising.next_step import least_cost, next_step
    from dryfloor.engine.case.state import fold
    from dryfloor.engine.diagnosis.network import network_of
    from dryfloor.engine.planning.problem import ActionValue, Decision

    def asks_the_last(root, decision_problem):
        best = ActionValue("question", max(q.id for q in decision_problem.tests), 1.0)
        return Decision(best, [best], 1.0, 1.0, [])

    analysis = Analysis(network_of(kb), fold(kb, begun(kb, "technician", "siphons")))
    step, choice = next_step(analysis, [], asks_the_last)
    assert choice is not None
    assert choice.best.id.endswith(f":{step.id}")
    assert next_step(analysis, []) == next_step(analysis, [], least_cost) != (step, choice)
    walks = Analysis(network_of(kb), fold(kb, [Event(role="technician"), Event(complaints=["walks"])]))
    assert next_step(walks, ["walking-machine"], asks_the_last)[0].kind == "gate"


def test_whoever_can_end_what_was_found_is_named_at_the_hand_on(kb) -> None:
    """A drain line blocked part of the way is a plumber's: the desk does not send somebody who would send for one."""
    told = {"overflow-timing": "after-a-while", "other-drains-back-up": "clear", "glugs-while-draining": "glug"}
    events = [*begun(kb, "desk", "standpipe-overflow"), *(Event(cleared=h) for h, r in kb.hazards.items() if r.gate)]
    events += [Event(fact="drain", is_="standpipe"), *(Event(check=c, answer=a) for c, a in told.items())]
    for _ in range(60):
        advice = advise(kb, events)
        assert advice.next is not None
        if advice.next.kind == "hand-on":
            break
        kind = "skip" if advice.next.kind in ("fact", "check") else "cleared"
        events.append(Event(**{kind: advice.next.id}))
    assert advice.finding_cause == "drain-line-part-blocked"
    assert advice.next.id == "plumber"
