"""A drawing fitted into its panel, its labels placed beside what they name, and written as SVG.

All lines have one weight. What is measured or looked at has the accent color, and says so in words as well; cut walls are
hatched, water has short level lines. Colors are `currentColor` and two classes, which the page or the file's own sheet sets.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from .letters import LEADING, SIZE, lines, width
from .placing import Area, Ground, Place
from .scenes.drawing import Arrow, Drawing, Label, Point, Stroke, Texture, bounds, run, smoothed

WEIGHT = 1.6  # of every line [px]
WORDS = 134.0  # room for a line of a label, in a whole picture and in half a one [px]
WORDS_NARROW = 112.0
STEP = 1.5  # between the points at which ink is noted [px]


@dataclass(frozen=True)
class Written:
    """A panel as SVG elements, its texts with their boxes, how much ink its words cover [cells], and what their places cost."""

    elements: list[str]
    texts: list[tuple[str, Area]]
    covered: int
    cost: float
    top: float
    bottom: float


class Panel:
    """One drawing at its place in a picture.

    Parameters
    ----------
    drawing : Drawing
    left, top : float
        Its corner [px].
    wide, high : float
        Room for it [px].
    frame : tuple
        What of the scene must be seen, left, bottom, right, top [mm].
    """

    def __init__(
        self,
        drawing: Drawing,
        left: float,
        top: float,
        wide: float,
        high: float,
        frame: tuple[float, float, float, float],
    ) -> None:
        self.drawing = drawing
        self.left, self.top, self.wide, self.high = left, top, wide, high
        x0, y0, x1, y1 = frame
        edge_x, edge_y = 8.0, 8.0
        self.scale = min((wide - 2 * edge_x) / (x1 - x0 or 1.0), (high - 2 * edge_y) / (y1 - y0 or 1.0))
        self.x0 = left + (wide - (x1 - x0) * self.scale) / 2 - x0 * self.scale
        self.y1 = top + edge_y + y1 * self.scale
        self.bottom = self.y1 - y0 * self.scale + edge_y

    def at(self, point: Point) -> Point:
        """Return a point of the scene on the picture [px]."""
        return self.x0 + point[0] * self.scale, self.y1 - point[1] * self.scale

    def written(self, top: float, bottom: float) -> Written | None:
        """Return the panel as SVG; None where its words have no room between two heights [px]."""
        order = sorted(
            self.drawing.labels,
            key=lambda label: (not label.pinned, label.towards is not None, not label.strong, label.lead),
        )
        found, late = self._written(top, bottom, order)
        if found and found.covered:  # who found no free place chooses first
            again, _ = self._written(top, bottom, [*late, *(label for label in order if label not in late)])
            if again and again.covered < found.covered:
                return again
        return found

    def _written(self, top: float, bottom: float, order: Sequence[Label]) -> tuple[Written | None, list[Label]]:
        """Return the panel with its labels placed in an order, and those of them that found no free place."""
        ground = Ground(Area(self.left + 1, top, self.left + self.wide - 1, bottom))
        late: list[Label] = []
        shapes: list[str] = []
        for part in self.drawing.parts:
            shapes.append(self._part(part, ground))
        ground.spots = [self.at(label.at) for label in self.drawing.labels if label.towards is not None]
        texts: list[tuple[str, Area]] = []
        words: list[str] = []
        for label in order:
            before = ground.covered
            made = self._label(label, ground)
            if made is None:
                return None, []
            if ground.covered > before:
                late.append(label)
            shapes.append(made[0])
            words.append(made[1])
            texts += made[2]
        boxes = [box.top for box in ground.taken], [box.bottom for box in ground.taken]
        first, last = min([ground.first, *boxes[0]]), max([ground.last, *boxes[1]])
        return Written([*(s for s in shapes if s), *words], texts, ground.covered, ground.cost, first, last), late

    def _label(self, label: Label, ground: Ground) -> tuple[str, str, list[tuple[str, Area]]] | None:
        room = WORDS_NARROW if self.drawing.narrow else WORDS
        broken = [lines(label.text, room)]
        for part in (0.8, 0.6, 0.45):
            rows = lines(label.text, part * room)
            if len(rows) > len(broken[-1]):
                broken.append(rows)
        shapes = [(max(map(width, rows)), len(rows) * LEADING) for rows in broken]
        at = self.at(label.at)
        placed: Place | None = ground.pin(at, *shapes[0]) if label.pinned else None
        if placed is None:
            placed = ground.place(at, shapes, label.towards, label.lead, label.firm, label.along)
        if placed is None:
            return None
        box, begin, rows = placed.area, placed.begin, broken[placed.shape]
        lead = ""
        if begin:
            kind = ' class="pa"' if label.accent else ""
            lead = f'<path{kind} d="M{_pair(begin)}L{_pair(at)}"/><circle class="pd" cx="{_n(at[0])}" cy="{_n(at[1])}" r="2.2"/>'
        middle = (box.left + box.right) / 2
        first = (box.top + box.bottom - len(rows) * LEADING) / 2
        kind = ' class="pt"' if label.accent else ""
        out, texts = [], []
        for k, row in enumerate(rows):
            y = first + (k + 0.78) * LEADING
            out.append(f'<text{kind} x="{_n(middle)}" y="{_n(y)}">{escape(row)}</text>')
            half = width(row) / 2
            texts.append((row, Area(middle - half, y - 0.78 * SIZE, middle + half, y + 0.24 * SIZE)))
        return lead, "".join(out), texts

    def _part(self, part: Stroke | Texture | Arrow, ground: Ground) -> str:
        if isinstance(part, Texture):
            return self._texture(part, ground)
        if isinstance(part, Arrow):
            return self._arrow(part, ground)
        points = [self.at(p) for p in part.points]
        line = run(points, part.closed, part.smooth)
        half = part.thick * self.scale / 2
        if part.fill and part.closed:
            ground.cover(line)
        self._stain(line, half, part.fill in ("ink", "accent"), ground)
        kinds = ["pa"] if part.accent else []
        more = ' stroke-dasharray="4 3"' if part.dashed else ""
        if part.fill:
            kinds.append({"paper": "pp", "ink": "pi", "accent": "pf"}[part.fill])
        kind = f' class="{" ".join(kinds)}"' if kinds else ""
        if part.radius:
            x, y = (sum(p[k] for p in points) / len(points) for k in (0, 1))
            return f'<circle{kind}{more} cx="{_n(x)}" cy="{_n(y)}" r="{_n(part.radius * self.scale)}"/>'
        d = _path(points, part.closed, part.smooth)
        if part.thick:
            return _tube(d, 2 * half, part.ribs)
        return f'<path{kind}{more} d="{d}"/>'

    @staticmethod
    def _stain(line: Sequence[Point], half: float, full: bool, ground: Ground) -> None:
        """Note the ink of a stroke, of a tube from wall to wall, of a dark shape all over."""
        for a, b in pairwise(line):
            long = math.dist(a, b) or 1.0
            across = ((a[1] - b[1]) / long, (b[0] - a[0]) / long)
            steps = max(1, math.ceil(2 * half / STEP))
            offs = [half * (2 * k / steps - 1) for k in range(steps + 1)] if half else [0.0]
            for x, y in _every([a, b], STEP):
                for off in offs:
                    ground.stain(x + off * across[0], y + off * across[1])
        if full:
            for a, b in _hatching(line, STEP, slanted=False):
                for x, y in _every([a, b], STEP):
                    ground.stain(x, y)

    def _arrow(self, part: Arrow, ground: Ground) -> str:
        points = [self.at(p) for p in part.points]
        smooth = len(points) > 2
        out = [f'<path class="pa" d="{_path(points, False, smooth)}"/>']
        line = run(points, False, smooth)
        self._stain(line, 0.0, False, ground)
        long = sum(math.dist(a, b) for a, b in pairwise(line))
        size = min(8.0, max(4.0, long / 3))
        ends = [(line[-2], line[-1])]
        if part.both:
            ends.append((line[1], line[0]))
        for before, tip in ends:
            angle = math.atan2(tip[1] - before[1], tip[0] - before[0])
            wings = [(tip[0] - size * math.cos(angle + s), tip[1] - size * math.sin(angle + s)) for s in (0.42, -0.42)]
            self._stain([wings[0], tip, wings[1], wings[0]], 0.0, False, ground)
            out.append(f'<path class="pa pf" d="{_path([wings[0], tip, wings[1]], True, False)}"/>')
        if part.bar:
            angle = math.atan2(line[1][1] - line[0][1], line[1][0] - line[0][0]) + math.pi / 2
            a, b = ((line[0][0] + s * 6 * math.cos(angle), line[0][1] + s * 6 * math.sin(angle)) for s in (1, -1))
            self._stain([a, b], 0.0, False, ground)
            out.append(f'<path class="pa" d="M{_pair(a)}L{_pair(b)}"/>')
        return "".join(out)

    def _texture(self, part: Texture, ground: Ground) -> str:
        outline = [self.at(p) for p in part.outline]
        if part.kind == "solid":
            rows = _hatching(outline, 6.0, slanted=True)
            d = "".join(f"M{_pair(a)}L{_pair(b)}" for a, b in rows)
            for row in [[*outline, outline[0]], *map(list, rows)]:
                self._stain(row, 0.0, False, ground)
            return f'<path d="{_path(outline, True, False)}{d}"/>'
        rows = _hatching(outline, 5.0 if part.kind == "water" else 7.0, slanted=False)
        pieces: list[str] = []
        if part.kind == "water":
            for k, (a, b) in enumerate(rows[1:]):
                x = a[0] + 2 + (k % 2) * 6
                while x < b[0] - 3:
                    to = min(x + 6, b[0] - 2)
                    pieces.append(f"M{_n(x)} {_n(a[1])}h{_n(to - x)}")
                    self._stain([(x, a[1]), (to, a[1])], 0.0, False, ground)
                    x += 12
            top = rows[0] if rows else None
            if top:
                y = min(p[1] for p in outline)
                pieces.append(f"M{_n(top[0][0])} {_n(y)}H{_n(top[1][0])}")
                self._stain([(top[0][0], y), (top[1][0], y)], 0.0, False, ground)
            return f'<path d="{"".join(pieces)}"/>' if pieces else ""
        for k, (a, b) in enumerate(rows):
            x = a[0] + 3 + (k % 2) * 4
            while x < b[0] - 2:
                pieces.append(f"M{_n(x - 2)} {_n(a[1])}a2 2 0 1 0 4 0a2 2 0 1 0 -4 0")
                for off in (-2.0, 0.0, 2.0):
                    ground.stain(x + off, a[1] + off)
                    ground.stain(x + off, a[1] - off)
                x += 8
        return f'<path d="{"".join(pieces)}"/>' if pieces else ""


def _tube(d: str, thick: float, ribs: bool) -> str:
    """Return a hose or a pipe as one broad stroke with a paler one inside it, so that its walls are two lines of the one weight."""
    inner = max(1.2, thick - 2 * WEIGHT)
    out = f'<path stroke-width="{_n(max(thick, 1.2 + 2 * WEIGHT))}" stroke-linecap="butt" d="{d}"/>'
    out += f'<path class="pw" stroke-width="{_n(inner)}" stroke-linecap="butt" d="{d}"/>'
    if ribs:
        out += f'<path stroke-width="{_n(inner)}" stroke-linecap="butt" stroke-dasharray="1.2 4.8" d="{d}"/>'
    return out


def _path(points: Sequence[Point], closed: bool, smooth: bool) -> str:
    head = f"M{_pair(points[0])}"
    if smooth:
        body = "".join(f"C{_pair(a)} {_pair(b)} {_pair(c)}" for a, b, c in smoothed(points, closed))
    else:
        body = "".join(f"L{_pair(p)}" for p in points[1:])
    return head + body + ("Z" if closed else "")


def _every(line: Sequence[Point], step: float) -> Iterable[Point]:
    """Yield points along a line, at most so far apart [px]."""
    for a, b in pairwise(line):
        count = max(1, math.ceil(math.dist(a, b) / step))
        for k in range(count):
            yield a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count
    if line:
        yield line[-1]


def _hatching(outline: Sequence[Point], step: float, slanted: bool) -> list[tuple[Point, Point]]:
    """Return parallel lines inside an outline: level ones, or slanted ones."""
    turn = math.pi / 4 if slanted else 0.0
    cos, sin = math.cos(turn), math.sin(turn)
    turned = [(x * cos - y * sin, x * sin + y * cos) for x, y in outline]
    _, low, _, high = bounds(turned)
    out: list[tuple[Point, Point]] = []
    y = (math.floor(low / step) + 1) * step if slanted else low + 0.01
    while y < high:
        cuts = []
        for (ax, ay), (bx, by) in zip(turned, turned[1:] + turned[:1], strict=True):
            if (ay <= y) != (by <= y):
                cuts.append(ax + (y - ay) / (by - ay) * (bx - ax))
        cuts.sort()
        for a, b in zip(cuts[::2], cuts[1::2], strict=False):
            if b - a > 1.5:
                out.append(((a * cos + y * sin, y * cos - a * sin), (b * cos + y * sin, y * cos - b * sin)))
        y += step
    return out


def _n(value: float) -> str:
    """Return a coordinate, rounded to a tenth."""
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def _pair(point: Point) -> str:
    return f"{_n(point[0])} {_n(point[1])}"
