"""Scenes of the drain: standpipe, trap, laundry tub, floor drain, sink branch, and the hose on its way there."""

from .drawing import Drawing
from .parts import CABINET, PIPE, TALL, bucket, cabinet, drain_hose, drops, floor, pipe, trap, wall
from .scene import Scene

WATER_LINE = 840.0  # 33 in: so high a top loader may fill (judgement)
LOW, GOOD, HIGH = 560.0, 1010.0, 1700.0
R = PIPE / 2 - 3


def standpipe(d: Drawing, state: str) -> None:
    """Draw a washer beside its standpipe in section, the water line in its tub, the trap and its weir."""
    base = (200.0 if d.has("above-floor") else 300.0) if state == "pedestal" else 0.0
    usual = {"low": LOW, "high": HIGH, "pedestal": 1000.0}.get(state, 1120.0 if d.narrow else GOOD)
    fixed = state in ("low", "high")
    trap_at = d.size("trap-height", 182.0, 15.0, 700.0)  # its lowest point
    weir_y = trap_at + 128
    top = base + (usual if fixed else d.size("height", usual, weir_y + 60 - base, 3100.0))
    if d.has("above-floor"):
        top = usual if fixed else d.size("above-floor", 1219.0 if base else GOOD, weir_y + 60, 3100.0)
    if d.has("above-weir"):
        top = weir_y + (usual if fixed else d.size("above-weir", 700.0, 60.0, 2700.0))
    depth = {"deep": 420.0, "shallow": 30.0}.get(state) or d.size("depth", 150.0, 25.0, top - weir_y)
    x = 930.0
    floor(d, -60, 1790)
    wall(d, 1750, 0, max(1150.0, top + 160))
    if base:
        d.box(-20, 0, CABINET + 40, base)
        if not d.narrow:
            d.name("pedestal", CABINET / 2, base / 2, None)
    cabinet(d, 0, base)
    line = base + d.size("water-line", WATER_LINE, 200.0, 870.0)
    d.box(70, base + 170, 540, 700, dashed=True)
    d.water((70, base + 170), (610, base + 170), (610, line), (70, line))
    weir = trap(d, x, top, weir_y, arm=1750 - x - 100)
    out = top - depth
    up = max(out + 120, base + 300)
    drain_hose(
        d,
        (CABINET, base + 120), (760, base + 160), (790, (base + 160 + up) / 2), (800, up), (830, top + 100), (880, top + 130), (x - 4, top + 70), (x, out),
    )  # fmt: skip
    siphons = out < line and not d.marks & {"above-floor", "above-weir", "trap-height", "arm"}
    runs = siphons and (d.read("height") or d.read("depth") or state in ("low", "deep"))
    sure = "water-line" in d.figures or state in ("low", "deep")  # else nobody said how high this machine fills
    if d.has("water-line") or runs:
        d.line((610, line), (x + 120, line), dashed=True, accent=True)
        d.tell("water line in the tub" if sure else "so high water may stand", 340, line, 90)
    if runs:
        d.arrow((x, out - 10), (x, out - 110))
        says = "end below the water line: it runs off by itself"
        d.tell(says if sure else "end may hang below the water: then it runs off by itself", x, out - 20, 0)
    if state == "high":
        d.tell("too high to pump", x, top, 0)
    if state == "good" and d.narrow and not d.marks:
        d.line((610, line), (x + 120, line), dashed=True, accent=True)
        d.tell("hose end above the water line", x, out, 0)
    gauge = x + 130
    d.measure(
        "height", (gauge, base), (gauge, top), start_is="what the feet stand on", end_is="open top of the pipe",
        reach=((CABINET - 60, base), (x + R, top)),
    )  # fmt: skip
    d.measure(
        "above-floor", (gauge, 0), (gauge, top), start_is="the room's floor", end_is="open top of the pipe",
        reach=(None, (x + R, top)),
    )  # fmt: skip
    d.measure(
        "above-weir", (gauge + 40, weir[1]), (gauge + 40, top), start_is="weir, where water leaves", end_is="open top of the pipe",
        reach=(weir, (x + R, top)),
    )  # fmt: skip
    if d.has("arm"):
        pipe(d, (1640, weir_y + R), (1640, 1100))
        d.name("vent", 1640, 1000, 180)
    d.measure(
        "depth",
        (x + 90, top),
        (x + 90, out),
        start_is="open top",
        end_is="hose end",
        reach=((x + R, top), (x + 16, out)),
    )
    d.measure(
        "trap-height",
        (gauge + 40, 0),
        (gauge + 40, trap_at),
        start_is="floor",
        end_is="trap",
        reach=(None, (x + 40, trap_at)),
    )
    d.measure(
        "arm",
        (weir[0], weir_y + 160),
        (1640, weir_y + 160),
        start_is="weir",
        end_is="vent",
        reach=(weir, (1640, weir_y)),
        towards=90,
    )
    if not d.narrow and not runs:
        d.name("washer", 300, base + TALL, 90)


