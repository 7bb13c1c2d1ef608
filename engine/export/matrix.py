"""What shows what, as squares in a grid: for more pairs than lines could be told apart, and for screens 320 px wide.

The columns are numbered, and said below each heading; where there are many, they stand in several panels, one below the other or, where
there is room, side by side. The larger a square, the oftener; one that is shown less often than not is hollow. No colour carries anything.
"""

import textwrap
from dataclasses import dataclass
from html import escape

from .svg import MARGIN, SIZE, document, heading, paint, text_at

PANEL = 320.0  # width of a panel with its margins: that of a small phone [px]
MOST_COLUMNS = 10  # of a panel
CELL = 15.0  # of a column [px]
LEADING = 14.0
AIR = 3.0  # above and below the text of a row [px]
SMALL = 10.0  # letters of the columns' numbers [px]
GAP = 18.0  # between panels one below the other [px]
EVEN = 0.5


@dataclass(frozen=True)
class Row:
    """One row: what it says, and for each column's id how often it is shown there [prob]."""

    text: str
    shown: dict[str, float]


@dataclass(frozen=True)
class Group:
    """Rows under one heading; an empty heading where they need none."""

    head: str
    rows: list[Row]


def matrix(head: str, key: str, told: str, columns: list[tuple[str, str]], groups: list[Group], width: float) -> str:
    """Return the drawing.

    Parameters
    ----------
    head, key, told : str
        Its title, what the squares mean, and what it shows in words.
    columns : list of (str, str)
        Id and text of each, in order.
    groups : list of Group
    width : float
        As many panels as fit stand side by side, at least one [px].

    Examples
    --------
    >>> made = matrix("One", "", "", [("a", "Pipe too low")], [Group("Taped", [Row("tight", {"a": 0.9})])], 320)
    >>> made.count('class="mark"')
    1
    """
    count = -(-len(columns) // MOST_COLUMNS) or 1
    size = -(-len(columns) // count) or 1
    cuts = [range(n, min(n + size, len(columns))) for n in range(0, len(columns), size)]
    beside = max(1, min(int(width // PANEL), len(cuts)))
    out, top = heading(head, key, beside * PANEL)
    ends = [top] * beside
    for cut in cuts:
        k = ends.index(min(ends))  # the next panel stands where there is most room
        body, ends[k] = _panel(columns, cut, groups, k * PANEL, ends[k])
        out += body
    return document(beside * PANEL, max(ends) + MARGIN, head, told, out)


def _panel(
    columns: list[tuple[str, str]], cut: range, groups: list[Group], left: float, top: float
) -> tuple[list[str], float]:
    """Return the squares of some columns with what they are called, and where they end [px]."""
    own = [columns[n][0] for n in cut]
    x, y, out = left + MARGIN, top + GAP, list[str]()
    for n in cut:
        for i, line in enumerate(_wrapped(columns[n][1], PANEL - 2 * MARGIN - 3 * CELL)):
            y += LEADING
            out += [text_at(x, y, f"{n + 1}", "ink", more=' font-weight="bold"')] if i == 0 else []
            out.append(text_at(x + 2 * CELL, y, line))
    first = left + PANEL - MARGIN - len(cut) * CELL
    y += LEADING / 2
    for group in groups:
        rows = [row for row in group.rows if any(c in row.shown for c in own)]
        if not rows:
            continue
        y += LEADING / 2
        for i, line in enumerate(_wrapped(group.head, first - x - CELL) or [""]):
            y += LEADING
            out += [text_at(x, y, line, more=' font-weight="bold"')] if line else []
            if i == 0:  # at every heading, so that nobody need scroll back for them
                for at, n in enumerate(cut):
                    out.append(
                        text_at(first + (at + 0.5) * CELL, y, f"{n + 1}", "soft", SMALL, ' text-anchor="middle"')
                    )
        y += AIR
        for row in rows:
            out.append(f'<path {paint("edge")} stroke-width="0.4" d="M{x:.1f} {y:.1f}H{left + PANEL - MARGIN:.1f}"/>')
            lines = _wrapped(row.text, first - x - 2 * CELL)
            mid = y + AIR + len(lines) * LEADING / 2
            for k, line in enumerate(lines, 1):
                out.append(text_at(x + CELL, y + AIR + k * LEADING - 3, line))
            for at, n in enumerate(cut):
                name, title = columns[n]
                if name in row.shown:
                    said = f"{title}: {row.text}"
                    out.append(_square(first + (at + 0.5) * CELL, mid, row.shown[name], said))
            y += len(lines) * LEADING + 2 * AIR
    return out, y


def _square(x: float, y: float, strength: float, said: str) -> str:
    """Return one square round a place, with what it says for a pointer."""
    side = 3 + (CELL - 5) * strength
    look = paint("mark") if strength >= EVEN else paint("hollow") + ' fill="none" stroke-width="1.2"'
    return (
        f'<rect {look} x="{x - side / 2:.1f}" y="{y - side / 2:.1f}" width="{side:.1f}" height="{side:.1f}">'
        f"<title>{escape(said)}, {strength:.2g}</title></rect>"
    )


def _wrapped(text: str, width: float) -> list[str]:
    """Return a text in lines of a width [px]."""
    return textwrap.wrap(text, max(8, int(width / (0.62 * SIZE))))
