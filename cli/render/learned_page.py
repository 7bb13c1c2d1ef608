"""What was learned as one HTML file: reliability by tenths as a drawing, what moved most, what the cases can't tell; no script, nothing fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from ...engine.language.sanitize import visible
from .learned import HELD, cannot, cause_said, moved, on_later_cases, played_again, said
from .report_html import environment

if TYPE_CHECKING:
    from ...engine import model
    from ...engine.learning.backtest import Tenth
    from ...engine.learning.certainty import Foretold

SIDE, MARGIN = 320, 44  # of the square that chances span, and round it [px]
MOST, TOLD = 20, 8  # numbers that moved, and causes of each complaint that are to come [-]


def page(kb: model.KB, data: dict[str, Any]) -> str:
    """Return the report on what was learned.

    Parameters
    ----------
    kb : KB
        As it is judged.
    data : dict
        As `dryfloor learn --json` prints it.
    """
    rows = [(moved(w), _why(kb, w.key)) for w in data["moved"][:MOST]]
    return visible(
        environment()
        .get_template("learned.html")
        .render(
            data=data,
            test=[*on_later_cases(data["test"]), *played_again(data["replayed"])],
            to_come=[(title, rows) for title, rows in _to_come(kb, data["to_come"])],
            before=reliability(data["test"].before, "As judged"),
            after=reliability(data["test"].after, "Learned from the earlier cases"),
            tenths=list(zip(("as judged", "learned"), (data["test"].before, data["test"].after), strict=True)),
            rows=rows,
            held=[said(h["key"][0], h["names"]) for h in data["held"]],
            why_held=HELD,
            more=max(0, len(data["moved"]) - MOST),
            cannot=cannot(kb, data),
        )
    )


def _to_come(kb: model.KB, some: list[Foretold]) -> list[tuple[str, list[tuple[str, str, int, int]]]]:
    """Return for each complaint the causes of the next cases: how many are expected, and the numbers between which they will be."""
    out = []
    for complaint in dict.fromkeys(f.complaint for f in some):
        own = [f for f in some if f.complaint == complaint and f.key[0] == "cause"]
        rows = [(cause_said(kb, f.key[1]), f"{f.mean:.0f}", f.low, f.high) for f in own[:TOLD]]
        if own:
            out.append((f"Of the next {own[0].of} calls of '{kb.complaints[complaint].title}'", rows))
    return out


def _why(kb: model.KB, key: list[str]) -> str:
    """Return why a number was judged as it was, where its cause says so."""
    cause = kb.causes.get(key[1])
    return (cause.because or "") if cause and key[0] in ("rate", "strength") else ""


def reliability(some: list[Tenth], title: str) -> Markup:
    """Return findings by how surely they were stated, against how often they were right, with 90 % intervals, as inline SVG.

    Parameters
    ----------
    some : list of Tenth
    title : str
        Plain words, no markup.

    Examples
    --------
    >>> str(reliability([], "As judged"))[:4]
    '<svg'
    """

    def x(p: float) -> float:
        return round(MARGIN + SIDE * p, 1)

    def y(p: float) -> float:
        return round(MARGIN + SIDE * (1 - p), 1)

    grid = "".join(
        f'<line x1="{x(0)}" x2="{x(1)}" y1="{y(t / 5)}" y2="{y(t / 5)}" stroke="currentColor" stroke-width=".3"/>'
        f'<text x="{x(0) - 6}" y="{y(t / 5) + 4}" text-anchor="end">{20 * t}</text>'
        f'<text x="{x(t / 5)}" y="{y(0) + 18}" text-anchor="middle">{20 * t}</text>'
        for t in range(6)
    )
    marks = "".join(
        f'<line x1="{x(t.stated)}" x2="{x(t.stated)}" y1="{y(t.low)}" y2="{y(t.high)}" stroke="currentColor" stroke-width="2"/>'
        f'<circle cx="{x(t.stated)}" cy="{y(t.right / t.count)}" r="4" fill="currentColor"/>'
        for t in some
    )
    whole = SIDE + 2 * MARGIN
    return Markup(
        f'<svg viewBox="0 0 {whole} {whole}" role="img" font-size="12" fill="currentColor" '
        f'aria-label="{title}: how surely findings were stated, and how often they were right">'
        f'<text x="{x(0)}" y="20" font-size="14">{title}</text>{grid}'
        f'<line x1="{x(0)}" y1="{y(0)}" x2="{x(1)}" y2="{y(1)}" stroke="currentColor" stroke-dasharray="5 4"/>{marks}'
        f'<text x="{x(0.5)}" y="{whole - 8}" text-anchor="middle">stated, in 100</text>'
        f'<text x="{x(0)}" y="{MARGIN - 10}">right, in 100</text></svg>'
    )
