"""Room for labels: each goes where it covers least, never over another and never over the edge."""

import math
from dataclasses import dataclass
from itertools import accumulate

CELL = 4.0  # of the grid in which ink is counted [px]
AWAY = (3.0, 9.0, 16.0, 25.0, 36.0, 50.0, 68.0, 90.0, 120.0)  # distances tried [px]
ROUND = tuple(k * 22.5 for k in range(16))  # directions tried [degrees]
UNIT = {angle: (math.cos(math.radians(angle)), -math.sin(math.radians(angle))) for angle in ROUND}
PAD = 2.0
LOOSE, FIRM = 0.9, 3.5  # cost of standing a quarter of a right angle off the side that is tried first
NEAR = 9.0  # ink so close to a point belongs to it [px]
LEAD = 7.0  # from this gap on a line leads from the words to their point [px]


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
        self.covered = 0
        self.first, self.last = edge.bottom, edge.top  # of the ink [px]
        self.leads: list[tuple[tuple[float, float], tuple[float, float]]] = []
        self.wide = math.ceil((edge.right + 40) / CELL)
        self.high = math.ceil((edge.bottom + 40) / CELL)
        self.ink = [[0] * (self.wide + 1) for _ in range(self.high + 1)]
        self.sums: list[list[int]] | None = None

    def stain(self, x: float, y: float, much: int = 1) -> None:
        """Note ink at a point."""
        self.first, self.last = min(self.first, y), max(self.last, y)
        i, j = int(y / CELL), int(x / CELL)
        if 0 <= i < self.high and 0 <= j < self.wide:
            self.ink[i][j] = max(self.ink[i][j], much)
            self.sums = None

    def _total(self, box: Area) -> int:
        if self.sums is None:
            sums = [[0] * (self.wide + 1)]
            for cells in self.ink[: self.high]:
                row = accumulate(cells[: self.wide], initial=0)
                sums.append([a + b for a, b in zip(sums[-1], row, strict=True)])
            self.sums = sums
        top, bottom = max(0, int(box.top / CELL)), min(self.high, int(box.bottom / CELL) + 1)
        left, right = max(0, int(box.left / CELL)), min(self.wide, int(box.right / CELL) + 1)
        s = self.sums
        return s[bottom][right] - s[top][right] - s[bottom][left] + s[top][left]

    def _crossed(self, a: tuple[float, float], b: tuple[float, float]) -> int:
        """Return how much ink a line from words to their point runs over, what lies at the point itself left out."""
        long = math.dist(a, b)
        count = max(1, int(long / CELL))
        found = 0
        for k in range(count):
            x, y = a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count
            i, j = int(y / CELL), int(x / CELL)
            if math.dist((x, y), b) > NEAR and 0 <= i < self.high and 0 <= j < self.wide:
                found += self.ink[i][j]
        return found

    def pin(self, at: tuple[float, float], wide: float, high: float) -> tuple[Area, None]:
        """Take the room of words that stand on a thing itself."""
        box = Area(at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
        self.taken.append(box)
        return box, None

    def place(
        self, at: tuple[float, float], wide: float, high: float, towards: float | None, lead: bool, firm: bool = False
    ) -> tuple[Area, tuple[float, float] | None] | None:
        """Return where a label stands, and where the line to its point begins; None where there is no room at all.

        Parameters
        ----------
        at : pair of float
            The point that it speaks of [px].
        wide, high : float
            Of its text [px].
        towards : float, optional
            The direction tried first, None for the point itself [degrees, counterclockwise].
        firm : bool
            Whether it keeps to its side even at some cost.
        lead : bool
            Whether a line may join it to its point; without, it stays close.
        """
        turn = FIRM if firm else LOOSE
        return self._placed(at, wide, high, towards, lead, turn, True) or self._placed(
            at, wide, high, towards, lead, turn, False
        )

    def _placed(
        self,
        at: tuple[float, float],
        wide: float,
        high: float,
        towards: float | None,
        lead: bool,
        turn: float,
        strict: bool,
    ) -> tuple[Area, tuple[float, float] | None] | None:
        """Return the best place; where it is strict, no line to a point crosses other words."""
        best: tuple[float, Area, tuple[float, float] | None] | None = None
        tries: list[tuple[float, float, float]] = []
        if towards is None:
            tries.append((0.0, 0.0, 0.0))
        for away in AWAY if lead else AWAY[:6]:
            for angle in ROUND:
                turned = abs((angle - (towards or 0.0) + 180) % 360 - 180) if towards is not None else 0.0
                tries.append((away, angle, turned))
        for away, angle, turned in tries:
            least = (0.30 if lead else 0.8) * away + turned / 22.5 * turn + (5.0 if towards is None and away else 0.0)
            if best is not None and least >= best[0]:
                continue
            dx, dy = UNIT[angle]
            if away == 0.0:
                x, y = at
            else:
                x = at[0] + dx * away + dx * wide / 2
                y = at[1] + dy * away + dy * high / 2
            box = Area(x - wide / 2 - PAD, y - high / 2 - PAD, x + wide / 2 + PAD, y + high / 2 + PAD)
            if not box.inside(self.edge) or any(box.meets(other) for other in self.taken):
                continue
            gap = _gap(box, at)
            begin = _nearest(box, at) if lead and away and gap >= LEAD else None
            if strict and begin and any(_cuts(begin, at, other) for other in self.taken):
                continue
            if strict and any(_cuts(a0, b0, box) for a0, b0 in self.leads):
                continue
            cost = least + 1.5 * self._total(box) + (6.0 + 1.2 * self._crossed(begin, at) if begin else 0.0)
            if best is None or cost < best[0]:
                best = (cost, box, begin)
        if best is None:
            return None
        _, box, begin = best
        self.covered += self._total(box)
        self.taken.append(box)
        if begin:
            self.leads.append((begin, at))
        return box, begin


def _nearest(box: Area, at: tuple[float, float]) -> tuple[float, float]:
    """Return the point of a box that is nearest to another point."""
    return min(max(at[0], box.left + 2), box.right - 2), min(max(at[1], box.top + 3), box.bottom - 3)


def _gap(box: Area, at: tuple[float, float]) -> float:
    return math.dist(_nearest(box, at), at)


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
