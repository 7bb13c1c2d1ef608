"""Scenes of the washer in its place: room round it, what is under, on and behind it, and how it came there."""

import math

from .drawing import Drawing, Scene
from .parts import CABINET, TALL, cabinet, floor, front, hand

NARROW = 110.0  # a gap round the machine that is narrower is drawn so wide, and says so [mm]


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
                d.ring(x, y, 34, fill="accent", accent=True)
            else:
                d.ring(x, y, 34, fill="paper")
                d.ring(x, y, 16, fill="ink")
        if state == "out":
            d.tell("shipping bolts out, holes capped", 586, 760, 40)
        else:
            d.tell("shipping bolts still in, with plastic sleeves", 586, 760, 40)
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


def moved(d: Drawing, state: str) -> None:
    """Draw how far the machine is moved with its restraints out."""
    far = d.size("moved", 850.0, 150.0, 2400.0)
    floor(d, -80, CABINET + far + 80)
    cabinet(d)
    d.box(far, 0, CABINET, TALL, dashed=True)
    d.arrow((CABINET + 30, 480), (CABINET + 130, 480))
    d.name("shipping restraints out here", 343, 480, None)
    d.name("its place", far + 343, 480, None)
    d.measure("moved", (343, TALL + 120), (343 + far, TALL + 120), start_is="where restraints came out", end_is="its place",
              reach=((343, TALL), (343 + far, TALL)), towards=90)  # fmt: skip


def wet_place(d: Drawing, state: str) -> None:
    """Draw the laundry from the front with the other things that can be wet."""
    floor(d, -520, 1300)
    cabinet(d)
    d.ring(343, 440, 190)
    d.box(-420, 0, 260, 1000)
    d.curve((-420, 1000), (-290, 1030), (-160, 1000))
    d.name("water heater", -290, 560, None)
    d.line((860, 900), (890, 640), (1130, 640), (1160, 900))
    d.line((1010, 640), (1010, 0))
    d.name("sink", 1010, 780, None)
    d.name("washer", 343, 760, None)
    d.curve((-300, 14), (-60, 24), (250, 16), (700, 22), (1020, 12), accent=True)
    d.tell("follow the wet: where does it begin?", -60, 20, 110)


SCENES = {
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
    "moved": Scene(
        "A washer moved with its restraints out",
        moved,
        {"moved": "it was moved to its place"},
        {"moved": "the way is measured from where the restraints came out to its place"},
    ),
    "wet-place": Scene("The laundry from the front", wet_place, {"follow": "follow the wet to where it begins"}, {}),
}
