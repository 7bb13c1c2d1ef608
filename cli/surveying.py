"""`dryfloor survey`: a finished installation against every rule, before anybody leaves it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .ending import in_100, number_line
from .env import Env
from .pen import Pen

if TYPE_CHECKING:
    from ..engine import model
    from ..engine.sheet import Filled
    from ..engine.survey import Line, Survey

WORDS = {
    "broken": "BROKEN",
    "too-close": "CLOSE",
    "within": "within",
    "not-measured": "not measured",
    "not-applicable": "not applicable",
}
LINE = 60  # columns of a number line at most
NAMED = 24  # lines left empty that are still named one by one
LED = 3  # complaints named beside a broken rule


def survey(args: argparse.Namespace, env: Env) -> int:
    """Survey a sheet, print a blank one, or ask line by line."""
    from ..engine.blank_sheet import WIDTH, blank
    from ..engine.machine import load_sheet
    from ..engine.sheet import with_machine
    from ..engine.survey import survey as judge
    from ..engine.survey import to_builtins
    from ..engine.views import default_hands
    from .begin import check_role
    from .commands import emit, load
    from .result import Exit, Result

    role: Any = check_role(args.role) or "technician"
    hands = default_hands(role)
    plain_kb = load(argparse.Namespace(kb=args.kb), env)
    if args.blank:
        _alone(args)
        kb, filled = with_machine(plain_kb, _nothing(hands), args.machine)
        width = WIDTH if args.json else max(39, min(env.width - 1, 99))
        text = blank(kb, hands, filled.facts, args.machine or "", width)
        result = Result(command="survey", status="blank", data={"sheet": text}, lines=text.splitlines())
        return emit(env, result, args.json)
    if args.machine:
        load_sheet(plain_kb, args.machine)  # a wrong name is said before anything is asked
    kb, filled = _filled(args, env, plain_kb, role)
    done = judge(kb, filled)
    if args.html:
        _write(Path(args.html), kb, done)
    return emit(
        env,
        Result(
            command="survey",
            status=status(done),
            exit=Exit.NOTHING if done.counts["broken"] or not filled.readings else Exit.DONE,
            data=to_builtins(done),
            lines=lines(Pen(env.width, env.colour), kb, done),
        ),
        args.json,
    )


def status(done: "Survey") -> str:
    """Return one word for a survey: broken, undecided where a reading is too close to call, sound, or nothing-measured."""
    if done.counts["broken"]:
        return "broken"
    if done.counts["too-close"]:
        return "undecided"
    return "sound" if done.counts["within"] else "nothing-measured"


def _alone(args: argparse.Namespace) -> None:
    """Refuse what a blank sheet can't do."""
    from ..engine.problems import Problem, Refused

    if args.sheet or args.html:
        raise Refused(
            [
                Problem(
                    code="S008",
                    message="--blank prints an empty sheet; it takes neither a filled one nor --html",
                    expected="dryfloor survey --blank, with --role and --machine where they matter",
                    mend="fill the sheet in, then give it without --blank",
                )
            ]
        )


def _nothing(hands: Any, machine: str | None = None) -> "Filled":
    from ..engine.sheet import Filled

    return Filled("Survey", {}, {}, machine, hands)


def _filled(args: argparse.Namespace, env: Env, kb: "model.KB", role: Any) -> "tuple[model.KB, Filled]":
    """Return the kb with the machine's limits, and the filled sheet: from a file, from a pipe, or by asking."""
    from ..engine.sheet import sheet_of, with_machine
    from ..engine.views import default_hands
    from ..engine.yamlio import from_bytes, read

    hands = default_hands(role)
    if args.sheet == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        parsed = from_bytes(raw.read(1_000_001) if raw else env.stdin.read().encode(), "<stdin>")
        return with_machine(kb, sheet_of(kb, parsed, hands), args.machine)
    if args.sheet:
        return with_machine(kb, sheet_of(kb, read(args.sheet), hands), args.machine)
    from .asking import Asking

    own, start = with_machine(kb, _nothing(hands), args.machine)
    filled = Asking(env, own, role, hands, args.json, start).run()
    return own, filled


