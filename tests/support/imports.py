"""The import graph of the package, read from the syntax trees: imports inside functions and under TYPE_CHECKING too."""

import ast
import re
from pathlib import Path

import networkx as nx

ROOT = Path(__file__).parents[2]


def modules(root: Path = ROOT) -> dict[str, Path]:
    """Return the project's modules by their dotted name without `dryfloor.`: `engine.case.state`, `cli.walk` for a package itself."""
    found = {}
    for top in ("engine", "cli"):
        for path in sorted((root / top).rglob("*.py")):
            parts = path.relative_to(root).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(name: str, path: Path, known: dict[str, Path]) -> set[str]:
    """Return the modules of the project that a module imports, anywhere in it."""
    package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    out = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            out |= {a.name.removeprefix("dryfloor.") for a in node.names if a.name.startswith("dryfloor.")}
        if not isinstance(node, ast.ImportFrom):
            continue
        if node.level:
            # The package `dryfloor` itself stands above `engine` and `cli`: one level more than these names have.
            above = ["dryfloor", *package][: len(package) + 2 - node.level]
            base = ".".join([*above, *([node.module] if node.module else [])])
        else:
            base = node.module or ""
        if base != "dryfloor" and not base.startswith("dryfloor."):
            continue
        for alias in node.names:
            full = f"{base}.{alias.name}".removeprefix("dryfloor.")
            out.add(full if full in known else base.removeprefix("dryfloor."))
    if name == "cli.main" and "cli.arguments" in known:
        # Commands are imported by the place that the parser names: whoever calls them is the main module.
        named = re.findall(r'"((?:commands|walk)\.\w+):', known["cli.arguments"].read_text("utf-8"))
        out |= {f"cli.{place}" for place in named}
    return {m for m in out if m in known and m != name}


def import_graph(root: Path = ROOT) -> "nx.DiGraph[str]":
    """Return the graph of modules: an arrow from whoever imports to what is imported."""
    known = modules(root)
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(known)
    graph.add_edges_from((name, other) for name, path in known.items() for other in imported(name, path, known))
    return graph


def package_of(module: str, known: dict[str, Path]) -> str:
    """Return the package of a module: `engine.case` for `engine.case.state`; a module that is a package's own file is in it."""
    return module if known[module].name == "__init__.py" else module.rpartition(".")[0]
