"""Scenes of taps and couplings, and of what runs from them."""

import math

from .drawing import Drawing, Figure, Scene
from .parts import bucket, drops, fill_hose, hand, tap, wall


def taps(d: Drawing, state: str) -> None:
    """Draw the two taps on the wall with their hoses, seen from the front."""
    d.box(-330, -330, 660, 520, dashed=True)
    for x, name in ((-150.0, "hot"), (150.0, "cold")):
        closed = state == "closed" or (state == "one-closed" and x > 0)
        d.tube(44, (x, 190), (x, 20), smooth=False)
        tap(d, x, 0, closed, lever=state not in ("round", "half"))
        if state == "half":
            d.ring(x, 0, 16, fill="paper")
            d.line((x - 8, 8), (x + 58, -78), (x + 72, -66), (x + 8, 22), closed=True, fill="ink")
        if not (state == "open-outlet" and x > 0):
            fill_hose(d, (x, -90), (x, -200), (x + (40 if x > 0 else -40), -330))
        else:
            drops(d, x, -110, 3, 60)
        d.name(name, x + (40 if x > 0 else -40), -330, -90, lead=False)
    if state == "half":
        d.tell("both handles half way", 215, -70, -60)
    elif state == "open":
        d.tell("handle in line with the pipe: open", 150, -40, 0)
    elif state == "closed":
        d.tell("handles across: both closed", 240, 0, -90)
    elif state == "one-closed":
        d.tell("across: closed", 240, 0, -60)
    elif state == "round":
        d.arrow((-150, 70), (-215, 40), (-220, -20))
        d.tell("turn left, as far as it goes: open", -200, 50, 150)
    elif state == "open-outlet":
        d.look(150, -95, 60, "no hose and no cap", -20)
    elif state == "arresters":
        for x in (-150.0, 150.0):
            d.tube(30, (x, -50), (x + 90, -50), smooth=False)
            d.box(x + 70, -50, 52, 190, fill="paper")
            d.curve((x + 70, 140), (x + 96, 160), (x + 122, 140))
        d.room((420, 0))
        d.tell("arrester: a closed metal cylinder at each tap", 246, 60, 0)
    elif state == "stub":
        for x in (-150.0, 150.0):
            d.tube(30, (x, 190), (x, 330), smooth=False)
            d.box(x - 24, 320, 48, 16, fill="ink")
        d.tell("only capped bits of plain pipe", 150, 290, 0)
    elif state == "none":
        d.tell("nothing beside the taps", 0, 0, None)
    elif state == "stem":
        d.look(-150, 0, 55, "wipe under the handle: wet?", 200)
    elif state == "leak-valve":
        d.box(-190, -200, 380, 80, fill="paper")
        d.line((0, -200), (0, -420), (80, -470))
        d.box(60, -500, 90, 30, fill="ink")
        d.name("shutoff box", 0, -160, None)
        d.tell("wire to a sensor on the floor", 80, -450, 0)
    elif state == "wall":
        d.curve((40, 150), (80, 60), (30, -60), (-40, -30), (-60, 90), closed=True, dashed=True, accent=True)
        d.tell("damp or stained?", 0, 60, None)


