"""Scenes of the water on its way in: taps, couplings, screens, fill hoses, flow, temperature, water hammer."""

from .drawing import Drawing
from .parts import bucket, cabinet, drops, fill_hose, floor, hand, pipe, tap, wall
from .scene import Scene


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
        d.tell("turns by fingers: loose; stays: tight", -21, 20, 130)
    d.name("tap", 0, 75, None)
    d.name("hose", 8, -50, -10)


def coupling_turn(d: Drawing, state: str) -> None:
    """Draw a coupling nut from its end, and how far it is turned past finger-tight."""
    import math

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


def inlet(d: Drawing, state: str) -> None:
    """Draw the two inlets on the machine's back, with their screens."""
    d.box(-10 if d.narrow else -150, -90, 160 if d.narrow else 300, 180)
    for x, name in ((70.0, "C"),) if d.narrow else ((-70.0, "H"), (70.0, "C")):
        d.ring(x, 0, 48)
        d.ring(x, 0, 38)
        for k in (-24, -12, 0, 12, 24):
            half = (36 * 36 - k * k) ** 0.5
            d.line((x - half, k), (x + half, k))
            d.line((x + k, -half), (x + k, half))
        d.write(name, x, 70)
    if state == "clogged":
        for x, y, r in ((50, 10, 9), (72, -8, 11), (90, 14, 8), (64, -24, 7), (88, -16, 6), (70, 24, 7)):
            d.ring(x, y, r, fill="ink")
        d.tell("grit or rust on the screen", 64, -24, -100)
    elif state == "whole":
        d.tell("plastic thread whole all round", 106, 24, 40)
    elif state == "clean":
        d.tell("screen open all over", 88, 0, -10)
    else:
        d.line((95, 26), (98, 34), (104, 32), (108, 40), accent=True)
        d.line((92, 30), (95, 38), (101, 36), (105, 44), accent=True)
        d.tell("crack in the plastic thread", 106, 42, 60)
    if not d.narrow:
        d.write("washer's back", 0, -75)


def fill_hoses(d: Drawing, state: str) -> None:
    """Draw one fill hose from its tap to the washer."""
    d.box(-30, 300, 60, 60)
    d.box(-24, 268, 48, 32, fill="paper")
    d.box(-24, -300, 48, 32, fill="paper")
    d.box(-60, -420, 220, 120)
    if state == "kinked":
        fill_hose(d, (0, 268), (10, 150), (60, 20))
        fill_hose(d, (62, 12), (10, -100), (0, -268))
        d.look(60, 16, 45, "bent sharp, flattened", 0)
    else:
        d.tube(30, (0, 268), (22, 100), (-18, -100), (0, -268))
    if state == "sound":
        d.tell("even, no bulge, ends clean", 12, 40, 0)
    elif state == "bulge":
        d.ring(10, 40, 40, fill="paper")
        d.tell("bulge", 50, 40, 0)
        d.line((-40, -90), (-22, -130), (-44, -160), (-20, -200), accent=True)
        d.tell("crack or split", -44, -160, 180)
        for k in range(5):
            d.ring(-24 + 12 * k, 256, 8, fill="accent", accent=True)
        d.tell("rust at the end", 20, 262, 0)
    elif state == "split":
        d.line((-24, -60), (-34, -120), (-20, -170), accent=True)
        drops(d, -44, -120, 3, 40)
        d.tell("split by ice", -30, -110, 180)
    elif state == "shut-off":
        d.box(-40, 170, 80, 98, fill="paper")
        d.box(-20, 200, 40, 34, accent=True, fill="accent")
        d.tell("thick box at the tap: red window means tripped", 20, 215, 0)
    elif state == "date":
        d.box(-40, -20, 90, 60, fill="paper")
        d.tell("date on the hose or its label", 50, 10, 0)
    elif state == "touching":
        d.line((-60, 360), (-60, -300))
        d.look(-30, -100, 50, "lies hard against metal: it rubs through", 0)
    if not d.narrow:
        d.name("tap", 0, 330, None)
        d.name("washer", 60, -370, None)


