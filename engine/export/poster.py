"""One sheet for a wall: the heights and limits of a kb at one drawn installation, and those that can't be drawn in words."""

from html import escape

from .. import model
from ..advising.illustrations import MM, limit_words
from ..advising.wording import whose_short
from ..measurement import quantity
from ..pictures.layout import WEIGHT, Panel
from ..pictures.letters import LEADING, lines
from ..pictures.picture import CLASSES, SHEET
from ..pictures.scenes.drawing import Drawing, Figure, bounds
from ..pictures.scenes.parts import CABINET, TALL, cabinet, drain_hose, fill_hose, floor, trap, wall

WIDE, TALL_PX = 760.0, 984.0  # Letter within its margins, 10 pt letters [px]
ROW = 30.0  # of the list [px]
PICTURE = 470.0  # height of the drawing [px]
# What is drawn, with its rule: the mark's name, and how it is called on the sheet.
DRAWN = {
    "height": ("standpipe-height", "pipe's top above the feet"),
    "above-floor": ("standpipe-height-upc-floor", "pipe's top above the room's floor"),
    "above-weir": ("standpipe-height-ipc", "pipe's top above the trap weir"),
    "depth": ("hose-insertion-depth", "hose inside the pipe"),
    "seal": ("trap-seal", "trap seal"),
    "trap-height": ("trap-height-upc", "trap above the floor"),
    "behind": ("gap-behind-washer", "gap behind the machine"),
    "above": ("clearance-above-lid", "free above a closed lid"),
    "outlet": ("outlet-distance-nec", "outlet from the machine"),
}
# What stands in words below it.
TOLD = (
    "standpipe-bore", "tub-rim-height", "tub-volume", "fill-coupling-turn", "fill-hose-age",
    "washer-flowing-pressure", "house-pressure", "cold-hose-flow", "water-heater-setting", "all-feet-bear",
    "level-side-to-side", "level-front-to-back", "clearance-side", "restraints-out-near-place", "pump-out-time",
    "room-above-freezing",
)  # fmt: skip
WARNING = (
    "Advice only: local code and the machine's own manual both bind, the stricter first; a licensed trade decides."
)


def poster(kb: model.KB) -> str:
    """Return the sheet as SVG.

    Parameters
    ----------
    kb : KB

    Examples
    --------
    >>> from dryfloor.engine.knowledge.load import load_kb
    >>> sheet = poster(load_kb())
    >>> "39 to 96 in" in sheet, sheet.endswith("</svg>\\n")
    (True, True)
    """
    rules = {mark: kb.rules[name] for mark, (name, _) in DRAWN.items() if name in kb.rules}
    drawing = _installation(rules)
    frame = bounds([p for part in drawing.parts for p in [*getattr(part, "points", ()), *getattr(part, "outline", ())]])
    panel = Panel(drawing, 0, 64, WIDE, PICTURE, frame)
    made = panel.written(50, 64 + PICTURE + 30)
    if made is None:  # the drawing is the same for every kb, only its numbers differ
        raise ValueError("the poster's words have no room")
    body = [
        _text(20, 30, "Where a washer stands: heights and limits", "pb"),
        _text(20, 50, "Heights are to scale, widths are not.", "pl"),
        *made.elements,
    ]
    told = [
        (f"{_letter(m)}  {DRAWN[m][1][:1].upper()}{DRAWN[m][1][1:]}: {limit_words(r)}", whose_short(r))
        for m, r in rules.items()
    ]
    told += [(f"{r.title}: {limit_words(r)}", whose_short(r)) for n in TOLD if (r := kb.rules.get(n))]
    y = 64 + PICTURE + 46
    half = (len(told) + 1) // 2
    for k, (text, whose) in enumerate(told):
        x, row = (16.0, k) if k < half else (WIDE / 2 + 8, k - half)
        body.append(_text(x, y + row * ROW, text, "pl"))
        body.append(_text(x + 10, y + row * ROW + 14, f"({whose})", "ps"))
    bottom = y + half * ROW + 10
    body += [_text(16, bottom + n * LEADING, row, "pl") for n, row in enumerate(lines(WARNING, WIDE - 40))]
    high = max(TALL_PX, bottom + 2 * LEADING)
    words = "; ".join(f"{DRAWN[m][1]}: {limit_words(r)}" for m, r in rules.items())
    style = (
        SHEET
        + CLASSES
        + ".pic .pl{text-anchor:start}.pic .ps{text-anchor:start;font-size:12px}.pic .pb{font-size:22px}"
        + "@page{margin:10mm}"
    )
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pic" viewBox="0 0 {WIDE:.0f} {high:.0f}" role="img" fill="none" '
        f'stroke="currentColor" stroke-width="{WEIGHT}" stroke-linecap="round" stroke-linejoin="round">'
    )
    named = f"<title>Heights and limits at one installation</title><desc>{escape(words)}.</desc><style>{style}</style>"
    return "\n".join([head, named, *body, "</svg>", ""])


