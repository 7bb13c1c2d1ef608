"""What can't be read or written is said in one message, and that answers are kept only where they are."""

import os
import signal
import subprocess
import sys

import msgspec
import pytest

from dryfloor.cli.terminal.env import LONGEST_LINE
from tests.support.person import kept
from tests.support.places import ROOT

LONG = "x" * 5000
CASE = "{role: desk, complaints: [walks]}\n"


@pytest.fixture
def place(tmp_path):
    """A folder with a case, a pipe, a link that leads to itself."""
    (tmp_path / "case.yaml").write_text(CASE)
    os.mkfifo(tmp_path / "pipe", 0o600)
    (tmp_path / "loop").symlink_to("loop")
    return tmp_path


@pytest.fixture
def shell(place, kept_kb):
    """Return a function that runs a command line of the shell, in which `dryfloor` is this one."""
    environ = {
        "PATH": os.environ["PATH"], "HOME": str(place), "PYTHONPATH": str(ROOT), "LONG": LONG,
        "DRYFLOOR_DATA_DIR": str(place / "data"), "DRYFLOOR_CACHE_DIR": str(kept_kb),
    }  # fmt: skip
    line = f'dryfloor() {{ "{sys.executable}" -m dryfloor "$@"; }}; '

    def go(text, typed=b""):
        return subprocess.run(["bash", "-c", line + text], check=False, input=typed, capture_output=True, env=environ, cwd=place, timeout=60)  # fmt: skip

    return go


BAD_PATHS = [
    (f"{command} {path}", code)
    for path, codes in (("pipe", "Y002 J002 J022"), ("loop", "Y002 J002 J022"), ("$LONG", "Y002 J002 J022"), ("/dev/full", "- J002 J022"))
    for command, code in zip(("advise", "walk --case", "walk --store"), codes.split(), strict=True)
    if code != "-"
]  # fmt: skip
BAD_PATHS += [
    ("survey pipe", "Y002"),
    ("advise case.yaml --machine pipe", "Y002"),
    ("advise case.yaml --machine $LONG", "Y002"),
    ("cases --store pipe", "J022"),
    ("show K7M3R4 --store pipe", "J022"),
    ("cases --store $LONG", "J022"),
    ("serve --store pipe --port 0", "J001"),
    ("serve --desk-token-file pipe --port 0", "P072"),
    ("serve --desk-token-file /dev/zero --port 0", "P072"),
    ("serve --key-file pipe --port 0", "P072"),
    ("serve --desk-token-file loop --port 0", "P072"),
    ("serve --desk-token-file $LONG --port 0", "P072"),
    ("serve --port 99999", "P075"),
    ("serve --port -1", "P075"),
    ("report case.yaml -o $LONG.md", "J004"),
    ("export K7M3R4 --store loop", "J022"),
]


def one_message(status, said, code):
    assert status == 2, said[-500:]
    assert said.count(f"{code} ") == 1
    assert "fault" not in said
    assert "Traceback" not in said


@pytest.fixture
def patience():
    """A pipe that nobody writes to must not be waited for: whoever opens one gets an error after a while."""

    def late(*_):
        raise AssertionError("it waits for ever")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(20)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize(("line", "code"), BAD_PATHS)
@pytest.mark.usefixtures("patience")
def test_what_is_no_file_is_one_message_and_2(run, place, monkeypatch, line, code):
    """In this process: one of its own takes twenty times as long, and a few have one in the next test."""
    monkeypatch.chdir(place)
    done = run(*line.replace("$LONG", LONG).split())
    one_message(done.code, done.err, code)


ELSEWHERE = ("advise pipe", "walk --case loop", "serve --desk-token-file /dev/zero --port 0")


@pytest.mark.parametrize(
    ("line", "code"), [pytest.param(*b, marks=() if b[0] in ELSEWHERE else pytest.mark.slow) for b in BAD_PATHS]
)
def test_what_is_no_file_is_said_by_a_process_of_its_own(shell, line, code):
    done = shell(f"dryfloor {line}")
    one_message(done.returncode, done.stderr.decode(), code)