def back(d: Drawing, state: str) -> None:
    """Draw the back of the washer with both taps, both fill hoses, the drain hose and the cord."""
    floor(d, -330, 730 if d.narrow and state in ("good", "crossed") else 1050)
    cabinet(d)
    for x, name in ((110.0, "H"), (260.0, "C")):
        d.ring(x, 780, 30)
        d.write(name, x + (0 if not d.narrow else (-10 if x < 200 else 20)), 850)
    for x, name in ((-230.0, "hot"), (60.0, "cold")):
        d.box(x - 22, 1150, 44, 70, fill="paper")
        d.write(name, x, 1290)
    if not d.narrow:
        d.name("taps", -85, 1240, 90, lead=False)
    if state == "crossed":
        fill_hose(d, (-230, 1150), (-220, 900), (40, 600), (260, 750))
        fill_hose(d, (60, 1150), (50, 1000), (100, 940), (110, 812))
        d.tell("hot tap's hose ends at C", 260, 740, -70)
    elif state == "stretched":
        d.tube(24, (-230, 1150), (110, 780), smooth=False)
        d.tube(24, (60, 1150), (260, 780), smooth=False)
        d.tell("stretched tight", 0, 1000, 0)
    else:
        fill_hose(d, (-230, 1150), (-240, 900), (-120, 620), (60, 620), (110, 750))
        fill_hose(d, (60, 1150), (10, 900), (80, 560), (230, 610), (260, 750))
    if not d.narrow or state in ("slack", "stretched", "touching"):
        d.tube(32, (600, 150), (740, 200), (760, 700), (800, 1080), (860, 1080), (870, 980), ribs=True)
        d.line((842, 1000), (842, 0))
        d.line((900, 1000), (900, 0))
        d.curve((600, 850), (760, 860), (900, 1120), (960, 1150))
        d.box(950, 1110, 70, 110, fill="paper")
    if state == "slack":
        d.tell("each hose has some slack", 60, 640, -60)
    if state == "good" and (d.has("matched") or not d.marks):
        if d.narrow:
            d.tell("hot tap to H, cold to C", 110, 750, -60)
        else:
            d.tell("hot tap to H", -120, 620, -120)
            d.tell("cold tap to C", 200, 588, -60)
    if d.has("joint"):
        d.look(620, 155, 70, "hose leaves the machine here", 180)
    if d.has("inlets"):
        d.look(185, 790, 140, "both inlets", 0)
    if d.has("taps"):
        d.look(-85, 1170, 190, "taps and nuts", 0)
    if d.has("drain-hose"):
        d.look(760, 600, 80, "drain hose", 180)
    if d.has("cord"):
        d.look(760, 870, 80, "cord", 180)
    if d.has("restraints"):
        for x, y in ((120, 560), (566, 560), (120, 200), (566, 300)):
            d.ring(x, y, 40, dashed=True, accent=True)
        d.tell("bolt, rod or block still in?", 343, 430, None)
    if d.has("dates"):
        d.look(60, 600, 80, "look along both hoses, end to end", -60)
    if state == "touching":
        d.look(10, 680, 90, "hose hard against the cabinet", 200)


def flow(d: Drawing, state: str) -> None:
    """Draw a hose that runs into a bucket of one gallon, and a clock."""
    bucket(d, 0, 0, 240, 240, level=0.8)
    d.line((14, 192), (-30, 192), accent=True)
    d.tell("1 gal", -30, 192, 180)
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
    d.tell("seconds from empty to the mark", 390, 220, -90)
    if d.has("flow"):
        figure = d.figures.get("flow")
        if figure and figure.limit:
            d.tell(figure.read or figure.limit, 120, 90, None)


