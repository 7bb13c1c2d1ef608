"""The arguments of every command, with their help and examples; a mistake names the nearest word that is known."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable

from .. import __version__
from .kb_place import RULE
from .terminal.env import Env, help_width

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any, NoReturn

EXIT_TEXT = """exit codes: 0 done, 1 no supported conclusion or nothing found, 2 wrong usage or an unusable file,
3 a fault in dryfloor (a report is kept), 4 the kb is not valid, 5 stopped for safety,
6 not finished: something that must be seen was not, 130 interrupted (case kept)"""
EXAMPLES = {
    "walk": 'dryfloor walk\n  dryfloor walk --role desk --say "it hops about upstairs"\n  dryfloor walk --role technician --case visit.yaml --json < answers.txt',
    "hear": 'dryfloor hear "water runs out while it fills"\n  dryfloor hear "it hops about like a goat" --json',
    "advise": 'dryfloor advise case.yaml\n  echo "{role: desk, complaints: [walks]}" | dryfloor advise - --json\n  dryfloor advise case.yaml --cleared walking-machine',
    "handover": "dryfloor handover K7M3R4\n  dryfloor handover case.yaml --role technician --json",
    "bring": "dryfloor bring case.yaml\n  dryfloor bring case.yaml --json --kb my-shop",
    "report": "dryfloor report K7M3R4 -o report.html\n  dryfloor report case.yaml -o report.md --for technician --date 'May 3'\n  dryfloor report case.yaml",
    "survey": "dryfloor survey --blank --minutes 10 > sheet.yaml\n  dryfloor survey sheet.yaml --html acceptance.html --keep --reference 'Alder Lane 4'\n"
    "  dryfloor survey sheet.yaml --machine brook-front-loader --json\n"
    "  dryfloor survey --blank --stage before > sheet.yaml\n  dryfloor survey sheet.yaml --blank --stage hook-up > next.yaml\n  dryfloor survey --minutes 20\n  dryfloor survey --curve minutes.svg",
    "rule": "dryfloor rule\n  dryfloor rule standpipe-height\n  dryfloor rule standpipe-height --picture standpipe.svg",
    "reckon": "dryfloor reckon\n  dryfloor reckon standpipe-overflow --with bore='1 1/2 in'\n  dryfloor reckon level-turns --with right_high='-6 mm/m' --with rear_high='4 mm/m' --json",
    "drill": "dryfloor drill --first\n  dryfloor drill --family drain --minutes 15\n  dryfloor drill --summary class.csv\n"
    "  dryfloor drill --seed 7 --class class.csv --pupil 12\n  dryfloor drill --fault standpipe-too-low --seed 3 --sealed",
    "cards": "dryfloor cards -o cards.html\n  dryfloor cards --area drain --numbers -o drain.html\n  dryfloor cards --area power",
    "quiz": "dryfloor quiz\n  dryfloor quiz --area drain --count 5 --supply eu-230\n  dryfloor quiz --seed 7 --json < answers.txt",
    "completion": "dryfloor completion bash > dryfloor.bash\n  source <(dryfloor completion bash)\n  dryfloor completion fish > ~/.config/fish/completions/dryfloor.fish",
    "serve": "dryfloor serve\n  dryfloor serve --port 8080 --store cases.db --desk-token-file desk.token\n  dryfloor serve --class --host 0.0.0.0",
    "check": "dryfloor kb check\n  dryfloor kb check --kb my-kb --json",
    "schema": "dryfloor kb schema > kb-schema.json",
    "figures": "dryfloor kb figures --role desk\n  dryfloor kb figures --quick --json",
    "draw": "dryfloor kb draw siphons -o siphons.svg\n  dryfloor kb draw walks -o walks.svg --width 960\n  dryfloor kb draw -o kb.graphml",
    "picture": "dryfloor kb picture\n  dryfloor kb picture rule-standpipe-height -o standpipe.svg\n  dryfloor kb picture check-paper-under-foot",
    "page": "dryfloor kb page -o pages\n  dryfloor kb page --poster poster.svg",
    "migrate": "dryfloor kb migrate my-shop\n  dryfloor kb migrate my-shop --json",
    "try": "dryfloor kb try standpipe-too-low\n  dryfloor kb try foot-unloaded --role desk --json\n  dryfloor kb try foot-unloaded --seed 3 --steps\n  dryfloor kb try all --complaint siphons",
}
CASE_EXAMPLES = {
    "cases": 'dryfloor cases --state open\n  dryfloor cases --text "alder lane" --newer 30\n  dryfloor cases --complaint walks --json'
    "\n  dryfloor cases --since 2026-11-01 --cause foot-unloaded --csv november.csv",
    "show": "dryfloor show K7M3R4\n  dryfloor show K7M3R4 --json",
    "resume": "dryfloor resume\n  dryfloor resume K7M3R4 --role technician\n  dryfloor resume K7M3R4 --plain",
    "note": 'dryfloor note K7M3R4 "rings back at four"\n  dryfloor note K7M3R4 "key is with the neighbour" --json',
    "queue": "dryfloor queue\n  dryfloor queue --next --as ann\n  dryfloor queue --json",
    "take": "dryfloor take K7M3R4 --as ann\n  dryfloor take K7M3R4 --as ann --json",
    "give-back": "dryfloor give-back K7M3R4\n  dryfloor give-back K7M3R4 --as ann --json",
    "ring-back": "dryfloor ring-back K7M3R4 --at 16:00\n  dryfloor ring-back K7M3R4 --at 'tomorrow 9:30'\n  dryfloor ring-back K7M3R4 --at nothing",
    "waits": "dryfloor waits K7M3R4 --for part\n  dryfloor waits K7M3R4 --for plumber --as ann\n  dryfloor waits K7M3R4 --for nothing",
    "soon": "dryfloor soon K7M3R4\n  dryfloor soon K7M3R4 --no-more --json",
    "export": "dryfloor export K7M3R4 -o visit.yaml\n  dryfloor export K7M3R4 | dryfloor advise - --json\n  dryfloor export --all -o monday.cases",
    "import": "dryfloor import monday.cases\n  dryfloor import monday.cases --store postgresql://desk@shop/dryfloor --json",
    "move": "dryfloor move --from cases.db --to postgresql://desk@shop/dryfloor\n  dryfloor move --from old.db --to new.db --json",
    "outcome": 'dryfloor outcome K7M3R4 "the plumber found the branch full of roots" --by plumber\n'
    '  dryfloor outcome K7M3R4 "the bolts were still in" --cause restraints-left-in --json',
    "forget": "dryfloor forget K7M3R4\n  dryfloor forget K7M3R4 --yes --json",
    "close": 'dryfloor close K7M3R4 --as given-up --why "the machine was replaced"\n  dryfloor close K7M3R4 --as not-a-fault --why "first wash only"'
    '\n  dryfloor close K7M3R4 --as reported-solved --why "rang: it drains again"',
}
QUEUE_EXAMPLES = ("queue", "take", "give-back", "ring-back", "waits", "soon")
EXAMPLES |= CASE_EXAMPLES
EXAMPLES |= {
    "learn": "dryfloor learn --store cases.db -o my-shop\n  dryfloor learn --store cases.db --report learned.html\n  dryfloor learn closed-cases/ -o my-shop --workers 2 --json",
    "month": "dryfloor month --store cases.db\n  dryfloor month --store cases.db --of 2026-11 -o november.html\n  dryfloor month -o november.csv",
}
STORE = "another store of cases than the usual one: a file, or postgresql://HOST/DATABASE (extra shop); :memory: keeps nothing"
MEANT = "a case by its id, such as K7M3R4; small letters, spaces and dashes are fine"
# Each command's module in this package, and its function: imported when it is called, so that no command pays for another.
RUNS = {
    "walk": "walk.begin:run",
    "hear": "commands.hear:run",
    "advise": "commands.advise:run",
    "survey": "commands.survey:run",
    "rule": "commands.rule:run",
    "reckon": "commands.reckon:run",
    "completion": "commands.completion:run",
    "drill": "drill.begin:run",
    "cards": "drill.cards:run",
    "quiz": "drill.quiz:run",
    "serve": "commands.serve:run",
    **{name: f"kept.cases:{name}" for name in CASE_EXAMPLES},
    **{name: f"kept.queue:{name.replace('-', '_')}" for name in QUEUE_EXAMPLES},
    "queue": "kept.queue:run",
    "import": "kept.carry:take_in",
    "move": "kept.carry:move",
    "outcome": "kept.outcome:run",
    **{name: f"commands.reports:{name}" for name in ("handover", "bring", "report")},
    **{name: f"commands.kb:{name}" for name in ("check", "schema", "figures", "draw", "picture", "page")},
    "learn": "learning.learn:run",
    "month": "learning.month:run",
    "try": "commands.kb_try:run",
    "migrate": "commands.kb_migrate:run",
    "kb": "commands.kb:toolless",
}
# What is said of the tools that read the kb, and of what their exit codes mean there.
KB_TOOLS = ("check", "figures", "draw", "picture", "page", "try")
TRY_EXITS = """
here 0: every cause was found at more than half of its sites (with --steps: at the site shown); 1: one was not

