"""What a kept case turned out to be: said after its end, found again by whoever learns from it, counted in the list."""

import json
import re

import pytest

from dryfloor.cli.store.store import Store
from dryfloor.engine.case.case_file import load_case
from dryfloor.engine.case.events import Event

SAID = [
    Event(role="homeowner"),
    Event(heard="it stays full of water", complaints=["no-drain"]),
    Event(closed="handed-on", why="Book a washer technician."),
]


@pytest.fixture
def store(make_env):
    """The store that the commands use."""
    with Store.open(make_env().data_dir / "cases.db") as opened:
        yield opened


@pytest.fixture
def case(store):
    """A case that waits for the next person."""
    name = store.begin("Alder 4")
    for event in SAID:
        store.add(name, event)
    return name


def data(done):
    return json.loads(done.out)["data"]


def test_it_is_kept_shown_and_counted(run, store, case):
    done = run("outcome", case, "the", "bolts were still in", "--cause", "restraints-left-in", "--by", "technician", "--date", "2026-03-09")  # fmt: skip
    assert done.code == 0
    assert "OUTCOME" in done.out
    last = store.events(case)[-1]
    assert (last.turned_out, last.cause, last.by, last.date) == (
        "the bolts were still in",
        "restraints-left-in",
        "technician",
        "2026-03-09",
    )
    shown = run("show", case)
    assert "outcome" in shown.out
    assert "the bolts were still in" in shown.out
    listed = run("cases")
    assert re.search(r"closed, turned out", listed.out)
    assert "1 of 1 turned out to be something else" in listed.out
    assert data(run("cases", "--json"))["turned_out"] == 1
    assert run("resume", case).code == 2


def test_a_cause_is_offered_and_never_taken_by_itself(run, store, case):
    """Nobody sits at the terminal, so nobody has confirmed what was heard."""
    told = data(run("outcome", case, "the shipping bolts were left in", "--json"))
    assert told["near"][0]["id"] == "restraints-left-in"
    assert store.events(case)[-1].cause is None
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", store.events(case)[-1].date)


@pytest.mark.parametrize(
    ("more", "code"),
    [
        (["--cause", "restraints-left"], "C012"),
        (["--by", "neighbour"], "C035"),
        (["--date", "yesterday"], "C027"),
    ],
)
def test_what_can_not_be_kept_is_refused_and_nothing_is(run, store, case, more, code):
    done = run("outcome", case, "it was the tap", *more, "--json")
    assert (done.code, [e["code"] for e in json.loads(done.out)["errors"]]) == (2, [code])
    assert all(e.turned_out is None for e in store.events(case))
    assert run("outcome", case, " ").code == 2


def test_it_goes_with_the_case_file_and_comes_back(run, kb, case, tmp_path):
    run("outcome", case, 'roots, the man said: "like a beard"', "--by", "plumber")
    path = tmp_path / "case.yaml"
    assert run("export", case, "-o", str(path)).code == 0
    back = load_case(kb, path)[-1]
    assert (back.turned_out, back.by) == ('roots, the man said: "like a beard"', "plumber")
    assert data(run("advise", str(path), "--json"))["turned_out"]["words"] == back.turned_out


def test_a_second_outcome_stands_beside_the_first_in_show_and_report(run, case):
    run("outcome", case, "a sock in the pump", "--by", "technician", "--date", "2026-03-09")
    second = run("outcome", case, "roots in the branch", "--by", "plumber", "--date", "2026-03-14").out
    for out in (second, run("show", case).out, run("report", case).out):
        text = " ".join(out.split())
        assert (
            text.index("roots in the branch")
            < text.index("Before that it was said:")
            < text.index("a sock in the pump")
        )
        assert "2026-03-09" in text
        assert "2026-03-14" in text
