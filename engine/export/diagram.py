"""The part of the kb that a complaint touches, as a drawing: complaint, causes, what they show, the checks that see it.

One picture in four columns, laid out here; or the same graph as text for other tools: dot, GraphML, a Markdown page. Strength is
drawn as the width of a line and, where it is below even odds, as dashes; colour alone carries nothing.
"""

from typing import Any

import networkx as nx

from .. import model
from ..knowledge import graph
from .svg import Box, Connector, picture

COLUMNS = ("Complaint", "Causes", "What is seen", "Checks")
BOTH_SIDES = ("Causes", "Complaints", "Causes")
KINDS = {"complaint": 0, "cause": 1, "answer": 2, "side": 2, "rule": 2, "check": 3}
SWEEPS = 8
# A page takes so many findings; beyond that each cause keeps its strongest.
MOST_SEEN, STRONGEST = 48, 2
KEY = "thicker: shown more often; dashed: less often than not"
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


def columns(g: Any) -> list[list[str]]:
    """Return the nodes of each column, top to bottom, so that few lines cross: each sweep puts a node beside its neighbours.

    Parameters
    ----------
    g : DiGraph
        As `part` gives it; nodes of other kinds are left out.
    """
    out = [sorted(n for n in g if KINDS.get(n.partition(":")[0]) == k) for k in range(len(COLUMNS))]
    for sweep in range(SWEEPS):
        order = range(1, len(out)) if sweep % 2 == 0 else range(len(out) - 2, -1, -1)
        for k in order:
            other = out[k - 1] if sweep % 2 == 0 else out[k + 1]
            place = {n: i / max(1, len(other) - 1) for i, n in enumerate(other)}
            mid = {n: [place[m] for m in (*g.succ[n], *g.pred[n]) if m in place] for n in out[k]}
            now = {n: i / max(1, len(out[k]) - 1) for i, n in enumerate(out[k])}
            out[k].sort(key=lambda n: (sum(mid[n]) / len(mid[n]) if mid[n] else now[n], n))
    return out


def svg(kb: model.KB, complaint: str | None = None) -> str:
    """Return a drawing that stands alone: the part of a complaint in four columns, or complaints and causes of the whole kb.

    Parameters
    ----------
    kb : KB
    complaint : str, optional
        A complaint of the kb.
    """
    g = part(kb, complaint) if complaint else overview(kb)
    all_of = len(g)
    g = _telling(g)
    names, order = [*COLUMNS], columns(g)
    if not complaint:  # causes on both sides, or the page would be a strip
        names, order = [*BOTH_SIDES], [order[1][::2], order[0], order[1][1::2]]
    boxes = [[Box(node=n, text=g.nodes[n]["title"], kind=n.partition(":")[0]) for n in column] for column in order]
    shown = {b.node for column in boxes for b in column}
    lines = [
        Connector(a, b, d.get("strength", 0.0))
        for a, b, d in sorted(g.edges(data=True))
        if a in shown and b in shown and d["kind"] in ("shows", "yields", "reads")
    ]
    used = [(name, column) for name, column in zip(names, boxes, strict=True) if column]
    head = kb.complaints[complaint].title if complaint else "All complaints and their causes"
    left = f"; of each cause only the {STRONGEST} strongest findings, and {all_of - len(g)} others left out"
    note = left if len(g) < all_of else ""
    return picture(head, [name for name, _ in used], [column for _, column in used], lines, KEY + note)


def _telling(g: Any) -> Any:
    """Return a graph that fits on a page: where too much is seen, what each cause shows most strongly."""
    seen = {n for n in g if KINDS.get(n.partition(":")[0]) == 2}
    if len(seen) <= MOST_SEEN:
        return g
    out: nx.DiGraph[str] = nx.DiGraph(g)
    for cause in (n for n in g if n.startswith("cause:")):
        shown = [t for t in g.succ[cause] if t in seen and g.edges[cause, t]["kind"] == "shows"]
        weaker = sorted(shown, key=lambda t: (-g.edges[cause, t]["strength"], t))[STRONGEST:]
        out.remove_edges_from((cause, t) for t in weaker)
    kept = {t for a, t in out.edges if a.startswith("cause:") and t in seen}
    out.remove_nodes_from(seen - kept)
    out.remove_nodes_from([n for n in out if n.startswith("check:") and not out.succ[n]])
    return out


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


def drawn(kb: model.KB, complaint: str | None, suffix: str) -> str:
    """Return the drawing in the form that a file name asks for.

    Parameters
    ----------
    kb : KB
    complaint : str, optional
    suffix : str
        One of `SUFFIXES`.
    """
    return {".svg": svg, ".dot": dot, ".graphml": graphml, ".md": markdown}[suffix](kb, complaint)