def hose_in_pipe(d: Drawing, state: str) -> None:
    """Draw the top of a drain pipe in section, with the hose that hangs in it."""
    bore = d.size("bore", 52.0, 20.0, 160.0)
    half = bore / 2
    depth = 420.0 if state == "deep" else d.size("depth", 150.0, 12.0, 900.0)
    high = max(460.0, depth + 40) if state == "deep" or depth > 250 else 300.0
    d.solid((-half - 6, -high), (-half, -high), (-half, 0), (-half - 6, 0))
    d.solid((half, -high), (half + 6, -high), (half + 6, 0), (half, 0))
    if state == "out":
        drain_hose(d, (-190, -220), (-170, 30), (-120, 120), (-85, 40), (-95, -120))
        d.tell("hose end outside the pipe", -95, -110, 180)
        return
    if state == "thing":
        d.curve((-22, 14), (0, 24), (22, 8), (20, -60), (0, -90), (-20, -50), closed=True, fill="paper")
        d.tell("cloth or a cap in the mouth", 10, -30, 0)
        return
    if state == "empty":
        if not d.has("bore"):
            d.tell("mouth open, nothing in it", 0, -20, 0)
    else:
        lean = -8.0 if state in ("good", "gap") else 0.0
        drain_hose(d, (-150, -high * 0.8), (-130, -40), (-90, 90), (-30, 120), (lean, 60), (lean, -depth))
    if state == "taped":
        for k in range(4):
            d.line((-half - 12, -24 + 15 * k), (half + 12, -14 + 15 * k), accent=True)
        d.box(-half - 12, -30, 2 * half + 24, 62, accent=True)
        d.tell("taped shut: no air gets in", half + 12, 0, 0)
    elif state == "tight":
        d.box(-half, -40, half - 16, 40, fill="ink")
        d.box(16, -40, half - 16, 40, fill="ink")
        d.tell("tight fit: no air gets in", half, -20, 0)
    elif state in ("good", "gap") and not d.marks & {"depth", "bore"}:
        d.arrow((23, 90), (23, -40))
        d.tell("open gap all round: air gets in", 23, 60, 0)
    elif state == "deep" and (d.narrow or not d.has("depth")):
        d.tell("hose pushed far down: too deep", 0, -depth, 0)
    if not (state == "deep" and d.narrow):  # beside it stands how deep it may be
        d.measure(
            "depth",
            (half + 45, 0),
            (half + 45, -depth),
            start_is="open top",
            end_is="hose end",
            reach=((half, 0), (16, -depth)),
        )
    up = 30.0 if state == "empty" else -high - 25
    d.measure(
        "bore",
        (-half, up),
        (half, up),
        start_is="wall inside",
        end_is="wall inside",
        reach=((-half, up * 0.3), (half, up * 0.3)) if up > 0 else ((-half, -high), (half, -high)),
        towards=90,
    )
    if not d.narrow:
        if state != "empty":
            d.name("drain hose", -130, -40, 180)
        d.name("drain pipe", -half - 3, -high * 0.8 + 10, 180 if state != "empty" else 200)


