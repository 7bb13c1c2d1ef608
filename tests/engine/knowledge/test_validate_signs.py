"""Signs in the language: what loads, what it comes to, and each mistake with its place and its cure."""

import shutil
from pathlib import Path

import pytest

from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb, read_kb
from tests.support.places import SMALL

SIGNS, CHECKS, LOW, SEALED = (
    "signs.yaml",
    "checks/drain.yaml",
    "causes/drain/pipe-too-low.yaml",
    "causes/drain/hose-sealed-in.yaml",
)
TWO = """\
- title: Something round the hose
  id: hose-held
  leak_per_1000: 4
- title: Tape round the hose
  id: hose-taped
  leak_per_1000: 2
  kind_of: hose-held
"""


def spoil(folder: Path, rel: str, old: str, new: str) -> None:
    path = folder / rel
    text = path.read_text()
    assert old in text, old
    path.write_text(text.replace(old, new, 1))


@pytest.fixture
def folder(tmp_path) -> Path:
    """A copy of the small kb in which an answer reports a sign, and a cause shows it."""
    out = Path(shutil.copytree(SMALL, tmp_path / "kb"))
    (out / SIGNS).write_text(TWO)
    spoil(out, CHECKS, "taped in, leak_per_1000: 2", "taped in, sign: hose-taped")
    spoil(out, CHECKS, "drops on it, leak_per_1000: 5", "drops on it, sign: hose-held")
    spoil(out, SEALED, "{check: hose-sealed, answer: taped, strength", "{sign: hose-taped, strength")
    return out


def test_a_folder_without_signs_has_none() -> None:
    assert load_kb(SMALL).signs == {}


def test_an_answer_shows_the_causes_of_its_sign_and_of_the_kinds_of_it(folder) -> None:
    """`hose-held` is reported by a look at the board here: whoever sees it may have seen the tape."""
    kb = load_kb(folder)
    assert graph.kinds(kb) == {"hose-held": ("hose-held", "hose-taped"), "hose-taped": ("hose-taped",)}
    # The cause of the short pipe still names the answer: it shows the sign that the answer reports.
    assert graph.sign_links(kb)["hose-taped"] == {"hose-sealed-in": 0.9, "pipe-too-low": 0.1}
    g = graph.build(kb)
    for node in ("answer:hose-sealed:taped", "answer:panel-wet:wet"):
        assert graph.shown_by(g, node) == pytest.approx({"hose-sealed-in": 0.9, "pipe-too-low": 0.1})
    assert g.nodes["answer:hose-sealed:taped"]["leak"] == pytest.approx(0.002)
    assert g.nodes["answer:panel-wet:wet"]["leak"] == pytest.approx(1 - 0.996 * 0.998)


def test_what_defines_a_cause_makes_its_sign_sure(folder) -> None:
    spoil(folder, "scales.yaml", "breaks_strength", "defines_strength: {n: 0.995, basis: judgement}\nbreaks_strength")
    spoil(folder, SEALED, "mistaken_for:", "defines: {check: hose-sealed, answer: taped}\nmistaken_for:")
    kb = load_kb(folder)
    assert graph.defining(kb, kb.causes["hose-sealed-in"]) == "sign:hose-taped"
    assert graph.sign_links(kb)["hose-taped"]["hose-sealed-in"] == 0.995


# code; file; what is replaced by what; the text at whose start the problem stands; what is near.
BAD = [
    ("K101", CHECKS, "sign: hose-taped", "sign: hose-tapd", "hose-tapd", "hose-taped"),
    ("K101", SEALED, "sign: hose-taped", "sign: hose-tapd", "hose-tapd", "hose-taped"),
    ("K101", SIGNS, "kind_of: hose-held", "kind_of: hose-hel", "hose-hel\n", "hose-held"),
    ("K141", CHECKS, "sign: hose-taped", "sign: hose-taped, leak_per_1000: 2", "taped: {says", ""),
    ("K142", CHECKS, "{says: no drops}", "{says: no drops, sign: hose-held}", "dry: {says", ""),
    ("K153", SEALED, "{sign: hose-taped", "{complaint: wet, sign: hose-taped", "{complaint: wet, sign", ""),
    (
        "K161",
        LOW,
        "mistaken_for:",
        "defines: {check: panel-wet, answer: wet}\nmistaken_for:",
        "defines: {check",
        "",
    ),
]


@pytest.mark.parametrize(
    ("code", "rel", "old", "new", "mark", "near"), BAD, ids=[f"{b[0]}-{n}" for n, b in enumerate(BAD)]
)
def test_each_mistake_is_placed_and_says_how_to_mend_it(folder, code, rel, old, new, mark, near) -> None:
    if code == "K161":  # shows nothing that a look at the board tells of
        spoil(folder, CHECKS, "drops on it, sign: hose-held", "drops on it, leak_per_1000: 5")
        spoil(folder, CHECKS, "taped in, sign: hose-taped", "taped in, sign: hose-held")
    spoil(folder, rel, old, new)
    problems = [p for p in read_kb(folder)[1] if p.code == code]
    assert len(problems) == 1, [p.lines() for p in read_kb(folder)[1]]
    (problem,) = problems
    text = (folder / rel).read_text()
    at = text.index(mark)
    assert (problem.file, problem.line) == (f"kb/{rel}", text.count("\n", 0, at) + 1)
    assert problem.column == at - text.rfind("\n", 0, at)
    assert problem.nearest.partition(" ")[0] == near
    assert problem.mend


def test_a_sign_that_nobody_reports(folder) -> None:
    (folder / SIGNS).write_text(TWO + "- {title: Idle, id: idle, leak_per_1000: 1}\n")
    (problem,) = read_kb(folder)[1]
    assert (problem.code, problem.line) == ("K163", 8)
    assert "idle" in problem.mend


def test_the_finer_sign_comes_first_and_each_once(folder) -> None:
    """Who says the coarser one has been asked for its kinds before, and said no."""
    finer = "    taped: {says: taped in, sign: hose-taped, raises: flood}\n"
    spoil(folder, CHECKS, finer, f"{finer}    held: {{says: held, sign: hose-held}}\n")
    kb = load_kb(folder)
    assert graph.reporting(kb)["answer:hose-sealed:held"] == ("hose-held",)
    assert graph.build(kb).nodes["answer:hose-sealed:held"]["leak"] == pytest.approx(0.004)
    spoil(folder, CHECKS, "sign: hose-held", "sign: hose-taped")
    (problem,) = [p for p in read_kb(folder)[1] if p.code == "K165"]
    assert "held" in problem.message


def test_signs_in_a_circle(folder) -> None:
    spoil(folder, SIGNS, "  leak_per_1000: 4\n", "  leak_per_1000: 4\n  kind_of: hose-taped\n")
    assert {p.code for p in read_kb(folder)[1]} == {"K164"}


def test_a_rate_of_reports_is_a_chance(folder) -> None:
    some = "{hit: {n: 0.9, basis: judgement}, false_alarm: {n: 0, basis: judgement}}"
    kinds = "".join(f"    {kind}: {some}\n" for kind in ("ask", "look", "try"))
    path = folder / "roles.yaml"
    path.write_text(path.read_text() + f"reports:\n  homeowner:\n{kinds}  technician:\n{kinds}")
    problems = read_kb(folder)[1]
    assert {p.code for p in problems} == {"K104"}
    assert len(problems) == 6
    path.write_text(path.read_text().replace("{n: 0,", "{n: 0.01,"))
    assert read_kb(folder)[1] == []
