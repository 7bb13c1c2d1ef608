"""Scenes of the drain hose on its way: how it lies, its end, and where the end is held."""

from .drawing import Drawing, Scene
from .parts import CABINET, bucket, cabinet, drain_hose, drops, floor, wall


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
        drain_hose(d, (CABINET, 120), (725, 160), (750, 250), (810, 310), (870, 260), (880, 120))
        bucket(d, 760, 0, high=200, level=0.3)
        d.tell("drain hose's end low, in the bucket: does water run?", 896, 150, 30)
    else:
        drain_hose(d, (CABINET, 120), (730, 160), (745, 800), (790, 1060), (850, 1060), (880, 980))
        d.box(760, 620, 260, 24, fill="paper")
        d.line((780, 620), (780, 0))
        d.line((1000, 620), (1000, 0))
        bucket(d, 760, 644, level=0.4)
        d.tell("hose end as high as the drain", 880, 1000, 0)
    d.arrow((880, 110 if state == "low" else 970), (880, 20 if state == "low" else 780))
    d.name("washer", 340, 480, None)


SCENES = {
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
}
