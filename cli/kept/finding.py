"""What kept cases are looked for by, as the kb knows it; and their list as a spreadsheet reads it."""

import argparse
import csv
import io
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...engine import model
    from ..store.store import CaseLine

COLUMNS = (
    *("case", "reference", "state", "closed", "why", "complaints", "answers", "role", "has it", "began", "touched"),
    "after",
)
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet would work out instead of showing it


def known_names(args: argparse.Namespace, kb: "model.KB") -> None:
    """Refuse a cause, rule or part that the kb does not have.

    Parameters
    ----------
    args : Namespace
        cause, rule, part.
    kb : KB

    Raises
    ------
    InvalidInputError
        U037, with the nearest one.
    """
    from ..inputs import known

    for what, name, table in (
        ("cause", args.cause, kb.causes),
        ("rule", args.rule, kb.rules),
        ("part", args.part, kb.parts),
    ):
        if name:
            known(name, table, "U037", what, f"name a {what} of the kb")


def csv_of(lines: "Sequence[CaseLine]", who: Callable[[str], str]) -> str:
    """Return a list of cases as CSV; what a spreadsheet would take for a formula stands behind a quote.

    Parameters
    ----------
    lines : sequence of CaseLine
    who : callable
        Who has a case, by its id.
    """
    raw = io.StringIO(newline="")
    rows = csv.writer(raw, lineterminator="\n")
    rows.writerow(COLUMNS)
    for c in lines:
        cells = [
            *(c.id, c.reference, c.state, c.closed or "", c.why, " ".join(c.complaints), c.answers, c.role),
            *(who(c.id), c.began, c.touched, c.earlier or ""),
        ]
        rows.writerow([shown(str(x)) for x in cells])
    return raw.getvalue()


def shown(cell: str) -> str:
    """Return a cell as a spreadsheet shows it.

    Examples
    --------
    >>> shown("=1+1"), shown("Alder 4")
    ("'=1+1", 'Alder 4')
    """
    from ...engine.language.sanitize import visible

    cell = visible(cell)
    return f"'{cell}" if cell.startswith(FORMULA) else cell
