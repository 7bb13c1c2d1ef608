"""The start of a walk: the first question at once, the imports behind it, an open case offered, the case kept at the end."""

import argparse
import threading
from pathlib import Path
from typing import Any

from .env import Env

FIRST = "What is wrong? Say it in your own words."
ROLES = ("homeowner", "desk", "technician")


def warm() -> threading.Thread:
    """Import what later answers need, while the person reads and types the first one."""

    def load_all() -> None:
        import rapidfuzz.fuzz  # noqa: F401

        from ..engine import advise, explain, hear, interpret  # noqa: F401

    thread = threading.Thread(target=load_all, daemon=True)
    thread.start()
    return thread


def begin(args: argparse.Namespace, env: Env) -> int:
    """Start or take up a walk and return its exit code."""
    role = check_role(args.role)
    asking = not args.say and not args.case
    stream = env.stderr if args.json else env.stdout
    kept = None
    if asking and not args.json:
        from .resume import offer

        kept = offer(env)
        if kept:
            stream.write(f"A walk that was cut off is kept ({kept}). Go on with it? yes, or no for a new one\n")
        else:
            stream.write(FIRST + "\n")
        stream.flush()
    elif asking:
        stream.write(FIRST + "\n")
        stream.flush()
    thread = warm()
    asker = _asker(args, env)
    try:
        return _walk(args, env, role, asker, kept)
    finally:
        thread.join()


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


def _walk(args: argparse.Namespace, env: Env, role: str | None, asker: Any, kept: Path | None) -> int:
    from ..engine.case import Event
    from . import journal
    from .commands import cleared_events, emit, load
    from .plain import Quit
    from .walk import Walk

    kb = load(args, env)
    book = journal.fresh(env.data_dir)
    events: list[Event] = []
    words = args.say
    begun: list[Event] = []
    if kept is not None:
        try:
            typed = asker.ask("> ").strip()
        except Quit:
            return 1
        if typed.lower().rstrip(".") in ("yes", "y", "ok", "go on", "yeah"):
            from .resume import checked

            events = checked(kb, journal.read(kept), env)
            book = journal.Journal(kept)
            begun = [Event(resumed=True)]
            if role:
                begun.append(Event(role=role))  # type: ignore[arg-type]
        else:
            book_old = journal.Journal(kept)
            book_old.add(Event(closed="given-up"))
            book_old.close()
            if typed.lower().rstrip(".") in ("no", "n", "new", ""):
                env.say(FIRST)
            else:
                words = typed
    if args.case and Path(args.case).exists():
        from ..engine.casefile import load_case

        begun = [*load_case(kb, args.case), Event(resumed=True)]
    if not events and not any(e.role for e in begun):
        begun = [Event(role=role or "homeowner"), *begun]  # type: ignore[arg-type]
    elif role and args.case:
        begun.append(Event(role=role))  # type: ignore[arg-type]
    begun += cleared_events(kb, args.cleared)
    talk = Walk(env, asker, kb, book, events, err=args.json)
    for event in begun:
        talk.record(event)
    try:
        if words is None and not any(e.complaints or e.heard for e in talk.events):
            if args.case:
                talk.say(FIRST)
            words = asker.ask("> ")
        if words is not None:
            talk.hear_complaint(words)
    except Quit:
        talk.say("Nothing was said yet." if not any(e.heard for e in talk.events) else "Left here. The case is kept.")
        _write_back(args, talk)
        return _early(args, env, talk, 1)
    except KeyboardInterrupt:
        talk.say("")
        talk.say("Interrupted. What was said is kept.")
        _write_back(args, talk)
        return _early(args, env, talk, 130)
    result = talk.run()
    book.close()
    _write_back(args, talk)
    return emit(env, result, True) if args.json else int(result.exit)


def _early(args: argparse.Namespace, env: Env, talk: Any, code: int) -> int:
    """Leave before any complaint was confirmed; with --json still one envelope."""
    if args.json:
        from .commands import emit
        from .result import Exit, Result

        emit(
            env, Result(command="walk", status="interrupted" if code == 130 else "left", exit=Exit(code), data={}), True
        )
    return code


def _write_back(args: argparse.Namespace, talk: Any) -> None:
    """Write the case file named by --case, whole or not at all."""
    if not args.case:
        return
    import os

    from ..engine.casefile import dump
    from ..engine.problems import Problem, Refused

    path = Path(args.case)
    temp = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        temp.write_text(dump(talk.events), encoding="utf-8")
        os.replace(temp, path)
    except OSError as error:
        raise Refused(
            [
                Problem(
                    code="J002",
                    file=str(path),
                    message=f"the case could not be written: {error.strerror or error}",
                    mend="name a file in a folder you may write to; the journal has the case",
                )
            ]
        ) from error
