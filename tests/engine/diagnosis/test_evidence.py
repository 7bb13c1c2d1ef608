"""Answers and readings as likelihoods, and laws of a whole case on the shipped kb."""

import math
from dataclasses import replace
from itertools import product

import msgspec
import numpy as np
import pytest

from dryfloor.engine import model as module
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import findings_of, gather_evidence, latest
from dryfloor.engine.diagnosis.network import chance, network_of, priors
from dryfloor.engine.inference.posterior import infer
from dryfloor.engine.measurement import conformity, quantity
from dryfloor.engine.measurement.readings import half_width, limits, reading, size_below
from dryfloor.engine.planning.roles import open_checks
from tests.support.answers import answer_to, explained, failing, said
from tests.support.worlds import joint


@pytest.fixture(scope="session")
def network(kb):
    return network_of(kb)


def analysis(kb, events) -> Analysis:
    return Analysis(network_of(kb), fold(kb, events))


def begun(kb, rng: np.random.Generator, most: int = 2, role: str | None = None) -> list[Event]:
    """A role, one complaint or more, and every gate cleared."""
    names = rng.choice(explained(kb), int(rng.integers(1, most + 1)), replace=False)
    who = role or ["homeowner", "desk", "technician"][int(rng.integers(3))]
    return [
        Event(role=who),
        Event(complaints=[str(n) for n in names]),
        *(Event(cleared=h.id, word=h.gate.word) for h in kb.hazards.values() if h.gate),
    ]


def answered(kb, events: list[Event], rng: np.random.Generator, count: int) -> list[Event]:
    """Answers to so many of the checks that are open."""
    state = fold(kb, events)
    checks = open_checks(network_of(kb), state, analysis(kb, events).evidence.causes, state.hands)
    chosen = rng.choice([c.id for c in checks], min(count, len(checks)), replace=False) if checks else []
    return [answer_to(kb, str(name), rng, 0.6) for name in chosen]


def same_belief(a: Analysis, b: Analysis, tolerance: float = 0.0) -> None:
    assert [x.cause for x in a.beliefs] == [x.cause for x in b.beliefs]
    for x, y in zip(a.beliefs, b.beliefs, strict=True):
        assert (x.p, x.present) == pytest.approx((y.p, y.present), abs=tolerance)
    assert a.unknown == pytest.approx(b.unknown, abs=tolerance)


# --- one answer --------------------------------------------------------------------------------------------------------


def shown_in_records(kb, check: str, answer: str) -> dict[str, float]:
    """Which causes show an answer, as a technician reports it, read off the cause files."""
    out: dict[str, float] = {}
    if kb.checks[check].answers[answer].sign:
        for sign in spoken_of(kb, check, answer):
            for cause, strength in shown_sign(kb, sign).items():
                out[cause] = 1 - (1 - out.get(cause, 0.0)) * (1 - strength * rates(kb, check)[0])
        return out
    for cause in kb.causes.values():
        for s in cause.shows:
            if s.check == check and s.answer == answer:
                out[cause.id] = kb.scales.words[s.strength] if isinstance(s.strength, str) else s.strength.n
                look = cause.defines
                if look and look.check == check:
                    named = [a for a in kb.checks[check].answers if a in (look.answer, *look.also)]
                    out[cause.id] = max(out[cause.id], 0.995 if answer == named[-1] else 0.0)
                # No report is surer than who makes it: a technician errs in 5 of 1000.
                out[cause.id] = min(out[cause.id], 0.995)
    return out


def rates(kb, check: str) -> tuple[float, float]:
    """Hit and false alarm of a technician, by the kind of a check."""
    kind = kb.checks[check].kind
    own = getattr(kb.roles.reports.technician, "try_" if kind == "try" else kind)
    return own.hit.n, own.false_alarm.n


def finer(kb, sign: str) -> set[str]:
    """A sign and its kinds."""
    out = {sign}
    while more := {s.id for s in kb.signs.values() if out & {*s.coarser}} - out:
        out |= more
    return out


def spoken_of(kb, check: str, answer: str) -> set[str]:
    """The signs that an answer speaks of once those before it are denied."""
    named = [(name, a.sign) for name, a in kb.checks[check].answers.items() if a.sign]
    place = [name for name, _ in named].index(answer)
    return finer(kb, named[place][1]) - {k for _, s in named[:place] for k in finer(kb, s)}


