"""Moving a cause's lines from answers to signs: what is rewritten, what is kept, and that it says the same afterwards."""

import shutil

import pytest

from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.knowledge.migrate import moved
from tests.support.places import SMALL

SIGNS = "- {title: Tape round the hose, id: hose-taped, leak_per_1000: 2}\n"
CAUSE = "causes/drain/hose-sealed-in.yaml"


@pytest.fixture
def folder(tmp_path):
    """The small kb with an answer that reports a sign, its causes still naming the answer."""
    out = tmp_path / "kb"
    shutil.copytree(SMALL, out)
    (out / "signs.yaml").write_text(SIGNS)
    path = out / "checks" / "drain.yaml"
    path.write_text(path.read_text().replace("taped in, leak_per_1000: 2", "taped in, sign: hose-taped"))
    return out


def test_an_answer_that_reports_a_sign_is_named_as_the_sign(folder) -> None:
    text = (folder / CAUSE).read_text()
    done = moved(load_kb(folder), text)
    assert (done.named, done.merged) == (1, 0)
    line = "  - {check: hose-sealed, answer: taped, strength: very likely}\n"
    assert done.text == text.replace(line, "  - {sign: hose-taped, strength: very likely}\n")
    assert moved(load_kb(folder), done.text).text == done.text


def test_a_folder_not_yet_moved_loads_where_two_lines_show_one_sign(folder) -> None:
    path, line = folder / CAUSE, "  - {check: hose-sealed, answer: taped, strength: very likely}\n"
    before = graph.sign_links(load_kb(folder))
    path.write_text(path.read_text().replace(line, f"{line}  - {{sign: hose-taped, strength: unlikely}}\n"))
    kb = load_kb(folder)
    assert graph.sign_links(kb) == before  # of several strengths the greatest
    assert moved(kb, path.read_text()).merged == 1


def test_of_several_strengths_the_greatest_holds_and_comments_stay(folder) -> None:
    kb = load_kb(folder)
    lines = [
        "shows:",
        "  - {check: hose-sealed, answer: taped, strength: likely}  # from the yard",
        "  - {check: panel-wet, answer: wet, strength: likely}",
        "  - {sign: hose-taped, strength: {n: 0.8, basis: judgement}}",
        "  - {check: hose-sealed, answer: no-such, strength: likely}",
        "  # - {check: hose-sealed, answer: taped, strength: likely}",
    ]
    done = moved(kb, "\n".join(lines))
    assert (done.named, done.merged) == (1, 1)
    assert done.text.split("\n") == [
        "shows:",
        "  - {sign: hose-taped, strength: {n: 0.8, basis: judgement}}",
        *lines[2:3],
        *lines[4:],
    ]


def test_what_is_shown_is_the_same_before_and_after(folder) -> None:
    before = graph.sign_links(load_kb(folder))
    for path in folder.glob("causes/**/*.yaml"):
        path.write_text(moved(load_kb(folder), path.read_text()).text)
    after = load_kb(folder)
    assert graph.sign_links(after) == before
    assert not any(s.check == "hose-sealed" for c in after.causes.values() for s in c.shows)


def test_a_kb_without_signs_stays_as_it_is() -> None:
    text = (SMALL / CAUSE).read_text()
    assert moved(load_kb(SMALL), text).text == text


def test_the_shipped_causes_are_moved(kb) -> None:
    assert kb.signs
    reported = {(c.id, a) for c in kb.checks.values() for a, x in c.answers.items() if x.sign}
    assert [s for c in kb.causes.values() for s in c.shows if (s.check, s.answer) in reported] == []
