"""A month of cases as one HTML page to print, with bars beside the words; no script, nothing fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...engine.language.sanitize import visible
from .month import MOST, ON_SITE, parts
from .report_html import environment

if TYPE_CHECKING:
    from ...engine.reports.month import Counted, Held, Month
    from ...engine.reports.on_site import OnSite


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
            on_site=ON_SITE,
            minutes=minutes(m.on_site),
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


def minutes(found: OnSite | None) -> list[tuple[str, int, int]]:
    """Return minutes said and taken as rows: which, how many, and how long its bar is in 100 of the longer.

    Examples
    --------
    >>> from dryfloor.engine.reports.on_site import OnSite
    >>> minutes(OnSite(cases=2, of=2, said=20, taken=50, ratio=2, over=2, under=0, inside=1, called=1, came=3, again=1))
    [('said', 20, 40), ('taken', 50, 100)]
    """
    if found is None:
        return []
    most = max(found.said, found.taken)
    return [(name, round(n), round(100 * n / most)) for name, n in (("said", found.said), ("taken", found.taken))]


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