def under_pipe(d: Drawing, state: str) -> None:
    """Draw the drain pipe from its open top down to the bend, in section."""
    if state == "straight":
        d.line((-R, 500), (-R, -120))
        d.line((R, 500), (R, -120))
        d.tell("no bend: straight down", R, 60, 0)
        d.arrow((0, 0), (0, 250))
        d.tell("sewer air comes up", 0, 200, 180)
        return
    if state == "s-trap":
        d.tube(52, (0, 500), (0, 160), (30, 90), (75, 70), (120, 110), (135, 180), (165, 240), (210, 180), (215, -120))
        d.tell("down again, no vent: it sucks the bend dry", 215, 40, 0)
        d.name("bend", 75, 60, -90)
        return
    seal = d.size("seal", 76.0, 12.0, 200.0)
    weir = trap(d, 0, 500, 160, arm=150, water=0.0 if state == "dry" else 1.0, seal=seal)
    if state == "vented" or d.has("vent"):
        pipe(d, (weir[0] + 120, weir[1] + 55), (weir[0] + 120, 500))
        d.tell("vent, open upward", weir[0] + 120, 420, 0)
    if state == "dry":
        d.tell("no water in the bend", 42, 70, -60)
        d.arrow((0, 200), (0, 400))
        d.tell("sewer air comes up", 0, 330, 0)
    elif state == "frozen":
        d.curve((20, 92), (42, 110), (70, 92), (42, 60), closed=True, fill="paper")
        d.tell("ice in the bend", 42, 60, -60)
    elif not d.marks & {"seal", "vent"} and state == "bend":
        d.tell("bend like a U, water stands in it", 42, 60, -60)
    dip = weir[1] - seal
    if d.has("seal"):
        d.room((-330, 0))
    d.measure("seal", (-90, weir[1]), (-90, dip), start_is="weir: water leaves here", end_is="top of the dip",
              reach=(weir, (42, dip)), towards=180)  # fmt: skip
    if not d.narrow:
        d.name("drain pipe", -R, 400, 180)


def pipe_level(d: Drawing, state: str) -> None:
    """Draw the drain pipe and how high water stands in it some time after a drain."""
    level = {"high": 380.0, "low": 40.0, "brim": 500.0}[state]
    d.line((-R, 500), (-R, 60), (-R, -60))
    d.line((R, 500), (R, -60))
    d.water((-R, -60), (R, -60), (R, level), (-R, level))
    if state == "brim":
        drops(d, -R - 14, 490, 3, 60)
        drops(d, R + 14, 490, 3, 60)
        d.tell("comes up and runs over", R + 14, 470, 0)
        return
    d.line((-150, 640), (-60, 560), (-80, 600), closed=True, fill="ink")
    d.line((-60, 560), (0, level), dashed=True)
    d.name("light", -110, 610, 180)
    d.tell("water stands high: slow drain" if state == "high" else "water only far down", R, level, 0)
    if state == "high" and not d.narrow:
        d.line((R + 20, 500), (R + 20, level), accent=True)
        d.tell("a forearm or less from the top", R + 20, 450, 0)


