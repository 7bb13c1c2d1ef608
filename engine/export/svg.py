"""One SVG text that stands alone: no scripts, no fonts to fetch, colours written out, light on paper, dark on a dark screen.

Text is set in a monospaced face, of which a letter's width is known beforehand, so that boxes fit their text everywhere. Every
colour is an attribute of what it paints, for programs that read no style sheet; the style sheet only turns them dark.
"""

import textwrap
from dataclasses import dataclass
from html import escape

SIZE = 12.0  # of letters [px]
HEAD = 15.0
WIDE = 0.62 * SIZE  # room for one letter: 0.6 of the size is usual, a little more where another face steps in [px]
LEADING = 15.0
PAD = 6.0
GAP_Y = 7.0
GAP_X = 150.0
MARGIN = 8.0
LETTERS = 30  # of one line of text in a box
FACE = "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace"
# What is painted, the attribute that paints it, its colour on paper and by day, and on a dark screen.
COLOURS = {
    "paper": ("fill", "#ffffff", "#16181b"),
    "ink": ("fill", "#1b1b1b", "#ececec"),
    "soft": ("fill", "#5c5c5c", "#a8a8a8"),
    "box": ("fill", "#f3f3f3", "#24282d"),
    "edge": ("stroke", "#5c5c5c", "#a8a8a8"),
    "line": ("stroke", "#4a6a8a", "#8fb4d9"),
    "mark": ("fill", "#2f5f8f", "#8fb4d9"),
    "hollow": ("stroke", "#2f5f8f", "#8fb4d9"),
}
DARK = " ".join(f".{name} {{ {what}: {dark}; }}" for name, (what, _, dark) in COLOURS.items())


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


def paint(*names: str) -> str:
    """Return the attributes that paint something: its classes, and their colours by day.

    Examples
    --------
    >>> paint("box", "edge")
    'class="box edge" fill="#f3f3f3" stroke="#5c5c5c"'
    """
    return f'class="{" ".join(names)}" ' + " ".join(f'{COLOURS[n][0]}="{COLOURS[n][1]}"' for n in names)


def text_at(x: float, y: float, said: str, name: str = "ink", size: float = SIZE, more: str = "") -> str:
    """Return one line of text that begins at a place; y is its base line [px]."""
    own = f' font-size="{size:g}"' if size != SIZE else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{own} {paint(name)}{more}>{escape(said)}</text>'


def heading(head: str, key: str, width: float) -> tuple[list[str], float]:
    """Return a title and the key below it, wrapped to the width, and where they end [px]."""
    out, y = [], MARGIN
    for said, size, name, more in ((head, HEAD, "ink", ' font-weight="bold"'), (key, SIZE, "soft", "")):
        for row in textwrap.wrap(said, int((width - 2 * MARGIN) / (0.62 * size))):
            y += size + 4
            out.append(text_at(MARGIN, y, row, name, size, more))
        y += 6
    return out, y


def document(width: float, height: float, head: str, told: str, body: list[str]) -> str:
    """Return a drawing that stands alone.

    Parameters
    ----------
    width, height : float
        [px]
    head : str
        Its title.
    told : str
        What it shows, in words, for whoever does not see it.
    body : list of str
        What is painted.

    Examples
    --------
    >>> document(10, 10, "Two", "one and two", [])[:4]
    '<svg'
    """
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        f'height="{height:.0f}" role="img" aria-labelledby="title desc" font-family="{FACE}" font-size="{SIZE:g}">',
        f'<title id="title">{escape(head)}</title>',
        f'<desc id="desc">{escape(told)}</desc>',
        f"<style>svg {{ color-scheme: light dark; }} @media screen and (prefers-color-scheme: dark) {{ {DARK} }}</style>",
        f'<rect {paint("paper")} width="{width:.0f}" height="{height:.0f}"/>',
    ]
    return "\n".join([*out, *body, "</svg>", ""])


def picture_width(columns: int) -> float:
    """Return how wide a picture of so many columns is [px]."""
    return 2 * MARGIN + columns * (LETTERS * WIDE + 2 * PAD) + (columns - 1) * GAP_X


def picture(
    head: str, names: list[str], columns: list[list[Box]], lines: list[Connector], key: str = "", told: str = ""
) -> str:
    """Return boxes in columns with lines between them.

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
    told : str
        What it shows, in words.

    Examples
    --------
    >>> picture("Two", ["A", "B"], [[Box("a", "one", "cause")], [Box("b", "two", "check")]], [Connector("a", "b", 0.9)])[:4]
    '<svg'
    """
    wide = LETTERS * WIDE + 2 * PAD
    width = picture_width(len(columns))
    out, top = heading(head, key, width)
    top += LEADING + 10
    tall = max(sum(b.height + GAP_Y for b in column) for column in columns)
    places: dict[str, tuple[float, float, float]] = {}
    for k, column in enumerate(columns):
        x = MARGIN + k * (wide + GAP_X)
        spare = (tall - sum(b.height + GAP_Y for b in column)) / (len(column) + 1)
        y = top + spare
        for box in column:
            places[box.node] = (x, y, box.height)
            y += box.height + GAP_Y + spare
    for k, name in enumerate(names):
        x = MARGIN + k * (wide + GAP_X)
        out.append(text_at(x, top - 10, name, "soft", more=' font-weight="bold"'))
    out += [_line(line, places, wide) for line in lines]
    for column in columns:
        out += [_box(box, places[box.node], wide) for box in column]
    return document(width, top + tall + MARGIN, head, told, out)


def _line(line: Connector, places: dict[str, tuple[float, float, float]], wide: float) -> str:
    a, b = places[line.left], places[line.right]
    first, last = (a, b) if a[0] < b[0] else (b, a)
    x0, y0, x1, y1 = first[0] + wide, first[1] + first[2] / 2, last[0], last[1] + last[2] / 2
    bend = (x1 - x0) / 2
    dashes = ' stroke-dasharray="4 3"' if 0 < line.strength < 0.5 else ""
    thick = 0.8 + 2.2 * line.strength
    return (
        f'<path {paint("line")} fill="none" d="M{x0:.1f} {y0:.1f}C{x0 + bend:.1f} {y0:.1f} {x1 - bend:.1f} {y1:.1f} '
        f'{x1:.1f} {y1:.1f}" stroke-width="{thick:.2f}"{dashes}/>'
    )


def _box(box: Box, place: tuple[float, float, float], wide: float) -> str:
    x, y, height = place
    rows = "".join(text_at(x + PAD, y + PAD + (n + 0.8) * LEADING, row) for n, row in enumerate(box.rows))
    edge = {"complaint": ' stroke-width="2.5"', "cause": ' stroke-width="1.5"', "check": ' stroke-dasharray="5 2"'}
    return (
        f'<g class="{escape(box.kind)}"><title>{escape(box.node)}</title>'
        f'<rect {paint("box", "edge")} x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{height:.1f}" rx="3"'
        f"{edge.get(box.kind, '')}/>{rows}</g>"
    )
