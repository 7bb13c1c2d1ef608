"""Scenes of what the feet stand on and how: foot, level, floor, grip."""

from .drawing import Drawing, Scene
from .parts import CABINET, TALL, cabinet, floor, front, hand

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
    d.name("washer from the front", CABINET / 2, 480, None)
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
    "walked": Scene(
        "A front foot with tape on the floor at it",
        walked,
        {"stayed": "it is still at the tape", "moved": "it has left the tape"},
        {},
    ),
}
