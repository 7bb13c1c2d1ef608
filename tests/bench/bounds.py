"""What the bound on thinking admits at its worst, in time and memory, and what a long case costs."""

import json
import random
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import msgspec
from hypothesis import HealthCheck, Phase, given, settings, target
from hypothesis import strategies as st

from dryfloor.engine import effort, model
from dryfloor.engine.advise import advise
from dryfloor.engine.case.events import Event
from dryfloor.engine.errors import InvalidInputError
from dryfloor.engine.knowledge.load import load_kb
from dryfloor.engine.reports.handover import handover
from dryfloor.engine.reports.report import report
from tests.support.heavy_cases import abnormal, all_abnormal, alternating, remedied
from tests.support.places import ROOT

from . import growth
from .table import Table

SUMMARY = "the worst that the bound on thinking admits, and long cases"
AIM_MS, AIM_MB = 1000.0, 300.0
EVENTS, QUICK = (100, 1_000, 9_990), (100, 1_000)
MANY = 120  # answers
CASES = 12  # of those that a search looked at, the dearest ones are timed
WORK: dict[str, Callable[[model.KB, list[Event]], Any]] = {"advise": advise, "hand-over": handover, "report": report}


def run(quick: bool) -> list[Table]:
    """Return two tables: the worst found within the bound, and the cost of a case by its number of events."""
    kb = load_kb()
    return [_worst(kb, quick), _long(kb, quick)]


def measured(what: str, events: list[Event]) -> dict[str, Any]:
    """Return the processor time [s] and the most memory [MB] of one piece of work in a process of its own, and how it ended."""
    argv = [sys.executable, "-m", "tests.bench.bounds", what]
    done = subprocess.run(argv, input=msgspec.json.encode(events), stdout=subprocess.PIPE, cwd=ROOT, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def child(what: str) -> None:
    """Do one piece of work on the case at standard input, and print what it took."""
    kb = load_kb()
    events = msgspec.json.decode(sys.stdin.buffer.read(), type=list[Event])
    advise(kb, [Event(complaints=[next(iter(kb.complaints))])])  # what is read once is not counted
    bare, start = growth.peak(), time.process_time()
    with effort.limit(10**9) as all_of_it:
        try:
            WORK[what](kb, events)
            ended = "answered"
        except InvalidInputError as refused:
            ended = refused.problems[0].code
    print(
        json.dumps(
            {
                "s": time.process_time() - start,
                "mb": growth.peak(),
                "bare": bare,
                "cells": all_of_it.spent,
                "ended": ended,
            }
        )
    )


def cleared(kb: model.KB) -> list[Event]:
    """Return all gates cleared, so that the step behind them is worked out too."""
    return [Event(cleared=h) for h, r in kb.hazards.items() if r.gate]


def spent(kb: model.KB, events: list[Event]) -> int | None:
    """Return the cells that advice on a case takes, None where it is refused or can't be true."""
    try:
        with effort.limit(10**9) as all_of_it:
            advise(kb, events)
    except (InvalidInputError, ValueError):
        return None
    return all_of_it.spent


def searched(kb: model.KB, examples: int) -> list[tuple[int, list[Event]]]:
    """Return what a climbing search found within the bound, dearest first: complaints, abnormal answers, remedies, roles, what is known."""
    seen: dict[bytes, tuple[int, list[Event]]] = {}
    answers, remedies = abnormal(kb), [Event(remedy=c, did="done") for c in sorted(kb.causes)[::7]]

    @settings(
        max_examples=examples, database=None, derandomize=True, deadline=None, phases=[Phase.generate, Phase.target],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(
        st.sampled_from(growth.ROLES), st.lists(st.sampled_from(sorted(kb.complaints)), min_size=1, unique=True),
        st.integers(0, len(answers)), st.integers(0, 1000), st.integers(0, 3),
    )  # fmt: skip
    def climb(role: model.Role, complaints: list[str], count: int, seed: int, done: int) -> None:
        some = random.Random(seed).sample(answers, count)
        mended = [e for r in remedies[:done] for e in (r, *some[:5])]
        events = [Event(role=role), Event(complaints=complaints), *some, *mended, *cleared(kb)]
        cells = spent(kb, events)
        if cells is not None:
            seen[msgspec.json.encode(events)] = cells, events
            target(float(cells), label="cells")

    climb()
    return sorted(seen.values(), key=lambda s: -s[0])


def _worst(kb: model.KB, quick: bool) -> Table:
    found = searched(kb, 60 if quick else 400)
    # Few complaints with very many answers make the largest tables, many complaints the most passes: the dearest of either.
    many = [one for one in found if sum(e.check is not None for e in one[1]) > MANY]
    dearest = {id(events): events for some in (found, many) for _, events in some[: 4 if quick else CASES]}
    timed = [(measured("advise", events), events) for events in dearest.values()]
    slow = max(timed, key=lambda t: t[0]["s"])
    large = max(timed, key=lambda t: t[0]["mb"])
    rows = []
    for name, (one, events) in {"slowest found": slow, "largest found": large}.items():
        rows.append([name, *_told(events), *_cells(one)])
    refused = all_abnormal(kb)
    rows.append(["every check abnormal", *_told(refused), *_cells(one := measured("advise", refused))])
    met = slow[0]["s"] * 1000 <= AIM_MS and large[0]["mb"] <= AIM_MB
    notes = [
        f"Bound: {effort.MOST_CELLS / 1e6:g} million cells for an answer, {effort.TOLD} times that for what is told of a case. Aim: under "
        f"{AIM_MS:g} ms and {AIM_MB:g} MB: {'met' if met else 'MISSED'}.",
        f"The dearest {len(timed)} of {len(found)} admitted cases that a climbing search looked at, each in a process of its own; memory "
        f"is of the whole process, {slow[0]['bare']:.0f} MB of it before the case.",
    ]
    data = {"slowest": slow[0], "largest": large[0], "refused": one, "admitted": len(found)}
    columns = [
        "case",
        "complaints",
        "answers",
        "remedies",
        "million cells",
        "processor time [ms]",
        "memory [MB]",
        "ends as",
    ]
    return Table(title="The worst that the bound admits", columns=columns, rows=rows, notes=notes, data=data)


def _told(events: list[Event]) -> list[str]:
    return [
        str(sum(len(e.complaints or []) for e in events)),
        str(sum(e.check is not None for e in events)),
        str(sum(e.remedy is not None for e in events)),
    ]


def _cells(one: dict[str, Any]) -> list[str]:
    return [f"{one['cells'] / 1e6:.1f}", f"{1000 * one['s']:.0f}", f"{one['mb']:.0f}", one["ended"]]


def _long(kb: model.KB, quick: bool) -> Table:
    kinds: dict[str, Callable[[int], list[Event]]] = {
        "one answer changed": lambda n: alternating(kb, n),
        "forty answers changed": lambda n: alternating(kb, n, 40),
        "remedies": lambda n: remedied(kb, n),
    }
    rows, data = [], {}
    for kind, made in kinds.items():
        for count in QUICK if quick else EVENTS:
            for what in ("hand-over", "report"):
                one = measured(what, made(count))
                data[f"{kind}, {count}, {what}"] = one
                rows.append([kind, f"{count:,}", what, f"{1000 * one['s']:.0f}", f"{one['mb']:.0f}", one["ended"]])
    notes = ["A case of more than 10,000 events is refused while it is read (C032)."]
    columns = ["case", "events", "told as", "processor time [ms]", "memory [MB]", "ends as"]
    return Table(title="Long cases", columns=columns, rows=rows, notes=notes, data=data)


if __name__ == "__main__":
    child(sys.argv[1])
