"""What visits took against what `bring` said, on screen, as Markdown, as CSV and on the page: the same figures everywhere."""

import csv
import io

import msgspec
import pytest

from dryfloor.cli.render import month_page
from dryfloor.cli.render.month import NOT_TOLD, csv_of, markdown, month_lines
from dryfloor.cli.terminal.layout import Layout
from dryfloor.engine.reports.month import Month
from dryfloor.engine.reports.on_site import OnSite


@pytest.fixture
def found():
    taken = OnSite(
        cases=40, of=112, said=30.2, taken=45.4, ratio=1.26, over=25, under=14, inside=29, called=31.24, came=47, again=5
    )  # fmt: skip
    return Month(
        of="2026-11", cases=200, ends={"solved": 200}, causes=[], came_back={}, saved=80, reported=0, visits=120, parts=[], rules=[],
        held=[], on_site=taken,
    )  # fmt: skip


def test_every_face_tells_the_same_figures(found):
    for text in ("\n".join(month_lines(Layout(80, False), found)), markdown(found), month_page.page(found)):
        flat = " ".join(text.split())
        assert "mean of 40 cases: 30 said, 45 taken" in flat
        assert "Longer than said in 25, shorter in 14; the middle case took 1.3 times what was said" in flat
        assert "29 of 40 (8 in 10 are meant to be)" in flat
        assert "31.2 expected by the chances said of each trade" in flat
        assert "47 made; more than one visit in 5 of 40 cases" in flat
        assert "These are 40 of 112 such cases" in flat
        assert NOT_TOLD not in flat


def test_the_page_has_a_bar_of_each(found):
    page = month_page.page(found)
    assert 'style="width:67%"' in page
    assert 'style="width:100%"' in page
    assert "<td>45</td>" in page


def test_rows_have_their_figures_in_a_column_of_their_own(found):
    rows = {row["what"]: row for row in csv.DictReader(io.StringIO(csv_of(found)))}
    assert all(None not in row and None not in row.values() for row in rows.values())
    assert (rows["minutes-said"]["cases"], rows["minutes-said"]["figure"]) == ("40", "30.2")
    assert (rows["call-outs-made"]["cases"], rows["call-outs-made"]["figure"]) == ("40", "47")
    assert (rows["saved"]["cases"], rows["saved"]["figure"]) == ("80", "")


def test_where_no_case_can_tell_one_sentence_says_so(found):
    none = msgspec.structs.replace(found, on_site=None)
    for text in ("\n".join(month_lines(Layout(80, False), none)), markdown(none), month_page.page(none)):
        assert " ".join(text.split()).count(NOT_TOLD) == 1
    assert "minutes-said" not in csv_of(none)
    assert "minutes on site" not in month_page.page(none)
