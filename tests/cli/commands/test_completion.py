"""`dryfloor completion`: a script that a real shell can load, with the names of the kb and of the workings in it."""

import shutil
import subprocess

import pytest

from dryfloor.cli.arguments import parser
from dryfloor.cli.commands.completion import words_of
from dryfloor.cli.result import Exit
from dryfloor.engine.calculators.calculator import all_calculators


def complete(script, *words):
    """Return what bash would offer for the last word."""
    line = " ".join(f"'{w}'" for w in words)
    asked = f"source {script}; COMP_WORDS=({line}); COMP_CWORD={len(words) - 1}; _dryfloor; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    done = subprocess.run(["bash", "-c", asked], capture_output=True, text=True, check=True, cwd="/")
    return done.stdout.split()


@pytest.fixture
def bash(run, tmp_path):
    """Return the path of the bash script."""
    path = tmp_path / "dryfloor.bash"
    path.write_text(run("completion", "bash").out)
    return path


@pytest.mark.skipif(not shutil.which("bash"), reason="needs bash")
def test_bash_offers_commands_rules_workings_inputs_and_machines(bash, kb):
    assert complete(bash, "dryfloor", "sur") == ["survey"]
    assert complete(bash, "dryfloor", "rule", "standpipe-b") == ["standpipe-bore", "standpipe-bore-europe"]
    assert sorted(complete(bash, "dryfloor", "reckon", "hose-")) == ["hose-siphon", "hose-thread"]
    assert complete(bash, "dryfloor", "reckon", "tub-fill", "--with", "vol") == ["volume="]
    assert "brook-front-loader" in complete(bash, "dryfloor", "survey", "--machine", "br")
    assert complete(bash, "dryfloor", "survey", "--role", "h") == ["homeowner"]
    assert complete(bash, "dryfloor", "cases", "--state", "on") == ["on-trial"]
    assert complete(bash, "dryfloor", "close", "--as", "g") == ["given-up"]
    assert complete(bash, "dryfloor", "resume", "--role", "d") == ["desk"]
    assert complete(bash, "dryfloor", "survey", "--bl") == ["--blank"]
    assert set(complete(bash, "dryfloor", "rule", "")) >= set(kb.rules)


def test_every_command_option_and_name_is_in_each_script(run, kb):
    words = words_of(parser(), kb)
    assert {"walk", "survey", "rule", "reckon", "completion", "kb"} <= set(words.options)
    for shell in ("bash", "zsh", "fish"):
        text = run("completion", shell).out
        assert all(name in text for name in (*kb.rules, *all_calculators(), *words.options, *kb.machines))
        assert "blank" in text
    assert run("completion", "zsh").out.startswith("#compdef dryfloor")


def test_an_unknown_shell_names_those_there_are(run):
    done = run("completion", "bahs")
    assert done.code == Exit.USAGE
    assert "nearest: bash" in done.err
