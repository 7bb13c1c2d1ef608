"""`dryfloor kb`: check the kb, measure it, draw it, write it as pages, print its schema."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path

from ..kb_place import place_of, said
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

    from ...engine import model

LEAST_WIDTH, MOST_WIDTH = 320, 10_000  # of a drawing [px]
ROLES: tuple[model.Role, ...] = ("homeowner", "desk", "technician")


def known(word: str, table: Iterable[str], code: str, what: str, mend: str) -> None:
    """Refuse a word that is not in a table, with the nearest one that is.

    Raises
    ------
    InvalidInputError
        With the nearest match.
    """
    from ...engine.errors import InvalidInputError, Problem, nearest, one_of

    names = [*table]
    if word not in names:
        problem = Problem(
            code=code,
            message=f"unknown {what} '{word}'",
            expected=one_of(names),
            nearest=nearest(word, names),
            mend=mend,
        )
        raise InvalidInputError([problem])


def told(args: argparse.Namespace, result: Result) -> Result:
    """Return a result that says first which kb was read: nobody shall take what is said of another kb for their own."""
    result.kb = place_of(args)
    result.lines.insert(0, said(args))
    return result


def figures(args: argparse.Namespace, env: Env) -> Result:
    """Print the figures of the kb, role by role."""
    from ...engine.evaluation.metrics import QUICK_SITES, SITES
    from ...engine.evaluation.metrics import figures as measure
    from ..inputs import load

    if args.role:
        known(args.role, ROLES, "U002", "role", "name one of the three roles, or leave --role out for all")
    kb = load(args, env)
    roles = [args.role] if args.role else [*ROLES]
    count = QUICK_SITES if args.quick else SITES
    found = measure(kb, roles, count)
    layout = Layout(env.width, env.colour)
    lines: list[str] = []
    for each in found:
        lines += [*([""] if lines else []), *_role(layout, each)]
    return told(args, Result(command="kb figures", status="measured", data={"roles": found}, lines=lines))


def _role(layout: Layout, f: Any) -> list[str]:
    """Return one role's figures as text."""
    out = [layout.paint(f.role.upper(), "strong")]
    for label, t in (("by marks", f.marked), ("by odds", f.odds)):
        one, two, three = (f"{100 * x:.1f}" for x in t.isolated)
        text = (
            f"{100 * t.detected:.1f} % of faults detected; of these isolated to one {one} %, to two {two} %, to three {three} %; "
            f"mean group {t.mean_size:.2f}"
        )
        out += layout.labelled(label, text)
    out += layout.labelled("unseen", ", ".join(f.odds.unseen) or "none")
    for group in f.odds.groups[:10]:
        out += layout.labelled("look alike", ", ".join(group))
    out += layout.labelled("idle", ", ".join(f.idle) or "no check")
    if f.served:
        out += ["", *_served(layout, f)]
    return out


def _served(layout: Layout, f: Any) -> list[str]:
    """Return the table of complaints: minutes, call-outs and cost under the three policies."""
    out = layout.wrap(
        f"Played sites, {f.served[0].sites} for each complaint: minutes / call-outs / cost in homeowner minutes, of our choice, "
        "of the trade's fixed order, and of knowing at once."
    )
    rows = [*f.served, f.overall]
    wide = max(len(s.complaint) for s in rows)
    for s in rows:
        cells = [f"{x.minutes:.0f} / {x.call_outs:.1f} / {x.cost:.0f}" for x in (s.ours, s.in_order, s.knowing)]
        row = f"{s.complaint:<{wide}}" + "".join(f"{c:>18}" for c in cells)
        out += [row] if len(row) <= layout.width else layout.labelled(s.complaint, "; ".join(cells), "", True)
    out += ["", *layout.wrap("Served worst (cost over knowing at once, per site):")]
    for w in f.worst:
        missed = f", not found at {w.missed} of {w.sites}" if w.missed else ""
        out += layout.wrap(f"{w.cause}: {w.over_knowing:.0f} of {w.cost:.0f}{missed}", 3)
    return out