The sites are drawn from the kb's own rates and strengths: they show how the walk serves these, and nothing of
real floors. One cause takes some seconds a role, all of them some minutes."""
DRILL_EXITS = """
here 0: found and mended, or stopped where it was not safe (or a code, an answer or a summary printed); 1: given up, or said to be sound and was not;
5: a step or a mend was begun before its danger was cleared; 130: interrupted, and nothing of the round is kept

Without --seed the next round is taken from your own deck: what you missed comes back, at first soon, then later.
A code keeps the answer off a screen; it is no secret from whoever has the program."""
QUIZ_EXITS = """
here 0: every limit that was asked for is right; 1: one is not, or nothing was answered

Right is what lies within half of the step to which the limit itself is rounded: 39 in, 99 cm and 3 ft 3 in are one answer.
What you missed comes back sooner, here and in the drill."""
SURVEY_EXITS = """
here 0: finished, and nothing is broken but what the customer may decline and did; 1: something is broken, a proof failed, or nothing
was judged; 6: nothing is broken, and a line that nobody leaves without is empty (MUST on the sheet)"""
LEARN_EXITS = """
here 0: later cases are told better with what was learned (and with -o it was written); 1: they are not, or there is no closed case
to learn from, and nothing was written; 2: the cases are of another kb, or a place can't be used