def lines(pen: Pen, kb: "model.KB", done: "Survey") -> list[str]:
    """Return a survey as text: counts, each rule that was seen, what a break leads to, what the readings raise, what was left out."""
    from ..engine.areas import area_title

    out = [pen.paint(line, "strong") for line in pen.wrap(done.title + (f": {done.machine}" if done.machine else ""))]
    out += pen.wrap(count_text(done))
    broken = [x.title for x in done.lines if x.verdict == "broken" and x.counted]
    if broken:
        out += pen.wrap("Broken: " + "; ".join(broken))
    advice = [x.title for x in done.lines if x.advice]
    if advice:
        out += pen.wrap("Advice, and not counted, until somebody says which code is in force: " + "; ".join(advice))
    area = None
    for x in done.lines:
        if x.verdict in ("not-measured", "not-applicable"):
            continue
        if x.area != area:
            area = x.area
            out += ["", pen.paint(area_title(area).upper(), "strong")]
        out += one(pen, kb, x)
    if done.beliefs:
        out += ["", *pen.wrap("What these readings make likely, before any complaint:")]
        # Nothing is shown as "0 %": a cause that is named is possible.
        out += [line for b in done.beliefs[:6] for line in pen.wrap(b.title, 9, f" {100 * b.present:4.0f} %" if b.present >= 0.005 else "   <1 %")]
    out += _missing(pen, done)
    return [*out, "", *pen.wrap(CLOSING)]


def _missing(pen: Pen, done: "Survey") -> list[str]:
    """Return what was not measured: lines left empty, by name where they are few, and how many rules no line reads."""
    from ..engine.areas import HABITS, area_title

    left = [x for x in done.lines if x.verdict == "not-measured" and x.counted and x.area not in HABITS]
    empty: dict[str, list[str]] = {}
    for x in left:
        if x.on_sheet:
            empty.setdefault(x.area, []).append(x.title)
    out: list[str] = []
    if sum(map(len, empty.values())) > NAMED:
        counts = ", ".join(f"{area_title(a)} {len(titles)}" for a, titles in empty.items())
        out += ["", *pen.wrap(f"Lines left empty, by part: {counts}. dryfloor survey --blank prints them.")]
    elif empty:
        out += ["", *pen.wrap("Lines left empty:")]
        out += [line for a, titles in empty.items() for line in pen.wrap(f"{area_title(a)}: {'; '.join(titles)}", 3)]
    other = sum(not x.on_sheet for x in left)
    if other:
        text = f"{other} more rules have no line on the sheet: other codes' limits, papers, and what the physics had no reading for. dryfloor rule shows them."
        out += ["", *pen.wrap(text)]
    return out


CLOSING = (
    "This holds for what was measured, on the day it was measured; chances rest on judgement. Local code and the machine's manual both bind, the stricter first; "
    "a licensed trade decides where one is required."
)


def one(pen: Pen, kb: "model.KB", x: "Line") -> list[str]:
    """Return one surveyed rule as lines; where it is kept, no more than that."""
    word = WORDS[x.verdict] if x.counted else "advice" if x.advice else "beside"
    bad = x.counted and x.verdict in ("broken", "too-close")
    said = f"{x.title}: {x.text}" if x.said in x.text else f"{x.title}: {x.said}; {x.text}"
    out = pen.labelled(word, said, "strong" if bad else "")
    if not bad:
        return out
    out += pen.labelled("limit", f"{x.limits}; {x.whose}")
    if x.measured and x.conformity is not None:
        out += pen.labelled("kept", f"{in_100(x.conformity)} that the rule is kept, by the {'reading' if x.measured.check else 'estimate'}'s own give or take")
        out += number_line(x.measured, min(pen.width - (0 if pen.narrow else 6), LINE), 0 if pen.narrow else 3)
    for text in x.means[:2]:
        out += pen.labelled("that is", text)
    if x.leads_to:
        led = ", ".join(f"{kb.complaints[c.complaint].title.lower()} {in_100(c.p)}" for c in x.leads_to[:LED])
        out += pen.labelled("leads to", led)
    return out


def count_text(done: "Survey") -> str:
    """Return the counts of a survey in one sentence."""
    c = done.counts
    return (
        f"{c['broken']} broken, {c['too-close']} too close to call, {c['within']} within, "
        f"{c['not-measured']} not measured, {c['not-applicable']} not applicable"
    )


def _write(path: Path, kb: "model.KB", done: "Survey") -> None:
    from ..engine.problems import Problem, Refused
    from .acceptance import page

    try:
        path.write_text(page(kb, done), encoding="utf-8")
    except OSError as error:
        raise Refused(
            [
                Problem(
                    code="J003",
                    file=str(path),
                    message=f"the acceptance sheet could not be written: {error.strerror or error}",
                    expected="a file in a folder that you may write to",
                    mend="name another file after --html",
                )
            ]
        ) from error
