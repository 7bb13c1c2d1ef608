"""What is imported before the first question: a guard on `sys.modules`, not on a clock."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
HEAVY = ("prompt_toolkit", "networkx", "numpy", "rapidfuzz", "yaml", "jinja2")
WATCH = """
import io, sys
class Watched(io.TextIOWrapper):
    def write(self, text):
        if text.strip():
            sys.__stderr__.write("\\n".join([text.strip(), *sorted(sys.modules)]))
            sys.__stderr__.flush()
            import os
            os._exit(0)
        return len(text)
sys.stdout = Watched(sys.stdout.buffer)
sys.argv = ["dryfloor", *sys.argv[1:]]
from dryfloor.cli.main import run
run()
"""


def first_write(tmp_path, cache, *argv):
    """Run a command up to the first thing it prints; return that, and the modules that were imported by then."""
    environ = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(cache),
        "PYTHONPATH": str(ROOT),
    }
    reader, writer = os.pipe()  # a standard input that never answers
    done = subprocess.run(
        [sys.executable, "-c", WATCH, *argv],
        stdin=reader,
        capture_output=True,
        env=environ,
        cwd=tmp_path,
        timeout=60,
        check=False,
    )
    os.close(reader)
    os.close(writer)
    said, *rest = done.stderr.decode().split("\n")
    return said, set(rest)


@pytest.mark.parametrize(
    "argv", [(), ("walk",), ("walk", "--role", "technician"), ("--plain",), ("walk", "--machine", "brook-front-loader")]
)
def test_the_first_question_comes_before_any_heavy_import(tmp_path, kept_kb, argv):
    said, modules = first_write(tmp_path, kept_kb, *argv)
    assert said == "What is wrong? Say it in your own words."
    assert not modules & set(HEAVY)
    assert "msgspec" not in modules


def test_the_offer_to_go_on_comes_before_any_heavy_import(tmp_path, kept_kb):
    cases = tmp_path / "data" / "cases"
    cases.mkdir(parents=True)
    (cases / "1.jsonl").write_text('{"role":"homeowner"}\n{"heard":"it hops","complaints":["walks"]}\n')
    said, modules = first_write(tmp_path, kept_kb)
    assert said == 'A walk was cut off: "it hops", 0 answers.'
    assert not modules & set(HEAVY)


@pytest.mark.parametrize(
    "argv",
    [
        ("--help",),
        ("--version",),
        ("walk", "--help"),
        ("hear", "--help"),
        ("advise", "--help"),
        ("report", "--help"),
        ("kb", "--help"),
        ("kb", "check", "--help"),
    ],
)
def test_help_and_version_import_nothing_heavy(tmp_path, kept_kb, argv):
    said, modules = first_write(tmp_path, kept_kb, *argv)
    assert said
    assert not modules & set(HEAVY)


def test_the_guard_would_see_a_heavy_import(tmp_path, kept_kb):
    """The other way round: a command that needs the engine has imported it by its first line."""
    _, modules = first_write(tmp_path, kept_kb, "hear", "it hopps abuot")
    assert {"rapidfuzz", "msgspec"} <= modules
