"""Scenes of what the machine stands on and how: feet, level, room round it, floor, packing, what is on top, moving it."""

import math

from .drawing import Drawing
from .parts import CABINET, TALL, cabinet, floor, front, hand
from .scene import Scene

NARROW = 110.0  # a gap round the machine that is narrower is drawn so wide, and says so [mm]
LARGER = 6.0  # a gap under a foot is drawn so many times larger, and says so


CARD = 0.8  # thickness of a bank card [mm] (ISO/IEC 7810, ID-1: 0.76, from memory, unverified)


def foot(d: Drawing, state: str) -> None:
    """Draw one foot with its lock nut under a corner of the cabinet."""
    gap = read = 6.0 if state == "gap" else 0.0
    if d.has("gap"):
        read = d.size("gap", 4.0, 0.0, 60.0)
        gap = min(48.0, max(LARGER * read, 24.0)) if read else 0.0
    floor(d, -90, 110, 0, 14)
    y = gap
    d.line((-45, y), (-40, y + 16), (-10, y + 20), (10, y + 20), (40, y + 16), (45, y), closed=True, fill="paper")
    d.box(-7, y + 20, 14, 62, fill="paper")
    for k in range(8):
        d.line((-7, y + 24 + 7 * k), (7, y + 27 + 7 * k))
    d.line((-70, 125 + gap), (-70, 78 + gap), (110, 78 + gap))
    d.line((-58, 125 + gap), (-58, 92 + gap), (110, 92 + gap))
    nut = 64 + gap if state in ("tight", "gap", "paper", "cards") else 36 + gap
    d.box(-22, nut, 44, 14, fill="paper")
    d.line((-8, nut), (-8, nut + 14))
    d.line((8, nut), (8, nut + 14))
    if state == "tight" and not d.has("gap"):
        d.tell("lock nut tight up against the cabinet", 22, nut + 7, 0)
    elif state == "loose":
        d.tell("lock nut loose: a gap above it", 22, nut + 20, 0)
        d.arrow((-30, nut + 7), (-34, nut + 24), (-8, nut + 36))
    elif state == "feel":
        d.tell("flat nut: turns by fingers, loose; stays, tight", 22, nut + 7, 0)
        hand(d, -22, nut + 7, 0, 40)
    elif state == "gap" and not d.has("gap"):
        d.tell("foot hangs free", 45, 3, 0)
    elif state == "paper":
        d.line((40, 2), (150, 2), accent=True)
        d.line((40, 4), (150, 4), accent=True)
        d.tell("slide a sheet of paper: does it go under?", 100, 4, 40)
    elif state == "raise":
        d.arrow((-62, 30), (-66, 12), (-30, 6))
        d.tell("screw the foot out until it touches", -45, 14, 180)
    if d.has("gap") and gap:
        d.scale = "gap drawn larger than it is" if read < gap else ""
        # As many as would fill it: one for a limit of 1 mm, five for 4 mm.
        cards = max(1, min(8, round(read / CARD)))
        for k in range(cards):
            card = gap * (k + 0.5) / cards
            d.line((-30, card), (105, card), accent=True)
        d.tell("bank cards fill it: count them, 0.8 mm each", 100, gap / 2, 30)
    d.measure(
        "gap", (-60, 0), (-60, gap), start_is="floor", end_is="foot's sole", reach=((-90, 0), (-45, gap)), towards=180
    )
    if not d.narrow:
        d.write("foot", 0, y + 9)


