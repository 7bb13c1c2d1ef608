"""What a command is given: the kb, a machine's sheet, a role, and a case by its name, as events."""

from __future__ import annotations

import argparse
from pathlib import Path

from .terminal.env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from ..engine import model
    from ..engine.case.events import Event

MOST_BYTES = 1_000_001  # a longer case is refused by the reader
LETTERS = 6  # of the id of a kept case


def case_events(kb: model.KB, args: argparse.Namespace, env: Env) -> list[Event]:
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
    InvalidInputError
        With every problem of the case.
    """
    from ..engine.case.case_file import load_case, parse_case

    name: str = args.case
    if name == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        return parse_case(kb, raw.read(MOST_BYTES) if raw else env.stdin.read().encode())
    if is_id(name) and not Path(name).exists():
        from ..engine.case.case_file import take_up
        from .store.location import there
        from .store.opening import open_store

        if there(args, env):
            with open_store(args, env, write=False) as store:
                damage = store.line(name).damage
                events, _, lines = take_up(kb, store.events(name))
            for line in [*damage, *lines]:
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


ROLES = ("homeowner", "desk", "technician")


def check_role(role: str | None) -> str | None:
    """Return a role that exists.

    Raises
    ------
    InvalidInputError
        With the nearest role.
    """
    if role is None or role in ROLES:
        return role
    from ..engine.errors import InvalidInputError, Problem, nearest, one_of

    raise InvalidInputError(
        [
            Problem(
                code="U002",
                message=f"unknown role '{role}'",
                expected=one_of(ROLES),
                nearest=nearest(role, ROLES),
                mend="write one of them after --role",
            )
        ]
    )


def load(args: argparse.Namespace, env: Env) -> model.KB:
    """Return the kb, compiled and cached; with a machine sheet where one is named."""
    from ..engine.knowledge.cache import load_cached

    kb = load_cached(Path(args.kb) if args.kb else None, env.cache_dir)
    if getattr(args, "machine", None):
        from ..engine.knowledge.machine_sheet import apply_sheet, load_sheet

        kb = apply_sheet(kb, load_sheet(kb, args.machine))
    return kb


def with_sheet(kb: model.KB, named: str | None, events: list[Event]) -> tuple[model.KB, list[Event]]:
    """Return the kb with the limits of the case's machine, and the events that the machine's sheet adds to the case.

    Parameters
    ----------
    kb : KB
        As `load` gives it; the sheet that was named is applied already.
    named : str, optional
        The sheet of `--machine`.
    events : list of Event
        The case; a machine in it counts where no sheet was named.
    """
    from ..engine.case.events import Event
    from ..engine.knowledge.machine_sheet import apply_sheet, load_sheet

    said = [e.machine for e in events if e.machine]
    if named:
        sheet = load_sheet(kb, named)
    elif said and said[-1] in kb.machines:
        sheet = kb.machines[said[-1]]
        kb = apply_sheet(kb, sheet)
    else:
        return kb, []
    known = {e.fact for e in events if e.fact}
    added = [Event(fact=f, is_=o) for f, o in sorted(sheet.facts.items()) if f not in known]
    return kb, [*([] if sheet.id in said else [Event(machine=sheet.id)]), *added]


def cleared_events(kb: model.KB, names: list[str]) -> list[Event]:
    """Return the events of `--cleared`, or raise with the nearest hazard."""
    from ..engine.case.case_file import event_problems
    from ..engine.case.events import Event
    from ..engine.errors import InvalidInputError

    events = [Event(cleared=n) for n in names]
    problems = [p for e in events for p in event_problems(kb, e)]
    if problems:
        raise InvalidInputError(problems)
    return events


def known(word: str, table: Iterable[str], code: str, what: str, mend: str) -> None:
    """Refuse a word that is not in a table, with the nearest one that is.

    Raises
    ------
    InvalidInputError
        With the nearest match.
    """
    from ..engine.errors import InvalidInputError, Problem, nearest, one_of

    names = [*table]
    if word not in names:
        problem = Problem(
            code=code,
            message=f"unknown {what} '{word}'",
            expected=one_of(names),
            nearest=nearest(word, names),
            mend=mend,
        )
        raise InvalidInputError([problem])
