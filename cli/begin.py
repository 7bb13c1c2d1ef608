"""The start of a walk: the first question at once, the imports behind it, an open case offered."""

import argparse
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .env import Env

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.case import Event

FIRST = "What is wrong? Say it in your own words."
ROLES = ("homeowner", "desk", "technician")
GO_ON = ("yes", "y", "ok", "okay", "go on", "yeah", "yep", "sure")
ANEW = ("no", "n", "nope", "new", "")


def begin(args: argparse.Namespace, env: Env) -> int:
    """Start or take up a walk and return its exit code."""
    role = check_role(args.role)
    kept = None
    if not args.say and not args.case:
        # Before anything is imported that this line can do without.
        if not args.json:
            from .resume import offer

            kept = offer(env)
        env.say(kept[1] if kept else FIRST, err=args.json)
    thread = threading.Thread(target=_warm, daemon=True)
    thread.start()
    try:
        return _walk(args, env, role, kept[0] if kept else None, thread)
    finally:
        thread.join()


def _warm() -> None:
    """Import what later answers need, while the person reads and types the first one."""
    # What fails here fails again where it is used, and is said there.
    with suppress(Exception):
        import rapidfuzz.fuzz  # noqa: F401

        from ..engine import advise, explain, hear, interpret  # noqa: F401


def _ready(kb: "model.KB") -> None:
    """Work out of the kb what every answer needs."""
    from ..engine.phrases import index_of
    from ..engine.thought import net_of

    with suppress(Exception):
        net_of(kb)
        index_of(kb)


def check_role(role: str | None) -> str | None:
    """Return a role that exists.

    Raises
    ------
    Refused
        With the nearest role.
    """
    if role is None or role in ROLES:
        return role
    from ..engine.problems import Problem, Refused, nearest, one_of

    raise Refused(
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


def _asker(args: argparse.Namespace, env: Env) -> Any:
    if args.plain or args.json or not env.interactive:
        from .plain import PlainAsker

        return PlainAsker(env, err=args.json)
    from .ask import PromptAsker

    return PromptAsker()


def _walk(args: argparse.Namespace, env: Env, role: str | None, kept: Path | None, thread: threading.Thread) -> int:
    """Hold the walk: the case as it was, the case file, the conversation, the envelope."""
    from ..engine.case import Event
    from ..engine.casefile import dump
    from . import journal
    from .casekeep import CaseKeep
    from .commands import cleared_events, emit, load, with_sheet
    from .plain import Quit
    from .result import Exit

    kb = load(args, env)
    keeper = CaseKeep(Path(args.case)) if args.case else None
    asker = _asker(args, env)
    book, words = journal.fresh(env.data_dir), args.say
    events: list[Event] = []
    begun: list[Event] = []
    if keeper is not None:
        begun = _case(args, env, kb)
    if kept is not None:
        try:
            taken, words = _taken(asker, env)
        except Quit:
            return int(Exit.NOTHING)
        if taken:
            from .resume import take_up

            book, events = take_up(kb, kept, env, args.json)
            begun = [Event(resumed=True)]
        elif words is None:
            book_old = journal.Journal(kept)
            book_old.add(Event(closed="given-up"))
            book_old.close()
            env.say(FIRST)
    if role or not any(e.role for e in (*events, *begun)):
        begun.append(Event(role=role or "homeowner"))  # type: ignore[arg-type]
    begun += cleared_events(kb, args.cleared)
    kb, facts = with_sheet(kb, args.machine, [*events, *begun])
    begun += facts
    thread.join()
    later = threading.Thread(target=_ready, args=(kb,), daemon=True)
    later.start()
    from .walk import Walk

    keep = (lambda all_events: keeper.write(dump(all_events))) if keeper else None
    talk = Walk(env, asker, kb, book, events, args.json, keep)
    for event in begun:
        talk.record(event)
    if args.case and words is None and not any(e.complaints or e.heard for e in talk.events):
        talk.say(FIRST)
    try:
        result = talk.run(words)
    finally:
        later.join()
        if any(e.heard or e.complaints or e.check or e.note for e in talk.events):
            talk.ledger.journal.close()
        else:
            talk.ledger.journal.drop()
    return emit(env, result, True) if args.json else int(result.exit)


def _case(args: argparse.Namespace, env: Env, kb: "model.KB") -> "list[Event]":
    """Return the events of the case file to go on with; say aloud where there is none yet."""
    from ..engine.case import Event
    from ..engine.casefile import load_case

    if Path(args.case).exists():
        return [*load_case(kb, args.case), Event(resumed=True)]
    env.say(f"{args.case} does not exist yet; this case will be written there.", err=True)
    return []


def _taken(asker: Any, env: Env) -> tuple[bool, str | None]:
    """Return whether the kept case is taken up, and the words of a new case where they came instead of yes or no."""
    typed: str = asker.ask("> ").strip()
    low = typed.lower().rstrip(".!")
    if low in GO_ON:
        return True, None
    if low in ANEW:
        return False, None
    env.say("Taken as a new case; the other one stays kept.")
    return False, typed
