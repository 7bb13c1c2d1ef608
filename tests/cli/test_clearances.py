"""A cleared gate is in no store: no way in writes one, and none that an older version wrote counts for anybody later."""

import msgspec
import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.case_file import load_case
from dryfloor.engine.case.clearance import kept_of
from dryfloor.engine.case.events import Event
from tests.support.forms import Visitor, clear_gates
from tests.support.telling import BOOKED, HANDED_OVER

STOPPED = [*BOOKED, Event(stopped="water-near-electricity"), Event(cleared="water-near-electricity")]


@pytest.fixture
def before(tmp_path):
    """A store as versions of before wrote it: with the gates that were cleared then. Gives its file and a case's id."""

    def make(events=BOOKED):
        path = tmp_path / "before.db"
        with Store.open(path) as store:
            case = store.begin()
            for event in events:
                store.add(case, event)
        return str(path), case

    return make


def rows(path):
    with Store.open(path, write=False) as store:
        return [e for line in store.find() for e in store.events(line.id)]


def test_the_sample_counts_its_clearance_where_a_program_gives_it(run, tmp_path):
    """What makes the tests below fail where a row of before still counts."""
    from dryfloor.engine.case.case_file import dump

    path = tmp_path / "case.yaml"
    path.write_text(dump(BOOKED))
    assert run("bring", str(path)).out.strip().startswith("BOOK")


@pytest.mark.parametrize("events", [BOOKED, STOPPED])
def test_no_command_counts_a_clearance_of_before(run, before, events):
    path, case = before(events)
    asked = msgspec.json.decode(run("advise", case, "--store", path, "--json").out)["data"]
    assert asked["next"]["kind"] == "gate"
    assert {h["state"] for h in asked["hazards"]} == {"open"}
    said = run("bring", case, "--store", path).out
    assert said.strip().startswith("STOP")
    assert "Not cleared yet" in said
    card = msgspec.json.decode(run("handover", case, "--store", path, "--json").out)["data"]
    assert [h["state"] for h in card["hazards"] if h["id"] == "water-near-electricity"] == ["open"]
    assert "this was clear when it was asked" not in run("report", case, "--store", path, "--for", "technician").out
    shown = msgspec.json.decode(run("show", case, "--store", path, "--json").out)["data"]
    assert shown["advice"]["next"]["kind"] == "gate"
    assert "cleared" not in run("export", case, "--store", path).out


def test_a_stop_of_before_that_nobody_cleared_stands(run, before):
    path, case = before([*BOOKED, Event(stopped="water-near-electricity"), Event(note="rings back")])
    assert "Not cleared yet" not in run("bring", case, "--store", path).out
    assert msgspec.json.decode(run("advise", case, "--store", path, "--json").out)["data"]["status"] == "stopped"


@pytest.mark.parametrize("command", ["advise", "bring", "handover", "report"])
def test_somebody_who_vouches_now_says_so_on_the_command_line(run, before, command):
    path, case = before()
    done = run(command, case, "--store", path, "--cleared", "water-near-electricity", "--json")
    data = msgspec.json.decode(done.out)["data"]
    if command == "bring":
        assert not data["stop"]
    if command in ("advise", "handover"):
        assert "cleared" in {h["state"] for h in data["hazards"]}


def test_a_walk_keeps_none_in_its_store_its_file_or_the_file_beside(run, make_env, kb, tmp_path):
    path = tmp_path / "case.yaml"
    run("walk", "--case", str(path), typed="it hops about\nyes\nnone\nstopped\n1\n1\nback\n2\n")
    store = make_env().data_dir / "cases.db"
    kept = rows(store)
    assert [e for e in kept if e.fact or e.check]
    assert not [e for e in kept if e.cleared]
    assert load_case(kb, path) == kept


def test_a_case_file_that_is_taken_up_leaves_its_clearances_in_the_file(run, make_env, tmp_path):
    from dryfloor.engine.case.case_file import dump

    path = tmp_path / "case.yaml"
    path.write_text(dump(HANDED_OVER))
    run("walk", "--case", str(path), typed="")
    kept = rows(make_env().data_dir / "cases.db")
    assert kept[: len(HANDED_OVER) - 1] == [e for e in HANDED_OVER if not e.cleared]
    assert not [e for e in kept if e.cleared]


def test_a_journal_of_before_comes_into_the_store_without_them(run, make_env):
    folder = make_env().data_dir / "cases"
    folder.mkdir(parents=True)
    lines = b"".join(msgspec.json.encode(e) + b"\n" for e in HANDED_OVER)
    (folder / "2026-01-01-000000-aaaa.jsonl").write_bytes(lines)
    run("cases")
    kept = rows(make_env().data_dir / "cases.db")
    assert kept == [e for e in HANDED_OVER if not e.cleared]


def test_the_page_keeps_none_by_any_of_its_forms(kb, tmp_path):
    from dryfloor.cli.page.app import application
    from dryfloor.cli.page.context import Context, Keeping
    from tests.cli.page.conftest import TOKEN, TestClient

    path = tmp_path / "cases.db"
    with TestClient(application(Context(kb, None, Keeping(path), TOKEN))) as client:
        home, desk = Visitor(client), Visitor(client)
        clear_gates(home.go("/case?complaint=siphons")).press("Keep this")
        clear_gates(home).press("skip")
        clear_gates(home.go(home.url)).press("can't")
        desk.go("/door").type("token", TOKEN)
        clear_gates(desk.go("/desk?complaint=walks")).type("reference", "Alder 4")
        clear_gates(desk.go(desk.url)).press("skip")
        assert len(rows(path)) > 4
        assert not [e for e in rows(path) if e.cleared]


def test_a_clearance_that_ended_a_stop_leaves_that_somebody_went_on():
    assert [e.resumed for e in kept_of(STOPPED[-2:])] == [None, True]