_shown: dict[str, dict[str, float]] = {}


def shown_sign(kb, sign: str) -> dict[str, float]:
    """Which causes of the shipped kb show a sign, and how strongly; read off once."""
    if sign in _shown:
        return _shown[sign]
    out = _shown[sign] = {}
    for cause in kb.causes.values():
        for s in cause.shows:
            own = s.sign or (kb.checks[s.check].answers[s.answer].sign if s.check and s.answer else None)
            if own == sign:
                strength = kb.scales.words[s.strength] if isinstance(s.strength, str) else s.strength.n
                out[cause.id] = max(out.get(cause.id, 0.0), strength)
        look = cause.defines
        if cause.id in out and look and look.check:
            answers = kb.checks[look.check].answers
            if answers[[a for a in answers if a in (look.answer, *look.also)][-1]].sign == sign:
                out[cause.id] = max(out[cause.id], 0.995)
    return out


@pytest.mark.parametrize("every", [6, pytest.param(1, marks=pytest.mark.slow)])
def test_answers_are_a_noisy_or_each_given_nothing_more_telling(kb, network, every) -> None:
    """P(k-th answer | causes) = its own noisy-OR times the silence of those before; over all answers it sums to 1 (D)."""
    rng = np.random.default_rng(0)
    network_shows = {n.split(":")[1] for n, by in network.shown.items() if n.startswith("answer:") and by}
    looked = [c for c in kb.checks.values() if c.id in network_shows]
    assert len(looked) > 30
    for check in looked[::every]:
        present = {c for c in kb.causes if rng.random() < 0.3}
        total, silence = 0.0, 1.0
        for k, answer in enumerate(check.answers):
            state = fold(kb, [Event(role="technician"), Event(check=check.id, answer=answer)])
            e = gather_evidence(network, state)
            certain = np.array([[1.0 if c in present else 0.0 for c in e.causes]])
            ours = infer(certain, np.ones(1), e.findings).marginal_likelihood
            on = 1.0
            if k < len(check.answers) - 1:
                quiet = 1 - (check.answers[answer].leak_per_1000 or 1.0) / 1000
                if check.answers[answer].sign:
                    hit, false_alarm = rates(kb, check.id)
                    leaks = [kb.signs[s].leak_per_1000 / 1000 for s in spoken_of(kb, check.id, answer)]
                    quiet = (1 - false_alarm) * math.prod(1 - hit * own for own in leaks)
                for cause, strength in shown_in_records(kb, check.id, answer).items():
                    quiet *= 1 - strength if cause in present else 1.0
                on = 1 - quiet
            assert ours == pytest.approx(silence * on, abs=1e-12), (check.id, answer)
            total += ours
            silence *= 1 - on
        assert total == pytest.approx(1.0, abs=1e-12)


def measured(kb) -> list[tuple[str, str]]:
    return [
        (c.id, hands)
        for c in kb.checks.values()
        if c.kind == "measure"
        for hands in ("homeowner", "technician")
        if getattr(c.minutes, hands)
    ]


def test_a_reading_is_two_findings_with_averaged_densities(kb, network) -> None:
    """Each side's likelihood against `within` is that of rules.py, checked by quadrature in test_rules.py."""
    for check, hands in measured(kb):
        rule = kb.rules[kb.checks[check].rule]
        first, last = quantity.plausible(rule.plausible, rule.measures)
        y = first + 0.37 * (last - first)
        event = Event(check=check, value=said(y, rule.measures))
        state = fold(kb, [Event(role="technician", hands=hands), event])
        u = half_width(kb, kb.checks[check], hands) / math.sqrt(3)
        g = next(r.gross_error_per_1000.n for r in kb.roles.roles if r.id == hands) / 1000
        below, within, above = conformity.likelihoods(*limits(rule), first, last, y, u, g, size_below(rule))
        expected = {f"side:{rule.id}:{s}": v / within for s, v in (("below", below), ("above", above)) if v is not None}
        found = {node: on / off for node, on, off in findings_of(network, state.answers[0])}
        assert found == pytest.approx(expected, rel=1e-6)
        cap = (1 - g) / g
        assert all(1 / cap - 1e-12 <= ratio <= cap + 1e-9 for ratio in found.values())


