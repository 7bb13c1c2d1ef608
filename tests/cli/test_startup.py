"""What is imported before the first question: a guard on `sys.modules`, not on a clock."""

import os
import pty
import subprocess
import sys
import time

import pytest

from dryfloor.cli.store.database.lock import boot, host
from dryfloor.cli.store.store import Store
from dryfloor.engine.case.events import Event
from tests.support.places import ROOT
from tests.support.stored import marked

HEAVY = ("prompt_toolkit", "networkx", "numpy", "rapidfuzz", "yaml", "jinja2")
# What an open case in the store must not bring with it: the records, and what the store needs for more than reading.
LATER = (
    "msgspec",
    "hashlib",
    "secrets",
    "socket",
    "difflib",
    "datetime",
    "textwrap",
    "threading",
    "typing",
    "inspect",
    "dataclasses",
)
SAID = Event(heard="it hops", complaints=["walks"])
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


AT_THE_PROMPT = """
import sys
from dryfloor.cli.walk.warm_up import WarmUp
def start(self, refused=None):
    print("\\n".join(sorted(sys.modules)), file=sys.stderr, flush=True)
    import os
    os._exit(0)
WarmUp.start = start
sys.argv = ["dryfloor", *sys.argv[1:]]
from dryfloor.cli.main import run
run()
"""


def first_write(tmp_path, cache, *argv):
    """Run a command up to the first thing it prints; return that, and the modules that were imported by then."""
    reader, writer = os.pipe()  # a standard input that never answers
    done = subprocess.run(
        [sys.executable, "-c", WATCH, *argv],
        stdin=reader,
        capture_output=True,
        env=environ_of(tmp_path, cache),
        cwd=tmp_path,
        timeout=60,
        check=False,
    )
    os.close(reader)
    os.close(writer)
    said, *rest = done.stderr.decode().split("\n")
    return said, set(rest)


def environ_of(tmp_path, cache):
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "DRYFLOOR_CACHE_DIR": str(cache),
        "PYTHONPATH": str(ROOT),
    }


@pytest.mark.parametrize(
    "argv", [(), ("walk",), ("walk", "--role", "technician"), ("--plain",), ("walk", "--machine", "brook-front-loader")]
)
def test_the_first_question_comes_before_any_heavy_import(tmp_path, kept_kb, argv):
    said, modules = first_write(tmp_path, kept_kb, *argv)
    assert said == "What is wrong? Say it in your own words."
    assert not modules & set(HEAVY)
    assert not modules & set(LATER)


def kept(tmp_path, *events):
    """A case in the store of the commands run here, left by a process that is gone."""
    with Store.open(tmp_path / "data" / "cases.db") as store:
        case = store.begin()
        for event in events:
            store.add(case, event)
        marked(store, case, host(), 2**22 + 7, "1", boot())


@pytest.mark.parametrize("argv", [(), ("walk",), ("walk", "--role", "technician"), ("--plain",)])
def test_the_offer_of_a_kept_case_comes_before_the_records_and_all_else(tmp_path, kept_kb, argv):
    kept(tmp_path, SAID)
    said, modules = first_write(tmp_path, kept_kb, *argv)
    assert said == 'A walk was cut off: "it hops", 0 answers.'
    assert not modules & set(HEAVY)
    assert not modules & (set(LATER) - {"datetime"})  # sqlite3 brings it


def test_so_does_the_first_question_where_the_store_offers_nothing(tmp_path, kept_kb):
    kept(tmp_path, SAID, Event(closed="solved"))
    said, modules = first_write(tmp_path, kept_kb)
    assert said == "What is wrong? Say it in your own words."
    assert not modules & set(HEAVY)
    assert not modules & (set(LATER) - {"datetime"})


def test_the_offer_to_go_on_comes_before_any_heavy_import(tmp_path, kept_kb):
    cases = tmp_path / "data" / "cases"
    cases.mkdir(parents=True)
    (cases / "1.jsonl").write_text('{"role":"homeowner"}\n{"heard":"it hops","complaints":["walks"]}\n')
    said, modules = first_write(tmp_path, kept_kb)
    assert said == 'A walk was cut off: "it hops", 0 answers.'
    assert not modules & set(HEAVY)


@pytest.mark.parametrize("offered", [False, True])
def test_a_full_terminal_takes_keys_before_the_kb_is_read_or_the_engine_imported(tmp_path, kept_kb, offered):
    """What the work behind the prompt finds imported when it is begun: the prompt's own parts and no other heavy one."""
    if offered:
        kept(tmp_path, SAID)
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", AT_THE_PROMPT],
        stdin=theirs,
        stdout=theirs,
        stderr=subprocess.PIPE,
        env=environ_of(tmp_path, kept_kb) | {"TERM": "xterm"},
        cwd=tmp_path,
    )
    os.close(theirs)
    come, start = b"", time.monotonic()
    while b">" not in come and time.monotonic() < start + 60:
        come += os.read(ours, 65536)
    modules = set(process.communicate(timeout=60)[1].decode().split())
    os.close(ours)
    assert "prompt_toolkit" in modules
    assert not modules & (set(HEAVY) - {"prompt_toolkit"})
    assert not modules & {"msgspec", "dryfloor.engine.model", "dryfloor.cli.walk.loop", "dryfloor.cli.store.store"}


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