def test_a_kb_folder_of_an_endless_name_is_one_message(shell):
    done = shell("dryfloor advise case.yaml --kb $LONG")
    assert done.returncode in (2, 4)
    assert len(done.stderr) < 1000
    assert b"fault" not in done.stderr


def test_a_token_file_that_goes_on_is_read_no_further(place):
    from dryfloor.cli.page.serve import MOST, secret
    from dryfloor.engine.errors import InvalidInputError

    path = place / "token"
    path.write_bytes(b"x" * (MOST + 1))
    path.chmod(0o600)
    with pytest.raises(InvalidInputError, match="P072"):
        secret(str(path), "the token")
    path.write_text("x" * 40 + "\n")
    assert secret(str(path), "the token") == "x" * 40


# Each command is cut off in one of the two ways here, and in the other in the slow run.
CUT_OFF = [
    pytest.param(line, out, marks=() if n % 2 == m else pytest.mark.slow)
    for m, out in enumerate((">/dev/full", ">&-"))
    for n, line in enumerate(
        [
            "advise case.yaml",
            "rule",
            "walk",
            "cases --json",
            "hear 'it hops' --json",
            "--help",
            "walk --help",
            "--version",
        ]
    )
]


@pytest.mark.parametrize(("line", "out"), CUT_OFF)
def test_an_output_that_takes_nothing_is_2_and_claims_nothing(shell, line, out):
    done = shell(f"dryfloor {line} {out}")
    assert done.returncode == 2
    assert b"nothing can be written to standard output" in done.stderr
    assert b"kept" not in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_with_both_outputs_gone_the_exit_code_says_it(shell):
    for line in ("advise case.yaml >&- 2>&-", "advise case.yaml >/dev/full 2>/dev/full", "walk >/dev/full 2>&1"):
        assert shell(f"dryfloor {line}").returncode == 2


def test_a_store_is_not_opened_in_the_place_of_a_closed_stream(shell, place):
    """The first file that is opened gets the first free number; what is meant for a person would be written into it."""
    shell("dryfloor walk --json >&- 2>&-", b"it hops about\nyes\nnone\nstopped\n1\n")
    with open(place / "data" / "cases.db", "rb") as file:
        assert file.read(15) == b"SQLite format 3"
    assert kept(place / "data" / "cases.db")


def test_an_output_that_takes_no_envelope_says_what_is_kept(shell, place):
    """With --json the walk speaks on the other stream, so there are answers by the time the envelope can't be written."""
    done = shell("dryfloor walk --json >/dev/full", b"it hops about\nyes\nnone\nstopped\n1\n")
    assert done.returncode == 2
    assert b"; what you had answered is kept (case " in done.stderr.splitlines()[-1]
    assert kept(place / "data" / "cases.db")


def test_an_endless_line_is_one_message_before_it_fills_the_memory(run, make_env):
    done = run("walk", typed="x" * (LONGEST_LINE + 1))
    assert done.code == 2
    assert "a line of more than 100,000 letters" in done.err
    assert "kept" not in done.err
    after = run("walk", typed="it hops about\nyes\nnone\n" + "x" * (LONGEST_LINE + 1))
    assert after.code == 2
    assert "what you had answered is kept (case " in after.err
    assert kept(make_env().data_dir / "cases.db")
    told = msgspec.json.decode(run("walk", "--json", "--store", ":memory:", typed="y" * 200_000).out)
    assert (told["exit"], told["errors"][0]["code"]) == (2, "U001")
    assert run("survey", typed="x" * (LONGEST_LINE + 1)).code == 2


@pytest.mark.parametrize("kept_so_far", [False, True])
def test_a_fault_says_that_answers_are_kept_only_where_they_are(run, monkeypatch, kept_so_far):
    from dryfloor.cli.walk.loop import Walk

    def broken(self, *_):
        raise RuntimeError

    monkeypatch.setattr(Walk, "_step" if kept_so_far else "record", broken)
    done = run("walk", typed="it hops about\nyes\n")
    assert done.code == 3
    assert ("what you had answered is kept (case " in done.err) == kept_so_far
