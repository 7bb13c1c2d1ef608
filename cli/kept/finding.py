"""Which kept cases are meant, by what they name of the kb, by who has them, since when; and the list as a spreadsheet reads it."""

import argparse
import csv
import io
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.case.events import Event
    from ..store.store import CaseLine, Store

COLUMNS = (
    *("case", "reference", "state", "closed", "why", "complaints", "answers", "role", "has it", "began", "touched"),
    "after",
)
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet would work out instead of showing it


def since(text: str | None) -> float | None:
    """Return the beginning of a day, UTC [ms since 1970].

    Raises
    ------
    InvalidInputError
        U036, where it is no day.

    Examples
    --------
    >>> since("1970-01-02"), since(None)
    (86400000.0, None)
    """
    from ...engine.errors import InvalidInputError, Problem

    if text is None:
        return None
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        day = None
    if day is None:
        problem = Problem(
            code="U036",
            message=f"'{text}' is no day",
            expected="a day such as 2026-03-09",
            mend="write year, month and day",
        )
        raise InvalidInputError([problem])
    return datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() * 1000


def fitting(
    args: argparse.Namespace, kb: "model.KB", store: "Store"
) -> "Callable[[CaseLine, list[Event]], bool] | None":
    """Return what says whether a case is meant, by cause, rule, part and who has it; None where nothing of that is asked.

    Parameters
    ----------
    args : Namespace
        cause, rule, part, who.
    kb : KB
    store : Store

    Raises
    ------
    InvalidInputError
        Where the kb has nothing of that name.
    """
    from ...engine.case.naming import causes_of, parts_of, rules_of
    from ..inputs import known

    asked = []
    for what, name, table, of in (
        ("cause", args.cause, kb.causes, causes_of),
        ("rule", args.rule, kb.rules, rules_of),
        ("part", args.part, kb.parts, parts_of),
    ):
        if name:
            known(name, table, "U037", what, f"name a {what} of the kb")
            asked.append((name, of))
    if not asked and args.who is None:
        return None

    def fits(line: "CaseLine", events: "list[Event]") -> bool:
        if not all(name in of(kb, events) for name, of in asked):
            return False
        return args.who is None or (store.queued(line.id).who.casefold() == args.who.casefold())

    return fits


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
