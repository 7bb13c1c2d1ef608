"""Pictures in a browser: its letters keep the room that was kept for them, and lines and words stand out by day, by night and on paper."""

import itertools

import pytest

from dryfloor.engine.advising.illustrations import everything, figures_of, record_of
from dryfloor.engine.pictures.letters import BOLD, width
from dryfloor.engine.pictures.picture import laid_out
from tests.support.chromium import chromium, for_files, open_page  # noqa: F401

WORDS = """() => [...document.querySelectorAll("svg text")].map(t => [t.textContent, t.getBBox().width, parseFloat(getComputedStyle(t).fontSize)])"""
COLORS = """() => { const s = document.querySelector("svg"), of = (q, k) => getComputedStyle(s.querySelector(q))[k];
    return [getComputedStyle(s).backgroundColor, getComputedStyle(s).color, of(".pt", "fill"), of(".pa", "stroke"), of("text:not(.pt)", "fill")] }"""


def drawings(kb):
    for name, shown in everything(kb).items():
        record = record_of(kb, name)
        kind = {} if record.right else {"state": record.state or ""}
        yield laid_out(
            record.scene,
            record.marks,
            right=record.right or "",
            wrong=record.wrong or "",
            figures=figures_of(kb, shown, record),
            **kind,
        )


@pytest.mark.slow
def test_no_text_is_wider_than_its_room(kb, open_page):  # noqa: F811
    page = open_page("about:blank", viewport={"width": 320, "height": 800}, java_script_enabled=True)
    page.set_content("".join(f'<div style="width:320px">{made.svg}</div>' for made in drawings(kb)))
    found = page.evaluate(WORDS)
    assert len(found) > 1000
    room = {15.0: BOLD}  # "right" and "wrong" alone are larger, and bold
    assert {text: wide for text, wide, size in found if wide > room.get(size, 1.0) * width(text, size) + 0.5} == {}


def luminance(color):
    """Return the relative luminance of a CSS color (WCAG 2.1, relative luminance)."""
    parts = [float(c) / 255 for c in color[color.index("(") + 1 : -1].split(",")[:3]]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.slow
def test_it_stands_out_by_day_by_night_and_on_paper(open_page):  # noqa: F811
    """4.5 to 1 for words and 3 to 1 for lines (WCAG 2.1, 1.4.3 and 1.4.11)."""
    svg = laid_out("standpipe", ["height"]).svg
    page = open_page("about:blank", viewport={"width": 320, "height": 800}, java_script_enabled=True)
    seen = set()
    for media, scheme in itertools.product(("screen", "print"), ("light", "dark")):
        page.emulate_media(media=media, color_scheme=scheme)
        page.set_content(svg)
        back, *inks = page.evaluate(COLORS)
        seen.add(back)
        for ink in inks:
            low, high = sorted((luminance(back), luminance(ink)))
            assert (high + 0.05) / (low + 0.05) >= 4.5, (media, scheme, back, ink)
        assert media == "screen" or luminance(back) == 1, "paper stays white"
    assert len(seen) == 2
