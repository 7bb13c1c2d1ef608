"""Scenes of the cold: where water stays and freezes, where the thermometer hangs, gentle warmth."""

from .drawing import Drawing, Scene
from .parts import CABINET, cabinet, drain_hose, fill_hose, floor, trap, wall


def low_points(d: Drawing, state: str) -> None:
    """Draw the washer from the side with the places where water stays."""
    floor(d, -120, 1180)
    wall(d, 1130, 0, 1300)
    cabinet(d)
    d.box(70, 250, 540, 600, dashed=True)
    d.box(250, 90, 170, 90)
    d.line((335, 250), (335, 180))
    d.water((252, 92), (418, 92), (418, 150), (252, 150))
    d.box(1085, 1120, 45, 70, fill="paper")
    fill_hose(d, (1090, 1120), (1040, 900), (880, 780), (800, 800), (CABINET, 820))
    drain_hose(d, (420, 120), (CABINET, 120), (740, 90), (780, 150), (790, 800), (840, 980), (890, 900), (892, 800))
    trap(d, 892, 900, 260, arm=90)
    if state == "drained":
        d.tell("taps closed, hoses off and empty", 1090, 1120, 160)
    else:
        spots = {
            "pump": (335, 120, "pump and sump", 200),
            "hose": (745, 100, "low bend of the drain hose", -60),
            "trap": (940, 190, "trap", 0),
            "fill": (880, 790, "fill hose and valve", 60),
        }
        for x, y, text, side in spots.values():
            d.ring(x, y, 65, dashed=True, accent=True)
            d.tell(text, x, y, side)
    d.name("washer", 340, 560, None)


def thermometer(d: Drawing, state: str) -> None:
    """Draw a thermometer beside the washer at foot height, or outdoors."""
    floor(d, -120, 1100)
    cabinet(d)
    d.name("washer", 343, 480, None)
    x, y = (840.0, 30.0) if state == "room" else (840.0, 500.0)
    if state == "outdoors":
        wall(d, 780, 0, 1100)
        x = 960.0
        d.name("outdoors", 980, 1040, 0)
    if not d.narrow:
        d.room((x + 620, 0))
    d.box(x - 26, y, 52, 330, fill="paper")
    d.line((x, y + 40), (x, y + 200), accent=True)
    d.ring(x, y + 44, 20, accent=True, fill="accent")
    figure = d.figures.get("cold")
    d.tell(
        f"thermometer: {figure.read or figure.limit}"
        if figure and (figure.read or figure.limit)
        else "thermometer: lowest reading",
        x + 10,
        y + 200,
        0,
    )
    d.tell(
        "beside the machine, at foot height" if state == "room" else "in the shade, coldest night", x + 26, y + 44, -20
    )


def warm(d: Drawing, state: str) -> None:
    """Draw the washer in a room that is warmed, or with a flame at it."""
    floor(d, -220, 1250)
    cabinet(d)
    d.name("frozen washer", 343, 480, None)
    if state == "room":
        d.box(960, 0, 180, 260, fill="paper")
        for k in range(4):
            d.line((985 + 40 * k, 40), (985 + 40 * k, 220))
        d.arrow((1050, 300), (1020, 420), (1060, 540))
        d.arrow((1110, 300), (1080, 420), (1120, 540))
        d.tell("whole room kept warm, a full day", 1060, 540, 90)
        d.line((-120, 2), (-100, 30), (820, 30), (840, 2), accent=True)
        d.tell("pan and towels below", 780, 30, 60)
    else:
        d.line((800, 330), (1150, 420), (1170, 330), (810, 270), closed=True, fill="paper")
        d.curve((800, 300), (750, 360), (694, 300), (750, 250), closed=True, accent=True, fill="accent")
        d.tell("flame, heat gun or boiling water", 990, 370, 60)


def scorch(d: Drawing, state: str) -> None:
    """Draw a hose with a place that heat has spoiled."""
    d.tube(60, (-300, 100), (-100, 60), (0, -20), (140, -10), (300, 40))
    d.curve((-40, 30), (10, 16), (50, 4), (60, -36), (10, -60), (-40, -30), closed=True, accent=True)
    d.tell("shiny, sagged, scorched or sticky", 20, -20, -60)
    d.name("hose or cord", -240, 110, 100)


SCENES = {
    "low-points": Scene(
        "The washer from the side, with the places where water stays and freezes",
        low_points,
        {"all": "pump, hose bend, trap and valve", "drained": "taps closed, hoses off and empty"},
        {},
    ),
    "thermometer": Scene(
        "A thermometer and the washer",
        thermometer,
        {"room": "it hangs beside the machine at foot height", "outdoors": "it hangs outdoors in the shade"},
        {"cold": "the lowest temperature is read"},
    ),
    "warm-room": Scene(
        "A frozen washer",
        warm,
        {"room": "the whole room is warmed", "flame": "a flame or a heat gun is held at it"},
        {},
    ),
    "scorch": Scene("A hose that was too hot", scorch, {"mark": "it is shiny, sagged or scorched"}, {}),
}