def heat(d: Drawing, state: str) -> None:
    """Draw a tap that runs over a thermometer in a mug, a clock beside it; or a mug from each tap."""
    if state == "mugs":
        for x, name in ((0.0, "from the hot tap"), (300.0, "from the cold tap")):
            d.line((x, 150), (x + 12, -40), (x + 128, -40), (x + 140, 150))
            d.water((x + 8, -40), (x + 132, -40), (x + 136, 60), (x + 4, 60))
            d.curve((x + 140, 120), (x + 185, 90), (x + 180, 20), (x + 134, 10))
            d.name(name, x + 70, -40, -90, lead=False)
            d.arrow((x + 70, 120), (x + 60, 170), (x + 80, 220))
        d.tell("let both cool, then smell: bad eggs in one only?", 300, 210, 90)
        return
    d.line((-160, 330), (60, 330), (60, 280))
    d.line((-160, 380), (110, 380), (110, 280))
    d.box(-40, 380, 30, 50, fill="paper")
    d.line((70, 280), (70, 120))
    d.line((98, 280), (98, 120))
    d.line((0, 150), (15, -60), (155, -60), (170, 150))
    d.water((10, -60), (155, -60), (165, 110), (4, 110))
    d.tube(14, (190, 260), (92, 140), smooth=False)
    d.ring(86, 132, 13, fill="accent", accent=True)
    figure = d.figures.get("heat")
    d.name("hot tap" if state != "cold" else "cold tap", -60, 355, None)
    d.tell(
        f"thermometer: {figure.read or figure.limit}"
        if d.has("heat") and figure and figure.limit
        else "thermometer in the stream",
        185,
        250,
        0,
    )
    if state == "wait" or d.has("wait"):
        d.tell("from: tap opened", -25, 430, 60)
        d.ring(330, 20, 70)
        d.line((330, 20), (330, 72))
        d.arrow((330, 20), (375, -5))
        waited = d.figures.get("wait")
        d.tell(
            f"to: it stays hot, {waited.limit}" if waited and waited.limit else "count the seconds until it is hot",
            330,
            -50,
            -90,
        )


def heater(d: Drawing, state: str) -> None:
    """Draw a storage water heater with the dial on its outside, one without a tank, or the mixing valve above one."""
    if state == "tankless":
        wall(d, 420, -260, 620)
        d.box(60, 0, 360, 520)
        d.box(140, 330, 120, 60)
        for x, name in ((140.0, "cold in"), (320.0, "hot out")):
            d.line((x - 16, 0), (x - 16, -200))
            d.line((x + 16, 0), (x + 16, -200))
            d.name(name, x, -190, -90, lead=False)
        d.look(200, 360, 100, "does it start and stay on? touch nothing", 180)
        d.name("no tank", 240, 120, None)
        return
    if state == "mixing":
        for points in (((0, -260), (0, -60)), ((0, 60), (0, 260)), ((60, 0), (300, 0))):
            pipe(d, *points, thick=40)
        d.box(-50, -60, 110, 120, fill="paper")
        d.ring(-80, 0, 34, fill="paper")
        d.write("H", 0, -30)
        d.name("from the heater", 0, -240, 0)
        d.name("mixed, to the taps", 0, 240, 0)
        d.name("cold joins here", 240, 0, -60)
        d.look(-80, 0, 60, "knob or cap: only look", 180)
        return
    floor(d, -60, 420)
    d.box(0, 20, 320, 900)
    d.curve((0, 920), (160, 960), (320, 920))
    d.line((80, 950), (80, 1080))
    d.line((240, 950), (240, 1080))
    d.ring(160, 160, 60, fill="paper")
    d.line((160, 160), (195, 200), accent=True)
    d.look(160, 160, 95, "dial on the outside", 0)
    d.tell("turn it to 120 °F", 160, 100, -20)
    d.name("cold in", 80, 1060, 180)
    d.name("hot out", 240, 1060, 0)
    d.name("water heater", 160, 600, None)


def pipes(d: Drawing, state: str) -> None:
    """Draw a water pipe along joists or a wall, with and without straps."""
    for x in (-260.0, 0.0, 260.0):
        d.box(x - 25, -120, 50, 320)
    d.tube(34, (-400, 60), (400, 60), smooth=False)
    if state == "strapped":
        for x in (-260.0, 0.0, 260.0):
            d.line((x - 24, 46), (x - 22, 84), (x + 22, 84), (x + 24, 46), accent=True)
        d.tell("strap with a cushion at each stud", 0, 84, 60)
    elif state == "loose":
        d.curve((-400, 100), (-130, 130), (130, 10), (400, 60), dashed=True, accent=True)
        d.arrow((0, 130), (0, 0), both=True)
        d.tell("no strap: the pipe jumps", 0, 130, 60)
    elif state == "sweats":
        for x in range(-360, 380, 60):
            drops(d, x, 40, 1, 34)
        d.tell("fine drops all along", 100, 20, -60)
    else:
        drops(d, 130, 36, 4, 40)
        d.tell("drops at one spot: a leak", 130, 30, -20)