def corners(d: Drawing, state: str) -> None:
    """Draw the washer from the front, pressed at one top corner and then at the other."""
    floor(d, -200, 900)
    lift = 26.0 if state == "rocks" else 0.0
    d.box(38, 0, 44, 30, fill="ink")
    d.box(CABINET - 82, lift, 44, 30, fill="ink")
    d.line(
        (0, 30),
        (CABINET, 30 + lift),
        (CABINET - 20 * (lift > 0), TALL + lift),
        (-20 * (lift > 0), TALL),
        closed=True,
        fill="paper",
    )
    d.arrow((60, TALL + 190), (60, TALL + 20))
    d.tell("press here", 60, TALL + 190, 90)
    if state == "press":
        d.arrow((CABINET - 60, TALL + 190), (CABINET - 60, TALL + 20))
        d.tell("then here", CABINET - 60, TALL + 190, 90)
        d.tell("does a foot lift?", CABINET - 60, 20, 20)
    elif state == "rocks":
        d.arrow((CABINET + 60, 0), (CABINET + 60, 90), both=True)
        d.tell("this foot lifts: it rocks", CABINET - 40, 12, 20)
    else:
        d.tell("all four feet stay down", CABINET - 60, 10, 20)


def level(d: Drawing, state: str) -> None:
    """Draw the washer's top with a level on it, and how far its low end is lifted until the bubble is in the middle."""
    low = 70.0 if state != "flat" else 0.0
    lifted = d.has("lift")
    d.line((0, -260), (0, -low), (CABINET, 0), (CABINET, -260), fill="paper")
    d.line(
        (-20, -275),
        (60, -245),
        (140, -275),
        (220, -245),
        (300, -275),
        (380, -245),
        (460, -275),
        (540, -245),
        (620, -275),
        (706, -245),
    )
    if state == "front-to-back":
        d.line((0, -200), (-40, -200), (-40, -260))
        d.name("door", -20, -250, -90)
        d.name("washer from the side", 343, -170, None)
    else:
        if not lifted:
            d.box(25, -200, 190, 90)
            d.ring(330, -150, 36)
        d.name("washer's top from the front", 460, -180, None)
    left, right = 30.0, 656.0
    d.room((0, 200))
    if lifted:
        d.room((-400, 0))
    tilt = 0.0 if lifted or state == "flat" else low * 0.9
    d.line((left, -tilt), (right, 0), (right, 60), (left, 60 - tilt), closed=True, fill="paper")
    mid = (left + right) / 2
    y = 30 - tilt / 2
    d.box(mid - 70, y - 16, 140, 32)
    d.line((mid - 20, y - 16), (mid - 20, y + 16))
    d.line((mid + 20, y - 16), (mid + 20, y + 16))
    off = 44.0 if tilt else 0.0
    d.ring(mid + off, y, 12, fill="accent", accent=True)
    if lifted:
        d.measure(
            "lift",
            (-50, -low),
            (-50, 0),
            start_is="machine's top",
            end_is="level's low end, lifted",
            reach=((0, -low), (left, 0)),
            towards=180,
        )
        d.tell("until the bubble is in the middle", mid, y + 16, 60)
        d.name("level 2 ft long", 560, 60, 90)
    else:
        d.tell("bubble off the middle" if tilt else "bubble in the middle", mid + off, y + 16, 90)


