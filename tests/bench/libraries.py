"""What general libraries make of a two-layer network, each query in a process of its own with a cap on memory and time.

A server process per library imports it once; every query is a fork of it, so that one that runs out of memory harms nothing:

    python -m tests.bench.libraries pyagrum        # reads a query a line, as JSON, and writes an answer a line

A network is asked in two forms. `written`: as one would write it, a finding having all its causes as parents. `folded`: what factors
by cause is folded into the causes' own evidence, and the other findings are chains of two-parent ORs, so that no table is wide.
"""

import importlib.util
import os
import resource
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from .tabular import Form, Node, nodes, or_table
from .twolayer import Cause, Seen, TwoLayer

NAMES = {"pyagrum": "pyAgrum", "pgmpy": "pgmpy"}
MEMORY = 3 << 30  # what a query may take beside its library [bytes]
REPEATS = 3
TINY = TwoLayer(
    {"f": [0.5, 0.5]},
    {"a": Cause(["f"], [0.1, 0.2]), "b": Cause([], [0.1])},
    {"s": Seen(0.1, {"a": 0.5, "b": 0.5}, 1.0, 0.0)},
)


class Query(Struct):
    """One question to a library: all posteriors of a network, in `seconds` at most; timed `repeats` times where they are left."""

    network: TwoLayer
    form: Form
    seconds: float
    repeats: int = 1


class Answer(Struct):
    """What came of it: `ok`, `memory`, `time`, or what else went wrong; the seconds are a median of the repeats.

    `build` is making the network, `query` its inference and reading every cause's posterior off [s].
    """

    status: str
    present: dict[str, float] = {}
    build: float = 0.0
    query: float = 0.0


class Library:
    """A library, behind its server process; use it as a context."""

    def __init__(self, name: str) -> None:
        root = Path(__file__).parents[2]
        self.name = name
        command = [sys.executable, "-W", "ignore", "-m", f"{__package__}.libraries", name]
        environ = os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, cwd=root, env=environ
        )
        self._read()

    def _read(self) -> bytes:
        assert self.process.stdout
        line = self.process.stdout.readline()
        if not line:
            raise OSError(f"the process that holds {self.name} ended")
        return line

    def ask(self, network: TwoLayer, form: Form, seconds: float, repeats: int = 1) -> Answer:
        """Return what the library says of a network."""
        assert self.process.stdin
        self.process.stdin.write(msgspec.json.encode(Query(network, form, seconds, repeats)) + b"\n")
        self.process.stdin.flush()
        return msgspec.json.decode(self._read(), type=Answer)

    def __enter__(self) -> "Library":
        return self

    def __exit__(self, *_: object) -> None:
        assert self.process.stdin
        self.process.stdin.close()
        self.process.wait(20)


def installed() -> list[str]:
    """Return the libraries that can be imported here."""
    return [name for name in NAMES if importlib.util.find_spec(name)]


def pyagrum(query: Query) -> tuple[Any, Callable[[Any], dict[str, float]]]:
    """Return a network and the function that asks it, by lazy propagation."""
    import pyagrum as gum

    tables, findings, evidence = nodes(query.network, query.form)
    bn = gum.BayesNet()
    for name, node in tables.items():
        bn.add(gum.LabelizedVariable(name, "", len(node.table[0])))
        for parent in node.parents:
            bn.addArc(parent, name)
        # pyAgrum runs through its tables with the variable itself fastest, then the first parent.
        sizes = [len(tables[p].table[0]) for p in node.parents]
        bn.cpt(name).fillWith([x for row in _first_fastest(node.table, sizes) for x in row])
    for name, s in findings.items():
        bn.addNoisyORNet(gum.LabelizedVariable(name, "", 2), s.leak)
        for c, strength in s.links.items():
            bn.addWeightedArc(f"cause:{c}", name, strength)

    def ask(bn: Any) -> dict[str, float]:
        inference = gum.LazyPropagation(bn)
        inference.setEvidence(evidence)
        inference.setTargets({f"cause:{c}" for c in query.network.causes})
        inference.makeInference()
        return {c: float(inference.posterior(f"cause:{c}")[1]) for c in query.network.causes}

    return bn, ask


def _first_fastest(table: list[list[float]], sizes: list[int]) -> list[list[float]]:
    """Reorder the rows of a table from the last parent fastest to the first parent fastest."""
    import numpy as np

    order = np.arange(len(table)).reshape(sizes).transpose().ravel() if sizes else [0]
    return [table[i] for i in order]


