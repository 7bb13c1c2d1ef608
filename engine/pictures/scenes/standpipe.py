"""Scenes of the standpipe: its height beside the washer, its mouth, its trap, and the water that stands in it."""

from .drawing import Drawing, Scene
from .parts import CABINET, PIPE, TALL, cabinet, drain_hose, drops, floor, pipe, trap, wall

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
}