def tub(d: Drawing, state: str) -> None:
    """Draw a laundry tub in section beside the washer, the drain hose over its edge."""
    rim = 620.0 if state == "low" else d.size("rim", 1000.0, 380.0, 2000.0)
    x, wide, deep = 800.0, 560.0, 340.0
    floor(d, -40, x + wide + 120)
    cabinet(d)
    d.line((x, rim), (x + 30, rim - deep), (x + wide - 30, rim - deep), (x + wide, rim))
    d.line((x + 50, rim - deep), (x + 50, 0))
    d.line((x + wide - 50, rim - deep), (x + wide - 50, 0))
    pipe(d, (x + wide / 2, rim - deep), (x + wide / 2, 0))
    level = rim - deep + {"in-water": 250.0, "over": 345.0, "plugged": 300.0}.get(state, 60.0)
    d.water((x + 28, rim - deep), (x + wide - 28, rim - deep), (x + wide - 6, level), (x + 6, level))
    end = {"in-water": rim - deep + 110, "slipped": 0.0}.get(state, rim - 60)
    if state == "slipped":
        drain_hose(d, (CABINET, 120), (730, 150), (735, 500), (745, 640), (775, 560), (770, 220))
        drops(d, 775, 190, 3, 60)
        d.tell("hose slipped out of the tub", 772, 240, 0)
    else:
        drain_hose(
            d, (CABINET, 120), (725, 160), (735, 600), (740, rim + 40), (790, rim + 110), (850, rim + 40), (855, end)
        )
    if state == "outlet":
        d.box(x + wide / 2 - 29, rim - deep - 8, 58, 16, fill="paper")
        d.tell("outlet open, water runs off", x + wide / 2, rim - deep, -60)
    if state == "in-water":
        d.tell("end under water: it can be drawn back", 855, end, 0)
    elif state == "good" and not d.has("rim"):
        d.curve((790, rim - 120), (784, rim + 60), (820, rim + 140), (866, rim + 60), (872, rim - 40), accent=True)
        d.tell("held in its hook, end free above the water", 870, end, 0)
    elif state == "plugged":
        d.box(x + wide / 2 - 60, rim - deep - 4, 120, 40, fill="ink")
        d.tell("plug, cloth or lint on the outlet", x + wide / 2, rim - deep, -60)
    elif state == "over":
        drops(d, x + wide + 16, rim - 20, 3, 60)
        d.tell("full: it runs over", x + wide, rim, 60)
    if state == "low":
        line = WATER_LINE
        d.line((70, line), (x + 100, line), dashed=True, accent=True)
        d.tell("water line in the washer", 300, line, 90)
        d.arrow((890, rim + 20), (890, rim - 200))
        d.tell("hose end below it: it runs off", 855, rim - 60, 0)
    if d.has("outlet") and state == "good":
        d.look(x + wide / 2, rim - deep, 60, "outlet open?", -60)
    if d.has("rim"):
        d.room((x + wide + 520, 0))
    d.measure(
        "rim",
        (x + wide + 90, 0),
        (x + wide + 90, rim),
        start_is="floor",
        end_is="top edge of the tub",
        reach=(None, (x + wide, rim)),
    )
    if state != "low":
        d.name("washer", 340, 480, None)


def tub_size(d: Drawing, state: str) -> None:
    """Draw a tub seen slantwise from above, with its walls, and its length, width and depth inside."""
    d.line((-20, 0), (620, 0), (800, 180), (160, 180), closed=True)
    d.line((20, 14), (596, 14), (748, 166), (172, 166), closed=True)
    d.line((-20, 0), (30, -360), (560, -360), (620, 0))
    d.line((560, -360), (720, -200), (800, 180))
    d.arrow((40, 34), (606, 34), both=True)
    d.tell("length inside", 320, 34, -90)
    d.arrow((606, 34), (730, 158), both=True)
    d.tell("width inside", 735, 120, 0)
    d.arrow((100, 34), (112, -330), both=True)
    d.tell("depth inside", 108, -150, 0)
    figure = d.figures.get("inside")
    if d.has("inside"):
        said = (figure.read or figure.limit) if figure else ""
        d.tell(f"holds {said}" if said else "how much does it hold?", 330, -290, None)


def floor_drain(d: Drawing, state: str) -> None:
    """Draw a washer that drains through the floor, with a siphon break in its hose level with its top."""
    floor(d, -40, 930)
    floor(d, 988, 1200)
    cabinet(d)
    d.line((930, 0), (930, -200))
    d.line((988, 0), (988, -200))
    at = {"low": 380.0}.get(state, TALL)
    if state == "without":
        drain_hose(d, (CABINET, 120), (740, 150), (800, 60), (880, 40), (945, 60), (959, 10), (959, -120))
        d.tell("no air opening: the drain sucks the washer empty", 840, 60, 90)
        d.arrow((850, 130), (930, 120), (1010, 40))
    else:
        drain_hose(d, (CABINET, 120), (730, 150), (745, at - 200), (770, at + 30), (820, at + 80), (870, at + 30), (900, at - 200),
                   (930, 200), (959, 60), (959, -120))  # fmt: skip
        d.box(795, at + 70, 50, 60, fill="paper")
        d.line((800, at + 160), (820, at + 130), (840, at + 160), accent=True)
        d.arrow((820, at + 240), (820, at + 140))
        d.tell(
            "siphon break: air gets in here" if state == "with" else "air opening below the top: too low",
            845,
            at + 110,
            0,
        )
        d.line((0, TALL), (1100, TALL), dashed=True, accent=True)
        if not d.narrow:
            d.tell("level with the washer's top", 1100, TALL, -90)
    d.name("washer", 340, 480, None)
    if not d.narrow:
        d.name("floor drain", 988, -60, 0)


