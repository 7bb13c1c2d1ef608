"""`dryfloor kb`: check the kb, measure it, draw it, write it as pages, print its schema."""

from __future__ import annotations

import argparse
from pathlib import Path

from ..inputs import known
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


def told(args: argparse.Namespace, result: Result) -> Result:
    """Return a result that says first which kb was read: nobody shall take what is said of another kb for their own."""
    result.kb = place_of(args)
    result.lines.insert(0, said(args))
    return result


def figures(args: argparse.Namespace, env: Env) -> Result:
    """Print the figures of the kb, role by role."""
    from ...engine.diagnosis.network import network_of
    from ...engine.evaluation.metrics import QUICK_SITES, SITES
    from ...engine.evaluation.metrics import figures as measure
    from ...engine.evaluation.reports_of_signs import alike, reported
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
    network = network_of(kb)
    counted, pairs = reported(network), alike(network)
    lines += ["", *_signs(layout, counted, pairs)]
    data = {"roles": found, "signs": counted, "alike": pairs}
    return told(args, Result(command="kb figures", status="measured", data=data, lines=lines))


def _signs(layout: Layout, counted: Any, pairs: Any) -> list[str]:
    """Return how many checks tell of each sign, and which checks tell of the same causes all the same."""
    out = [layout.paint("SIGNS", "strong")]
    several = [s for s in counted if len(s.checks) > 1]
    once = len(counted) - len(several)
    out += layout.wrap(
        f"{len(counted)} signs; checks that tell of each, counted with those of its kinds ({once} by one alone):"
    )
    for s in several:
        out += layout.labelled(f"{len(s.checks)}", f"{s.sign}: {', '.join(s.checks)}")
    if pairs:
        out += layout.wrap("Checks that most of the same causes show by, and why they are two:")
    for p in pairs:
        out += layout.labelled(
            f"{100 * p.share:.0f} in 100", f"{p.checks[0]}, {p.checks[1]}: {p.because or 'no reason is given'}"
        )
    return out


def _role(layout: Layout, f: Any) -> list[str]:
    """Return one role's figures as text, for somebody who trains people with the kb."""
    out = [layout.paint(f.role.upper(), "strong")]
    out += layout.wrap(
        "Of 100 faults, counted as often as they come in, by every check that these hands may do; seen and told apart means that odds of twenty to one "
        "are to be expected (judgement):"
    )
    out += layout.labelled("at best", f"if a fault always showed what it mostly shows, {_told(f.marked)}")
    out += layout.labelled("in doubt", f"with answers as uncertain as they are, {_told(f.odds)}")
    out += layout.labelled("not seen", ", ".join(f.odds.unseen) or "none")
    for group in f.odds.groups[:10]:
        out += layout.labelled("alike", ", ".join(group))
    out += layout.labelled("no help", f"checks that move no odds worth having: {', '.join(f.idle) or 'none'}")
    if f.served:
        out += ["", *_served(layout, f)]
    return out


def _told(t: Any) -> str:
    """Return how many faults are seen, and to how few remedies those are narrowed."""
    one, two, three = t.isolated
    down = [f"{_of_100(two)} are down to two remedies"] if two > one else []
    down += (
        [f"{_of_100(three)} to three" if down else f"{_of_100(three)} are down to three remedies"]
        if three > two
        else []
    )
    rest = f" ({', '.join(down)})" if down else ""
    return (
        f"{_of_100(t.detected)} are seen; of 100 that are seen, {_of_100(one)} are told apart from all that need another remedy{rest}; "
        f"remedies left on average: {t.mean_size:.2f}"
    )


