"""What of a picture is ink, read back from its SVG: it knows nothing of how the picture was laid out.

A picture is strokes, filled outlines that hide what lies below them, and broad strokes with a paler one inside; enough of SVG for that is read here.
"""

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

SVG = "{http://www.w3.org/2000/svg}"
STEP = 0.6  # between the points at which a line is looked at [px]
WEIGHT = 1.6
NUMBERS = {"M": 2, "L": 2, "C": 6, "H": 1, "V": 1, "Z": 0, "A": 7}


def _pieces(d):
    """Yield each command of a path with its numbers, a command repeated where more numbers follow."""
    for letter, rest in re.findall(r"([MLCHVZAmlchvza])([^MLCHVZAmlchvza]*)", d):
        numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", rest)]
        size = NUMBERS[letter.upper()]
        if not size:
            yield letter, []
        for k in range(0, len(numbers), size or 1):
            yield ("l" if letter == "m" and k else "L" if letter == "M" and k else letter), numbers[k : k + size]


def lines_of(d):
    """Return a path as lists of points, one for each time the pen is set down."""
    out, at, start = [], (0.0, 0.0), (0.0, 0.0)
    for letter, n in _pieces(d):
        x0, y0 = at if letter.islower() else (0.0, 0.0)
        kind = letter.upper()
        if kind == "M":
            at = start = (x0 + n[0], y0 + n[1])
            out.append([at])
            continue
        if kind == "Z":
            ends = [start]
        elif kind == "H":
            ends = [(x0 + n[0], at[1])]
        elif kind == "V":
            ends = [(at[0], y0 + n[0])]
        elif kind == "C":
            a, b, c = ((x0 + n[k], y0 + n[k + 1]) for k in (0, 2, 4))
            ends = []
            for k in range(1, 13):
                t, u = k / 12, 1 - k / 12
                ends.append(
                    tuple(u**3 * at[i] + 3 * u * u * t * a[i] + 3 * u * t * t * b[i] + t**3 * c[i] for i in (0, 1))
                )
        else:  # a line, or the small half circles of foam, of which the ends are enough
            ends = [(x0 + n[-2], y0 + n[-1])]
        out[-1] += ends
        at = ends[-1]
    return out


def _along(line):
    for (ax, ay), (bx, by) in pairwise(line):
        long = math.hypot(bx - ax, by - ay)
        count = max(1, math.ceil(long / STEP))
        across = ((ay - by) / long, (bx - ax) / long) if long else (0.0, 0.0)
        for k in range(count + 1):
            yield ax + (bx - ax) * k / count, ay + (by - ay) * k / count, across


def _inside(line):
    """Yield the pixels inside an outline, by scan lines."""
    low, high = min(p[1] for p in line), max(p[1] for p in line)
    for y in range(math.floor(low), math.ceil(high) + 1):
        cuts = []
        for (ax, ay), (bx, by) in zip(line, [*line[1:], line[0]], strict=True):
            if (ay <= y + 0.5) != (by <= y + 0.5):
                cuts.append(ax + (y + 0.5 - ay) / (by - ay) * (bx - ax))
        cuts.sort()
        for left, right in zip(cuts[::2], cuts[1::2], strict=False):
            for x in range(math.ceil(left), math.floor(right)):
                yield x, y


def ink(svg):
    """Return the pixels of a picture that are drawn on, its words left out, as a set of whole numbers across and down."""
    found = set()
    for element in ET.fromstring(svg).iter():
        kinds = (element.get("class") or "").split()
        if element.tag == f"{SVG}circle":
            x, y, r = (float(element.get(k)) for k in ("cx", "cy", "r"))
            lines = [[(x + r * math.cos(a / 40 * math.tau), y + r * math.sin(a / 40 * math.tau)) for a in range(41)]]
        elif element.tag == f"{SVG}path":
            lines = lines_of(element.get("d"))
        else:
            continue
        if "pp" in kinds:
            for line in lines:
                found.difference_update(_inside(line))
        if {"pi", "pf", "pd"} & {*kinds}:
            for line in lines:
                found.update(_inside(line))
        half = float(element.get("stroke-width") or WEIGHT) / 2
        steps = max(1, math.ceil(2 * half))
        for line in lines:
            band = {
                (math.floor(x + off * u), math.floor(y + off * v))
                for x, y, (u, v) in _along(line)
                for off in (half * (2 * k / steps - 1) for k in range(steps + 1))
            }
            if "pw" in kinds:
                found -= band
            else:
                found |= band
    return found


def words_on(svg, width):
    """Return each text that some ink lies in or touches.

    Parameters
    ----------
    svg : str
    width : callable
        Takes a text and a size of letters and returns how wide it is [px].
    """
    drawn, out = ink(svg), []
    for element in ET.fromstring(svg).iter(f"{SVG}text"):
        x, y = float(element.get("x")), float(element.get("y"))
        strong = "pb" in (element.get("class") or "")
        size = 15.0 if strong else 14.0
        wide = width(element.text, size)
        left = x if strong else x - wide / 2
        # From the top of a capital to below a comma: the letters themselves.
        box = [
            (i, j)
            for j in range(math.floor(y - 0.75 * size), math.ceil(y + 0.2 * size))
            for i in range(math.floor(left), math.ceil(left + wide))
        ]
        if drawn.intersection(box):
            out.append(element.text)
    return out