def sink_branch(d: Drawing, state: str) -> None:
    """Draw the drain under a sink in section, with the branch for the washer's hose."""
    d.line((-150, 520), (-120, 380), (-26, 350), (-26, 230), (-26, -60))
    d.line((150, 520), (120, 380), (26, 350), (26, 230))
    d.line((26, 170), (26, -60))
    d.line((26, 230), (140, 307))
    d.line((26, 170), (152, 250))
    if state == "closed":
        d.line((70, 194), (86, 205), (86, 275), (70, 262), closed=True, accent=True, fill="accent")
        d.tell("wall of plastic still in the branch", 86, 215, -80)
    elif state == "branch":
        d.look(90, 240, 60, "branch: is it open inside?", -60)
    else:
        d.tell("branch cut open", 60, 228, -80)
    if state in ("closed", "open", "branch"):
        drain_hose(d, (118, 262), (210, 318), (290, 380))
    elif state == "low-loop":
        drain_hose(d, (140, 276), (220, 200), (250, -40), (330, -60))
        d.arrow((0, 420), (0, 260), (80, 236), (200, 190))
        d.tell("sink water runs into the hose", 235, 100, 0)
    elif state == "high-loop":
        drain_hose(d, (140, 276), (210, 380), (255, 500), (300, 400), (310, -40))
        d.tell("hose tied up high under the sink's top", 260, 490, 0)
    d.name("sink", 0, 460, None)


def hose_lie(d: Drawing, state: str) -> None:
    """Draw the drain hose on its way from the washer's back to the pipe, seen from the side."""
    floor(d, -340, 520)
    wall(d, 420, 0, 1150)
    cabinet(d, -300, 0, 520)
    x = 380.0
    d.line((x - 22, 1000), (x - 22, 0))
    d.line((x + 22, 1000), (x + 22, 0))
    start = (220.0, 120.0)
    if state == "folded":
        drain_hose(d, start, (270, 130), (290, 260), (346, 400))
        drain_hose(d, (346, 412), (262, 560), (290, 980), (345, 1080), (380, 1010), (380, 880))
        d.look(335, 406, 70, "folded flat", 180)
    elif state == "pressed":
        drain_hose(
            d, start, (290, 140), (400, 260), (405, 360), (300, 640), (310, 980), (345, 1080), (380, 1010), (380, 880)
        )
        d.look(405, 310, 55, "pressed against the wall", 180)
    elif state == "slipped":
        drain_hose(d, start, (290, 130), (310, 360), (330, 470), (350, 420), (345, 200))
        drops(d, 345, 170, 3, 60)
        d.look(345, 220, 60, "slipped down, end low", 180)
    elif state == "pieced":
        drain_hose(d, start, (290, 140), (310, 420))
        drain_hose(d, (312, 470), (305, 700), (310, 980), (345, 1080), (380, 1010), (380, 880))
        d.box(288, 410, 48, 80, fill="paper")
        drops(d, 312, 380, 3, 60)
        d.look(312, 450, 75, "joint: wet or apart?", 180)
    elif state == "ice":
        drain_hose(
            d, start, (260, 60), (310, 50), (340, 300), (310, 700), (310, 980), (345, 1080), (380, 1010), (380, 880)
        )
        d.look(285, 50, 60, "low bend: hard or crackling?", 150)
    else:
        drain_hose(d, start, (290, 140), (310, 420), (305, 700), (310, 980), (345, 1080), (380, 1010), (380, 880))
        if d.has("joint"):
            d.look(235, 120, 60, "hose and clamp: dry, firm?", 180)
        elif d.has("high-point"):
            d.look(345, 1085, 60, "highest point above the washer's top", 180)
        elif state == "hooked":
            d.line((290, 960), (300, 1060), (345, 1110), (392, 1050), (396, 980), accent=True)
            d.line((280, 700), (402, 700), accent=True)
            d.line((280, 716), (402, 716), accent=True)
            d.tell("hook over the pipe", 345, 1110, 150)
            d.tell("tied to the pipe", 290, 708, 180)
        else:
            d.tell("wide curves, round all along", 300, 560, 180)


