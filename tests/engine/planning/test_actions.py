"""What each role may do and what it costs, read off the records; predictions against the exact belief."""

import math

import msgspec
import numpy as np
import pytest

from dryfloor.engine.advise import advise, question_of
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of, priors
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.measurement.formatting import show
from dryfloor.engine.measurement.quantity import plausible
from dryfloor.engine.measurement.readings import limits
from dryfloor.engine.model import covered, holds
from dryfloor.engine.planning import actions, roles
from dryfloor.engine.planning.myopic import CostModel, choose
from tests.support.answers import answer_to, explained

ROLES = ("homeowner", "desk", "technician")


def analysis(kb, events) -> Analysis:
    return Analysis(network_of(kb), fold(kb, events))


def start(complaint: str, role: str, hands: str | None = None) -> list[Event]:
    return [Event(role=role, hands=hands), Event(complaints=[complaint])]


def asked(decision_problem) -> set[str]:
    return {q.id.partition(":")[2] for q in decision_problem.tests if q.id.startswith("check:")}


@pytest.mark.parametrize("role", ROLES)
def test_nobody_is_asked_what_their_hands_may_not(kb, role: str) -> None:
    for complaint in explained(kb):
        t = analysis(kb, start(complaint, role))
        hands = "technician" if role == "technician" else "homeowner"
        names = asked(t.decision_problem)
        assert names
        for name in names:
            check = kb.checks[name]
            assert getattr(check.minutes, hands) is not None, name
            assert not check.only_proof, name
            for hazard in check.hazards:
                assert hands not in kb.hazards[hazard].never, (name, hazard)
        for mend in t.decision_problem.repairs:
            kind, _, cause = mend.id.partition(":")
            remedy = kb.causes[cause].remedy
            licensed = remedy.by in ("plumber", "electrician")
            assert kind == ("hand-on" if licensed else "remedy"), mend.id
            if not licensed:
                assert remedy.by == "anyone" or hands == "technician", mend.id
                barred = [kb.hazards[h] for h in remedy.hazards if hands in kb.hazards[h].never]
                assert all(covered(h, remedy) for h in barred), mend.id


def test_a_hazard_forbids_even_where_minutes_are_given(kb) -> None:
    """Two fences: a check without minutes for some hands, and a hazard that they are never led into."""
    never = next(h for h in kb.hazards.values() if "homeowner" in h.never)
    easy = next(c for c in kb.checks.values() if c.minutes.homeowner and not c.hazards)
    assert roles.permitted(kb, easy, "homeowner")
    assert not roles.permitted(kb, msgspec.structs.replace(easy, hazards=[never.id]), "homeowner")
    remedy = next(c.remedy for c in kb.causes.values() if c.remedy.by == "anyone" and not c.remedy.hazards)
    assert roles.may_mend(kb, remedy, "homeowner")
    assert not roles.may_mend(kb, msgspec.structs.replace(remedy, hazards=[never.id]), "homeowner")
    assert not roles.may_mend(kb, msgspec.structs.replace(remedy, by="technician"), "homeowner")
    assert not roles.may_mend(kb, msgspec.structs.replace(remedy, by="electrician"), "technician")


def test_the_desk_may_ask_no_more_than_a_homeowner_may_do(kb) -> None:
    """Permissions follow the hands: a caller at the machine, or a technician who calls in."""
    for complaint in explained(kb):
        by_role = {r: analysis(kb, start(complaint, r)) for r in ROLES}
        assert asked(by_role["desk"].decision_problem) == asked(by_role["homeowner"].decision_problem)
        assert {m.id for m in by_role["desk"].decision_problem.repairs} == {
            m.id for m in by_role["homeowner"].decision_problem.repairs
        }
        with_technician = analysis(kb, start(complaint, "desk", "technician"))
        assert asked(with_technician.decision_problem) == asked(by_role["technician"].decision_problem)
        phoning = analysis(kb, start(complaint, "technician", "homeowner"))
        assert asked(phoning.decision_problem) == asked(by_role["homeowner"].decision_problem)


