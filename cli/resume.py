"""Taking up a walk that was cut: which case is offered, and what of it the kb of today still knows."""

from pathlib import Path

from ..engine import model
from ..engine.case import Event
from .env import Env


def offer(env: Env) -> Path | None:
    """Return the journal of the newest case that is still open."""
    from .journal import open_case

    found = open_case(env.data_dir)
    return found[0] if found else None


def checked(kb: model.KB, events: list[Event], env: Env) -> list[Event]:
    """Return the events that this kb still understands; say aloud what it no longer does.

    Parameters
    ----------
    kb : KB
    events : list of Event
        From a journal, perhaps of an older kb.
    env : Env
    """
    from ..engine.casefile import event_problems

    good = []
    for event in events:
        problems = event_problems(kb, event)
        if problems:
            env.say(f"Left out, because the kb has changed: {problems[0].message}.")
        else:
            good.append(event)
    return good
