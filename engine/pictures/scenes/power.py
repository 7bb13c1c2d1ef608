"""Scenes of the power: outlet, plug, panel, devices that trip, the run of the wire."""

from .drawing import Drawing, Scene
from .parts import CABINET, cabinet, drops, floor, hand, outlet, wall


def face(d: Drawing, state: str) -> None:
    """Draw the face of an outlet."""
    if state == "earth-230":
        d.box(-45, -45, 90, 90, fill="paper")
        d.ring(0, 0, 34)
        d.ring(-12, 0, 4, fill="ink")
        d.ring(12, 0, 4, fill="ink")
        d.box(-5, 30, 10, 8, accent=True, fill="accent")
        d.box(-5, -38, 10, 8, accent=True, fill="accent")
        d.tell("metal clips at the edge: earth contact", 4, 34, 40)
        return
    if state == "no-earth-230":
        d.box(-45, -45, 90, 90, fill="paper")
        d.ring(0, 0, 34)
        d.ring(-12, 0, 4, fill="ink")
        d.ring(12, 0, 4, fill="ink")
        d.tell("no pin, no hole, no clips for earth", 30, 0, 0)
        return
    ground = state != "two-slot"
    outlet(d, 0, 0, ground, test=state in ("test", "no-ground-label"))
    if state == "clean":
        d.tell("clean, firm and cool", 35, 57, -60)
    elif state == "grounded":
        d.tell("round hole: ground", 35, 23, -20)
        d.name("two slots", 43, 88, 20)
    elif state == "two-slot":
        d.tell("two slots only, no round hole", 44, 45, -20)
    elif state == "test":
        d.tell("Test and Reset buttons", 42, 57, 0)
    elif state == "no-ground-label":
        d.box(4, -34, 62, 16)
        d.tell("label: No Equipment Ground", 35, -26, -20)
    elif state == "browned":
        d.curve((12, 60), (22, 44), (54, 46), (62, 66), (48, 78), (20, 76), closed=True, accent=True)
        d.solid((16, 60), (30, 48), (54, 50), (56, 70), (24, 74))
        d.tell("brown or melted: don't touch it", 56, 62, 0)
    elif state == "warm":
        hand(d, 72, 60, 180, 50)
        d.arrow((4, 120), (14, 132), (4, 144), (14, 156))
        d.tell("back of a dry hand near, without touching: warm?", 100, 76, 60)
    elif state == "lamp":
        d.curve((35, 20), (120, 0), (150, 60), (150, 110))
        d.line((110, 110), (190, 110), (172, 165), (128, 165), closed=True)
        d.tell("a lamp that works: does it light?", 150, 165, 60)
    elif state == "probes":
        # Each line ends on the face beside its hole: nothing points into one.
        d.tell("neutral: long slot", 21, 88, 170)
        d.tell("hot: short slot", 48.5, 90, 30)
        d.tell("ground: round hole", 44, 73, -10)
        d.name("outlet", 35, 0, -90, lead=False)


def plug(d: Drawing, state: str) -> None:
    """Draw a plug in a wall outlet seen from the side."""
    wall(d, 0, -90, 110, 22)
    d.box(-8, -57, 8, 114, fill="paper")
    gap = 16.0 if state == "half-out" else 0.0
    if state in ("in", "half-out", "nearby", "unplugged"):
        if state == "unplugged":
            gap = 70.0
        if gap:
            d.box(-8 - gap - 2, 6, gap, 6, fill="ink")
            d.box(-8 - gap - 2, 26, gap, 6, fill="ink")
        d.line(
            (-8 - gap, 0),
            (-8 - gap, 40),
            (-40 - gap, 36),
            (-58 - gap, 26),
            (-58 - gap, 14),
            (-40 - gap, 4),
            closed=True,
            fill="paper",
        )
        d.tube(10, (-58 - gap, 20), (-110 - gap * 0.5, 10), (-130 - gap * 0.4, -80))
        if state == "in":
            d.tell("straight into the wall, flat against it", -14, 38, 120)
        elif state == "half-out":
            d.tell("not fully in: blades show", -18, 29, 120)
        elif state == "unplugged":
            d.tell("hold the plug, not the cord", -110, 38, 120)
            hand(d, -110, 20, 20, 80)
    elif state == "extension":
        d.line((-8, 8), (-8, 34), (-40, 30), (-40, 12), closed=True, fill="paper")
        d.tube(9, (-40, 20), (-80, 0), (-90, -70), (-130, -84))
        d.box(-230, -96, 100, 26, fill="paper")
        for x in (-215, -190, -165):
            d.box(x, -88, 12, 10)
        d.line((-216, -70), (-216, -52), (-190, -52), (-190, -70), closed=True, fill="paper")
        d.tube(9, (-203, -52), (-205, 0), (-240, 40))
        d.tell("strip or extension cord between", -180, -83, 100)
    elif state == "adapter":
        d.box(-40, -2, 32, 44, fill="paper")
        d.line((-40, 0), (-40, 40), (-72, 36), (-90, 26), (-90, 14), (-72, 4), closed=True, fill="paper")
        d.tube(10, (-90, 20), (-140, 10), (-150, -80))
        d.tell("adapter between plug and outlet", -24, 42, 120)
    d.name("wall", 11, 90, 60)


