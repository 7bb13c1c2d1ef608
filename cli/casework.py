"""The arguments of the commands on kept cases, and which function does each."""

from __future__ import annotations

from collections.abc import Callable

TYPE_CHECKING = False  # typing is not imported: the first line would wait for it
if TYPE_CHECKING:
    from typing import Any

EXAMPLES = {
    "cases": 'dryfloor cases --state open\n  dryfloor cases --text "alder lane" --newer 30\n  dryfloor cases --complaint walks --json',
    "show": "dryfloor show K7M3R4\n  dryfloor show K7M3R4 --json",
    "resume": "dryfloor resume\n  dryfloor resume K7M3R4 --role technician\n  dryfloor resume K7M3R4 --plain",
    "note": 'dryfloor note K7M3R4 "rings back at four"\n  dryfloor note K7M3R4 "key is with the neighbour" --json',
    "export": "dryfloor export K7M3R4 -o visit.yaml\n  dryfloor export K7M3R4 | dryfloor advise - --json",
    "forget": "dryfloor forget K7M3R4\n  dryfloor forget K7M3R4 --yes --json",
    "close": 'dryfloor close K7M3R4 --as given-up --why "the machine was replaced"\n  dryfloor close K7M3R4 --as not-a-fault --why "first wash only"',
}
STORE = "another store of cases than the usual one; :memory: keeps nothing"
MEANT = "a case by its id, such as K7M3R4; small letters, spaces and dashes are fine"


def add(command: Callable[[Any, str, str], Any], group: Any) -> None:
    """Add the commands to a group.

    Parameters
    ----------
    command : callable
        Makes one: group, name, text.
    group : subparsers
    """
    cases = command(group, "cases", "List the kept cases: what was said, how far each went, where it stands.")
    cases.add_argument("--state", metavar="STATE", help="open, waiting (handed on), on-trial or closed")
    cases.add_argument("--complaint", metavar="ID", help="the id of a complaint")
    cases.add_argument("--text", metavar="WORDS", help="words in the id, the reference, what was said or the notes")
    cases.add_argument("--older", metavar="DAYS", type=float, help="not touched for so many days")
    cases.add_argument("--newer", metavar="DAYS", type=float, help="touched in so many days")
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
    export = command(group, "export", "Write a case as a case file, on standard output unless said.")
    export.add_argument("case", metavar="CASE", help=MEANT)
    export.add_argument("-o", "--out", metavar="FILE", help="a file to write it to")
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
        help="handed-on, given-up or not-a-fault; solved is for its proof alone",
    )
    close.add_argument("--why", metavar="WORDS", required=True, help="the reason, in free words")
    for made in (cases, show, resume, note, export, forget, close):
        made.add_argument("--store", metavar="FILE", help=STORE)