def coupling(d: Drawing, state: str) -> None:
    """Draw a hose coupling on its thread in section: nut, flat washer, hose."""
    turn = 0.16 if state == "askew" else 0.0

    def at(x: float, y: float) -> tuple[float, float]:
        return x - turn * y, y + turn * x

    d.box(-20, 30, 40, 70)
    d.solid((-13, 0), (-6, 0), (-6, 100), (-13, 100))
    d.solid((6, 0), (13, 0), (13, 100), (6, 100))
    for k in range(4):
        d.line((-13, 4 + 7 * k), (-16, 7 + 7 * k))
        d.line((13, 4 + 7 * k), (16, 7 + 7 * k))
    low = -14.0
    d.line(at(-17, 30), at(-22, 30), at(-22, low - 6), at(-8, low - 6))
    d.line(at(17, 30), at(22, 30), at(22, low - 6), at(8, low - 6))
    d.tube(15, at(0, low - 2), at(0, -60), smooth=False)
    if state in ("good", "askew", "turn", "finger", "tissue", "drip"):
        for x0, x1 in ((-13, -5), (5, 13)):
            d.line(at(x0, -8), at(x1, -8), at(x1, -1), at(x0, -1), closed=True, fill="ink")
    if state == "good":
        d.tell("one flat rubber ring", 9, -5, -10)
        if not d.narrow:
            d.name("nut, square on the thread", 22, 15, 0)
        else:
            d.tell("nut square on the tap", 22, 20, 0)
    elif state == "askew":
        d.tell("crooked: more thread shows", *at(17, 32), 20)
    elif state == "no-washer":
        d.tell("no rubber ring inside", 9, -7, -10)
    elif state == "worn":
        d.line((-14, -10), (-12, -3), (-9, -7), (-6, -2), (-4, -10), closed=True, fill="ink")
        d.line((4, -10), (7, -3), (9, -8), (12, -2), (14, -10), closed=True, fill="ink")
        d.tell("rubber ring hard, cut or flattened", 9, -9, -10)
    elif state == "drip":
        drops(d, 26, -20, 3, 14)
        d.look(0, 5, 34, "wet at the nut?", 160)
    elif state == "tissue":
        d.curve((-30, 4), (-26, -14), (0, -30), (26, -14), (30, 4), dashed=True)
        d.tell("dry tissue round the nut", 26, -16, -20)
    elif state == "finger":
        hand(d, -22, 8, 0, 60)
        d.arrow((-30, -26), (-10, -36), (12, -36), (30, -24))
        d.tell("nut turns by fingers: loose; stays: tight", -21, 20, 130)
    d.name("tap", 0, 75, None)
    d.name("hose", 8, -50, -10)


def coupling_turn(d: Drawing, state: str) -> None:
    """Draw a coupling nut from its end, and how far it is turned past finger-tight."""

    def corner(k: float, r: float) -> tuple[float, float]:
        a = math.radians(90 - 60 * k)
        return r * math.cos(a), r * math.sin(a)

    d.line(*(corner(k, 40) for k in range(6)), closed=True)
    d.ring(0, 0, 10 if d.narrow else 16)
    d.line((0, 22), (0, 56), accent=True)
    d.tell("from: finger-tight", 0, 56, 90)
    if not d.narrow:
        d.room((-100, 0), (100, 0))
    flats = 4.0 if state == "turned" else 7.0
    steps = [corner(k, 52) for k in [flats * j / 8 for j in range(9)]]
    d.arrow(*steps)
    for k in range(1, min(6, int(flats)) + 1):
        x, y = corner(k - 0.5, 25 if d.narrow else 27)
        d.write(str(k), x, y)
    if d.has("turn"):
        figure = d.figures.get("turn")
        words = (
            [t for t in (figure.read, f"limit: {figure.limit}" if figure.read else figure.limit) if t] if figure else []
        )
        d.tell("; ".join(words) or "so far", *corner(flats, 54), 180)
    count = "stop after 4 flats, 2/3 turn" if d.narrow else "count the flats that pass"
    d.tell(count if state == "turned" else "forced: the plastic cracks", *corner(2, 54), -20)
    if not d.narrow:
        d.name("nut from its end", -36, 12, 180)


def two_taps(d: Drawing, state: str) -> None:
    """Draw water that runs from the washer's tap into a bucket."""
    wall(d, 200, -360, 260)
    d.tube(44, (200, 120), (60, 120), smooth=False)
    d.box(20, 70, 80, 90, fill="paper")
    d.box(50, 160, 20, 90, fill="ink")
    if state == "running":
        d.line((44, 70), (40, -140))
        d.line((76, 70), (80, -140))
        d.tell("steady stream", 78, 0, 0)
    elif state == "trickle":
        drops(d, 60, 50, 5, 40)
        d.tell("drops or a trickle", 66, 0, 0)
    else:
        d.tell("nothing comes", 60, 20, -20)
    bucket(d, -60, -340, 240, 200, level=0.5 if state == "running" else 0.1)
    if not d.narrow:
        d.name("washer's tap", 30, 115, 180)


