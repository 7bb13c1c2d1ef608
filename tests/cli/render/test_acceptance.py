"""The acceptance sheet: one page of HTML with nothing from outside, every reading on it, and whatever was typed made harmless."""

import re
from html.parser import HTMLParser

import pytest
from msgspec.structs import replace

from dryfloor.cli.render.acceptance import OFF_PAPER, ROOM, number_line, page
from dryfloor.engine.advice import Measured
from dryfloor.engine.advising.illustrations import drawn, of_rule
from dryfloor.engine.diagnosis.network import network_of
from dryfloor.engine.paper.filled_sheet import FilledSheet, text_of, with_machine
from dryfloor.engine.shortlist.choice import SheetLines
from dryfloor.engine.survey.assess import survey
from dryfloor.engine.survey.lines import looked_at
from tests.engine.paper.test_sheet_reading import parsed
from tests.support.chromium import PAPERS, PHONE, overflow
from tests.support.installations import NAMES, sound
from tests.support.leads import leads_once  # noqa: F401  (of every survey here)

VOID = {"meta", "line", "circle"}


class Page(HTMLParser):
    """Reads a page, and refuses tags that do not close in order."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.words, self.tags, self.svgs = [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == [], self.open

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data):
        if "style" not in self.open:
            self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def of(kb, name="sound", **changed):
    """Return the page of a sound installation with some readings changed."""
    filled = sound(kb, name)
    readings = {**filled.readings, **{k.replace("_", "-"): v for k, v in changed.items()}}
    done = survey(kb, replace(filled, readings=readings))
    return done, page(kb, done)


@pytest.mark.parametrize("name", NAMES)
def test_it_is_whole_and_needs_nothing_from_outside(kb, name):
    _, text = of(kb, name)
    Page(text)
    assert not re.search(r"https?:|src=|<link|<script|@import|url\(", text)
    assert "prefers-color-scheme:dark" in text
    assert "@page" in text
    assert text.count("<h1>") == 1


def test_every_counted_reading_has_its_row_and_number_line(kb):
    done, text = of(kb, standpipe_height="31 in")
    found = Page(text)
    # One reading has one number line, whichever codes it is held against; what is worked out has one of its own.
    measured = {(x.check or x.rule, x.verdict != "within") for x in done.lines if x.counted and x.measured}
    lines = [a for t, a in found.tags if t == "svg" and a.get("class") != "pic"]
    assert len(lines) == len(measured) > 30
    for x in done.lines:
        if x.verdict in ("broken", "too-close", "within") and x.counted:
            assert (looked_at(kb, x) if x.verdict == "within" else x.title) in found.text, x.rule
    assert any(a["aria-label"].startswith("31 in (79 cm); allowed 39 in") for a in lines)


def test_what_is_broken_has_its_picture_and_on_paper_only_where_the_sheet_leaves_room(kb):
    text = of(kb, standpipe_height="31 in")[1]
    assert text.count('class="pic"') == 1
    assert "limit: at least 39 in" in " ".join(re.findall(r"<text[^>]*>([^<]+)<", text))
    assert "@media print{.drawn{display:none}" in text
    assert '<div class="drawn">' in text
    assert '<div class="drawn room">' in page(kb, ten_minutes(kb))


def test_a_break_says_limit_whose_source_and_what_it_leads_to(kb):
    text = Page(of(kb, standpipe_height="31 in")[1]).text
    assert "BROKEN Standpipe height : 31 in (79 cm); below common practice by 8 in (20 cm)" in text
    assert "Source: common practice, no published source." in text
    assert "Leads to: it siphons" in text


def test_the_verdict_is_a_word_and_not_only_a_colour(kb):
    rows = re.findall(r'<td class="v ([a-z-]+)">([^<]+)<', of(kb, standpipe_height="31 in", gap_behind="2 15/16 in")[1])
    assert dict(rows) == {"broken": "BROKEN", "too-close": "TOO CLOSE", "within": "within"}


def test_print_has_no_colour_and_the_number_lines_take_the_inks(kb):
    text = of(kb)[1]
    assert "--bad:#000" in text.split("@media print")[1]
    svg = re.search(r"<svg.*?</svg>", text)[0]
    assert set(re.findall(r'(?:stroke|fill)="([^"]+)"', svg)) == {"currentColor"}


def test_what_was_typed_can_not_become_markup(kb, run, tmp_path):
    filled = replace(sound(kb, "sound"), title='<script>alert(1)</script> & "x"')
    sheet, out = tmp_path / "s.yaml", tmp_path / "s.html"
    sheet.write_text(text_of(filled))
    done = run("survey", str(sheet), "--html", str(out))
    assert done.code == 0
    text = out.read_text()
    assert "<script" not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;x&quot;" in text
    Page(text)


def test_a_page_that_can_not_be_written_is_said_and_exits_2(run, tmp_path, kb):
    sheet = tmp_path / "s.yaml"
    sheet.write_text(text_of(sound(kb, "sound")))
    done = run("survey", str(sheet), "--html", str(tmp_path / "no" / "s.html"))
    assert done.code == 2
    assert "J003" in done.err


def measured(value, low, high):
    """Return a reading for a number line."""
    return Measured(
        check="c", title="t", said="s", rule="r", verdict="within", side=None, conformity=1.0, value=value, low=low, high=high,
        first=0.0, last=10.0, text="", whose="", limits="l",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "low", "high"), [(5.0, 2.0, 8.0), (1.0, 2.0, None), (9.0, None, 8.0), (0.0, None, 1.0), (2.0, 2.0, 2.0)]
)
def test_the_dot_lies_where_the_reading_lies(value, low, high):
    text = number_line(measured(value, low, high))
    dot = float(re.search(r'circle cx="([\d.]+)"', text)[1])
    ticks = sorted(float(x) for x in re.findall(r'<line x1="([\d.]+)" x2="\1" y1="3"', text))
    limits = sorted(v for v in (low, high) if v is not None)
    assert len(ticks) == len(limits)
    for tick, limit in zip(ticks, limits, strict=True):
        assert (dot > tick, dot == tick) == (value > limit, value == limit)
    assert 6 <= dot <= 194


# -- the two pages -------------------------------------------------------------------------------------------------------
def ten_minutes(kb):
    """Return the survey of a sheet as ten minutes fill it: what must be seen and what prevents most, one thing amiss."""
    filled = sound(kb, "sound")
    names = SheetLines(network_of(kb), "technician", filled.facts).choose(10).lines
    readings = {n: filled.readings[n] for n in names} | {"drain-hose-in-hook": "not-held"}
    return survey(kb, replace(filled, readings=readings))


def test_the_first_page_is_the_customers_and_names_no_more_than_what_must_be_seen(kb):
    done = survey(kb, FilledSheet("x", {"drain": "tub"}, {"tub-volume": "22 gal"}, None, "technician"))
    first, firm = page(kb, done).split('<section class="firm"')
    text = Page(first + "</main></body></html>").text
    for heading in (
        "Serial number",
        "Place",
        "Done and seen",
        "Not seen yet",
        "Keep",
        "From now on",
        "Whom to call",
        "For the household",
    ):
        assert heading in text
    assert "close both taps" in text
    assert all(m.title in text for m in done.missing)
    empty = [
        x.title for x in done.lines if x.verdict == "not-measured" and x.title not in {m.title for m in done.missing}
    ]
    assert len(empty) > 50
    told = re.sub(r"<[^>]+>", "", firm.split("Not measured")[1])
    assert [t for t in empty if t in told] == []


def test_what_is_to_be_done_has_who_and_a_box_to_decline_it(kb):
    text = of(kb, standpipe_height="31 in", gap_behind="1 in")[1].split('<section class="firm"')[0]
    assert (
        text.count("&#9744; I don't want this done. Initials:") == 1
    )  # the plumber's; what whoever installs owes is not the customer's to decline
    assert "Raise the standpipe" in text
    assert "a licensed plumber" in text
    assert "If it stays so: it siphons" in text


def test_beside_what_can_hurt_stands_no_box_no_first_run_and_no_proof(kb):
    first, firm = of(kb, outlet_holes="ground-defeated")[1].split('<section class="firm"')
    text = Page(first + "</main></body></html>").text
    assert "DON'T RUN IT" in text
    assert "Don't run it until a licensed electrician has put this right" in text
    assert "If it stays so: It can give a shock that kills." in text
    for absent in ("First run", "Healthy, though", "\u2610"):
        assert absent not in text
    assert "Proved in its own run" not in firm
    assert "Run before the mends, which can't change it" in firm
    drips = of(kb, drip_rate="dripping")[1].split('<section class="firm"')[1]
    assert "Run before the mends: run again after them" in drips


def test_what_was_told_is_not_signed_for_as_seen(kb):
    done = survey(kb, replace(sound(kb, "sound"), told=("outlet-holes", "standpipe-height")))
    first, firm = page(kb, done).split('<section class="firm"')
    assert "Told to us, not looked at by us" in first
    assert "told by the customer, not seen: Standpipe height; Grounding kind of outlet" in firm or (
        "told by the customer, not seen: " in firm and "Grounding kind of outlet" in firm
    )
    assert firm.count(", told, not seen") >= 2


@pytest.mark.slow
def test_a_phone_shows_both_pages_without_scrolling_sideways(kb, open_page, tmp_path):
    out = tmp_path / "a.html"
    out.write_text(page(kb, ten_minutes(kb)), encoding="utf-8")
    shown = open_page(out, viewport=PHONE)
    assert overflow(shown) == []
    assert all(url.startswith("file:") for url in shown.asked)


@pytest.mark.slow
def test_a_sheet_of_ten_minutes_prints_on_two_pages(kb, open_page, tmp_path):
    out = tmp_path / "a.html"
    out.write_text(page(kb, ten_minutes(kb)), encoding="utf-8")
    for paper in PAPERS:
        pdf = open_page(out).pdf(format=paper, prefer_css_page_size=False)
        assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 2


@pytest.mark.slow
def test_the_two_highest_pictures_and_as_many_words_as_they_leave_room_for_take_two_pages(kb, open_page, tmp_path):
    """The fullest sheet that still gets pictures, whatever is broken in it: every text 9 pt or more as drawn, not as styled."""
    text = page(kb, ten_minutes(kb))
    svgs = sorted(
        (drawn(kb, shown, [], alone=False) for rule in kb.rules.values() for shown in of_rule(rule)), key=height
    )
    head, firm = text.split('<section class="firm"')
    figures = "".join(f"<figure>{svg}</figure>" for svg in svgs[-2:])
    head = re.sub(
        r'<div class="drawn room">.*</div>$', f'<div class="drawn room">{figures}</div>', head, flags=re.DOTALL
    )
    said = len(OFF_PAPER.sub("", firm.partition(">")[2]))
    row = '<tr class="ok"><td class="v within"></td><td class="t">A row of its own, as short as those of a sheet without a single break.</td></tr>'
    fill = row * ((ROOM - said) // len(OFF_PAPER.sub("", row)))
    out = tmp_path / "a.html"
    out.write_text(f'{head}<section class="firm"{firm.replace("</tbody>", fill + "</tbody>")}', encoding="utf-8")
    shown = open_page(out)
    for paper in PAPERS:
        pdf = shown.pdf(format=paper, prefer_css_page_size=False)
        assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 2
    shown.emulate_media(media="print")
    sizes = shown.evaluate(
        """() => [...document.querySelectorAll('.drawn text')].map(e => parseFloat(getComputedStyle(e).fontSize) * 72 / 96
        * e.ownerSVGElement.getBoundingClientRect().width / e.ownerSVGElement.viewBox.baseVal.width)"""
    )
    assert sizes
    assert min(sizes) >= 9


def height(svg):
    """Return the height of a drawing in its own units."""
    return float(re.search(r'viewBox="[^"]* ([\d.]+)"', svg)[1]) if svg else 0.0


def seven_breaks(kb):
    """Return the survey of a sheet with every line filled in, seven of them broken."""
    return of(
        kb, standpipe_height="31 in", gap_behind="1 in", outlet_voltage_drop="4.2 V", restraints_left="bolts-or-rods",
        outlet_holes="two-slots", level_front="1 in/ft", standing_pressure="95 psi",
    )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("breaks", [False, True])
def test_a_whole_sheet_prints_on_two_pages_in_nine_points(kb, open_page, tmp_path, breaks):
    """Measured in the browser's own print: every text is 9 pt or more, and 90 lines and more take two pages, Letter and A4."""
    done, text = seven_breaks(kb) if breaks else of(kb)
    assert sum(x.verdict in ("within", "broken") and x.counted for x in done.lines) >= 90
    out = tmp_path / "a.html"
    out.write_text(text, encoding="utf-8")
    shown = open_page(out)
    shown.emulate_media(media="print")
    sizes = shown.evaluate(
        """() => [...document.querySelectorAll('main *')].filter(e => e.getClientRects().length && [...e.childNodes]
        .some(n => n.nodeType === 3 && n.data.trim())).map(e => parseFloat(getComputedStyle(e).fontSize) * 72 / 96)"""
    )
    assert len(sizes) > 100
    assert min(sizes) >= 9 - 1e-6
    for paper in PAPERS:
        pdf = shown.pdf(format=paper, prefer_css_page_size=False)
        assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 2


