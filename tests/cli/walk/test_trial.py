"""A fault that comes and goes: on trial after its proof, solved when it stayed away, open again when it came back."""

import pytest

from dryfloor.cli.result import Exit
from dryfloor.cli.store.store import Store
from dryfloor.cli.terminal.asker import ScriptedAsker
from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.case.clearance import kept_of
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold, washes_to_watch
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.inference.posterior import infer_by_fact
from tests.cli.walk.test_loop import WALKS, shown
from tests.support.person import Person, hold

GATES = [Event(cleared="gas-smell", word="none"), Event(cleared="walking-machine", word="stopped")]
BEGUN = [
    Event(role="technician"),
    Event(heard=WALKS, complaints=["walks"]),
    *GATES,
    Event(check="rocks-by-hand", answer="rocks"),
]
MENDED = [Event(remedy="foot-unloaded", did="done"), Event(proof="spin-stays-put", answer="stayed")]
NOW_AND_THEN, EVERY_TIME = Event(fact="rhythm", is_="now-and-then"), Event(fact="rhythm", is_="every-time")


def test_how_many_washes_to_watch_follows_from_one_in_four(kb):
    """Judgement: it comes one wash in four. Derived: the least n with 0.75^n at most 1 in 20."""
    n = washes_to_watch(kb, {"rhythm": "now-and-then"})
    assert 0.75**n <= 0.05 < 0.75 ** (n - 1)
    assert washes_to_watch(kb, {}) == washes_to_watch(kb, {"rhythm": "every-time", "gone-fact": "x"}) == 0


@pytest.mark.parametrize(("rhythm", "closed"), [(NOW_AND_THEN, "on-trial"), (EVERY_TIME, "solved"), (None, "solved")])
def test_a_passed_proof_closes_by_how_often_it_happens(kb, rhythm, closed):
    case = [*BEGUN, *([rhythm] if rhythm else []), *MENDED]
    state = fold(kb, case)
    assert state.closed == closed
    advice = advise(kb, case)
    assert (advice.status, advice.next, advice.finding.cause) == (closed, None, "foot-unloaded")
    two = [
        *BEGUN,
        Event(complaints=["noise"] if "noise" in kb.complaints else ["siphons"]),
        *([rhythm] if rhythm else []),
        *MENDED,
    ]
    assert fold(kb, [*two, Event(still=[])]).closed == closed


def test_what_is_no_fault_is_not_put_on_trial(kb):
    cause = next(
        c
        for c in kb.causes.values()
        if c.kind == "normal" and any(s.complaint == "walks" for s in c.shows) and c.proof.passes != "within"
    )
    said = Event(proof=cause.proof.check, answer=cause.proof.passes)
    assert fold(kb, [*BEGUN, NOW_AND_THEN, Event(remedy=cause.id, did="done"), said]).closed == "solved"


def test_what_came_back_stands_after_all_that_was_mended(kb):
    """As a failed proof does: the cure is doubted, and no second, fresh draw talks `unknown` down."""
    trial = [*BEGUN, NOW_AND_THEN, *MENDED, Event(closed="on-trial"), Event(trial="came-back", complaints=["walks"])]
    failed = [*BEGUN, NOW_AND_THEN, MENDED[0], Event(proof="spin-stays-put", answer="walked")]
    after, plain = fold(kb, trial), fold(kb, failed)
    assert (after.closed, after.gone, dict(after.stands)) == (None, (), {"walks": 1})
    assert [t.passed for t in after.remedies] == [False]
    assert after.cleared == ()
    beliefs = [[(b.cause, b.p) for b in Analysis(network_of(kb), s).beliefs] for s in (after, plain)]
    assert beliefs[0] == beliefs[1]
    before = Analysis(network_of(kb), fold(kb, [*BEGUN, NOW_AND_THEN]))
    assert Analysis(network_of(kb), after).unknown >= before.unknown
    step = advise(kb, [*trial, *GATES]).next
    assert step is not None
    assert step.id != "foot-unloaded"


def test_a_trial_that_was_not_running_says_nothing(kb):
    for trial in ("came-back", "stayed-away"):
        state = fold(kb, [*BEGUN, Event(trial=trial)])
        assert (state.closed, len(state.notices)) == (None, 1)


def walked(kb, tmp_path, *lines, more=()):
    events = [*BEGUN, NOW_AND_THEN, *more, *MENDED, *([Event(still=[])] if more else []), Event(closed="on-trial")]
    asker = ScriptedAsker([*lines])
    return hold(kb, "technician", None, asker, [*events, Event(resumed=True)], path=tmp_path / "c.db")


@pytest.mark.parametrize("typed", ["2", "no", "it stayed away"])
def test_it_stayed_away(kb, tmp_path, typed):
    result, walk, out = walked(kb, tmp_path, "?", typed)
    assert (result.status, result.exit) == ("solved", Exit.DONE)
    assert walk.events[-1].trial == "stayed-away"
    assert "stayed away for as long as it had to" in out
    with Store.open(tmp_path / "c.db") as store:
        assert [c.closed for c in store.find()] == ["solved"]


@pytest.mark.parametrize("typed", ["1", "yes", "It came back."])
def test_it_came_back(kb, tmp_path, typed):
    result, walk, out = walked(kb, tmp_path, typed, "none", "stopped")
    assert result.exit == Exit.NOTHING
    assert "the case is open again" in out
    assert out.count("BEFORE ANYTHING ELSE") == 2  # gates again
    with Store.open(tmp_path / "c.db") as store:
        assert [c.state for c in store.find()] == ["open"]
        assert store.events(store.find()[0].id) == kept_of(walk.events)


@pytest.mark.parametrize("typed", ["3", "", "not yet"])
def test_it_is_too_soon_to_say(kb, tmp_path, typed):
    result, walk, _ = walked(kb, tmp_path, typed)
    assert (result.status, result.exit) == ("on-trial", Exit.DONE)
    assert not any(e.trial for e in walk.events)


def test_of_several_only_what_came_back_stands(kb, tmp_path):
    more = (Event(complaints=["siphons"]),)
    _, walk, _ = walked(kb, tmp_path, "1", "9", "2", more=more)
    state = fold(kb, walk.events)
    assert [c for c in state.complaints if c not in dict(state.gone)] == ["siphons"]
    assert next(e for e in walk.events if e.trial).complaints == ["siphons"]


def test_a_walk_ends_on_trial_and_says_how_long_to_watch(kb, tmp_path):
    truth = shown(
        kb,
        "foot-unloaded",
        onset="new",
        rhythm="now-and-then",
        **{"dryer-beside": "electric-dryer", "foot-gap": "3 mm"},
    )
    result, walk, out = hold(
        kb,
        "technician",
        WALKS,
        Person(truth, ["foot-unloaded"]),
        [Event(role="technician"), NOW_AND_THEN],
        path=tmp_path / "c.db",
    )
    assert (result.status, result.exit) == ("on-trial", Exit.DONE)
    assert "watch 11 washes" in " ".join(out.split())
    assert walk.events[-1].closed == "on-trial"
    assert "PROVED" not in out


def test_the_belief_after_a_trial_is_that_of_the_evidence(kb):
    """By the exact posterior itself: the finding's epoch is that of the remedy, its cure stays in."""
    case = [*BEGUN, NOW_AND_THEN, *MENDED, Event(trial="came-back")]
    network = network_of(kb)
    e = gather_evidence(network, fold(kb, case))
    (walks,) = [f for f in e.findings if f.complaint]
    assert (walks.epoch, walks.gone_at, walks.on, walks.off) == (1, None, 1.0, 0.0)
    assert infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures).marginal_likelihood > 0
