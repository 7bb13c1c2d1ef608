"""How the cost grows with the kb: what is read once may grow with it, what an answer costs must follow the part that a case touches.

Every size is measured in processes of its own, so that the memory of one is not that of another. Times are processor time of one
thread: what a quiet machine takes by the clock, less what it waits for the disk.
"""

import cProfile
import gc
import hashlib
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec

from dryfloor.engine import model
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.case.state import fold
from dryfloor.engine.diagnosis.evidence import gather_evidence
from dryfloor.engine.diagnosis.network import Network, network_of
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.inference.posterior import IntractableError, infer_by_fact
from dryfloor.engine.knowledge import graph
from dryfloor.engine.knowledge.cache import load_cached
from dryfloor.engine.language.matching import hear
from dryfloor.engine.language.phrases import index_of
from tests.support.places import ROOT

from . import processes, synthetic
from .table import Table

SUMMARY = "what is read once grows with the kb, an answer costs what the case touches"
SIZES, QUICK = (100, 1_000, 10_000), (100, 1_000)
ROLES: tuple[model.Role, ...] = ("homeowner", "desk", "technician")
MOST = 12  # answers of one walk
POSITIVES = (1, 2, 4, 8, 12, 16)


def run(quick: bool) -> list[Table]:
    """Return two tables: a row for each size of kb, and a row for each number of abnormal answers."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sizes: dict[str, dict[str, Any]] = {"shipped": _measured(None, folder / "cache-shipped", quick)}
        for size in QUICK if quick else SIZES:
            synthetic.write(folder / str(size), size)
            sizes[str(size)] = _measured(folder / str(size), folder / f"cache-{size}", quick)
        middle = folder / "1000", folder / "cache-1000"
        rows = {
            kb: _child("positives", *where, quick)
            for kb, where in (("shipped", (None, folder / "cache-shipped")), ("synthetic, 1000 causes", middle))
        }
    return [_sizes(sizes), _positives(rows)]


def _measured(folder: Path | None, cache: Path, quick: bool) -> dict[str, Any]:
    return _child("cold", folder, cache, quick) | _child("use", folder, cache, quick)


def _child(what: str, folder: Path | None, cache: Path, quick: bool) -> Any:
    """Return what one process of its own measured."""
    argv = [
        sys.executable,
        "-m",
        "tests.bench.growth",
        what,
        str(folder or "shipped"),
        str(cache),
        "quick" if quick else "full",
    ]
    done = subprocess.run(argv, cwd=ROOT, env=os.environ | {"OMP_NUM_THREADS": "1"}, stdout=subprocess.PIPE, check=True)
    return json.loads(done.stdout)


def peak() -> float:
    """Return the most memory that this process has held [MB].

    Linux counts to a child what its parent held when it was started, unless it is asked for the program's own memory.
    """
    return processes.peak(os.getpid()) or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def timed(work: Callable[..., Any], *given: Any) -> tuple[Any, float]:
    """Return what some work gives, and the processor time that it took [s]."""
    start = time.process_time()
    out = work(*given)
    return out, time.process_time() - start


def cold(folder: Path | None, cache: Path) -> dict[str, Any]:
    """Measure YAML to kb, every reference checked and the cache written."""
    kb, seconds = timed(load_cached, folder, cache)
    (kept,) = cache.glob("kb-*.json")
    return {"causes": len(kb.causes), "cold": seconds, "cold_peak": peak(), "cache": kept.stat().st_size}


def use(folder: Path | None, cache: Path, quick: bool) -> dict[str, Any]:
    """Measure what a process does with a compiled kb: load it, build the net and what hears, listen, and walk."""
    bare = peak()
    loads = [timed(load_cached, folder, cache)[1] for _ in range(1 if quick else 3)]
    kb = load_cached(folder, cache)
    network, net_seconds = timed(network_of, kb)
    _, index = timed(index_of, kb)
    complaints = list(kb.complaints)[: synthetic.COMPLAINTS]
    said = [words for c in complaints for words in kb.complaints[c].hear]
    # A word more than a phrase of the kb, so that nothing heard before answers for it.
    heard = [timed(hear, f"today {words}", kb)[1] for words in said[: 20 if quick else 100]]
    first, later, digest = [], [], hashlib.sha256()
    for again in range(1 if quick else 4):
        network.forget()
        for complaint in complaints:
            for role in ROLES:
                times, said_so = walked(kb, complaint, role, again)
                first.append(times[0])
                later += times[1:]
                digest.update(said_so)
    touched = [touch(network, c) for c in kb.complaints]
    return {
        "bare": bare,
        "cached": statistics.median(loads),
        "net": net_seconds,
        "index": index,
        "hear": heard,
        "first": first,
        "later": later,
        "calls": calls(network, complaints),
        "advice": digest.hexdigest(),
        "touched": {k: [t[k] for t in touched] for k in touched[0]},
        "peak": peak(),
    }


def touch(network: Network, complaint: str) -> dict[str, int]:
    """Return how much of a kb a complaint touches: its causes, the checks that read what they show, the facts that bear on them."""
    causes = graph.relevant(network.graph, [complaint])
    return {
        "causes": len(causes),
        "checks": len(network.checks_for(causes)),
        "facts": len(graph.facts_for(network.graph, causes)),
    }


def calls(network: Network, complaints: list[str]) -> float:
    """Return how many functions an answer calls, in Python and below it: work without a clock, the words of the case being heard already."""
    network.forget()
    count, answers = 0, 0
    # The collector comes when it likes, and what others hang on to it would be counted.
    gc.collect()
    gc.disable()
    try:
        for complaint in complaints:
            profile = cProfile.Profile()
            times, _ = profile.runcall(walked, network.kb, complaint, "technician", 0)
            answers += len(times)
            count += sum(entry.callcount for entry in profile.getstats())  # type: ignore[attr-defined]
    finally:
        gc.enable()
    return count / answers


def begun(kb: model.KB, complaint: str, role: model.Role) -> list[Event]:
    """Return a case of one complaint, said in words and confirmed, its gates cleared."""
    record = kb.complaints[complaint]
    return [
        Event(role=role),
        Event(heard=record.hear[0], complaints=[complaint]),
        *(Event(cleared=g, word=kb.hazards[g].gate.word) for g in record.gates),  # type: ignore[union-attr]
    ]


def walked(kb: model.KB, complaint: str, role: model.Role, seed: int) -> tuple[list[float], bytes]:
    """Return how long each advice of a walk took [s], the first one after the complaint, and what all of them said."""
    dice = random.Random(f"{complaint}/{role}/{seed}")
    events, times, said = begun(kb, complaint, role), [], []
    while len(times) <= MOST:
        advice, seconds = timed(advise, kb, events)
        times.append(seconds)
        said.append(msgspec.json.encode(advice))
        step = advice.next
        if step is None or step.kind in ("hand-on", "stop") or step.proof:
            break
        events.append(reply(kb, step.kind, step.id, dice))
    return times, b"\n".join(said)


def reply(kb: model.KB, kind: str, name: str, dice: random.Random) -> Event:
    """Return what somebody says to a step: every second answer is the normal one, and no remedy can be done."""
    if kind == "gate":
        return Event(cleared=name, word=kb.hazards[name].gate.word)  # type: ignore[union-attr]
    if kind == "remedy":
        return Event(remedy=name, did="could-not")
    if kind == "fact":
        return Event(fact=name, is_=dice.choice(list(kb.facts[name].options)))
    check = kb.checks[name]
    if check.kind == "measure":
        rule = kb.rules[check.rule or ""]
        return Event(check=name, value=dice.choice([limit for limit in (rule.min, rule.max) if limit]))
    answers = list(check.answers)
    return Event(check=name, answer=dice.choice((answers[-1], dice.choice(answers))))


def abnormal(network: Network, complaint: str, count: int) -> list[Event]:
    """Return so many abnormal answers to looks and questions about a complaint, the same ones first; fewer where there are no more."""
    kb = network.kb
    names = [
        c for c in network.checks_for(graph.relevant(network.graph, [complaint])) if kb.checks[c].kind != "measure"
    ]
    random.Random(complaint).shuffle(names)
    return [Event(check=c, answer=next(iter(kb.checks[c].answers))) for c in names[:count]]


def positives(folder: Path | None, cache: Path, quick: bool) -> dict[int, dict[str, Any]]:
    """Measure the posterior and the advice with more and more positive findings, the complaint being the first."""
    kb = load_cached(folder, cache)
    network = network_of(kb)
    out: dict[int, dict[str, Any]] = {}
    for count in (1, 4, 16) if quick else POSITIVES:
        row: dict[str, Any] = {"causes": [], "posterior": [], "advice": [], "memory": [], "refused": 0}
        for complaint in list(kb.complaints)[: 3 if quick else 16]:
            events = [*begun(kb, complaint, "technician"), *abnormal(network, complaint, count - 1)]
            try:
                while (step := advise(kb, events).next) and step.kind == "gate":
                    events.append(reply(kb, "gate", step.id, random.Random(0)))
                e = gather_evidence(network, fold(kb, events))
                row["causes"].append(len(e.causes))
                row["posterior"].append(timed(infer_by_fact, e.tables, e.facts.shares, e.findings, e.cures)[1])
                row["advice"].append(timed(advise, kb, events)[1])
                tracemalloc.start()
                advise(kb, events)
                row["memory"].append(tracemalloc.get_traced_memory()[1] / 1e6)
                tracemalloc.stop()
            except (IntractableError, InvalidInputError):
                row["refused"] += 1
        out[count] = row
    return out


def spread(times: list[float]) -> str:
    """Return times as median, 99th percentile, worst [ms] and how many.

    Examples
    --------
    >>> spread([0.001, 0.002, 0.009])
    '2.0, 9.0, 9.0 (3)'
    """
    ranked = sorted(times)
    return f"{1000 * statistics.median(ranked):.1f}, {1000 * ranked[int(0.99 * len(ranked))]:.1f}, {1000 * ranked[-1]:.1f} ({len(ranked)})"


def _sizes(sizes: dict[str, dict[str, Any]]) -> Table:
    rows = [[name, *_cells(found)] for name, found in sizes.items()]
    made = [found for name, found in sizes.items() if name != "shipped"]
    small, large = made[0], made[-1]
    more = large["causes"] - small["causes"]
    ratio = {k: statistics.median(large[k]) / statistics.median(small[k]) for k in ("hear", "first", "later")}
    ratio["calls"] = large["calls"] / small["calls"]
    once = {k: (large[k] - small[k]) / more for k in ("cold", "cached", "net", "index", "cache", "peak", "cold_peak")}
    same = len({found["advice"] for found in made}) == 1
    notes = [
        f"{large['causes'] // small['causes']} times the causes: median of the first answer {ratio['first']:.2f} times, of later answers "
        f"{ratio['later']:.2f} times, of hearing a phrase {ratio['hear']:.2f} times; functions called for an answer {ratio['calls']:.3f} times. Aim for answers: about 1.",
        f"What is read once, for each cause more: cold {1e3 * once['cold']:.2f} ms, from cache {1e3 * once['cached']:.3f} ms, net "
        f"{1e3 * once['net']:.3f} ms, hear index {1e3 * once['index']:.3f} ms, cache {once['cache'] / 1e3:.2f} kB, memory in use "
        f"{1e3 * once['peak']:.0f} kB, while reading YAML {1e3 * once['cold_peak']:.0f} kB.",
        f"The advice of the timed walks in the made-up kbs is {'the same byte for byte' if same else 'NOT the same'} in every size: "
        "the first district is the same in all of them.",
        "Processor time of one thread; a walk names its complaint in words, with its gates cleared, and no remedy of it can be done. "
        "A listed cause of the made-up kbs is rarer than one of the shipped kb, so fewer joint explanations are listed.",
    ]
    columns = [
        "causes", "touched by a complaint, median and most: causes", "checks", "facts", "cold, from YAML [s]", "from cache [s]",
        "cache [MB]", "net [s]", "hear index [s]", "hear a phrase [ms]", "first answer [ms]", "later answers [ms]",
        "functions called for an answer", "memory in use [MB]", "while reading YAML [MB]",
    ]  # fmt: skip
    data = {"sizes": sizes, "ratio": ratio, "per_cause": once, "same_advice": same}
    return Table(
        title="How it grows with the kb (times: median, p99, worst, n)",
        columns=columns,
        rows=rows,
        notes=notes,
        data=data,
    )


def _cells(found: dict[str, Any]) -> Iterator[str]:
    yield from (f"{statistics.median(n):.0f}, {max(n)}" for n in found["touched"].values())
    yield from (
        f"{found['cold']:.1f}",
        f"{found['cached']:.2f}",
        f"{found['cache'] / 1e6:.1f}",
        f"{found['net']:.2f}",
        f"{found['index']:.2f}",
    )
    yield from (spread(found[k]) for k in ("hear", "first", "later"))
    yield f"{found['calls']:.0f}"
    yield from (f"{found['peak']:.0f}", f"{found['cold_peak']:.0f}")


def _positives(kbs: dict[str, dict[str, dict[str, Any]]]) -> Table:
    rows = [
        [
            kb,
            count,
            f"{statistics.median(r['causes']):.0f}, {max(r['causes'])}",
            spread(r["posterior"]),
            spread(r["advice"]),
            f"{max(r['memory']):.1f}",
        ]
        for kb, found in kbs.items()
        for count, r in found.items()
    ]
    refused = sum(r["refused"] for found in kbs.values() for r in found.values())
    notes = [
        "A technician's case of one complaint and abnormal answers to looks drawn from those about it; the complaint is the first "
        "positive. Memory: the most that one advice holds beyond the kb.",
        f"Refused as too entangled: {refused}.",
    ]
    columns = [
        "kb",
        "positives",
        "causes in play, median and most",
        "posterior [ms]",
        "advice [ms]",
        "memory of an advice [MB]",
    ]
    return Table(
        title="From 1 to 16 positives (times: median, p99, worst, n)",
        columns=columns,
        rows=rows,
        notes=notes,
        data={"kbs": kbs},
    )


def main(argv: list[str]) -> None:
    """Measure in a process of its own: what, the kb's folder or `shipped`, the folder of its cache, quick or full."""
    folder, cache, quick = None if argv[1] == "shipped" else Path(argv[1]), Path(argv[2]), argv[3] == "quick"
    found: Any = (
        cold(folder, cache)
        if argv[0] == "cold"
        else {"use": use, "positives": positives}[argv[0]](folder, cache, quick)
    )
    print(json.dumps(found))


if __name__ == "__main__":
    main(sys.argv[1:])