def panel(d: Drawing, state: str) -> None:
    """Draw the breaker panel with its door open."""
    d.box(0, 0, 300, 420, fill="paper")
    d.line((0, 0), (-60, -30), (-60, 450), (0, 420))
    if not d.narrow:
        d.room((560, 200))
    d.box(30, 40, 240, 340)
    for row in range(6):
        for col in (0, 1):
            x, y = 40 + 115 * col, 330 - 55 * row
            special = row == 3 and col == 1
            if state == "fuse" and special:
                d.ring(x + 52, y + 20, 24, fill="paper")
                d.ring(x + 52, y + 20, 12)
                continue
            d.box(x, y, 105, 40)
            off = state in ("tripped", "reset") and special
            if state == "off" and special:
                d.box(x + 12, y + 12, 36, 16)
            elif off:
                d.box(x + 36, y + 10, 34, 20, fill="accent", accent=True)
            else:
                d.box(x + (56 if col == 0 else 12), y + 12, 36, 16, fill="ink")
            if state == "test-button" and special:
                d.ring(x + 86, y + 20, 8, accent=True)
    at_x, at_y = 155.0, 165.0
    texts = {
        "on": "laundry breaker: on",
        "tripped": "this one stands in the middle: tripped",
        "reset": "once only: fully off, then on",
        "test-button": "breaker with a Test button",
        "fuse": "round screw-in fuse: touch nothing",
        "labels": "laundry's breaker or switch: what else is on its label? only read",
    }
    d.box(at_x - 5, at_y - 5, 115, 50, accent=True)
    d.tell(texts[state], at_x + 110, at_y + 20, 0 if not d.narrow else -60)
    if state == "reset":
        d.arrow((at_x + 150, at_y + 60), (at_x + 110, at_y + 36), (at_x + 60, at_y + 34))
    d.write("panel", 150, 400)


def breaker(d: Drawing, state: str) -> None:
    """Draw one breaker closely: its handle, its number, its Test button."""
    d.box(0, 0, 300, 90, fill="paper")
    at = {"tripped": 110.0, "off": 165.0}.get(state, 40.0)
    d.box(30, 18, 205, 54)
    d.box(at, 22, 66, 46, fill="paper")
    if state == "tripped":
        d.tell("handle between on and off: tripped", at + 33, 45, -90)
    elif state == "once":
        d.arrow((63, 120), (130, 150), (200, 120))
        d.arrow((200, -30), (130, -60), (70, -30))
        d.tell("first fully off", 200, 120, 60)
        d.tell("then on, once only", 70, -30, -120)
    elif state == "number":
        d.write("20", at + 33, 45)
        d.tell("number on the handle, in amperes: 15 or 20", at + 33, 22, -90)
        d.name("breaker", 270, 0, -90, lead=False)
    elif state in ("words", "residual"):
        d.ring(258, 45, 15, accent=True)
        if state == "words":
            d.tell("Test button: which words stand beside it?", 258, 30, -90)
        else:
            d.write("30 mA", 170, 45)
            d.tell("number of mA printed on it", 170, 18, -90)
    d.write("on", 30, 108)
    d.write("off", 230, 108)


