"""Pages of the kb: one for each entry, every link leads somewhere, nothing that matters is left out."""

import posixpath
import re

import msgspec
import pytest

from dryfloor.engine.advising.illustrations import everything
from dryfloor.engine.export.pages import KINDS, pages, pictures
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL

LINK = re.compile(r"(?<!\\)\[(?:[^\]\\]|\\.)*\]\(([^)]+)\)")


@pytest.fixture(scope="module")
def made(kb):
    return pages(kb)


def test_every_link_resolves_and_every_page_is_reached(kb, made):
    drawn = {f"pictures/{name}.svg" for name in everything(kb)}
    reached = {"index.md"}
    for path, text in made.items():
        targets = LINK.findall(text)
        assert targets, path
        for target in targets:
            leads = posixpath.normpath(posixpath.join(posixpath.dirname(path), target))
            assert leads in made or leads in drawn, (path, target)
            reached.add(leads)
    assert reached == {*made, *drawn}


def test_one_page_for_each_entry(kb, made):
    expected = {f"{kind}/{name}.md" for kind in KINDS for name in getattr(kb, kind)}
    assert set(made) == {"index.md", "hazards.md", *expected}
    for path, text in made.items():
        assert text.startswith("# "), path
        assert text.endswith("\n")
        assert "\n\n\n" not in text
        assert "None" not in re.findall(r"\bNone\b", text), path


@pytest.mark.parametrize(
    ("kind", "needed"),
    [
        ("causes", ["What it means", "Why", "Check", "Remedy", "Hazards", "Sources"]),
        ("checks", ["What it means", "Why", "Check", "Hazards"]),
        ("rules", ["What it means", "Why", "Sources"]),
        ("complaints", ["What it means", "Hazards"]),
    ],
)
def test_sections_stand_in_their_order(made, kind, needed):
    for path, text in made.items():
        if path.startswith(kind):
            heads = re.findall(r"^## (.+)$", text, re.M)
            assert [h for h in heads if h in needed] == needed, path


def plain(text):
    return " ".join(text.replace("\\", "").split())


def test_what_matters_is_on_the_page(kb, made):
    for cause in kb.causes.values():
        text = plain(made[f"causes/{cause.id}.md"])
        for said in [cause.says, cause.remedy.title, *cause.remedy.steps, *(m.tell for m in cause.mistaken_for)]:
            assert plain(said) in text, cause.id
        for hazard in cause.remedy.hazards:
            assert f"**{kb.hazards[hazard].signal}** {plain(kb.hazards[hazard].says)}" in text.replace("\\", "")
        assert f"../checks/{cause.proof.check}.md" in text
    for rule in kb.rules.values():
        text = made[f"rules/{rule.id}.md"]
        for cite in rule.sources:
            assert f"grade {cite.grade or kb.sources[cite.source].grade}:" in text, rule.id
    for check in kb.checks.values():
        text = plain(made[f"checks/{check.id}.md"])
        assert plain(check.how) in text
        assert all(plain(a.says) in text for a in check.answers.values())


def test_common_practice_is_never_called_a_broken_rule(kb, made):
    for cause in kb.causes.values():
        if cause.breaks:
            text = made[f"causes/{cause.id}.md"]
            assert ("It breaks [" in text) == (kb.rules[cause.breaks.rule].authority != "practice"), cause.id


def test_marks_in_text_are_not_taken_for_markdown():
    kb = load_kb(SMALL)
    low = msgspec.structs.replace(kb.causes["pipe-too-low"], title="Pipe [too] *low* | <b>")
    text = pages(msgspec.structs.replace(kb, causes={**kb.causes, "pipe-too-low": low}))
    assert text["causes/pipe-too-low.md"].startswith("# Pipe \\[too\\] \\*low\\* \\| \\<b\\>\n")
    assert LINK.findall(text["complaints/wet.md"])[0] == "../index.md"
    assert "../causes/pipe-too-low.md" in LINK.findall(text["complaints/wet.md"])


def test_the_command_writes_them_all(run, tmp_path):
    done = run("kb", "page", "-o", str(tmp_path / "out"), "--kb", str(SMALL))
    assert done.code == 0, done.err
    expected = pages(load_kb(SMALL))
    drawn = pictures(load_kb(SMALL))
    assert f"{len(expected)} pages, {len(drawn)} pictures" in done.out
    written = {p.relative_to(tmp_path / "out").as_posix(): p.read_text() for p in (tmp_path / "out").rglob("*.*")}
    assert written == {**expected, **drawn}
    data = msgspec.json.decode(run("kb", "page", "-o", str(tmp_path / "out"), "--kb", str(SMALL), "--json").out)
    assert data["data"]["pages"] == sorted(expected)
    (tmp_path / "file").write_text("")
    assert run("kb", "page", "-o", str(tmp_path / "file"), "--kb", str(SMALL)).code == 2
    assert run("kb", "page", "--kb", str(SMALL)).code == 2