def around(d: Drawing, state: str) -> None:
    """Draw the washer in its place from above: wall behind, wall beside, front below."""
    side = 0.0 if state == "touches" else d.size("beside", 60.0, 0.0, 500.0)
    behind = d.size("behind", 130.0, 0.0, 500.0)
    larger = {mark for mark, gap in (("beside", side), ("behind", behind)) if d.has(mark) and 0 < gap < NARROW}
    if larger:  # too narrow a gap for an arrow
        side = NARROW if "beside" in larger else side
        behind = NARROW if "behind" in larger else behind
        d.scale = "gap drawn wider than it is"
    d.solid(
        (-60, CABINET + behind), (1000, CABINET + behind), (1000, CABINET + behind + 60), (-60, CABINET + behind + 60)
    )
    d.solid(
        (CABINET + side, -40),
        (CABINET + side + 60, -40),
        (CABINET + side + 60, CABINET + behind),
        (CABINET + side, CABINET + behind),
    )
    d.box(0, 0, CABINET, CABINET, fill="paper")
    d.box(60, -40, CABINET - 120, 40)
    if not (d.narrow and state == "touches"):
        d.name("washer from above", CABINET / 2, CABINET / 2, None)
    if not d.narrow:
        d.name("front", CABINET / 2, -20, -90, lead=False)
    if not d.narrow:
        d.name("wall", 100, CABINET + behind + 40, 90)
    d.measure(
        "behind", (240, CABINET), (240, CABINET + behind), start_is="back of the machine", end_is="wall", towards=150
    )
    if d.has("beside"):
        d.room((CABINET + side + 620, 0))
    d.measure(
        "beside", (CABINET, 260), (CABINET + side, 260), start_is="side", end_is="wall or next machine", towards=0
    )
    if state == "clear" and not d.narrow and not d.marks:
        d.arrow((CABINET, 260), (CABINET + side, 260), both=True)
        d.arrow((240, CABINET), (240, CABINET + behind), both=True)
        d.tell("gap behind: as the machine's sheet says", 240, CABINET + behind / 2, 180)
        d.tell("gap beside: as its sheet says", CABINET + side / 2, 260, 0)
    if state == "touches":
        d.look(CABINET, 400, 70, "touches: it knocks in the spin", -120)
    elif state == "cardboard":
        d.line((CABINET + side / 2, -160), (CABINET + side / 2, 500), accent=True)
        d.arrow((CABINET + side / 2, -160), (CABINET + side / 2, 300))
        d.tell("slide cardboard through: does it stick?", CABINET + side / 2, -120, 180)


def above(d: Drawing, state: str) -> None:
    """Draw a top loader with a shelf over it."""
    room = d.size("above", 560.0, 60.0, 1800.0)
    floor(d, -80, 780)
    cabinet(d)
    d.box(40, TALL, 606, 24, fill="paper")
    d.name("closed lid", 500, TALL + 6, -90)
    d.box(-80, TALL + 24 + room, 860, 30, fill="paper")
    d.name("shelf or ceiling", 340, TALL + room + 54, 90)
    d.measure(
        "above", (200, TALL + 24), (200, TALL + 24 + room), start_is="closed lid", end_is="what is above", towards=0
    )


def floors(d: Drawing, state: str) -> None:
    """Draw the floor under the washer in section."""
    if state == "slab":
        d.solid((-300, -120), (1000, -120), (1000, 0), (-300, 0))
        d.name("concrete", 340, -60, -90)
    else:
        sag = 50.0 if state in ("soft", "bounce") else 0.0
        d.curve((-300, 0), (0, -sag * 0.7), (340, -sag), (700, -sag * 0.7), (1000, 0))
        d.curve((-300, -30), (0, -30 - sag * 0.7), (340, -30 - sag), (700, -30 - sag * 0.7), (1000, -30))
        for x in (-200, 140, 480, 820):
            d.box(x - 25, -230, 50, 200 - sag * 0.6)
        d.name("joists under the boards", 480, -200, -90)
        if state == "joists" and d.narrow:
            d.tell("boards level, dry and firm", 340, 500, None)
        if state == "soft":
            d.look(100, -20, 90, "soft or stained?", 150)
    y = -34.0 if state in ("soft", "bounce") else 0.0
    cabinet(d, 0, y)
    if state == "bounce":
        d.ring(870, 780, 55)
        d.line((870, 725), (870, 380), (830, 60), (800, 60))
        d.line((870, 380), (900, 60), (860, 60))
        d.line((870, 660), (800, 500))
        d.line((870, 660), (940, 500))
        d.arrow((980, 160), (980, 20))
        d.tell("drop on your heels", 980, 160, 90)
        d.arrow((-120, -60), (-120, 60), both=True)
        d.tell("do things rattle?", -120, 60, 120)
    if not d.narrow:
        d.name("washer", 340, 480, None)