Cut off, it goes on where it was: what it has so far lies beside the folder, in FOLDER.part, until it is done."""
MONTH_EXITS = """
here 0: told; 1: no case of that month is kept"""
QUEUE_EXITS = """
here 0: calls wait, or one was taken; 1: none waits, or with --next none that can be worked on now

Danger comes first, then an hour that was agreed and is due, then what waiting costs in homeowner minutes (judgement). What waits for
somebody, or is to be rung back later, stands behind the rest unless it is dangerous. Marks of the queue are no evidence: no advice hangs on them."""
MORE_EXITS = {
    "queue": QUEUE_EXITS,
    "learn": LEARN_EXITS,
    "month": MONTH_EXITS,
    "try": TRY_EXITS,
    "drill": DRILL_EXITS,
    "quiz": QUIZ_EXITS,
    "survey": SURVEY_EXITS,
}
WRONG = re.compile(r"invalid choice: '([^']*)'|unrecognized arguments: (\S+)")


class UsageError(Exception):
    """A command line that can't be followed."""


class Help(argparse.RawDescriptionHelpFormatter):
    """Help as wide as the terminal; told the width, argparse imports nothing to find it out."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=help_width())


class Parser(argparse.ArgumentParser):
    """An argument parser that raises instead of leaving, so that --json can speak of usage too."""

    def __init__(self, *args: Any, **settings: Any) -> None:
        # A shortened option would change its meaning with the next option that begins alike.
        settings["allow_abbrev"] = False
        super().__init__(*args, **settings)

    def _print_message(self, message: str, file: Any = None) -> None:
        """Print help as all else is printed: what can't be written is not passed over."""
        if message:
            Env().write(message, err=file is sys.stderr)

    def error(self, message: str) -> NoReturn:
        """Raise the message with the nearest word that is known, and where to look."""
        from ..engine.errors import nearest

        wrong = WRONG.search(message)
        near = nearest(wrong[1] or wrong[2], _words(self)) if wrong else ""
        said = f"unknown '{wrong[1] or wrong[2]}'" if wrong else message
        raise UsageError(f"{said}{f'; nearest: {near}' if near else ''}\ntry: {self.prog} --help")


def _words(of: argparse.ArgumentParser) -> list[str]:
    """Return the commands and options that a parser and those below it know."""
    out = [name for name in of._option_string_actions if name.startswith("--")]
    for action in of._actions:
        if isinstance(action, argparse._SubParsersAction):
            out += [word for name, below in action.choices.items() for word in (name, *_words(below))]
    return out


class _Left:
    """A command that nobody asked for: nothing is made of it."""

    def add_argument(self, *_: object, **__: object) -> None:
        """Make nothing."""