def test_every_question_that_could_tell_is_there(kb) -> None:
    """Checks that tell something of a cause of the complaint, and that these hands may do; found by another way."""
    for complaint in explained(kb):
        about = {c.id for c in kb.causes.values() if any(s.complaint == complaint for s in c.shows)}
        telling = set()
        for c in about:
            cause = kb.causes[c]
            telling |= {s.check for s in cause.shows if s.check}
            rules = {s.rule for s in cause.shows if s.rule} | (
                {cause.breaks.rule} if cause.breaks and cause.breaks.side else set()
            )
            rules |= {kb.checks[s.check].rule for s in cause.shows if s.check and kb.checks[s.check].kind == "measure"}
            telling |= {k.id for k in kb.checks.values() if k.kind == "measure" and k.rule in rules}
            signs = {s.sign for s in cause.shows if s.sign}
            signs |= {kb.checks[s.check].answers[s.answer].sign for s in cause.shows if s.check and s.answer} - {None}
            while (
                more := {a for s in signs for a in kb.signs[s].coarser} - signs
            ):  # who shows a kind shows the coarser sign
                signs |= more
            telling |= {k.id for k in kb.checks.values() for a in k.answers.values() if a.sign in signs}
        expected = {k for k in telling if kb.checks[k].minutes.technician and not kb.checks[k].only_proof}
        expected = {k for k in expected if not any("technician" in kb.hazards[h].never for h in kb.checks[k].hazards)}
        # What the complaint alone makes senseless is not there: of a machine that runs nobody asks whether it shows life.
        silly = {
            k for k in expected for u in kb.checks[k].unless if complaint in u.complaints and not (u.facts or u.answers)
        }
        # What the complaint says by itself is known: neither that, nor what it rules out, is there.
        tells = kb.complaints[complaint].tells
        silly |= {k for k in expected if k in tells.answers or not holds(kb.checks[k].when, tells.facts)}
        assert asked(analysis(kb, start(complaint, "technician")).decision_problem) == expected - silly


def test_what_was_answered_or_passed_over_is_not_asked_again(kb) -> None:
    events = start("siphons", "homeowner")
    before = asked(analysis(kb, events).decision_problem)
    assert {"standpipe-height", "hose-sealed", "hose-depth"} <= before
    later = [
        *events,
        Event(check="hose-sealed", answer="taped"),
        Event(cant="standpipe-height"),
        Event(skip="hose-depth"),
    ]
    assert asked(analysis(kb, later).decision_problem) == before - {"standpipe-height", "hose-sealed", "hose-depth"}
    # Other hands may do what these could not.
    after = asked(analysis(kb, [*later, Event(role="technician")]).decision_problem)
    assert {"standpipe-height", "hose-depth"} <= after
    assert "hose-sealed" not in after


def test_a_check_that_a_known_fact_excludes_is_not_asked(kb) -> None:
    events = [*start("siphons", "technician"), Event(fact="drain", is_="tub")]
    for name in asked(analysis(kb, events).decision_problem):
        when = kb.checks[name].when.get("drain")
        assert when is None or when == "tub" or "tub" in when


@pytest.mark.parametrize("role", ROLES)
def test_prices(kb, role: str) -> None:
    """Minutes of whoever's hands and ears are busy, the head that a card takes, parts and call-outs in the same unit."""
    head = kb.roles.per_card.n
    cards = {r.id: r for r in kb.roles.roles}
    hands = "technician" if role == "technician" else "homeowner"
    minute = cards[role].per_minute.n + (cards[hands].per_minute.n if role == "desk" else 0)
    for complaint in ("walks", "no-drain", "leaking-coupling"):
        t = analysis(kb, start(complaint, role))
        for q in t.decision_problem.tests:
            kind, _, name = q.id.partition(":")
            record = kb.checks[name] if kind == "check" else kb.facts[name]
            assert q.cost == pytest.approx((max(0.1, getattr(record.minutes, hands)) + head) * minute)
        for m in t.decision_problem.repairs:
            kind, _, name = m.id.partition(":")
            cause = kb.causes[name]
            remedy = cause.remedy
            price = sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
            proof = kb.checks[cause.proof.check].minutes
            price += (getattr(proof, hands) or proof.technician) * minute
            if remedy.only_if:
                looking = (max(0.1, getattr(kb.checks[remedy.only_if.check].minutes, hands)) + head) * minute
                assert (m.look, m.looking) == (f"check:{remedy.only_if.check}", pytest.approx(looking))
                price += looking
            if kind == "remedy":
                price += remedy.minutes * minute
            else:
                trade = next(x for x in kb.roles.trades if x.id == remedy.by)
                price += trade.fee.n + remedy.minutes * trade.per_minute.n
            assert m.cost == pytest.approx(price), m.id
            cures = remedy.cures
            assert m.chance == (kb.scales.words[cures] if isinstance(cures, str) else cures.n)
            assert [t.evidence.causes[i] for i in np.flatnonzero(m.cures)] == [name]


