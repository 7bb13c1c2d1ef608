"""Several remedies in one visit: kept apart, and the finding claims no more than the proof showed."""

import msgspec
import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.advising.analysis import Analysis
from dryfloor.engine.advising.findings import rivals, shares
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.knowledge.graph import strength
from tests.cli.walk.test_loop import at_card

BEGUN = [
    Event(role="technician"), Event(heard="it hops", complaints=["walks"]), Event(cleared="gas-smell", word="none"), Event(cleared="walking-machine", word="stopped"),
    Event(check="rocks-by-hand", answer="rocks"),
]  # fmt: skip
FOOT, NUT = Event(remedy="foot-unloaded", did="done"), Event(remedy="lock-nut-loose", did="done")
STAYED, WALKED = Event(proof="spin-stays-put", answer="stayed"), Event(proof="spin-stays-put", answer="walked")


def test_one_remedy_and_its_proof_is_as_sure_as_it_was(kb):
    found = advise(kb, [*BEGUN, FOOT, STAYED]).finding
    assert (found.cause, found.p) == ("foot-unloaded", 1.0)
    assert "which of them" not in found.text


@pytest.mark.parametrize("order", [(FOOT, NUT), (NUT, FOOT)])
def test_two_before_one_proof_share_the_credit_by_what_was_believed(kb, order):
    """By hand: each one's chance before, times its remedy's chance to cure, over the sum of both."""
    case = [*BEGUN, *order, STAYED]
    found = advise(kb, case).finding
    before = {b.cause: b.p for b in Analysis(network_of(kb), fold(kb, BEGUN)).beliefs}
    weight = {c: before[c] * strength(kb, kb.causes[c].remedy.cures) for c in ("foot-unloaded", "lock-nut-loose")}
    assert found.cause == max(weight, key=weight.get)
    assert found.p == pytest.approx(max(weight.values()) / sum(weight.values()), abs=1e-8)
    assert "which of them did it was not" in found.text
    assert msgspec.json.encode(advise(kb, case)) == msgspec.json.encode(advise(kb, list(case)))


def test_one_whose_own_proof_failed_is_no_rival(kb):
    state = fold(kb, [*BEGUN, FOOT, WALKED, NUT, STAYED])
    assert [t.cause for t in rivals(state, state.remedies[-1])] == ["lock-nut-loose"]
    assert advise(kb, [*BEGUN, FOOT, WALKED, NUT, STAYED]).finding.p == 1.0


def test_one_whose_proof_failed_is_no_rival_for_another_complaint_either(kb):
    tape = Event(remedy="hose-sealed-in-pipe", did="done")
    full = Event(proof="fill-and-watch", answer=kb.causes["hose-sealed-in-pipe"].proof.passes)
    state = fold(kb, [*BEGUN, Event(complaints=["siphons"]), FOOT, WALKED, tape, full, Event(still=[])])
    assert state.closed == "solved"
    assert [t.cause for t in rivals(state, state.remedies[-1])] == ["hose-sealed-in-pipe"]


def test_shares_sum_to_one(kb):
    state = fold(kb, [*BEGUN, FOOT, NUT, STAYED])
    analysis = Analysis(network_of(kb), state)
    share = shares(kb, analysis, rivals(state, state.remedies[-1]))
    assert sum(share.values()) == pytest.approx(1)


def test_besides_keeps_what_else_was_mended(kb, tmp_path):
    lines = ["besides", "", "besides", "99", "besides no such thing", "besides", "1"]
    _, walk, out = at_card(kb, *lines, role="technician", path=tmp_path / "c.db")
    assert [e.did for e in walk.events if e.remedy] == ["done"]
    assert "What else was done?" in out
    assert "Kept:" in out
    assert "PROVE IT" in out