def run_of_wire(d: Drawing, state: str) -> None:
    """Draw a house in plan with the wire's way from the panel to the washer."""
    d.box(0, 0, 900, 520)
    d.line((320, 0), (320, 340))
    d.line((600, 520), (600, 180))
    d.box(20, 220, 40, 90, fill="ink")
    d.box(760, 380, 100, 100, fill="paper")
    d.name("washer", 790, 380, -90)
    d.line(
        (60, 240),
        (60, 60),
        (280, 60),
        (280, 420),
        (560, 420),
        (560, 120),
        (700, 120),
        (700, 430),
        (810, 430),
        dashed=True,
        accent=True,
    )
    for x, y in ((110, 60), (170, 60), (230, 60), (280, 130), (280, 200), (280, 270)):
        d.ring(x, y, 11, fill="accent", accent=True)
    figure = d.figures.get("run")
    d.room((0, 640), (0, -130))
    d.tell("from: panel", 60, 240, -90)
    d.tell("to: washer", 810, 430, 90)
    d.tell("walk the wire's way in big steps", 230, 60, -90)
    if figure and (figure.read or figure.limit):
        d.tell(f"along the wire: {figure.read or figure.limit}", 420, 420, 90)


def reach(d: Drawing, state: str) -> None:
    """Draw the outlet with its Test button beside and behind the washer, or how far the outlet is from it."""
    if state == "distance" or d.has("distance"):
        d.solid((-60, -40), (1900, -40), (1900, 0), (-60, 0))
        d.box(0, 0, 686, 914, fill="paper")
        d.name("washer", 343, 460, None)
        d.box(1500, 1040, 70, 114, fill="paper")
        d.box(1518, 1054, 34, 36)
        d.box(1518, 1104, 34, 36)
        d.name("outlet", 1535, 1160, 60)
        d.measure("distance", (686, 914), (1500, 1097), start_is="washer's edge", end_is="outlet", towards=100)
        return
    wall(d, 0, 0, 1300, 40)
    d.solid((-900, -40), (40, -40), (40, 0), (-900, 0))
    d.box(-780, 0, 686, 914, fill="paper")
    d.name("washer", -440, 460, None)
    y = 1080.0 if state == "reachable" else 300.0
    d.box(-20, y, 20, 114, fill="ink")
    if state == "reachable":
        d.look(-12, y + 57, 90, "outlet's Test button in reach above the washer", 160)
    else:
        d.look(-12, y + 57, 90, "outlet behind the washer: out of reach", 100)


def elsewhere(d: Drawing, state: str) -> None:
    """Draw a house in plan with the places where another device can be off."""
    d.box(0, 0, 900, 520)
    d.line((300, 0), (300, 520))
    d.line((600, 0), (600, 520))
    d.line((300, 260), (600, 260))
    for name, x, y in (("garage", 150, 430), ("bath", 450, 430), ("kitchen", 450, 170), ("laundry", 750, 430)):
        d.name(name, x, y, None, lead=False)
    for x, y in ((30, 200), (330, 330), (570, 60), (-30, 80)):
        d.box(x - 18, y - 28, 36, 56, fill="paper")
        d.ring(x, y, 44, dashed=True, accent=True)
    d.name("outside", -30, 10, -90, lead=False)
    d.box(760, 120, 100, 100)
    d.name("washer", 810, 90, -90, lead=False)
    d.tell("Test-button outlet popped, or a switch off?", 330, 330, 60)


def dry_places(d: Drawing, state: str) -> None:
    """Draw the laundry with the places that must be dry before anybody goes nearer."""
    floor(d, -700, 1500)
    cabinet(d)
    d.name("washer", 343, 480, None)
    d.solid((-700, 0), (-660, 0), (-660, 1500), (-700, 1500))
    d.box(-660, 1050, 40, 300, fill="paper")
    outlet(d, 960, 1050)
    d.line((980, 1085), (960, 900), (800, 500), (CABINET, 300))
    d.ring(1330, 1050, 70)
    d.line((1330, 980), (1330, 420), (1280, 0))
    d.line((1330, 420), (1380, 0))
    d.curve((-200, 6), (0, 30), (300, 16), (700, 30), (900, 6), accent=True)
    for x, y, r, text, side in (
        (1330.0, 10.0, 110.0, "dry where you stand?", -90.0),
        (995.0, 1105.0, 120.0, "outlet and plug dry?", 90.0),
        (840.0, 600.0, 90.0, "cords dry?", 0.0),
        (-640.0, 1200.0, 180.0, "panel, and the way to it, dry?", 90.0),
    ):
        d.look(x, y, r, text, side)
    d.name("water", -100, 20, 90)


