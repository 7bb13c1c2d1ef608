"""Boxes in columns with lines between them, as one SVG text: no scripts, no fonts to fetch, light and dark.

Text is set in a monospaced face, of which a letter's width is known beforehand, so that boxes fit their text everywhere.
"""

import textwrap
from dataclasses import dataclass
from html import escape

SIZE = 12.0  # of letters [px]
WIDE = 0.62 * SIZE  # room for one letter: 0.6 of the size is usual, a little more where another face steps in [px]
LEADING = 15.0
PAD = 6.0
GAP_Y = 7.0
GAP_X = 150.0
MARGIN = 24.0
LETTERS = 30  # of one line of text in a box
TOP = 84.0

STYLE = """
svg { color-scheme: light dark; --paper: #ffffff; --ink: #1b1b1b; --soft: #5c5c5c; --box: #f3f3f3; --line: #4a6a8a; }
@media (prefers-color-scheme: dark) {
  svg { --paper: #16181b; --ink: #ececec; --soft: #a8a8a8; --box: #24282d; --line: #8fb4d9; }
}
.paper { fill: var(--paper); }
text { font: 12px ui-monospace, "DejaVu Sans Mono", Menlo, Consolas, monospace; fill: var(--ink); }
.head { font-size: 17px; font-weight: bold; }
.column { font-weight: bold; fill: var(--soft); }
.key { fill: var(--soft); }
.box { fill: var(--box); stroke: var(--soft); }
.complaint .box { stroke-width: 2.5; }
.cause .box { stroke-width: 1.5; }
.check .box { stroke-dasharray: 5 2; }
.line { fill: none; stroke: var(--line); stroke-opacity: 0.75; }
"""


@dataclass(frozen=True)
class Box:
    """One node: its id, its text and its kind, which is a class of the drawing."""

    node: str
    text: str
    kind: str

    @property
    def rows(self) -> list[str]:
        """Return the text in lines that fit the box."""
        return textwrap.wrap(self.text, LETTERS) or [""]

    @property
    def height(self) -> float:
        """Return the height of the box [px]."""
        return len(self.rows) * LEADING + 2 * PAD


@dataclass(frozen=True)
class Connector:
    """A line from a node to one in a column further right; strength 0 where it has none."""

    left: str
    right: str
    strength: float


def picture(head: str, names: list[str], columns: list[list[Box]], lines: list[Connector], key: str = "") -> str:
    """Return the drawing.

    Parameters
    ----------
    head : str
        Title of the drawing.
    names : list of str
        What each column is called.
    columns : list of list of Box
        Top to bottom, left to right.
    lines : list of Connector
        Either end may stand further left; it is drawn all the same.
    key : str
        What the lines mean.

    Examples
    --------
    >>> picture("Two", ["A", "B"], [[Box("a", "one", "cause")], [Box("b", "two", "check")]], [Connector("a", "b", 0.9)])[:4]
    '<svg'
    """
    wide = LETTERS * WIDE + 2 * PAD
    tall = max(sum(b.height + GAP_Y for b in column) for column in columns)
    places: dict[str, tuple[float, float, float]] = {}
    for k, column in enumerate(columns):
        x = MARGIN + k * (wide + GAP_X)
        spare = (tall - sum(b.height + GAP_Y for b in column)) / (len(column) + 1)
        y = TOP + spare
        for box in column:
            places[box.node] = (x, y, box.height)
            y += box.height + GAP_Y + spare
    width = 2 * MARGIN + len(columns) * wide + (len(columns) - 1) * GAP_X
    height = TOP + tall + MARGIN
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        f'height="{height:.0f}" role="img" aria-label="{escape(head)}">',
        f"<title>{escape(head)}</title>",
        f"<style>{STYLE}</style>",
        f'<rect class="paper" width="{width:.0f}" height="{height:.0f}"/>',
        f'<text class="head" x="{MARGIN:.0f}" y="30">{escape(head)}</text>',
        f'<text class="key" x="{MARGIN:.0f}" y="50">{escape(key)}</text>',
    ]
    for k, name in enumerate(names):
        x = MARGIN + k * (wide + GAP_X)
        out.append(f'<text class="column" x="{x:.1f}" y="{TOP - 10:.0f}">{escape(name)}</text>')
    out += [_line(line, places, wide) for line in lines]
    for column in columns:
        out += [_box(box, places[box.node], wide) for box in column]
    return "\n".join([*out, "</svg>", ""])


def _line(line: Connector, places: dict[str, tuple[float, float, float]], wide: float) -> str:
    a, b = places[line.left], places[line.right]
    first, last = (a, b) if a[0] < b[0] else (b, a)
    x0, y0, x1, y1 = first[0] + wide, first[1] + first[2] / 2, last[0], last[1] + last[2] / 2
    bend = (x1 - x0) / 2
    dashes = ' stroke-dasharray="4 3"' if 0 < line.strength < 0.5 else ""
    thick = 0.8 + 2.2 * line.strength
    return (
        f'<path class="line" d="M{x0:.1f} {y0:.1f}C{x0 + bend:.1f} {y0:.1f} {x1 - bend:.1f} {y1:.1f} {x1:.1f} {y1:.1f}" '
        f'stroke-width="{thick:.2f}"{dashes}/>'
    )


def _box(box: Box, place: tuple[float, float, float], wide: float) -> str:
    x, y, height = place
    rows = "".join(
        f'<text x="{x + PAD:.1f}" y="{y + PAD + (n + 0.8) * LEADING:.1f}">{escape(row)}</text>'
        for n, row in enumerate(box.rows)
    )
    return (
        f'<g class="{escape(box.kind)}"><title>{escape(box.node)}</title>'
        f'<rect class="box" x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{height:.1f}" rx="3"/>{rows}</g>'
    )
