"""The command line from end to end: exit codes, the envelope, what is offered, and streams that are closed."""

import json
import os
import subprocess
import sys
import tomllib

import pytest

import dryfloor
from dryfloor.cli.store.store import Store
from tests.support.places import ROOT

KEYS = ["dryfloor", "command", "status", "exit", "data", "errors"]


@pytest.mark.parametrize("argv", [["walk", "--role", "plumer"], ["--role", "plumer"]])
def test_an_unknown_role_is_2_and_nothing_is_asked(run, argv):
    done = run(*argv, typed="it hops\n")
    assert done.code == 2
    assert "unknown role 'plumer'" in done.err
    assert "homeowner" in done.err
    assert done.out == ""


def test_an_unknown_hazard_after_cleared_is_2(run):
    done = run("walk", "--cleared", "gas-smel", "--say", "it hops")
    assert done.code == 2
    assert "nearest: gas-smell" in done.err


@pytest.mark.parametrize(
    ("argv", "typed", "code"),
    [
        (["hear", "it hops", "--json"], "", 0),
        (["hear", "the moon is made of cheese", "--json"], "", 1),
        (["hear", "--json"], "", 2),
        (["wlak", "--json"], "", 2),
        (["advise", "-", "--json"], "role: homeowner\ncomplaints: [walks]\n", 0),
        (["advise", "-", "--json"], "role: plumer\n", 2),
        (["advise", "missing.yaml", "--json"], "", 2),
        (["advise", "-", "--json", "--kb", "missing"], "role: desk\n", 4),
        (["walk", "--json"], "it hops\nyes\nnot safe\n", 5),
        (["walk", "--json", "--role", "plumer"], "", 2),
        (["kb", "schema", "--json"], "", 0),
        (["kb", "check", "--json", "--kb", "missing"], "", 4),
    ],
)
def test_with_json_there_is_one_envelope_with_its_keys_in_order(run, argv, typed, code):
    done = run(*argv, typed=typed)
    body = json.loads(done.out)
    assert list(body) == [*KEYS, *(["kb"] if code == 4 else [])]  # a kb that can't be used is named
    assert body["exit"] == done.code == code
    assert body["dryfloor"] == dryfloor.__version__
    assert bool(body["errors"]) == (code in (2, 4))
    for problem in body["errors"]:
        assert problem["code"]
        assert problem["message"]


def test_a_fault_is_3_one_line_and_a_report(run, make_env, monkeypatch):
    def broken(*_):
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr("dryfloor.cli.commands.hear.run", broken)
    done = run("hear", "x")
    report = make_env().data_dir / "fault-report.txt"
    assert done.code == 3
    assert "Traceback" not in done.err
    assert str(report) in done.err
    assert "a fault of ours" in report.read_text()
    assert json.loads(run("hear", "x", "--json").out)["exit"] == 3