def hose_end(d: Drawing, state: str) -> None:
    """Draw the end of a drain hose that is held up, to look into."""
    drain_hose(d, (-200, -160), (-120, -20), (-20, 20), (60, 0))
    d.ring(66, -2, 17, fill="paper")
    if state == "clear":
        d.tell("open, nothing in it", 66, -2, 20)
    elif state == "cap":
        d.box(56, -24, 34, 44, fill="ink")
        d.tell("shipping cap still on", 90, 0, 20)
    else:
        d.curve((56, 6), (66, 12), (76, 0), (66, -12), closed=True, fill="ink")
        d.tell("lint or a sock inside", 66, -2, 20)
    d.line((-260, -70), (150, -70), dashed=True)
    d.room((0, -180))
    d.name("washer's top: keep the end above it", 60, -70, -90)


def bucket_test(d: Drawing, state: str) -> None:
    """Draw the end of the drain hose over a bucket, high or low, beside the washer."""
    floor(d, -40, 1150)
    cabinet(d)
    if state == "low":
        drain_hose(d, (CABINET, 120), (740, 300), (790, 420), (850, 400), (880, 300))
        bucket(d, 760, 0, level=0.4)
        d.tell("hose end low, in the bucket", 880, 320, 0)
    else:
        drain_hose(d, (CABINET, 120), (730, 160), (745, 800), (790, 1060), (850, 1060), (880, 980))
        d.box(760, 620, 260, 24, fill="paper")
        d.line((780, 620), (780, 0))
        d.line((1000, 620), (1000, 0))
        bucket(d, 760, 644, level=0.4)
        d.tell("hose end as high as the drain", 880, 1000, 0)
    d.arrow((880, 290 if state == "low" else 970), (880, 120 if state == "low" else 780))
    d.name("washer", 340, 480, None)


def pour(d: Drawing, state: str) -> None:
    """Draw a bucket that is poured into something: the drain pipe, the drum, the tub."""
    d.line((-120, 420), (30, 560), (150, 420), (20, 300), closed=True)
    d.water((20, 360), (90, 360), (60, 340), (20, 310))
    d.curve((20, 300), (0, 260), (-4, 160), (-4, 60))
    d.curve((34, 312), (14, 260), (10, 160), (10, 60))
    if state == "drum":
        d.line((-260, 120), (-260, -160), (260, -160), (260, 120))
        d.box(-180, -130, 360, 250, dashed=True)
        d.water((-180, -130), (180, -130), (180, -60), (-180, -60))
        d.tell("into the drum", 10, 20, 0)
    elif state == "tub":
        d.line((-220, 120), (-190, -160), (190, -160), (220, 120))
        d.water((-190, -160), (190, -160), (200, -60), (-200, -60))
        d.tell("into the tub: does it run off?", 60, -60, -60)
        d.line((-20, -160), (-20, -220))
        d.line((20, -160), (20, -220))
    else:
        d.line((-R, 60), (-R, -220))
        d.line((R, 60), (R, -220))
        d.tell("down the drain pipe", R, -40, 0)
    d.name("bucket", 60, 480, 30)


def vent(d: Drawing, state: str) -> None:
    """Draw a house from the yard, with the vent pipe that comes out of its roof."""
    d.box(0, 0, 800, 420)
    d.line((-80, 400), (400, 760), (880, 400))
    d.box(120, 120, 130, 150)
    d.name("laundry", 185, 95, -90, lead=False)
    if state != "none":
        d.box(170, 560 if state == "x" else 555, 44, 190, fill="paper")
    if state == "open":
        d.arrow((192, 760), (192, 880))
        d.tell("plain pipe, open top", 214, 720, 30)
    elif state == "covered":
        d.curve((120, 745), (160, 830), (230, 830), (270, 745), closed=True, fill="paper")
        d.tell("snow or a nest on it", 230, 820, 20)
    else:
        d.look(192, 640, 120, "no pipe here", 60)
    d.line((-260, 0), (900, 0))
    d.ring(-220, 150, 26)
    d.line((-220, 124), (-220, 50), (-245, 0))
    d.line((-220, 50), (-195, 0))
    d.line((-190, 160), (150, 700), dashed=True)
    d.name("you, on the ground", -220, 180, 120)


