"""Taking up a walk that was cut: which case is offered, and what of it the kb of today still knows."""

from pathlib import Path
from typing import TYPE_CHECKING

from .env import Env

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.case import Event
    from .journal import Journal

SHOWN = 40  # letters of the words that a case is offered by


def offer(env: Env) -> tuple[Path, str] | None:
    """Return the journal of the newest case that is still open, and the lines that offer it."""
    try:
        if not any((env.data_dir / "cases").iterdir()):
            return None
    except OSError:
        return None
    from .journal import open_case

    found = open_case(env.data_dir)
    if found is None:
        return None
    path, events = found
    words = next((e.heard for e in events if e.heard), "")
    words = "".join(c for c in words if c.isprintable())
    said = f'"{words[:SHOWN]}{"..." if len(words) > SHOWN else ""}"' if words else "no words yet"
    count = sum(1 for e in events if e.check or e.fact)
    many = f"{count} answer{'' if count == 1 else 's'}"
    return path, f"A walk was cut off: {said}, {many}.\nGo on with it? (yes, or no for a new one)"


def take_up(kb: "model.KB", path: Path, env: Env, err: bool) -> "tuple[Journal, list[Event]]":
    """Return a kept case: its journal and the events that this kb still understands; say aloud what it no longer does.

    Parameters
    ----------
    kb : KB
    path : Path
        A journal, perhaps of an older kb.
    env : Env
    err : bool
        Speak on stderr.
    """
    from ..engine.casefile import event_problems
    from ..engine.problems import Refused
    from .journal import Journal, fresh, read

    events = read(path)
    good = []
    for event in events:
        problems = event_problems(kb, event)
        if problems:
            env.say(f"Left out, because the kb has changed: {problems[0].message}.", err)
        else:
            good.append(event)
    if len(good) == len(events):
        return Journal(path), good
    # A journal counts its events, so one with gaps is written anew; the old one stays until the new one is whole.
    book = fresh(env.data_dir)
    try:
        for event in good:
            book.add(event)
    except Refused:
        return Journal(path), good
    path.rename(path.with_suffix(".old"))
    return book, good
