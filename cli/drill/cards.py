"""`dryfloor cards`: the rules as cards to print, eight to a page."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..inputs import load
from ..result import Result
from ..terminal.env import Env
from ..terminal.layout import Layout


def run(args: argparse.Namespace, env: Env) -> Result:
    """Write the cards as a page, or print them as text."""
    from ...engine.drill.rule_questions import ALL, questions
    from ...engine.errors import InvalidInputError, Problem

    found = questions(load(args, env), args.area or "", args.numbers, args.supply or ALL)
    data = {"cards": found}
    if not args.out:
        layout = Layout(env.width, env.colour)
        lines = [line for q in found for line in _text(layout, q)]
        return Result(command="cards", status="listed", data=data, lines=lines[1:])
    path = Path(args.out)
    if path.suffix.lower() not in (".html", ".htm"):
        raise InvalidInputError(
            [
                Problem(
                    code="D008",
                    file=args.out,
                    message="cards are written as a page",
                    expected="a name that ends in .html",
                    mend="write -o cards.html; without -o they are printed as text",
                )
            ]
        )
    from ..render.rule_cards import A_PAGE, page

    try:
        path.write_text(page(found), encoding="utf-8")
    except OSError as error:
        raise InvalidInputError(
            [
                Problem(
                    code="D006",
                    file=args.out,
                    message=f"it can't be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file",
                )
            ]
        ) from error
    pages = 2 * -(-len(found) // A_PAGE)
    said = f"{len(found)} cards on {pages} pages, fronts and backs, in {args.out}. Print on both sides, turned at the long edge."
    return Result(
        command="cards",
        status="written",
        data={"file": args.out, "cards": len(found), "pages": pages},
        lines=Layout(env.width).wrap(said),
    )


def _text(layout: Layout, q: object) -> list[str]:
    from ...engine.drill.rule_questions import RuleQuestion

    assert isinstance(q, RuleQuestion)
    out = ["", *(layout.paint(line, "strong") for line in layout.wrap(q.title))]
    out += layout.labelled("of", q.of)
    for where in q.where:
        out += layout.labelled("where", where)
    out += layout.labelled("asks", q.ask)
    out += layout.labelled("limit", q.limit)
    out += layout.labelled("whose", q.whose)
    for text in q.breaks:
        out += layout.labelled("why", text)
    out += layout.labelled("source", q.source)
    return out
