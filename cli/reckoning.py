"""`dryfloor reckon`: the physics behind the rules as a calculator."""

import argparse
from typing import Any

from .env import Env
from .pen import Pen


def reckon(args: argparse.Namespace, env: Env) -> int:
    """List workings, show what one takes, or do one with values."""
    from ..engine.problems import Problem, Refused
    from ..engine.workings import all_workings, find, work
    from .commands import emit
    from .result import Exit, Result

    pen = Pen(env.width, env.colour)
    if args.name is None:
        rows = [
            {"name": w.name, "title": w.title, "area": w.area, "takes": [i.name for i in w.inputs]}
            for w in all_workings().values()
        ]
        lines = [
            line
            for w in all_workings().values()
            for line in pen.wrap(f"{w.name}: {w.title} (takes {', '.join(i.name for i in w.inputs)})", 4)
        ]
        return emit(env, Result(command="reckon", status="listed", data={"workings": rows}, lines=lines), args.json)
    working = find(args.name)
    given: dict[str, str] = {}
    for pair in args.values:
        key, eq, value = pair.partition("=")
        if not eq:
            raise Refused(
                [
                    Problem(
                        code="R006",
                        message=f"'{pair}' is no NAME=VALUE",
                        expected="such as height='39 in'",
                        mend="write the input's name, =, and its value with a unit",
                    )
                ]
            )
        given[key.strip()] = value.strip()
    if not given and any(i.default is None for i in working.inputs):
        return emit(
            env,
            Result(
                command="reckon", status="described", exit=Exit.DONE, data=describe(working), lines=_card(pen, working)
            ),
            args.json,
        )
    done = work(args.name, given)
    lines = [pen.paint(done.title, "strong")]
    for i in working.inputs:
        basis = "" if i.name in given else f" ({i.basis or 'default'})"
        lines += pen.labelled("takes", f"{i.name} {done.given[i.name]}{basis}: {i.says}")
    for o in working.outputs:
        bound = {"upper": ", at most", "lower": ", at least"}.get(o.bound, "")
        lines += pen.labelled("gives", f"{o.name} {done.shown[o.name]}{bound}: {o.says}")
    for text in done.says:
        lines += pen.labelled("so", text)
    for text in done.sources:
        lines += pen.labelled("source", text)
    return emit(env, Result(command="reckon", status="done", data=done, lines=lines), args.json)


def describe(working: Any) -> dict[str, Any]:
    """Return what a working takes and gives, as data."""
    return {
        "name": working.name,
        "title": working.title,
        "sources": list(working.sources),
        "takes": [
            {"name": i.name, "measures": i.measures, "says": i.says, "default": i.default, "basis": i.basis}
            for i in working.inputs
        ],
        "gives": [{"name": o.name, "measures": o.measures, "says": o.says, "bound": o.bound} for o in working.outputs],
    }


def _card(pen: Pen, working: Any) -> list[str]:
    lines = [pen.paint(working.title, "strong")]
    for i in working.inputs:
        default = f"; {i.default} unless said ({i.basis})" if i.default is not None else ""
        lines += pen.labelled("takes", f"{i.name}: {i.says} ({i.measures}{default})")
    for o in working.outputs:
        lines += pen.labelled("gives", f"{o.name}: {o.says} ({o.measures})")
    for text in working.sources:
        lines += pen.labelled("source", text)
    need = " ".join(f"--with {i.name}=..." for i in working.inputs if i.default is None)
    lines += pen.labelled("try", f"dryfloor reckon {working.name} {need}")
    return lines
