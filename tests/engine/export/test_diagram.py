"""Drawings of the kb: sound XML, nothing on top of anything, and graphs that come back equal."""

import re
import xml.etree.ElementTree as ET
from itertools import combinations

import msgspec
import networkx as nx
import pytest

from dryfloor.engine.export.diagram import COLUMNS, MOST_SEEN, columns, dot, drawn, graphml, markdown, part, svg
from dryfloor.engine.export.svg import SIZE, Box, Connector, picture
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.load import load_kb
from tests.support.places import SMALL

SVG = "{http://www.w3.org/2000/svg}"
# The advance of a letter in common monospaced faces is 0.6 of its size (Courier: 600 units of 1000); a head is bold, 17 px.
ADVANCE = 0.6


def text_boxes(root):
    """Return (left, top, right, bottom, text) of every line of text."""
    out = []
    for text in root.iter(f"{SVG}text"):
        size = 17 if text.get("class") == "head" else SIZE
        x, y, said = float(text.get("x")), float(text.get("y")), text.text or ""
        out.append((x, y - size * 0.8, x + len(said) * ADVANCE * size, y + size * 0.2, said))
    return out


def apart(a, b):
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


@pytest.fixture(scope="module")
def small():
    return load_kb(SMALL)


def all_of(kb):
    return [*kb.complaints, None]


def test_nothing_lies_on_anything_in_any_drawing(kb):
    for complaint in all_of(kb):
        root = ET.fromstring(svg(kb, complaint))
        width, height = (float(root.get(k)) for k in ("width", "height"))
        texts = text_boxes(root)
        for a, b in combinations(texts, 2):
            assert apart(a, b), (complaint, a[4], b[4])
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
        assert all(apart(a, b) for a, b in combinations(boxes, 2))
        assert all(t[2] <= width or t[1] < 60 for t in texts), complaint


def test_a_drawing_stands_alone_and_heeds_the_dark(kb):
    made = svg(kb, "siphons")
    root = ET.fromstring(made)
    assert root.find(f"{SVG}title").text == kb.complaints["siphons"].title
    assert re.findall(r"(?:href|src|url\(|@import|<script|<image)", made) == []
    assert set(re.findall(r"https?://[^\"]+", made)) == {"http://www.w3.org/2000/svg"}
    assert "prefers-color-scheme: dark" in made
    assert not re.findall(r"(?:fill|stroke)=\"#", made)  # every colour comes from the two palettes


def test_each_column_holds_its_kind_and_everything_the_complaint_touches(kb):
    """On the complaint that touches least: of the larger ones a page shows what each cause shows most strongly."""
    name = min(kb.complaints, key=lambda c: (len(part(kb, c)), c))
    g = part(kb, name)
    made = columns(g)
    assert [{n.partition(":")[0] for n in c} for c in made] == [{"complaint"}, {"cause"}, {"answer", "side"}, {"check"}]
    assert {n.partition(":")[2] for n in made[1]} == set(graph.relevant(graph.build(kb), [name]))
    assert sum(map(len, made)) == len(g)
    text = svg(kb, name)
    assert all(name in text for name in COLUMNS)
    assert text.count("<g class=") == len(g)


def test_the_whole_kb_has_causes_on_both_sides_and_leaves_none_out(kb):
    made = svg(kb)
    root = ET.fromstring(made)
    assert made.count('<g class="cause">') == len(kb.causes)
    assert made.count('<g class="complaint">') == len(kb.complaints)
    at = {g.find(f"{SVG}title").text: float(g.find(f"{SVG}rect").get("x")) for g in root.iter(f"{SVG}g")}
    middle = {x for n, x in at.items() if n.startswith("complaint:")}
    sides = {x for n, x in at.items() if n.startswith("cause:")}
    assert (len(middle), len(sides)) == (1, 2)
    assert min(sides) < min(middle) < max(sides)
    assert made.count('class="line"') == sum(bool(s.complaint) for c in kb.causes.values() for s in c.shows)


def test_sweeping_uncrosses_lines():
    g = nx.DiGraph(
        [("cause:a", "complaint:x"), ("cause:a", "answer:k:z"), ("cause:b", "answer:k:y"), ("cause:b", "complaint:x")]
    )
    made = columns(g)
    assert [made[1].index("cause:a"), made[1].index("cause:b")] == [
        made[2].index("answer:k:z"),
        made[2].index("answer:k:y"),
    ]


def test_a_page_that_would_be_too_long_keeps_the_strongest_and_says_so(kb):
    for complaint in kb.complaints:
        g = part(kb, complaint)
        seen = [n for n in g if n.startswith(("answer:", "side:"))]
        causes = [n for n in g if n.startswith("cause:")]
        made = svg(kb, complaint)
        assert ("left out" in made) == (len(seen) > MOST_SEEN and made.count("<g class=") < len(g))
        shown = made.count('<g class="answer">') + made.count('<g class="side">')
        assert shown <= max(MOST_SEEN, 2 * len(causes))
        assert made.count('<g class="cause">') == len(causes)


def test_graphml_comes_back_equal(kb):
    for complaint in all_of(kb):
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
    assert odd.split("<")[0] in "".join(ET.fromstring(svg(kb, "wet")).itertext())
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
    assert run("kb", "draw", "siphons").out.startswith("digraph")
    assert msgspec.json.decode(run("kb", "draw", "--json").out)["data"]["dot"].startswith("digraph")


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["siphon"], "nearest: siphons"),
        (["siphons", "-o", "x.swg"], "nearest: .svg"),
        (["-o", "/dev/null/x.svg"], "can't be written"),
    ],
)
def test_a_wrong_command_is_told_what_is_near(run, argv, says):
    done = run("kb", "draw", *argv)
    assert (done.code, says in done.err) == (2, True), done.err
