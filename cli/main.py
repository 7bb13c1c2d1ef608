"""From a command line to its command and an exit code; what goes wrong on the way is said as text or as JSON."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from .. import __version__
from .arguments import CASE_EXAMPLES, UsageError, parser
from .terminal.env import Env, one_thread

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any, NoReturn


def run(argv: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code."""
    one_thread()
    env = Env()
    code = main(list(sys.argv[1:] if argv is None else argv), env)
    try:
        env.stdout.flush()
    except OSError:
        _mute()
    raise SystemExit(code)


def _mute() -> None:
    """Point the program's own streams nowhere: a reader is gone, and Python would complain of it at exit."""
    import os

    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            os.dup2(nowhere, stream.fileno())
        except (AttributeError, ValueError):
            continue


def main(argv: list[str], env: Env) -> int:
    """Return the exit code of a command line.

    Parameters
    ----------
    argv : list of str
        Arguments without the program's name.
    env : Env
        Streams and folders.
    """
    as_json = "--json" in argv
    try:
        known = {"-h", "--help", "--version"}
        args = _parsed(argv if argv and (argv[0] in known or not argv[0].startswith("-")) else ["walk", *argv])
        return _dispatch(args, env)
    except UsageError as error:
        return _fail(env, as_json, argv, str(error), 2)
    except KeyboardInterrupt:
        return _interrupted(env, as_json, argv)
    except BrokenPipeError:
        _mute()
        return 130 if _command(argv) == "walk" else 0
    except Exception as error:  # the last net: a person sees one line, the report holds the rest
        if _refused(error):
            return _refusal(env, as_json, argv, error)
        return _bug(env, as_json, argv, error)


def _parsed(words: list[str]) -> argparse.Namespace:
    """Return what a command line says; what is wrong with it is held against the words of all commands."""
    if words[0] == "walk":
        try:
            return parser(whole=False).parse_args(words)
        except UsageError:
            pass
    return parser().parse_args(words)


def _units(args: argparse.Namespace, env: Env) -> None:
    """Show the reader's units; other programs always get both, US first, whatever the locale."""
    wanted = getattr(args, "units", None)
    if wanted not in (None, "us", "si", "both"):
        raise UsageError(f"unknown units '{wanted}', expected us, si or both\ntry: dryfloor walk --units si")
    first = "si-first" if env.metric else "both"
    for_programs = getattr(args, "json", False) or str(getattr(args, "out", "")).endswith(".json")
    reader = "both" if for_programs else wanted if wanted in ("us", "si") else first
    if reader != "both":
        from ..engine.measurement.formatting import READER

        READER.set(reader)


def _dispatch(args: argparse.Namespace, env: Env) -> int:
    _units(args, env)
    if args.command == "walk":
        from .walk import begin

        return begin.walk(args, env)
    if args.command in CASE_EXAMPLES:
        from .commands import cases

        on_case: Callable[[argparse.Namespace, Env], int] = getattr(cases, args.command)
        return on_case(args, env)
    if args.command in ("hear", "advise"):
        from .commands import advise
    if args.command == "hear":
        return advise.hear(args, env)
    if args.command == "advise":
        return advise.advise(args, env)
    if args.command in ("handover", "bring", "report"):
        from .commands import reports

        tell: Callable[[argparse.Namespace, Env], int] = getattr(reports, args.command)
        return tell(args, env)
    if args.command == "survey":
        from .commands import survey

        return survey.survey(args, env)
    if args.command == "rule":
        from .commands import rule

        return rule.rule(args, env)
    if args.command == "reckon":
        from .commands import reckon

        return reckon.reckon(args, env)
    if args.command == "completion":
        from .commands import completion

        return completion.completion(args, env)
    if args.command == "serve":
        from .commands import serve

        return serve.serve(args, env)
    from .commands import kb

    if args.tool == "check":
        return kb.kb_check(args, env)
    if args.tool == "schema":
        return kb.kb_schema(args, env)
    keepers = {"figures": "figures", "draw": "draw", "page": "page", "try": "attempt"}
    if args.tool in keepers:
        run_tool: Callable[[argparse.Namespace, Env], int] = getattr(kb, keepers[args.tool])
        return run_tool(args, env)
    raise UsageError(f"kb needs a tool: check, schema, {', '.join(keepers)}\ntry: dryfloor kb --help")


def _interrupted(env: Env, as_json: bool, argv: list[str]) -> int:
    """Say that it was interrupted, before or after a conversation; what was confirmed is in its journal."""
    from .result import Exit, Result, envelope

    env.say("", err=True)
    if as_json:
        env.say(envelope(Result(command=_command(argv), status="interrupted", exit=Exit.INTERRUPTED)))
    return 130


def _refused(error: Exception) -> bool:
    from ..engine.errors import InvalidInputError

    return isinstance(error, InvalidInputError)


def _command(argv: list[str]) -> str:
    return argv[0] if argv and not argv[0].startswith("-") else "walk"


def _refusal(env: Env, as_json: bool, argv: list[str], error: Any) -> int:
    from .result import Exit, Result, envelope

    is_kb = error.kb
    code = Exit.KB if is_kb else Exit.USAGE
    if as_json:
        env.say(
            envelope(
                Result(
                    command=_command(argv),
                    status="kb-invalid" if is_kb else "refused",
                    exit=code,
                    errors=error.problems,
                )
            )
        )
    else:
        for problem in error.problems[:40]:
            for line in problem.lines():
                env.say(line, err=True)
        if len(error.problems) > 40:
            env.say(f"and {len(error.problems) - 40} more", err=True)
    return int(code)


def _fail(env: Env, as_json: bool, argv: list[str], message: str, code: int) -> int:
    if as_json:
        from ..engine.errors import Problem
        from .result import Exit, Result, envelope

        env.say(
            envelope(
                Result(
                    command=_command(argv),
                    status="usage",
                    exit=Exit(code),
                    errors=[Problem(code="U001", message=message.splitlines()[0], mend=message.splitlines()[-1])],
                )
            )
        )
    else:
        env.say(f"dryfloor: {message}", err=True)
    return code


def _bug(env: Env, as_json: bool, argv: list[str], error: Exception) -> int:
    """Keep a report and say where it is; never show a traceback."""
    import traceback

    path = env.data_dir / "fault-report.txt"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.write_text(
            f"dryfloor {__version__} {' '.join(argv)}\n" + "".join(traceback.format_exception(error)), encoding="utf-8"
        )
        where = f"a report is in {path}"
    except OSError:
        where = "no report could be written"
    return _fail(
        env,
        as_json,
        argv,
        f"a fault in dryfloor itself ({type(error).__name__}); what you had answered is kept; {where}\nplease send the report to whoever keeps dryfloor",
        3,
    )