def _of_100(part: float) -> str:
    """Return a share as so many of 100, never all where one is missing.

    Examples
    --------
    >>> _of_100(0.9804), _of_100(1.0), _of_100(0.99999), _of_100(0.00001)
    ('98', '100', 'more than 99.9', 'fewer than 0.1')
    """
    text = f"{100 * part:.1f}".removesuffix(".0")
    if text == "100" and part < 1:
        return "more than 99.9"
    return "fewer than 0.1" if text == "0" and part > 0 else text


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
    from ...engine.export.pages import pages, pictures
    from ..inputs import load

    kb = load(args, env)
    if args.poster:
        from ...engine.export.poster import poster

        write({Path(args.poster): poster(kb)})
        lines = [f"drawn: {args.poster}; print it on one sheet, Letter or A4"]
        return told(args, Result(command="kb page", status="drawn", data={"poster": args.poster}, lines=lines))
    made, drawings = pages(kb), pictures(kb)
    folder = Path(args.out)
    write({folder / name: text for name, text in {**made, **drawings}.items()})
    lines = [f"{len(made)} pages, {len(drawings)} pictures; begin at {folder / 'index.md'}"]
    data = {"folder": args.out, "pages": sorted(made)}
    return told(args, Result(command="kb page", status="written", data=data, lines=lines))


def picture(args: argparse.Namespace, env: Env) -> Result:
    """Draw one picture of the kb, or list the pictures and the scenes that there are."""
    from ...engine.advising.illustrations import drawn, everything
    from ...engine.evaluation.pictured import owed
    from ...engine.pictures.scenes.catalog import SCENES
    from ..inputs import load

    kb = load(args, env)
    shown = everything(kb)
    if not args.id:
        layout = Layout(env.width, env.colour)
        out = [layout.paint("SCENES", "strong")]
        for name, scene in SCENES.items():
            out += layout.wrap(f"{name}: {scene.says}", 3)
            out += layout.wrap(f"states {', '.join(scene.states)}", 6)
            out += layout.wrap(f"marks {', '.join(scene.marks)}", 6) if scene.marks else []
        out += ["", layout.paint("PICTURES", "strong"), *layout.wrap(", ".join(shown), 3)]
        due = owed(kb)
        silent = {place.partition("/")[2]: why or "" for place, has, why in due if not has}
        out += ["", layout.paint("WHO HAS ONE", "strong")]
        out += layout.wrap(
            f"{len(due) - len(silent)} of {len(due)} looks, measurements and remedies that a homeowner may do", 3
        )
        out += [line for n, why in silent.items() for line in layout.wrap(f"{n}: none: {why or 'no reason given'}", 6)]
        scenes = {n: {"says": s.says, "states": s.states, "marks": s.marks} for n, s in SCENES.items()}
        return told(
            args,
            Result(
                command="kb picture",
                status="listed",
                data={"scenes": scenes, "pictures": [*shown], "owed": len(due), "without": silent},
                lines=out,
            ),
        )
    name = args.id if args.id in shown else next((i for i in shown if i.split("-", 1)[1] == args.id), args.id)
    known(name, shown, "U026", "picture", "dryfloor kb picture lists them all")
    svg = drawn(kb, shown[name])
    if not args.out:
        if not args.json:
            env.say(said(args), err=True)
        data = {"picture": name, "svg": svg}
        return Result(command="kb picture", status="drawn", data=data, lines=svg.splitlines(), kb=place_of(args))
    write({Path(args.out): svg})
    data = {"picture": name, "file": args.out}
    return told(args, Result(command="kb picture", status="drawn", data=data, lines=[f"drawn: {args.out}"]))


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
    from ...engine.evaluation.pictured import problems as pictured
    from ...engine.knowledge.folder import home
    from ...engine.knowledge.load import read_kb

    folder = Path(args.kb) if args.kb else home()
    kb, problems = read_kb(folder)
    counts: dict[str, int] = {}
    if kb is not None:
        problems = in_order([*lint(kb), *pictured(kb), *run_trials(kb, folder)])
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

    raise UsageError("kb needs a tool: check, schema, figures, draw, picture, page, try\ntry: dryfloor kb --help")
