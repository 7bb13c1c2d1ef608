"""`dryfloor handover`, `bring` and `report`: a case told to whoever comes next, and to whoever keeps it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..render.handover import bring_lines, handover_lines
from ..result import Exit, Result, envelope
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event

SUFFIXES = (".html", ".md", ".json")


def handover(args: argparse.Namespace, env: Env) -> Result:
    """Print the hand-over card of a case."""
    from ...engine.reports.handover import handover as make
    from ..inputs import check_role

    role: Any = check_role(args.role) or "technician"
    kb, events = _case(args, env)
    card = make(kb, events, role)
    return Result(
            command="handover", status=card.status, exit=_exit(card.status, bool(card.complaints)), data=card,
            lines=handover_lines(Layout(env.width, env.colour), card),
        )  # fmt: skip


def bring(args: argparse.Namespace, env: Env) -> Result:
    """Print what to bring to a case, and whether to go."""
    from ...engine.reports.visit_plan import bring as make

    kb, events = _case(args, env)
    found = make(kb, events)
    return Result(
            command="bring", status=found.status, exit=_exit(found.status, found.status != "no-complaint"), data=found,
            lines=bring_lines(Layout(env.width, env.colour), found),
        )  # fmt: skip


def report(args: argparse.Namespace, env: Env) -> Result:
    """Write the report on a case, or print it as Markdown."""
    from ...engine.reports.report import READERS
    from ...engine.reports.report import report as make
    from ..render.report_md import markdown

    if args.reader not in READERS:
        _refuse(
            "U005", f"no report is written for '{args.reader}'", READERS, args.reader, "write one of them after --for"
        )
    if args.out and Path(args.out).suffix not in SUFFIXES:
        _refuse(
            "U006",
            f"'{args.out}' is no kind of report",
            SUFFIXES,
            Path(args.out).suffix,
            "let the name after -o end in one of them",
        )
    kb, events = _case(args, env)
    made = make(kb, events, args.reader, args.date)
    result = Result(
        command="report", status=made.verdict, exit=Exit.DONE if made.complaint else Exit.NOTHING, data=made
    )
    if not args.out:
        result.lines = markdown(made).splitlines()
        return result
    path = Path(args.out)
    if path.suffix == ".html":
        from ...engine.advising.illustrations import drawn
        from ..render.report_html import page

        machine = kb.machines.get(next((e.machine for e in reversed(events) if e.machine), ""))
        read = [line.measured for line in made.lines]
        text = page(made, {i.id: drawn(kb, i, read, machine, alone=False) for i in made.pictures})
    else:
        text = markdown(made) if path.suffix == ".md" else envelope(result) + "\n"
    _write(path, text)
    result.lines = [f"{made.verdict}: {path}"]
    return result


def _case(args: argparse.Namespace, env: Env) -> "tuple[model.KB, list[Event]]":
    """Return the kb with the limits of the case's machine, and the case."""
    from ..inputs import case_events, cleared_events, load, with_sheet

    kb = load(argparse.Namespace(kb=args.kb), env)
    events = [*case_events(kb, args, env), *cleared_events(kb, args.cleared)]
    kb, facts = with_sheet(kb, None, events)
    return kb, [*events, *facts]


def _exit(status: str, something: bool) -> "Exit":

    if status == "stopped":
        return Exit.SAFETY
    return Exit.DONE if something or status in ("solved", "reported-solved", "not-a-fault") else Exit.NOTHING


def _refuse(code: str, message: str, known: tuple[str, ...], said: str, mend: str) -> None:
    from ...engine.errors import InvalidInputError, Problem, nearest, one_of

    raise InvalidInputError(
        [Problem(code=code, message=message, expected=one_of(known), nearest=nearest(said, known), mend=mend)]
    )


def _write(path: Path, text: str) -> None:
    from ...engine.errors import InvalidInputError, Problem

    try:
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="J004",
                    file=str(path),
                    message=f"the report could not be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file after -o",
                )
            ]
        ) from error
