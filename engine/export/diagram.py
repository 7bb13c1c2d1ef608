"""The part of the kb that a complaint touches, as a drawing: complaint, causes, what they show, the checks that see it.

A grid of squares, or where it is little enough boxes with lines; or the same graph as text for other tools: dot, GraphML, a
Markdown page. Strength is drawn as the size of a square or the width of a line, and what is below even odds hollow or dashed; colour
alone carries nothing.
"""

from typing import Any

import networkx as nx

from .. import model
from ..knowledge import graph
from .matrix import PANEL, Group, Row, matrix
from .svg import Box, Connector, picture, picture_width

COLUMNS = ("Complaint", "Causes", "What is seen", "Checks")
KINDS = {"complaint": 0, "cause": 1, "answer": 2, "side": 2, "rule": 2, "check": 3}
# More lines than these run into each other (judgement) [-].
MOST_LINES = 60
BEFORE_NUMBERS = 10  # rows of the whole kb, then the columns' numbers come again
MOST_TOLD = 3  # findings of each cause that are told in words
WORKED_OUT = "Worked out from other readings"
KEY_LINES = (
    "Causes stand by their rate, the most frequent first. Thicker: shown more often; dashed: less often than not."
)
SQUARE = "The larger a square, the oftener; hollow: less often than not."
RATE = "in brackets: of 1000 callbacks"
KEY_FINDINGS = (
    f"Causes, the most frequent first ({RATE}), and below what each shows, by the check that sees it. {SQUARE}"
)
KEY_COMPLAINTS = f"Complaints, and below which causes lead to them, the most frequent first ({RATE}). {SQUARE}"
SUFFIXES = (".svg", ".dot", ".graphml", ".md")


def part(kb: model.KB, complaint: str | None = None) -> "nx.DiGraph[str]":
    """Return the part of the kb's graph that a complaint touches, titles and all; the whole graph without a complaint.

    Parameters
    ----------
    kb : KB
    complaint : str, optional
        A complaint of the kb.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> g = part(load_kb(), "siphons")
    >>> g.nodes["cause:standpipe-too-low"]["title"]
    'Standpipe too low'
    """
    whole = graph.build(kb)
    kept = set(whole)
    if complaint:
        causes = {f"cause:{c}" for c in graph.relevant(whole, [complaint])}
        seen = {
            t for c in causes for t in whole.succ[c] if whole.edges[c, t]["kind"] == "shows" and "complaint:" not in t
        }
        checks = {p for n in seen for p in whole.pred[n] if p.startswith("check:")}
        kept = {f"complaint:{complaint}", *causes, *seen, *checks}
    out: nx.DiGraph[str] = nx.DiGraph()
    for node in sorted(kept):
        out.add_node(node, title=title(kb, node), kind=node.partition(":")[0], **_plain(whole.nodes[node]))
    for a, b in sorted(whole.edges):
        if a in kept and b in kept:
            out.add_edge(a, b, **_plain(whole.edges[a, b]))
    return out


def _plain(data: dict[str, Any]) -> dict[str, Any]:
    return {k: round(float(v), 9) if isinstance(v, int | float) else str(v) for k, v in data.items()}


def title(kb: model.KB, node: str) -> str:
    """Return what a node is called.

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> title(load_kb(), "side:standpipe-height:below")
    'Standpipe height: below'
    """
    kind, _, name = node.partition(":")
    if kind == "answer":
        check, _, answer = name.partition(":")
        return kb.checks[check].answers[answer].says
    if kind == "side":
        rule, _, side = name.partition(":")
        return f"{kb.rules[rule].title}: {side}"
    table: dict[str, Any] = getattr(kb, f"{kind}s")
    found: str = table[name].title
    return found


def overview(kb: model.KB) -> "nx.DiGraph[str]":
    """Return complaints and causes alone, which is what fits on one page of the whole kb."""
    whole = part(kb)
    return whole.subgraph([n for n in whole if n.startswith(("complaint:", "cause:"))]).copy()


