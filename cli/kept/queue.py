"""The queue of calls that wait: list it, take the next, give back, ring back at a time, wait for somebody, needed soon."""

import argparse
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.queue_marks import QueueMark
    from ...engine.reports.queue import QueuePlace, WaitingCall
    from ..result import Result
    from ..store.store import Store

STATES = ("open", "waiting")
MOST_WHO = 20  # letters of a mark that somebody goes by
ENVIRON = "DRYFLOOR_AS"


def waiting(store: "Store") -> "list[WaitingCall]":
    """Return the calls of a store that are open or were handed on, and are whole; installations stand in no queue."""
    from ...engine.reports.queue import WaitingCall

    return [
        WaitingCall(
            case=line.id,
            reference=line.reference,
            state=line.state,
            began=line.began,
            events=store.events(line.id),
            queued=store.queued(line.id),
        )
        for state in STATES
        for line in store.find(state=state)
        if line.closed != "to-mend"
    ]


def run(args: argparse.Namespace, env: Env) -> "Result":
    """List the calls that wait, or take the first that nobody has."""
    from ...engine.reports.queue import queue
    from ..inputs import load
    from ..result import Exit, Result
    from ..store.location import there
    from ..store.opening import open_store

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


def known_calls(kb: "model.KB", calls: "list[WaitingCall]") -> "list[WaitingCall]":
    """Return calls with the events alone that this kb still understands."""
    from msgspec.structs import replace

    from ...engine.case.case_file import take_up

    return [replace(c, events=take_up(kb, c.events)[0]) for c in calls]


def next_free(store: "Store", places: "list[QueuePlace]", by: str) -> "QueuePlace | None":
    """Take the first call that can be worked on and that nobody has; one that somebody takes at this moment is passed over."""
    from msgspec.structs import replace

    from ...engine.case.queue_marks import QueueMark
    from ...engine.errors import InvalidInputError

    for p in places:
        if p.who or not (p.can or p.due) or store.held(p.case):
            continue
        try:
            store.queue(p.case, QueueMark(has=by, by=by))
        except InvalidInputError as refused:
            if refused.problems[0].code not in ("J032", "J014"):
                raise
            continue
        return replace(p, who=by)
    return None


def told(kb: "model.KB", layout: Layout, p: "QueuePlace") -> list[str]:
    """Return a call as the queue shows it: where it stands and why."""
    head = "  ".join(x for x in (p.case, p.state, p.reference, f"with {p.who}" if p.who else "") if x)
    names = "; ".join(kb.complaints[c].title if c in kb.complaints else c for c in p.complaints)
    more = [f"{names}." if names else "", *p.why]
    if p.ring_back:
        more.append(f"Ring back {local(p.ring_back)}.")
    return [
        *(layout.paint(line, "strong") for line in layout.wrap(head)),
        *layout.wrap(" ".join(m for m in more if m), 3),
    ]


def local(at: str) -> str:
    """Return a time (UTC, ISO 8601) by the clock of this machine."""
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):
        return at[:25]


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

    if args.at == NOTHING:
        return _marked("ring-back", args, env, QueueMark(ring_back=""), "Case {case} is not to be rung back.")
    at = time_meant(args.at)
    return _marked("ring-back", args, env, QueueMark(ring_back=at), f"Case {{case}}: ring back {local(at)}.")


def time_meant(text: str) -> str:
    """Return the time that somebody means, UTC, as ISO 8601.

    Raises
    ------
    InvalidInputError
        U039, where it is none.
    """
    from ...engine.case.queue_marks import time_of
    from ...engine.errors import InvalidInputError, Problem

    found = time_of(text.strip()[:40], datetime.now().astimezone())
    try:
        if found is not None:
            return found.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    except (OverflowError, OSError, ValueError):
        pass
    problem = Problem(
        code="U039",
        message=f"'{text[:40]}' is no time",
        expected="16:00, tomorrow 9:30, or 2026-12-01 16:00",
        mend="type one of these; nothing takes it away again",
    )
    raise InvalidInputError([problem])


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
