"""A grid of squares: panels that fit a small phone, numbers over the right columns, sizes by strength."""

import xml.etree.ElementTree as ET

import pytest

from dryfloor.engine.export.matrix import CELL, MOST_COLUMNS, PANEL, Group, Row, matrix

SVG = "{http://www.w3.org/2000/svg}"


def drawn(count, width=320.0, groups=None):
    columns = [(f"c{n}", f"Cause {n}") for n in range(count)]
    groups = groups or [Group("Check", [Row("seen", {f"c{n}": 0.9 for n in range(count)})])]
    return ET.fromstring(matrix("Head", "Key", "Told", columns, groups, width))


def squares(root):
    return [r for r in root.iter(f"{SVG}rect") if len(r)]


def middle(rect):
    return float(rect.get("x")) + float(rect.get("width")) / 2


@pytest.mark.parametrize(("count", "panels"), [(1, 1), (10, 1), (11, 2), (20, 2), (21, 3)])
def test_panels_take_no_more_columns_than_fit_and_stand_beside_each_other_where_there_is_room(count, panels):
    assert MOST_COLUMNS * CELL < PANEL / 2  # half is left for words
    assert float(drawn(count).get("width")) == PANEL
    assert float(drawn(count, 5000).get("width")) == panels * PANEL
    heights = [float(drawn(count, w).get("height")) for w in (320, 5000)]
    assert heights[0] > heights[1] or panels == 1
    assert len(squares(drawn(count))) == len(squares(drawn(count, 5000))) == count


def test_a_number_stands_over_its_column_and_before_its_name():
    root = drawn(3, groups=[Group("Check", [Row("seen", {"c1": 0.9})])])
    texts = {t.text: t for t in root.iter(f"{SVG}text") if t.get("text-anchor") == "middle"}
    assert list(texts) == ["1", "2", "3"]
    assert middle(squares(root)[0]) == pytest.approx(float(texts["2"].get("x")), abs=0.1)
    rows = [t for t in root.iter(f"{SVG}text") if t.get("text-anchor") != "middle"]
    number, name = (next(t for t in rows if t.text == said) for said in ("2", "Cause 1"))
    assert number.get("y") == name.get("y")


def test_a_square_is_as_large_as_the_strength_and_hollow_below_even():
    shown = {"c0": 0.1, "c1": 0.49, "c2": 0.5, "c3": 0.98}
    found = squares(drawn(4, groups=[Group("Check", [Row("seen", shown)])]))
    sides = [float(r.get("width")) for r in found]
    assert sides == sorted(set(sides))
    assert sides[-1] < CELL
    assert [r.get("fill") == "none" for r in found] == [True, True, False, False]
    assert found[0].find(f"{SVG}title").text == "Cause 0: seen, 0.1"


def test_a_panel_has_the_rows_of_its_own_columns_alone():
    rows = [Row("early", {"c0": 0.9}), Row("late", {"c10": 0.9})]
    said = [t.text for t in drawn(11, groups=[Group("Check", rows), Group("None", [])]).iter(f"{SVG}text")]
    assert (said.count("early"), said.count("late"), said.count("Check"), said.count("None")) == (1, 1, 2, 0)


def test_nothing_to_draw_is_a_heading():
    root = ET.fromstring(matrix("Head", "", "", [], [], 320))
    assert [t.text for t in root.iter(f"{SVG}text")] == ["Head"]