def by_rate(kb: model.KB, g: Any) -> list[str]:
    """Return the causes of a graph, the most frequent first, ties by id."""
    names = [n.partition(":")[2] for n in g if n.startswith("cause:")]
    return sorted(names, key=lambda c: (-kb.causes[c].per_1000.n, c))


def columns(g: Any, causes: list[str]) -> list[list[str]]:
    """Return the nodes of each column, top to bottom: causes as they are given, the others so that few lines cross.

    Parameters
    ----------
    g : DiGraph
        As `part` gives it; nodes of other kinds are left out.
    causes : list of str
        In their order.
    """
    out = [sorted(n for n in g if KINDS.get(n.partition(":")[0]) == k) for k in range(len(COLUMNS))]
    out[KINDS["cause"]] = [f"cause:{c}" for c in causes]
    for k in (2, 3, 0):  # each beside its neighbours in the column that stands already
        other = out[k - 1] if k else out[1]
        place = {n: i for i, n in enumerate(other)}
        mid = {n: [place[m] for m in (*g.succ[n], *g.pred[n]) if m in place] for n in out[k]}
        out[k].sort(key=lambda n: (sum(mid[n]) / len(mid[n]) if mid[n] else len(other), n))
    return out


def svg(kb: model.KB, complaint: str | None = None, width: float = PANEL) -> str:
    """Return a drawing that stands alone, causes by their rate: what each shows, or of the whole kb what they are complained of.

    Few things are drawn as boxes with lines where there is the width for it, all else as a grid of squares.

    Parameters
    ----------
    kb : KB
    complaint : str, optional
        A complaint of the kb.
    width : float
        Room that there is; 320, a small phone, is the least [px].
    """
    g = part(kb, complaint) if complaint else overview(kb)
    causes = by_rate(kb, g)
    head = kb.complaints[complaint].title if complaint else "All complaints and their causes"
    if complaint and width >= picture_width(len(COLUMNS)):
        order = columns(g, causes)
        drawn_nodes = {n for column in order for n in column}
        lines = [
            Connector(a, b, d.get("strength", 0.0))
            for a, b, d in sorted(g.edges(data=True))
            if a in drawn_nodes and b in drawn_nodes and d["kind"] in ("shows", "yields", "reads")
        ]
        if len(lines) <= MOST_LINES:
            boxes = [[Box(n, g.nodes[n]["title"], n.partition(":")[0]) for n in column] for column in order]
            used = [(name, column) for name, column in zip(COLUMNS, boxes, strict=True) if column]
            told = _told(kb, g, causes, complaint)
            return picture(head, [name for name, _ in used], [column for _, column in used], lines, KEY_LINES, told)
    if complaint:
        named = [(c, _rated(kb, c)) for c in causes]
        return matrix(head, KEY_FINDINGS, _told(kb, g, causes, complaint), named, _findings(kb, g, causes), width)
    rows = [
        Row(_rated(kb, c), shown)
        for c in causes
        if (shown := {n.partition(":")[2]: s for n, s in _shows(g, c).items()})
    ]
    groups = [Group("", rows[n : n + BEFORE_NUMBERS]) for n in range(0, len(rows), BEFORE_NUMBERS)]
    named = [(c.id, c.title) for c in kb.complaints.values()]
    return matrix(head, KEY_COMPLAINTS, _told(kb, g, causes, None), named, groups, width)


def _rated(kb: model.KB, cause: str) -> str:
    """Return what a cause is called, with its rate."""
    return f"{kb.causes[cause].title} ({kb.causes[cause].per_1000.n:g})"


def _shows(g: Any, cause: str) -> dict[str, float]:
    """Return what a cause shows in a graph, with the strengths."""
    node = f"cause:{cause}"
    return {t: d["strength"] for t, d in sorted(g.succ[node].items()) if d["kind"] == "shows"}