def test_a_reading_moved_toward_a_limit_never_jumps(kb) -> None:
    """In steps of a tenth of its uncertainty across every limit, a likelihood ratio moves by little and one way."""
    for check, hands in measured(kb):
        rule = kb.rules[kb.checks[check].rule]
        first, last = quantity.plausible(rule.plausible, rule.measures)
        u = half_width(kb, kb.checks[check], hands) / math.sqrt(3)
        if rule.measures == "count":
            continue
        for limit in limits(rule):
            if limit is None:
                continue
            places = [y for y in limit + u * np.arange(-5, 5.001, 0.1) if first <= y <= last]
            pairs = [reading(kb, check, said(y, rule.measures), hands) for y in places]
            for side, direction in (("below", -1), ("above", 1)):
                if getattr(pairs[0], side) is None:
                    continue
                moved = np.diff([math.log(getattr(r, side) / r.within) for r in pairs])
                assert np.abs(moved).max() < 0.7, (check, hands)
                assert (direction * moved > -1e-6).all(), (check, hands)


def test_a_belief_never_jumps_as_a_reading_crosses_a_limit(kb) -> None:
    for check, hands in measured(kb)[::3]:
        rule = kb.rules[kb.checks[check].rule]
        first, last = quantity.plausible(rule.plausible, rule.measures)
        u = half_width(kb, kb.checks[check], hands) / math.sqrt(3)
        complaint = next(
            (
                s.complaint
                for c in kb.causes.values()
                if c.breaks and c.breaks.rule == rule.id
                for s in c.shows
                if s.complaint
            ),
            "water-on-floor",
        )
        start = [Event(role="technician", hands=hands), Event(complaints=[complaint])]
        for limit in limits(rule):
            for z in (-3, -1, -0.001, 0.5, 2):
                if limit is None or not first < limit + z * u < limit + (z + 0.002) * u < last:
                    continue
                here, there = (
                    analysis(kb, [*start, Event(check=check, value=said(limit + at * u, rule.measures))])
                    for at in (z, z + 0.002)
                )
                p, q = ({b.cause: b.p for b in t.beliefs} for t in (here, there))
                assert max(abs(p[c] - q[c]) for c in p) < 0.005
                assert abs(here.unknown - there.unknown) < 0.005


# --- whole cases -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(12))
def test_cant_and_skip_change_no_belief(kb, seed: int) -> None:
    rng = np.random.default_rng(seed)
    events = begun(kb, rng)
    events += answered(kb, events, rng, int(rng.integers(0, 4)))
    fact = (
        str(rng.choice(sorted(before_facts))) if (before_facts := analysis(kb, events).evidence.facts.names) else None
    )
    events += [Event(fact=fact, is_=next(iter(kb.facts[fact].options)))] if fact else []
    before = analysis(kb, events)
    state = fold(kb, events)
    names = [c.id for c in open_checks(network_of(kb), state, before.evidence.causes, state.hands)]
    names += list(before.evidence.facts.names)
    for name in rng.permutation(names)[:4]:
        events.append(Event(cant=str(name)) if rng.random() < 0.5 else Event(skip=str(name)))
        same_belief(analysis(kb, events), before)
    events.append(Event(note="the cat sat on it"))
    same_belief(analysis(kb, events), before)


@pytest.mark.parametrize("seed", range(16))
def test_the_order_of_answers_between_two_remedies_does_not_matter(kb, seed: int) -> None:
    """The whole advice, to the byte: answers and facts shuffled before a remedy, and again after it."""
    rng = np.random.default_rng(seed)
    start = begun(kb, rng)
    first = answered(kb, start, rng, int(rng.integers(2, 6)))
    facts = [str(f) for f in rng.choice(sorted(kb.facts), 2, replace=False)]
    first += [Event(fact=f, is_=str(rng.choice(sorted(kb.facts[f].options)))) for f in facts]
    best = analysis(kb, start + first).beliefs[0].cause
    remedy = [Event(remedy=best, did="done"), failing(kb, best)]
    second = answered(kb, start + first + remedy, rng, 3)

    def shuffled(events: list[Event]) -> list[Event]:
        return [events[n] for n in rng.permutation(len(events))]

    for tail in ([], [*remedy, *second]):
        plain = msgspec.json.encode(advise(kb, start + first + tail))
        other_tail = [*remedy, *shuffled(second)] if tail else []
        assert msgspec.json.encode(advise(kb, start + shuffled(first) + other_tail)) == plain