def draw(args: argparse.Namespace, env: Env) -> Result:
    """Draw the kb, or the part that a complaint touches."""
    from ...engine.export.diagram import SUFFIXES, drawn
    from ..arguments import UsageError
    from ..inputs import load

    if not LEAST_WIDTH <= args.width <= MOST_WIDTH:
        wrong = f"--width is {args.width}, expected {LEAST_WIDTH} to {MOST_WIDTH}"
        raise UsageError(f"{wrong}\ntry: dryfloor kb draw siphons -o siphons.svg --width 960")
    kb = load(args, env)
    if args.complaint:
        known(args.complaint, kb.complaints, "U021", "complaint", "name a complaint of the kb, or none for all of it")
    suffix = Path(args.out).suffix.lower() if args.out else ".dot"
    known(suffix, SUFFIXES, "U022", "kind of drawing", "let the file's name end in one of these")
    text = drawn(kb, args.complaint, suffix, args.width)
    if not args.out:
        data = {"complaint": args.complaint, "dot": text}
        if not args.json:  # the drawing alone is on standard output, for the program that it is piped to
            env.say(said(args), err=True)
        return Result(command="kb draw", status="drawn", data=data, lines=text.splitlines(), kb=place_of(args))
    write({Path(args.out): text})
    data = {"complaint": args.complaint, "file": args.out}
    return told(args, Result(command="kb draw", status="drawn", data=data, lines=[f"drawn: {args.out}"]))


def page(args: argparse.Namespace, env: Env) -> Result:
    """Write the kb as linked pages."""
    from ...engine.export.pages import pages
    from ..inputs import load

    made = pages(load(args, env))
    folder = Path(args.out)
    write({folder / name: text for name, text in made.items()})
    lines = [f"{len(made)} pages; begin at {folder / 'index.md'}"]
    data = {"folder": args.out, "pages": sorted(made)}
    return told(args, Result(command="kb page", status="written", data=data, lines=lines))


def write(texts: dict[Path, str]) -> None:
    """Write files, making their folders.

    Raises
    ------
    InvalidInputError
        Where one can't be written, with the file and why.
    """
    from ...engine.errors import InvalidInputError, Problem
    from ...engine.language.sanitize import visible

    for path, text in texts.items():
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(visible(text), encoding="utf-8")
        except OSError as error:
            why = error.strerror or str(error)
            problem = Problem(
                code="U023", message=f"'{path}' can't be written: {why}", mend="name another place, or free this one"
            )
            raise InvalidInputError([problem]) from None


def check(args: argparse.Namespace, env: Env) -> Result:
    """Every problem of the kb: structure, references, words, cases, decoys."""
    from ...engine.errors import in_order
    from ...engine.evaluation.golden_cases import run_trials
    from ...engine.evaluation.lint import lint
    from ...engine.knowledge.folder import home
    from ...engine.knowledge.load import read_kb

    folder = Path(args.kb) if args.kb else home()
    kb, problems = read_kb(folder)
    counts: dict[str, int] = {}
    if kb is not None:
        problems = in_order([*lint(kb), *run_trials(kb, folder)])
        counts = {
            name: len(getattr(kb, name))
            for name in (
                "complaints",
                "facts",
                "hazards",
                "rules",
                "checks",
                "causes",
                "parts",
                "sources",
                "decoys",
                "machines",
            )
        }
        counts["cases"] = sum(len(c.cases) for c in kb.causes.values())
    lines = [", ".join(f"{n} {name}" for name, n in counts.items())] if counts else []
    lines.append(f"{len(problems)} problem{'' if len(problems) == 1 else 's'}" if problems else "no problems")
    code = Exit.KB if problems else Exit.DONE
    result = Result(
        command="kb check",
        status="invalid" if problems else "valid",
        exit=code,
        data=counts,
        errors=problems,
        lines=lines,
    )
    return told(args, result)


def schema(args: argparse.Namespace, env: Env) -> Result:
    """The JSON schema of the kb's files."""
    import msgspec

    from ...engine import model

    made = model.schema()
    text = msgspec.json.format(msgspec.json.encode(made), indent=2).decode()
    return Result(command="kb schema", status="done", data=made, lines=[text])


def toolless(args: argparse.Namespace, env: Env) -> Result:
    """Say which tools there are, where none was named.

    Raises
    ------
    UsageError
        Always.
    """
    from ..arguments import UsageError

    raise UsageError("kb needs a tool: check, schema, figures, draw, page, try\ntry: dryfloor kb --help")
