"""The start of a walk: the first question at once, the imports behind it, an open case offered."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..inputs import check_role
from ..terminal.env import Env
from .offer import FIRST
from .warm_up import WarmUp

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

    from ...engine import model
    from ...engine.case.events import Event
    from ..result import Result
    from .offer import Opening

ANEW = ("new", "")  # beside a no


def begin(args: argparse.Namespace, env: Env, case: str | None = None) -> Result:
    """Start or take up a walk, and return its result.

    Parameters
    ----------
    args : Namespace
    env : Env
    case : str, optional
        The case of the store to go on with; else one may be offered.
    """
    role = check_role(args.role)
    if args.reference:
        args.reference = " ".join("".join(c if c.isprintable() else " " for c in args.reference).split())
    opening = None
    if not args.say and not args.case and not case:
        # Before anything is imported that this line can do without.
        if (not args.json or args.reference) and not args.after:
            from .offer import look

            opening = look(args, env)
        for line in (opening.lines if opening else []) or [FIRST]:
            env.say(line, err=args.json)
    warm_up = WarmUp(args, env)
    try:
        return _walk(args, env, role, opening, warm_up, case)
    finally:
        if opening and opening.store:
            opening.store.close()
        warm_up.join()


def _asker(args: argparse.Namespace, env: Env, first: bool, warm_up: WarmUp) -> Any:
    """Return who asks; at a full terminal the first question, where it is on screen, is asked before all else is there."""
    if args.plain or args.json or not env.interactive:
        from ..terminal.asker import PlainAsker

        warm_up.start()
        return PlainAsker(env, err=args.json)
    from ..terminal.prompt import PromptAsker

    asker = PromptAsker()
    if first:
        asker.ask_early("> ", lambda: warm_up.start(asker.fail))
    warm_up.start()
    return asker


def _walk(
    args: argparse.Namespace,
    env: Env,
    role: str | None,
    opening: Opening | None,
    warm_up: WarmUp,
    case: str | None,
) -> Result:
    """Hold the walk: the case as it was, the case file, the conversation."""
    # A bad --after is said before anybody types.
    asker = _asker(args, env, not (args.say or args.case or case or args.after), warm_up)
    from ...engine.case.case_file import dump
    from ...engine.case.events import Event
    from ..inputs import cleared_events, with_sheet
    from ..result import Exit, Result
    from ..store.case_file import CaseKeep
    from ..terminal.asker import Quit
    from .session import Session

    kb = warm_up.kb()
    keeper = CaseKeep(Path(args.case)) if args.case else None
    loaded = _case(args, env, kb) if keeper else []
    start = Session(args, env, kb, opening, case)
    try:
        if opening and opening.case:
            try:
                taken, words = _taken(asker, env, opening.recurs)
            except Quit:
                start.close()
                return Result(command="walk", status="left", exit=Exit.NOTHING)
            start.answered(taken, words is not None, FIRST)
        else:
            words = args.say
            if start.case:
                start.take_up()
            elif keeper:
                start.from_file(loaded)
        begun = [Event(resumed=True)] if start.case or loaded else []
        if role or not any(e.role for e in start.events):
            begun.append(Event(role=role or "homeowner"))  # type: ignore[arg-type]
        elif start.line and start.line.state == "waiting":
            begun.append(Event(role=start.line.role))  # type: ignore[arg-type]
        if start.earlier and not start.case and not loaded:
            from .installed import from_installation

            start.log.carried = from_installation(kb, start.store, start.earlier)
            begun += start.log.carried
        begun += cleared_events(kb, args.cleared)
        kb, facts = with_sheet(kb, args.machine, [*start.events, *begun])
        begun += facts
        warm_up.index(kb)
        from .loop import Walk

        if keeper:
            start.log.keep = lambda events: keeper.write(dump(events))
        earlier = start.earlier or (start.line.earlier if start.line else None)
        if earlier:
            from .installed import tell_installation

            tell_installation(kb, start.log, earlier)
        talk = Walk(env, asker, kb, start.log, args.json, env.interactive)
        talk.earlier = earlier
        talk.folder = Path(args.case).parent if keeper else None
    except BaseException:
        start.close()
        raise
    try:
        for line in start.what_differs(kb):
            talk.say(talk.layout.wrap(line))
        for event in begun:
            talk.record(event)
        if start.log.carried:
            talk.say(
                talk.layout.wrap(
                    f"After the installation {start.earlier}: what it stands on and drains into is known from there, and what can't change since "
                    f"is not asked again. dryfloor show {start.earlier} lists what was seen."
                )
            )
            from ...engine.case.installed import DECLINED_THEN, LEFT_WRONG, MENDED_SINCE

            for event in start.log.carried:
                note = (event.note or "").rstrip(".")
                if note.startswith(LEFT_WRONG):
                    talk.say(talk.layout.wrap(f"{note}. Unless it was put right since, it still is."))
                elif note.startswith((DECLINED_THEN, MENDED_SINCE)):
                    talk.say(talk.layout.wrap(f"{note}."))
        if start.line:
            talk.handed_over(start.line)
        if args.case and words is None and not any(e.complaints or e.heard for e in talk.events):
            talk.say(FIRST)
        return talk.run(words)
    finally:
        talk.prefetch.close()
        warm_up.join()
        talk.close()


def _case(args: argparse.Namespace, env: Env, kb: model.KB) -> list[Event]:
    """Return the events of the case file to go on with; say aloud where there is none yet."""
    from ...engine.case.case_file import load_case

    if Path(args.case).exists():
        return load_case(kb, args.case)
    env.say(f"{args.case} does not exist yet; this case will be written there.", err=True)
    return []


def _taken(asker: Any, env: Env, recurs: bool) -> tuple[bool, str | None]:
    """Return whether what was offered is taken, and the words of a new case where they came instead of yes or no."""
    typed: str = asker.ask("> ").strip()
    low = typed.lower().rstrip(".!")
    from ..terminal.yes_no import agreed

    taken = agreed(typed)
    if taken:
        return True, None
    if taken is False or low in ANEW:
        return False, None
    env.say("Taken as a new case." if recurs else "Taken as a new case; the other one stays kept.")
    return False, typed


def run(args: argparse.Namespace, env: Env) -> Result:
    """The walk. The first question is on screen before anything heavy is imported."""
    return begin(args, env)
