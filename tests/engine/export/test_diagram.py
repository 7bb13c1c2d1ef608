"""Drawings of the kb: sound XML, nothing on top of anything, and graphs that come back equal."""

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import msgspec
import networkx as nx
import pytest

from dryfloor.engine.export.diagram import by_rate, columns, dot, drawn, graphml, markdown, part, svg
from dryfloor.engine.export.svg import COLOURS, SIZE, Box, Connector, picture
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL

SVG = "{http://www.w3.org/2000/svg}"
# The advance of a letter in common monospaced faces is 0.6 of its size (Courier: 600 units of 1000).
ADVANCE = 0.6


def text_boxes(root):
    """Return (left, top, right, bottom, text) of every line of text."""
    out = []
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size") or SIZE)
        x, y, said = float(text.get("x")), float(text.get("y")), text.text or ""
        wide = len(said) * ADVANCE * size
        x -= wide / 2 if text.get("text-anchor") == "middle" else 0
        out.append((x, y - size * 0.8, x + wide, y + size * 0.2, said))
    return out


def squares_of(root):
    """Return (left, top, right, bottom, what it says) of every square of a grid."""
    out = []
    for rect in (r for r in root.iter(f"{SVG}rect") if len(r)):
        x, y, side = (float(rect.get(k)) for k in ("x", "y", "width"))
        out.append((x, y, x + side, y + side, rect.find(f"{SVG}title").text))
    return out


def near(boxes):
    """Return the pairs whose heights overlap, which alone can lie on each other."""
    boxes = sorted(boxes, key=lambda b: b[1])
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            if b[1] >= a[3]:
                break
            yield a, b


def apart(a, b):
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@pytest.fixture(scope="module")
def small():
    return load_kb(SMALL)


def all_of(kb):
    return [*kb.complaints, None]


WIDTHS = [320, pytest.param(960, marks=pytest.mark.slow)]


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_lies_on_anything_in_any_drawing(kb, width):
    for complaint in all_of(kb):
        root = ET.fromstring(svg(kb, complaint, width))
        assert float(root.get("width")) <= width
        whole = (0.0, 0.0, float(root.get("width")), float(root.get("height")))
        texts, squares = text_boxes(root), squares_of(root)
        for a in (*texts, *squares):
            assert whole[0] <= a[0] < a[2] <= whole[2], (complaint, a)
            assert whole[1] <= a[1] < a[3] <= whole[3], (complaint, a)
        for a, b in near(texts):
            assert apart(a, b), (complaint, a[4], b[4])
        for a, b in near([*squares, *texts]):
            assert apart(a, b), (complaint, a, b)


def test_boxes_and_lines_lie_beside_each_other(small):
    root = ET.fromstring(svg(small, "wet", 1500))
    width, height = (float(root.get(k)) for k in ("width", "height"))
    assert all(apart(a, b) for a, b in combinations(text_boxes(root), 2))
    boxes = []
    for g in root.iter(f"{SVG}g"):
        rect = g.find(f"{SVG}rect")
        x, y, w, h = (float(rect.get(k)) for k in ("x", "y", "width", "height"))
        boxes.append((x, y, x + w, y + h))
        for text in text_boxes(g):
            assert x <= text[0] < text[2] <= x + w, text
            assert y <= text[1] < text[3] <= y + h, text
        assert 0 <= x < x + w <= width
        assert 0 <= y < y + h <= height
    assert len(boxes) == 8
    assert all(apart(a, b) for a, b in combinations(boxes, 2))


def drawings(kb, small):
    return [svg(kb, "siphons"), svg(kb), svg(small, "wet", 1500)]


def test_a_drawing_stands_alone_and_is_told_in_words(kb, small):
    for made, title in zip(
        drawings(kb, small), [kb.complaints["siphons"].title, "All complaints", "Water"], strict=True
    ):
        root = ET.fromstring(made)
        assert root.find(f"{SVG}title").text.startswith(title)
        assert root.get("aria-labelledby").split() == [root.find(f"{SVG}{t}").get("id") for t in ("title", "desc")]
        assert "causes, the most frequent first." in root.find(f"{SVG}desc").text
        assert re.findall(r"(?:href|src|url\(|@import|<script|<image)", made) == []
        assert set(re.findall(r"https?://[^\"]+", made)) == {"http://www.w3.org/2000/svg"}
    told = ET.fromstring(svg(kb, "siphons")).find(f"{SVG}desc").text
    assert all(kb.causes[c].title in told for c in graph.relevant(graph.build(kb), ["siphons"]))
    assert "Standpipe too low, 3 per 1000: Standpipe height: below (0.99);" in told


