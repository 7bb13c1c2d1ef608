"""Carrying cases: nothing of either end is lost, whatever was done there, and doing it again changes nothing."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dryfloor.cli.store.carrying import APART, TAKEN_BACK, joined
from dryfloor.cli.store.replay import replay
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.stored import EVENTS, filled

ROWS = st.lists(
    st.one_of(
        st.integers(0, 9).map(lambda n: f'{{"note":"{n}"}}'),
        st.integers(1, 3).map(lambda n: f'{{"undo":{n}}}'),
        st.tuples(st.integers(0, 4), st.integers(0, 9)).map(lambda p: f'{{"at":{p[0]},"put":{{"note":"put {p[1]}"}}}}'),
    ),
    max_size=8,
)


def events(rows):
    out = []
    for row in rows:
        assert replay(out, row)
    return out


@given(ROWS, ROWS, ROWS)
def test_nothing_that_either_end_holds_is_lost(common, ours, theirs):
    here, there = common + ours, common + theirs
    outcome, added = joined(here, there)
    said = events(here + added)
    if outcome != "shorter":  # then what is lacking here was taken back here
        for event in events(there):
            assert event in said
    if outcome == "apart":
        assert said[: len(events(here))] == events(here)
        assert any(e.note.startswith(APART) for e in said)
    else:
        assert said in (events(here), events(there))


@given(ROWS, ROWS, ROWS)
def test_carried_again_it_is_the_same(common, ours, theirs):
    here, there = common + ours, common + theirs
    now = here + joined(here, there)[1]
    assert joined(now, there)[1] == []
    assert joined(now, there)[0] in ("same", "shorter")


@given(ROWS, ROWS, ROWS)
def test_carried_back_both_ends_hold_the_same(common, ours, theirs):
    here, there = common + ours, common + theirs
    now = here + joined(here, there)[1]
    back = there + joined(there, now)[1]
    assert events(back) == events(now)


def test_what_the_other_end_took_back_is_told():
    a, b = '{"note":"a"}', '{"check":"foot-gap","value":"3 mm"}'
    outcome, added = joined([a, b, '{"note":"c"}'], [a, b, '{"undo":1}', '{"note":"d"}'])
    assert outcome == "apart"
    assert events(added)[1:] == [Event(note=f"{TAKEN_BACK}: check: foot-gap, value: 3 mm"), Event(note="d")]


# from store to store


def test_a_case_is_carried_as_it_is(place):
    with Store.open(":memory:") as source, Store.open(place) as target:
        first = source.begin("Alder 4", kb="stamp", journal="a journal")
        case = source.begin("Alder 4", earlier=first)
        for event in EVENTS:
            source.add(case, event)
        source.undo(case, 1)
        source.saw(case, 3, "what was shown")
        source.decline(case)
        token = source.link(case)
        assert [target.adopt(source.record(name)) for name in (first, case)] == ["new", "new"]
        target.link_by(case, source.link_digests(case))
        assert [target.record(name) for name in (first, case)] == [source.record(name) for name in (first, case)]
        assert (target.stamped(first), target.journal(first)) == ("stamp", "a journal")
        assert target.by_link(token) == case
        assert (target.seen(case), target.line(case).earlier) == ((3, "what was shown"), first)
        assert target.adopt(source.record(case)) == "same"
        assert [d for d in target.verify()[2] if not d.startswith("The server ")] == []
        source.add(case, Event(note="later"))
        assert target.adopt(source.record(case)) == "longer"
        assert target.record(case) == source.record(case)
        target.add(case, Event(note="here"))
        assert target.adopt(source.record(case)) == "shorter"


def test_a_damaged_case_is_not_carried_as_if_it_were_whole(tmp_path):
    store, case = filled(tmp_path / "cases.db")
    store._db.execute("UPDATE rows SET body='{' WHERE number=2")
    with pytest.raises(Exception, match="damaged"):
        store.record(case)


def test_a_record_is_plain(tmp_path):
    store, case = filled(tmp_path / "cases.db", reference="Alder 4")
    record = store.record(case)
    assert msgspec.json.decode(msgspec.json.encode(record), type=type(record)) == record
