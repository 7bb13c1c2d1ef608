"""The case that a command is given: one place that turns its name into events."""

from typing import TYPE_CHECKING, Any

from .env import Env

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.case import Event

MOST_BYTES = 1_000_001  # a longer case is refused by the reader


def case_events(kb: "model.KB", name: str, env: Env) -> "list[Event]":
    """Return the events of a case.

    Parameters
    ----------
    kb : KB
    name : str
        A case file, or - for standard input.
    env : Env

    Raises
    ------
    Refused
        With every problem of the case.
    """
    from ..engine.casefile import load_case, parse_case

    if name != "-":
        return load_case(kb, name)
    raw: Any = getattr(env.stdin, "buffer", None)
    return parse_case(kb, raw.read(MOST_BYTES) if raw else env.stdin.read().encode())