def parser(only: str = "", runner: Callable[[str], Any] = str) -> Parser:
    """Return the parser of all commands; what it parses has a `func`, which runs the command.

    Parameters
    ----------
    only : str
        The first word of the command line: the other commands are not made, which is ten times as quick. Its messages know no
        other words than its own; where it refuses, ask the parser of all.
    runner : callable
        Makes `func` of a place in `RUNS`; unless said, `func` is that place itself.

    Examples
    --------
    >>> parser().parse_args(["rule", "standpipe-height"]).func
    'commands.rule:run'
    >>> parser("rule").parse_args(["rule", "standpipe-height"]).func
    'commands.rule:run'
    """
    top = Parser(
        prog="dryfloor",
        description="From a washing machine's symptom to the installation rule that was broken, the fix and the proof.",
        epilog=f"Without a command it starts a walk.\n\nexamples:\n  dryfloor\n  {EXAMPLES['hear']}\n\n{EXIT_TEXT}",
        formatter_class=Help,
    )
    top.add_argument("--version", action="version", version=f"dryfloor {__version__}")
    commands = top.add_subparsers(
        dest="command", metavar="COMMAND", parser_class=Parser, help="what to do; walk where none is named"
    )

    def command(group: Any, name: str, text: str) -> Parser | _Left:
        if only and only != name and group is commands:
            return _Left()
        more = f"{RULE}\n\n" if name in KB_TOOLS else ""
        exits = EXIT_TEXT + MORE_EXITS.get(name, "")
        made: Parser = group.add_parser(
            name,
            help=text,
            description=text,
            epilog=f"examples:\n  {EXAMPLES[name]}\n\n{more}{exits}",
            formatter_class=Help,
        )
        made.set_defaults(func=runner(RUNS[name]))
        made.add_argument("--json", action="store_true", help="print one JSON envelope on standard output")
        made.add_argument(
            "--kb",
            metavar="DIR",
            help="another kb folder than the one that comes with dryfloor; where it is left out, the environment variable DRYFLOOR_KB names one",
        )
        made.add_argument(
            "--units", metavar="UNITS", help="us, si, or both (usual; the locale says which stands first)"
        )
        return made

    walk = command(commands, "walk", "Walk from what you see to the broken rule, the fix and the proof.")
    walk.add_argument("--role", metavar="ROLE", help="who is there: homeowner (usual), desk, technician")
    walk.add_argument("--say", metavar="WORDS", help="what is wrong, in free words")
    walk.add_argument(
        "--machine",
        metavar="SHEET",
        help="a machine sheet (YAML), or the id of one in the kb, whose limits replace ours",
    )
    walk.add_argument(
        "--case", metavar="FILE", help="go on with a case file, or begin one; it is written after every answer"
    )
    walk.add_argument(
        "--reference", metavar="REF", help="whatever you find the case by: a job, an order, a door number"
    )
    walk.add_argument("--after", metavar="CASE", help="an earlier case whose trouble came back; this one points to it")
    walk.add_argument("--store", metavar="FILE", help=STORE)
    walk.add_argument("--plain", action="store_true", help="line by line without redrawing, for screen readers")
    walk.add_argument(
        "--cleared",
        metavar="HAZARD",
        action="append",
        default=[],
        help="a safety gate that is cleared, for scripts; may be repeated",
    )
    _add_case_commands(command, commands)
    hear = command(commands, "hear", "Show which complaints are heard in free words.")
    hear.add_argument("words", nargs="+", help="what a person says")
    advise = command(commands, "advise", "Give advice on a case file, without a conversation.")
    advise.add_argument("case", help="a case file, the id of a kept case, or - for standard input")
    advise.add_argument("--machine", metavar="SHEET", help="a machine sheet (YAML)")
    advise.add_argument(
        "--cleared",
        metavar="HAZARD",
        action="append",
        default=[],
        help="a safety gate that is cleared; may be repeated",
    )
    handover = command(
        commands,
        "handover",
        "Print the card with which a case is handed over: hazards, what is known, what to do first.",
    )
    handover.add_argument("case", help="a case file, the id of a kept case, or - for standard input")
    handover.add_argument("--role", metavar="ROLE", help="who takes it over: technician (usual), desk, homeowner")
    bring = command(commands, "bring", "Say what to bring to a case, and whether to go, with the sums.")
    bring.add_argument("case", help="a case file, the id of a kept case, or - for standard input")
    report = command(
        commands, "report", "Write the report on a case: what was wrong, how sure, the rule, what was done and proved."
    )
    report.add_argument("case", help="a case file, the id of a kept case, or - for standard input")
    report.add_argument(
        "-o",
        "--out",
        metavar="FILE",
        help="a name that ends in .html, .md or .json; Markdown on standard output unless said",
    )
    report.add_argument(
        "--for",
        dest="reader",
        metavar="READER",
        default="homeowner",
        help="homeowner (usual, plain words) or technician (numbers)",
    )
    report.add_argument("--date", metavar="TEXT", default="", help="a date to print on it; no clock is read")
    for made in (advise, handover, bring, report):
        made.add_argument("--store", metavar="FILE", help=STORE)
    for made in (handover, bring, report):
        made.add_argument(
            "--cleared",
            metavar="HAZARD",
            action="append",
            default=[],
            help="a safety gate that somebody vouches for now; may be repeated",
        )
    survey = command(commands, "survey", "Hold a finished installation against every rule.")
    survey.add_argument(
        "sheet", nargs="?", help="a filled survey sheet (YAML), or - for standard input; without one it asks"
    )
    survey.add_argument(
        "--role",
        metavar="ROLE",
        help="who measures: technician (usual) or homeowner; desk asks a caller (usual with --stage before)",
    )
    survey.add_argument("--machine", metavar="SHEET", help="a machine sheet (YAML), or the id of one in the kb")
    survey.add_argument(
        "--blank", action="store_true", help="print a sheet to fill in, in the order of a walk round the machine"
    )
    survey.add_argument(
        "--minutes",
        metavar="M",
        help="only so many minutes of hands: what must be seen, then what prevents most callback cost",
    )
    survey.add_argument(
        "--stage",
        metavar="STAGE",
        help="before (a phone check), door, hook-up, first-run or leaving; with a filled sheet and --blank it goes on there",
    )
    survey.add_argument(
        "--curve", metavar="FILE.svg", help="draw the share of the preventable callback cost against minutes"
    )
    survey.add_argument("--ask", action="store_true", help="go on with a sheet by asking for its empty lines")
    survey.add_argument(
        "--html", metavar="FILE", help="also write two pages to print: one for the customer, one with the readings"
    )
    survey.add_argument("--keep", action="store_true", help="put the sheet into the store, as an installation")
    survey.add_argument(
        "--reference", metavar="REF", help="with --keep: whatever you find it by, an order, a door number"
    )
    survey.add_argument("--store", metavar="FILE", help=STORE)
    rule = command(commands, "rule", "Show the card of a rule, or all rules by area.")
    rule.add_argument("id", nargs="?", help="the id of a rule")
    rule.add_argument("--picture", metavar="FILE", help="draw the rule, or what is looked at for it, as SVG")
    rule.add_argument("--machine", metavar="SHEET", help="a machine sheet (YAML), or the id of one in the kb")
    reckon = command(commands, "reckon", "Do the physics behind a rule as a calculator.")
    reckon.add_argument("name", nargs="?", help="a working; without one they are listed")
    reckon.add_argument(
        "--with",
        dest="values",
        metavar="NAME=VALUE",
        action="append",
        default=[],
        help="an input in trade notation; may be repeated",
    )
    completion = command(
        commands, "completion", "Print a completion script for a shell: commands, options, rules, workings."
    )
    completion.add_argument("shell", help="bash, zsh or fish")
    _own_numbers(command, commands)
    _lessons(command, commands)
    _page(command, commands)
    if only and only != "kb":
        return top
    kb = commands.add_parser(
        "kb",
        help="Check the kb, measure it, draw it, try it.",
        description="Tools for the keeper of the kb.",
        epilog=f"examples:\n  {EXAMPLES['check']}\n  {EXAMPLES['schema']}\n  {EXAMPLES['draw']}\n\n{RULE}\n\n{EXIT_TEXT}",
        formatter_class=Help,
    )
    kb.set_defaults(func=runner(RUNS["kb"]), json=False)
    tools = kb.add_subparsers(dest="tool", metavar="TOOL", parser_class=Parser, help="what to do with the kb")
    command(tools, "check", "Check every file, every case and every decoy of the kb.")
    command(tools, "schema", "Print the JSON schema of the kb's files, for editors.")
    _keeper(command, tools)
    return top