def slip(d: Drawing, state: str) -> None:
    """Draw two feet on what they stand on."""
    floor(d, -200, 900)
    cabinet(d, 0, 0 if state == "bare" else 18)
    if state == "mat":
        d.curve((-120, 16), (100, 20), (340, 14), (820, 18))
        d.line((-120, 0), (-120, 16))
        d.tell("loose mat, felt or a tray", 760, 16, 60)
    elif state == "wet":
        d.curve((-160, 6), (100, 16), (340, 10), (840, 6), accent=True)
        d.tell("water, soap or sand", 780, 10, 60)
    elif state == "push":
        hand(d, 0, 140, 0, 180)
        d.arrow((-260, 140), (-120, 140))
        d.tell("push low with one hand: does it slide?", -120, 200, 120)
    else:
        d.tell("rubber feet on a dry, bare floor", CABINET - 60, 14, 20)
    if not d.narrow:
        d.name("washer", 340, 480, None)


def packing(d: Drawing, state: str) -> None:
    """Draw what holds a washer still for shipping: bolts at the back, a block in the base, foam round the drum."""
    if state in ("drum", "drum-clear"):
        d.box(-400, -400, 800, 800, fill="paper")
        d.ring(0, 0, 340)
        d.ring(0, 0, 250)
        d.ring(0, 0, 60)
        if state == "drum":
            for turn in (90, 210, 330):
                arc = [math.radians(turn + k * 7) for k in range(-3, 4)]
                d.solid(
                    *((252 * math.cos(a), 252 * math.sin(a)) for a in arc),
                    *((338 * math.cos(a), 338 * math.sin(a)) for a in reversed(arc)),
                )
            d.tell("foam, ring or cardboard round the drum", 250, -150, -30)
        else:
            d.tell("open gap all round the drum", 210, -205, -30)
        if not d.narrow:
            d.name("washer from above, lid open", 0, 130, None)
        return
    floor(d, -60, 760)
    cabinet(d)
    d.ring(343, 500, 250, dashed=True)
    if state in ("back", "in", "out"):
        for x, y in ((100, 760), (586, 760), (100, 240), (586, 240)):
            if state == "out":
                d.ring(x, y, 26)
                d.line((x - 18, y - 18), (x + 18, y + 18))
                d.line((x - 18, y + 18), (x + 18, y - 18))
            else:
                d.ring(x, y, 34, fill="paper")
                d.ring(x, y, 16, fill="ink")
        if state == "out":
            d.tell("bolts out, holes capped", 606, 772, 40)
        else:
            d.tell("bolts with plastic sleeves still in", 586, 760, 40)
    if state == "base":
        d.solid((180, 40), (506, 40), (470, 250), (216, 250))
        d.tell("block or rod under the drum, from below", 500, 120, 0)
        d.arrow((343, -80), (343, 30))
    if state == "base-clear":
        d.tell("nothing under the drum", 343, 150, 0)
    if "base" in state:
        d.name("drum", 343, 500, None)
    else:
        d.name("back" if d.narrow else "back of the washer", 343, 500, None)


def base(d: Drawing, state: str) -> None:
    """Draw the washer on a pedestal or with a dryer on it, and where they are fastened."""
    floor(d, -120, 820)
    if state in ("fastened", "loose"):
        d.box(-10, 0, CABINET + 20, 300, fill="paper")
        shift = 0.0 if state == "fastened" else 60.0
        cabinet(d, shift, 300)
        d.name("pedestal", 343, 140, None)
        if state == "fastened":
            for x in (60, 343, 626):
                d.box(x - 10, 270, 20, 60, fill="accent", accent=True)
            d.tell("screwed all along", 626, 300, 0)
        else:
            d.look(CABINET + 20, 320, 70, "no screws, foot at the edge", 40)
    else:
        cabinet(d)
        d.ring(343, 440, 200)
        d.box(0, TALL, CABINET, TALL, fill="paper")
        d.ring(343, TALL + 440, 200)
        d.name("washer", 343, 440, None)
        d.name("dryer", 343, TALL + 440, None)
        if state == "stacked":
            d.box(-12, TALL - 60, 24, 120, fill="accent", accent=True)
            d.box(CABINET - 12, TALL - 60, 24, 120, fill="accent", accent=True)
            d.tell("stacking kit screwed at both sides", CABINET + 12, TALL, 0)
        else:
            d.look(CABINET, TALL, 80, "nothing holds it", 0)