def test_handing_on_is_the_fee_and_the_next_role_from_this_belief(kb) -> None:
    for role in ("homeowner", "desk"):
        for complaint in explained(kb):
            t = analysis(kb, start(complaint, role))
            root = t.scenarios.weight
            fee = next(r.hand_on_fee.n for r in kb.roles.roles if r.id == role)
            onward = actions.decision_problem(t.network, t.state, t.evidence, t.scenarios, "technician", "technician")
            technicians_own = analysis(kb, start(complaint, "technician")).decision_problem
            assert asked(onward) == asked(technicians_own)
            expected = fee + float(CostModel(onward, root).leaf(root[None, :])[0])
            assert choose(root, t.decision_problem).hand_on == pytest.approx(expected, rel=1e-9)
            assert t.decision_problem.referral.fee == fee


def test_the_last_in_the_chain_pays_for_the_work_itself(kb) -> None:
    """Fee, the work at the specialist's rate, parts, the call-out of a trade; an hour for what nobody listed."""
    t = analysis(kb, start("siphons", "technician"))
    fee = next(r.hand_on_fee.n for r in kb.roles.roles if r.id == "technician")
    trades = {x.id: x for x in kb.roles.trades}
    for row in range(len(t.scenarios.weight)):
        price = fee
        for i in np.flatnonzero(t.scenarios.needs[row]):
            remedy = kb.causes[t.evidence.causes[i]].remedy
            price += remedy.minutes * trades["specialist"].per_minute.n
            price += sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
            price += trades[remedy.by].fee.n if remedy.by in ("plumber", "electrician") else 0
        price += 60 * trades["specialist"].per_minute.n if t.scenarios.unlisted[row] else 0
        assert t.decision_problem.referral.price[row] == pytest.approx(price)


@pytest.mark.parametrize("complaint", ["siphons", "walks", "leaking-coupling"])
def test_predicted_answers_are_what_the_exact_belief_expects(kb, complaint: str) -> None:
    """P(answer | evidence) from the listed scenarios against the ratio of two exact P(evidence): two different routes.

    The prediction leaves out causes that nothing of this case points at; they may shift it by their own chances, averaged over the facts."""
    rng = np.random.default_rng(0)
    events = start(complaint, "technician")
    first = sorted(n for n in asked(analysis(kb, events).decision_problem) if kb.checks[n].kind != "measure")[0]
    events.append(answer_to(kb, first, rng, 1.0))
    t = analysis(kb, events)
    apart = t.scenarios.residual + 0.005 + 1e-6
    for q in t.decision_problem.tests:
        kind, _, name = q.id.partition(":")
        assert q.likelihood.sum(axis=0) == pytest.approx(np.ones(len(t.scenarios.weight)), abs=1e-9), q.id
        predicted = q.likelihood @ t.scenarios.weight
        if kind == "fact":
            exact = t.posterior.facts[t.evidence.facts.names.index(name)]
            assert predicted == pytest.approx(exact, abs=apart), q.id
        elif kb.checks[name].kind != "measure":
            nodes = [f"answer:{name}:{a}" for a in list(kb.checks[name].answers)[:-1]]
            others = {c for node in nodes for c in t.network.shown[node]} - set(t.evidence.causes)
            facts, tables = priors(t.network, sorted(others), dict(t.state.facts))
            background = 0.0
            for table in tables:
                chance = table.chance
                for f in reversed(table.facts):
                    chance = chance @ facts.shares[f]
                background += float(chance)
            for n, answer in enumerate(kb.checks[name].answers):
                seen = analysis(kb, [*events, Event(check=name, answer=answer)])
                exact_share = seen.posterior.marginal_likelihood / t.posterior.marginal_likelihood
                assert predicted[n] == pytest.approx(exact_share, abs=apart + background), (q.id, answer)


def test_predicted_readings_are_noisy_ors_of_the_sides(kb) -> None:
    """Below, above, within, blurred by how often these hands report something quite wrong; by hand for each scenario."""
    t = analysis(kb, start("siphons", "technician"))
    gross = next(r.gross_error_per_1000.n for r in kb.roles.roles if r.id == "technician") / 1000
    q = next(q for q in t.decision_problem.tests if q.id == "check:standpipe-height")
    rule = kb.rules["standpipe-height"]
    otherwise = rule.otherwise_per_1000
    for row in range(len(t.scenarios.weight)):
        silent = {}
        for side in ("below", "above"):
            leak = (otherwise[side] if isinstance(otherwise, dict) else otherwise / 2) / 1000
            silent[side] = 1 - leak
            for i in np.flatnonzero(t.scenarios.present[row]):
                cause = kb.causes[t.evidence.causes[i]]
                if cause.breaks and (cause.breaks.rule, cause.breaks.side) == (rule.id, side):
                    silent[side] *= 1 - kb.scales.breaks_strength.n
                for s in cause.shows:
                    if (s.rule == rule.id or s.check == "standpipe-height") and s.side == side:
                        silent[side] *= 1 - (
                            kb.scales.words[s.strength] if isinstance(s.strength, str) else s.strength.n
                        )
        clean = [1 - silent["below"], silent["below"] * (1 - silent["above"]), silent["below"] * silent["above"]]
        assert q.likelihood[:, row] == pytest.approx([(1 - gross) * p + gross / 3 for p in clean], abs=1e-12)


