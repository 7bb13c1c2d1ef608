"""`dryfloor kb try`: twenty sites a cause and role, one shown move by move, and what each exit code says."""

import msgspec
import pytest

from tests.support.places import SMALL


def data(done):
    return msgspec.json.decode(done.out)


def test_a_cause_is_played_at_twenty_sites(run):
    shown = run("kb", "try", "standpipe-too-low", COLUMNS="60")
    assert shown.code == 0, shown.err
    lines = shown.out.splitlines()
    assert lines[0].startswith("kb read: ")
    assert all(len(line) <= 60 for line in lines[1:])
    made = data(run("kb", "try", "standpipe-too-low", "--json"))
    assert (made["command"], made["status"], made["exit"]) == ("kb try", "found", 0)
    assert (made["data"]["seed"], made["data"]["sites"]) == (0, 20)
    one = made["data"]["tried"][0]
    assert (one["causes"], one["role"], one["sites"]) == (["standpipe-too-low"], "technician", 20)
    said = f"found in {one['found']} of 20, median {one['median_minutes']:.0f} minutes"
    assert said in " ".join(shown.out.split())


def test_each_role_that_is_asked_for_is_played_once(run):
    argv = ["standpipe-too-low", "--sites", "2", "--role", "homeowner", "--role", "desk", "--role", "homeowner"]
    made = data(run("kb", "try", *argv, "--json"))["data"]["tried"]
    assert [m["role"] for m in made] == ["homeowner", "desk"]
    assert "2 of 2 found at more than half of their sites." in run("kb", "try", *argv).out


def test_all_tries_each_cause_by_itself(run):
    made = data(run("kb", "try", "all", "--sites", "1", "--kb", str(SMALL), "--json"))["data"]["tried"]
    assert [m["causes"] for m in made] == [["hose-sealed-in"], ["pipe-too-low"]]
    together = data(run("kb", "try", "pipe-too-low", "hose-sealed-in", "--sites", "1", "--kb", str(SMALL), "--json"))
    assert [m["causes"] for m in together["data"]["tried"]] == [["pipe-too-low", "hose-sealed-in"]]


def test_with_a_complaint_all_takes_the_causes_that_show_it(kb, run):
    made = data(run("kb", "try", "all", "--sites", "1", "--complaint", "siphons", "--json"))["data"]
    shows = [c.id for c in kb.causes.values() if any(s.complaint == "siphons" for s in c.shows)]
    assert [m["causes"] for m in made["tried"]] == [[c] for c in sorted(shows)]
    assert made["complaint"] == "siphons"


def test_a_seed_is_the_number_of_the_first_site(run):
    def minutes(*argv):
        return data(run("kb", "try", "hose-sealed-in-pipe", *argv, "--json"))["data"]

    for seed in ("0", "3"):
        alone = minutes("--seed", seed, "--steps")
        assert minutes("--seed", seed, "--sites", "1")["tried"][0]["median_minutes"] == round(alone["minutes"], 1)
    assert minutes("--seed", "2", "--sites", "3") == minutes("--seed", "2", "--sites", "3")


def test_what_is_seldom_found_is_told_and_is_1(run, monkeypatch):
    from dryfloor.engine.simulation import attempts

    def missed(network, causes, role, *_):
        return attempts.Attempts(
            causes=causes, role=role, sites=20, found=10, median_minutes=22.4, by={role: 9, "technician": 1},
            guessed=1, instead={"b": 4, "c": 2, "d": 2, "e": 1}, in_vain={"f": 3},
        )  # fmt: skip

    monkeypatch.setattr(attempts, "attempt", missed)
    done = run("kb", "try", "standpipe-too-low", "--role", "desk")
    assert done.code == 1
    out = " ".join(done.out.split())
    assert "found in 10 of 20, median 22 minutes (by desk 9, technician 1)." in out
    assert "believed, but left to the specialist: 1" in out
    assert "named instead: b 4, c 2, d 2 and 1 more" in out
    assert "mended in vain first: f 3" in out
    assert data(run("kb", "try", "standpipe-too-low", "--json"))["status"] == "not-found"


def test_one_site_move_by_move(run):
    shown = run("kb", "try", "standpipe-too-low", "--steps", COLUMNS="60")
    assert shown.code == 0, shown.err
    assert "FOUND" in shown.out
    assert "min of work" in shown.out
    assert all(len(line) <= 60 for line in shown.out.splitlines()[1:])
    argv = ["--role", "desk", "--complaint", "siphons", "--seed", "2", "--steps", "--json"]
    made = data(run("kb", "try", "standpipe-too-low", *argv))
    assert made["data"]["causes"] == ["standpipe-too-low"]
    assert made["data"]["moves"][0]["kind"] == "gate"


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["standpipe-to-low"], "nearest: standpipe-too-low"),
        (["standpipe-too-low", "--complaint", "siphon"], "nearest: siphons"),
        (["standpipe-too-low", "--role", "desc"], "nearest: desk"),
        (["standpipe-too-low", "--seed", "x"], "invalid int value"),
        (["standpipe-too-low", "--sites", "0"], "expected 1 to 1000"),
        (["standpipe-too-low", "all"], "all stands alone"),
        (["all", "--steps"], "one site of one role"),
        (["standpipe-too-low", "--role", "desk", "--role", "homeowner", "--steps"], "one site of one role"),
        (["standpipe-too-low", "tub-rim-too-low"], "can't be at a site together"),
        ([], "CAUSE"),
    ],
)
def test_a_wrong_command_is_told_what_is_near(run, argv, says):
    done = run("kb", "try", *argv)
    assert done.code == 2
    assert says in done.err
