"""A month of cases as one HTML page to print, with bars beside the words; no script, nothing fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...engine.language.sanitize import visible
from .month import MOST, NOT_TOLD, parts
from .report_html import environment

if TYPE_CHECKING:
    from ...engine.reports.month import Counted, Held, Month


def page(m: Month) -> str:
    """Return a month as a page."""
    counted = {"Rules broken most": m.rules, "What it was": m.causes, "Parts to carry: what the mends took": m.parts}
    return visible(
        environment()
        .get_template("month.html")
        .render(
            m=m,
            parts=[(title, lines, bars(counted.get(title, [])), title in counted) for title, lines in parts(m)],
            held=held(m.held),
            chances="Chances stated, and what came of them",
            more={title: max(0, len(some) - MOST) for title, some in counted.items()},
            note=NOT_TOLD,
        )
    )


def bars(some: list[Counted]) -> list[tuple[str, int, int]]:
    """Return what is counted as rows: its title, how many, and how long its bar is in 100 of the longest.

    Examples
    --------
    >>> from dryfloor.engine.reports.month import Counted
    >>> bars([Counted(id="a", title="Firm floor", cases=4), Counted(id="b", title="Hose depth", cases=1)])
    [('Firm floor', 4, 100), ('Hose depth', 1, 25)]
    """
    most = max((c.cases for c in some), default=1)
    return [(c.title, c.cases, round(100 * c.cases / most)) for c in some[:MOST]]


def held(some: list[Held]) -> list[tuple[str, str, int, int, int, int]]:
    """Return how findings held as rows: stated, right of how many, then in 100 the interval's ends, what was right and what was stated."""
    return [
        (
            f"{100 * h.stated:.0f} in 100",
            f"{h.right} of {h.cases}",
            round(100 * h.low),
            round(100 * h.high),
            round(100 * h.right / h.cases),
            round(100 * h.stated),
        )
        for h in some
    ]