@pytest.mark.parametrize("seed", range(25))
def test_a_failed_remedy_never_lowers_unknown_on_this_kb(kb, seed: int) -> None:
    """One complaint, answers of any kind, then remedies of which each one's proof fails."""
    rng = np.random.default_rng(seed)
    events = begun(kb, rng, most=1)
    events += answered(kb, events, rng, int(rng.integers(0, 6)))
    last = analysis(kb, events)
    for _ in range(4):
        causes = [b.cause for b in last.beliefs]
        cause = causes[0] if rng.random() < 0.6 else str(rng.choice(causes))
        events += [Event(remedy=cause, did="done"), failing(kb, cause)]
        now = analysis(kb, events)
        assert now.posterior.unknown >= last.posterior.unknown - 1e-12
        last = now


def test_after_a_failed_proof_the_complaint_must_be_explained_anew(kb) -> None:
    """What was mended explains no more than its botched share; what is left, and the unknown, take over."""
    events = [Event(role="technician"), Event(complaints=["siphons"]), Event(check="hose-sealed", answer="taped")]
    before = analysis(kb, events)
    cause = before.beliefs[0]
    assert (cause.cause, cause.p > 0.7) == ("hose-sealed-in-pipe", True)
    done = [*events, Event(remedy=cause.cause, did="done")]
    not_proved = analysis(kb, done)
    assert not_proved.unknown == pytest.approx(before.unknown, abs=1e-9)  # nothing was seen yet
    after = analysis(kb, [*done, failing(kb, cause.cause)])
    # By total probability over what the remedy met, without the engine's own cures: never there, cured, or botched.
    e = before.evidence
    i = e.causes.index(cause.cause)
    cures = kb.scales.words[kb.causes[cause.cause].remedy.cures]
    total, explains, unknown = 0.0, 0.0, 0.0
    prior, share = joint(e.tables, e.facts.shares)
    chance_there = prior[:, i].copy()
    met = ((0.0, False, 1 - chance_there), (1.0, True, chance_there * cures), (1.0, False, chance_there * (1 - cures)))
    for there, cured, weight in met:
        prior[:, i] = there
        findings = [
            replace(f, links={k: s for k, s in f.links.items() if k != i or not cured}) if f.complaint else f
            for f in e.findings
        ]
        part = infer(prior, share * weight, findings)
        total += part.marginal_likelihood
        explains += part.marginal_likelihood * part.explains[i]
        unknown += part.marginal_likelihood * part.unknown
    left = next(b for b in after.beliefs if b.cause == cause.cause)
    assert left.p == pytest.approx(explains / total, abs=1e-8)
    assert after.unknown == pytest.approx(unknown / total, abs=1e-8)
    assert after.posterior.marginal_likelihood == pytest.approx(total, rel=1e-9)
    assert left.p < 0.3 * cause.p
    assert after.unknown > 2 * before.unknown


def test_a_remedy_that_could_not_be_done_changes_no_belief(kb) -> None:
    events = [Event(role="technician"), Event(complaints=["siphons"])]
    before = analysis(kb, events)
    after = analysis(kb, [*events, Event(remedy=before.beliefs[0].cause, did="could-not")])
    same_belief(after, before)


def test_an_answer_by_other_hands_replaces(kb) -> None:
    """Between the same two remedies the last answer to a check counts, whoever gave it."""
    start = [Event(role="homeowner"), Event(complaints=["siphons"])]
    to_other = Event(role="technician")
    for first, second in (("standpipe-height", ("31 in", "44 in")), ("hose-sealed", ("taped", "loose"))):
        key = "value" if first == "standpipe-height" else "answer"
        old, new = (Event(check=first, **{key: s}) for s in second)
        replaced = analysis(kb, [*start, old, to_other, new])
        same_belief(replaced, analysis(kb, [*start, to_other, new]))
        assert [f for f in latest(replaced.state.answers) if f.check == first] == [replaced.state.answers[-1]]
        unchanged = analysis(kb, [*start, old, to_other])
        assert unchanged.beliefs != replaced.beliefs


