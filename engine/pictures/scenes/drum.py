"""Scenes of the drum and of what comes out of it."""

import math

from .drawing import Drawing, Scene
from .parts import drops, hand


def drum(d: Drawing, state: str) -> None:
    """Draw a drum with its round door opening, from the front."""
    d.ring(0, 0, 260)
    d.ring(0, 0, 215)

    def chord(y: float, r: float = 212.0) -> list[tuple[float, float]]:
        start = math.asin(y / r)
        end = -math.pi - start
        return [
            (r * math.cos(start + (end - start) * k / 16), r * math.sin(start + (end - start) * k / 16))
            for k in range(17)
        ]

    def cloth(x: float, y: float, s: float) -> None:
        d.curve((x - s, y), (x - s * 0.4, y + s * 0.7), (x + s * 0.6, y + s * 0.5), (x + s, y - s * 0.2), (x + s * 0.3, y - s * 0.7),
                (x - s * 0.6, y - s * 0.5), closed=True, fill="paper")  # fmt: skip

    if state == "water":
        d.water(*chord(-30))
        d.tell("water stands in the drum", 60, -100, -20)
    elif state == "under":
        d.water(*chord(-200, 255)[4:13])
        d.tell("none in the drum, a little slop below it", 0, -232, -20)
    elif state == "foam":
        d.foam(*chord(60))
        d.tell("thick foam", 80, 0, 0)
    elif state == "flat":
        d.water(*chord(-110))
        d.tell("little or no foam", 60, -120, 0)
    elif state == "lump":
        cloth(-70, -110, 90)
        cloth(-120, -40, 60)
        d.tell("laundry all in one lump", -70, -110, 20)
    elif state == "spread":
        for k in range(7):
            a = math.pi * (1.05 + k * 0.3)
            cloth(160 * math.cos(a), 160 * math.sin(a), 48)
        d.tell("laundry loose, all round", 160, -10, 0)
    elif state == "packed":
        for x, y in (
            (-110, -120),
            (0, -150),
            (110, -120),
            (-140, -10),
            (-40, -40),
            (70, -20),
            (150, 10),
            (-90, 90),
            (10, 80),
            (100, 110),
            (0, 165),
        ):
            cloth(x, y, 66)
        d.tell("full to the top", 80, 150, 30)
    elif state == "hand-room":
        for x, y in ((-110, -120), (0, -150), (110, -120), (-120, -20), (-20, -50), (80, -30), (-60, 50), (50, 55)):
            cloth(x, y, 62)
        d.arrow((0, 100), (0, 205), both=True)
        d.tell("room for a hand above", 0, 150, 20)
    elif state == "few":
        for x, y in ((-115, -130), (0, -168), (115, -130)):
            cloth(x, y, 40)
        d.tell("a few pieces only", 10, -150, 90)
    elif state == "seal":
        d.ring(0, 0, 238, accent=True)
        d.look(150, -184, 60, "rubber ring: folds, tears, lint", -20)
    elif state == "seal-clean":
        d.ring(0, 0, 238, accent=True)
        d.tell("ring whole and clean", 168, -168, -20)
    elif state == "torn":
        d.line((130, -170), (150, -205), (160, -180), (180, -195), accent=True)
        d.tell("tear", 160, -190, -20)
        cloth(-170, -160, 36)
        d.tell("cloth or lint where it seals", -175, -160, 200)
    elif state == "by-hand":
        d.arrow((-150, 120), (0, 190), (150, 120))
        hand(d, -110, 150, 20, 140)
        d.tell("turn it slowly by hand", 60, 180, 30)
    elif state == "play":
        d.arrow((0, 130), (0, 300), both=True)
        d.tell("move the rim up and down: does it click?", 0, 215, 30)
    elif state == "coin":
        d.ring(120, -160, 22, fill="accent", accent=True)
        d.tell("coin or wire at the fold", 130, -165, -10)
    elif state == "pool":
        d.curve((-180, -60), (-90, -110), (90, -110), (180, -60), (90, -170), (-90, -180), closed=True, fill="paper")
        d.water((-120, -95), (120, -95), (80, -150), (-80, -150))
        d.tell("a waterproof piece holds a pool", 60, -120, -10)
    else:
        d.tell("empty and still", 0, 0, None)
    if not d.narrow and state not in ("packed",):
        d.name("drum", -200, 160, 140)


def towel(d: Drawing, state: str) -> None:
    """Draw a towel wrung over a bowl, and a measuring cup."""
    d.line((-190, 310), (-60, 250), (60, 310), (190, 250), (190, 310), (60, 250), (-60, 310), (-190, 250), closed=True)
    for x in (-125, 0, 125):
        d.line((x - 16, 262), (x + 16, 298))
    hand(d, -130, 280, 0, 120)
    hand(d, 130, 280, 180, 120)
    drops(d, 0, 230, 3, 50)
    d.curve((-150, 80), (-90, -20), (90, -20), (150, 80))
    d.water((-120, 30), (120, 30), (90, -12), (-90, -12))
    d.line((260, 100), (260, -20), (360, -20), (360, 100))
    d.water((260, -20), (360, -20), (360, 12), (260, 12))
    figure = d.figures.get("water")
    d.tell(
        figure.read or figure.limit if figure and (figure.read or figure.limit) else "how much?",
        310,
        20,
        90 if d.narrow else 60,
    )
    d.name("bowl", -130, 40, 180)
    d.name("cup", 310, -20, -90)
    d.tell("one bath towel, wrung hard", 0, 300, 90)


def glove(d: Drawing, state: str) -> None:
    """Draw gloved fingers with a little of the water between them."""
    hand(d, 0, 0, 20, 240)
    hand(d, -6, -30, 160, 240)
    d.foam((-60, 90), (60, 90), (50, 30), (-50, 30))
    drops(d, 0, -40, 2, 60)
    d.tell("rub a little: soapy, or clear?", 0, 90, 90)


SCENES = {
    "drum": Scene(
        "The drum through its opening",
        drum,
        {
            "empty": "it is empty and still",
            "water": "water stands in it",
            "under": "there is none in it, a little slop below",
            "foam": "thick foam fills it",
            "flat": "there is little or no foam",
            "lump": "everything lies in one lump",
            "spread": "things lie loosely all round",
            "packed": "it is packed to the top",
            "hand-room": "there is room for a hand above",
            "few": "there are a few pieces only",
            "seal": "look along the rubber ring",
            "seal-clean": "the rubber ring is whole and clean",
            "torn": "the ring is torn, or cloth lies where it seals",
            "by-hand": "it is turned slowly by hand",
            "play": "its rim is moved up and down",
            "coin": "a coin or a wire sits at the fold",
            "pool": "a waterproof piece holds a pool",
        },
        {},
    ),
    "towel": Scene(
        "One bath towel wrung over a bowl",
        towel,
        {"wrung": "what comes out is measured"},
        {"water": "the water of one towel, in a cup"},
    ),
    "water-feel": Scene("Gloved fingers with a little of the water", glove, {"rub": "is it soapy or clear"}, {}),
}