def test_scenarios_with_the_same_needs_share_a_group(kb) -> None:
    t = analysis(kb, start("walks", "technician"))
    s = t.scenarios
    for a in range(len(s.weight)):
        for b in range(a):
            same = (s.needs[a] == s.needs[b]).all() and s.unlisted[a] == s.unlisted[b]
            assert (t.decision_problem.group[a] == t.decision_problem.group[b]) == same


def test_nobody_cuts_pipe_on_a_refuted_condition(kb) -> None:
    """only_if: refuted takes a remedy away, met makes it cheaper than while it is open."""
    guarded = [c for c in kb.causes.values() if c.remedy.only_if]
    assert guarded
    network = network_of(kb)
    for cause in guarded:
        only = cause.remedy.only_if
        check = kb.checks[only.check]
        complaint = next(s.complaint for s in cause.shows if s.complaint)
        events = start(complaint, "technician")
        if check.kind == "measure":
            rule = kb.rules[check.rule]
            low, high = limits(rule)
            first, last = plausible(rule.plausible, rule.measures)
            inside = ((low if low is not None else first) + (high if high is not None else last)) / 2
            far = (first + low) / 2 if only.side == "below" else (last + high) / 2
            yes, no = (Event(check=check.id, value=show(v, rule.measures, "si")) for v in (far, inside))
        else:
            other = next(a for a in check.answers if a != only.answer)
            yes, no = (Event(check=check.id, answer=a) for a in (only.answer, other))
        for event, expected in ((None, "open"), (yes, "met"), (no, "refuted")):
            state = fold(kb, [*events, event] if event else events)
            assert roles.condition(network, state, cause.remedy) == expected, cause.id
            if expected == "refuted":
                names = {m.id.partition(":")[2] for m in analysis(kb, [*events, event]).decision_problem.repairs}
                assert cause.id not in names
    free = next(c for c in kb.causes.values() if not c.remedy.only_if)
    assert roles.condition(network, fold(kb, start("walks", "desk")), free.remedy) == "met"


def test_nobody_does_a_check_blind(kb) -> None:
    """only_if on a check: refuted or passed over takes it away; open asks for what must be seen first."""
    network = network_of(kb)
    waiting = [c for c in kb.checks.values() if c.only_if]
    assert waiting
    for check in waiting:
        causes = [*kb.causes]
        met = [Event(check=o.check, answer=o.answer) for o in check.only_if]
        begun = next(
            started
            for complaint in ("no-power", *kb.complaints)
            if not roles.senseless(network, fold(kb, started := start(complaint, "technician")), check)
        )

        def comes(*events: Event, check=check, causes=causes, begun=begun) -> bool:
            facts = [Event(fact=f, is_=o if isinstance(o, str) else o[0]) for f, o in check.when.items()]
            state = fold(kb, [*begun, *facts, *events])
            return check in roles.open_checks(network, state, causes, "technician")

        assert comes(*met), check.id
        assert comes(), check.id
        for only in check.only_if:
            others = [e for e in met if e.check != only.check]
            refuted = next(a for a in kb.checks[only.check].answers if a != only.answer)
            assert not comes(*others, Event(check=only.check, answer=refuted)), check.id
            assert not comes(*others, Event(cant=only.check)), check.id


def test_what_must_be_seen_first_is_asked_first_out_of_turn_too(kb) -> None:
    begun = [*start("no-power", "homeowner"), *(Event(cleared=h) for h, r in kb.hazards.items() if r.gate)]
    assert question_of(kb, begun, "holds-unplugged").id == "device-got-wet"
    dry = Event(check="device-got-wet", answer="stayed-dry")
    assert question_of(kb, [*begun, dry], "holds-unplugged").id == "holds-unplugged"
    wet = [Event(check="device-got-wet", answer="got-wet"), Event(cleared="water-near-electricity")]
    with pytest.raises(InvalidInputError) as refused:
        question_of(kb, [*begun, *wet], "holds-unplugged")
    assert [p.code for p in refused.value.problems] == ["C034"]


