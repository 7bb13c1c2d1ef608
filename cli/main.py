"""From a command line to its command and an exit code; what goes wrong on the way is said as text or as JSON."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from .. import __version__
from .arguments import RUNS, UsageError, parser
from .kb_place import place_of, said, settle
from .terminal.env import LONGEST_LINE, EndlessLineError, Env, OutputError, one_thread

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any, NoReturn

    from .result import Result


def run(argv: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code."""
    one_thread()
    _taken_streams()
    env = Env()
    try:
        code = main(list(sys.argv[1:] if argv is None else argv), env)
    except OutputError:  # what was to be said of it could not be written either
        _mute()
        code = 2
    try:
        env.stdout.flush()
    except (OSError, ValueError):
        _mute()
    raise SystemExit(code)


def _taken_streams() -> None:
    """Keep the numbers of streams that are closed from being given to a file: what is meant for a person would go into it."""
    import os

    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


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
    args = argparse.Namespace()
    try:
        known = {"-h", "--help", "--version"}
        args = _parsed(argv if argv and (argv[0] in known or not argv[0].startswith("-")) else ["walk", *argv])
        _units(args, env)
        settle(args, env)
        result = args.func(args, env)
        return _emit(env, result, args.json)
    except UsageError as error:
        return _fail(env, as_json, argv, str(error), 2)
    except KeyboardInterrupt:
        return _interrupted(env, as_json, argv)
    except BrokenPipeError:
        _mute()
        return 130 if _command(argv) == "walk" else 0
    except OutputError as error:
        return _unwritten(env, error)
    except EndlessLineError:
        message = f"a line of more than {LONGEST_LINE:,} letters on standard input{_kept(env)}"
        return _fail(env, as_json, argv, f"{message}\nend each answer with a new line", 2)
    except OSError as error:
        if error.filename is None:
            return _bug(env, as_json, argv, error)
        return _fail(
            env,
            as_json,
            argv,
            f"{_short(error.filename)} can't be used: {error.strerror}{_kept(env)}\nname another file or folder",
            2,
        )
    except Exception as error:  # the last net: a person sees one line, the report holds the rest
        if _refused(error):
            return _refusal(env, as_json, argv, error, args)
        return _bug(env, as_json, argv, error)


def _parsed(words: list[str]) -> argparse.Namespace:
    """Return what a command line says; what is wrong with it is held against the words of all commands."""
    if words[0] in RUNS:
        try:
            return parser(words[0], _runner).parse_args(words)
        except UsageError:
            pass
    return parser(runner=_runner).parse_args(words)


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


def _runner(place: str) -> Callable[[argparse.Namespace, Env], Result]:
    """Return what runs the command of a place (`arguments.RUNS`); its module is imported when it is called."""

    def run_it(args: argparse.Namespace, env: Env) -> Result:
        from importlib import import_module

        module, _, name = place.partition(":")
        result: Result = getattr(import_module(f".{module}", __package__), name)(args, env)
        return result

    return run_it


def _emit(env: Env, result: Result, as_json: bool) -> int:
    """Print a result as its lines, or as the envelope, and return its exit code."""
    from ..engine.errors import shown_problems
    from .result import envelope

    if as_json:
        env.say(envelope(result))
    else:
        for line in result.lines:
            env.say(line)
        for problem in shown_problems(result.errors, result.more):
            for line in problem.lines():
                env.say(line, err=True)
    return int(result.exit)


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


def _refusal(env: Env, as_json: bool, argv: list[str], error: Any, args: argparse.Namespace) -> int:
    from ..engine.errors import shown_problems
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
                    more=error.more,
                    kb=place_of(args) if is_kb else "",
                )
            )
        )
    else:
        if is_kb:
            env.say(said(args), err=True)
        for problem in shown_problems(error.problems, error.more):
            for line in problem.lines():
                env.say(line, err=True)
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


def _short(name: object) -> str:
    text = str(name)
    return text if len(text) <= 200 else f"{text[:100]}...{text[-60:]} ({len(text)} letters)"


def _kept(env: Env) -> str:
    """Return that the answers so far are kept, where they are."""
    return f"; what you had answered is kept (case {env.case})" if env.case else ""


def _unwritten(env: Env, error: OutputError) -> int:
    """Say on the stream that is left that nothing can be written to the other one."""
    from contextlib import suppress

    with suppress(OutputError, BrokenPipeError):  # where both are gone the exit code alone says it
        env.say(f"dryfloor: {error}{_kept(env)}", err=True)
    _mute()
    return 2


def _bug(env: Env, as_json: bool, argv: list[str], error: Exception) -> int:
    """Keep a report and say where it is; never show a traceback."""
    import traceback

    path = env.data_dir / "fault-report.txt"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.write_text(
            f"dryfloor {__version__} {' '.join(argv)}\n" + "".join(traceback.format_exception(error)),
            encoding="utf-8",
            errors="backslashreplace",
        )
        where = f"a report is in {path}"
    except OSError:
        where = "no report could be written"
    return _fail(
        env,
        as_json,
        argv,
        f"a fault in dryfloor itself ({type(error).__name__}){_kept(env)}; {where}\nplease send the report to whoever keeps dryfloor",
        3,
    )