def _text(x: float, y: float, said: str, kind: str) -> str:
    return f'<text class="{kind}" x="{x:.0f}" y="{y:.0f}">{escape(said)}</text>'


def _figure(mark: str, rule: model.Rule) -> Figure:
    """Return what is written at a mark: its letter and its limit."""
    low, high = ((quantity.parse(t, rule.measures) * MM if t else None) for t in (rule.min, rule.max))
    return Figure(limit=f"{_letter(mark)}: {limit_words(rule)}", low=low, high=high)


def _letter(mark: str) -> str:
    """Return the letter of a mark, by which it is found in the list below the drawing."""
    return chr(ord("A") + [*DRAWN].index(mark))


def _installation(rules: dict[str, model.Rule]) -> Drawing:
    """Draw a washer from the side with its standpipe, trap, taps and outlet, and every mark that has a rule."""
    d = Drawing(frozenset(rules), {mark: _figure(mark, rule) for mark, rule in rules.items()})
    wall_x, top, x, weir_y = 1900.0, 1060.0, 1240.0, 330.0
    floor(d, -420, wall_x + 45)
    wall(d, wall_x, 0, 1650)
    cabinet(d)
    d.name("washer", 343, 420, None)
    d.line((40, TALL), (646, TALL + 10))
    weir = trap(d, x, top, weir_y, arm=wall_x - x - 110)
    out = top - 150
    drain_hose(
        d, (CABINET, 120), (800, 150), (900, 400), (940, 900), (1010, 1140), (1120, 1210), (1225, 1130), (x, out)
    )
    d.box(wall_x - 60, 1290, 60, 60, fill="paper")
    d.name("tap", wall_x - 30, 1350, 90)
    fill_hose(d, (wall_x - 40, 1290), (1700, 1250), (1100, 1330), (800, 900), (CABINET, 830))
    d.box(wall_x - 22, 1450, 22, 114, fill="ink")
    d.name("outlet", wall_x - 20, 1564, 100)
    d.box(-260, 1430, 1000, 30, fill="paper")
    d.measure("height", (x + 170, 0), (x + 170, top), reach=((CABINET - 60, 0), (x + 26, top)))
    d.measure("above-floor", (x + 400, 0), (x + 400, top), reach=(None, (x + 26, top)))
    d.measure("above-weir", (x + 290, weir[1]), (x + 290, top), reach=(weir, (x + 26, top)))
    d.measure("depth", (x - 110, top), (x - 110, out), reach=((x - 26, top), (x - 16, out)), towards=180)
    d.measure("seal", (x - 90, weir_y), (x - 90, weir_y - 76), reach=(weir, (x + 42, weir_y - 76)), towards=180)
    d.measure("trap-height", (x + 60, 0), (x + 60, weir_y - 140), towards=-120)
    d.measure("above", (200, TALL + 6), (200, 1430), towards=180)
    d.measure("behind", (CABINET, 640), (wall_x, 640), towards=90)
    d.measure("outlet", (CABINET, TALL), (wall_x - 22, 1500), towards=90)
    return d
