"""The runs of the bench: a calm one, one for each fault, and how many answers a second some servers carry."""

import asyncio
import random
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

from msgspec import Struct

from dryfloor.cli.store.database.place import ServerPlace
from tests.bench.servers.desk import Desk, Times
from tests.bench.servers.faults import FAULTS, disk, disk_full
from tests.bench.servers.fleet import Balancer, Fleet
from tests.bench.servers.verdict import held
from tests.bench.table import Table
from tests.bench.timing import COLUMNS, at, cells
from tests.support.postgres import Cluster
from tests.support.shipped import shipped

AIM_S = 0.1  # 99 of 100 answers come within this [s]
LEAST = 300  # answers at each rate, so that 99 of 100 is not the worst one [-]
GIVEN_UP_S = 0.5  # no higher rate is tried beyond [s]
BEFORE_S = 1.0  # desks answer so long before a fault, and after it [s]


class Sizes(Struct, frozen=True):
    """How large the runs are: servers, desks, how often each answers [s], for how long [s]; for faults the same; and of what some servers carry."""

    servers: int
    desks: int
    every: float
    calm: float
    fault_desks: int
    fault_every: float
    fault_after: float
    carried: tuple[int, ...]
    rates: tuple[float, ...]
    rate_for: float


FULL = Sizes(3, 200, 20.0, 120.0, 40, 2.0, 10.0, (1, 2, 4), (5, 10, 20, 30, 40, 60), 10.0)
SHORT = Sizes(2, 20, 4.0, 4.0, 12, 0.8, 1.0, (), (), 0.0)


def measure(sizes, only=("calm", "faults", "carried"), faults=tuple(FAULTS)):
    """Return the tables of the runs, and what is wrong, a sentence each."""
    tables, wrong = [], []
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        cluster = Cluster(through=True)
        stack.callback(cluster.stop)
        stack.enter_context(disk(cluster))
        place = ServerPlace(cluster.database("desks"))
        if "calm" in only or "faults" in only:
            with Fleet(place.url, sizes.servers, folder) as fleet:
                if "calm" in only:
                    tables.append(_calm(sizes, fleet, place, wrong))
                if "faults" in only:
                    tables.append(_faults(sizes, fleet, cluster, place, wrong, faults))
        if "carried" in only and sizes.carried:
            tables.append(_carried(sizes, place, folder, wrong))
    return tables, wrong


class Run:
    """Some desks before a fleet, each answering every so often, from a moment of its own.

    Parameters
    ----------
    fleet : Fleet
    desks : int
    every : float
        [s]
    seed : int
    """

    def __init__(self, fleet, desks, every, seed):
        self.times, self.every = Times(), every
        self.chance = random.Random(seed)
        balancer = Balancer(fleet.servers, seed)
        about = sorted(shipped().complaints)
        self.desks = [
            Desk(f"desk {seed} {n}", balancer, fleet.token, about, self.times, seed * 1000 + n) for n in range(desks)
        ]
        self.ended = asyncio.Event()

    async def begin(self):
        """Let every desk in, with a call before it; some at a time, as a shift begins."""
        some = asyncio.Semaphore(4)

        async def one(desk):
            async with some:
                await desk.sign_in()
                await desk.begin()

        await asyncio.gather(*map(one, self.desks))
        self.times.answer.clear(), self.times.form.clear(), self.times.page.clear()

    async def go(self, until):
        """Let every desk answer until something else is done."""

        async def one(desk):
            await asyncio.sleep(self.chance.uniform(0, self.every))
            while not self.ended.is_set():
                due = time.monotonic() + self.every
                await desk.answer()
                if due > time.monotonic():
                    await asyncio.wait([ended], timeout=due - time.monotonic())

        ended = asyncio.ensure_future(self.ended.wait())
        working = [asyncio.ensure_future(one(desk)) for desk in self.desks]
        try:
            await until
        finally:
            self.ended.set()
        await asyncio.gather(*working)

    def errors(self):
        """Return what went wrong for the desks, and how often."""
        out = {}
        for desk in self.desks:
            for what, count in desk.errors.items():
                out[what] = out.get(what, 0) + count
        return out


def _calm(sizes, fleet, place, wrong):
    async def run():
        made = Run(fleet, sizes.desks, sizes.every, 1)
        await made.begin()
        begun, cpu = time.monotonic(), fleet.cpu_s()
        await made.go(asyncio.sleep(sizes.calm))
        return made, time.monotonic() - begun, fleet.cpu_s() - cpu

    made, took, cpu = asyncio.run(run())
    found, counts = held(made.desks, place)
    wrong += [f"calm: {text}" for text in found] + [f"calm: {n} times {e}" for e, n in made.errors().items()]
    t = made.times
    p99 = at(t.answer, 0.99)
    return Table(
        title="Many desks, one database",
        columns=["waited for", *COLUMNS],
        rows=[
            ["an answer: its form and the page after it", *cells(t.answer)],
            ["its form", *cells(t.form)],
            ["the page", *cells(t.page)],
        ],
        notes=[
            f"{sizes.desks} desks before {sizes.servers} servers, an answer each {sizes.every:g} s for {sizes.calm:g} s, each request to any server: "
            f"{len(t.answer) / took:.1f} answers a second, {1000 * cpu / max(1, len(t.answer)):.0f} ms of the servers' processors an answer.",
            f"Aim: 99 of 100 answers within {1000 * AIM_S:.0f} ms: {'met' if p99 < AIM_S else 'missed'} ({1000 * p99:.0f} ms).",
            _told(found, counts, made.errors()),
        ],
        data={"answer": sorted(t.answer), "counts": counts, "wrong": found},
    )