def ceiling(d: Drawing, state: str) -> None:
    """Draw the ceiling below the laundry, dry and flat, or wet round a lamp."""
    cabinet(d, -343, 60)
    d.name("washer", 0, 500, None)
    if state == "dry":
        d.solid((-900, 0), (900, 0), (900, 60), (-900, 60))
        d.tell("ceiling below: dry and flat", 300, 0, -90)
    else:
        d.solid((-900, 0), (-500, -10), (-200, -90), (200, -90), (500, -10), (900, 0), (900, 60), (-900, 60))
        d.tell("it bulges, stained or wet", 350, -50, -60)
        drops(d, 40, -330, 3, 60)
        d.tell("water at a lamp: keep out, touch no switch", -40, -300, 180)
    low = 0 if state == "dry" else -90
    d.line((0, low), (0, low - 130))
    d.line((-110, low - 230), (-60, low - 130), (60, low - 130), (110, low - 230), closed=True)


SCENES = {
    "outlet": Scene(
        "The face of an outlet",
        face,
        {
            "grounded": "it has two slots and a round hole for the ground",
            "clean": "it is clean, firm and cool",
            "two-slot": "it has two slots only",
            "test": "it has Test and Reset buttons",
            "no-ground-label": "a label says No Equipment Ground",
            "browned": "it is brown or melted",
            "warm": "the back of a dry hand is held near the plug",
            "lamp": "a lamp is plugged in",
            "probes": "neutral is the long slot, hot the short one, ground the round hole",
            "earth-230": "metal clips at the edge are its earth contact",
            "no-earth-230": "it has no earth contact",
        },
        {},
    ),
    "plug": Scene(
        "A plug in the wall outlet, from the side",
        plug,
        {
            "in": "it is fully in, flat against the outlet",
            "half-out": "its blades show",
            "unplugged": "it is pulled out by the plug, not by the cord",
            "extension": "a strip or an extension cord is between",
            "adapter": "an adapter is between",
        },
        {},
    ),
    "panel": Scene(
        "The breaker panel with its door open",
        panel,
        {
            "on": "the laundry breaker is on",
            "tripped": "the laundry breaker stands in the middle: tripped",
            "reset": "it is reset once, fully off, then on",
            "test-button": "a breaker has a Test button",
            "fuse": "there is a round screw-in fuse",
            "labels": "labels say which rooms are on it",
        },
        {},
    ),
    "breaker": Scene(
        "One breaker, closely",
        breaker,
        {
            "on": "its handle is on",
            "tripped": "its handle stands between on and off: tripped",
            "once": "it is reset once: fully off, then on",
            "number": "a number stands on its handle",
            "words": "words stand beside its Test button",
            "residual": "a number of mA is printed on it",
        },
        {},
    ),
    "wire-run": Scene(
        "A house in plan, with the wire's way from the panel to the washer",
        run_of_wire,
        {"walk": "it is walked in big steps"},
        {"run": "the length is walked along the wire's way from the panel to the washer"},
    ),
    "outlet-place": Scene(
        "The outlet on the wall behind the washer",
        reach,
        {
            "reachable": "it is in reach above the washer",
            "behind": "it is behind the washer",
            "distance": "its distance from the washer",
        },
        {"distance": "the distance is measured from the washer's edge to the outlet"},
    ),
    "dry-places": Scene(
        "The laundry from the front, with water on the floor",
        dry_places,
        {"look": "look from where it is dry: where you stand, outlet and plug, cords, panel and the way to it"},
        {},
    ),
    "ceiling": Scene(
        "The washer, and the ceiling of the room below it",
        ceiling,
        {"dry": "it is dry and flat", "wet": "it bulges or is stained, and water drips at a lamp"},
        {},
    ),
    "house-devices": Scene("A house in plan", elsewhere, {"look": "look in garage, bath, kitchen and outside"}, {}),
}
