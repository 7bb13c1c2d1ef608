"""The bench of many servers: what its verdict says of journals that lie, and a short run of it with every fault."""

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.bench.servers.desk import Desk, Said, Times, forms, wrong
from tests.bench.servers.faults import FAULTS
from tests.bench.servers.runs import SHORT, measure
from tests.bench.servers.verdict import DOUBT, held


@pytest.fixture
def kept(tmp_path):
    """A store with one case, and a desk that wrote down what it was told of it."""
    path = tmp_path / "cases.db"
    with Store.open(path) as store:
        case = store.begin("desk 1 call 1")
        for event in (Event(role="desk"), Event(check="foot-gap", value="2 mm"), Event(note="desk 1 note 1")):
            store.add(case, event)
    desk = Desk("desk 1", None, "", ("walks",), Times(), 1)
    desk.journal = [
        Said("", '"desk 1 call 1"', 1, "kept", True),
        Said(case, '"foot-gap"', 1, "kept", True),
        Said(case, '"desk 1 note 1"', 2, "kept", True),
    ]
    return path, case, desk


def verdict(path, desk):
    return [text.partition(":")[0] for text in held([desk], path)[0]]


def test_a_journal_that_fits_the_store_is_right(kept):
    path, _, desk = kept
    assert held([desk], path) == ([], {"said": 3, "kept": 3, "refused": 0, "unknown": 0})


@pytest.mark.parametrize("said", ['"rocks-by-hand"', '"desk 1 note 2"'])
def test_what_was_confirmed_and_is_not_there_is_lost(kept, said):
    path, case, desk = kept
    desk.journal.append(Said(case, said, 1, "kept", True))
    assert verdict(path, desk) == ["LOST"]


def test_what_is_there_more_often_than_it_was_said_is_there_twice(kept):
    path, case, desk = kept
    with Store.open(path) as store:
        store.add(case, Event(note="desk 1 note 1"))
    assert verdict(path, desk) == ["TWICE"]
    with Store.open(path) as store:
        store.begin("desk 1 call 1")
    assert verdict(path, desk) == ["TWICE", "TWICE"]


def test_whoever_was_told_that_it_is_not_kept_was_told_wrongly_where_it_is(kept):
    path, case, desk = kept
    desk.journal[1] = Said(case, '"foot-gap"', 1, "refused", False, "nothing of this was kept")
    assert verdict(path, desk) == ["TOLD WRONGLY that it is not kept"]
    desk.journal[1] = Said(case, '"foot-gap"', 1, "refused", False, f"it is {DOUBT} whether this was kept")
    assert verdict(path, desk) == []
    desk.journal[1] = Said(case, '"foot-gap"', 1, "unknown")
    assert verdict(path, desk) == []


def test_damage_is_said(kept):
    path, _, desk = kept
    with Store.open(path) as store:
        store._db.execute("UPDATE rows SET body=replace(body, '2 mm', '3 mm')")
    assert held([desk], path)[0]


def test_forms_and_alerts_are_read_off_a_page():
    page = (
        '<main><form action="/desk/keep?a=1&amp;b=2" class="choices"><input type="hidden" name="step" value="1-a">'
        '<button name="said" value="can&#39;t">x</button></form><div class="wrong" role="alert"><p>No.</p> Wait.</div></main>'
    )
    (form,) = forms(page)
    assert (form.action, form.hidden, form.buttons, form.kind) == (
        "/desk/keep?a=1&b=2",
        [("step", "1-a")],
        ["can't"],
        "choices",
    )
    assert wrong(page) == "No. Wait."


@pytest.mark.slow
def test_after_each_fault_nothing_is_lost_or_there_twice_and_every_desk_goes_on():
    tables, found = measure(SHORT)
    assert found == []
    rows = tables[-1].rows
    assert len(rows) == len(FAULTS) - any("NOT TESTED" in note for note in tables[-1].notes)
    # A fault that nobody felt proves nothing. Whom a killed server was not answering feels nothing: there the balancer goes on.
    assert [row[0] for row in rows if row[2] == "0" and "server killed" not in row[0]] == []
