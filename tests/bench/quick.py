"""How quick it is: the first question, the next card, the kb, memory, what is downloaded, and the posterior beside two libraries."""

import gc
import shutil
import tempfile
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import msgspec
import numpy as np

from dryfloor.engine.case.case_file import dump
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import Network
from dryfloor.engine.inference.elimination import buckets
from dryfloor.engine.inference.posterior import infer_by_fact
from dryfloor.engine.knowledge.cache import load_cached
from dryfloor.engine.knowledge.load import load_kb

from . import processes, walks
from .cases import case
from .libraries import NAMES, REPEATS, Library, installed
from .right import FORMS
from .table import Table
from .timing import COLUMNS, at, cells, figures, shown, timed
from .twolayer import TwoLayer

SUMMARY = "first question, next card, posterior, load, memory and download, beside a bare interpreter and two libraries"
FIRST_AIM, PROMPT_AIM, COLD_AIM, MEMORY_AIM, DOWNLOAD_AIM = 4.0, 1.5, 0.150, 120.0, 40.0
LIBRARY_AIM = {"pyagrum": 20.0, "pgmpy": 500.0}
AHEAD_AIM = 0.030


class Part(msgspec.Struct):
    """Rows of the table with what is beside each, notes on the aims, and the numbers."""

    rows: list[list[str]] = []
    notes: list[str] = []
    data: dict[str, Any] = {}

    def row(self, name: str, times: list[float], beside: str = "") -> None:
        """Enter some times [s]."""
        if times:
            self.rows.append([name, *cells(times), beside])
            self.data[name] = figures(times)

    def aim(self, name: str, value: float, aim: float, unit: str, most: bool = True) -> None:
        """Enter whether an aim was met."""
        met = value <= aim if most else value >= aim
        self.notes.append(
            f"{name}: {value:.3g}{unit}; aim {'at most' if most else 'at least'} {aim:g}{unit}: {'met' if met else 'MISSED'}."
        )
        self.data[name] = value


def run(quick: bool) -> Table:
    """Measure everything; small samples if quick."""
    network = Network(load_kb())
    asked, thinking, loading = (
        posteriors(network, 8 if quick else 48, 3.0 if quick else 10.0),
        cards(network, 1 if quick else 4),
        loads(3 if quick else 10),
    )
    with processes.installed() as where:
        begun, talked, brought = (
            starts(where, 10 if quick else 40),
            held(where, network, 2 if quick else 12),
            fetched(where),
        )
        brought.notes += where.notes
    parts = [begun, thinking, talked, loading, brought, asked]
    return Table(
        title="Quick: from a keystroke to what is on screen",
        columns=["what", *COLUMNS, "beside it"],
        rows=[row for p in parts for row in p.rows],
        notes=[note for p in parts for note in p.notes],
        data={k: v for p in parts for k, v in p.data.items()},
    )


def starts(where: processes.Installed, times: int) -> Part:
    """Measure starts by turns: bare interpreters that wait for input, and the program until its first question and a key at its prompt."""
    bare = [where.python, "-c", "input('> ')"]
    editing = [where.python, "-c", "import prompt_toolkit; input('> ')"]
    took: dict[str, list[float]] = {"bare": [], "editing": [], "question": [], "prompt": [], "kept": []}
    new = where.environ | {"DRYFLOOR_DATA_DIR": str(where.folder / "new")}
    processes.keep_a_case(where)
    for _ in range(times):
        took["bare"] += processes.until(bare, [processes.PROMPT], where.environ, where.folder)
        took["editing"] += processes.until(editing, [processes.PROMPT], where.environ, where.folder, "q")[1:]
        texts = [processes.FIRST, processes.PROMPT]
        took["kept"] += processes.until(where.program(), ["\n"], where.environ, where.folder)
        question, _, prompt = processes.until(where.program(), texts, new, where.folder, "q")
        shutil.rmtree(where.folder / "new", ignore_errors=True)
        took["question"].append(question)
        took["prompt"].append(prompt)
    out = Part()
    base = at(took["bare"], 0.5)
    beside = at(took["prompt"], 0.5) / at(took["editing"], 0.5)
    ratio = {k: at(v, 0.5) / base for k, v in took.items()}
    out.row(
        "first question on screen, whole process", took["question"], f"{ratio['question']:.2f} x `python -c 'input()'`"
    )
    out.row(
        "the same, where an open case is offered",
        took["kept"],
        f"{ratio['kept']:.2f} x: the store is looked into first",
    )
    out.row(
        "a key typed at its prompt is echoed",
        took["prompt"],
        f"{ratio['prompt']:.2f} x; {beside:.2f} x the next line",
    )
    out.row("`python -c 'import prompt_toolkit; input()'`", took["editing"], f"{ratio['editing']:.2f} x")
    out.row("`python -c 'input()'`", took["bare"], "1")
    out.aim(
        "First question, times a bare interpreter that waits for input (medians)", ratio["question"], FIRST_AIM, " x"
    )
    out.aim("The same with an open case in the store, whose offer comes first", ratio["kept"], FIRST_AIM, " x")
    out.aim("A key echoed at the prompt, times the line editor alone (medians)", beside, PROMPT_AIM, " x")
    return out


