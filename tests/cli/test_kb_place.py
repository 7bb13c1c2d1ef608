"""Which kb a command reads, and that it says so: nobody takes what is said of another kb for their own."""

import shutil
from pathlib import Path

import msgspec
import pytest

from dryfloor.cli.kb_place import clone_kb
from dryfloor.engine.knowledge.folder import home
from tests.support.places import SMALL

OURS = '[project]\nname = "dryfloor"\n'
SLIP = ("minutes: {homeowner: 1, technician: 0.5}", "minutes: 1")


@pytest.fixture
def clone(tmp_path, monkeypatch):
    """A clone of this project with the small kb, as the working directory."""
    folder = tmp_path / "clone"
    shutil.copytree(SMALL, folder / "kb")
    (folder / "pyproject.toml").write_text(OURS)
    monkeypatch.chdir(folder)
    return folder


def spoil(kb: Path) -> None:
    """Type a mistake into a kb."""
    path = kb / "checks" / "drain.yaml"
    text = path.read_text()
    assert SLIP[0] in text
    path.write_text(text.replace(*SLIP, 1))


def test_in_a_clone_its_own_kb_is_checked_and_named(clone, run):
    good = run("kb", "check")
    assert good.code == 0, good.err
    assert f"kb read: {clone / 'kb'} (this clone's own)" in good.out
    spoil(clone / "kb")
    assert run("kb", "check").code == 4
    done = msgspec.json.decode(run("kb", "check", "--json").out)
    assert done["kb"] == str(clone / "kb")
    assert [e["code"] for e in done["errors"]] == ["K002"]
    assert {"dryfloor", "command", "status", "exit", "data", "errors"} == {*done} - {"kb"}


@pytest.mark.parametrize("below", ["kb", "kb/causes/drain"])
def test_whoever_stands_inside_the_kb_stands_in_the_clone(clone, run, monkeypatch, below):
    spoil(clone / "kb")
    monkeypatch.chdir(clone / below)
    done = run("kb", "check")
    assert done.code == 4
    assert f"kb read: {clone / 'kb'} (this clone's own)" in done.out


@pytest.mark.parametrize(
    "argv",
    [["check"], ["figures", "--quick", "--role", "desk"], ["draw", "wet"], ["draw", "-o", "x.svg"], ["page", "-o", "p"],
     ["try", "pipe-too-low"], ["try", "pipe-too-low", "--steps"]],
)  # fmt: skip
def test_every_tool_of_the_kb_reads_and_names_the_same(clone, run, argv):
    done = run("kb", *argv)
    assert done.code in (0, 1), done.err
    assert f"kb read: {clone / 'kb'} (this clone's own)" in (done.err if argv == ["draw", "wet"] else done.out)
    assert msgspec.json.decode(run("kb", *argv, "--json").out)["kb"] == str(clone / "kb")
    spoil(clone / "kb")
    broken = run("kb", *argv)
    assert broken.code == 4
    assert f"kb read: {clone / 'kb'}" in broken.out + broken.err
    assert msgspec.json.decode(run("kb", *argv, "--json").out)["kb"] == str(clone / "kb")


def test_a_drawing_on_standard_output_is_the_drawing_alone(clone, run):
    assert run("kb", "draw", "wet").out.startswith("digraph")


def test_a_list_that_is_missing_from_a_clone_is_missed(clone, run):
    (clone / "kb" / "complaints.yaml").unlink()
    assert "the kb has no complaints.yaml" in run("kb", "check").err


@pytest.mark.parametrize("project", ['[project]\nname = "other"\n', "name = [", "project = 3\n", None])
def test_another_project_is_no_clone(clone, run, project):
    (clone / "pyproject.toml").unlink()
    if project is not None:
        (clone / "pyproject.toml").write_text(project)
    assert clone_kb(clone) is None
    assert f"kb read: {home().resolve()} (the one that came with dryfloor)" in run("kb", "draw", "siphons").err


def test_a_working_directory_that_is_gone_or_shut_is_no_clone(tmp_path, run, monkeypatch):
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert "(the one that came with dryfloor)" in run("kb", "draw", "siphons").err
    monkeypatch.chdir(tmp_path)

    def shut(*_, **__):
        raise PermissionError

    monkeypatch.setattr(Path, "stat", shut)
    assert clone_kb(tmp_path) is None


def test_a_folder_without_lists_is_no_kb(clone):
    shutil.rmtree(clone / "kb")
    (clone / "kb").mkdir()
    assert clone_kb(clone) is None


def test_the_option_wins_over_the_variable_and_that_over_the_clone(clone, run, tmp_path):
    one, other = (shutil.copytree(SMALL, tmp_path / name) for name in ("one", "other"))
    named = run("kb", "check", DRYFLOOR_KB=str(one))
    assert f"kb read: {one} (named by DRYFLOOR_KB)" in named.out
    both = run("kb", "check", "--kb", str(other), DRYFLOOR_KB=str(one))
    assert f"kb read: {other} (named by --kb)" in both.out
    assert "this clone's own" in run("kb", "check", DRYFLOOR_KB="").out


def test_outside_the_tools_of_the_kb_a_clone_changes_nothing(clone, run):
    assert run("rule", "pipe-height").code == 2
    assert run("rule", "pipe-height", DRYFLOOR_KB=str(SMALL)).code == 0


@pytest.mark.parametrize(
    "argv",
    [["walk"], ["hear", "it leaks"], ["advise", "-"], ["handover", "-"], ["bring", "-"], ["report", "-"], ["survey", "--blank"], ["rule"],
     ["completion", "bash"], ["serve", "--port", "0"], ["show", "K7M3R4"], ["kb", "check"], ["kb", "figures"], ["kb", "draw"],
     ["kb", "page", "-o", "x"], ["kb", "try", "all"]],
    ids=" ".join,
)  # fmt: skip
def test_the_variable_stands_for_the_option_in_every_command(run, argv):
    by_variable = run(*argv, typed="{complaints: [wet]}", DRYFLOOR_KB="/no/such/kb")
    by_option = run(*argv, "--kb", "/no/such/kb", typed="{complaints: [wet]}")
    assert by_variable.code == by_option.code
    assert by_variable.err == by_option.err.replace("named by --kb", "named by DRYFLOOR_KB")
    if argv != ["show", "K7M3R4"]:  # there is no such case, which is seen first
        assert "kb read: /no/such/kb (named by DRYFLOOR_KB)" in by_variable.out + by_variable.err


def test_the_help_tells_the_rule(capsys):
    from dryfloor.cli.main import main
    from dryfloor.cli.terminal.env import Env

    for argv in (["kb"], ["kb", "check"], ["kb", "try"], ["walk"], ["advise"]):
        with pytest.raises(SystemExit):
            main([*argv, "--help"], Env())
        out = " ".join(capsys.readouterr().out.split())
        assert "DRYFLOOR_KB" in out
        assert ("in a clone of dryfloor its own kb/" in out) == (argv[0] == "kb")
