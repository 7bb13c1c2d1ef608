"""Files that were sound once, spoiled, and given to the commands that read them: survey sheets, machine sheets, kb folders, stores.

What must hold: a documented exit code, no fault, no traceback, nothing raw on either stream, no more than KB256 of answer to a small
file, and the file itself as it was, but for a store that a command may add to.
"""

import io
import random
import shutil
from collections.abc import Callable
from pathlib import Path

from dryfloor.cli.main import main
from dryfloor.cli.terminal.env import Env
from dryfloor.engine.knowledge.folder import home
from tests.support.places import ROOT
from tests.support.raw import raw as raw_parts
from tests.support.stored import filled

from .mutation import mutated

CODES = {0, 1, 2, 4, 5, 6}
KB256 = 256 * 1024
READ: dict[str, list[list[str]]] = {
    "sheets": [["survey", "FILE"], ["survey", "FILE", "--json"], ["survey", "FILE", "--role", "homeowner"]],
    "machines": [["survey", str(ROOT / "tests/sheets/sound.yaml"), "--machine", "FILE"], ["survey", "--blank", "--machine", "FILE"]],
    "folders": [["kb", "check", "--kb", "FOLDER"], ["kb", "check", "--kb", "FOLDER", "--json"], ["rule", "standpipe-height", "--kb", "FOLDER"]],
    "stores": [["cases"], ["cases", "--verify"], ["cases", "--json"], ["show", "1"], ["note", "1", "rings back"], ["outcome", "1", "roots in it"], ["handover", "1"]],
}  # fmt: skip


def prepared(what: str, kb, folder: Path, seed: int) -> tuple[list[bytes], Callable[[bytes], str]]:
    """Return the sound files of a kind, and what gives a spoiled one to a command and says how that ended."""
    rng = random.Random(seed)
    if what == "sheets":
        seeds = [p.read_bytes() for p in sorted((ROOT / "tests/sheets").glob("*.yaml"))]
        return seeds, lambda spoiled: one(rng.choice(READ[what]), put(folder / "sheet.yaml", spoiled), folder)
    if what == "machines":
        seeds = [p.read_bytes() for p in sorted((home() / "machines").glob("*.yaml"))]
        return seeds, lambda spoiled: one(rng.choice(READ[what]), put(folder / "machine.yaml", spoiled), folder)
    if what == "folders":
        small = ROOT / "tests/small_kb"
        paths = sorted(p.relative_to(small) for p in small.rglob("*.yaml"))
        shutil.copytree(small, folder / "kb")
        seeds = [(small / p).read_bytes() for p in paths]
        begun = dict(zip(paths, seeds, strict=True))

        def spoil_one(spoiled: bytes) -> str:
            # Most often in its own place, by how far it begins as what stands there; at times where another belongs.
            own = max(paths, key=lambda p: sum(a == b for a, b in zip(begun[p][:80], spoiled, strict=False)))
            path = own if rng.random() < 0.7 else rng.choice(paths)
            put(folder / "kb" / path, spoiled)
            try:
                return one(rng.choice(READ[what]), folder / "kb", folder)
            finally:
                shutil.copyfile(small / path, folder / "kb" / path)

        return seeds, spoil_one
    sound = folder / "sound.db"
    store, _ = filled(sound)
    store.close()

    def spoil_store(spoiled: bytes) -> str:
        for old in folder.glob("cases.db*"):
            old.unlink()
        put(folder / "cases.db", spoiled)
        return one(rng.choice(READ[what]), None, folder)

    return [sound.read_bytes()], spoil_store


def put(path: Path, content: bytes) -> Path:
    """Write a file; return where it is."""
    path.write_bytes(content)
    return path


def one(command: list[str], path: Path | None, folder: Path) -> str:
    """Give one file to one command; return the command and its exit code."""
    before = path.read_bytes() if path is not None and path.is_file() else None
    argv = [str(path) if word in ("FILE", "FOLDER") else word for word in command]
    environ = {"HOME": str(folder), "DRYFLOOR_DATA_DIR": str(folder), "DRYFLOOR_CACHE_DIR": str(folder / "cache")}
    env = Env(io.StringIO(""), io.StringIO(), io.StringIO(), environ)
    code = main(argv, env)
    out, err = env.stdout.getvalue(), env.stderr.getvalue()
    assert code in CODES, (argv, code, err)
    assert "Traceback" not in out + err
    assert (raw_parts(out), raw_parts(err)) == ([], []), argv
    assert len(out) + len(err) <= KB256 + 16 * len(before or b""), (argv, len(out), len(err))
    assert before is None or path is None or path.read_bytes() == before, argv
    return f"{command[0]} {code}"


def damaged(rng: random.Random, seeds: list[bytes], words: list[bytes], binary: bool) -> bytes:
    """Return one spoiled file: a text as cases are spoiled, a database with bytes turned, cut off, doubled or blanked."""
    if not binary:
        return mutated(rng, seeds, words)
    content = bytearray(rng.choice(seeds))
    for _ in range(rng.choice((1, 1, 2, 20, 400))):
        at = rng.randrange(len(content) + 1)
        kind = rng.randrange(6)
        if kind <= 3 and content:
            content[at % len(content)] = rng.randrange(256)
        elif kind == 4:
            length = rng.choice((16, 100, 4096))
            content[at : at + length] = bytes(len(content[at : at + length]))
        else:
            content[at:] = content[at:][: rng.choice((0, 100, 4096))]
    return bytes(content)
