"""The queue of calls that wait: list it, take the next, give back, ring back at a time, wait for somebody, needed soon."""

import argparse
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.queue_marks import QueueMark
    from ...engine.reports.queue import QueuePlace
    from ..result import Result

MOST_WHO = 20  # letters of a mark that somebody goes by
ENVIRON = "DRYFLOOR_AS"


def run(args: argparse.Namespace, env: Env) -> "Result":
    """List the calls that wait, or take the first that nobody has."""
    from ...engine.reports.queue import queue
    from ..inputs import load
    from ..result import Exit, Result
    from ..store.location import there
    from ..store.opening import open_store
    from ..store.waiting import known_calls, next_free, waiting

    kb = load(args, env)
    found: list[QueuePlace] = []
    taken: QueuePlace | None = None
    by = mark_of(args, env) if args.next else ""
    if args.store or there(args, env):
        with open_store(args, env, write=args.next) as store:
            found = queue(kb, known_calls(kb, waiting(store)), datetime.now(UTC))
            taken = next_free(store, found, by) if args.next else None
    layout = Layout(env.width, env.colour)
    if args.next:
        if taken is None:
            lines = layout.wrap("No call waits that can be worked on now. dryfloor queue lists all.")
            return Result(command="queue", status="nothing", exit=Exit.NOTHING, data={"calls": []}, lines=lines)
        lines = [*told(kb, layout, taken), *layout.wrap(f"It is yours, {by}: dryfloor resume {taken.case}")]
        return Result(command="queue", status="taken", data={"calls": [taken], "who": by}, lines=lines)
    lines = [line for p in found for line in told(kb, layout, p)] or layout.wrap("No call waits.")
    status = "waiting" if found else "nothing"
    code = Exit.DONE if found else Exit.NOTHING
    return Result(command="queue", status=status, exit=code, data={"calls": found}, lines=lines)


def told(kb: "model.KB", layout: Layout, p: "QueuePlace") -> list[str]:
    """Return a call as the queue shows it: where it stands and why."""
    from ..store.waiting import local

    head = "  ".join(x for x in (p.case, p.state, p.reference, f"with {p.who}" if p.who else "") if x)
    names = "; ".join(kb.complaints[c].title if c in kb.complaints else c for c in p.complaints)
    more = [f"{names}." if names else "", *p.why]
    if p.ring_back:
        more.append(f"Ring back {local(p.ring_back)}.")
    return [
        *(layout.paint(line, "strong") for line in layout.wrap(head)),
        *layout.wrap(" ".join(m for m in more if m), 3),
    ]


def mark_of(args: argparse.Namespace, env: Env) -> str:
    """Return the mark that whoever is here goes by.

    Raises
    ------
    InvalidInputError
        U038, where there is none, or it is too long.
    """
    from ...engine.errors import InvalidInputError, Problem
    from ...engine.language.sanitize import typed_line

    text = typed_line(args.who or env.environ.get(ENVIRON, ""))
    if 0 < len(text) <= MOST_WHO:
        return text
    problem = Problem(
        code="U038",
        message="nobody is named who has the call" if not text else f"'{text[:30]}' is too long for a mark",
        expected=f"a mark that you go by, of at most {MOST_WHO} letters",
        mend=f"say --as ann; {ENVIRON}=ann says it for good",
    )
    raise InvalidInputError([problem])


def take(args: argparse.Namespace, env: Env) -> "Result":
    """Take a call, so that everybody sees who has it."""
    from ...engine.case.queue_marks import QueueMark

    by = mark_of(args, env)
    return _marked("take", args, env, QueueMark(has=by, by=by), f"Case {{case}} is yours, {by}.")


def give_back(args: argparse.Namespace, env: Env) -> "Result":
    """Give a call back to the queue."""
    from ...engine.case.queue_marks import QueueMark

    return _marked("give-back", args, env, QueueMark(has=""), "Case {case} is in the queue for anybody.")


def ring_back(args: argparse.Namespace, env: Env) -> "Result":
    """Keep when a call is to be rung back."""
    from ...engine.case.queue_marks import NOTHING, QueueMark
    from ..store.waiting import local, time_meant

    if args.at == NOTHING:
        return _marked("ring-back", args, env, QueueMark(ring_back=""), "Case {case} is not to be rung back.")
    at = time_meant(args.at)
    return _marked("ring-back", args, env, QueueMark(ring_back=at), f"Case {{case}}: ring back {local(at)}.")


def waits(args: argparse.Namespace, env: Env) -> "Result":
    """Keep what a call waits for."""
    from ...engine.case.queue_marks import NOTHING, WAITS, QueueMark
    from ..inputs import known

    known(args.what, (*WAITS, NOTHING), "U040", "thing to wait for", "name one of them")
    if args.what == NOTHING:
        return _marked("waits", args, env, QueueMark(waits=""), "Case {case} waits for nothing any more.")
    return _marked("waits", args, env, QueueMark(waits=args.what), f"Case {{case}} waits for the {args.what}.")


def soon(args: argparse.Namespace, env: Env) -> "Result":
    """Keep that a call is needed soon; no reason is asked."""
    from ...engine.case.queue_marks import QueueMark

    text = "Case {case} is in no hurry." if args.no_more else "Case {case} is needed soon."
    return _marked("soon", args, env, QueueMark(soon=not args.no_more), text)


def _marked(command: str, args: argparse.Namespace, env: Env, mark: "QueueMark", text: str) -> "Result":
    from msgspec.structs import replace

    from ...engine.errors import InvalidInputError, Problem
    from ..result import Result
    from ..store.opening import open_store

    if command != "take" and (args.who or env.environ.get(ENVIRON)):
        mark = replace(mark, by=mark_of(args, env))
    with open_store(args, env, write=True) as store:
        case = store.line(args.case)
        if case.state == "closed" and mark.has != "":
            message = f"case {case.id} is closed, and stands in no queue"
            raise InvalidInputError([Problem(code="J018", message=message, mend=f"dryfloor show {case.id}")])
        before = store.queue(case.id, mark)
        stands = store.queued(case.id)
    lines = Layout(env.width, env.colour).wrap(text.format(case=case.id))
    data = {"case": case.id, "before": before, "queue": stands}
    return Result(command=command, status="kept", data=data, lines=lines)
