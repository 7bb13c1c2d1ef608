"""The report as a page: self-contained, escaped, readable on a phone, on paper and by a screen reader, without colour or script."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from dryfloor.cli.render.report_html import bar, page
from dryfloor.engine.case.events import Event
from dryfloor.engine.language.sanitize import printable
from dryfloor.engine.reports.history import Trail
from dryfloor.engine.reports.report import READERS, report
from tests.cli.render.test_acceptance import Page
from tests.support.chromium import PAPERS, PHONE, overflow
from tests.support.telling import HANDED_OVER, HOSTILE, MENDED, NASTY, STOPPED

CASES = {
    "open": HANDED_OVER,
    "clear": [*HANDED_OVER, Event(cleared="water-running")],
    "mended": MENDED,
    "stopped": STOPPED,
    "empty": [Event(role="desk")],
    "nasty": NASTY,
}


@pytest.fixture(scope="module")
def pages(kb, tmp_path_factory):
    """Every case for every reader, as a file."""
    folder = tmp_path_factory.mktemp("reports")
    out = {}
    for name, events in CASES.items():
        for reader in READERS:
            path = folder / f"{name}-{reader}.html"
            path.write_text(page(report(kb, events, reader)), encoding="utf-8")
            out[name, reader] = path
    return out


ALL = [(name, reader) for name in CASES for reader in READERS]


@pytest.mark.parametrize("which", ALL, ids="-".join)
def test_it_is_whole_and_needs_nothing_from_outside(pages, which):
    text = pages[which].read_text(encoding="utf-8")
    found = Page(text.replace("<rect ", "<line "))
    assert text.startswith("<!doctype html>")
    tags = {t for t, _ in found.tags}
    assert not tags & {"script", "img", "link", "iframe", "a", "object"}
    assert not [a for _, attrs in found.tags for a in attrs if a in ("src", "href", "onerror") or a.startswith("on")]
    assert not re.search(r"@import|url\(", text)
    assert text.count("<h1>") == 1
    assert "default-src 'none'" in text


@pytest.mark.parametrize("which", ["open", "clear"])
def test_everything_of_the_report_is_on_the_page(kb, pages, which):
    for reader in READERS:
        made = report(kb, CASES[which], reader)
        text = " ".join(Page(pages[which, reader].read_text(encoding="utf-8").replace("<rect ", "<line ")).text.split())
        told = [
            made.verdict, *made.now, *made.words, *made.complaint, *made.summary, *made.rule_text, *(x.text for x in made.lines), *made.done,
            *made.next, *made.unchecked, *made.others, made.trail_text, made.trail_key, *(t.what for t in made.trail),
            *(t.says for t in made.trail), *made.notes, *(s.text for s in made.sources), *made.closing, *(h.says for h in made.hazards),
        ]  # fmt: skip
        assert [t for t in told if " ".join(t.split()) not in text] == []


def test_each_part_has_its_heading_and_safety_comes_first(pages):
    rest = [
        "The rule",
        "Readings",
        "What was done",
        "What to do next",
        "Not checked",
        "What else it could be",
        "The trail",
        "Notes",
    ]
    last = ["Sources", "What this report holds for"]
    whole = ["First of all", "Dangers", "What was complained of", "What was wrong, and how sure that is", *rest, *last]
    for name, lacks in (("open", "What to do next"), ("clear", "First of all")):
        heads = re.findall(r"<h2>([^<]+)</h2>", pages[name, "homeowner"].read_text(encoding="utf-8"))
        assert heads == [h for h in whole if h != lacks]


def row(bar_, weight=0.1):
    return Trail(n=1, who="", what="", weight=weight, bar=bar_, says="")


def test_for_is_full_to_the_right_against_is_open_to_the_left():
    right, left = bar(row(0.5)), bar(row(-0.5))
    assert 'fill="currentColor"' in right
    assert float(re.search(r'rect x="([\d.]+)"', right)[1]) == 100
    x, width = (float(re.search(rf'{k}="([\d.]+)"', left)[1]) for k in ("rect x", "width"))
    assert 'fill="none"' in left
    assert x + width == 100
    assert "rect" not in bar(row(0.0))
    assert bar(row(0.0, None)) == ""
    assert 'aria-hidden="true"' in right  # the words beside it say the same


@pytest.fixture(scope="module")
def empty(kb):
    return report(kb, [Event(role="desk")])


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_no_note_becomes_markup(empty, note):
    text = page(replace(empty, notes=[printable(note)]))
    Page(text)
    assert text.count("<li><bdi>") == 1


@pytest.mark.slow
@pytest.mark.parametrize("which", ALL, ids="-".join)
def test_a_phone_shows_it_without_scrolling_sideways_and_it_asks_for_nothing(open_page, pages, which):
    shown = open_page(pages[which], viewport=PHONE)
    for scheme in ("light", "dark"):
        shown.emulate_media(color_scheme=scheme)
        assert overflow(shown) == []
    assert len(shown.asked) == 1


@pytest.mark.slow
@pytest.mark.parametrize("width", [360, 1000])
@pytest.mark.parametrize("which", ALL, ids="-".join)
def test_the_audit_finds_nothing(open_page, pages, audit, which, width):
    assert audit(open_page(pages[which], viewport={"width": width, "height": 800})) == []


@pytest.mark.slow
def test_the_audit_finds_nothing_in_the_dark(open_page, pages, audit):
    assert audit(open_page(pages["open", "technician"], color_scheme="dark")) == []


@pytest.mark.slow
@pytest.mark.parametrize("which", [("open", "technician"), ("mended", "homeowner")], ids="-".join)
def test_it_prints_on_either_paper(open_page, pages, which):
    shown = open_page(pages[which])
    for paper in PAPERS:
        pdf = shown.pdf(format=paper, prefer_css_page_size=False)
        assert 1 <= len(re.findall(rb"/Type\s*/Page[^s]", pdf)) <= 4
    # On paper nothing is wider than what is left between the margins.
    shown.set_viewport_size({"width": 640, "height": 900})
    shown.emulate_media(media="print")
    assert overflow(shown) == []


@pytest.mark.slow
def test_harm_is_shown_as_text(open_page, pages):
    shown = open_page(pages["nasty", "homeowner"])
    assert shown.title().startswith("Washer report")
    assert shown.locator("h1").count() == 1
    body = shown.inner_text("body")
    assert HOSTILE[0] in body
    assert HOSTILE[1] in body
    assert "[U+202E]gnp.exe" in body
    assert "w" * 5000 in body.replace("\n", "")


@pytest.mark.slow
def test_it_reads_the_same_without_script_or_colour(open_page, pages):
    with_script = open_page(pages["mended", "homeowner"]).inner_text("body")
    shown = open_page(pages["mended", "homeowner"], java_script_enabled=False, forced_colors="active")
    assert shown.inner_text("body") == with_script
