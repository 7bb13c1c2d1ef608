"""`dryfloor survey`: a finished installation against every rule, before anybody leaves it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..render.survey import lines
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.survey.assess import Survey
    from ...engine.survey.filled_sheet import FilledSheet


def run(args: argparse.Namespace, env: Env) -> Result:
    """Survey a sheet, print a blank one, or ask line by line."""
    from ...engine.knowledge.machine_sheet import load_sheet
    from ...engine.planning.roles import default_hands
    from ...engine.survey.assess import survey as judge
    from ...engine.survey.assess import to_builtins
    from ...engine.survey.blank_sheet import WIDTH, blank
    from ...engine.survey.filled_sheet import with_machine
    from ..inputs import check_role, load

    role: Any = check_role(args.role) or "technician"
    hands = default_hands(role)
    plain_kb = load(argparse.Namespace(kb=args.kb), env)
    if args.blank:
        _alone(args)
        kb, filled = with_machine(plain_kb, _nothing(hands), args.machine)
        width = WIDTH if args.json else max(39, min(env.width - 1, 99))
        text = blank(kb, hands, filled.facts, args.machine or "", width)
        result = Result(command="survey", status="blank", data={"sheet": text}, lines=text.splitlines())
        return result
    if args.machine:
        load_sheet(plain_kb, args.machine)  # a wrong name is said before anything is asked
    kb, filled = _filled(args, env, plain_kb, role)
    done = judge(kb, filled)
    if args.html:
        _write(Path(args.html), kb, done)
    return Result(
        command="survey",
        status=status(done),
        exit=exit_of(done),
        data=to_builtins(done),
        lines=lines(Layout(env.width, env.colour), kb, done),
    )


def status(done: "Survey") -> str:
    """Return one word for a survey: broken, not-finished, undecided where a reading is too close to call, sound, or nothing-measured."""
    if done.failed:
        return "broken"
    if not done.counts["within"] and not done.counts["too-close"] and not done.proofs:
        return "nothing-measured"
    if done.missing:
        return "not-finished"
    return "undecided" if done.counts["too-close"] else "sound"


def exit_of(done: "Survey") -> Exit:
    """Return the exit code of a survey: 1 where something is broken or nothing was judged, 6 where it is not finished, else 0."""
    word = status(done)
    if word in ("broken", "nothing-measured"):
        return Exit.NOTHING
    return Exit.UNFINISHED if word == "not-finished" else Exit.DONE


def _alone(args: argparse.Namespace) -> None:
    """Refuse what a blank sheet can't do."""
    from ...engine.errors import InvalidInputError, Problem

    if args.sheet or args.html:
        raise InvalidInputError(
            [
                Problem(
                    code="S008",
                    message="--blank prints an empty sheet; it takes neither a filled one nor --html",
                    expected="dryfloor survey --blank, with --role and --machine where they matter",
                    mend="fill the sheet in, then give it without --blank",
                )
            ]
        )


def _nothing(hands: Any, machine: str | None = None) -> "FilledSheet":
    from ...engine.survey.filled_sheet import FilledSheet

    return FilledSheet("Survey", {}, {}, machine, hands)


def _filled(args: argparse.Namespace, env: Env, kb: "model.KB", role: Any) -> "tuple[model.KB, FilledSheet]":
    """Return the kb with the machine's limits, and the filled sheet: from a file, from a pipe, or by asking."""
    from ...engine.knowledge.strict_yaml import from_bytes, read
    from ...engine.planning.roles import default_hands
    from ...engine.survey.filled_sheet import sheet_of, with_machine

    hands = default_hands(role)
    if args.sheet == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        parsed = from_bytes(raw.read(1_000_001) if raw else env.stdin.read().encode(), "<stdin>")
        return with_machine(kb, sheet_of(kb, parsed, hands), args.machine)
    if args.sheet:
        return with_machine(kb, sheet_of(kb, read(args.sheet), hands), args.machine)
    from .survey_dialog import Asking

    own, start = with_machine(kb, _nothing(hands), args.machine)
    filled = Asking(env, own, role, hands, args.json, start).run()
    return own, filled


def _write(path: Path, kb: "model.KB", done: "Survey") -> None:
    from ...engine.errors import InvalidInputError, Problem
    from ..render.acceptance import page

    try:
        path.write_text(page(kb, done), encoding="utf-8")
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="J003",
                    file=str(path),
                    message=f"the acceptance sheet could not be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file after --html",
                )
            ]
        ) from error
