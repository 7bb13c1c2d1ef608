"""`dryfloor rule`: the card of a rule, or the list of all rules by area."""

import argparse
from typing import TYPE_CHECKING

from ..result import Result
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.survey.rule_card import RuleCard


def run(args: argparse.Namespace, env: Env) -> Result:
    """Show one rule, or all of them."""
    from ...engine.errors import InvalidInputError, Problem, nearest, one_of
    from ...engine.knowledge.machine_sheet import load_sheet
    from ...engine.survey.areas import area_title
    from ...engine.survey.rule_card import by_area, rule_card
    from ..inputs import load

    kb = load(args, env)
    layout = Layout(env.width, env.colour)
    if args.id is None:
        areas = by_area(kb)
        out: list[str] = []
        for area, rows in areas.items():
            out += ["", layout.paint(area_title(area).upper(), "strong")]
            for row in rows:
                out += [*layout.wrap(row.rule, 3), *layout.wrap(f"{row.limits} ({row.authority})", 6)]
        out += ["", *layout.wrap("One of them whole: dryfloor rule ID")]
        return Result(command="rule", status="listed", data=areas, lines=out[1:])
    if args.id not in kb.rules:
        raise InvalidInputError(
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
    card = rule_card(kb, args.id)
    if args.picture:
        return drawn_to(args.picture, kb, args.id, layout, load_sheet(kb, args.machine) if args.machine else None)
    return Result(command="rule", status="shown", data=card, lines=lines(layout, card))


def drawn_to(file: str, kb: "model.KB", name: str, layout: Layout, machine: "model.Machine | None" = None) -> Result:
    """Write the picture of a rule, with the limits and sizes of a machine's sheet, or say that it has none.

    Raises
    ------
    InvalidInputError
        Where the rule has no picture.
    """
    from pathlib import Path

    from ...engine.advising.illustrations import drawn, of_check, of_rule
    from ...engine.errors import InvalidInputError, Problem
    from .kb import write

    rule = kb.rules[name]
    looks = [i for c in kb.checks.values() if c.rule == name for i in of_check(kb, c, rule)]
    shown = [*of_rule(rule), *looks][:1]
    if not shown:
        mend = "dryfloor kb picture lists what is drawn"
        raise InvalidInputError([Problem(code="U026", message=f"the rule '{name}' has no picture", mend=mend)])
    write({Path(file): drawn(kb, shown[0], machine=machine)})
    data = {"rule": name, "picture": shown[0].id, "file": file}
    return Result(command="rule", status="drawn", data=data, lines=layout.wrap(f"drawn: {file}"))


def lines(layout: Layout, card: "RuleCard") -> list[str]:
    """Return a rule's card as text."""
    out = [layout.paint(line, "strong") for line in layout.wrap(f"{card.title} ({card.rule})")]
    out += layout.labelled("limit", card.limits)
    out += layout.labelled("of", card.of)
    out += layout.labelled("whose", card.whose)
    for text in card.applies:
        out += layout.labelled("where", text)
    for side, text in card.breaks.items():
        out += layout.labelled(side, text)
    for side, led in card.leads_to.items():
        which = f"{side} the limit: " if len(card.leads_to) > 1 else ""
        out += layout.labelled("leads to", f"{which}{', '.join(led)}")
    if card.danger:
        out += layout.labelled("danger", card.danger)
    for text in card.causes:
        out += layout.labelled("cause", text)
    for text in card.measure or [
        "worked out from other readings" if card.derived else "no line of the survey reads it"
    ]:
        out += layout.labelled("measure", text)
    for text in card.working:
        out += layout.labelled("working", text)
    for text in card.neighbours:
        out += layout.labelled("beside", text)
    for text in card.instead:
        out += layout.labelled("instead", text)
    for text in card.sources:
        out += layout.labelled("source", text)
    for text in card.practice:
        out += layout.labelled("practice", text)
    return out
