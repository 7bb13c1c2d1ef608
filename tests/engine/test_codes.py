"""Codes: each stands once in kb/README.md, each K code has a bad example in a test, and the words of a kb are held to theirs."""

import re
from collections import Counter

import msgspec
import pytest

from dryfloor.engine.evaluation.lint import LONGEST, lint
from dryfloor.engine.knowledge.folder import home
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL, TESTS
from tests.support.small_kb import copied, spoiled

ROOT = home().parent
CODE = re.compile(r"\"([KYCSRMAUJPDL]\d{3})\"")
CHECKS, SEALED, LOW = "checks/drain.yaml", "causes/drain/hose-sealed-in.yaml", "causes/drain/pipe-too-low.yaml"


def used():
    """Return the codes that the source gives."""
    root = ROOT if (ROOT / "engine").is_dir() else home().parent
    sources = [*(root / "engine").rglob("*.py"), *(root / "cli").rglob("*.py")]
    assert len(sources) > 40
    return {code for path in sources for code in CODE.findall(path.read_text())}


def listed():
    """Return the codes of the list, in its order."""
    return re.findall(r"^\| ([A-Z]\d{3}) \| \S", (home() / "README.md").read_text(), re.M)


def test_every_code_stands_once_in_the_list_and_nothing_else_does():
    assert [c for c, n in Counter(listed()).items() if n > 1] == []
    assert sorted(used() - set(listed())) == []
    assert sorted(set(listed()) - used()) == []


def test_every_code_of_the_kb_has_a_bad_example_in_a_test():
    tests = "".join(p.read_text() for p in TESTS.rglob("test_*.py"))
    assert sorted(c for c in used() if c[0] == "K" and f'"{c}"' not in tests) == []


@pytest.fixture
def folder(tmp_path):
    """A copy of the small kb that may be spoiled."""
    return copied(tmp_path)


LONG = "word " * 60
# code; file; what is replaced by what; the line of its entry; a good spelling of the same, that gives no problem
WORDS = [
    ("K201", CHECKS, "How high is the top of the pipe?", LONG[:221], 1, LONG[:220].strip()),
    (
        "K201",
        CHECKS,
        "Measure from what the feet stand on.",
        LONG[:290] + LONG[:140],
        1,
        LONG[:280] + LONG[:140].strip(),
    ),
    ("K201", CHECKS, "says: a gap all round", f"says: {LONG[:71]}", 13, f"says: {LONG[:70].strip()}"),
    ("K201", CHECKS, "title: Behind the panel", f"title: {LONG[:49]}", 27, "title: Behind the lowest panel"),
    ("K201", "complaints.yaml", "says: there is water on the floor", f"says: {LONG[:84]}", 1, f"says: {LONG[:79]}"),
    ("K201", SEALED, "steps: [peel the tape off]", f"steps: [{LONG[:224]}]", 1, f"steps: [{LONG[:219]}]"),
    ("K201", SEALED, "  title: Take the tape off", f"  title: {LONG[:49]}", 1, "  title: Take all of the tape off"),
    (
        "K202",
        CHECKS,
        "Is tape or foam round the hose in the pipe?",
        "Is there tape? And is the pipe dry?",
        13,
        "Is there tape that is dry all round?",
    ),
    (
        "K202",
        CHECKS,
        "Is tape or foam round the hose in the pipe?",
        "Is there tape, and is it dry all round?",
        13,
        "Is there tape, dry and whole all round?",
    ),
    (
        "K202",
        CHECKS,
        "How high is the top of the pipe?",
        "How high is it? or how deep is the hose?",
        1,
        "How high is it, or how deep is the hose?",
    ),
    (
        "K203",
        CHECKS,
        "Look at the place where",
        "Boil a kettle of water and look where",
        13,
        "Never use a kettle here. Look where",
    ),
    (
        "K203",
        CHECKS,
        "Look at the place where",
        "Tip the washer and look where",
        13,
        "Don't tip the washer; look where",
    ),
    (
        "K203",
        CHECKS,
        "Look at the place where",
        "Climb on a ladder and look where",
        13,
        "From the floor, no ladder, look where",
    ),
    (
        "K203",
        SEALED,
        "steps: [peel the tape off]",
        "steps: [measure between hot and ground]",
        1,
        "steps: [look at the tape]",
    ),
    (
        "K203",
        SEALED,
        "steps: [peel the tape off]",
        "steps: [clear it with a drain snake]",
        1,
        "steps: [leave a drain snake to a plumber]",
    ),
    (
        "K203",
        SEALED,
        "steps: [peel the tape off]",
        "steps: [screw a pressure gauge on]",
        1,
        "steps: [look at the gauge]",
    ),
    ("K203", LOW, "  hazards_at: {flood: 1}", "  people: 1", 1, "  hazards_at: {flood: 1}"),
    ("K203", LOW, "{flood: 1}", "{flood: 1, live: 1}", 1, "{flood: 1}"),
    ("K173", LOW, "{flood: 1}", "{flood: 2}", 1, "{flood: 1}"),
    (
        "K204",
        CHECKS,
        "minutes: {homeowner: 1, technician: 0.5}",
        "minutes: {technician: 0.5}",
        1,
        "minutes: {homeowner: 9, technician: 0.5}",
    ),
]


