"""`dryfloor month`: a month of kept cases on one page."""

from __future__ import annotations

import argparse
import re
import time
from collections.abc import Callable
from pathlib import Path

from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout

SUFFIXES = (".html", ".md", ".csv")
TELL = 2.0  # after so long it is said how far it is, and again after as long [s]
MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])")


def run(args: argparse.Namespace, env: Env) -> Result:
    """Tell a month, or write it."""
    from ...engine.case.installed import surveyed
    from ...engine.errors import InvalidInputError, Problem, nearest, one_of
    from ...engine.reports.month import MonthCase
    from ...engine.reports.month import month as make
    from ..arguments import UsageError
    from ..inputs import load
    from ..render.month import csv_of, markdown, month_lines
    from .closed import kept
    from .learn import write_file

    if args.of and not MONTH.fullmatch(args.of):
        raise UsageError(f"--of is '{args.of}', expected a month such as 2026-11\ntry: dryfloor month --help")
    if args.out and Path(args.out).suffix not in SUFFIXES:
        raise InvalidInputError(
            [
                Problem(
                    code="U006",
                    message=f"'{args.out}' is no kind of report",
                    expected=one_of(SUFFIXES),
                    nearest=nearest(Path(args.out).suffix, SUFFIXES),
                    mend="let the name after -o end in one of them",
                )
            ]
        )
    kb = load(args, env)
    of, own, surveys = args.of or "", list[MonthCase](), list[str]()
    for case in kept(args, env, kb):
        if surveyed(case.events) is not None:
            surveys.append(case.reference)
            continue
        if not args.of and case.touched[:7] > of:
            of, own = case.touched[:7], []
        if case.touched[:7] == of:
            own.append(MonthCase(id=case.name, reference=case.reference, events=case.events, times=tuple(case.times())))
    found = make(kb, of, own, surveys, _progress(env))
    lines = month_lines(Layout(env.width, env.colour), found)
    if args.out:
        suffix = Path(args.out).suffix
        if suffix == ".html":
            from ..render.month_page import page

            text = page(found)
        else:
            text = markdown(found) if suffix == ".md" else csv_of(found)
        write_file(Path(args.out), text)
        lines = [f"{found.of}: {args.out}"]
    return Result(
        command="month",
        status="told" if found.cases else "nothing",
        exit=Exit.DONE if found.cases else Exit.NOTHING,
        data=found,
        lines=lines,
    )


def _progress(env: Env) -> Callable[[int, int], None]:
    """Return what says on standard error how far the visits are played, once that takes long."""
    begun = time.monotonic()
    last = [begun]

    def told(done: int, of: int) -> None:
        now = time.monotonic()
        if done and now - last[0] >= TELL:
            last[0] = now
            left = (now - begun) / done * (of - done)
            env.say(f"what bring said: {done} of {of} cases, {left:.0f} s left", True)

    return told