@pytest.mark.slow
def test_the_audit_finds_nothing(kb, open_page, audit, tmp_path):
    out = tmp_path / "a.html"
    out.write_text(page(kb, ten_minutes(kb)), encoding="utf-8")
    assert audit(open_page(out)) == []
    assert audit(open_page(out, color_scheme="dark")) == []


def test_what_is_worked_out_and_not_read_is_drawn_without_a_reading(kb):
    """A hose end that the physics puts under the water line has no check of its own."""
    filled = FilledSheet(
        "s",
        {"drain": "standpipe"},
        {"standpipe-height": "31 in", "hose-depth": "5 in"},
        "meadow-top-loader",
        "technician",
    )
    own, filled = with_machine(kb, filled, None)
    done = survey(own, filled)
    assert any(x.verdict == "broken" and x.measured and not x.measured.check for x in done.lines)
    assert "<svg" in page(own, done)


def test_what_was_not_understood_stands_on_the_firms_page_alone(kb):
    filled = parsed(kb, "facts: {drain: standpipe}\nreadings: {rocks-by-hand: <heaps>, drip-rate: dry}\n")
    html = page(kb, survey(kb, filled))
    customers, firms = html.split('<section class="firm"')
    assert "Not understood, and not judged.</b> Rocks when pressed: \u201c&lt;heaps&gt;\u201d" in firms
    assert "heaps" not in customers