def test_a_change_of_answer_replaces_and_is_said(kb) -> None:
    start = [Event(role="technician"), Event(complaints=["siphons"])]
    changed = [*start, Event(check="hose-sealed", answer="taped"), Event(check="hose-sealed", answer="loose")]
    same_belief(analysis(kb, changed), analysis(kb, [*start, Event(check="hose-sealed", answer="loose")]))
    assert any(kb.checks["hose-sealed"].title in n for n in fold(kb, changed).notices)


def test_the_same_check_after_a_remedy_is_a_new_look(kb, network) -> None:
    start = [Event(role="technician"), Event(complaints=["siphons"]), Event(check="hose-sealed", answer="taped")]
    again = [*start, Event(remedy="hose-sealed-in-pipe", did="done"), Event(check="hose-sealed", answer="loose")]
    e = gather_evidence(network, fold(kb, again))
    about = [(f.on, f.epoch) for f, n in zip(e.findings, e.names, strict=True) if n == "answer:hose-sealed:taped"]
    assert about == [(1.0, 0), (0.0, 1)]


def test_a_complaint_that_ended_though_nothing_listed_was_mended_for_it(kb) -> None:
    """It can have ended by itself: believable, not impossible, and what stands is still believed in."""
    only_walks = sorted(
        c.id for c in kb.causes.values() if {s.complaint for s in c.shows if s.complaint} == {"walks"} and not c.when
    )
    cause = only_walks[0]
    proof = kb.causes[cause].proof
    events = [
        Event(role="technician"),
        Event(complaints=["walks", "siphons"]),
        Event(remedy=cause, did="done"),
        Event(proof=proof.check, answer=proof.passes),
        Event(still=["walks"]),
    ]
    t = analysis(kb, events)
    assert 0 <= t.unknown <= 1
    assert advise(kb, events).next is not None
    stands = {c.id for c in kb.causes.values() if any(s.complaint == "walks" for s in c.shows)}
    # What shows the other complaint alone can only have been named by this one, too.
    assert all(b.p < 0.1 for b in t.beliefs if b.cause not in stands)


def test_one_trouble_may_be_named_by_a_complaint_that_its_cause_does_not_list(kb, network) -> None:
    """Beside a complaint that it shows, each cause may have been meant by the other one, too: as weakly as the scales say."""
    siphons = {c.id for c in kb.causes.values() if any(s.complaint == "siphons" for s in c.shows)}
    walks = {c.id for c in kb.causes.values() if any(s.complaint == "walks" for s in c.shows)}
    alone = gather_evidence(network, fold(kb, [Event(complaints=["walks"])]))
    assert {alone.causes[i] for i in alone.findings[0].links} == walks
    both = gather_evidence(network, fold(kb, [Event(complaints=["walks", "siphons"])]))
    for finding, own, other in zip(both.findings, (siphons, walks), (walks, siphons), strict=True):
        links = {both.causes[i]: s for i, s in finding.links.items()}
        assert {*links} == own | other
        assert {links[c] for c in other - own} == {kb.scales.another_name.n}


# --- facts -------------------------------------------------------------------------------------------------------------


def by_record(kb, rate: float, cause, facts: dict[str, str]) -> float:
    """A cause's chance in one state of the facts, read off its file."""

    def fits(when) -> bool:
        return all(facts[f] in ([w] if isinstance(w, str) else w) for f, w in when.items())

    if not fits(cause.when):
        return 0.0
    times = math.prod(x.times.n for x in cause.likelier if fits(x.when))
    return min(0.5, rate * times)


