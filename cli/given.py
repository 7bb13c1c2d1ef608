"""The case that a command is given: one place that turns its name into events."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .env import Env

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.case import Event

MOST_BYTES = 1_000_001  # a longer case is refused by the reader
LETTERS = 6  # of the id of a kept case


def case_events(kb: "model.KB", args: argparse.Namespace, env: Env) -> "list[Event]":
    """Return the events of a case.

    Parameters
    ----------
    kb : KB
    args : Namespace
        `case`: a case file, the id of a kept case, or - for standard input. A file of that name goes before a kept case.
        `store`, where the command has it, names another store.
    env : Env

    Raises
    ------
    Refused
        With every problem of the case.
    """
    from ..engine.casefile import load_case, parse_case

    name: str = args.case
    if name == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        return parse_case(kb, raw.read(MOST_BYTES) if raw else env.stdin.read().encode())
    if is_id(name) and not Path(name).exists():
        from .keeping import open_store, there
        from .resume import take_up

        if there(args, env):
            with open_store(args, env, write=False) as store:
                events, _, lines = take_up(kb, store.events(name))
            for line in lines:
                env.say(line, True)
            return events
    return load_case(kb, name)


def is_id(name: str) -> bool:
    """Return whether a name could be the id of a kept case: its letters and digits, perhaps with spaces and dashes.

    Examples
    --------
    >>> is_id("K7M-3R4"), is_id("visit.yaml")
    (True, False)
    """
    kept = [c for c in name if c not in " -"]
    return len(kept) == LETTERS and all(c.isascii() and c.isalnum() for c in kept)
