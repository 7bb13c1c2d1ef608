"""`dryfloor serve` as a process: it says where it is, stops gracefully, loses no kept case, and takes only secrets that are secret."""

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.request
from contextlib import contextmanager, suppress

import pytest

from tests.support.shipped import shipped


@contextmanager
def server(tmp_path, cache, *more):
    """A server of its own: (process, its address)."""
    env = os.environ | {
        "DRYFLOOR_CACHE_DIR": str(cache),
        "DRYFLOOR_DATA_DIR": str(tmp_path / "data"),
        "OPENBLAS_NUM_THREADS": "1",
    }
    argv = [sys.executable, "-m", "dryfloor", "serve", "--port", "0", *more]
    process = subprocess.Popen(argv, env=env, stderr=subprocess.PIPE, text=True)
    try:
        line = process.stderr.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+", line)
        assert found, line + process.stderr.read()
        yield process, found[0]
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(10)
        process.stderr.close()


def get(url, data=None):
    with urllib.request.urlopen(urllib.request.Request(url, data=data), timeout=20) as answer:
        return answer.geturl(), answer.read().decode()


def test_it_stops_gracefully_when_told_to(tmp_path, kept_kb):
    with server(tmp_path, kept_kb) as (process, base):
        assert '"ok"' in get(base + "/health")[1]
        process.send_signal(signal.SIGTERM)
        assert process.wait(15) == 0
        assert "Traceback" not in process.stderr.read()


def test_it_stops_soon_however_much_it_is_asked(tmp_path, kept_kb):
    """Six hard cases at once, two of which are worked out while it is told to stop: each is dear, and none holds it up."""
    hard = {"role": "technician", "complaints": sorted(shipped().complaints)}
    with server(tmp_path, kept_kb) as (process, base):
        for n, fact in enumerate(("new", "moved", "suddenly", "gradually", "new", "moved")):
            body = json.dumps(hard | {"complaints": hard["complaints"][n:], "facts": {"onset": fact}}).encode()
            threading.Thread(target=suppressed, args=(base + "/advise", body), daemon=True).start()
        time.sleep(0.5)
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
        assert "Traceback" not in process.stderr.read()


def suppressed(url, data):
    with suppress(OSError):
        get(url, data)


@pytest.mark.slow
def test_a_killed_server_loses_no_kept_case(tmp_path, kept_kb):
    from tests.support.forms import Reader

    store = str(tmp_path / "cases.db")
    kept = {}
    for _ in range(3):
        with server(tmp_path, kept_kb, "--store", store) as (process, base):
            for link, said in kept.items():
                assert said in get(base + link)[1]
            for n in range(4):
                url, _ = get(base + "/keep?complaint=slow-fill&fact=onset:new", b"")
                link = url.removeprefix(base)
                if n % 2:
                    page = Reader()
                    page.feed(get(url)[1])
                    form = next(f for f in page.forms if any(b[0] == "said" for b in f.buttons))
                    body = "&".join(f"{k}={v}" for k, v in form.fields) + "&said=skip"
                    get(url, body.encode())
                kept[link] = "1 passed over" if n % 2 else "since it was newly installed"
            process.kill()


@pytest.mark.parametrize(
    ("text", "mode", "code"),
    [("short", 0o600, "P074"), ("long-enough-but-for-all-to-see", 0o644, "P073"), (None, 0, "P072")],
)
def test_a_secret_must_be_one(run, tmp_path, text, mode, code):
    path = tmp_path / "desk.token"
    if text is not None:
        path.write_text(text)
        path.chmod(mode)
    done = run("serve", "--port", "0", "--desk-token-file", str(path), "--json")
    assert done.code == 2
    assert f'"{code}"' in done.out


def test_a_port_in_use_is_said(run):
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = run("serve", "--port", str(taken.getsockname()[1]))
    assert done.code == 2
    assert "can't be served" in done.err


def test_no_other_command_imports_the_page():
    code = (
        "import sys, io\nfrom dryfloor.cli.terminal.env import Env\nfrom dryfloor.cli.main import main\n"
        "main(['hear', 'it hops'], Env(stdout=io.StringIO()))\nmain(['advise', '-'], Env(stdin=io.StringIO('complaints: [walks]'), stdout=io.StringIO()))\n"
        "assert not {'starlette', 'uvicorn', 'jinja2', 'dryfloor.cli.page', 'sqlite3'} & set(sys.modules), sys.modules.keys()"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
