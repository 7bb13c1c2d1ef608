"""The program as a whole process: installed from its wheel, started on a terminal of its own, fed through pipes.

Where no wheel can be built or installed here, the interpreter that runs the bench stands in, and the notes say so.
"""

import contextlib
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import monotonic, perf_counter, sleep

from msgspec import Struct

from tests.support.places import ROOT

FIRST = "What is wrong?"
PROMPT = ">"
PATIENCE = 60.0
READING = 1.0  # how long somebody looks at the first card, at the least [s]
LEFT_BEHIND = shutil.ignore_patterns(".git", ".venv", "build", "*.egg-info", "__pycache__", ".*_cache", ".hypothesis")


class Installed(Struct, frozen=True):
    """Where the program is: its folder, its interpreter, its wheel, its environment variables, and what stood in the way."""

    folder: Path
    python: str
    wheel: Path | None
    environ: dict[str, str]
    notes: list[str]

    def program(self, *argv: str) -> list[str]:
        """Return the command line of the program."""
        script = Path(self.python).parent / "dryfloor"
        return [str(script), *argv] if self.wheel else [self.python, "-m", "dryfloor", *argv]


def _pip(*argv: str, python: str = sys.executable) -> str:
    """Run pip; return what went wrong, nothing where it went well."""
    done = subprocess.run(
        [python, "-I", "-m", "pip", "--disable-pip-version-check", "-q", *argv],
        capture_output=True,
        text=True,
        check=False,
    )
    return (done.stderr.strip().splitlines() or ["pip failed"])[-1] if done.returncode else ""


@contextlib.contextmanager
def installed() -> Iterator[Installed]:
    """Build a wheel, install it into an environment of its own, start it once so that the kb is compiled; clean up after."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made = _install(folder)
        environ = {
            "PATH": os.environ["PATH"],
            "HOME": name,
            "TERM": "xterm",
            "LANG": "C.UTF-8",
            "DRYFLOOR_DATA_DIR": str(folder / "data"),
            "DRYFLOOR_CACHE_DIR": str(folder / "cache"),
        }
        if not made.wheel:
            environ["PYTHONPATH"] = os.pathsep.join([str(ROOT), *os.environ.get("PYTHONPATH", "").split(os.pathsep)])
        made = Installed(folder, made.python, made.wheel, environ, made.notes)
        subprocess.run(made.program("hear", "it hops"), env=environ, cwd=folder, stdout=subprocess.DEVNULL, check=True)
        yield made


def _install(folder: Path) -> Installed:
    source = folder / "source"
    shutil.copytree(ROOT, source, symlinks=True, ignore=LEFT_BEHIND)
    wrong = _pip("wheel", "--no-deps", "-w", str(folder), str(source))
    wheels = [*folder.glob("*.whl")]
    if wrong or not wheels:
        return Installed(
            folder,
            sys.executable,
            None,
            {},
            ["No wheel could be built here: the interpreter of the bench runs the clone."],
        )
    subprocess.run([sys.executable, "-m", "venv", str(folder / "venv")], check=True)
    python = str(folder / "venv" / "bin" / "python")
    if _pip("install", str(wheels[0]), python=python):
        notes = ["The wheel could not be installed here: the interpreter of the bench runs the clone."]
        return Installed(folder, sys.executable, None, {}, notes)
    return Installed(folder, python, wheels[0], {}, [])


def keep_a_case(where: Installed) -> None:
    """Leave one open case in the store of the environment."""
    said = b"it hops about when it spins\n1\n"
    done = {"env": where.environ, "cwd": where.folder, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    subprocess.run(where.program("--plain"), input=said, check=False, **done)


def until(
    command: Sequence[str], texts: Sequence[str], environ: dict[str, str], cwd: Path, key: str = ""
) -> list[float]:
    """Start a program on a terminal of its own; return when each text had come, in order, counted from its start [s].

    A key is typed once the last text has come, and when it is echoed behind it is the last time.

    Raises
    ------
    OSError
        If a text never comes.
    """
    ours, theirs = pty.openpty()
    start = perf_counter()
    process = subprocess.Popen(
        command, stdin=theirs, stdout=theirs, stderr=theirs, env=environ, cwd=cwd, start_new_session=True
    )
    os.close(theirs)
    out, come, seen = [], b"", 0
    try:
        for text in [*texts, *([key] if key else [])]:
            while (place := come.find(text.encode(), seen)) < 0:
                come += _some(ours, come)
            seen = place + len(text)
            out.append(perf_counter() - start)
            if key and len(out) == len(texts):
                os.write(ours, key.encode())
    finally:
        process.kill()
        process.wait()
        os.close(ours)
    return out


def _some(fd: int, so_far: bytes) -> bytes:
    ready, _, _ = select.select([fd], [], [], PATIENCE)
    with contextlib.suppress(OSError):  # a terminal whose program has ended
        if ready and (part := os.read(fd, 65536)):
            return part
    raise OSError(f"the program ended or said nothing for {PATIENCE:.0f} s; it had said: {so_far[-300:]!r}")


class Talk(Struct, frozen=True):
    """A walk of the real program: seconds from each line typed to the next prompt, its peak memory [MB], lines that were taken."""

    times: list[float]
    memory: float
    taken: int


def talk(where: Installed, case: str, lines: Sequence[str]) -> Talk:
    """Hold a walk through pipes: begin with a case file, read the first card for READING s, type each line at its prompt, leave.

    Its memory is read at each prompt; what `wait4` says of it afterwards counts the process that started it, too.
    """
    path = where.folder / "case.yaml"
    path.write_text(case, encoding="utf-8")
    process = subprocess.Popen(
        where.program("walk", "--plain", "--case", str(path)),
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=where.environ, cwd=where.folder,
    )  # fmt: skip
    assert process.stdin
    assert process.stdout
    times: list[float] = []
    start, taken, memory = 0.0, 0, 0.0
    with contextlib.suppress(OSError):
        for line in [*lines, None]:
            _prompted(process.stdout.fileno())
            if start:
                times.append(perf_counter() - start)
            else:
                sleep(READING)
            memory = max(memory, peak(process.pid))
            if line is None:
                break
            start, taken = perf_counter(), taken + 1
            os.write(process.stdin.fileno(), line.encode() + b"\n")
    process.stdin.close()
    end = monotonic() + PATIENCE
    while monotonic() < end and os.read(process.stdout.fileno(), 65536):
        pass
    process.wait(PATIENCE)
    process.stdout.close()
    return Talk(times, memory, taken)


def peak(process: int) -> float:
    """Return the most memory that a process held so far [MB]; 0 where the system does not say."""
    try:
        status = Path(f"/proc/{process}/status").read_text()
    except OSError:
        return 0.0
    said = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(said[1]) / 1024 if said else 0.0


def _prompted(fd: int) -> None:
    """Wait until the prompt stands at the end of what the program says."""
    come = b""
    while not come.endswith(b"\n> ") and come != b"> ":
        come += _some(fd, come)


def downloads(where: Installed) -> float | None:
    """Return what installing the wheel brings with it, itself included [MB]; None where no registry can be reached."""
    if not where.wheel:
        return None
    into = where.folder / "downloads"
    if _pip("download", "-d", str(into), str(where.wheel), python=where.python):
        return None
    return sum(p.stat().st_size for p in into.iterdir()) / 1e6
