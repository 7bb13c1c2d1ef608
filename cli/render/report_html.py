"""A report as one HTML file: nothing fetched, no script, light and dark, on paper and on a phone.

jinja2 is imported here alone, when a page is written. Everything is escaped, and the page forbids itself scripts and requests.
"""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from ...engine.language.sanitize import visible
from .acceptance import number_line

if TYPE_CHECKING:
    from ...engine.advice import Measured
    from ...engine.reports.history import Trail
    from ...engine.reports.report import Report

TEMPLATES = Path(__file__).parent / "templates"
WIDE, MIDDLE = 200, 100  # of a weight's drawing [px]


def page(r: "Report", drawings: dict[str, str] | None = None) -> str:
    """Return a report as an HTML page.

    Parameters
    ----------
    r : Report
        From `engine.report.report`.
    drawings : dict, optional
        Its pictures as SVG for a page, by their ids.
    """
    return visible(
        environment()
        .get_template("report.html")
        .render(r=r, line=_line, bar=bar, drawings={n: Markup(svg) for n, svg in (drawings or {}).items() if svg})
    )


@cache
def environment() -> Environment:
    """Return the environment of all sheets that are written as HTML here: everything is escaped, and nothing undefined passes."""
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def _line(m: "Measured") -> Markup:
    return Markup(number_line(m))  # its texts are escaped where it is drawn


def bar(t: "Trail") -> Markup:
    """Return an answer's weight as inline SVG: full to the right speaks for the finding, open to the left against it.

    It is hidden from screen readers, which read the same in words beside it.
    """
    if t.weight is None:
        return Markup("")
    length = round(abs(t.bar) * (MIDDLE - 6), 1)
    x = MIDDLE if t.bar >= 0 else round(MIDDLE - length, 1)
    fill = "currentColor" if t.bar > 0 else "none"
    shape = (
        f'<rect x="{x}" y="4" width="{length}" height="12" fill="{fill}" stroke="currentColor" stroke-width="1.5"/>'
        if length
        else ""
    )
    return Markup(
        f'<svg viewBox="0 0 {WIDE} 20" preserveAspectRatio="xMidYMid meet" aria-hidden="true">'
        f'<line x1="{MIDDLE}" x2="{MIDDLE}" y1="0" y2="20" stroke="currentColor"/>{shape}</svg>'
    )