def on_top(d: Drawing, state: str) -> None:
    """Draw what stands or leans on a washer."""
    floor(d, -200, 900)
    front(d)
    if state == "things":
        d.box(60, TALL, 80, 190, fill="paper")
        d.box(80, TALL + 190, 40, 40)
        d.line((240, TALL + 140), (280, TALL), (480, TALL), (520, TALL + 140), closed=True)
        d.line((CABINET + 150, 0), (CABINET, TALL - 60), accent=True)
        d.line((CABINET + 170, 0), (CABINET + 20, TALL - 60), accent=True)
        d.tell("bottle, basket, board: they rattle and fall", 480, TALL + 120, 0)
    elif state == "knock":
        hand(d, CABINET, 620, 180, 170)
        d.tell("knock on lid, top, front, sides: what rattles?", CABINET + 60, 700, 60)
    else:
        d.tell("nothing on it", 343, TALL, 90)


def puddle(d: Drawing, state: str) -> None:
    """Draw the washer from above with strips of paper round and under it, and what a wet strip points to."""
    d.solid((-200, CABINET + 190), (900, CABINET + 190), (900, CABINET + 240), (-200, CABINET + 240))
    d.box(0, 0, CABINET, CABINET, fill="paper")
    d.box(60, -40, CABINET - 120, 40)
    d.name("washer from above", CABINET / 2, 500, None)
    d.name("wall", -120, CABINET + 240, 90)
    d.name("paper strips", 776, 560, 0)
    d.box(-20, -170, 726, 100, dashed=True)
    d.box(-20, CABINET + 30, 726, 100, dashed=True)
    d.box(-140, 20, 100, 646, dashed=True)
    d.box(726, 20, 100, 646, dashed=True)
    d.box(120, 180, 446, 100, dashed=True)
    for x, y, text, side in (
        (240.0, -120.0, "wet in front: door, drawer or filter", -90.0),
        (520.0, CABINET + 80, "wet behind: taps, hoses or drain pipe", 60.0),
        (340.0, 230.0, "wet under the middle: pump or tub", 180.0),
    ):
        r = 46.0
        d.curve((x - 2 * r, y), (x - r, y + r * 0.7), (x + r, y + r * 0.6), (x + 2 * r, y), (x + r, y - r * 0.7), (x - r, y - r * 0.5),
                closed=True, accent=True)  # fmt: skip
        d.tell(text, x, y, side)


def paper_round(d: Drawing, state: str) -> None:
    """Draw the washer from above with dry paper laid round it."""
    d.box(0, 0, CABINET, CABINET, fill="paper")
    d.box(60, -40, CABINET - 120, 40)
    for x, y, w, h in (
        (-150, -190, 986, 130),
        (-150, CABINET + 20, 986, 130),
        (-150, -60, 130, 806),
        (706, -60, 130, 806),
    ):
        d.box(x, y, w, h, dashed=True)
    d.tell("dry paper all round", 343, -125, -90)
    d.name("washer from above", 343, 343, None)
    if state == "spot":
        d.curve((720, 300), (780, 330), (790, 380), (730, 380), closed=True, accent=True, fill="accent")
        d.tell("wet spot: look above it", 760, 340, 0)