def _own_numbers(command: Any, commands: Any) -> None:
    """Add what a shop makes of its own cases."""
    learn = command(
        commands,
        "learn",
        "Learn a shop's own numbers from its closed cases, and write them as a kb folder if later cases are told better with them.",
    )
    learn.add_argument(
        "cases", metavar="CASE", nargs="*", help="case files, or folders of them, in the order of time; else the store"
    )
    learn.add_argument("--store", metavar="FILE", help=STORE)
    learn.add_argument("-o", "--out", metavar="FOLDER", help="the kb folder to write; without it nothing is written")
    learn.add_argument(
        "--report", metavar="FILE.html", help="also write a page: how well chances held, what moved, why"
    )
    learn.add_argument("--workers", metavar="N", type=int, default=1, help="processes that count; 1 unless said")
    learn.add_argument("--scheduler", metavar="ADDRESS", help="a Dask scheduler whose workers count instead")
    month = command(
        commands, "month", "Tell a month of closed cases: causes, rules broken, chances and minutes held, parts used."
    )
    month.add_argument("--of", metavar="YYYY-MM", help="the month; the last that has a case unless said")
    month.add_argument("--store", metavar="FILE", help=STORE)
    month.add_argument(
        "-o", "--out", metavar="FILE", help="a name that ends in .html, .md or .csv; as text unless said"
    )


