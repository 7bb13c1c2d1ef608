"""Scenes of the fill hoses: the back of the washer, its inlets, the hoses and the pipes that lead to them."""

from .drawing import Drawing, Scene
from .parts import cabinet, drops, fill_hose, floor, hand


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
    if d.narrow:
        d.name("inlet on washer's back", 70, -90, -90, lead=False)
    else:
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
        d.name("water pipe along the wall", -130, 77, 100)


SCENES = {
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
    "inlet-warm": Scene("A hand at the fill hoses", inlet_warm, {"feel": "feel which hose gets warm"}, {}),
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
}
