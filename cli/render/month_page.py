"""A month of cases as one HTML page to print, with bars; no script, nothing fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from ...engine.language.sanitize import visible
from .month import NOT_TOLD, parts
from .report_html import environment

if TYPE_CHECKING:
    from ...engine.reports.month import Counted, Month

MOST, ROW, WIDE = 8, 22, 300


def page(m: Month) -> str:
    """Return a month as a page."""
    return visible(
        environment()
        .get_template("month.html")
        .render(
            m=m, parts=parts(m), bars={"Rules broken most": bars(m.rules), "What it was": bars(m.causes)}, note=NOT_TOLD
        )
    )


def bars(some: list[Counted]) -> Markup:
    """Return counts as bars; the list beside them says the same in words, so they are hidden from screen readers.

    Examples
    --------
    >>> str(bars([]))
    ''
    """
    if not some:
        return Markup("")
    most = max(c.cases for c in some)
    rows = "".join(
        f'<rect x="0" y="{n * ROW + 4}" width="{max(2, round(WIDE * c.cases / most))}" height="{ROW - 8}" fill="currentColor"/>'
        f'<text x="{max(2, round(WIDE * c.cases / most)) + 6}" y="{n * ROW + 16}" font-size="13" fill="currentColor">{c.cases}</text>'
        for n, c in enumerate(some[:MOST])
    )
    return Markup(f'<svg viewBox="0 0 {WIDE + 50} {ROW * min(len(some), MOST)}" aria-hidden="true">{rows}</svg>')