def _lessons(command: Any, commands: Any) -> None:
    """Add what teaches: the drill, the cards and the quiz."""
    drill = command(
        commands,
        "drill",
        "Find out what is wrong at a made-up installation, in minutes that count, and be told how it went.",
    )
    drill.add_argument(
        "--first", action="store_true", help="a first round that teaches how it is played; it counts for nothing"
    )
    drill.add_argument("--fault", metavar="CAUSE", help="the id of a cause that is at work there")
    drill.add_argument("--family", metavar="F", help="a fault of this family: cold, drain, power, stand, supply or use")
    drill.add_argument("--role", metavar="ROLE", help="who looks: technician (usual), homeowner or desk")
    drill.add_argument(
        "--seed", metavar="N", type=int, help="the same number is the same installation for a whole class"
    )
    drill.add_argument("--minutes", metavar="M", type=float, help="minutes for looking; 30 unless said")
    drill.add_argument(
        "--faults",
        metavar="N",
        type=int,
        help="how many faults are at work, 0 (sound) to 2; drawn unless said, mostly 1",
    )
    drill.add_argument("--class", dest="class_file", metavar="FILE.csv", help="add a line with the result to this file")
    drill.add_argument(
        "--summary",
        metavar="FILE.csv",
        help="sum such a file: pupils, rules, dangerous steps, and what to practise next",
    )
    drill.add_argument("--pupil", metavar="NAME", help="a name or a number for that line")
    drill.add_argument(
        "--deck", metavar="FILE", help="your own file of what you missed; usually drill.json beside the kept cases"
    )
    drill.add_argument(
        "--sealed",
        action="store_true",
        help="print a code that stands for the installation; with --open: play it, and keep the answer back",
    )
    drill.add_argument("--open", metavar="CODE", help="play the installation of a code")
    cards = command(
        commands, "cards", "Rules as cards to learn by: the question with its datum, and on the back the limit."
    )
    cards.add_argument(
        "-o", "--out", metavar="FILE", help="a page that prints eight to a sheet, fronts and backs; as text unless said"
    )
    cards.add_argument("--area", metavar="AREA", help="one area alone, such as drain, stand, supply or power")
    cards.add_argument("--numbers", action="store_true", help="rules with numbers alone")
    cards.add_argument("--supply", metavar="SYSTEM", help="the practice of us-120 or eu-230 alone; all unless said")
    quiz = command(commands, "quiz", "Be asked for the limits of rules, one after the other.")
    quiz.add_argument("--area", metavar="AREA", help="one area alone, such as drain, stand, supply or power")
    quiz.add_argument("--supply", metavar="SYSTEM", help="whose practice: us-120 (usual), eu-230, or all")
    quiz.add_argument("--count", metavar="N", type=int, help="how many; 10 unless said")
    quiz.add_argument("--seed", metavar="N", type=int, help="the same number asks the same, whatever you missed before")
    quiz.add_argument(
        "--deck", metavar="FILE", help="your own file of what you missed; usually drill.json beside the kept cases"
    )
    drill.add_argument("--answer", action="store_true", help="with --open or --seed: show the answer, without playing")
    for made in (drill, quiz):
        made.add_argument("--plain", action="store_true", help="line by line without redrawing, for screen readers")


def _page(command: Any, commands: Any) -> None:
    """Add the server of the page."""
    serve = command(
        commands, "serve", "Serve the page: for a phone in the kitchen, the desk's screen, and other programs."
    )
    serve.add_argument(
        "--host",
        metavar="HOST",
        default="127.0.0.1",
        help="where to listen; this machine alone (127.0.0.1) unless said",
    )
    serve.add_argument("--port", metavar="PORT", type=int, default=8080, help="8080 unless said; 0 takes a free one")
    serve.add_argument(
        "--store", metavar="FILE", help="keep cases there when somebody asks for it; without it nothing is kept"
    )
    serve.add_argument(
        "--desk-token-file", metavar="FILE", help="a file with the desk's token; without it there is no desk"
    )
    serve.add_argument(
        "--technician-token-file",
        metavar="FILE",
        help="as --desk-token-file, for technicians: the same door, their own page at /technician",
    )
    serve.add_argument(
        "--class",
        dest="lessons",
        action="store_true",
        help="also the drill, at /drill: for a phone each in a classroom; nothing of a round is kept",
    )
    serve.add_argument(
        "--key-file",
        metavar="FILE",
        help="a file with the key that seals cleared gates, the same for all servers behind one balancer",
    )
    serve.add_argument(
        "--proxy",
        metavar="ADDRESS",
        action="append",
        default=[],
        help="an address or network that is believed about who calls and over what; may be repeated",
    )
    serve.add_argument(
        "--contact",
        metavar="FILE",
        help="whom to call: a file with lines such as name: Alder Repairs, phone: +1 555 010 0134, email: desk@example.com",
    )
    serve.add_argument(
        "--most-kept",
        metavar="N",
        type=int,
        default=10_000,
        help="how many cases may be kept by a link; 10000 unless said",
    )


