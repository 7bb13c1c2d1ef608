"""The readers' lists name what the kb has, and the chances laid beside them are the posterior's own."""

import pytest

from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.knowledge.load import load_kb
from tests.bench.first_causes import FIVE, ONSETS, chances, lists


@pytest.fixture(scope="module")
def kb():
    return load_kb()


def test_every_complaint_has_five_settled_causes_new_and_old_and_says_why(kb):
    assert sorted(e["complaint"] for e in lists()) == sorted(kb.complaints)
    for entry in lists():
        for age in ONSETS:
            settled = entry["settled"][age]
            assert len(set(settled["causes"])) == FIVE, entry["complaint"]
            assert settled["why"], entry["complaint"]
            read = {c["cause"] for reader in entry["readers"].values() for c in reader[age]}
            assert {*settled["causes"]} <= read, f"{entry['complaint']}, {age}: settled on what neither reader wrote"


def test_what_the_readers_wrote_is_a_share_of_a_hundred(kb):
    for entry in lists():
        for reader in entry["readers"].values():
            for age in ONSETS:
                shares = [c["share"] for c in reader[age]]
                assert shares == sorted(shares, reverse=True)
                assert sum(shares) + reader[f"{age}_rest"] == pytest.approx(100, abs=2)


def test_every_settled_cause_shows_its_complaint_and_is_not_ruled_out_by_what_is_given(kb):
    for entry in lists():
        for age, onsets in ONSETS.items():
            assert {*entry["settled"][age]["causes"]} <= chances(kb, entry["complaint"], entry["given"], onsets).keys()


def test_one_onset_alone_is_what_the_advice_believes(kb):
    advice = advise(
        kb, [Event(role="technician"), Event(complaints=["water-hammer"]), Event(fact="onset", is_="slowly")]
    )
    assert chances(kb, "water-hammer", {}, ("slowly",)) == pytest.approx({b.cause: b.p for b in advice.beliefs})


def test_two_onsets_mixed_lie_between_the_two(kb):
    mixed = chances(kb, "walks", {}, ("suddenly", "slowly"))
    a, b = (chances(kb, "walks", {}, (o,)) for o in ("suddenly", "slowly"))
    for cause, p in mixed.items():
        assert min(a[cause], b[cause]) - 1e-9 <= p <= max(a[cause], b[cause]) + 1e-9
