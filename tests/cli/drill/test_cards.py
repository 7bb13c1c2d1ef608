"""`dryfloor cards`: one page with nothing from outside, eight to a sheet, and each back behind its front."""

import re

import msgspec
import pytest

from dryfloor.cli.render.rule_cards import A_PAGE, page
from dryfloor.engine.drill.rule_questions import questions
from tests.support.chromium import PAPERS, PHONE, overflow


def written(run, tmp_path, *argv):
    path = tmp_path / "cards.html"
    done = run("cards", "-o", str(path), *argv)
    assert done.code == 0, done.err
    return done, path


def test_it_is_whole_and_needs_nothing_from_outside(kb, run, tmp_path):
    done, path = written(run, tmp_path)
    text = path.read_text("utf-8")
    assert f"{len(kb.rules)} cards on {2 * -(-len(kb.rules) // A_PAGE)} pages" in done.out
    assert not re.search(r"https?:|src=|<link|<script|@import|url\(", text)
    assert text.count('<div class="card') >= 2 * len(kb.rules)


def test_each_back_lies_behind_its_front(kb):
    text = page(questions(kb, "drain"))
    sheets = re.split(r'<div class="sheet ', text)[1:]
    for front, back in zip(sheets[::2], sheets[1::2], strict=True):
        fronts = [int(n) for n in re.findall(r"<h3>(\d+)\.", front)]
        backs = [int(n) for n in re.findall(r"<h3>(\d+)\.", back)]
        assert sorted(fronts) == sorted(backs)
        assert fronts[:2] == backs[1::-1] or len(fronts) == 1


def test_as_text_and_as_json(kb, run):
    done = run("cards", "--area", "power", "--numbers", COLUMNS="40")
    assert done.code == 0
    assert max(len(line) for line in done.out.splitlines()) <= 40
    made = msgspec.json.decode(run("cards", "--area", "power", "--numbers", "--json").out)
    assert len(made["data"]["cards"]) == len(questions(kb, "power", numbers=True))


@pytest.mark.parametrize("argv", [("--area", "nope"), ("-o", "cards.pdf"), ("-o", "/nowhere/cards.html")])
def test_wrong_usage_is_2(run, argv):
    assert run("cards", *argv).code == 2


@pytest.mark.slow
def test_every_card_holds_its_text_on_both_papers_and_a_phone(run, tmp_path, open_page):
    _, path = written(run, tmp_path)
    shown = open_page(path, viewport=PHONE)
    assert overflow(shown) == []
    sheets = 2 * -(-shown.locator(".front .card").count() // A_PAGE)
    for paper in PAPERS:
        assert len(re.findall(rb"/Type\s*/Page[^s]", shown.pdf(format=paper))) == sheets
    shown.emulate_media(media="print")
    # A4 less its margins is 194 mm wide, Letter 200 mm: the narrower one at 96 dots an inch.
    shown.set_viewport_size({"width": 733, "height": 1000})
    over = "e => e.filter(c => c.scrollHeight > c.clientHeight + 1).map(c => c.textContent.trim().slice(0, 50))"
    assert shown.eval_on_selector_all(".card", over) == []
