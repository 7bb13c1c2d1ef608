"""The house: packages as DEVELOPERS.md draws them, arrows one way, one name for one thing, docs that are true of the code."""

import ast
import re
import tomllib
from collections import defaultdict

import networkx as nx
import pytest

from tests.support.imports import import_graph, modules, package_of
from tests.support.places import ROOT

MOST_MODULES = 16  # of a package: "about 15"
MOST_README = 230  # lines
ROW = re.compile(r"^\| `((?:cli|engine)[\w.]*)` \| (.+?) \|$", re.M)
KNOWN = modules()
TABLE = ROW.findall((ROOT / "DEVELOPERS.md").read_text("utf-8"))
RANK = {name: n for n, (name, _) in enumerate(TABLE)}
# What every module of a kind has by its name: a command's way in, and what argparse calls.
SHARED = {"TYPE_CHECKING"}


def place(module: str) -> str:
    """Return the row of the table that a module belongs to: its own, or its package's."""
    return module if module in RANK else package_of(module, KNOWN)


def docstring(name: str) -> str:
    """Return the first line of a package's or a module's docstring."""
    return (ast.get_docstring(ast.parse(KNOWN[name].read_text("utf-8"))) or "").split("\n")[0]


@pytest.fixture(scope="module")
def graph():
    """Who imports whom, read once."""
    return import_graph()


def test_no_circle_of_files_and_none_of_packages(graph):
    assert len(graph) > 200
    assert [sorted(c) for c in nx.strongly_connected_components(graph) if len(c) > 1] == []
    packages = nx.DiGraph((place(a), place(b)) for a, b in graph.edges if place(a) != place(b))
    assert [sorted(c) for c in nx.strongly_connected_components(packages) if len(c) > 1] == []


def test_every_arrow_runs_down_the_table(graph):
    wrong = [(a, b) for a, b in graph.edges if place(a) != place(b) and RANK[place(a)] >= RANK[place(b)]]
    assert wrong == []


def test_the_table_has_every_package_and_says_what_its_docstring_says():
    packages = {m for m, path in KNOWN.items() if path.name == "__init__.py"} - {"cli", "engine"}
    loose = {m for m in KNOWN if m.count(".") == 1 and m not in packages}
    assert set(RANK) == packages | loose
    assert {name: docstring(name) for name, _ in TABLE} == dict(TABLE)


def test_no_package_is_a_heap():
    count = defaultdict(int)
    for module, path in KNOWN.items():
        if path.name != "__init__.py":
            count[package_of(module, KNOWN)] += 1
    assert {p: n for p, n in count.items() if n > MOST_MODULES} == {}


def test_a_package_is_no_list_of_re_exports():
    found = [m for m, path in KNOWN.items() if path.name == "__init__.py" and len(ast.parse(path.read_text()).body) > 1]
    assert found == []


def test_no_class_name_means_two_things():
    """Nor does a module's name, but where a calculator, a command or a rendering is called after what it is about."""
    classes = defaultdict(set)
    for module, path in KNOWN.items():
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                classes[node.name].add(module)
    assert {name: sorted(where) for name, where in classes.items() if len(where) > 1} == {}


def test_the_graph_sees_what_hides_in_functions_and_under_type_checking(tmp_path):
    """The guard itself: a circle that only a function body closes is one."""
    (tmp_path / "engine" / "a").mkdir(parents=True)
    (tmp_path / "cli").mkdir()
    for name, text in {
        "engine/__init__.py": "",
        "cli/__init__.py": "",
        "engine/a/__init__.py": "",
        "engine/a/one.py": "from . import two\n",
        "engine/a/two.py": "def f():\n    from ..a.one import g\n",
        "engine/b.py": "TYPE_CHECKING = False\nif TYPE_CHECKING:\n    from .a.two import f\n",
        "cli/main.py": "from ..engine import b\nimport dryfloor.engine.a.one\n",
    }.items():
        (tmp_path / name).write_text(text)
    graph = import_graph(tmp_path)
    assert sorted(graph.edges) == [
        ("cli.main", "engine.a.one"),
        ("cli.main", "engine.b"),
        ("engine.a.one", "engine.a.two"),
        ("engine.a.two", "engine.a.one"),
        ("engine.b", "engine.a.two"),
    ]


def test_the_readme_is_for_users_and_short():
    assert len((ROOT / "README.md").read_text("utf-8").splitlines()) <= MOST_README


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_file_that_a_page_names_is_there(page):
    text = (ROOT / page).read_text("utf-8")
    named = set(re.findall(r"`((?:cli|engine|kb|tests|\.ci)/[\w./-]+)`", text)) | set(
        re.findall(r"\]\(((?!http)[\w./-]+)\)", text)
    )
    assert named
    assert sorted(n for n in named if not (ROOT / n).exists()) == []


def test_every_package_is_installed():
    listed = set(tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]["packages"])
    packages = {f"dryfloor.{m}" for m, path in KNOWN.items() if path.name == "__init__.py"}
    assert packages - listed == set()
