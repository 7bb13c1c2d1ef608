"""Rule cards as one HTML file that prints eight to a page: fronts, and on the next page their backs, mirrored for turning at the long edge."""

from typing import TYPE_CHECKING

from ...engine.language.sanitize import visible
from .report_html import environment

if TYPE_CHECKING:
    from ...engine.drill.rule_questions import RuleQuestion

A_PAGE, A_ROW = 8, 2
# Letters on one side, above which its type is smaller, so that a card holds it (tried on the kb's longest) [-].
SMALL, SMALLEST = 215, 360


def page(found: "list[RuleQuestion]") -> str:
    """Return the cards as an HTML page: nothing fetched, no script.

    Parameters
    ----------
    found : list of RuleQuestion
    """
    numbered = list(enumerate(found, 1))
    sheets = [numbered[n : n + A_PAGE] for n in range(0, len(numbered), A_PAGE)]
    return visible(
        environment()
        .get_template("rule_cards.html")
        .render(sheets=sheets, mirrored=mirrored, size=size, count=len(found), a_page=A_PAGE)
    )


def mirrored(sheet: "list[tuple[int, RuleQuestion]]") -> "list[tuple[int, RuleQuestion] | None]":
    """Return a sheet's cards as they lie on its back: each row the other way round, gaps where a row is not full.

    Examples
    --------
    >>> mirrored([(1, "a"), (2, "b"), (3, "c")])
    [(2, 'b'), (1, 'a'), None, (3, 'c')]
    """
    out: list[tuple[int, RuleQuestion] | None] = []
    for n in range(0, len(sheet), A_ROW):
        row = [*sheet[n : n + A_ROW], *([None] * A_ROW)][:A_ROW]
        out += reversed(row)
    return out


def size(*texts: str) -> str:
    """Return the class of a side that holds so many letters."""
    letters = sum(len(t) for t in texts)
    return "s" if letters > SMALLEST else "m" if letters > SMALL else ""