def _findings(kb: model.KB, g: Any, causes: list[str]) -> list[Group]:
    """Return the findings of some causes under the checks that see them, what tells of the most trouble first."""
    shown: dict[str, dict[str, float]] = {}
    for cause in causes:
        for node, strength in _shows(g, cause).items():
            if not node.startswith("complaint:"):
                shown.setdefault(node, {})[cause] = strength
    groups: dict[str, list[str]] = {}
    for node in shown:
        seen_by = sorted(p for p in g.pred[node] if p.startswith("check:"))
        groups.setdefault(" / ".join(g.nodes[p]["title"] for p in seen_by) or WORKED_OUT, []).append(node)

    def weight(node: str) -> float:
        return sum(kb.causes[c].per_1000.n * s for c, s in shown[node].items())

    order = sorted(groups, key=lambda head: (-sum(map(weight, groups[head])), head))
    return [
        Group(head, [Row(g.nodes[n]["title"], shown[n]) for n in sorted(groups[head], key=lambda n: (-weight(n), n))])
        for head in order
    ]


def _told(kb: model.KB, g: Any, causes: list[str], complaint: str | None) -> str:
    """Return in words what a drawing shows: each cause with its rate, and what it shows most strongly."""
    out = [f"{len(causes)} causes, the most frequent first."]
    for cause in causes:
        shows = {t: s for t, s in _shows(g, cause).items() if t != f"complaint:{complaint}"}
        most = sorted(shows, key=lambda t: (-shows[t], t))[:MOST_TOLD]
        said = "; ".join(f"{g.nodes[t]['title']} ({shows[t]:.2g})" for t in most)
        record = kb.causes[cause]
        out.append(f"{record.title}, {record.per_1000.n:g} per 1000{f': {said}' if said else ''}.")
    return " ".join(out)


def dot(kb: model.KB, complaint: str | None = None) -> str:
    """Return the graph in the dot language, left to right."""
    g = part(kb, complaint)
    rows = ["digraph kb {", "  rankdir=LR;", "  node [shape=box];"]
    rows += [f"  {_quoted(n)} [label={_quoted(d['title'])}];" for n, d in g.nodes(data=True)]
    for a, b, d in g.edges(data=True):
        label = f"{d['kind']} {d['strength']:.2g}" if "strength" in d else d["kind"]
        rows.append(f"  {_quoted(a)} -> {_quoted(b)} [label={_quoted(label)}];")
    return "\n".join([*rows, "}", ""])


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def graphml(kb: model.KB, complaint: str | None = None) -> str:
    """Return the graph as GraphML; networkx reads it back to an equal graph."""
    return "\n".join(nx.generate_graphml(part(kb, complaint))) + "\n"


def markdown(kb: model.KB, complaint: str | None = None) -> str:
    """Return a Markdown page whose drawing is a fenced flow chart in text, which many readers of Markdown draw."""
    g = part(kb, complaint) if complaint else overview(kb)
    names = {n: f"n{i}" for i, n in enumerate(g)}
    head = kb.complaints[complaint].title if complaint else "All complaints and their causes"
    rows = [f"# {head}", "", "```mermaid", "flowchart LR"]
    rows += [f'  {names[n]}["{_escaped(d["title"])}"]' for n, d in g.nodes(data=True)]
    for a, b, d in g.edges(data=True):
        if d["kind"] in ("shows", "yields", "reads"):
            strong = d.get("strength", 1.0) >= 0.5
            rows.append(f"  {names[a]} {'-->' if strong else '-.->'} {names[b]}")
    return "\n".join([*rows, "```", "", "A dashed arrow: shown less often than not.", ""])


def _escaped(text: str) -> str:
    return text.replace("&", "#amp;").replace('"', "#quot;").replace("<", "#lt;").replace(">", "#gt;")


def drawn(kb: model.KB, complaint: str | None, suffix: str, width: float = PANEL) -> str:
    """Return the drawing in the form that a file name asks for.

    Parameters
    ----------
    kb : KB
    complaint : str, optional
    suffix : str
        One of `SUFFIXES`.
    width : float
        As for `svg`, which alone heeds it [px].
    """
    if suffix == ".svg":
        return svg(kb, complaint, width)
    return {".dot": dot, ".graphml": graphml, ".md": markdown}[suffix](kb, complaint)
