"""Scenes of hot water: a thermometer in the stream, the heater."""

from .drawing import Drawing, Scene
from .parts import floor, pipe, wall


def heat(d: Drawing, state: str) -> None:
    """Draw a tap that runs over a thermometer in a mug, a clock beside it; or a mug from each tap."""
    if state == "mugs":
        for x, name in ((0.0, "from the hot tap"), (300.0, "from the cold tap")):
            d.line((x, 150), (x + 12, -40), (x + 128, -40), (x + 140, 150))
            d.water((x + 8, -40), (x + 132, -40), (x + 136, 60), (x + 4, 60))
            d.curve((x + 140, 120), (x + 185, 90), (x + 180, 20), (x + 134, 10))
            d.name(name, x + 70, -40, -90, lead=False)
            d.arrow((x + 70, 120), (x + 60, 170), (x + 80, 220))
        d.tell("let both cool, then smell: bad eggs in one only?", 300, 210, 90)
        return
    d.line((-160, 330), (60, 330), (60, 280))
    d.line((-160, 380), (110, 380), (110, 280))
    d.box(-40, 380, 30, 50, fill="paper")
    d.line((70, 280), (70, 120))
    d.line((98, 280), (98, 120))
    d.line((0, 150), (15, -60), (155, -60), (170, 150))
    d.water((10, -60), (155, -60), (165, 110), (4, 110))
    d.tube(14, (190, 260), (92, 140), smooth=False)
    d.ring(86, 132, 13, fill="accent", accent=True)
    figure = d.figures.get("heat")
    d.name("hot tap" if state != "cold" else "cold tap", -60, 355, None)
    d.tell(
        f"thermometer: {figure.read or figure.limit}"
        if d.has("heat") and figure and figure.limit
        else "thermometer in the stream",
        185,
        250,
        0,
    )
    if state == "wait" or d.has("wait"):
        d.tell("from: tap opened", -25, 430, 60)
        d.ring(330, 20, 70)
        d.line((330, 20), (330, 72))
        d.arrow((330, 20), (375, -5))
        waited = d.figures.get("wait")
        d.tell(
            f"to: it stays hot, {waited.limit}" if waited and waited.limit else "count the seconds until it is hot",
            330,
            -50,
            -90,
        )


def heater(d: Drawing, state: str) -> None:
    """Draw a storage water heater with the dial on its outside, one without a tank, or the mixing valve above one."""
    if state == "tankless":
        wall(d, 420, -260, 620)
        d.box(60, 0, 360, 520)
        d.box(140, 330, 120, 60)
        for x, name in ((140.0, "cold in"), (320.0, "hot out")):
            d.line((x - 16, 0), (x - 16, -200))
            d.line((x + 16, 0), (x + 16, -200))
            d.name(name, x, -190, -90, lead=False)
        d.look(200, 360, 100, "does it start and stay on? touch nothing", 180)
        d.name("no tank", 240, 120, None)
        return
    if state == "mixing":
        for points in (((0, -260), (0, -60)), ((0, 60), (0, 260)), ((60, 0), (300, 0))):
            pipe(d, *points, thick=40)
        d.box(-50, -60, 110, 120, fill="paper")
        d.ring(-80, 0, 34, fill="paper")
        d.write("H", 0, -30)
        d.name("from the heater", 0, -240, 0)
        d.name("mixed, to the taps", 0, 240, 0)
        d.name("cold joins here", 240, 0, -60)
        d.look(-80, 0, 60, "knob or cap: only look", 180)
        return
    floor(d, -60, 420)
    d.box(0, 20, 320, 900)
    d.curve((0, 920), (160, 960), (320, 920))
    d.line((80, 950), (80, 1080))
    d.line((240, 950), (240, 1080))
    d.ring(160, 160, 60, fill="paper")
    d.line((160, 160), (195, 200), accent=True)
    d.look(160, 160, 95, "dial on the outside", 0)
    d.tell("turn it to 120 °F", 160, 100, -20)
    d.name("cold in", 80, 1060, 180)
    d.name("hot out", 240, 1060, 0)
    d.name("water heater", 160, 600, None)


SCENES = {
    "heat": Scene(
        "A tap runs over a thermometer in a mug",
        heat,
        {
            "hot": "the hot tap runs",
            "wait": "the seconds are counted until it is hot",
            "cold": "the cold tap runs",
            "mugs": "a mug from the hot tap and one from the cold stand side by side, cooled, to be smelt",
        },
        {"heat": "the temperature is read in the stream", "wait": "the wait is counted from opening the tap"},
    ),
    "heater": Scene(
        "A water heater with a dial on its outside",
        heater,
        {
            "dial": "the dial is on the outside",
            "tankless": "one without a tank, on the wall: does it start and stay on",
            "mixing": "a valve with a knob at which a cold pipe joins the hot one",
        },
        {},
    ),
}
