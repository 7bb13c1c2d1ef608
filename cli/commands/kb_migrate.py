"""`dryfloor kb migrate`: a kb folder's causes moved from answers to the signs that those answers report."""

from __future__ import annotations

import argparse
import os
import tempfile
from pathlib import Path

from ..result import Result
from ..terminal.env import Env
from ..terminal.layout import Layout


def run(args: argparse.Namespace, env: Env) -> Result:
    """Rewrite the cause files of a folder, each whole or not at all, and say which."""
    from ...engine.knowledge.load import load_kb
    from ...engine.knowledge.migrate import moved

    folder = Path(args.folder)
    kb = load_kb(folder)
    layout = Layout(env.width, env.colour)
    files, lines = [], []
    for path in sorted(folder.glob("causes/**/*.y*ml")):
        raw = path.read_bytes()
        text = raw.decode("utf-8")
        done = moved(kb, text)
        if done.text == text:
            continue
        _written(path, done.text.encode("utf-8"))
        name = path.relative_to(folder).as_posix()
        files.append({"file": name, "named": done.named, "merged": done.merged})
        said = f"{done.named} named by their signs"
        lines += layout.labelled(name, said + (f", {done.merged} of them said before" if done.merged else ""), "", True)
    rest = "The strengths are as they were, of several the greatest. Read them once more, and run dryfloor kb check."
    lines += layout.wrap(rest if files else "Nothing to move: no cause names an answer that reports a sign.")
    status = "moved" if files else "nothing-to-move"
    return Result(command="kb migrate", status=status, data={"folder": str(folder), "files": files}, lines=lines)


def _written(path: Path, raw: bytes) -> None:
    """Put a file in the place of another whole, or leave the other."""
    handle, temp = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(raw)
        os.chmod(temp, path.stat().st_mode & 0o777)
        os.replace(temp, path)
    except OSError:
        os.unlink(temp)
        raise
