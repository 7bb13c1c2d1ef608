"""`dryfloor survey`: a finished installation against every rule, before anybody leaves it."""

import argparse
from typing import TYPE_CHECKING, Any

from ..render.survey import lines
from ..result import Exit, Result
from ..terminal.env import Env
from ..terminal.layout import Layout

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.paper.filled_sheet import FilledSheet
    from ...engine.survey.assess import Survey
    from .survey_keep import Kept


def run(args: argparse.Namespace, env: Env) -> Result:
    """Survey a sheet, print a blank one, draw what minutes buy, or ask line by line."""
    from ...engine.knowledge.machine_sheet import load_sheet
    from ...engine.paper.filled_sheet import taken_on, with_machine
    from ...engine.planning.roles import default_hands
    from ...engine.survey.assess import survey as judge
    from ...engine.survey.assess import to_builtins
    from ..inputs import check_role, load
    from . import survey_sheet as sheets

    stage, minutes = sheets.stage_named(args.stage), sheets.minutes_named(args.minutes)
    role: Any = check_role(args.role) or ("desk" if stage == "before" else "technician")
    hands = default_hands(role)
    plain_kb = load(argparse.Namespace(kb=args.kb), env)
    if args.blank or args.curve:
        _alone(args)
        kb, filled = (
            _sheet(args, env, plain_kb, role) if args.sheet else with_machine(plain_kb, _nothing(hands), args.machine)
        )
        filled = taken_on(filled, hands)
        if args.curve:
            return sheets.curve(args, env, kb, filled, stage)
        return sheets.blank(args, env, kb, filled, role, stage, minutes)
    if args.machine:
        load_sheet(plain_kb, args.machine)  # a wrong name is said before anything is asked
    kb, filled = _filled(args, env, plain_kb, role, stage, minutes)
    stage = stage or filled.stage  # a sheet printed for a stage is judged as far as that
    done = judge(kb, filled, stage)
    if args.html:
        from ..render.acceptance import page

        sheets.written(args.html, page(kb, done), "the acceptance sheet")
    kept: Kept | None = None
    if args.keep:
        from .survey_keep import keep

        kept = keep(args, env, filled, done, status(done))
    return Result(
        command="survey",
        status=status(done),
        exit=exit_of(done),
        data={**to_builtins(done), **({"case": kept.case, "open": kept.open} if kept else {})},
        lines=[*lines(Layout(env.width, env.colour), kb, done), *_told(env, kept)],
    )


def _told(env: Env, kept: "Kept | None") -> list[str]:
    """Return where the sheet is kept, whether it stands open, and how it goes on."""
    if not kept:
        return []
    texts = [f"Kept as {kept.case}: dryfloor show {kept.case}; should it come back, dryfloor walk --after {kept.case}"]
    if kept.mended:
        texts.append(f"Mended since it was kept: {'; '.join(f'{x.title}, {x.text}' for x in kept.mended)}.")
    again = [x.title for x in kept.to_mend if any(m.check == x.check and "by case" in m.text for m in kept.mended)]
    if again:
        texts.append(
            f"This sheet still says what was wrong before that mend: {'; '.join(again)}. Look again, and fill the line in anew."
        )
    if kept.open:
        counts = [
            f"{len(some)} {word}" for some, word in ((kept.to_mend, "to mend"), (kept.to_see, "to be seen")) if some
        ]
        texts.append(
            f"It stands open: {', '.join(counts)}. Fill those lines in anew once that is done, and survey the sheet again with --keep and the "
            "same reference; then it is closed."
        )
    return ["", *(line for text in texts for line in Layout(env.width).wrap(text))]


def status(done: "Survey") -> str:
    """Return one word for a survey: broken, not-finished, declined where nothing else is left, undecided where a reading is too close to call, sound, or nothing-measured."""
    if done.failed:
        return "broken"
    measured = done.counts["within"] or done.counts["too-close"] or done.proofs
    if not measured and not done.unread:
        return "nothing-measured"
    if done.missing or (done.phone and done.phone.unread):
        return "not-finished"
    if not measured:
        return "nothing-measured"
    if any(f.declined for f in done.findings):
        return "declined"
    return "undecided" if done.counts["too-close"] else "sound"


def exit_of(done: "Survey") -> Exit:
    """Return the exit code of a survey: 1 where something is broken or nothing was judged, 6 where it is not finished, else 0: what a customer may decline and did keeps nobody there."""
    word = status(done)
    if word in ("broken", "nothing-measured"):
        return Exit.NOTHING
    return Exit.UNFINISHED if word == "not-finished" else Exit.DONE


def _alone(args: argparse.Namespace) -> None:
    """Refuse what a blank sheet can't do."""
    from .survey_sheet import problem

    if args.html or args.keep or args.ask:
        raise problem(
            "S008",
            f"--{'blank' if args.blank else 'curve'} judges nothing; it takes neither --html nor --keep nor --ask",
            "dryfloor survey --blank, with --role, --machine, --minutes and --stage where they matter",
            "fill the sheet in, then give it without --blank",
        )


def _nothing(hands: Any, machine: str | None = None) -> "FilledSheet":
    from ...engine.paper.filled_sheet import FilledSheet

    return FilledSheet("Survey", {}, {}, machine, hands)


def _sheet(args: argparse.Namespace, env: Env, kb: "model.KB", role: Any) -> "tuple[model.KB, FilledSheet]":
    """Return the kb with the machine's limits, and a filled sheet from a file or from a pipe."""
    from ...engine.knowledge.strict_yaml import from_bytes, read
    from ...engine.paper.filled_sheet import with_machine
    from ...engine.paper.sheet_reading import sheet_of
    from ...engine.planning.roles import default_hands

    hands = default_hands(role)
    if args.sheet == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        parsed = from_bytes(raw.read(1_000_001) if raw else env.stdin.read().encode(), "<stdin>")
    else:
        parsed = read(args.sheet)
    # A sheet that goes on, at a stage or by asking, may have nothing on it yet.
    return with_machine(kb, sheet_of(kb, parsed, hands, begun=args.blank or args.ask), args.machine)


def _filled(
    args: argparse.Namespace,
    env: Env,
    kb: "model.KB",
    role: Any,
    stage: "model.Stage | None",
    minutes: float | None,
) -> "tuple[model.KB, FilledSheet]":
    """Return the kb with the machine's limits, and the filled sheet: from a file, from a pipe, or by asking."""
    from ...engine.paper.filled_sheet import taken_on, with_machine
    from ...engine.planning.roles import default_hands

    hands = default_hands(role)
    if args.sheet and not args.ask:
        return _sheet(args, env, kb, role)
    from .survey_dialog import Asking

    own, start = _sheet(args, env, kb, role) if args.sheet else with_machine(kb, _nothing(hands), args.machine)
    filled = Asking(env, own, role, hands, args.json, taken_on(start, hands), stage, minutes).run()
    return own, filled
