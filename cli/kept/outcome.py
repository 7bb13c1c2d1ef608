"""What a kept case turned out to be, said after its end."""

import argparse
from typing import TYPE_CHECKING

from ..terminal.asker import Quit
from ..terminal.env import Env
from ..terminal.layout import Layout
from ..terminal.yes_no import agreed

if TYPE_CHECKING:
    from ..result import Result


def run(args: argparse.Namespace, env: Env) -> "Result":
    """Keep what a case turned out to be."""
    from ...engine.advising.outcome import turned_out
    from ...engine.case.case_file import event_problems, take_up
    from ...engine.case.state import fold
    from ...engine.errors import InvalidInputError, Problem
    from ...engine.language.sanitize import typed_line
    from ..inputs import load
    from ..result import Result
    from ..store.opening import open_store
    from ..walk.outcome import event_of, offered

    words = typed_line(" ".join(args.words))
    if not words:
        mend = 'write it after the case: "the branch was full of roots"'
        raise InvalidInputError([Problem(code="U035", message="nothing is said of what it was", mend=mend)])
    kb = load(args, env)
    event = event_of(words, args.cause, args.by, args.date)
    problems = event_problems(kb, event)
    if problems:
        raise InvalidInputError(problems)
    with open_store(args, env, write=True) as store:
        case = store.line(args.case)
        events = take_up(kb, store.events(case.id))[0]
        near = offered(kb, words, dict(fold(kb, events).facts))
        if args.cause is None and near and env.interactive and not args.json:
            event = event_of(words, _asked(env, [(n.id, n.title) for n in near]), args.by, args.date)
        store.add(case.id, event)
    said = turned_out(kb, fold(kb, [*events, event]))
    layout = Layout(env.width, env.colour)
    lines = layout.labelled("OUTCOME", said.text if said else words, "strong")
    for before in (said.before if said else None) or ():
        lines += layout.labelled("before", before)
    if event.cause is None and near:
        lines += layout.wrap(f"A cause of the kb that may be meant: {'; '.join(f'{n.title} ({n.id})' for n in near)}.")
        lines += layout.wrap("If one fits, say it again with --cause ID.")
    data = {"case": case.id, "turned_out": event, "near": near}
    return Result(command="outcome", status="kept", data=data, lines=lines)


def _asked(env: Env, near: list[tuple[str, str]]) -> str | None:
    """Ask which of these causes it was; None where it was none of them, or nobody answers."""
    from ..terminal.asker import PlainAsker

    env.say("Is it one of these? (a number; Enter: none of these)")
    for n, (_, title) in enumerate(near, 1):
        env.say(f"   {n}  {title}")
    try:
        typed = PlainAsker(env).ask("> ").strip()
    except Quit:
        return None
    if len(near) == 1 and agreed(typed):
        return near[0][0]
    at = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 4 else 0
    return near[at - 1][0] if 1 <= at <= len(near) else None