def _keeper(command: Any, tools: Any) -> None:
    """Add the tools that measure, draw and try the kb."""
    figures = command(
        tools, "figures", "Measure the kb: of 100 faults, how many are seen and told apart, and what a complaint costs."
    )
    figures.add_argument("--role", metavar="ROLE", help="homeowner, desk or technician; all three unless said")
    figures.add_argument("--quick", action="store_true", help="play fewer sites; the costs scatter more")
    draw = command(tools, "draw", "Draw the kb, or the part that a complaint touches.")
    draw.add_argument("complaint", nargs="?", help="the id of a complaint")
    draw.add_argument(
        "-o",
        "--out",
        metavar="FILE",
        help="a name that ends in .svg, .dot, .graphml or .md; dot on standard output unless said",
    )
    draw.add_argument(
        "--width",
        metavar="PX",
        type=int,
        default=320,
        help="how wide an .svg may be: 320 (usual) is read on any phone, 640 on a sheet of paper, 960 or more on a screen",
    )
    picture = command(
        tools, "picture", "Draw one picture of the kb, or list its pictures and the scenes that there are."
    )
    picture.add_argument(
        "id", nargs="?", help="the id of a picture, such as check-paper-under-foot, or of what it belongs to"
    )
    picture.add_argument("-o", "--out", metavar="FILE", help="where to write the SVG; standard output unless said")
    page = command(
        tools, "page", "Write a linked page for each complaint, cause, check and rule, or one sheet for a wall."
    )
    where = page.add_mutually_exclusive_group(required=True)
    where.add_argument("-o", "--out", metavar="DIR", help="folder to write to; it is made if need be")
    where.add_argument("--poster", metavar="FILE", help="heights and limits at one drawn installation, as one SVG")
    migrate = command(
        tools,
        "migrate",
        "Move a kb folder's causes from answers to the signs that these report; its files are rewritten.",
    )
    migrate.add_argument("folder", metavar="DIR", help="the kb folder, over the kb that it extends")
    attempt = command(
        tools, "try", "Play made-up sites that have some causes against the walk, and say how often they are found."
    )
    attempt.add_argument(
        "causes",
        nargs="+",
        metavar="CAUSE",
        help="the id of a cause that is at work at each site, or of several together; all: each cause of the kb by itself",
    )
    attempt.add_argument(
        "--role",
        metavar="ROLE",
        action="append",
        help="who is there at first: technician (usual), homeowner, desk; may be repeated",
    )
    attempt.add_argument(
        "--complaint", metavar="ID", help="what is complained of; what the causes show most unless said"
    )
    attempt.add_argument("--sites", metavar="N", type=int, default=20, help="how many sites; 20 unless said")
    attempt.add_argument(
        "--seed",
        metavar="N",
        type=int,
        default=0,
        help="number of the first site, the others follow; 0 (usual) is the most ordinary such site",
    )
    attempt.add_argument("--steps", action="store_true", help="show the first site alone, move by move")


def _add_queue_commands(command: Callable[[Any, str, str], Any], group: Any) -> None:
    """Add the commands on the queue to a group, as `_add_case_commands`."""
    queue = command(
        group, "queue", "List the calls that are open or wait, in the order in which they can't wait, and why."
    )
    queue.add_argument(
        "--next", action="store_true", help="take the first that nobody has and that can be worked on now"
    )
    take = command(group, "take", "Take a call, so that everybody sees who has it.")
    back = command(group, "give-back", "Give a call back to the queue, for anybody.")
    ring = command(group, "ring-back", "Keep when a call is to be rung back; until then it stands behind the others.")
    waits = command(group, "waits", "Keep what a call waits for.")
    soon = command(group, "soon", "Keep that a call is needed soon; no reason is asked.")
    for made in (take, back, ring, waits, soon):
        made.add_argument("case", metavar="CASE", help=MEANT)
    ring.add_argument(
        "--at", metavar="WHEN", required=True, help="16:00, 'tomorrow 9:30', '2026-12-01 16:00'; nothing takes it away"
    )
    waits.add_argument(
        "--for", dest="what", metavar="WHAT", required=True, help="part, plumber or owner; nothing takes it away"
    )
    soon.add_argument("--no-more", action="store_true", help="it is in no hurry any more")
    for made in (queue, take, back, ring, waits, soon):
        made.add_argument(
            "--as", dest="who", metavar="MARK", help="the mark that you go by, such as ann; DRYFLOOR_AS unless said"
        )
        made.add_argument("--store", metavar="FILE", help=STORE)


