"""Room for labels: each goes where it lies free, never over another, a line or the edge; where there is no such place, where it covers least."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

CELL = 2.0  # of the grid in which ink is counted [px]
AWAY = (3.0, 6.0, 10.0, 16.0, 25.0, 36.0, 50.0, 68.0, 90.0, 120.0)  # distances tried [px]
CLOSE = 5  # of them, where no line may join the words to their point
ROUND = tuple(k * 22.5 for k in range(16))  # directions tried [degrees]
UNIT = {angle: (math.cos(math.radians(angle)), -math.sin(math.radians(angle))) for angle in ROUND}
RASTER = 7.0  # step of the places tried where none on the rings is free [px]
PAD = 2.5  # kept free round words [px]
TIGHT = 1.0  # kept free round words on a thing itself [px]
LOOSE, FIRM = 0.9, 3.5  # cost of standing a quarter of a right angle off the side that is tried first
UNDER = 3.0  # cost of a cell of ink under words
ASTRAY = 20  # cost of hiding the point that other words speak of, or of a line to a point across words
ROUND_SPOT = 7.0  # kept free round the point that other words speak of [px]
CROSSED = 3.0  # cost of a cell of ink under a line from words to their point
IN_LINE = 24.0  # so close to an arrow's direction a line is taken for the arrow [degrees]
MISREAD = 40.0  # cost of that
LED = 6.0  # cost of such a line
NEAR = 9.0  # ink so close to a point belongs to it [px]
LEAD = 7.0  # from this gap on a line leads from the words to their point [px]
NARROWER = 9.0  # cost of a text broken into more lines than it needs

Spot = tuple[float, float]


@dataclass(frozen=True)
class Area:
    """A rectangle on the picture, y downward [px]."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Area", pad: float = 0.0) -> bool:
        """Return whether two boxes overlap."""
        return (
            self.left < other.right + pad
            and other.left < self.right + pad
            and self.top < other.bottom + pad
            and other.top < self.bottom + pad
        )

    def inside(self, other: "Area") -> bool:
        """Return whether it lies wholly in another."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )

    def holds(self, point: Spot, pad: float = 0.0) -> bool:
        """Return whether a point lies in it, or so close to it."""
        return self.left - pad < point[0] < self.right + pad and self.top - pad < point[1] < self.bottom + pad


@dataclass(frozen=True)
class Place:
    """Where words stand, which of their shapes it is, and where the line to their point begins."""

    area: Area
    shape: int = 0
    begin: Spot | None = None
    cost: float = 0.0
    covers: int = 0


class Ground:
    """What is drawn already, so that words find a place beside it.

    Parameters
    ----------
    edge : Area
        Where words may stand.
    """

    def __init__(self, edge: Area) -> None:
        self.edge = edge
        self.taken: list[Area] = []
        self.spots: list[Spot] = []  # points that words speak of
        self.covered = 0
        self.cost = 0.0
        self.first, self.last = edge.bottom, edge.top  # of the ink [px]
        self.leads: list[tuple[Spot, Spot]] = []
        self.wide = math.ceil((edge.right + 40) / CELL)
        self.high = math.ceil((edge.bottom + 40) / CELL)
        self.ink = [bytearray(self.wide + 1) for _ in range(self.high + 1)]

    def stain(self, x: float, y: float) -> None:
        """Note ink at a point."""
        if y < self.first:
            self.first = y
        if y > self.last:
            self.last = y
        i, j = int(y / CELL), int(x / CELL)
        if 0 <= i < self.high and 0 <= j < self.wide:
            self.ink[i][j] = 1

    def cover(self, outline: Sequence[Spot]) -> None:
        """Take away the ink that lies under a filled outline."""
        low, high = min(p[1] for p in outline), max(p[1] for p in outline)
        for i in range(max(0, int(low / CELL)), min(self.high, int(high / CELL) + 1)):
            y = (i + 0.5) * CELL
            cuts = sorted(
                a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
                for a, b in zip(outline, [*outline[1:], outline[0]], strict=True)
                if (a[1] <= y) != (b[1] <= y)
            )
            for left, right in zip(cuts[::2], cuts[1::2], strict=False):
                j, k = max(0, math.ceil(left / CELL)), min(self.wide, int(right / CELL))
                if k > j:
                    self.ink[i][j:k] = bytes(k - j)

    def _total(self, box: Area) -> int:
        """Return how many cells of ink lie in a box."""
        left, right = max(0, int(box.left / CELL)), int(box.right / CELL) + 1
        top, bottom = max(0, int(box.top / CELL)), int(box.bottom / CELL) + 1
        return sum(cells.count(1, left, right) for cells in self.ink[top:bottom])

    def _crossed(self, a: Spot, b: Spot) -> float:
        """Return how much ink a line from words to their point runs over, what lies at the point itself left out."""
        long = math.dist(a, b)
        count = max(1, int(long / CELL))
        found = 0
        for k in range(count):
            x, y = a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count
            i, j = int(y / CELL), int(x / CELL)
            if math.dist((x, y), b) > NEAR and 0 <= i < self.high and 0 <= j < self.wide:
                found += self.ink[i][j]
        return found + 10.0 * sum(_meet(a, b, c, d) for c, d in self.leads)

    def pin(self, at: Spot, wide: float, high: float) -> Place | None:
        """Take the room of words that stand on a thing itself; None where a line runs there."""
        wide, high = wide + 2 * TIGHT, high + 2 * TIGHT
        box = Area(at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
        crossed = any(_cuts(a, b, box) for a, b in self.leads)
        if crossed or self._total(box) or any(box.meets(other) for other in self.taken):
            return None
        self.taken.append(box)
        return Place(box)

    def place(
        self,
        at: Spot,
        shapes: Sequence[tuple[float, float]],
        towards: float | None,
        lead: bool,
        firm: bool = False,
        along: float | None = None,
    ) -> Place | None:
        """Return where a label stands, and where the line to its point begins; None where there is no room at all.

        Parameters
        ----------
        at : pair of float
            The point that it speaks of [px].
        shapes : sequence of pairs
            Width and height of its text, by how it is broken into lines, the widest first [px].
        towards : float, optional
            The direction tried first, None for the point itself [degrees, counterclockwise].
        lead : bool
            Whether a line may join it to its point; without, it stays close where that is free.
        firm : bool
            Whether it keeps to its side even at some cost.
        along : float, optional
            The direction of the arrow whose end the words name: a line from them along it would be taken for the arrow [degrees].
        """
        turn = FIRM if firm else LOOSE
        near = [*self._ring(at, shapes, towards, turn, lead)]
        found = self._best(at, near, lead, True, along)
        if found is None and not lead:  # better away and joined by a line than on another line
            near = [*self._ring(at, shapes, towards, turn, True)]
            found = self._best(at, near, True, True, along)
        if found is None:
            found = self._best(at, [*self._raster(at, shapes, towards, turn)], True, True, along)
        if found is None:
            found = self._best(at, near, True, False, along)
        if found is None:
            return None
        self.covered += found.covers
        self.cost += found.cost
        self.taken.append(found.area)
        if found.begin:
            self.leads.append((found.begin, at))
        return found

    def _ring(
        self, at: Spot, shapes: Sequence[tuple[float, float]], towards: float | None, turn: float, lead: bool
    ) -> Iterator[tuple[float, int, Area]]:
        """Yield places round a point, each with what it costs, the shape and its box."""
        for k, (wide, high) in enumerate(shapes):
            extra = NARROWER * k
            if towards is None:
                yield extra, k, _box(at[0], at[1], wide, high)
            for away in AWAY if lead else AWAY[:CLOSE]:
                for angle in ROUND:
                    turned = _apart(angle, towards) if towards is not None else 0.0
                    dx, dy = UNIT[angle]
                    cost = (
                        extra
                        + (0.30 if lead else 0.8) * away
                        + turned / 22.5 * turn
                        + (5.0 if towards is None else 0.0)
                    )
                    x, y = at[0] + dx * (away + wide / 2), at[1] + dy * (away + high / 2)
                    yield cost, k, _box(x, y, wide, high)

    def _raster(
        self, at: Spot, shapes: Sequence[tuple[float, float]], towards: float | None, turn: float
    ) -> Iterator[tuple[float, int, Area]]:
        """Yield places all over the panel."""
        for k, (wide, high) in enumerate(shapes):
            y = self.edge.top + high / 2 + PAD
            while y < self.edge.bottom:
                x = self.edge.left + wide / 2 + PAD
                while x < self.edge.right:
                    box = _box(x, y, wide, high)
                    angle = _direction(at, (x, y))
                    turned = _apart(angle, towards) if towards is not None else 0.0
                    yield NARROWER * k + 0.30 * _gap(box, at) + turned / 22.5 * turn, k, box
                    x += RASTER
                y += RASTER

    def _best(
        self, at: Spot, tries: Sequence[tuple[float, int, Area]], lead: bool, free: bool, along: float | None
    ) -> Place | None:
        """Return the place that costs least; where it is free, it lies on no ink and no line to a point crosses words."""
        best: tuple[float, Place] | None = None
        for least, shape, box in sorted(tries, key=lambda t: t[0]):
            if best is not None and least >= best[0]:
                break
            if not box.inside(self.edge) or any(box.meets(other) for other in self.taken):
                continue
            begin = None if box.holds(at) or not lead or _gap(box, at) < LEAD else _nearest(box, at)
            covers = self._total(box)
            if covers and free:
                continue
            covers += ASTRAY * sum(box.holds(p, ROUND_SPOT if p != at else 0.0) for p in self.spots)
            covers += ASTRAY * sum(_cuts(a, b, box) for a, b in self.leads)
            if begin:
                covers += ASTRAY * sum(_cuts(begin, at, other) for other in self.taken)
            if covers and free:
                continue
            cost = least + UNDER * covers + (LED + CROSSED * self._crossed(begin, at) if begin else 0.0)
            if begin and along is not None:
                apart = _apart(_direction(at, begin), along)
                cost += MISREAD * ((apart < IN_LINE) + 2 * (apart > 180 - IN_LINE))
            if best is None or cost < best[0]:
                best = (cost, Place(box, shape, begin, cost, covers))
        return best[1] if best else None


def _box(x: float, y: float, wide: float, high: float) -> Area:
    return Area(x - wide / 2 - PAD, y - high / 2 - PAD, x + wide / 2 + PAD, y + high / 2 + PAD)


def _nearest(box: Area, at: Spot) -> Spot:
    """Return the point of a box that is nearest to another point."""
    return min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom)


def _direction(a: Spot, b: Spot) -> float:
    """Return the direction from a point to another [degrees, counterclockwise]."""
    return math.degrees(math.atan2(a[1] - b[1], b[0] - a[0]))


def _apart(a: float, b: float) -> float:
    """Return the angle between two directions [degrees].

    Examples
    --------
    >>> _apart(350.0, 10.0)
    20.0
    """
    return abs((a - b + 180) % 360 - 180)


def _gap(box: Area, at: Spot) -> float:
    return math.dist(_nearest(box, at), at)


def _meet(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Return whether two lines cross."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _cuts(a: tuple[float, float], b: tuple[float, float], box: Area) -> bool:
    """Return whether a line runs through a box (Liang and Barsky 1984, from memory)."""
    t0, t1 = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in ((-dx, a[0] - box.left), (dx, box.right - a[0]), (-dy, a[1] - box.top), (dy, box.bottom - a[1])):
        if p == 0:
            if q < 0:
                return False
            continue
        r = q / p
        if p < 0:
            t0 = max(t0, r)
        else:
            t1 = min(t1, r)
        if t0 > t1:
            return False
    return True
