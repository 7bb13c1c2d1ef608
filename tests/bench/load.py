"""A load run of the page on loopback: how quick it answers, how cold cases compare, and whether its memory stays flat.

    python tests/bench/load.py                       # 20 connections, 50 000 requests
    python tests/bench/load.py --requests 5000

The set: every complaint's first page, its page with one fact, and readings of a standpipe; each also as POST /advise, and what is
heard in a few words as POST /hear. Each is asked once before the clock starts (the warm run); cold cases, each asked for the first
time, are timed apart. Figures go to standard output; nothing here is asserted, since machines differ. No test runs this.
"""

import argparse
import asyncio
import itertools
import os
import re
import subprocess
import sys
import time
from pathlib import Path

CONNECTIONS = 20


def warm_set(kb):
    """The requests of the warm run, as (method, target, body)."""
    out = []
    for complaint in kb.complaints:
        for more in ("", "&fact=onset:new"):
            out.append(("GET", f"/case?complaint={complaint}{more}", b""))
        out.append(("POST", "/advise", b'{"role": "homeowner", "complaints": ["%s"]}' % complaint.encode()))
    for inches in (24, 31, 36, 42):
        out.append(("GET", f"/case?complaint=siphons&fact=drain:standpipe&check=standpipe-height:{inches}+in", b""))
    for words in (b"it hops about when it spins", b"water runs out while it fills", b"lights dim"):
        out.append(("POST", "/hear", b'{"words": "%s"}' % words))
    return out


def cold_set(kb, count):
    """Cases that nobody asked for yet, past their gates: a complaint, a fact or two, and answers, as POST /advise."""
    checks = [c for c in kb.checks.values() if c.kind != "measure"]
    gates = ",".join(f'{{"cleared":"{h}"}}' for h, r in kb.hazards.items() if r.gate)
    out = []
    for n, complaint in zip(range(count), itertools.cycle(kb.complaints)):
        said = ",".join(
            f'{{"check":"{c.id}","answer":"{list(c.answers)[(n + k) % len(c.answers)]}"}}'
            for k, c in ((k, checks[(7 * n + 13 * k) % len(checks)]) for k in range(n % 5 + 1))
        )
        events = f'{{"events":[{{"role":"homeowner"}},{{"complaints":["{complaint}"]}},{said},{gates}]}}'
        out.append(("POST", "/advise", events.encode()))
    return out


class Line:
    """One kept-alive connection."""

    def __init__(self, port):
        self.port = port

    async def open(self):
        """Connect."""
        self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)
        return self

    async def ask(self, method, target, body):
        """Return the status of an answer and how long it took [s]."""
        head = f"{method} {target} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        begun = time.perf_counter()
        self.writer.write(head.encode() + body)
        raw = await self.reader.readuntil(b"\r\n\r\n")
        length = int(re.search(rb"content-length: (\d+)", raw, re.I)[1])
        await self.reader.readexactly(length)
        return int(raw.split(b" ", 2)[1]), time.perf_counter() - begun


async def drive(port, asked, connections, watch=None):
    """Ask everything over some connections; return the times [s], statuses, and the whole time."""
    queue, times, statuses = iter(asked), [], {}
    begun = time.perf_counter()

    async def one():
        line = await Line(port).open()
        for method, target, body in queue:
            status, took = await line.ask(method, target, body)
            times.append(took)
            statuses[status] = statuses.get(status, 0) + 1
            if watch and len(times) % watch[0] == 0:
                watch[1]()
        line.writer.close()

    await asyncio.gather(*(one() for _ in range(connections)))
    return sorted(times), statuses, time.perf_counter() - begun


def said(name, times, statuses, whole):
    """Print one line of figures."""
    at = lambda p: 1000 * times[min(len(times) - 1, int(p * len(times)))]  # noqa: E731
    print(
        f"{name}: {len(times)} requests, {len(times) / whole:.0f}/s, p50 {at(0.5):.1f} ms, p90 {at(0.9):.1f}, p99 {at(0.99):.1f}, "
        f"most {1000 * times[-1]:.1f}; statuses {statuses}",
        flush=True,
    )


def memory(process):
    """Return the resident memory of a process [MB]."""
    return int(re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{process.pid}/status").read_text())[1]) / 1024


def main():
    """Run it."""
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("--requests", type=int, default=50_000)
    args.add_argument("--cold", type=int, default=320)
    args = args.parse_args()
    from dryfloor.engine.knowledge.load import load_kb

    kb = load_kb()
    process = subprocess.Popen(
        [sys.executable, "-m", "dryfloor", "serve", "--port", "0"], stderr=subprocess.PIPE, text=True
    )
    try:
        port = int(re.search(r":(\d+)/", process.stderr.readline())[1])
        print(
            f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {CONNECTIONS} connections; the client runs on the same cores"
        )
        cold = cold_set(kb, args.cold)
        half = len(cold) // 2
        said("cold, one at a time", *asyncio.run(drive(port, cold[:half], 1)))
        said(f"cold, {CONNECTIONS} at once", *asyncio.run(drive(port, cold[half:], CONNECTIONS)))
        warm = warm_set(kb)
        asyncio.run(drive(port, warm, 1))
        print(f"memory {memory(process):.0f} MB after {len(warm)} different cases; during the run:", end=" ")
        show = lambda: print(f"{memory(process):.0f}", end=" ", flush=True)  # noqa: E731
        asked = itertools.islice(itertools.cycle(warm), args.requests)
        result = asyncio.run(drive(port, asked, CONNECTIONS, (max(1, args.requests // 8), show)))
        print("MB")
        said(f"warm, {CONNECTIONS} connections", *result)
    finally:
        process.terminate()
        process.wait(20)


if __name__ == "__main__":
    main()