def _add_case_commands(command: Callable[[Any, str, str], Any], group: Any) -> None:
    """Add the commands on kept cases to a group.

    Parameters
    ----------
    command : callable
        Makes one: group, name, text.
    group : subparsers
    """
    cases = command(group, "cases", "List the kept cases: what was said, how far each went, where it stands.")
    cases.add_argument("--state", metavar="STATE", help="open, waiting (handed on), on-trial, closed or damaged")
    cases.add_argument("--complaint", metavar="ID", help="the id of a complaint")
    cases.add_argument(
        "--text",
        metavar="WORDS",
        help="words in the id, the reference (close spellings, too), the complaint, what was said or the notes",
    )
    cases.add_argument("--older", metavar="DAYS", type=float, help="not touched for so many days")
    cases.add_argument("--newer", metavar="DAYS", type=float, help="touched in so many days")
    cases.add_argument("--since", metavar="DAY", help="touched on that day (UTC) or later, as 2026-03-09")
    cases.add_argument("--cause", metavar="ID", help="a cause that was mended in it, or that it turned out to be")
    cases.add_argument("--rule", metavar="ID", help="a rule that such a cause breaks, or that was read against")
    cases.add_argument("--part", metavar="ID", help="a part that the mend of such a cause takes")
    cases.add_argument("--who", metavar="MARK", help="who has it, by the mark that dryfloor take was given")
    cases.add_argument("--csv", metavar="FILE", help="a file to write the list to, for a spreadsheet")
    cases.add_argument("--verify", action="store_true", help="hold the whole store against its checksums")
    show = command(group, "show", "Show a case: what was heard, answered, done and noted, and what comes next.")
    show.add_argument("case", metavar="CASE", help=MEANT)
    resume = command(group, "resume", "Go on with a case; without one, with the last that is open.")
    resume.add_argument("case", metavar="CASE", nargs="?", help=MEANT)
    resume.add_argument(
        "--role", metavar="ROLE", help="who takes it up: homeowner, desk, technician; as before unless said"
    )
    resume.add_argument("--machine", metavar="SHEET", help="a machine sheet (YAML), or the id of one in the kb")
    resume.add_argument("--plain", action="store_true", help="line by line without redrawing, for screen readers")
    note = command(group, "note", "Add a free remark to a case, for whoever goes on with it.")
    note.add_argument("case", metavar="CASE", help=MEANT)
    note.add_argument("words", metavar="WORDS", nargs="+", help="the remark")
    outcome = command(group, "outcome", "Say what a case turned out to be, once somebody knows; it closes the case.")
    outcome.add_argument("case", metavar="CASE", help=MEANT)
    outcome.add_argument("words", metavar="WORDS", nargs="+", help="what it was, in free words")
    outcome.add_argument("--cause", metavar="ID", help="the cause of the kb that it was, where one fits")
    outcome.add_argument(
        "--by",
        metavar="WHO",
        help="who found it: homeowner, technician, plumber, electrician, specialist; whoever had the case unless said",
    )
    outcome.add_argument("--date", metavar="DAY", help="when it was found, as 2026-03-09; today unless said")
    _add_queue_commands(command, group)
    export = command(group, "export", "Write a case as a case file, on standard output unless said.")
    export.add_argument("case", metavar="CASE", nargs="?", help=MEANT)
    export.add_argument("--all", action="store_true", help="all cases, in one file for dryfloor import")
    export.add_argument("--times", action="store_true", help="with when each event was kept, where that is known")
    export.add_argument("-o", "--out", metavar="FILE", help="a file to write it to")
    export.add_argument("--photos", metavar="FOLDER", help="a folder to write the photos of the case to")
    taken = command(
        group, "import", "Take in the cases of a file; what is here already is gone on with, and nothing is lost."
    )
    taken.add_argument("file", metavar="FILE", help="what dryfloor export --all wrote; - reads what is piped in")
    moved = command(group, "move", "Carry all cases of one store over to another; it may be cut and run again.")
    for end, name, text in (
        ("--from", "source", "the store that they are in"),
        ("--to", "target", "the store that they go to"),
    ):
        moved.add_argument(
            end, dest=name, metavar="STORE", required=True, help=f"{text}: a file, or postgresql://HOST/DATABASE"
        )
    forget = command(group, "forget", "Remove a case for good, to the last byte, with its files beside the store.")
    forget.add_argument("case", metavar="CASE", help=MEANT)
    forget.add_argument("--yes", action="store_true", help="do not ask")
    close = command(group, "close", "Close a case that ends without its proof, with the reason.")
    close.add_argument("case", metavar="CASE", help=MEANT)
    close.add_argument(
        "--as",
        dest="how",
        metavar="END",
        required=True,
        help="handed-on, given-up, not-a-fault, or reported-solved where somebody only told it; solved is for its proof alone",
    )
    close.add_argument("--why", metavar="WORDS", required=True, help="the reason, in free words")
    for made in (resume, forget):
        made.add_argument(
            "--take",
            metavar="PROCESS",
            type=int,
            help="the number of a process on another machine that holds the case, where nothing runs there any more",
        )
    for made in (cases, show, resume, note, outcome, export, taken, forget, close):
        made.add_argument("--store", metavar="FILE", help=STORE)
