"""Parts with their measures, from which scenes are built; all in mm, y upward.

The sizes are those of common ware: a 27 in cabinet, a 2 in drain pipe, a 1 in drain hose, 3/4 in hose threads.
"""

import math

from .drawing import Drawing, Point, corners

CABINET = 686.0  # 27 in, width and depth
TALL = 914.0  # 36 in to the lid
FOOT = 30.0
DRAIN_HOSE = 32.0
FILL_HOSE = 24.0
PIPE = 58.0  # outside of a 2 in drain pipe


def floor(d: Drawing, left: float, right: float, y: float = 0.0, thick: float = 45.0) -> None:
    """Draw a floor that is cut through, its surface at y."""
    d.solid(*corners(left, y - thick, right - left, thick))


def wall(d: Drawing, x: float, low: float, high: float, thick: float = 45.0) -> None:
    """Draw a wall that is cut through, its face at x, its body to the right."""
    d.solid(*corners(x, low, thick, high - low))


def cabinet(
    d: Drawing, x: float = 0.0, y: float = 0.0, wide: float = CABINET, high: float = TALL, feet: bool = True
) -> None:
    """Draw a washer's cabinet standing on y, with its feet."""
    if feet:
        for at in (x + 60, x + wide - 60):
            d.box(at - 22, y, 44, FOOT, fill="ink")
    d.box(x, y + (FOOT if feet else 0), wide, high - (FOOT if feet else 0), fill="paper")


def front(d: Drawing, x: float = 0.0, y: float = 0.0) -> None:
    """Draw a front loader seen from the front: drawer, panel, door, flap and feet."""
    cabinet(d, x, y)
    d.line((x, y + 770), (x + CABINET, y + 770))
    d.box(x + 25, y + 795, 190, 90)
    d.ring(x + 330, y + 840, 36)
    d.ring(x + CABINET / 2, y + 440, 225)
    d.ring(x + CABINET / 2, y + 440, 165)
    d.box(x + 530, y + 70, 110, 90)


def drain_hose(d: Drawing, *points: Point) -> None:
    """Draw a ribbed drain hose along its middle line."""
    d.tube(DRAIN_HOSE, *points, ribs=True)


def fill_hose(d: Drawing, *points: Point) -> None:
    """Draw a fill hose along its middle line."""
    d.tube(FILL_HOSE, *points)


def pipe(d: Drawing, *points: Point, thick: float = PIPE) -> None:
    """Draw a pipe along its middle line."""
    d.tube(thick, *points, smooth=False)


def trap(
    d: Drawing,
    x: float,
    top: float,
    weir: float,
    arm: float = 240.0,
    seal: float = 76.0,
    water: float = 1.0,
    lead: bool = True,
) -> Point:
    """Draw a standpipe with its P-trap in section and return the point of its weir.

    Parameters
    ----------
    x, top : float
        Middle line and open top of the pipe.
    weir : float
        Height at which water leaves the trap.
    arm : float
        How far the trap arm is drawn.
    seal : float
        Depth of the seal: weir down to the top of the dip.
    water : float
        How full it stands, 1 to its weir, 0 dry.
    """
    r = PIPE / 2 - 3
    wide = 3.2 * r  # between the legs' middle lines
    dip = weir - seal - r  # middle line at the lowest point of the bend
    base = dip + wide / 2
    outer = [(x - r, top), *_half(x + wide / 2, base, wide / 2 + r)]
    right_x = x + wide + r
    d.line(*outer, (right_x, weir), (right_x + arm, weir))
    inner = [(x + r, top), *_half(x + wide / 2, base, max(4.0, wide / 2 - r))]
    d.line(*inner, (x + wide - r, weir + 2 * r), (right_x + arm, weir + 2 * r))
    if water > 0:
        level = base + (weir - base) * water
        shape = [(x - r, level), *_half(x + wide / 2, base, wide / 2 + r), (right_x, level)]
        back = [(x + wide - r, level), *reversed(_half(x + wide / 2, base, max(4.0, wide / 2 - r))), (x + r, level)]
        d.water(*shape, *back)
    return right_x, weir


