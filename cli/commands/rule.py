"""`dryfloor rule`: the card of a rule, or the list of all rules by area."""

import argparse
from typing import TYPE_CHECKING

from ..terminal.env import Env
from ..terminal.layout import Pen

if TYPE_CHECKING:
    from ...engine.survey.rule_card import Entry


def rule(args: argparse.Namespace, env: Env) -> int:
    """Show one rule, or all of them."""
    from ...engine.errors import Problem, Refused, nearest, one_of
    from ...engine.survey.areas import area_title
    from ...engine.survey.rule_card import by_area, entry
    from ..inputs import load
    from ..result import Result, emit

    kb = load(args, env)
    pen = Pen(env.width, env.colour)
    if args.id is None:
        areas = by_area(kb)
        out: list[str] = []
        for area, rows in areas.items():
            out += ["", pen.paint(area_title(area).upper(), "strong")]
            for row in rows:
                out += [*pen.wrap(row.rule, 3), *pen.wrap(f"{row.limits} ({row.authority})", 6)]
        out += ["", *pen.wrap("One of them whole: dryfloor rule ID")]
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


def lines(pen: Pen, card: "Entry") -> list[str]:
    """Return a rule's card as text."""
    out = [pen.paint(line, "strong") for line in pen.wrap(f"{card.title} ({card.rule})")]
    out += pen.labelled("limit", card.limits)
    out += pen.labelled("of", card.of)
    out += pen.labelled("whose", card.whose)
    for text in card.applies:
        out += pen.labelled("where", text)
    for side, text in card.breaks.items():
        out += pen.labelled(side, text)
    for side, led in card.leads_to.items():
        which = f"{side} the limit: " if len(card.leads_to) > 1 else ""
        out += pen.labelled("leads to", f"{which}{', '.join(led)}")
    for text in card.causes:
        out += pen.labelled("cause", text)
    for text in card.measure or [
        "worked out from other readings" if card.derived else "no line of the survey reads it"
    ]:
        out += pen.labelled("measure", text)
    for text in card.working:
        out += pen.labelled("working", text)
    for text in card.neighbours:
        out += pen.labelled("beside", text)
    for text in card.sources:
        out += pen.labelled("source", text)
    for text in card.practice:
        out += pen.labelled("practice", text)
    return out
