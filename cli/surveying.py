"""`dryfloor survey`: a finished installation against every rule, before anybody leaves it."""

import argparse
import sys
from pathlib import Path
from typing import Any

from .env import Env
from .pen import Pen

WORDS = {
    "broken": "BROKEN",
    "too-close": "TOO CLOSE",
    "within": "within",
    "not-measured": "not measured",
    "not-applicable": "not applicable",
}


def survey(args: argparse.Namespace, env: Env) -> int:
    """Survey a sheet, print a blank one, or ask line by line."""
    from ..engine.survey import blank, to_builtins
    from ..engine.survey import survey as judge
    from .begin import check_role
    from .commands import emit, load
    from .result import Exit, Result

    role = check_role(args.role) or "technician"
    hands = "technician" if role == "technician" else "homeowner"
    kb = load(args, env)
    if args.blank:
        text = blank(kb, hands)
        return emit(
            env, Result(command="survey", status="blank", data={"sheet": text}, lines=text.splitlines()), args.json
        )
    filled = _filled(args, env, kb, hands)
    done = judge(kb, filled)
    broken = done.counts["broken"]
    if args.html:
        _write(Path(args.html), kb, done)
    code = Exit.NOTHING if broken else Exit.DONE
    status = "broken" if broken else "sound" if done.counts["within"] else "nothing-measured"
    return emit(
        env,
        Result(
            command="survey",
            status=status,
            exit=code,
            data=to_builtins(done),
            lines=lines(Pen(env.width, env.colour), done),
        ),
        args.json,
    )


def _filled(args: argparse.Namespace, env: Env, kb: Any, hands: str) -> Any:
    from ..engine.survey import sheet_of
    from ..engine.yamlio import from_bytes, read

    if args.sheet == "-":
        raw: Any = getattr(env.stdin, "buffer", None)
        return sheet_of(kb, from_bytes(raw.read(1_000_001) if raw else env.stdin.read().encode(), "<stdin>"))
    if args.sheet:
        return sheet_of(kb, read(args.sheet))
    return _ask(args, env, kb, hands)


def _ask(args: argparse.Namespace, env: Env, kb: Any, hands: str) -> Any:
    """Fill a sheet by asking, in the order of a walk round the machine; an empty line leaves a line out."""
    from ..engine.casefile import answer_problems
    from ..engine.evidence import holds
    from ..engine.interpret import pick, plain
    from ..engine.survey import Filled, blank_lines
    from .plain import PlainAsker, Quit

    asker = PlainAsker(env, err=args.json)
    pen = Pen(env.width, False)
    facts: dict[str, str] = {}
    readings: dict[str, str] = {}

    def say(lines: list[str]) -> None:
        for line in lines:
            env.say(line, err=args.json)

    say(pen.wrap("Enter leaves a line out; stop ends the survey with what there is."))
    try:
        for fact in kb.facts.values():
            if fact.id.startswith("tried-") or fact.id in ("onset", "rhythm"):
                continue
            from ..engine.advice import Card, Choice

            card = Card(
                kind="fact",
                id=fact.id,
                title=fact.title,
                choices=[Choice(id=o, says=x.says) for o, x in fact.options.items()],
            )
            say(
                [
                    "",
                    *pen.wrap(fact.title),
                    *(line for n, c in enumerate(card.choices, 1) for line in pen.wrap(c.says, 6, f"   {n}")),
                ]
            )
            while typed := plain(asker.ask("> ")).lower():
                if typed == "stop":
                    raise Quit
                chosen, problem = pick(card, typed)
                if chosen:
                    facts[fact.id] = chosen
                    break
                say(pen.wrap(f"{problem.message}; expected {problem.expected}" if problem else "", 3))
        for check in blank_lines(kb, hands, facts):
            if not holds(check.when, facts):
                continue
            card = Card(
                kind="check",
                id=check.id,
                title=check.title,
                choices=[Choice(id=a, says=x.says) for a, x in check.answers.items()],
            )
            rule = kb.rules[check.rule]
            say(
                [
                    "",
                    *pen.wrap(f"{check.title}: {rule.of}"),
                    *(line for n, c in enumerate(card.choices, 1) for line in pen.wrap(c.says, 6, f"   {n}")),
                ]
            )
            while typed := plain(asker.ask("> ")):
                if typed.lower() == "stop":
                    raise Quit
                if check.kind == "measure":
                    problems = answer_problems(kb, check.id, None, typed)
                    if not problems:
                        readings[check.id] = typed
                        break
                    say(pen.wrap(problems[0].message, 3))
                else:
                    chosen, problem = pick(card, typed.lower())
                    if chosen:
                        readings[check.id] = chosen
                        break
                    say(pen.wrap(f"{problem.message}; expected {problem.expected}" if problem else "", 3))
    except Quit:
        pass
    return Filled("Survey", facts, readings, None, "technician" if hands == "technician" else "homeowner")


def lines(pen: Pen, done: Any) -> list[str]:
    """Return a survey as text: each rule that was seen, what a break leads to, what was not measured."""
    from .ending import number_line

    out = [pen.paint(done.title, "strong")]
    area = None
    for x in done.lines:
        if x.verdict in ("not-measured", "not-applicable"):
            continue
        if x.area != area:
            area = x.area
            out += ["", area.replace("_", " ").upper()]
        word = "beside" if x.beside and x.authority == "practice" else WORDS[x.verdict]
        out += pen.labelled(
            word,
            f"{x.title}: {x.said}" + (f"; {x.text}" if x.text != x.said else ""),
            "strong" if word == "BROKEN" else "",
        )
        out += pen.labelled("", f"limit {x.limits}; {x.whose}")
        if x.measured:
            out += number_line(x.measured, min(pen.width - 6, 60))[:1]
        if x.leads_to:
            out += pen.labelled(
                "leads to", ", ".join(f"{c.complaint} {round(100 * c.p)} in 100" for c in x.leads_to[:3])
            )
    missing = [x.title.lower() for x in done.lines if x.verdict == "not-measured"]
    out += [
        "",
        f"{done.counts['broken']} broken, {done.counts['too-close']} too close to call, {done.counts['within']} within, "
        f"{done.counts['not-measured']} not measured, {done.counts['not-applicable']} not applicable",
    ]
    if missing and len(missing) <= 20:
        out += pen.labelled("missing", ", ".join(missing))
    return out


def _write(path: Path, kb: Any, done: Any) -> None:
    from ..engine.problems import Problem, Refused
    from .acceptance import page

    try:
        path.write_text(page(kb, done), encoding="utf-8")
    except OSError as error:
        print(end="", file=sys.stderr)
        raise Refused(
            [
                Problem(
                    code="J003",
                    file=str(path),
                    message=f"the sheet could not be written: {error.strerror or error}",
                    mend="name a file in a folder that you may write to",
                )
            ]
        ) from error
