"""`handover`, `bring` and `report` on the command line: exit codes, envelopes, files, and what is said when something is wrong."""

import shutil
import subprocess
import sys
import tomllib
import zipfile

import msgspec
import pytest
from msgspec.structs import replace

from dryfloor.engine.case.case_file import dump
from dryfloor.engine.case.events import Event
from dryfloor.engine.measurement.formatting import READER
from tests.support.places import ROOT
from tests.support.telling import HANDED_OVER, MENDED, NASTY, STOPPED

TELLING = ("handover", "bring", "report")


@pytest.fixture
def case(tmp_path):
    """Return a function that writes a case file and gives its path."""

    def write(events):
        path = tmp_path / "case.yaml"
        path.write_text(dump(events))
        return str(path)

    return write


@pytest.mark.parametrize("command", TELLING)
@pytest.mark.parametrize(("events", "code"), [(HANDED_OVER, 0), (MENDED, 0), ([Event(role="desk")], 1)])
def test_exit_codes(run, case, command, events, code):
    done = run(command, case(events))
    assert done.code == code
    assert done.out
    assert done.err == ""


def test_a_stop_is_5_and_its_report_can_still_be_written(run, case):
    assert [run(c, case(STOPPED)).code for c in TELLING] == [5, 5, 0]


@pytest.mark.parametrize("command", TELLING)
def test_json_is_one_envelope_the_same_each_time(run, case, command):
    first = run(command, case(HANDED_OVER), "--json")
    assert first.out == run(command, case(HANDED_OVER), "--json").out
    said = msgspec.json.decode(first.out)
    assert (said["command"], said["exit"], said["errors"]) == (command, 0, [])
    assert said["data"]


@pytest.mark.parametrize("command", TELLING)
@pytest.mark.parametrize("width", ["40", "80"])
def test_no_line_is_wider_than_the_screen(run, case, command, width):
    if command != "report":
        assert max(map(len, run(command, case(HANDED_OVER), COLUMNS=width).out.splitlines())) <= int(width)


@pytest.mark.parametrize("command", TELLING)
def test_a_case_file_that_is_wrong_is_2_with_its_place(run, tmp_path, command):
    path = tmp_path / "case.yaml"
    path.write_text("events:\n  - {check: standpipe-hight, value: 31 in}\n")
    done = run(command, str(path))
    assert done.code == 2
    assert "case.yaml:2" in done.err
    assert "nearest: standpipe-height" in done.err


def test_the_card_begins_with_the_hazards(run, case):
    lines = run("handover", case(HANDED_OVER)).out.splitlines()
    assert lines[0] == "Hand-over to the technician"
    assert lines[1].split()[0] == "WARNING"
    assert "WORTH READING AGAIN" in lines
    assert run("handover", case(HANDED_OVER), "--role", "plumer").code == 2


def test_what_to_bring_shows_its_sums(run, case):
    text = " ".join(run("bring", case(HANDED_OVER)).out.split())
    assert "STOP Stop using it until this is clear. Then: " in text
    assert "x 120 for a second visit" in text
    assert "carrying it 0.6: bring" in text


def test_control_characters_do_not_reach_the_terminal(run, case):
    for command in TELLING:
        out = run(command, case(NASTY)).out
        assert not [c for c in out if ord(c) < 32 and c != "\n"], command
        assert "\u202e" not in out


def test_a_very_long_note_is_cut_on_the_card_and_whole_in_the_report(run, case):
    assert "more characters)" in run("handover", case(NASTY)).out
    assert "more characters)" not in run("report", case(NASTY)).out


@pytest.mark.parametrize("kind", ["html", "md", "json"])
@pytest.mark.parametrize("reader", ["homeowner", "technician"])
def test_a_report_is_written_byte_for_byte_alike(run, case, tmp_path, kind, reader):
    out = [tmp_path / f"{n}.{kind}" for n in "ab"]
    for path in out:
        done = run("report", case(MENDED), "-o", str(path), "--for", reader, "--date", "May 3")
        assert done.code == 0
        assert done.out == f"Found, mended and seen to work: {path}\n"
    assert out[0].read_bytes() == out[1].read_bytes()
    assert b"May 3" in out[0].read_bytes()
    if kind == "json":
        assert msgspec.json.decode(out[0].read_bytes())["data"]["reader"] == reader


