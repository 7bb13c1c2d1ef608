"""What every command returns: a status, an exit code, data, errors; and the one envelope that --json prints."""

from __future__ import annotations

from enum import IntEnum
from typing import Any

import msgspec

from .. import __version__
from ..engine.errors import Problem, shown_problems
from ..engine.language.sanitize import escaped

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from collections.abc import Sequence

    from ..engine.advice import Advice
    from ..engine.case.events import Event
    from ..engine.language.matching import Heard


class Exit(IntEnum):
    """Exit codes, the same for every command."""

    DONE = 0
    NOTHING = 1
    USAGE = 2
    BUG = 3
    KB = 4
    SAFETY = 5
    UNFINISHED = 6
    INTERRUPTED = 130


EXITS = {
    Exit.DONE: "done",
    Exit.NOTHING: "no supported conclusion, or nothing found",
    Exit.USAGE: "wrong usage or an unusable file",
    Exit.BUG: "a fault in dryfloor itself; a report is kept and its path printed",
    Exit.KB: "the kb is not valid",
    Exit.SAFETY: "stopped for safety; the case is kept",
    Exit.UNFINISHED: "not finished: something that must be seen was not",
    Exit.INTERRUPTED: "interrupted; the case is kept",
}


class Result(msgspec.Struct, kw_only=True):
    """The outcome of a command; `lines` is its text for people."""

    command: str
    status: str
    exit: Exit = Exit.DONE
    data: Any = None
    errors: list[Problem] = msgspec.field(default_factory=list)
    more: int = 0  # errors beside these that were counted and not kept
    lines: list[str] = msgspec.field(default_factory=list)
    kb: str = ""  # path of the kb folder that was read, where that is told


def envelope(result: Result) -> str:
    """Return the JSON envelope of a result, keys in one fixed order.

    Examples
    --------
    >>> envelope(Result(command="hear", status="ok", data={})).split()[1]
    '"dryfloor":'
    """
    body = {
        "dryfloor": __version__,
        "command": result.command,
        "status": result.status,
        "exit": int(result.exit),
        "data": result.data if result.data is not None else {},
        "errors": [msgspec.to_builtins(p) for p in shown_problems(result.errors, result.more)],
        **({"kb": result.kb} if result.kb else {}),
    }
    try:
        text = msgspec.json.encode(body)
    except UnicodeEncodeError:  # a file name that is not UTF-8: say it with question marks
        import json

        text = json.dumps(msgspec.to_builtins(body), ensure_ascii=False).encode("utf-8", "replace")
    return escaped(msgspec.json.format(text, indent=2).decode())


def heard(found: Heard, lines: list[str] | None = None, readings: Sequence[Event] = ()) -> Result:
    """Return what was heard as a result, for every face that other programs use."""
    data = {
        "complaints": [
            {"complaint": m.complaint, "score": m.score, "phrase": m.words, "likely": m.likely, "chance": m.chance}
            for m in found.complaints
        ],
        "facts": [{"fact": f.fact, "is": f.option, "phrase": f.words} for f in found.facts],
        "answers": [{"check": a.check, "answer": a.answer, "phrase": a.words} for a in found.answers],
        "hazards": [{"hazard": h.hazard, "phrase": h.words} for h in found.hazards],
        "readings": [{"check": e.check, "value": e.value} for e in readings],
        "reason": found.off_topic,
        "order": found.order,
    }
    fits = bool(found.complaints)
    return Result(
        command="hear",
        status="heard" if fits else "nothing-fits",
        exit=Exit.DONE if fits else Exit.NOTHING,
        data=data,
        lines=lines or [],
    )


def advised(advice: Advice, lines: list[str] | None = None) -> Result:
    """Return advice as a result, for every face that other programs use."""
    code = (
        Exit.SAFETY
        if advice.status == "stopped"
        else Exit.DONE
        if advice.next or advice.status != "no-step"
        else Exit.NOTHING
    )
    return Result(command="advise", status=advice.status, exit=code, data=advice, lines=lines or [])