def side_by_side_sink(d: Drawing, state: str) -> None:
    """Draw a sink and the washer on one drain line."""
    floor(d, -40, 1500)
    cabinet(d)
    d.line((1050, 900), (1080, 760), (1320, 760), (1350, 900))
    d.line((1180, 760), (1180, 60))
    d.line((1220, 760), (1220, 60))
    pipe(d, (830, 950), (830, 90), (1480, 60))
    drain_hose(d, (CABINET, 120), (730, 160), (745, 800), (790, 1040), (830, 1000), (830, 860))
    d.arrow((1200, 1060), (1200, 860))
    d.tell("water running at the sink", 1200, 1000, 0)
    d.arrow((900, 140), (1100, 130))
    if state == "backs-up":
        d.water((1076, 770), (1324, 770), (1345, 880), (1055, 880))
        d.tell("water comes up in the sink", 1330, 850, 60)
    else:
        d.tell("sink stays empty", 1300, 780, 60)
    if not d.narrow:
        d.name("one line for both", 1000, 70, -90)
    d.name("washer", 340, 480, None)


def falls(d: Drawing, state: str) -> None:
    """Draw a drain pipe under a floor with a level on it, and how far it falls on a foot."""
    fall = {"flat": 0.0}.get(state, 70.0)
    pipe(d, (-300, fall), (300, 0), thick=60)
    d.room((0, 230), (0, -190))
    d.box(-200, 45 + fall * 0.66, 305, 36)
    d.line((-200, 45 + fall * 0.66), (105, 45 + fall * 0.66), accent=True)
    d.write("level", -50, 63 + fall * 0.66)
    d.measure(
        "fall",
        (150, 45 + fall * 0.66),
        (150, 33 + fall * 0.25),
        start_is="level line",
        end_is="pipe",
        reach=((105, 45 + fall * 0.66), None),
    )
    d.arrow((-240, -60 + fall * 0.9), (240, -60 + fall * 0.1))
    d.tell("water runs this way" if fall else "no fall: it stands", -60, -50, -90)
    d.arrow((-200, 110 + fall * 0.66), (105, 110 + fall * 0.66), both=True)
    d.tell("1 ft along the level", -50, 110 + fall * 0.66, 90)
    d.room((420, 0))