def truck(d: Drawing, state: str) -> None:
    """Draw a washer on an appliance hand truck, and two people."""
    floor(d, -300, 1300)
    d.line((120, 60), (0, 1400))
    d.line((120, 60), (480, 110))
    d.ring(110, 60, 62, fill="paper")
    d.line((140, 110), (60, 1020), (620, 1070), (700, 160), closed=True, fill="paper")
    if state == "strapped":
        d.line((90, 700), (650, 750), accent=True)
        d.line((92, 670), (652, 720), accent=True)
        d.tell("two people", 1000, 1320, 90)
        d.tell("strap round the cabinet", 650, 735, -60)
        d.ring(-180, 1250, 70)
        d.line((-180, 1180), (-180, 620), (-250, 0))
        d.line((-180, 620), (-110, 0))
        d.line((-180, 1050), (0, 1200))
        d.ring(1000, 1250, 70)
        d.line((1000, 1180), (1000, 620), (940, 0))
        d.line((1000, 620), (1070, 0))
        d.line((1000, 1050), (690, 900))
    else:
        d.look(360, 700, 200, "no strap: it tips off", 0)


def cart_way(d: Drawing, state: str) -> None:
    """Draw a door with the boxed washer before it, from above."""
    gap = 900.0 if state == "fits" else 640.0
    d.solid((-500, 0), (-gap / 2, 0), (-gap / 2, 110), (-500, 110))
    d.solid((gap / 2, 0), (500, 0), (500, 110), (gap / 2, 110))
    d.box(-360, -860, 720, 720)
    d.name("washer in its box", 0, -500, None)
    d.arrow((0, -120), (0, 240))
    d.line((-gap / 2, 170), (gap / 2, 170), accent=True)
    d.tell("wide enough?" if state == "fits" else "door narrower than the box", gap / 2 - 40, 170, 60)


def walked(d: Drawing, state: str) -> None:
    """Draw a front foot with a strip of tape on the floor at it."""
    moved = 0.0 if state == "stayed" else 160.0
    floor(d, -200, 1000)
    front(d, moved, 0)
    if moved:
        d.box(0, 0, CABINET, TALL, dashed=True)
        d.arrow((343, TALL + 80), (343 + moved, TALL + 80))
    d.box(-40, -8, 150, 16, accent=True, fill="accent")
    if moved:
        d.tell("tape", 0, 0, -120)
        d.tell("foot has left the tape", 60 + moved, 20, -40)
    else:
        d.tell("foot still at the tape", 40, 0, -90)


def gap_under_pipe(d: Drawing, state: str) -> None:
    """Draw how far the machine is moved with its restraints out."""
    far = d.size("moved", 850.0, 150.0, 2400.0)
    floor(d, -80, CABINET + far + 80)
    cabinet(d)
    d.box(far, 0, CABINET, TALL, dashed=True)
    d.arrow((CABINET + 30, 480), (CABINET + 130, 480))
    d.name("restraints out here", 343, 480, None)
    d.name("its place", far + 343, 480, None)
    d.measure("moved", (343, TALL + 120), (343 + far, TALL + 120), start_is="where they came out", end_is="its place",
              reach=((343, TALL), (343 + far, TALL)), towards=90)  # fmt: skip