def meter(d: Drawing, state: str) -> None:
    """Draw a water meter with its small wheel."""
    d.tube(60, (-300, 0), (-130, 0), smooth=False)
    d.tube(60, (130, 0), (300, 0), smooth=False)
    d.ring(0, 0, 130, fill="paper")
    d.box(-70, 20, 140, 46)
    d.write("01234", 0, 43)
    d.ring(0, -50, 26, fill="ink")
    d.arrow((-60, -60), (-10, -108), (50, -70))
    d.tell("small wheel: does it creep?", 26, -50, -20)


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


def inlet_warm(d: Drawing, state: str) -> None:
    """Draw a hand at one of the two fill hoses at the machine's back."""
    d.box(-200, -300, 500, 300)
    for x, name in ((-80.0, "H"), (160.0, "C")):
        d.box(x - 26, 0, 52, 40, fill="paper")
        fill_hose(d, (x, 40), (x + 8, 200), (x - 10, 400))
        d.write(name, x, -50)
    hand(d, -96, 190, 0, 150)
    d.tell("which hose gets warm?", -100, 260, 150)
    d.name("washer's back", 50, -160, None)


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
    "inlet": Scene(
        "The two inlets on the washer's back, with their screens",
        inlet,
        {
            "clean": "the screens are open all over",
            "whole": "the plastic threads are whole",
            "clogged": "grit or rust covers a screen",
            "cracked": "a crack runs through a plastic thread",
        },
        {"screen": "look at the screens"},
    ),
    "fill-hose": Scene(
        "One fill hose from its tap to the washer",
        fill_hoses,
        {
            "sound": "it is even, and its ends are clean",
            "bulge": "it has a bulge, a crack and a rusty end",
            "kinked": "it is bent sharp and flattened",
            "split": "ice has split it",
            "shut-off": "a thick box at the tap has a red window when it has tripped",
            "date": "a date stands on the hose or its label",
            "touching": "it lies hard against metal",
        },
        {},
    ),
    "back": Scene(
        "The back of the washer with both taps, both fill hoses, the drain hose and the cord",
        back,
        {
            "good": "the hot tap's hose ends at H, the cold one's at C",
            "crossed": "the hot tap's hose ends at C",
            "slack": "each hose has some slack, and none lies hard against anything",
            "stretched": "the hoses are stretched tight",
            "touching": "a hose lies hard against the cabinet",
        },
        {
            "matched": "follow each hose from its tap to its inlet",
            "joint": "look where the drain hose leaves the washer",
            "inlets": "look at both inlets",
            "taps": "look at the taps and nuts",
            "drain-hose": "follow the drain hose",
            "cord": "follow the cord",
            "restraints": "look for bolts, rods and blocks",
            "dates": "look along both hoses, end to end",
        },
    ),
    "flow": Scene(
        "Water runs into a bucket of one gallon, and the seconds are counted",
        flow,
        {"hose": "it comes from the fill hose, taken off the machine", "tap": "it comes from the tap"},
        {"flow": "the flow is one gallon by its seconds"},
    ),
    "heat": Scene(
        "A tap runs over a thermometer in a mug",
        heat,
        {
            "hot": "the hot tap runs",
            "wait": "the seconds are counted until it is hot",
            "cold": "the cold tap runs",
            "mugs": "a mug from the hot tap and one from the cold stand side by side, cooled, to be smelt",
        },
        {"heat": "the temperature is read in the stream", "wait": "the wait is counted from opening the tap"},
    ),
    "heater": Scene(
        "A water heater with a dial on its outside",
        heater,
        {
            "dial": "the dial is on the outside",
            "tankless": "one without a tank, on the wall: does it start and stay on",
            "mixing": "a valve with a knob at which a cold pipe joins the hot one",
        },
        {},
    ),
    "pipes": Scene(
        "A water pipe along the wall",
        pipes,
        {
            "strapped": "it is strapped, with a cushion",
            "loose": "it is not held, and jumps",
            "sweats": "fine drops hang all along it",
            "drips": "drops fall at one spot",
        },
        {},
    ),
    "meter": Scene("A water meter", meter, {"wheel": "watch its small wheel"}, {}),
    "tap-run": Scene(
        "The washer's tap over a bucket",
        two_taps,
        {"running": "it gives a steady stream", "trickle": "it gives drops or a trickle", "dry": "nothing comes"},
        {},
    ),
    "inlet-warm": Scene("A hand at the fill hoses", inlet_warm, {"feel": "feel which hose gets warm"}, {}),
}
