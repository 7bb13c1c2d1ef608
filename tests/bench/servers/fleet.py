"""Servers of the page before one PostgreSQL, each a process of its own, and the balancer that gives each request to one of them."""

import asyncio
import contextlib
import os
import random
import re
import secrets
import signal
import subprocess
import sys
import threading
from pathlib import Path

from tests.support.places import ROOT

STARTS_S = 60.0  # a server answers within this time [s]
ANSWERS_S = 40.0  # nobody waits longer for an answer [s]


class Server:
    """One `dryfloor serve`; `log` has what it says on its error stream."""

    def __init__(self, command, environ):
        self.command, self.environ = command, environ
        self.process = None
        self.port = 0
        self.log = []

    def start(self):
        """Start it, and wait until it can be reached."""
        self.process = subprocess.Popen(
            [*self.command, "--port", str(self.port)], stderr=subprocess.PIPE, text=True, env=self.environ, cwd=ROOT
        )
        found = None
        for line in self.process.stderr:
            self.log.append(line)
            found = re.search(r"http://127\.0\.0\.1:(\d+)/ ", line)
            if found:
                break
        assert found, "".join(self.log)[-2000:]
        self.port = int(found[1])
        threading.Thread(target=self._read, args=(self.process.stderr,), daemon=True).start()
        return self

    def _read(self, stream):
        # A pipe that nobody reads stops whoever writes into it.
        with contextlib.suppress(ValueError):
            self.log.extend(stream)

    def kill(self):
        """End it as a plug that is pulled."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def stop(self):
        """Tell it to stop, and see that it does."""
        if self.process and self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                self.kill()

    def cpu_s(self):
        """Return the processor time that it took so far [s]."""
        counts = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(counts[11]) + int(counts[12])) / os.sysconf("SC_CLK_TCK")


class Fleet:
    """So many servers on one store, with one token and one key.

    Parameters
    ----------
    url : str
        The address of the database.
    count : int
    folder : Path
        Where their secrets and their data lie.
    """

    def __init__(self, url, count, folder):
        self.token = secrets.token_urlsafe(24)
        for name in ("token", "key"):
            path = folder / name
            path.write_text(self.token if name == "token" else secrets.token_urlsafe(32))
            path.chmod(0o600)
        environ = os.environ | {
            "DRYFLOOR_DATA_DIR": str(folder / "data"),
            "DRYFLOOR_CACHE_DIR": str(folder / "cache"),
            "PYTHONPATH": os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]),
        }
        command = [
            *(sys.executable, "-m", "dryfloor", "serve", "--store", url),
            *("--desk-token-file", str(folder / "token"), "--key-file", str(folder / "key")),
        ]
        self.servers = [Server(command, environ) for _ in range(count)]

    def __enter__(self):
        for server in self.servers:
            server.start()
        return self

    def __exit__(self, *_):
        for server in self.servers:
            server.stop()

    def cpu_s(self):
        """Return the processor time of all servers that are up [s]."""
        return sum(s.cpu_s() for s in self.servers if s.process.poll() is None)


class Reply:
    """What a server answered."""

    def __init__(self, status, headers, body):
        self.status, self.headers, self.text = status, headers, body

    @property
    def location(self):
        """Where it sends the browser."""
        return next((v for k, v in self.headers if k == "location"), "")

    @property
    def cookies(self):
        """The cookies that it gives, by name."""
        return dict(v.partition(";")[0].partition("=")[::2] for k, v in self.headers if k == "set-cookie")


class Balancer:
    """Gives each request to any server; one that can't be connected to is passed over, for it has seen nothing of the request.

    Parameters
    ----------
    servers : list of Server
    seed : int
    """

    def __init__(self, servers, seed=0):
        self.servers = servers
        self.chance = random.Random(seed)

    async def ask(self, method, target, body=b"", cookies=None):
        """Return the reply of some server.

        Raises
        ------
        OSError
            Where none can be connected to, or one hung up within an answer: nobody knows what it did.
        """
        async with asyncio.timeout(ANSWERS_S):
            return await self._ask(method, target, body, cookies or {})

    async def _ask(self, method, target, body, cookies):
        order = self.chance.sample(self.servers, len(self.servers))
        for n, server in enumerate(order):
            try:
                reader, writer = await asyncio.open_connection("127.0.0.1", server.port)
                break
            except OSError:
                if n + 1 == len(order):
                    raise
        head = [f"{method} {target} HTTP/1.1", "host: desk.example", "connection: close", "sec-fetch-site: same-origin"]
        if cookies:
            head.append("cookie: " + "; ".join(f"{k}={v}" for k, v in cookies.items()))
        if method == "POST":
            head += ["content-type: application/x-www-form-urlencoded", f"content-length: {len(body)}"]
        try:
            writer.write("\r\n".join([*head, "", ""]).encode() + body)
            raw = await reader.read(-1)
        finally:
            writer.close()
        return _reply(raw)


def _reply(raw):
    head, found, body = raw.partition(b"\r\n\r\n")
    lines = head.decode("latin-1").split("\r\n")
    headers = [(k.lower(), v) for k, _, v in (line.partition(": ") for line in lines[1:])]
    length = int(next((v for k, v in headers if k == "content-length"), len(body)))
    if not found or len(body) < length:
        raise ConnectionResetError("it hung up within its answer")
    return Reply(int(lines[0].split(" ")[1]), headers, body[:length].decode("utf-8", "replace"))