def test_priors_in_every_state_of_the_facts(kb, network) -> None:
    causes = sorted(c.id for c in kb.causes.values() if any(s.complaint == "siphons" for s in c.shows))
    total = sum(
        c.per_1000.n
        / 1000
        * math.prod(
            sum(kb.facts[f].options[o].share_per_1000 for o in ([w] if isinstance(w, str) else w)) / 1000
            for f, w in c.when.items()
        )
        for c in kb.causes.values()
    )
    k = kb.scales.episode_rate.n / total
    facts, tables = priors(network, causes, {"drain": "standpipe"})
    assert "drain" not in facts.names
    for f, options, shares in zip(facts.names, facts.options, facts.shares, strict=True):
        whole = sum(x.share_per_1000 for x in kb.facts[f].options.values())
        assert shares == pytest.approx([kb.facts[f].options[o].share_per_1000 / whole for o in options], rel=1e-9)
    seen = 0
    for states in product(*(range(len(o)) for o in facts.options)):
        here = {f: facts.options[i][o] for i, (f, o) in enumerate(zip(facts.names, states, strict=True))}
        seen += 1
        for c, table in zip(causes, tables, strict=True):
            record = kb.causes[c]
            rate = min(0.3, record.per_1000.n / 1000 * k)
            expected = by_record(kb, rate, record, here | {"drain": "standpipe"})
            assert table.chance[tuple(states[n] for n in table.facts)] == pytest.approx(expected, rel=1e-9), c
            assert chance(network, record, here | {"drain": "standpipe"}) == pytest.approx(expected, rel=1e-9)
    assert seen > 10


def test_all_facts_known_is_one_state(kb) -> None:
    for pick in (0, -1):
        known = [Event(fact=f.id, is_=list(f.options)[pick]) for f in kb.facts.values()]
        for complaint in explained(kb):
            t = analysis(kb, [Event(role="technician"), Event(complaints=[complaint]), *known])
            assert t.evidence.facts.names == []
            assert all(table.chance.shape == () for table in t.evidence.tables)
            assert len(t.scenarios.weight) > 0


def test_a_fact_that_contradicts_rules_a_cause_out(kb) -> None:
    start = [Event(role="technician"), Event(complaints=["siphons"])]
    assert "standpipe-too-low" in analysis(kb, start).evidence.causes
    assert "standpipe-too-low" not in analysis(kb, [*start, Event(fact="drain", is_="tub")]).evidence.causes


def test_an_unknown_fact_is_the_average_of_its_options(kb) -> None:
    """Total probability: P(e) and what is believed, with a fact unknown, are the mixture over its options (D)."""
    start = [Event(role="technician"), Event(complaints=["siphons"]), Event(check="standpipe-height", value="31 in")]
    whole = analysis(kb, start)
    sums: dict[str, float] = {}
    unknown = 0.0
    options = [(o, x.share_per_1000) for o, x in kb.facts["drain"].options.items()]
    for option, share in options:
        part = analysis(kb, [*start, Event(fact="drain", is_=option)])
        weight = (
            share
            / sum(s for _, s in options)
            * part.posterior.marginal_likelihood
            / whole.posterior.marginal_likelihood
        )
        unknown += weight * part.posterior.unknown
        for b in part.beliefs:
            sums[b.cause] = sums.get(b.cause, 0.0) + weight * b.p
    assert unknown == pytest.approx(whole.posterior.unknown, abs=1e-8)
    assert sums == pytest.approx({b.cause: b.p for b in whole.beliefs}, abs=1e-8)


def test_holds_needs_every_fact_that_is_known() -> None:
    for drain, floor in product((None, "a", "b"), repeat=2):
        facts = {k: v for k, v in (("drain", drain), ("floor", floor)) if v}
        expected = drain in (None, "a") and floor in (None, "a", "b")
        assert module.holds({"drain": "a", "floor": ["a", "b"]}, facts) is expected


def test_two_answers_that_raise_a_hazard_raise_the_same_in_either_order(kb) -> None:
    telling = [(c.id, a) for c in kb.checks.values() for a, x in c.answers.items() if x.raises]
    pairs = [(x, y) for x in telling for y in telling if x[0] < y[0]]
    assert pairs
    for one, other in pairs[:40]:
        start = [Event(role="technician"), Event(complaints=["water-on-floor"])]
        events = [Event(check=c, answer=a) for c, a in (one, other)]
        there, back = (msgspec.json.encode(advise(kb, start + e)) for e in (events, events[::-1]))
        assert there == back, (one, other)