SCENES = {
    "standpipe": Scene(
        "A washer beside its drain pipe, in section: the water line in the tub, the hose over into the pipe, the trap below",
        standpipe,
        {
            "good": "the hose end hangs above the water line in the tub",
            "low": "the pipe is so low that the hose end hangs below the water line, and the water runs off by itself",
            "high": "the pipe is higher than the pump lifts",
            "deep": "the hose is pushed so far down that its end is below the water line",
            "pedestal": "the washer stands on a pedestal, and its feet count, not the floor",
        },
        {
            "height": "the height is measured from what the washer's feet stand on up to the open top of the pipe",
            "above-floor": "the height is measured from the room's floor up to the open top of the pipe",
            "above-weir": "the height is measured from the trap weir, where water leaves the trap, up to the open top of the pipe",
            "depth": "the depth is measured from the open top of the pipe down to the hose end",
            "water-line": "the dashed line is the highest water in the tub",
            "trap-height": "the height is measured from the floor up to the trap",
            "arm": "the length is measured from the trap weir to the vent",
        },
    ),
    "hose-in-pipe": Scene(
        "The top of the drain pipe in section, with the drain hose",
        hose_in_pipe,
        {
            "good": "the hose hangs loose, and a gap is open all round it",
            "taped": "the gap round the hose is taped shut, so that no air gets in",
            "tight": "the hose fits tightly, so that no air gets in",
            "deep": "the hose is pushed far down the pipe",
            "out": "the hose end hangs outside the pipe",
            "thing": "a cloth or a cap sits in the pipe's mouth",
            "empty": "the hose is out, and the pipe's mouth is open",
        },
        {
            "depth": "the depth is measured from the open top of the pipe down to the hose end",
            "bore": "the width is measured inside, from wall to wall",
            "gap": "look whether a gap is open all round the hose",
        },
    ),
    "under-pipe": Scene(
        "The drain pipe from its open top down to the bend, in section",
        under_pipe,
        {
            "bend": "there is a bend like a U, and water stands in it",
            "straight": "the pipe goes straight down, and sewer air comes up",
            "dry": "the bend is dry, and sewer air comes up",
            "s-trap": "behind the bend the pipe goes down again, with no vent",
            "vented": "behind the bend a vent goes up",
            "frozen": "the water in the bend is ice",
        },
        {
            "seal": "the seal is measured from the weir down to the top of the dip",
            "vent": "behind the trap a vent goes up",
            "bend": "look for the bend",
        },
    ),
    "pipe-level": Scene(
        "The drain pipe in section, a light shone down it",
        pipe_level,
        {
            "low": "water is only far down",
            "high": "water stands high, within a forearm of the top",
            "brim": "water comes up and runs over",
        },
        {},
    ),
    "tub": Scene(
        "A laundry tub in section beside the washer, the drain hose over its edge",
        tub,
        {
            "good": "the hose is held in its hook, its end free above the water",
            "low": "the tub's edge is below the water line in the washer",
            "in-water": "the hose end lies under water",
            "slipped": "the hose has slipped out of the tub",
            "outlet": "the outlet is open, and the water runs off",
            "plugged": "something lies on the tub's outlet",
            "over": "the tub is full and runs over",
        },
        {
            "rim": "the height is measured from the floor up to the tub's top edge",
            "outlet": "look at the outlet in the tub's bottom",
        },
    ),
    "tub-size": Scene(
        "A tub seen slantwise from above",
        tub_size,
        {"open": "it is measured inside"},
        {"inside": "length, width and depth inside"},
    ),
    "floor-drain": Scene(
        "A washer that drains into the floor",
        floor_drain,
        {
            "with": "a siphon break in the hose, level with the washer's top, lets air in",
            "without": "nothing lets air in, and the drain sucks the washer empty",
            "low": "the air opening is below the washer's top",
        },
        {"break": "look for a small fitting with an air opening, level with the washer's top"},
    ),
    "sink-branch": Scene(
        "The drain under a sink in section, with the branch for the washer's hose",
        sink_branch,
        {
            "open": "the branch is cut open",
            "closed": "a wall of plastic still closes the branch",
            "branch": "the branch on the sink's drain",
            "low-loop": "the hose hangs low, and sink water runs into it",
            "high-loop": "the hose is tied up high under the sink's top",
        },
        {"branch": "look into the branch"},
    ),
    "hose-lie": Scene(
        "The drain hose behind the washer, seen from the side",
        hose_lie,
        {
            "round": "it lies in wide curves, round all along",
            "hooked": "it is held by its hook and tied to the pipe",
            "folded": "it is folded flat",
            "pressed": "it is pressed against the wall",
            "slipped": "it has slipped down, and its end lies low",
            "pieced": "a second piece is joined on",
            "ice": "its low bend is hard with ice",
        },
        {
            "joint": "look where the hose leaves the washer",
            "high-point": "look at the hose's highest point",
            "hook": "look at the hook and the tie",
        },
    ),
    "hose-end": Scene(
        "The end of the drain hose, lifted out and kept high",
        hose_end,
        {"clear": "it is open", "cap": "a shipping cap is still on it", "lint": "lint or a sock is inside"},
        {},
    ),
    "bucket-test": Scene(
        "The drain hose's end over a bucket",
        bucket_test,
        {
            "low": "the end is low, in the bucket on the floor",
            "high": "the end is as high as the drain, the bucket raised",
        },
        {},
    ),
    "pour": Scene(
        "A bucket of water is poured",
        pour,
        {"pipe": "it goes down the drain pipe", "drum": "it goes into the drum", "tub": "it goes into the tub"},
        {},
    ),
    "vent": Scene(
        "A house seen from the yard",
        vent,
        {
            "open": "a plain pipe with an open top comes out of the roof",
            "covered": "the pipe is covered",
            "none": "there is no pipe",
        },
        {},
    ),
    "shared-line": Scene(
        "A sink and the washer on one drain line",
        side_by_side_sink,
        {"runs": "both run off", "backs-up": "one backs up into the other"},
        {},
    ),
    "drain-fall": Scene(
        "A drain pipe with a level over it",
        falls,
        {"falls": "it falls toward the stack", "flat": "it lies flat"},
        {"fall": "the fall is measured from the level line down to the pipe, over one foot"},
    ),
}