def test_every_colour_is_written_out_and_only_a_dark_screen_has_others(kb, small):
    """A program that reads no style sheet paints what has no colour of its own black."""
    for made in drawings(kb, small):
        assert "var(" not in made
        root = ET.fromstring(made)
        style = root.find(f"{SVG}style").text
        rules, _, dark = style.partition("@media screen and (prefers-color-scheme: dark)")
        assert "#" not in rules
        turned = {(c, what): colour for c, what, colour in re.findall(r"\.(\w+) \{ (\w+): (#\w{6}); \}", dark)}
        painted = [e for e in root.iter() if e.tag in {f"{SVG}{t}" for t in ("rect", "path", "text")}]
        assert len(painted) > 20
        for e in painted:
            own = {k: e.get(k) for k in ("fill", "stroke") if e.get(k) not in (None, "none")}
            assert own, ET.tostring(e)
            assert e.get("fill") or "C" not in e.get("d", "C"), ET.tostring(
                e
            )  # else it is filled black; a straight line isn't
            assert all(re.fullmatch(r"#[0-9a-f]{6}", c) for c in own.values())
            assert {what for c, what in turned if c in e.get("class").split()} == set(own)


def luminance(colour):
    """Relative luminance of a colour (WCAG 2.2)."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize("night", [1, 2])
def test_text_and_marks_stand_out_by_day_and_by_night(night):
    """4.5 to 1 for text, 3 to 1 for what is no text (WCAG 2.2, 1.4.3 and 1.4.11)."""
    paper = luminance(COLOURS["paper"][night])
    for name, least in (("ink", 4.5), ("soft", 4.5), ("edge", 3), ("line", 3), ("mark", 3), ("hollow", 3)):
        low, high = sorted([paper, luminance(COLOURS[name][night])])
        assert (high + 0.05) / (low + 0.05) >= least, name


def test_causes_stand_by_their_rate(kb, small):
    for complaint in kb.complaints:
        g = part(kb, complaint)
        rates = [kb.causes[c].per_1000.n for c in by_rate(kb, g)]
        assert rates == sorted(rates, reverse=True)
        assert sorted(by_rate(kb, g)) == sorted(graph.relevant(graph.build(kb), [complaint]))
    listed = re.findall(r">([^<>]+) \((\d+)\)<", svg(kb, "siphons"))
    assert listed[0] == ("Inlet screen clogged", "15")
    assert [int(n) for _, n in listed] == sorted((int(n) for _, n in listed), reverse=True)
    order = columns(part(small, "wet"), by_rate(small, part(small, "wet")))
    assert order[1] == ["cause:pipe-too-low", "cause:hose-sealed-in"]


def test_every_pair_that_shows_is_one_square_and_none_is_left_out(kb):
    for complaint in kb.complaints:
        g = part(kb, complaint)
        pairs = {
            f"{g.nodes[a]['title']} ({kb.causes[a[6:]].per_1000.n:g}): {g.nodes[b]['title']}, {d['strength']:.2g}": d[
                "strength"
            ]
            for a, b, d in g.edges(data=True)
            if d["kind"] == "shows" and not b.startswith("complaint:")
        }
        told = {r.find(f"{SVG}title").text: r for r in ET.fromstring(svg(kb, complaint)).iter(f"{SVG}rect") if len(r)}
        assert set(told) == set(pairs)
        for said, rect in told.items():
            assert (rect.get("fill") == "none") == (pairs[said] < 0.5)
    squares = squares_of(ET.fromstring(svg(kb)))
    assert len(squares) == len({(c.id, s.complaint) for c in kb.causes.values() for s in c.shows if s.complaint})


def test_each_check_is_a_heading_over_what_it_sees(kb):
    text = " ".join(t[4] for t in text_boxes(ET.fromstring(svg(kb, "siphons"))))
    g = part(kb, "siphons")
    for check in (n for n in g if n.startswith("check:")):
        assert g.nodes[check]["title"].split()[0] in text
    assert "Worked out from other" in text


def test_lines_are_drawn_where_there_is_room_and_few_enough(kb, small, monkeypatch):
    assert "<g class=" in svg(small, "wet", 1500)
    assert "<g class=" not in svg(small, "wet", 1300)
    assert "<g class=" not in svg(kb, "siphons", 5000)
    monkeypatch.setattr("dryfloor.engine.export.diagram.MOST_LINES", 3)
    assert "<g class=" not in svg(small, "wet", 1500)


def test_columns_hold_their_kinds_and_lines_cross_little():
    g = nx.DiGraph(
        [("cause:a", "complaint:x"), ("cause:a", "answer:k:z"), ("cause:b", "answer:k:y"), ("cause:b", "complaint:x"),
         ("check:m", "answer:k:y"), ("check:n", "answer:k:z")]
    )  # fmt: skip
    assert columns(g, ["a", "b"]) == [
        ["complaint:x"], ["cause:a", "cause:b"], ["answer:k:z", "answer:k:y"], ["check:n", "check:m"]
    ]  # fmt: skip
    assert columns(g, ["b", "a"])[2:] == [["answer:k:y", "answer:k:z"], ["check:m", "check:n"]]


@pytest.mark.parametrize("every", [6, pytest.param(1, marks=pytest.mark.slow)])
def test_graphml_comes_back_equal(kb, every):
    for complaint in all_of(kb)[::every]:
        before, after = part(kb, complaint), nx.parse_graphml(graphml(kb, complaint))
        after.graph.clear()  # the reader notes the defaults of the format there
        assert nx.utils.graphs_equal(before, after)
    whole = graph.build(kb)
    assert set(part(kb)) == set(whole)
    assert set(part(kb).edges) == set(whole.edges)


def test_dot_and_markdown_name_every_node_and_edge(kb):
    g = part(kb, "siphons")
    text = dot(kb, "siphons")
    assert text.count(" -> ") == g.number_of_edges()
    assert re.findall(r'^  "([^"]+)" \[label', text, re.M) == list(g)
    page = markdown(kb, "siphons")
    assert page.startswith(f"# {kb.complaints['siphons'].title}\n")
    names = set(re.findall(r"^  (n\d+)\[", page, re.M))
    ends = set(re.findall(r"\b(n\d+)\b", "\n".join(re.findall(r"^  n\d+ -.*$", page, re.M))))
    assert len(names) == len(g)
    assert ends <= names
    assert page.count("```") == 2


def test_odd_letters_do_no_harm(small):
    odd = 'He said "5 < 6" & \\ more'
    low = msgspec.structs.replace(small.causes["pipe-too-low"], title=odd)
    kb = msgspec.structs.replace(small, causes={**small.causes, "pipe-too-low": low})
    assert odd.split("<")[0] in "".join(ET.fromstring(svg(kb, "wet", 1500)).itertext())
    assert nx.parse_graphml(graphml(kb, "wet")).nodes["cause:pipe-too-low"]["title"] == odd
    assert '\\"5 < 6\\" & \\\\ more' in dot(kb, "wet")
    assert "#quot;5 #lt; 6#quot; #amp;" in markdown(kb, "wet")
    assert ET.fromstring(picture("a & b", ["<"], [[Box("n", "x" * 200, "cause")]], [Connector("n", "n", 0.3)]))


def test_the_command_writes_each_kind(run, tmp_path, kb):
    for suffix in (".svg", ".dot", ".graphml", ".md"):
        path = tmp_path / "new" / f"siphons{suffix}"
        done = run("kb", "draw", "siphons", "-o", str(path))
        assert done.code == 0, done.err
        assert path.read_text() == drawn(kb, "siphons", suffix)
    wide = tmp_path / "wide.svg"
    assert run("kb", "draw", "siphons", "-o", str(wide), "--width", "960").code == 0
    assert wide.read_text() == drawn(kb, "siphons", ".svg", 960)
    assert run("kb", "draw", "siphons").out.startswith("digraph")
    assert msgspec.json.decode(run("kb", "draw", "--json").out)["data"]["dot"].startswith("digraph")


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["siphon"], "nearest: siphons"),
        (["siphons", "-o", "x.swg"], "nearest: .svg"),
        (["-o", "/dev/null/x.svg"], "can't be written"),
        (["-o", "x.svg", "--width", "319"], "expected 320 to 10000"),
        (["-o", "x.svg", "--width", "10001"], "expected 320 to 10000"),
    ],
)
def test_a_wrong_command_is_told_what_is_near(run, argv, says):
    done = run("kb", "draw", *argv)
    assert (done.code, says in done.err) == (2, True), done.err
