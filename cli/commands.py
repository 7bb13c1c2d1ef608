"""One function a command: read arguments, call the engine, print the result."""

from __future__ import annotations

import argparse
from pathlib import Path

from .env import Env

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from ..engine import model
    from ..engine.advice import Advice
    from ..engine.case import Event
    from ..engine.hear import Heard
    from .result import Result


def load(args: argparse.Namespace, env: Env) -> model.KB:
    """Return the kb, compiled and cached; with a machine sheet where one is named."""
    from ..engine.cache import load_cached

    kb = load_cached(Path(args.kb) if args.kb else None, env.cache_dir)
    if getattr(args, "machine", None):
        from ..engine.machine import apply_sheet, load_sheet

        kb = apply_sheet(kb, load_sheet(kb, args.machine))
    return kb


def emit(env: Env, result: Result, as_json: bool) -> int:
    """Print a result as its lines, or as the envelope."""
    from .result import envelope

    if as_json:
        env.say(envelope(result))
    else:
        for line in result.lines:
            env.say(line)
        for problem in result.errors:
            for line in problem.lines():
                env.say(line, err=True)
    return int(result.exit)


def walk(args: argparse.Namespace, env: Env) -> int:
    """The walk. The first question is on screen before anything heavy is imported."""
    from .begin import begin

    return begin(args, env)


def with_sheet(kb: model.KB, named: str | None, events: list[Event]) -> tuple[model.KB, list[Event]]:
    """Return the kb with the limits of the case's machine, and the events that the machine's sheet adds to the case.

    Parameters
    ----------
    kb : KB
        As `load` gives it; the sheet that was named is applied already.
    named : str, optional
        The sheet of `--machine`.
    events : list of Event
        The case; a machine in it counts where no sheet was named.
    """
    from ..engine.case import Event
    from ..engine.machine import apply_sheet, load_sheet

    said = [e.machine for e in events if e.machine]
    if named:
        sheet = load_sheet(kb, named)
    elif said and said[-1] in kb.machines:
        sheet = kb.machines[said[-1]]
        kb = apply_sheet(kb, sheet)
    else:
        return kb, []
    known = {e.fact for e in events if e.fact}
    added = [Event(fact=f, is_=o) for f, o in sorted(sheet.facts.items()) if f not in known]
    return kb, [*([] if sheet.id in said else [Event(machine=sheet.id)]), *added]


def cleared_events(kb: model.KB, names: list[str]) -> list[Event]:
    """Return the events of `--cleared`, or raise with the nearest hazard."""
    from ..engine.case import Event
    from ..engine.casefile import event_problems
    from ..engine.problems import Refused

    events = [Event(cleared=n) for n in names]
    problems = [p for e in events for p in event_problems(kb, e)]
    if problems:
        raise Refused(problems)
    return events


def hear(args: argparse.Namespace, env: Env) -> int:
    """Show what is heard in free words."""
    from ..engine.hear import hear as listen
    from .pen import Pen

    kb = load(args, env)
    found = listen(" ".join(args.words), kb)
    pen = Pen(env.width, env.colour)
    lines: list[str] = []
    for m in found.complaints:
        lines += pen.wrap(f"{m.complaint}  {m.score:.0f}  {kb.complaints[m.complaint].says} (close to: {m.words})", 3)
    for f in found.facts:
        lines += pen.wrap(
            f"also: {kb.facts[f.fact].title.lower()}: {kb.facts[f.fact].options[f.option].says} (close to: {f.words})",
            3,
        )
    for a in found.answers:
        check = kb.checks[a.check]
        lines += pen.wrap(
            f"also: {check.title.lower()}: {check.answers[a.answer].says} (close to: {a.words})",
            3,
        )
    for h in found.hazards:
        lines += pen.wrap(f"hazard: {kb.hazards[h.hazard].title.lower()} (close to: {h.words})", 3)
    if not found.complaints:
        lines += pen.wrap(found.off_topic or "I know nothing that fits these words.")
    return emit(env, heard(found, lines), args.json)


def heard(found: Heard, lines: list[str] | None = None) -> Result:
    """Return what was heard as a result, for every face that other programs use."""
    from .result import Exit, Result

    data = {
        "complaints": [
            {"complaint": m.complaint, "score": m.score, "phrase": m.words, "likely": m.likely}
            for m in found.complaints
        ],
        "facts": [{"fact": f.fact, "is": f.option, "phrase": f.words} for f in found.facts],
        "answers": [{"check": a.check, "answer": a.answer, "phrase": a.words} for a in found.answers],
        "hazards": [{"hazard": h.hazard, "phrase": h.words} for h in found.hazards],
        "reason": found.off_topic,
    }
    fits = bool(found.complaints)
    return Result(
        command="hear",
        status="heard" if fits else "nothing-fits",
        exit=Exit.DONE if fits else Exit.NOTHING,
        data=data,
        lines=lines or [],
    )


def advise(args: argparse.Namespace, env: Env) -> int:
    """Advice on a case file."""
    from ..engine.advise import advise as think
    from . import ending
    from .given import case_events
    from .pen import Pen

    kb = load(args, env)
    events = [*case_events(kb, args, env), *cleared_events(kb, args.cleared)]
    kb, facts = with_sheet(kb, args.machine, events)
    advice = think(kb, [*events, *facts])
    return emit(env, advised(advice, ending.advice(Pen(env.width, env.colour), advice)), args.json)


def advised(advice: Advice, lines: list[str] | None = None) -> Result:
    """Return advice as a result, for every face that other programs use."""
    from .result import Exit, Result

    code = (
        Exit.SAFETY
        if advice.status == "stopped"
        else Exit.DONE
        if advice.next or advice.status != "no-step"
        else Exit.NOTHING
    )
    return Result(command="advise", status=advice.status, exit=code, data=advice, lines=lines or [])


def serve(args: argparse.Namespace, env: Env) -> int:
    """Serve the page."""
    from .page.serve import serve as run

    return emit(env, run(args, env, load(args, env)), args.json)


def kb_check(args: argparse.Namespace, env: Env) -> int:
    """Every problem of the kb: structure, references, words, cases, decoys."""
    from ..engine.lint import lint
    from ..engine.load import in_order, read_kb
    from ..engine.trials import run_trials
    from .result import Exit, Result

    kb, problems = read_kb(Path(args.kb) if args.kb else None)
    counts: dict[str, int] = {}
    if kb is not None:
        problems = in_order([*lint(kb), *run_trials(kb)])
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
    return emit(
        env,
        Result(
            command="kb check",
            status="invalid" if problems else "valid",
            exit=code,
            data=counts,
            errors=problems,
            lines=lines,
        ),
        args.json,
    )


def kb_schema(args: argparse.Namespace, env: Env) -> int:
    """The JSON schema of the kb's files."""
    import msgspec

    from ..engine.model import schema
    from .result import Result

    made = schema()
    text = msgspec.json.format(msgspec.json.encode(made), indent=2).decode()
    return emit(env, Result(command="kb schema", status="done", data=made, lines=[text]), args.json)
