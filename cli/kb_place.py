"""Which kb a command reads: what --kb names, else DRYFLOOR_KB, else for the tools of the kb that of a clone, else the shipped one."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from .terminal.env import Env

RULE = """which kb: the folder after --kb, else the one that the environment variable DRYFLOOR_KB names, else in a clone of
dryfloor its own kb/ (the working directory, or one above it, holds dryfloor's pyproject.toml and a kb/ with
complaints.yaml or another list of a kb), else the kb that was installed. Its path is printed; with --json it stands under "kb"."""


def settle(args: argparse.Namespace, env: Env) -> None:
    """Write into `args.kb` the folder to be read, None for the shipped one, and into `args.kb_from` where that was said.

    Parameters
    ----------
    args : Namespace
        A command that takes no --kb is left as it is. Only a tool of the kb (`args.tool`) looks for a clone.
    env : Env
    """
    if not hasattr(args, "kb"):
        return
    args.kb_from = "named by --kb" if args.kb else ""
    if not args.kb and env.kb:
        args.kb, args.kb_from = env.kb, "named by DRYFLOOR_KB"
    elif not args.kb and getattr(args, "tool", None):
        own = next((kb for folder in _here_and_above() if (kb := clone_kb(folder))), None)
        if own:
            from ..engine.knowledge.folder import home

            args.kb_from = "this clone's own"
            args.kb = None if own.resolve() == home().resolve() else str(own)


def _here_and_above() -> list[Path]:
    """Return the working directory and those above it, none where it was removed meanwhile."""
    try:
        here = Path.cwd()
    except OSError:
        return []
    return [here, *here.parents]


def clone_kb(folder: Path) -> Path | None:
    """Return the kb of a clone of this project that stands in a folder, or None where the folder is no clone.

    Examples
    --------
    >>> clone_kb(Path("/nowhere")) is None
    True
    """
    from ..engine.knowledge.pieces import LISTS, SINGLES

    own = folder / "kb"
    if not any(
        os.path.isfile(own / name) for name in (*LISTS, *SINGLES)
    ):  # False, too, of a folder that nobody may read
        return None
    import tomllib

    try:
        project = tomllib.loads((folder / "pyproject.toml").read_text("utf-8")).get("project")
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
        return None
    return own if isinstance(project, dict) and project.get("name") == "dryfloor" else None


def place_of(args: argparse.Namespace) -> str:
    """Return the path of the folder that a command reads, as `settle` left it, or an empty text where it reads none."""
    from ..engine.knowledge.folder import home

    if not hasattr(args, "kb"):
        return ""
    return str((Path(args.kb) if args.kb else home()).absolute().resolve())


def said(args: argparse.Namespace) -> str:
    """Return the line that says which kb is read, and why that one."""
    return f"kb read: {place_of(args)} ({args.kb_from or 'the one that came with dryfloor'})"
