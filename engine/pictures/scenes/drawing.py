"""What a scene draws, before anything is placed: strokes in mm with y upward, labels at points, marks between points.

Nothing here knows how large the picture will be. `layout` fits it into its panel, finds room for the labels and writes the SVG.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

Point = tuple[float, float]
EXACT = 0.02  # a length that is drawn so much longer or shorter than it was read is not to scale [-]


@dataclass(frozen=True)
class Figure:
    """What is known of one measured thing: its limit in words, where the limits lie, and a reading.

    Parameters
    ----------
    limit : str
        As it is written at the arrow, "39 to 96 in".
    low, high : float, optional
        The limits, in the unit that the scene draws in [mm].
    reading : float, optional
        What was read, in the same unit [mm].
    read : str
        The reading as it is written, "31 in".
    low_said, high_said : str
        Each limit alone, "at least 39 in".
    """

    limit: str = ""
    low: float | None = None
    high: float | None = None
    reading: float | None = None
    read: str = ""
    low_said: str = ""
    high_said: str = ""

    def within(self, usual: float) -> float:
        """Return what is drawn: the reading, else the usual size, pulled inside the limits."""
        if self.reading is not None:
            return self.reading
        if self.low is not None and usual < self.low:
            return self.low
        if self.high is not None and usual > self.high:
            return self.high
        return usual


@dataclass(frozen=True)
class Stroke:
    """A line through points. `fill` is paper, ink or accent; `thick` makes a tube of that diameter [mm], `ribs` a ribbed one,
    `radius` a circle round the middle of its points [mm]."""

    points: tuple[Point, ...]
    closed: bool = False
    smooth: bool = False
    dashed: bool = False
    accent: bool = False
    fill: str = ""
    thick: float = 0.0
    ribs: bool = False
    radius: float = 0.0


@dataclass(frozen=True)
class Texture:
    """Lines that fill an outline: `solid` for what is cut through, `water` for water, `dots` for foam."""

    outline: tuple[Point, ...]
    kind: str


@dataclass(frozen=True)
class Label:
    """Words at a point. `towards` is the side that is tried first [degrees], None for the point itself; `pinned` words stay there
    where they fit on the thing, `firm` ones keep to their side, and none stands `along` the line of the arrow whose end it names [degrees]."""

    text: str
    at: Point
    towards: float | None = None
    strong: bool = False
    accent: bool = False
    lead: bool = True
    pinned: bool = False
    firm: bool = False
    along: float | None = None


@dataclass(frozen=True)
class Arrow:
    """An arrow along points in the accent color; `bar` closes its beginning, which is the datum it is measured from."""

    points: tuple[Point, ...]
    bar: bool = False
    both: bool = False


@dataclass
class Drawing:
    """A scene as it is drawn.

    Parameters
    ----------
    marks : frozenset of str
        The marks that are asked for.
    figures : dict
        What is known, by mark.
    narrow : bool
        Whether it has half a picture, and says less.
    scale : str
        How it departs from its scale, in words.
    """

    marks: frozenset[str] = frozenset()
    figures: dict[str, Figure] = field(default_factory=dict)
    narrow: bool = False
    parts: list[Stroke | Texture | Arrow] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    frame: list[Point] = field(default_factory=list)
    scale: str = ""

    def has(self, mark: str) -> bool:
        """Return whether a mark is asked for."""
        return mark in self.marks

    def size(self, mark: str, usual: float, least: float, most: float) -> float:
        """Return how large something is drawn: what was read, else the usual size inside its limits, as far as it can be drawn.

        Parameters
        ----------
        mark : str
        usual, least, most : float
            Its usual size, and the sizes between which the scene can show it [mm].
        """
        return min(most, max(least, self.figures.get(mark, Figure()).within(usual)))

    def read(self, mark: str) -> bool:
        """Return whether a reading of it is known."""
        return self.figures.get(mark, Figure()).reading is not None

    def line(
        self, *points: Point, closed: bool = False, dashed: bool = False, accent: bool = False, fill: str = ""
    ) -> None:
        """Draw straight lines through points."""
        self.parts.append(Stroke(points, closed, False, dashed, accent, fill))

    def curve(
        self, *points: Point, dashed: bool = False, accent: bool = False, closed: bool = False, fill: str = ""
    ) -> None:
        """Draw a smooth line through points."""
        self.parts.append(Stroke(points, closed, True, dashed, accent, fill))

    def tube(self, thick: float, *points: Point, ribs: bool = False, smooth: bool = True) -> None:
        """Draw a hose or a pipe of that diameter along its middle line."""
        self.parts.append(Stroke(points, False, smooth, False, False, "", thick, ribs))

    def box(
        self, x: float, y: float, wide: float, high: float, fill: str = "", dashed: bool = False, accent: bool = False
    ) -> None:
        """Draw a rectangle by its lower left corner."""
        self.line(*corners(x, y, wide, high), closed=True, fill=fill, dashed=dashed, accent=accent)

    def ring(
        self, x: float, y: float, radius: float, fill: str = "", dashed: bool = False, accent: bool = False
    ) -> None:
        """Draw a circle."""
        points = tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in _ANGLES)
        self.parts.append(Stroke(points, True, True, dashed, accent, fill, radius=radius))

    def solid(self, *outline: Point) -> None:
        """Fill an outline with the hatching of something cut through."""
        self.parts.append(Texture(outline, "solid"))

    def water(self, *outline: Point) -> None:
        """Fill an outline with the short level lines of water, and draw its surface."""
        self.parts.append(Texture(outline, "water"))

    def foam(self, *outline: Point) -> None:
        """Fill an outline with small rings."""
        self.parts.append(Texture(outline, "dots"))

    def name(self, text: str, x: float, y: float, towards: float | None = None, lead: bool = True) -> None:
        """Write what something is called, at it or beside it."""
        self.labels.append(Label(text, (x, y), towards, lead=lead))

    def write(self, text: str, x: float, y: float) -> None:
        """Write what stands on a thing itself: a number on a handle, a letter at an inlet."""
        self.labels.append(Label(text, (x, y), None, pinned=True))
        self.frame.append((x, y))

    def room(self, *points: Point) -> None:
        """Keep room for words out to some points."""
        self.frame += points

    def tell(self, text: str, x: float, y: float, towards: float | None = 0.0) -> None:
        """Write what is to be seen at a point, in the accent color."""
        self.labels.append(Label(text, (x, y), towards, strong=True, accent=True))

    def look(self, x: float, y: float, radius: float, text: str = "", towards: float = 0.0) -> None:
        """Ring the place to look at, with words."""
        self.ring(x, y, radius, dashed=True, accent=True)
        if text:
            a = math.radians(towards)
            self.tell(text, x + radius * math.cos(a), y + radius * math.sin(a), towards)

    def arrow(self, *points: Point, both: bool = False) -> None:
        """Draw an arrow for a motion or a flow."""
        self.parts.append(Arrow(points, both=both))

    def measure(
        self,
        mark: str,
        start: Point,
        end: Point,
        *,
        start_is: str = "",
        end_is: str = "",
        reach: tuple[Point | None, Point | None] = (None, None),
        towards: float = 0.0,
    ) -> None:
        """Draw a measured distance where it is asked for: from its datum to the measured point, with its limit written in.

        Parameters
        ----------
        mark : str
            Drawn only where it is asked for.
        start, end : pair of float
            The datum and the measured point [mm].
        start_is, end_is : str
            What they are, in two or three words.
        reach : pair
            The points of the thing itself that the ends stand for, joined by dashed lines [mm].
        towards : float
            The side on which the limit is written first [degrees].
        """
        if mark not in self.marks:
            return
        figure = self.figures.get(mark, Figure())
        text = figure.read or figure.limit or "?"
        if start == end:  # nothing lies between
            self.tell(f"{text}: no gap", *start, towards)
            return
        beside = self._limit(figure, start, end, reach)
        if figure.read and beside is None and figure.limit:
            text += f", limit: {figure.limit}"
        if figure.reading is not None and abs(math.dist(start, end) - figure.reading) > EXACT * max(
            figure.reading, 1.0
        ):
            self.scale = self.scale or "not drawn to scale"
        for here, there in zip((start, end), reach, strict=True):
            if there is not None:
                self.line(there, here, dashed=True, accent=True)
        self.parts.append(Arrow((start, end), bar=True))
        part = 0.5
        if figure.reading and any(
            limit and 0.3 < limit / figure.reading < 0.7 for limit in (figure.low, figure.high)
        ):  # a limit is drawn there: the reading stands nearer to its own end
            part = 0.8
        middle = (start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1]))
        self.labels.append(Label(text, middle, towards, strong=True, accent=True, lead=False))
        on = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        for said, at, out in (
            (start_is and f"from: {start_is}", start, on + 180),
            (end_is and f"to: {end_is}", end, on),
        ):
            if said:
                self.labels.append(Label(said, at, _between(towards, out), accent=True, firm=True, along=out))
        if beside is not None:
            self.labels.append(Label(f"limit: {beside[0]}", beside[1], towards, strong=True, accent=True))

    def _limit(
        self, figure: Figure, start: Point, end: Point, reach: tuple[Point | None, Point | None]
    ) -> tuple[str, Point] | None:
        """Draw where the nearer limit lies beside a reading, and return its words with their point; None where that is not to scale."""
        long, reading = math.dist(start, end), figure.reading
        sides = [
            (v, said) for v, said in ((figure.low, figure.low_said), (figure.high, figure.high_said)) if v is not None
        ]
        if reading is None or not sides or abs(long - reading) > EXACT * long:
            return None
        value, said = min(sides, key=lambda side: abs(side[0] - reading))
        if value > 2.2 * long or abs(value - long) < 0.01 * long:
            return None
        along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
        x, y = start[0] + along[0] * value, start[1] + along[1] * value
        other = reach[1] or (x, y)
        across = (other[0], y) if abs(along[1]) > 0.5 else (x, other[1])
        more = 0.06 * max(long, value)
        beyond = (x + more * abs(along[1]), y + more * abs(along[0]))
        self.line(across, beyond, dashed=True, accent=True)
        return said or figure.limit, beyond


@dataclass(frozen=True)
class Scene:
    """One scene.

    Parameters
    ----------
    says : str
        What is seen, without a full stop.
    draw : callable
        Takes the drawing and a state, and draws.
    states : dict
        The ways in which it can stand, each with its words; the first is the usual one.
    marks : dict
        What can be measured or looked at in it, each with its words.
    tall : float
        Room for it where it needs another height than most [px].
    """

    says: str
    draw: Callable[[Drawing, str], None]
    states: dict[str, str]
    marks: dict[str, str]
    tall: float = 0.0


def _between(a: float, b: float) -> float:
    """Return the direction between two directions [degrees].

    Examples
    --------
    >>> round(_between(180.0, 90.0)), round(_between(0.0, -90.0))
    (135, -45)
    """
    x = math.cos(math.radians(a)) + math.cos(math.radians(b))
    y = math.sin(math.radians(a)) + math.sin(math.radians(b))
    return math.degrees(math.atan2(y, x))


_ANGLES = tuple(2 * math.pi * k / 8 for k in range(8))


def corners(x: float, y: float, wide: float, high: float) -> tuple[Point, ...]:
    """Return the corners of a rectangle by its lower left one.

    Examples
    --------
    >>> corners(0, 0, 2, 1)
    ((0, 0), (2, 0), (2, 1), (0, 1))
    """
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def smoothed(points: Sequence[Point], closed: bool = False) -> list[tuple[Point, Point, Point]]:
    """Return the cubic pieces of a smooth line through points, each as two handles and its end (Catmull and Rom 1974, from memory).

    Examples
    --------
    >>> smoothed([(0, 0), (3, 0)])
    [((0.5, 0.0), (2.5, 0.0), (3, 0))]
    """
    n = len(points)
    out = []
    for k in range(n if closed else n - 1):
        a, b = points[k], points[(k + 1) % n]
        before = points[(k - 1) % n] if closed or k > 0 else a
        after = points[(k + 2) % n] if closed or k + 2 < n else b
        out.append(
            (
                (a[0] + (b[0] - before[0]) / 6, a[1] + (b[1] - before[1]) / 6),
                (b[0] - (after[0] - a[0]) / 6, b[1] - (after[1] - a[1]) / 6),
                b,
            )
        )
    return out


def run(points: Sequence[Point], closed: bool, smooth: bool) -> list[Point]:
    """Return a line as short straight pieces."""
    if not smooth:
        return [*points, points[0]] if closed else [*points]
    out = [points[0]]
    for first, second, end in smoothed(points, closed):
        start = out[-1]
        for k in range(1, 7):
            t = k / 6
            u = 1 - t
            out.append(
                tuple(  # type: ignore[arg-type]
                    u**3 * start[i] + 3 * u * u * t * first[i] + 3 * u * t * t * second[i] + t**3 * end[i]
                    for i in (0, 1)
                )
            )
    return out


def bounds(points: Iterable[Point]) -> tuple[float, float, float, float]:
    """Return the smallest and the greatest x and y: left, bottom, right, top."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