def test_ctrl_c_outside_a_conversation_is_130(run, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("dryfloor.cli.commands.hear.run", interrupted)
    assert run("hear", "x").code == 130
    assert json.loads(run("hear", "x", "--json").out)["status"] == "interrupted"


def test_walk_with_say_a_machine_and_cleared_gates_goes_straight_to_a_question(run, kb):
    hazards = [w for h in kb.hazards if kb.hazards[h].gate for w in ("--cleared", h)]
    done = run(
        "--say",
        "it siphons",
        "--machine",
        "brook-front-loader",
        *hazards,
        "--role",
        "technician",
        "--json",
        typed="yes\n",
    )
    assert "What is wrong?" not in done.err
    assert "BEFORE" not in done.err
    data = json.loads(done.out)["data"]
    assert data["facts"]["machine"] == "front-loader"
    assert data["next"]["kind"] in ("fact", "check")


def test_the_machine_of_a_case_counts_without_being_named_again(run, tmp_path):
    path = tmp_path / "c.yaml"
    path.write_text(
        "role: technician\nmachine: brook-front-loader\ncomplaints: [siphons]\nfacts: {drain: standpipe}\nanswers: {standpipe-height: 30 in}\n"
    )
    body = json.loads(run("advise", str(path), "--json").out)
    assert body["data"]["facts"]["machine"] == "front-loader"
    assert [m["verdict"] for m in body["data"]["readings"]] == ["within"]


def test_a_case_that_was_handed_on_goes_on_with_the_next_role(run, tmp_path):
    path = tmp_path / "c.yaml"
    path.write_text("events:\n  - {role: homeowner}\n  - {complaints: [walks]}\n  - {closed: handed-on}\n")
    closed = run("walk", "--case", str(path))
    assert "handed on" in closed.out
    assert "--role" in closed.out
    opened = run("walk", "--case", str(path), "--role", "technician", typed="none\nstopped\n")
    assert "BEFORE ANYTHING ELSE" in opened.out


def test_the_kept_case_is_offered_and_yes_no_and_words_do_what_they_say(run, make_env):
    data = make_env().data_dir
    run(typed="it hops about\nyes\nnone\n")
    assert run(typed="").out.startswith('A walk was cut off: "it hops about", 0 answers.')
    assert "BEFORE ANYTHING ELSE" in run(typed="yes\n").out
    other = run(typed="it does not drain\nyes\n")
    assert "Taken as a new case; the other one stays kept." in other.out
    assert "does not drain" in run(typed="").out
    assert "What is wrong?" in run(typed="no\n").out
    assert run(typed="").out.startswith('A walk was cut off: "it hops about"')
    with Store.open(data / "cases.db") as store:
        assert len(store.find(state="open")) == 2


def test_a_walk_in_which_nothing_was_said_leaves_no_case(run, make_env):
    run(typed="")
    with Store.open(make_env().data_dir / "cases.db") as store:
        assert store.find() == []


# as programs


def program(tmp_path, cache, *argv, code="", typed="", **more):
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(cache),
        "PYTHONPATH": str(ROOT),
        **more,
    }
    start = ["-c", code] if code else ["-m", "dryfloor"]
    return subprocess.run(
        [sys.executable, *start, *argv],
        input=typed.encode(),
        capture_output=True,
        env=environ,
        cwd=tmp_path,
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("argv", [("--version",), ("hear", "it hops"), ("wlak",), ("hear", "it hops", "--json")])
def test_python_m_does_what_the_console_script_does(tmp_path, kept_kb, argv):
    """The script is the entry point that pyproject.toml names, called as an installer's wrapper calls it."""
    module, name = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["scripts"]["dryfloor"].split(":")
    script = f"import sys; from {module} import {name}; sys.argv[0] = 'dryfloor'; sys.exit({name}())"
    by_m, by_script = program(tmp_path, kept_kb, *argv), program(tmp_path, kept_kb, *argv, code=script)
    assert (by_m.returncode, by_m.stdout, by_m.stderr) == (by_script.returncode, by_script.stdout, by_script.stderr)


def test_a_pipe_closed_early_shows_no_traceback(tmp_path, kept_kb):
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(kept_kb),
        "PYTHONPATH": str(ROOT),
    }
    for argv, typed, code in ((["walk"], b"it hops\nyes\nnone\nstopped\n", 130), (["kb", "schema"], b"", 0)):
        process = subprocess.Popen(
            [sys.executable, "-m", "dryfloor", *argv],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environ,
            cwd=tmp_path,
        )
        process.stdout.readline()
        process.stdout.close()
        _, err = process.communicate(typed, timeout=60) if typed else (None, process.stderr.read())
        assert process.wait(60) == code
        assert err == b""


@pytest.mark.parametrize(("closed", "code"), [("<&-", 1), (">&-", 2), ("2>&-", 1)])
def test_a_closed_stream_is_no_fault(tmp_path, kept_kb, closed, code):
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(kept_kb),
        "PYTHONPATH": str(ROOT),
    }
    done = subprocess.run(
        ["sh", "-c", f"'{sys.executable}' -m dryfloor {closed}"],
        input=b"",
        capture_output=True,
        env=environ,
        cwd=tmp_path,
        timeout=60,
        check=False,
    )
    assert done.returncode == code
    assert b"Traceback" not in done.stderr


def test_bytes_that_are_no_text_and_an_ascii_screen(tmp_path, kept_kb):
    done = program(
        tmp_path,
        kept_kb,
        typed="it h\udcffops\n".encode("utf-8", "surrogateescape").decode("latin-1"),
        PYTHONIOENCODING="ascii",
    )
    assert done.returncode == 1
    assert done.stderr == b""


def test_a_bare_reading_is_no_trouble_and_where_it_goes_is_said(run):
    done = run("hear", "the standpipe is 31 in high")
    text = " ".join(done.out.split())
    assert done.code == 1
    assert "reading: standpipe height: 31 in" in text
    assert "A reading, and no trouble named" in text
    assert "dryfloor rule standpipe-height" in text
    data = json.loads(run("hear", "the standpipe is 31 in high", "--json").out)["data"]
    assert (data["complaints"], data["readings"]) == ([], [{"check": "standpipe-height", "value": "31 in"}])
    assert "Por ahora solo entiendo inglés." in run("hear", "la lavadora no saca el agua y sale por el suelo").out
