"""The queue at the command line: who has what, what is next, and what is refused in words."""

import json
import re

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event

FILLS = [Event(role="desk"), Event(heard="Mrs. Doe says it fills so slowly", complaints=["slow-fill"])]
STOPPED = [Event(role="desk"), Event(complaints=["no-drain"]), Event(stopped="burning-smell")]


@pytest.fixture
def store(make_env):
    """The store that the commands use."""
    with Store.open(make_env().data_dir / "cases.db") as opened:
        yield opened


@pytest.fixture
def put(store):
    """A function that keeps a case and returns its id."""

    def one(events=FILLS, **more):
        case = store.begin(**more)
        for event in events:
            store.add(case, event)
        return case

    return one


def data(done):
    return json.loads(done.out)["data"]


def test_the_queue_says_why_and_nothing_personal_but_the_reference(run, put):
    slow, stopped = put(reference="Alder 4"), put(STOPPED)
    done = run("queue")
    assert done.code == 0
    assert re.findall(r"^([A-Z0-9]{6})  ", done.out, re.M) == [stopped, slow]
    assert "Stopped for safety" in done.out
    assert "Alder 4" in done.out
    assert "Doe" not in done.out + run("queue", "--json").out
    assert [c["danger"] for c in data(run("queue", "--json"))["calls"]] == ["stop", "none"]


def test_next_gives_each_desk_another_call_until_none_is_left(run, put):
    slow, stopped = put(), put(STOPPED)
    first, second = (data(run("queue", "--next", "--as", n, "--json"))["calls"][0] for n in ("ann", "bob"))
    assert (first["case"], first["who"]) == (stopped, "ann")
    assert (second["case"], second["who"]) == (slow, "bob")
    done = run("queue", "--next", "--as", "cy")
    assert (done.code, "No call waits" in done.out) == (1, True)
    assert f"{slow}  open  with bob" in run("queue").out
    assert [c["id"] for c in data(run("cases", "--who", "ANN", "--json"))["cases"]] == [stopped]
    assert run("give-back", slow).code == 0
    assert data(run("queue", "--next", "--json", DRYFLOOR_AS="cy"))["calls"][0]["case"] == slow


def test_marks_are_kept_shown_taken_away_and_change_no_advice(run, put):
    case = put()
    advice = run("advise", case, "--json").out
    events = data(run("show", case, "--json"))["events"]
    for line in (
        ("take", case, "--as", "ann"),
        ("ring-back", case, "--at", "2099-01-02 10:00"),
        ("waits", case, "--for", "plumber"),
        ("soon", case),
    ):
        assert run(*line).code == 0
    shown = data(run("show", case, "--json"))
    assert (shown["queue"]["who"], shown["queue"]["waits"], shown["queue"]["soon"]) == ("ann", "plumber", True)
    assert shown["queue"]["ring_back"].startswith("2099-01-0")
    assert (run("advise", case, "--json").out, shown["events"]) == (advice, events)
    assert data(run("queue", "--json"))["calls"][0]["can"] is False
    assert run("queue", "--next", "--as", "bob").code == 1
    run("ring-back", case, "--at", "nothing")
    run("waits", case, "--for", "nothing")
    run("soon", case, "--no-more")
    run("give-back", case)
    assert set(data(run("show", case, "--json"))["queue"].values()) == {"", False}


def test_a_call_that_somebody_has_is_refused_with_who_has_it(run, put):
    case = put()
    run("take", case, "--as", "ann")
    done = run("take", case, "--as", "bob")
    assert (done.code, "is with ann" in done.err) == (2, True)
    assert run("take", case, "--as", "ann").code == 0


@pytest.mark.parametrize(
    ("argv", "code"),
    [
        (("take",), "U038"),
        (("take", "--as", "x" * 21), "U038"),
        (("take", "--as", " "), "U038"),
        (("ring-back", "--at", "soon"), "U039"),
        (("ring-back", "--at", ""), "U039"),
        (("ring-back", "--at", "9999-12-31 23:59"), ""),
        (("ring-back", "--at", "0001-01-01 00:00"), None),
        (("waits", "--for", "godot"), "U040"),
    ],
)
def test_what_is_no_mark_is_said(run, put, argv, code):
    done = run(argv[0], put(), *argv[1:], "--json")
    assert done.code in (0, 2)
    if code:
        assert json.loads(done.out)["errors"][0]["code"] == code


def test_what_is_closed_stands_in_no_queue(run, put):
    case = put([*FILLS, Event(closed="given-up", why="sold")])
    assert run("queue").code == 1
    assert run("take", case, "--as", "ann").code == 2
    assert run("give-back", case).code == 0


def test_without_a_store_no_call_waits(run):
    assert (run("queue").code, run("queue", "--next", "--as", "ann").code) == (1, 1)


def test_marks_that_somebody_made_up_in_a_file_do_no_harm(run, put, store, tmp_path):
    from msgspec.structs import replace

    case = put()
    bad = [(1, json.dumps({"has": "\x1b[2Jann\u202e", "ring_back": "9" * 999, "waits": "\x9bx"})), (2, "{")]
    record = replace(store.record(case), marks=bad)
    with Store.open(tmp_path / "there.db") as there:
        there.adopt(record)
    for argv in (("queue",), ("show", case), ("cases",), ("queue", "--next", "--as", "bob")):
        for flag in ((), ("--json",)):
            done = run(*argv, *flag, "--store", str(tmp_path / "there.db"))
            assert done.code in (0, 1)
            assert not {"\x1b", "\x9b", "\u202e"} & {*done.out}