def _told(found, counts, errors):
    said = f"{counts['said']} things said, {counts['kept']} confirmed in the end; against the store: "
    return said + (
        "none lost, none twice, nobody told wrongly." if not found else f"WRONG {len(found)}: {'; '.join(found[:3])}."
    )


def _faults(sizes, fleet, cluster, place, wrong, faults):
    rows, notes = [], []
    for n, (name, bring) in enumerate(FAULTS.items(), 2):
        if name not in faults:
            continue
        if bring is disk_full and cluster.disk is None:
            notes.append(f"NOT TESTED: {name}; this user may not mount a small disk.")
            print(notes[-1], file=sys.stderr)
            continue
        if bring is disk_full:
            cluster.on_disk("desks")

        async def run(bring=bring, n=n):
            made = Run(fleet, sizes.fault_desks, sizes.fault_every, n)
            await made.begin()

            async def fault():
                await asyncio.sleep(BEFORE_S)
                await bring(fleet, cluster)
                made.over = time.monotonic()
                await asyncio.sleep(sizes.fault_after)

            await made.go(fault())
            return made

        made = asyncio.run(run())
        found, counts = held(made.desks, place)
        still = [d.name for d in made.desks if d.gone_on < made.over]
        wrong += [f"{name}: {text}" for text in found] + [f"{name}: {d} never went on" for d in still]
        again = made.times.again
        errors = made.errors()
        rows.append(
            [
                name, str(counts["said"]), str(sum(errors.values())), str(len(again)), f"{max(again, default=0):.1f} s",
                f"{len(made.desks) - len(still)} of {len(made.desks)}", "none" if not found else f"{len(found)}: {found[0]}",
            ]
        )  # fmt: skip
        print(name, errors, file=sys.stderr, flush=True)
    return Table(
        title="Many desks, one database: faults",
        columns=[
            "fault",
            "things said",
            "requests refused or cut",
            "answers tried again",
            "longest until it went on",
            "desks that went on",
            "lost, twice or told wrongly",
        ],
        rows=rows,
        notes=[
            f"{sizes.fault_desks} desks before {sizes.servers} servers, an answer each {sizes.fault_every:g} s. Who is refused or cut off sends the same form once more "
            "after a second, or opens the case anew. What each desk was told is held against the store's rows: what was confirmed is there, nothing is there more often than it was said.",
            *notes,
        ],
    )


def _carried(sizes, place, folder, wrong):
    rows, best = [], {}
    for count in sizes.carried:
        with Fleet(place.url, count, folder) as fleet:
            for n, rate in enumerate(sizes.rates):
                desks = max(4, round(rate * 2))

                async def run(desks=desks, rate=rate, seed=100 + 20 * count + n, fleet=fleet):
                    made = Run(fleet, desks, desks / rate, seed)
                    await made.begin()
                    begun, cpu = time.monotonic(), fleet.cpu_s()
                    await made.go(asyncio.sleep(max(sizes.rate_for, LEAST / rate)))
                    return made, time.monotonic() - begun, fleet.cpu_s() - cpu

                made, took, cpu = asyncio.run(run())
                wrong += held(made.desks, place)[0]
                times = made.times.answer
                p99, got = at(times, 0.99), len(times) / took
                rows.append([str(count), f"{rate:g}", f"{got:.1f}", *cells(times), f"{100 * cpu / took:.0f} %"])
                print(*rows[-1], made.errors(), file=sys.stderr, flush=True)
                if p99 < AIM_S:
                    best[count] = rate
                if p99 > GIVEN_UP_S:
                    break
    within = "; ".join(f"{c} server{'s' * (c > 1)}: {best.get(c, 'none of these')}" for c in sizes.carried)
    return Table(
        title="Many desks, one database: what some servers carry",
        columns=["servers", "answers a second", "came", *COLUMNS, "of one core, by the servers"],
        rows=rows,
        notes=[
            f"The most answers a second of which 99 of 100 came within {1000 * AIM_S:.0f} ms. {within}.",
            f"At least {LEAST} answers at each rate; no further once 99 of 100 take more than {GIVEN_UP_S:g} s.",
        ],
        data={"best": best},
    )
