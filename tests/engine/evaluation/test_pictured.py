"""`kb check` of pictures: what can't be drawn, and who has none."""

import pytest

from dryfloor.engine.advising.illustrations import figures_of, limit_words, record_of, shown_by
from dryfloor.engine.evaluation.pictured import problems
from dryfloor.engine.knowledge.load import load_kb, read_kb
from tests.support.places import SMALL
from tests.support.small_kb import copied, spoiled

RULES, CHECKS, SEALED = "rules/drain.yaml", "checks/drain.yaml", "causes/drain/hose-sealed-in.yaml"
LOW = "causes/drain/pipe-too-low.yaml"
PAIR = "picture: {scene: hose-in-pipe, right: good, wrong: taped}"
HEIGHT = "{scene: standpipe, marks: [height], sizes: {water-line: {data: water-line}}}"


@pytest.fixture
def folder(tmp_path):
    """A copy of the small kb that may be spoiled."""
    return copied(tmp_path)


@pytest.mark.parametrize(
    ("code", "rel", "old", "new", "near"),
    [
        ("K171", RULES, "scene: hose-in-pipe", "scene: hose-in-pip", "hose-in-pipe"),
        ("K172", RULES, "wrong: taped", "wrong: tapd", "taped"),
        ("K172", RULES, "marks: [height]", "marks: [hight]", "height"),
        ("K173", RULES, "right: good, ", "", ""),
        ("K173", RULES, "right: good, ", "right: good, state: tight, ", ""),
        ("K173", RULES, "{data: water-line}", "{check: pipe-hight}", "pipe-height"),
        ("K173", SEALED, "  by: ", "  pictures: [{step: 9, scene: hose-in-pipe}]\n  by: ", ""),
        (
            "K173",
            SEALED,
            "  by: ",
            "  pictures: [{scene: standpipe, marks: [height], rule: pipe-hight}]\n  by: ",
            "pipe-height",
        ),
        ("K173", LOW, "  by: ", "  pictures: [{scene: hose-in-pipe, marks: [depth]}]\n  by: ", ""),
        ("K174", RULES, f"  picture: {HEIGHT}\n", "", ""),
        (
            "K174",
            CHECKS,
            "  why_no_hazard: only looked at",
            "  why_no_hazard: only looked at\n  why_no_picture: it is heard",
            "",
        ),
    ],
)
def test_a_bad_picture_is_said_with_its_place_and_the_nearest(folder, code, rel, old, new, near):
    found = [
        p for p in problems(spoiled(folder, rel, old, new)) if p.code != "K175"
    ]  # of three looks, one is already too many
    assert {p.code for p in found} == {code}, [p.lines() for p in found]
    assert found[0].file.startswith("kb/")
    assert found[0].line
    assert found[0].mend
    assert found[0].nearest.startswith(near)


def test_a_step_takes_the_limit_of_the_rule_that_it_names(folder):
    kb = spoiled(
        folder, SEALED, "  by: ", "  pictures: [{scene: standpipe, marks: [height], rule: pipe-height}]\n  by: "
    )
    assert [p.code for p in problems(kb) if p.code != "K175"] == []
    shown = shown_by(kb, "remedy-hose-sealed-in-1")
    assert shown.rule == "pipe-height"
    assert figures_of(kb, shown, record_of(kb, shown.id))["height"].limit == limit_words(kb.rules["pipe-height"])


def test_few_may_say_why_not(folder):
    (folder / RULES).write_text((folder / RULES).read_text().replace(f"  picture: {HEIGHT}\n", ""))
    path = folder / CHECKS
    path.write_text(
        path.read_text().replace("  hazards: [flood]\n", "  hazards: [flood]\n  why_no_picture: it is heard\n", 1)
    )
    kb, _ = read_kb(folder)
    assert "K175" in {p.code for p in problems(kb)}


def test_the_small_and_the_shipped_kb_are_clean(kb):
    assert problems(load_kb(SMALL)) == []
    assert [p.lines()[0] for p in problems(kb)] == []