def cards(network: Network, count: int) -> Part:
    """Time every advice of walks at made-up sites: all complaints, all roles, each walk from a cold start."""
    first: list[float] = []
    later: list[float] = []
    ahead: list[float] = []
    values: list[float] = []
    worst: tuple[float, str] = (0.0, "")
    for role, complaint, installation in walks.installations(network, count):
        walked = walks.walk(network.kb, role, complaint, installation)
        first.append(walked.times[0])
        later += walked.times[1:]
        known, typed = walks.foreseen(network.kb, walked)
        ahead += known
        values += typed
        slowest = max(walked.times)
        if slowest > worst[0]:
            worst = slowest, f"{complaint}, {role}, step {walked.times.index(slowest) + 1}"
    out = Part()
    out.row(
        "complaint to first card, cold", first, f"{len(network.kb.complaints)} complaints x {len(walks.ROLES)} roles"
    )
    out.row("answer to next card, cold", later, f"slowest: {worst[1]}")
    out.aim("Answer to next card, cold, p99", 1000 * at(first + later, 0.99), 1000 * COLD_AIM, " ms")
    share = f"{100 * len(ahead) / max(1, len(ahead) + len(values)):.0f} in 100 answers"
    out.row("answer to next card, worked ahead", ahead, f"{share}: those that a card offers, once it was read")
    out.row("answer to next card, not foreseen", values, "typed values; at a terminal, with the rest worked ahead")
    out.aim("Answer to next card, worked ahead, p99", 1000 * at(ahead, 0.99), 1000 * AHEAD_AIM, " ms")
    return out


def loads(times: int) -> Part:
    """Time the kb: read from YAML, from the cache, and compiled to its network."""
    out = Part()
    out.row("kb from YAML", timed(load_kb, max(2, times // 3)))
    with tempfile.TemporaryDirectory() as name:
        load_cached(None, Path(name))
        out.row("kb from the cache", timed(lambda: load_cached(None, Path(name)), 5 * times))
    kb = load_kb()
    out.row("kb to network", timed(lambda: Network(kb), times))
    return out


def held(where: processes.Installed, network: Network, count: int) -> Part:
    """Hold whole walks with the real program through pipes: each line to the next prompt, and the most memory it took."""
    every = [*walks.installations(network, 1)]
    picked = every[:: max(1, len(every) // count)][:count]
    first: list[float] = []
    later: list[float] = []
    memory: list[float] = []
    lines = 0
    for role, complaint, installation in picked:
        walked = walks.walk(network.kb, role, complaint, installation)
        typed = [walks.typed(network.kb, e) for e in walked.events[2:]]
        talk = processes.talk(where, dump(walked.events[:2]), typed)
        first += talk.times[:1]
        later += talk.times[1:]
        memory.append(talk.memory)
        lines += talk.taken
    out = Part()
    reading = f"first card read for {processes.READING:g} s"
    out.row("line typed to next prompt, real program, first line", first, f"{len(picked)} walks, {reading}")
    out.row("line typed to next prompt, real program, later lines", later, f"{lines} lines, no pause between them")
    if not any(memory):
        out.notes.append("The memory of a walk was not measured: this system does not say.")
        return out
    out.aim("Peak memory of a walk, real program, the largest", max(memory), MEMORY_AIM, " MB")
    return out


def fetched(where: processes.Installed) -> Part:
    """Say what an installation downloads."""
    out = Part()
    size = processes.downloads(where)
    if size is None:
        out.notes.append("What `pip install .` downloads was not measured: no registry could be reached.")
    else:
        out.aim("What `pip install .` downloads", size, DOWNLOAD_AIM, " MB")
    return out


def posteriors(network: Network, count: int, seconds: float) -> Part:
    """Time the same posteriors here and in each library that is installed, on networks pruned to the evidence by hand."""
    complaints = [*network.kb.complaints]
    cases = [
        case(network, complaints[k % len(complaints)], 1 + 5 * k % 12, k // 3 % 2 == 0, np.random.default_rng([3, k]))
        for k in range(count)
    ]
    asked = [made for _, made in cases]
    ours: list[float] = []
    from_answers: list[float] = []
    gc.collect()
    for state, _ in cases:
        e = gather_evidence(network, state)
        ours.append(
            at(
                timed(
                    lambda e=e: infer_by_fact(e.tables, e.facts.shares, e.findings, e.cures),
                    REPEATS,
                    buckets.cache_clear,
                ),
                0.5,
            )
        )
        from_answers.append(ours[-1] + at(timed(lambda state=state: gather_evidence(network, state), REPEATS), 0.5))
    out = Part()
    out.row("posterior of every cause, order of elimination included", ours, "1")
    out.row("the same, from the answers on", from_answers, "evidence gathered from the kb")
    with ExitStack() as stack:
        for name in installed():
            library = stack.enter_context(Library(name))
            _beside(out, library, asked, ours, seconds)
    missing = [NAMES[n] for n in NAMES if n not in installed()]
    if missing:
        out.notes.append(f"Not installed here, so not timed: {', '.join(missing)} (extra `bench`).")
    return out


def _beside(out: Part, library: Library, asked: list[TwoLayer], ours: list[float], seconds: float) -> None:
    """Enter a library's times, beside the engine's on the networks that it could do."""
    for form, said in FORMS.items():
        found = [library.ask(network, form, seconds, REPEATS) for network in asked]
        done = [n for n, a in enumerate(found) if a.status == "ok"]
        times = [found[n].query for n in done]
        name = f"{NAMES[library.name]}, network {said}"
        if not done:
            out.notes.append(f"{name}: none of {len(asked)} fitted into memory and {seconds:.0f} s.")
            continue
        ratio = at(times, 0.5) / at([ours[n] for n in done], 0.5)
        whole = at([found[n].build + found[n].query for n in done], 0.5)
        built = f"{shown(whole)} with making the network"
        out.row(
            f"the same by {name}",
            times,
            f"{ratio:.0f} x ours on the {len(done)} of {len(asked)} that it could do; {built}",
        )
        out.aim(
            f"Posterior, {name}, times ours (medians of the {len(done)} of {len(asked)} it could do)",
            ratio,
            LIBRARY_AIM[library.name],
            " x",
            False,
        )
