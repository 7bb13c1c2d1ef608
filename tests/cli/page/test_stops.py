"""Stop means stop: on a kept case every open page ends at its next answer, and nothing that was cleared before counts after it."""

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, at_a_stop, clear_gates, gate_word

STOP = "Not safe, or I am not sure: stop here"


@pytest.fixture
def two(serve, tmp_path):
    """Two visitors of one kept case, past its gates, and a function that reads its rows."""
    client = serve()
    a, b = Visitor(client, {}), Visitor(client, {})
    clear_gates(a.go("/case?complaint=siphons")).press("Keep this")
    clear_gates(a)
    clear_gates(b.go(a.url))

    def rows():
        with Store.open(tmp_path / "cases.db", write=False) as store:
            return store.events(store.find()[0].id)

    return a, b, rows


def link(visitor):
    """The link of the case, without what waits to be confirmed."""
    return visitor.url.partition("?")[0]


def note_of(visitor):
    return next(v for f in visitor.reader.forms for k, v in f.fields if k == "note")


def stopped(visitor):
    """Say that there is gas: nothing is asked before it is said what to do."""
    visitor.type("words", "I smell gas now")
    assert at_a_stop(visitor)
    return visitor


def test_a_stop_by_one_ends_the_page_of_the_other_at_the_next_answer_and_keeps_nothing_after_it(two, kb):
    a, b, rows = two
    stopped(a)
    kept = rows()
    assert kept[-1] == Event(stopped="gas-smell")
    open_page = b.reader
    for button in ("skip", "can't"):
        b.reader = open_page
        b.press(button)
        assert at_a_stop(b)
        assert all(step in b.text for step in kb.hazards["gas-smell"].gate.do_now)
        assert b.choices == []
    assert rows() == kept


@pytest.mark.parametrize("what", ["skip", "words", "note", "gate", "change"])
def test_every_form_of_an_open_page_ends(two, kb, what):
    a, b, rows = two
    if what == "gate":
        b.type("words", "soapy water is near the plug and the outlet")
        assert gate_word(b)
    form = b.form("said")
    stopped(a)
    kept = rows()
    typed = {
        "skip": {"said": "skip"},
        "words": {"words": "and the pipes bang when it fills"},
        "note": {"said": "note the dog is in the yard"},
        "gate": {"said": gate_word(b)},
        "change": {"open": "onset"},
    }[what]
    assert at_a_stop(b.send(form, typed))
    assert rows() == kept


def test_whoever_opens_it_after_a_stop_is_asked_and_a_page_of_before_stays_ended(two, kb):
    a, b, rows = two
    stopped(a)
    c = Visitor(a.client, {}).go(link(a))
    assert gate_word(c) == kb.hazards["gas-smell"].gate.word
    clear_gates(c)
    assert rows()[-1].resumed is True  # the stop does not stand any more; that it is clear is nobody's to read
    assert not any(e.cleared for e in rows())
    c.press("skip")
    assert not at_a_stop(c)
    assert at_a_stop(b.press("skip"))
    clear_gates(b.go(link(b)))
    b.press("skip")
    assert not at_a_stop(b)


def test_not_safe_counts_from_a_page_that_is_no_longer_the_last(two):
    a, b, rows = two
    a.type("words", "soapy water is near the plug and the outlet")
    assert gate_word(a)
    clear_gates(b.go(link(a)))
    b.press("skip")
    a.press(STOP)
    assert at_a_stop(a)
    assert rows()[-1].stopped == "water-near-electricity"


def test_a_danger_said_on_a_page_that_is_no_longer_the_last_is_heard(two):
    a, b, rows = two
    form = a.form("words")
    b.press("skip")
    a.send(form, {"words": "I smell gas now"})
    assert at_a_stop(a)
    assert [e.hazard or e.stopped for e in rows()[-2:]] == ["gas-smell", "gas-smell"]
    assert at_a_stop(b.press("skip"))


def test_a_note_of_one_kept_case_clears_no_other_and_not_itself_after_a_stop(two):
    a, b, _ = two
    a.press("skip")
    note = note_of(a)
    other = Visitor(a.client, {})
    other.go("/case?complaint=slow-fill")
    clear_gates(other).press("Keep this")
    other.type("words", "it siphons out of the standpipe")
    other.press("That is right: go on")
    other.cookies = {}
    other.take(other.ask("POST", link(other), data={"note": note, "step": "0-0"}))
    assert gate_word(other)
    stopped(b)
    now = dict(Visitor(a.client, {}).go(link(a)).form("said").fields)
    a.take(a.ask("POST", a.url, data=now | {"note": note, "ask": "x"}))
    assert gate_word(a)


def test_the_desk_and_the_homeowner_are_ended_by_each_other(serve, tmp_path):
    from tests.cli.page.conftest import TOKEN

    client = serve()
    home, desk = Visitor(client, {}), Visitor(client, {})
    clear_gates(home.go("/case?complaint=siphons")).press("Keep this")
    clear_gates(home)
    desk.go("/door").type("token", TOKEN)
    with Store.open(tmp_path / "cases.db", write=False) as store:
        case = store.find()[0].id
    clear_gates(desk.go(f"/desk/cases/{case}"))
    stopped(home)
    desk.type("said", "skip")
    assert at_a_stop(desk)
    clear_gates(home.go(link(home)))
    clear_gates(desk.go(link(desk)))
    desk.type("said", "there are sparks at the plug")
    assert at_a_stop(desk)
    assert at_a_stop(home.press("skip"))


def test_a_stop_is_said_even_where_it_can_not_be_kept(two, monkeypatch):
    """Another window holds the case, or the disk is full: what to do now stands on the page all the same."""
    from dryfloor.engine.errors import InvalidInputError, Problem

    a, _, rows = two
    a.type("words", "soapy water is near the plug and the outlet")
    kept = rows()

    def full(*_, **__):
        raise InvalidInputError([Problem(code="J001", message="full", mend="x")])

    monkeypatch.setattr(Store, "add", full)
    a.press(STOP)
    assert at_a_stop(a)
    assert a.choices == []
    assert rows() == kept
