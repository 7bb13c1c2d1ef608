"""Pictures from the command line and in the walk: drawn where it is said, to what is known."""

import json
import re
import xml.etree.ElementTree as ET
from types import SimpleNamespace


def well_formed(path):
    return ET.fromstring(path.read_text()).tag.endswith("svg")


def test_a_rule_is_drawn_into_a_file(run, tmp_path):
    out = tmp_path / "standpipe.svg"
    done = run("rule", "standpipe-height", "--picture", str(out))
    assert done.code == 0, done.err
    assert well_formed(out)
    assert "39 to 96 in" in out.read_text()


def test_a_rule_is_drawn_with_the_limits_of_a_machine(run, tmp_path):
    out = tmp_path / "standpipe.svg"
    done = run("rule", "standpipe-height", "--machine", "meadow-top-loader", "--picture", str(out))
    assert done.code == 0, done.err
    assert "34 to 72 in" in out.read_text()


def test_a_rule_without_a_picture_says_so(run):
    done = run("rule", "makers-manual-governs", "--picture", "no.svg")
    assert done.code == 2
    assert "U026" in done.err


def test_one_picture_and_the_list_of_all(run, tmp_path):
    done = run("kb", "picture")
    assert done.code == 0
    assert "standpipe: A washer beside its drain pipe" in " ".join(done.out.split())
    has, due = map(
        int, re.search(r"(\d+) of (\d+) looks, measurements and remedies", " ".join(done.out.split())).groups()
    )
    assert has >= 0.9 * due
    told = json.loads(run("kb", "picture", "--json").out)["data"]
    assert (told["owed"], len(told["without"])) == (due, due - has)
    assert all(told["without"].values())
    out = tmp_path / "foot.svg"
    assert run("kb", "picture", "paper-under-foot", "-o", str(out)).code == 0
    assert well_formed(out)
    wrong = run("kb", "picture", "check-paper-under-fot")
    assert wrong.code == 2
    assert "check-paper-under-foot" in wrong.err


def test_the_sheet_for_a_wall(run, tmp_path):
    out = tmp_path / "wall.svg"
    assert run("kb", "page", "--poster", str(out)).code == 0
    assert well_formed(out)
    assert run("kb", "page").code == 2


def test_show_me_writes_the_picture_beside_the_case(run, tmp_path):
    case = tmp_path / "case.yaml"
    typed = "\n".join(["the pipes bang when the water stops", "yes", *["show me", "skip"] * 4, "stop", ""])
    done = run("walk", "--case", str(case), "--store", ":memory:", typed=typed)
    assert "Traceback" not in done.err
    drawn = sorted((tmp_path / "pictures").glob("*.svg"))
    assert drawn
    assert all(well_formed(path) for path in drawn)
    assert all(str(path) in done.out for path in drawn)
    assert "show me" in done.out


def test_a_folder_that_can_not_be_written_is_said(kb, tmp_path):
    from dryfloor.cli.terminal.layout import Layout
    from dryfloor.cli.walk.side_commands import picture_lines
    from dryfloor.engine.advice import Card, Illustration
    from dryfloor.engine.case.events import Event

    talk = SimpleNamespace(kb=kb, layout=Layout(80), events=[Event(role="homeowner")])
    (tmp_path / "pictures").write_text("a file")
    shown = [Illustration(id="check-paper-under-foot", title="Paper under the feet")]
    card = Card(kind="check", id="paper-under-foot", title="", pictures=shown)
    assert "can't be drawn" in " ".join(picture_lines(talk, card, tmp_path / "pictures"))
    told = picture_lines(talk, card, tmp_path / "here")
    assert str(tmp_path / "here" / "check-paper-under-foot.svg") in " ".join(told)
    assert picture_lines(talk, Card(kind="fact", id="x", title=""), tmp_path) == [
        "   There is no picture for this one."
    ]