def test_whose_work_it_is_hangs_on_what_stands_beside(kb) -> None:
    """by_where: before the fact is known the usual hands; afterwards another's where it says so; not known counts as so."""
    for cause in [c for c in kb.causes.values() if c.remedy.by_where]:
        remedy = cause.remedy
        asked = {f for other in remedy.by_where for f in other.when}
        assert {*roles.unsettled(remedy, fold(kb, []))} == asked
        for fact in asked:
            elsewhere = {o for other in remedy.by_where for o in other.when.get(fact, [])}
            for option in kb.facts[fact].options:
                state = fold(kb, [Event(role="homeowner"), Event(fact=fact, is_=option)])
                assert roles.may_mend(kb, remedy, "homeowner", state) == (option not in elsewhere), (cause.id, option)
            nobody_knows = fold(kb, [Event(role="homeowner"), Event(skip=fact)])
            assert not roles.may_mend(kb, remedy, "homeowner", nobody_knows), cause.id


def test_a_remedy_waits_for_nothing_that_was_passed_over(kb) -> None:
    """What must stand before it must be askable, and so must all that comes before that: `fill-hose-bulge` was once asked again."""
    behind = [
        (cause.id, first.check)
        for cause in kb.causes.values()
        if cause.remedy.only_if
        for first in kb.checks[cause.remedy.only_if.check].only_if
    ]
    assert ("inlet-valve-split-by-frost", "fill-hose-bulge") in behind
    for cause, first in behind:
        named = {s.complaint for s in kb.causes[cause].shows if s.complaint}
        begun = start("freeze-damage" if "freeze-damage" in named else min(named), "technician")
        assert f"remedy:{cause}" in {m.id for m in analysis(kb, begun).decision_problem.repairs}
        for name in (first, kb.causes[cause].remedy.only_if.check):
            passed = [*begun, Event(skip=name)]
            assert f"remedy:{cause}" not in {m.id for m in analysis(kb, passed).decision_problem.repairs}


def test_a_remedy_is_not_offered_twice(kb) -> None:
    events = start("siphons", "technician")
    t = analysis(kb, events)
    first = t.decision_problem.repairs[0].id.partition(":")[2]
    for did in ("done", "could-not"):
        again = analysis(kb, [*events, Event(remedy=first, did=did)])
        assert first not in {m.id.partition(":")[2] for m in again.decision_problem.repairs}


def test_each_role_hears_its_own_voice(kb) -> None:
    for check in kb.checks.values():
        if check.ask.homeowner and check.ask.desk and check.ask.technician:
            assert roles.voice(check.ask, "homeowner", "homeowner") == check.ask.homeowner
            assert roles.voice(check.ask, "desk", "homeowner") == check.ask.desk
            assert roles.voice(check.ask, "technician", "technician") == check.ask.technician
    assert not math.isnan(roles.minute_price(kb, "desk", "homeowner"))


def test_each_question_takes_more_of_whoever_answers(kb) -> None:
    """Nothing more at first, twice the head after as many as `patience` says, five times after twice as many."""
    head, many = kb.roles.per_card.n, int(kb.roles.patience.n)
    assert [actions.asking(kb, 1, n) - 1 for n in (0, many, 2 * many)] == pytest.approx([head, 2 * head, 5 * head])
    told = [Event(fact="drain", is_="tub"), Event(skip="puddle-place"), Event(check="water-soapy", answer="clear")]
    state = fold(kb, [*start("water-on-floor", "homeowner"), *told])
    # What complaints tell by themselves nobody was asked; who is not there yet was asked nothing.
    assert (actions.asked(state, "homeowner"), actions.asked(state, "technician")) == (3, 0)


@pytest.mark.parametrize("role", ROLES)
def test_who_answers_nothing_is_let_go(kb, role: str) -> None:
    """Whoever passes over every question is handed on by the time that patience is spent, whatever was complained of."""
    for complaint in ("water-on-floor", "noisy", "spin-wet"):
        events = [*start(complaint, role), *(Event(cleared=h) for h, r in kb.hazards.items() if r.gate)]
        for _ in range(30):
            step = advise(kb, events).next
            if step is None or step.kind == "hand-on":
                break
            events.append(Event(skip=f"remedy:{step.id}" if step.kind == "remedy" else step.id))
        else:
            raise AssertionError(f"{complaint}: asked on after 30 questions")