SCENES = {
    "foot": Scene(
        "One foot with its lock nut, under a corner of the cabinet",
        foot,
        {
            "tight": "the lock nut is tight up against the cabinet",
            "loose": "the lock nut is loose, with a gap above it",
            "gap": "the foot hangs free of the floor",
            "paper": "a sheet of paper is slid at the foot",
            "feel": "fingers feel for the flat nut on the stem",
            "raise": "the foot is screwed out until it touches",
        },
        {"gap": "the gap is measured from the floor up to the foot's sole"},
    ),
    "corners": Scene(
        "The washer from the front, pressed at its top corners",
        corners,
        {
            "press": "one corner, then the other",
            "steady": "all four feet stay down",
            "rocks": "a foot lifts, and the machine rocks",
        },
        {},
    ),
    "level": Scene(
        "A level on the washer's rigid top edge",
        level,
        {
            "side-to-side": "it lies from left to right, and the bubble is off the middle",
            "front-to-back": "it lies from front to back, and the bubble is off the middle",
            "flat": "the bubble is in the middle",
        },
        {"lift": "the lift is measured from the machine's top up to the level's low end, the bubble in the middle"},
    ),
    "around": Scene(
        "The washer in its place, from above",
        around,
        {
            "clear": "there is room beside and behind it",
            "touches": "it touches the wall",
            "cardboard": "a piece of cardboard is slid down the gap",
        },
        {
            "behind": "the gap is measured from the back of the machine to the wall",
            "beside": "the gap is measured from the machine's side to the wall or the next machine",
        },
    ),
    "above": Scene(
        "A top loader with a shelf over it",
        above,
        {"room": "there is room to open the lid"},
        {"above": "the height is measured from the closed lid up to what is above it"},
    ),
    "floor": Scene(
        "The floor under the washer, in section",
        floors,
        {
            "joists": "boards on joists",
            "slab": "concrete",
            "bounce": "drop on your heels beside it",
            "soft": "the boards sag, soft or stained",
        },
        {},
    ),
    "slip": Scene(
        "What the feet stand on",
        slip,
        {
            "bare": "rubber feet on a dry, bare floor",
            "mat": "a loose mat, felt or a tray lies under them",
            "wet": "water, soap or sand lies under them",
            "push": "push low down on one side",
        },
        {},
    ),
    "packing": Scene(
        "What holds a washer still for shipping",
        packing,
        {
            "out": "the bolts are out, and the holes capped",
            "in": "bolts with plastic sleeves are still in the back",
            "back": "bolts at the back",
            "base": "a block or rod is under the drum",
            "base-clear": "nothing is under the drum",
            "drum": "foam, a ring or cardboard is round the drum",
            "drum-clear": "the gap round the drum is open",
        },
        {},
    ),
    "base": Scene(
        "What stands under or on the washer, and how it is fastened",
        base,
        {
            "fastened": "the pedestal is screwed to it all along",
            "loose": "there are no screws, and a foot stands at the edge",
            "stacked": "a stacking kit holds the dryer at both sides",
            "unheld": "nothing holds the dryer",
        },
        {},
    ),
    "on-top": Scene(
        "The washer from the front",
        on_top,
        {
            "bare": "nothing stands on it",
            "things": "a bottle, a basket and a board stand and lean on it",
            "knock": "knuckles knock on its panels",
        },
        {},
    ),
    "puddle": Scene(
        "The washer from above with strips of paper round and under it",
        puddle,
        {
            "all": "strips of paper in front, behind, at the sides and under the middle; the one that is wet first tells where from: "
            "in front door, drawer or filter, behind taps, hoses or drain pipe, under the middle pump or tub",
        },
        {},
    ),
    "paper-round": Scene(
        "Dry paper laid round the washer, from above",
        paper_round,
        {"dry": "it stays dry", "spot": "a wet spot shows where"},
        {},
    ),
    "hand-truck": Scene(
        "A washer on an appliance hand truck",
        truck,
        {"strapped": "it is strapped, and two people hold it", "unstrapped": "no strap holds it"},
        {},
    ),
    "way-in": Scene(
        "A door and the washer in its box, from above",
        cart_way,
        {"fits": "it goes through", "narrow": "the door is narrower"},
        {},
    ),
    "walked": Scene(
        "A front foot with tape on the floor at it",
        walked,
        {"stayed": "it is still at the tape", "moved": "it has left the tape"},
        {},
    ),
    "moved": Scene(
        "A washer moved with its restraints out",
        gap_under_pipe,
        {"moved": "it was moved to its place"},
        {"moved": "the way is measured from where the restraints came out to its place"},
    ),
}
