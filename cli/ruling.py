"""`dryfloor rule`: the card of a rule, or the list of all rules by area."""

import argparse
from typing import Any

from .env import Env
from .pen import Pen


def rule(args: argparse.Namespace, env: Env) -> int:
    """Show one rule, or all of them."""
    from ..engine.problems import Problem, Refused, nearest, one_of
    from ..engine.rulebook import by_area, entry
    from .commands import emit, load
    from .result import Result

    kb = load(args, env)
    pen = Pen(env.width, env.colour)
    if args.id is None:
        areas = by_area(kb)
        out: list[str] = []
        for area, rows in areas.items():
            out += ["", pen.paint(area.replace("_", " ").upper(), "strong")]
            for row in rows:
                out += pen.wrap(f"{row.rule}: {row.limits} ({row.authority})", 4)
        return emit(env, Result(command="rule", status="listed", data=areas, lines=out[1:]), args.json)
    if args.id not in kb.rules:
        raise Refused(
            [
                Problem(
                    code="U003",
                    message=f"unknown rule '{args.id}'",
                    expected=one_of(kb.rules),
                    nearest=nearest(args.id, kb.rules),
                    mend="dryfloor rule lists them all",
                )
            ]
        )
    card = entry(kb, args.id)
    return emit(env, Result(command="rule", status="shown", data=card, lines=lines(pen, card)), args.json)


def lines(pen: Pen, card: Any) -> list[str]:
    """Return a rule's card as text."""
    out = [pen.paint(card.title, "strong")]
    out += pen.labelled("limit", f"{card.limits}")
    out += pen.labelled("of", card.of)
    out += pen.labelled("whose", card.whose)
    for side, text in card.breaks.items():
        out += pen.labelled(side, text)
    for text in card.applies:
        out += pen.labelled("where", text)
    for text in card.measure:
        out += pen.labelled("measure", text)
    for text in card.neighbours:
        out += pen.labelled("beside it", text)
    for text in card.causes:
        out += pen.labelled("broken by", text)
    for text in card.sources:
        out += pen.labelled("source", text)
    for text in card.practice:
        out += pen.labelled("practice", text)
    for text in card.working:
        out += pen.labelled("working", text)
    return out
