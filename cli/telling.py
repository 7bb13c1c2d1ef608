"""`dryfloor handover`, `bring` and `report`: a case told to whoever comes next, and to whoever keeps it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .env import Env
from .pen import Pen

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.bring import Bring
    from ..engine.case import Event
    from ..engine.handover import HandOver
    from .result import Exit

SUFFIXES = (".html", ".md", ".json")
MOST_WORDS = 600  # of a note on a card for the terminal [characters]; the report has all of it


def handover(args: argparse.Namespace, env: Env) -> int:
    """Print the hand-over card of a case."""
    from ..engine.handover import handover as make
    from .begin import check_role
    from .commands import emit
    from .result import Result

    role: Any = check_role(args.role) or "technician"
    kb, events = _case(args, env)
    card = make(kb, events, role)
    return emit(
        env,
        Result(
            command="handover", status=card.status, exit=_exit(card.status, bool(card.complaints)), data=card,
            lines=handover_lines(Pen(env.width, env.colour), card),
        ),
        args.json,
    )  # fmt: skip


def bring(args: argparse.Namespace, env: Env) -> int:
    """Print what to bring to a case, and whether to go."""
    from ..engine.bring import bring as make
    from .commands import emit
    from .result import Result

    kb, events = _case(args, env)
    found = make(kb, events)
    return emit(
        env,
        Result(
            command="bring", status=found.status, exit=_exit(found.status, found.status != "no-complaint"), data=found,
            lines=bring_lines(Pen(env.width, env.colour), found),
        ),
        args.json,
    )  # fmt: skip


def report(args: argparse.Namespace, env: Env) -> int:
    """Write the report on a case, or print it as Markdown."""
    from ..engine.report import READERS
    from ..engine.report import report as make
    from .commands import emit
    from .report_md import markdown
    from .result import Exit, Result, envelope

    if args.reader not in READERS:
        _refuse(
            "U005", f"no report is written for '{args.reader}'", READERS, args.reader, "write one of them after --for"
        )
    if args.out and Path(args.out).suffix not in SUFFIXES:
        _refuse(
            "U006",
            f"'{args.out}' is no kind of report",
            SUFFIXES,
            Path(args.out).suffix,
            "let the name after -o end in one of them",
        )
    kb, events = _case(args, env)
    made = make(kb, events, args.reader, args.date)
    result = Result(
        command="report", status=made.verdict, exit=Exit.DONE if made.complaint else Exit.NOTHING, data=made
    )
    if not args.out:
        result.lines = markdown(made).splitlines()
        return emit(env, result, args.json)
    path = Path(args.out)
    if path.suffix == ".html":
        from .report_html import page

        text = page(made)
    else:
        text = markdown(made) if path.suffix == ".md" else envelope(result) + "\n"
    _write(path, text)
    result.lines = [f"{made.verdict}: {path}"]
    return emit(env, result, args.json)


def _case(args: argparse.Namespace, env: Env) -> "tuple[model.KB, list[Event]]":
    """Return the kb with the limits of the case's machine, and the case."""
    from .commands import load, with_sheet
    from .given import case_events

    kb = load(argparse.Namespace(kb=args.kb), env)
    events = case_events(kb, args, env)
    kb, facts = with_sheet(kb, None, events)
    return kb, [*events, *facts]


def _exit(status: str, something: bool) -> "Exit":
    from .result import Exit

    if status == "stopped":
        return Exit.SAFETY
    return Exit.DONE if something or status in ("solved", "not-a-fault") else Exit.NOTHING


def _refuse(code: str, message: str, known: tuple[str, ...], said: str, mend: str) -> None:
    from ..engine.problems import Problem, Refused, nearest, one_of

    raise Refused(
        [Problem(code=code, message=message, expected=one_of(known), nearest=nearest(said, known), mend=mend)]
    )


def _write(path: Path, text: str) -> None:
    from ..engine.problems import Problem, Refused

    try:
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise Refused(
            [
                Problem(
                    code="J004",
                    file=str(path),
                    message=f"the report could not be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file after -o",
                )
            ]
        ) from error


def handover_lines(pen: Pen, card: "HandOver") -> list[str]:
    """Return the hand-over card as text: hazards first, then what is known, what to do, what to bring."""
    from ..engine.cards import in_100
    from ..engine.plain import printable

    out = [pen.paint(line, "strong") for line in pen.wrap(card.title)]
    for h in card.hazards:
        out += pen.labelled(h.signal, f"{h.text}. {h.says}", h.signal)
    out += _list(pen, "COMPLAINT", [*(f"\u201c{printable(w, MOST_WORDS)}\u201d" for w in card.words), *card.complaints])
    out += _list(pen, "RULED IN", [r.text for r in card.ruled_in])
    out += _list(
        pen, "STILL POSSIBLE", [r.text for r in card.possible] + ([card.unknown_text] if card.complaints else [])
    )
    out += _list(pen, "RULED OUT", [r.text for r in card.ruled_out])
    out += _list(pen, "THE PLACE", card.facts)
    out += _list(pen, "ANSWERED", card.answered)
    out += _list(pen, "DONE", card.done)
    out += _list(pen, "FIRST ON ARRIVAL", card.first, numbered=True)
    out += _list(pen, "WORTH READING AGAIN", [r.text for r in card.recheck])
    out += _list(pen, "NOT SEEN", card.not_seen)
    out += _list(pen, "NOTES", [printable(n, MOST_WORDS) for n in card.notes])
    for trade in dict.fromkeys(p.by for p in card.bring):
        out += _list(pen, f"BRING ({trade})", [f"{p.title}, {in_100(p.chance)}" for p in card.bring if p.by == trade])
    return [*out, "", *pen.wrap(card.basis)]


def bring_lines(pen: Pen, found: "Bring") -> list[str]:
    """Return what to bring and whether to go as text."""
    out = pen.labelled(found.word, found.choice_text, "strong")
    for text in found.stop:
        out += pen.labelled("first", text)
    out += _list(pen, "WAYS, CHEAPEST FIRST", [f"{w.title}: {w.text}" for w in found.ways])
    out += _list(pen, "WHOSE WORK IT MAY BE", [w.text for w in found.who])
    if found.minutes:
        out += _list(pen, "A TECHNICIAN'S VISIT", [t for t in (found.minutes.text, found.minutes.ends) if t])
    for trade in dict.fromkeys(p.by for p in found.parts):
        out += _list(
            pen, f"PARTS FOR THE {trade.upper()}", [f"{p.title}: {p.text}" for p in found.parts if p.by == trade]
        )
    out += _list(pen, "TOOLS FOR THE CHECKS", [t.text for t in found.tools])
    return [*out, "", *pen.wrap(found.basis)]


def _list(pen: Pen, head: str, texts: list[str], numbered: bool = False) -> list[str]:
    """Return a heading with its lines, or nothing where there are none."""
    if not texts:
        return []
    out = ["", pen.paint(head, "strong")]
    for n, text in enumerate(texts, 1):
        out += pen.wrap(text, 5, f"{n:>3}" if numbered else "  -")
    return out