@pytest.mark.parametrize(
    ("code", "rel", "old", "bad", "line", "good"), WORDS, ids=[f"{w[0]}-{n}" for n, w in enumerate(WORDS)]
)
def test_words_good_and_bad(folder, code, rel, old, bad, line, good):
    found = lint(spoiled(folder, rel, old, bad))
    assert [p.code for p in found] == [code], [p.lines() for p in found]
    place = SEALED if code == "K204" else rel
    assert (found[0].file, found[0].line) == (f"kb/{place}", line)
    assert found[0].mend
    assert lint(spoiled(folder, rel, bad, good)) == []


def test_a_named_hazard_is_enough(folder):
    assert (
        lint(
            spoiled(
                folder, CHECKS, "Take the panel off and look", "Take the panel off, look at the live parts, and look"
            )
        )
        == []
    )


def test_the_small_and_the_shipped_kb_are_clean(kb):
    assert lint(load_kb(SMALL)) == []
    assert [p.lines()[0] for p in lint(kb)] == []


def test_every_code_of_words_has_a_good_and_a_bad_example():
    # K205 needs more causes than the small kb has: tests/engine/evaluation/test_reports_of_signs.py.
    assert {c for c in used() if c.startswith("K2")} == {w[0] for w in WORDS if w[0].startswith("K2")} | {"K205"}
    assert set(LONGEST) == {"ask", "how", "says", "title", "step", "complaint"}


def test_kb_check_tells_of_words_and_cases_at_once(folder, run):
    path = folder / CHECKS
    path.write_text(path.read_text().replace("says: a gap all round", f"says: {LONG[:71]}"))
    path = folder / LOW
    path.write_text(path.read_text().replace("{top: pipe-too-low, at_least: 0.5}", "{top: hose-sealed-in}"))
    done = run("kb", "check", "--kb", str(folder), "--json")
    assert done.code == 4
    assert [e["code"] for e in msgspec.json.decode(done.out)["errors"]] == ["K301", "K201"]


def test_a_decoy_that_is_blamed_is_said(folder, run):
    for rel in (SEALED, LOW):
        path = folder / rel
        path.write_text(path.read_text().replace("per_1000: {n: 1", "per_1000: {n: 90"))
    path = folder / "complaints.yaml"
    path.write_text(path.read_text().replace("{n: 50,", "{n: 0.01,"))
    done = run("kb", "check", "--kb", str(folder), "--json")
    assert "K302" in {e["code"] for e in msgspec.json.decode(done.out)["errors"]}