def test_a_reader_abroad_sees_other_units_and_a_program_the_same(run, case, tmp_path):
    out = {name: tmp_path / name for name in ("us.json", "de.json", "us.md", "de.md")}
    for name, path in out.items():
        token = READER.set("both")
        run("report", case(MENDED), "-o", str(path), LANG="de_DE.UTF-8" if name.startswith("de") else "en_US.UTF-8")
        READER.reset(token)
    assert out["us.json"].read_bytes() == out["de.json"].read_bytes()
    assert "2 mm (0.08 in)" in out["de.md"].read_text()
    assert "0.08 in (2 mm)" in out["us.md"].read_text()


def test_without_a_file_it_is_markdown(run, case):
    assert run("report", case(MENDED)).out.startswith("# Washer report: It walks or shakes\n")


@pytest.mark.parametrize(
    ("more", "code", "near"),
    [
        (["--for", "technican"], "U005", "technician"),
        (["-o", "report.htm"], "U006", ".html"),
        (["-o", "no/such/folder/r.html"], "J004", ""),
    ],
)
def test_what_can_not_be_written_is_said_and_exits_2(run, case, more, code, near):
    done = run("report", case(MENDED), *more)
    assert done.code == 2
    assert code in done.err
    assert near in done.err


def test_the_machine_of_a_case_sets_its_limits(run, case):
    short = [replace(e, value="31 in") if e.value else e for e in HANDED_OVER]
    short.append(Event(check="hose-depth", value="4 in"))
    own = run("report", case([*short, Event(machine="meadow-top-loader")])).out
    assert "Standpipe height: 34 in (86 cm) to 72 in (183 cm)" in own
    assert "Whose rule: this machine's own manual (sheet p. 3" in own
    assert "this machine's own manual" not in run("report", case(short)).out


def test_only_the_page_imports_the_template_library(tmp_path, case, kept_kb):
    """Nothing else pays for it; the rest of the report does without."""
    watch = "import sys; from dryfloor.cli.terminal.env import Env; from dryfloor.cli.main import main; main(sys.argv[1:], Env()); print('jinja2' in sys.modules, file=sys.stderr)"
    environ = {"HOME": str(tmp_path), "DRYFLOOR_CACHE_DIR": str(kept_kb), "PYTHONPATH": str(ROOT), "PATH": "/usr/bin"}
    for argv, imported in (
        (["report", case(MENDED), "-o", "r.md"], "False"),
        (["report", case(MENDED), "-o", "r.html"], "True"),
    ):
        done = subprocess.run(
            [sys.executable, "-c", watch, *argv], capture_output=True, text=True, env=environ, cwd=tmp_path, check=True
        )
        assert done.stderr.splitlines()[-1] == imported, argv


def test_the_templates_go_into_the_package():
    """By what pyproject.toml says; .ci/run writes a page with an installed copy."""
    said = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["package-data"]
    folder = ROOT / "cli" / "render"
    packed = {p for pattern in said["dryfloor.cli.render"] for p in folder.glob(pattern)}
    assert {p for p in (folder / "templates").rglob("*") if p.is_file()} <= packed


@pytest.mark.slow
def test_a_wheel_holds_the_templates(tmp_path):
    """Built from a copy: a folder of an earlier build would put them there by itself."""
    pytest.importorskip("setuptools", minversion="77")
    tree = shutil.copytree(
        ROOT,
        tmp_path / "tree",
        symlinks=True,
        ignore=shutil.ignore_patterns(".*", "build", "*.egg-info", "__pycache__", "tests"),
    )
    command = "from setuptools import build_meta; print(build_meta.build_wheel(__import__('sys').argv[1]))"
    made = subprocess.run(
        [sys.executable, "-c", command, str(tmp_path)], cwd=tree, capture_output=True, text=True, check=False
    )
    assert made.returncode == 0, made.stderr[-2000:]
    (wheel,) = tmp_path.glob("*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    assert {
        f"dryfloor/cli/render/templates/{p.name}" for p in (ROOT / "cli" / "render" / "templates").iterdir()
    } <= set(names)
