"""Sheets to fill in: the whole one, one for some minutes or a stage, and how the share grows with the minutes."""

import argparse
import math
from typing import TYPE_CHECKING, Any, get_args

from ..result import Result
from ..terminal.env import Env

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.paper.filled_sheet import FilledSheet
    from ...engine.shortlist.choice import SheetLines

STEPS = (5, 10, 15, 20, 30, 45, 60)  # minutes of which a curve's share is told in words
MOST_MINUTES = 600.0


def problem(code: str, message: str, expected: str, mend: str) -> Exception:
    """Return a mistake on the command line, to be raised."""
    from ...engine.errors import InvalidInputError, Problem

    found: Problem = Problem(code=code, message=message, expected=expected, mend=mend)
    return InvalidInputError([found])


def stage_named(text: str | None) -> "model.Stage | None":
    """Return a stage by its name.

    Raises
    ------
    InvalidInputError
        If there is no such stage.
    """
    from ...engine import model
    from ...engine.errors import nearest

    known: tuple[Any, ...] = get_args(model.Stage)
    if text is None or text in known:
        return text  # type: ignore[return-value]
    near = nearest(text, known)
    mend = f"--stage {near}" if near else f"one of: {', '.join(known)}"
    raise problem("S009", f"unknown stage '{text}'", ", ".join(known), mend)


def minutes_named(text: str | None) -> float | None:
    """Return a number of minutes.

    Raises
    ------
    InvalidInputError
        If it is none.
    """
    if text is None:
        return None
    try:
        value = float(text.lower().removesuffix("min").strip())
    except ValueError:
        value = math.nan
    if not 0 < value <= MOST_MINUTES:
        raise problem(
            "S010", f"'{text}' is no number of minutes", f"above 0 and up to {MOST_MINUTES:g}", "--minutes 10"
        )
    return value


def chosen(
    kb: "model.KB", filled: "FilledSheet", stage: "model.Stage | None", skipped: "frozenset[str]" = frozenset()
) -> "SheetLines":
    """Return the lines of a site, to be asked for any number of minutes."""
    from ...engine.diagnosis.network import network_of
    from ...engine.shortlist.choice import SheetLines

    return SheetLines(network_of(kb), filled.hands, filled.facts, stage, filled.readings, skipped)


def blank(
    args: argparse.Namespace,
    env: Env,
    kb: "model.KB",
    filled: "FilledSheet",
    role: "model.Role",
    stage: "model.Stage | None",
    minutes: float | None,
) -> Result:
    """Return a sheet to fill in."""
    from ...engine.shortlist.choice import to_builtins
    from ...engine.shortlist.printed import due_lines, printed
    from ...engine.shortlist.round import in_order
    from ...engine.survey import blank_sheet
    from ...engine.survey.must_see import again, asked_again, without

    once_more = asked_again(kb, filled) if stage else again(kb, filled)
    left = without(filled, once_more)
    width = blank_sheet.WIDTH if args.json else max(39, min(env.width - 1, 99))
    data: dict[str, Any] = {}
    if stage is None and minutes is None:
        if left.readings:
            raise problem(
                "S008",
                "--blank prints an empty sheet; it takes a filled one with --stage or --minutes alone",
                "dryfloor survey --blank, or a stage to go on with",
                "fill the sheet in, then give it without --blank; or add --stage leaving",
            )
        text = blank_sheet.blank(kb, filled.hands, filled.facts, args.machine or "", width)
    else:
        lines = chosen(kb, left, stage)
        choice = None
        if minutes is not None:
            choice = lines.choose(minutes)
            checks = in_order(kb, [kb.checks[n] for n in choice.lines])
            data["choice"] = to_builtins(choice)
        else:
            checks = due_lines(kb, lines.of_worth(), left, stage)
        text = printed(kb, filled, checks, role, stage, choice, width, once_more)
    return Result(command="survey", status="blank", data={"sheet": text, **data}, lines=text.splitlines())


def curve(
    args: argparse.Namespace, env: Env, kb: "model.KB", filled: "FilledSheet", stage: "model.Stage | None"
) -> Result:
    """Write how the share grows with the minutes, and tell it at some of them."""
    from ..render.curve import svg
    from ..terminal.layout import Layout

    lines = chosen(kb, filled, stage)
    points = lines.curve(STEPS[-1])
    must = lines.choose(STEPS[-1]).must_minutes
    written(args.curve, svg(points, must), "the curve")
    at = dict(points)
    told = [{"minutes": m, "share": at[float(m)]} for m in STEPS]
    layout = Layout(env.width, env.colour)
    text = layout.wrap(
        f"Written to {args.curve}. Of the callback cost that all {len(lines.whole)} lines can prevent (judgement of the kb's rates and fees):"
    )
    text += [line for t in told for line in layout.wrap(f"{t['minutes']:3g} min  {100 * t['share']:3.0f} in 100", 3)]
    text += layout.wrap(f"What must be seen takes {must:g} min of hands.")
    return Result(
        command="survey",
        status="curve",
        data={"points": [{"minutes": m, "share": s} for m, s in points], "must_minutes": must, "file": args.curve},
        lines=text,
    )


def written(path: str, text: str, what: str) -> None:
    """Write a file.

    Raises
    ------
    InvalidInputError
        If it can't be written.
    """
    from pathlib import Path

    from ...engine.errors import InvalidInputError, Problem

    try:
        Path(path).write_text(text, encoding="utf-8")
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="J003",
                    file=str(path),
                    message=f"{what} could not be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file",
                )
            ]
        ) from error
