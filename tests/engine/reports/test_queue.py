"""The order of calls that wait: danger before all, then promises that are due, then what waiting costs; each says why."""

import shutil
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.queue_marks import WAITS, Queued
from dryfloor.engine.knowledge.load import read_kb
from dryfloor.engine.reports.queue import DANGERS, WaitingCall, in_order, place, queue
from tests.support.shipped import shipped
from tests.support.small_kb import SMALL

NOW = datetime(2026, 12, 1, 15, 0, tzinfo=UTC)
FILLS = [Event(role="desk"), Event(complaints=["slow-fill"])]
WALKS = [Event(role="desk"), Event(complaints=["walks"])]
PAST_GATES = [*WALKS, Event(check="rocks-by-hand", answer="rocks")]


def at(days=0.0, **hours):
    return (NOW + timedelta(days=days, **hours)).isoformat()


def call(name, events, began=None, **marks):
    return WaitingCall(
        case=name, reference="", state="open", began=began or NOW.isoformat(), events=events, queued=Queued(**marks)
    )


def order(*calls):
    return [p.case for p in queue(shipped(), calls, NOW)]


def one(events, **more):
    return place(shipped(), call("A2C3F4", events, **more), NOW)


def test_danger_comes_before_whatever_waiting_costs():
    told = [*FILLS, Event(hazard="gas-smell")]
    calls = [
        call("old", FILLS, at(-30), soon=True),
        call("gate", WALKS),
        call("told", told),
        call("stop", [*FILLS, Event(stopped="burning-smell")]),
    ]
    assert order(*calls) == order(*reversed(calls)) == ["stop", "told", "gate", "old"]


def test_a_danger_told_in_words_or_in_a_note_counts_as_told():
    for words in (Event(heard="it smells of gas", complaints=["slow-fill"]), Event(note="she smells gas in there")):
        assert one([*FILLS, words]).danger == "told"


def test_a_gate_that_was_got_past_stands_no_more_in_the_queue():
    assert (one(WALKS).danger, one(PAST_GATES).danger) == ("gate", "none")
    assert any("nobody has said yet" in w.lower() for w in one(WALKS).why)


def test_what_waits_or_is_rung_back_later_stands_behind_and_what_is_due_in_front():
    calls = [
        call("part", FILLS, at(-20), soon=True, waits="part"),
        call("later", FILLS, at(-20), soon=True, ring_back=at(hours=1)),
        call("plain", FILLS),
        call("due", FILLS, ring_back=at(hours=-1)),
    ]
    assert order(*calls)[:2] == ["due", "plain"]
    assert [p.can for p in queue(shipped(), calls, NOW)] == [True, True, False, False]


def test_cost_is_what_a_callback_is_expected_to_cost_and_what_is_added_is_said():
    """The mean over what is believed, worked out beside it from the cards of the kb."""
    kb, advice = shipped(), advise(shipped(), PAST_GATES)
    trades = {t.id: t for t in kb.roles.trades}
    total = weight = 0.0
    for b in advice.beliefs:
        remedy = kb.causes[b.cause].remedy
        price = sum(kb.parts[p].price.n for p in remedy.parts) * kb.roles.price_unit.n
        trade = trades.get(remedy.by)
        total += b.p * (price + (trade.fee.n + trade.per_minute.n * remedy.minutes if trade else remedy.minutes))
        weight += b.p
    total, weight = total + advice.unknown * trades["technician"].fee.n, weight + advice.unknown
    bare = one(PAST_GATES)
    assert bare.cost == pytest.approx(total / weight, abs=0.06)
    assert one(PAST_GATES, soon=True).cost == pytest.approx(bare.cost + 120, abs=0.11)
    assert one(PAST_GATES, began=at(-2)).cost == pytest.approx(bare.cost + 2 * 60, abs=0.11)
    assert one(PAST_GATES, began=at(-30)).cost == pytest.approx(bare.cost + 14 * 60, abs=0.11)
    assert len(one(PAST_GATES, began=at(-2), soon=True).why) == len(bare.why) + 2