def _half(x: float, y: float, radius: float) -> list[Point]:
    """Return the lower half of a circle from left to right."""
    return [(x - radius * math.cos(math.pi * k / 10), y - radius * math.sin(math.pi * k / 10)) for k in range(11)]


def tap(d: Drawing, x: float, y: float, closed: bool = False, lever: bool = True) -> None:
    """Draw a tap on a wall seen from the front, its outlet down; a lever stands in line with it when open, across when closed."""
    d.box(x - 22, y - 70, 44, 110, fill="paper")
    d.box(x - 30, y - 100, 60, 32, fill="paper")
    if not lever:
        d.ring(x, y + 10, 38, fill="paper")
        return
    d.ring(x, y, 16, fill="paper")
    if closed:
        d.box(x - 8, y - 10, 100, 20, fill="ink")
    else:
        d.box(x - 10, y - 90, 20, 98, fill="ink")


def bucket(d: Drawing, x: float, y: float, wide: float = 280.0, high: float = 260.0, level: float = 0.0) -> None:
    """Draw a bucket in section, water in it up to a share of its height."""
    slope = 0.12 * wide
    if level:
        up = high * level
        d.water(
            (x + slope, y),
            (x + wide - slope, y),
            (x + wide - slope * (1 - level), y + up),
            (x + slope * (1 - level), y + up),
        )
    d.line((x, y + high), (x + slope, y), (x + wide - slope, y), (x + wide, y + high))


def hand(d: Drawing, x: float, y: float, towards: float = 0.0, size: float = 100.0) -> None:
    """Draw a flat hand as a mitten whose fingertips touch a point, reaching in a direction [degrees]."""
    a = math.radians(towards)

    def at(u: float, v: float) -> Point:
        return x + size * (u * math.cos(a) - v * math.sin(a)), y + size * (u * math.sin(a) + v * math.cos(a))

    fingers = [
        (0.0, 0.02),
        (-0.03, 0.07),
        (-0.3, 0.1),
        (-0.55, 0.2),
        (-0.95, 0.18),
        (-0.95, -0.2),
        (-0.75, -0.22),
        (-0.5, -0.34),
    ]
    thumb = [(-0.3, -0.36), (-0.27, -0.29), (-0.42, -0.2), (-0.45, -0.1), (-0.3, -0.07), (-0.03, -0.04)]
    d.curve(*(at(u, v) for u, v in fingers + thumb), closed=True, fill="paper")
    d.line(at(-0.98, 0.24), at(-0.98, -0.26), at(-1.3, -0.26), at(-1.3, 0.24), closed=True, fill="paper")
    d.line(at(-0.5, 0.06), at(-0.08, 0.02))


def drops(d: Drawing, x: float, y: float, count: int = 3, step: float = 40.0) -> None:
    """Draw falling drops, one below another."""
    for k in range(count):
        top = y - k * step
        r = step * 0.2
        d.curve(
            (x, top),
            (x + r, top - 1.6 * r),
            (x, top - 2.4 * r),
            (x - r, top - 1.6 * r),
            closed=True,
            accent=True,
            fill="accent",
        )


def outlet(d: Drawing, x: float, y: float, ground: bool = True, test: bool = False) -> None:
    """Draw the face of a 120 V outlet, 70 by 114 mm, by its lower left corner: two receptacles, or one pair and two buttons."""
    d.box(x, y, 70, 114, fill="paper")
    for low in (y + 14, y + 64):
        d.box(x + 18, low, 34, 36)
        d.box(x + 25, low + 18, 3.5, 12, fill="ink")
        d.box(x + 41, low + 20, 3.5, 10, fill="ink")
        if ground:
            d.ring(x + 35, low + 9, 4.5, fill="ink")
    if test:
        d.box(x + 28, y + 51, 14, 5, fill="ink")
        d.box(x + 28, y + 58, 14, 5)
