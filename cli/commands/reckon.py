"""`dryfloor reckon`: the physics behind the rules as a calculator."""

import argparse
from typing import TYPE_CHECKING, Any

from ..result import Result
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine.calculators.calculator import Calculator, Input, Worked

BOUNDS = {"upper": ", at most", "lower": ", at least", "": ""}


def run(args: argparse.Namespace, env: Env) -> Result:
    """List workings, show what one takes, or do one with values."""
    from ...engine.calculators.calculator import all_calculators, find, work

    layout = Layout(env.width, env.colour)
    if args.name is None:
        if args.values:
            raise _refused(
                "R008",
                "--with stands without a working",
                "dryfloor reckon NAME --with ...",
                "dryfloor reckon lists the names",
            )
        found = list(all_calculators().values())
        rows = [{"name": w.name, "title": w.title, "area": w.area, "takes": [i.name for i in w.inputs]} for w in found]
        return Result(command="reckon", status="listed", data={"workings": rows}, lines=listed(layout, found))
    working = find(args.name)
    given = pairs(args.values)
    if not given and any(i.default is None for i in working.inputs):
        data = describe(working)
        return Result(command="reckon", status="described", data=data, lines=card(layout, working))
    done = work(args.name, given)
    return Result(command="reckon", status="done", data=done, lines=worked(layout, working, done, given))


def _refused(code: str, message: str, expected: str, mend: str) -> Exception:
    from ...engine.errors import InvalidInputError, Problem

    return InvalidInputError([Problem(code=code, message=message, expected=expected, mend=mend)])


def pairs(values: list[str]) -> dict[str, str]:
    """Return the inputs of `--with NAME=VALUE`, or refuse one that is no pair or comes twice."""
    given: dict[str, str] = {}
    for pair in values:
        key, eq, value = (part.strip() for part in pair.partition("="))
        if not (key and eq and value):
            raise _refused(
                "R006",
                f"'{pair}' is no NAME=VALUE",
                "such as height='39 in'",
                "write the input's name, =, and its value with a unit",
            )
        if key in given:
            raise _refused("R007", f"'{key}' is given twice", f"{given[key]}, or {value}", "leave one of them out")
        given[key] = value
    return given


def listed(layout: Layout, found: "list[Calculator]") -> list[str]:
    """Return all workings by area, each with its title."""
    from ...engine.survey.areas import area_rank, area_title

    out: list[str] = []
    for area in sorted({w.area for w in found}, key=area_rank):
        out += ["", layout.paint(area_title(area).upper(), "strong")]
        for w in found:
            if w.area == area:
                out += [*layout.wrap(w.name, 3), *layout.wrap(w.title, 6)]
    return [*out[1:], "", *layout.wrap("What one takes: dryfloor reckon NAME")]


def worked(layout: Layout, working: "Calculator", done: "Worked", given: dict[str, str]) -> list[str]:
    """Return a working that was done: what it took, what it gives, what that means, its sources."""
    lines = [layout.paint(line, "strong") for line in layout.wrap(done.title)]
    for i in working.inputs:
        basis = "" if i.name in given else f" (not given; {i.basis or 'usual'})"
        lines += layout.labelled("takes", f"{i.name} {done.given[i.name]}{basis}: {i.says}")
    for o in working.outputs:
        worth = ""
        if done.gives[o.name] is not None:  # there is nothing at most or about a "never"
            worth = BOUNDS[o.bound] + (
                f", give or take {200 * o.spread:.0f} in 100 ({o.spread_basis})" if o.spread else ""
            )
        lines += layout.labelled("gives", f"{o.name} {done.shown[o.name]}{worth}: {o.says}")
    for text in done.says:
        lines += layout.labelled("so", text)
    for text in done.sources:
        lines += layout.labelled("source", text)
    return lines


def describe(working: "Calculator") -> dict[str, Any]:
    """Return what a working takes and gives, as data."""
    return {
        "name": working.name,
        "title": working.title,
        "sources": list(working.sources),
        "rules": list(working.rules),
        "takes": [
            {"name": i.name, "measures": i.measures, "says": i.says, "default": i.default, "basis": i.basis}
            for i in working.inputs
        ],
        "gives": [
            {
                "name": o.name,
                "measures": o.measures,
                "says": o.says,
                "bound": o.bound,
                "spread": o.spread,
                "spread_basis": o.spread_basis,
            }
            for o in working.outputs
        ],
    }


def example(i: "Input") -> str:
    """Return what an input's value is and how it is written."""
    from ...engine.measurement.units import EXAMPLES

    return "a bare number" if i.measures == "number" else f"{i.measures}, like {EXAMPLES[i.measures]}"


def card(layout: Layout, working: "Calculator") -> list[str]:
    """Return what a working takes, with units, and what it gives."""
    lines = [layout.paint(line, "strong") for line in layout.wrap(working.title)]
    for i in working.inputs:
        default = f"; {i.default} where not given ({i.basis})" if i.default is not None else ""
        lines += layout.labelled("takes", f"{i.name}: {i.says} ({example(i)}{default})")
    for o in working.outputs:
        lines += layout.labelled("gives", f"{o.name}: {o.says} ({o.measures}{BOUNDS[o.bound]})")
    for text in working.sources:
        lines += layout.labelled("source", text)
    need = " ".join(f"--with {i.name}=..." for i in working.inputs if i.default is None)
    return lines + layout.labelled("try", f"dryfloor reckon {working.name} {need}")