def flow(d: Drawing, state: str) -> None:
    """Draw a hose that runs into a bucket of one gallon, and a clock."""
    bucket(d, 0, 0, 240, 240, level=0.8)
    d.line((14, 192), (-30, 192), accent=True)
    d.tell(d.figures.get("bucket", Figure("1 gal")).limit, -30, 192, 180)
    if state == "hose":
        fill_hose(d, (-120, 420), (20, 440), (110, 380), (120, 290))
        d.name("fill hose, off the machine", -60, 430, 120)
    else:
        d.box(80, 380, 80, 60, fill="paper")
        d.line((120, 440), (120, 500))
        d.name("tap", 120, 410, None)
        d.line((108, 380), (108, 290))
        d.line((132, 380), (132, 290))
    d.arrow((120, 280), (120, 200))
    d.ring(390, 300, 80)
    d.room((560, 0))
    d.line((390, 300), (390, 360))
    d.arrow((390, 300), (440, 270))
    d.tell("seconds from empty to the mark", 390, 380, 90)
    if d.has("flow"):
        figure = d.figures.get("flow")
        if figure and figure.limit:
            d.tell(figure.read or figure.limit, 390, 220, -90)


def meter(d: Drawing, state: str) -> None:
    """Draw a water meter with its small wheel."""
    d.tube(60, (-300, 0), (-130, 0), smooth=False)
    d.tube(60, (130, 0), (300, 0), smooth=False)
    d.ring(0, 0, 130, fill="paper")
    d.box(-70, 20, 140, 46)
    d.write("01234", 0, 43)
    d.ring(0, -50, 30)
    for k in range(3):
        x, y = 30 * math.cos(k * math.pi / 3), 30 * math.sin(k * math.pi / 3)
        d.line((-x, -50 - y), (x, -50 + y))
    d.arrow(*((44 * math.cos(a), -50 + 44 * math.sin(a)) for a in (3.2, 2.4, 1.6, 0.8, 0.0)))
    d.tell("small wheel: does it creep?", 15, -76, -60)
    d.name("water meter", 0, 130, 90)


SCENES = {
    "taps": Scene(
        "The two taps on the wall behind the washer, with their hoses",
        taps,
        {
            "open": "both handles stand in line with their pipes, so both taps are open",
            "closed": "both handles stand across, so both taps are closed",
            "half": "both handles stand half way",
            "one-closed": "the cold tap's handle stands across, so it is closed",
            "round": "round handles: left, as far as they go, is open",
            "open-outlet": "the cold tap has neither a hose nor a cap",
            "arresters": "a closed metal cylinder stands at each tap",
            "stub": "only capped bits of plain pipe stand above the taps",
            "none": "nothing stands beside the taps",
            "stem": "wipe under the handle",
            "leak-valve": "an automatic shutoff with a wire to a sensor on the floor",
            "wall": "look at the wall round the taps",
        },
        {},
    ),
    "coupling": Scene(
        "A hose coupling on its thread, in section",
        coupling,
        {
            "good": "the nut is square on the thread, with one flat rubber washer in it",
            "askew": "the nut sits crooked, and more thread shows on one side",
            "no-washer": "there is no washer in the nut",
            "worn": "the washer is hard, cut or flattened",
            "drip": "look whether the nut is wet",
            "tissue": "a dry tissue is wrapped round the nut",
            "finger": "fingers try to turn the nut",
        },
        {"washer": "look at the rubber ring inside the nut"},
    ),
    "coupling-turn": Scene(
        "A hose nut from its end",
        coupling_turn,
        {"turned": "four flats past finger-tight", "forced": "more than a whole turn: forced"},
        {"turn": "the turn is counted from finger-tight, in flats of the nut"},
    ),
    "tap-run": Scene(
        "The washer's tap over a bucket",
        two_taps,
        {"running": "it gives a steady stream", "trickle": "it gives drops or a trickle", "dry": "nothing comes"},
        {},
    ),
    "flow": Scene(
        "Water runs into a bucket of one gallon, and the seconds are counted",
        flow,
        {"hose": "it comes from the fill hose, taken off the machine", "tap": "it comes from the tap"},
        {"flow": "the flow is one gallon by its seconds"},
    ),
    "meter": Scene("A water meter", meter, {"wheel": "watch its small wheel"}, {}),
}