def test_water_and_frost_cost_more_each_hour():
    frost = [*FILLS, Event(fact="recent-frost", is_="frost")]
    assert any("froze" in w for w in one(frost).why)
    leaks = [Event(role="desk"), Event(complaints=["leaking-coupling"])]
    assert any("froze" in w for w in one(leaks).why)
    for dry in (FILLS, WALKS):
        assert not any("froze" in w for w in one(dry).why)


def test_what_waiting_costs_is_the_kbs(tmp_path):
    """A shop's own figures in roles.yaml count; a kb that says nothing of it adds nothing, and says why all the same."""
    kb, struct = shipped(), msgspec.structs.replace
    number = kb.roles.waiting.soon
    waiting = struct(kb.roles.waiting, soon=struct(number, n=7.0), a_day=struct(number, n=1000.0))
    dear, silent = (struct(kb, roles=struct(kb.roles, waiting=w)) for w in (waiting, None))
    old, soon = call("old", PAST_GATES, at(-1)), call("soon", PAST_GATES, soon=True)
    bare = one(PAST_GATES).cost
    assert [p.case for p in queue(kb, [old, soon], NOW)] == ["soon", "old"]
    assert [(p.case, round(p.cost - bare)) for p in queue(dear, [soon, old], NOW)] == [("old", 1000), ("soon", 7)]
    assert {round(p.cost - bare, 1) for p in queue(silent, [soon, old], NOW)} == {0.0}
    assert "It is needed soon." in place(silent, soon, NOW).why


def test_a_cost_of_waiting_below_nothing_or_without_a_basis_is_refused(tmp_path):
    folder = Path(shutil.copytree(SMALL, tmp_path / "kb"))
    path, text = folder / "roles.yaml", (folder / "roles.yaml").read_text()
    some = "waiting:\n  soon: {n: -5, basis: judgement}\n  water: {n: 1, basis: judgement}\n  a_day: {n: 1, basis: judgement}\n"
    path.write_text(f"{text}{some}  most_days: {{n: 1, basis: judgement}}\n")
    (problem,) = read_kb(folder)[1]
    assert (problem.code, problem.file) == ("K104", "kb/roles.yaml")
    assert "waiting.soon" in problem.message or "soon" in problem.message
    path.write_text(text + some)
    assert [p.file for p in read_kb(folder)[1]] == ["kb/roles.yaml"]


def test_a_gate_that_everybody_is_asked_puts_no_call_before_one_whose_waiting_costs_more():
    """A walking machine is asked about gas, water on the floor about water: nobody has told either."""
    leaks = [Event(role="desk"), Event(complaints=["water-on-floor"])]
    assert order(call("walks", WALKS), call("leaks", leaks)) == ["leaks", "walks"]


def test_what_can_not_be_true_together_is_in_the_queue_and_says_so():
    both = [*FILLS, *(Event(complaints=[c]) for c in shipped().complaints)]
    assert one(both).cost > 0


@pytest.mark.parametrize("wrong", ["", "x", "2026-99-01", "2026-12-01T10:00:00"])
def test_a_time_that_can_not_be_read_waits_for_nothing(wrong):
    p = one(FILLS, began=wrong, ring_back=wrong)
    assert (p.can, p.due) == (True, False)


EVENTS = [FILLS, WALKS, PAST_GATES, [*FILLS, Event(stopped="burning-smell")], [*FILLS, Event(hazard="gas-smell")]]
PLACES = [one(e) for e in EVENTS]


@given(
    drawn=st.lists(
        st.tuples(
            st.sampled_from(PLACES), st.floats(0, 1e4), st.booleans(), st.booleans(), st.sampled_from(["", *WAITS])
        )
    ),
    seed=st.randoms(use_true_random=False),
)
def test_the_order_hangs_on_no_order_and_puts_nothing_before_a_graver_danger(drawn, seed):
    places = [
        msgspec.structs.replace(p, case=f"{n:06}", cost=cost, can=can, due=due, waits=waits)
        for n, (p, cost, can, due, waits) in enumerate(drawn)
    ]
    found = in_order(places)
    seed.shuffle(places)
    assert in_order(places) == found
    ranks = [DANGERS.index(p.danger) for p in found]
    assert ranks == sorted(ranks)
    for a, b in pairwise(found):
        if (a.danger, a.signal, a.due, a.can) == (b.danger, b.signal, b.due, b.can):
            assert a.cost >= b.cost