def pgmpy(query: Query) -> tuple[Any, Callable[[Any], dict[str, float]]]:
    """Return a network and the function that asks it, by variable elimination, cause by cause.

    Asked for several variables at once it builds their joint table, and its junction tree does the same: that fits nowhere here.

    A likelihood is a child of its variable that is seen to be on, which is what soft evidence means.
    """
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    tables, findings, evidence = nodes(query.network, query.form)
    for name, s in findings.items():
        if len(s.links) > 40:  # the list of rows alone would outgrow any memory
            raise MemoryError
        tables[name] = Node([f"cause:{c}" for c in s.links], or_table(s.leak, list(s.links.values())))
    certain = {}
    for name, likelihood in evidence.items():
        if 0.0 in likelihood:
            certain[name] = int(likelihood[0] == 0.0)
        else:
            most = max(likelihood)
            tables[f"{name}!"] = Node([name], [[1 - x / most, x / most] for x in likelihood])
            certain[f"{name}!"] = 1
    model = DiscreteBayesianNetwork([(p, name) for name, node in tables.items() for p in node.parents])
    model.add_nodes_from(tables)
    for name, node in tables.items():
        columns = [list(column) for column in zip(*node.table, strict=True)]
        sizes = [len(tables[p].table[0]) for p in node.parents]
        model.add_cpds(TabularCPD(name, len(columns), columns, node.parents or None, sizes or None))

    def ask(model: Any) -> dict[str, float]:
        inference = VariableElimination(model)
        out = {}
        for c in query.network.causes:
            found = inference.query([f"cause:{c}"], evidence=certain, show_progress=False)
            out[c] = float(found.values[1])
        return out

    return model, ask


WAYS = {"pyagrum": pyagrum, "pgmpy": pgmpy}


def answer(name: str, query: Query) -> Answer:
    """Ask a library in this process."""
    build, asking, present = [], [], {}
    begun = time.perf_counter()
    for n in range(query.repeats):
        start = time.perf_counter()
        network, ask = WAYS[name](query)
        built = time.perf_counter()
        present = ask(network)
        asking.append(time.perf_counter() - built)
        build.append(built - start)
        if (time.perf_counter() - begun) * (n + 2) / (n + 1) > query.seconds:
            break
    return Answer("ok", present, sorted(build)[len(build) // 2], sorted(asking)[len(asking) // 2])


def _capped(name: str, query: Query, out: int) -> None:
    """Answer a query under the cap, and write it down; never returns."""
    try:
        now = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (now + MEMORY, now + MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        found = answer(name, query)
    except MemoryError:
        found = Answer("memory")
    except Exception as wrong:
        said = f"{type(wrong).__name__}: {wrong}"
        full = "alloc" in said or "SizeError" in said or "allocate memory" in said
        found = Answer("memory" if full else said[:200])
    with os.fdopen(out, "wb") as stream:
        stream.write(msgspec.json.encode(found))
    os._exit(0)


def forked(name: str, query: Query) -> Answer:
    """Answer a query in a fork of this process; kill it when its time is up."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        _capped(name, query, writer)
    os.close(writer)
    raw, end = b"", time.monotonic() + query.seconds
    while True:
        ready, _, _ = select.select([reader], [], [], max(0.0, end - time.monotonic()))
        part = os.read(reader, 1 << 20) if ready else b""
        if not part:
            break
        raw += part
    late = not raw and time.monotonic() >= end
    if late:
        os.kill(child, signal.SIGKILL)
    os.close(reader)
    _, status = os.waitpid(child, 0)
    if late:
        return Answer("time")
    if not raw:  # a C++ library that could not get memory ends its process
        return Answer("memory" if os.WIFSIGNALED(status) else "ended without a word")
    return msgspec.json.decode(raw, type=Answer)


def serve(name: str) -> None:
    """Answer a query a line until the input ends."""
    answer(name, Query(TINY, "folded", 60.0))  # what is imported late is imported now
    say: Callable[[bytes], int] = sys.stdout.buffer.write
    say(b"ready\n")
    sys.stdout.flush()
    for line in sys.stdin.buffer:
        say(msgspec.json.encode(forked(name, msgspec.json.decode(line, type=Query))) + b"\n")
        sys.stdout.flush()


if __name__ == "__main__":
    serve(sys.argv[1])
