"""Scenes of the machine from outside: front, panel, drawer, door, filter, and the time that something takes."""

import math

from .drawing import Arrow, Drawing, Label, Scene
from .parts import CABINET, TALL, cabinet, drops, floor, front, hand


def front_of(d: Drawing, state: str) -> None:
    """Draw the front of the washer with the place to look at."""
    floor(d, -140, 830)
    front(d)
    places = {
        "drawer": (120.0, 840.0, 130.0, "soap drawer", 160.0),
        "door": (343.0, 440.0, 240.0, "door and its ring", 0.0),
        "flap": (585.0, 115.0, 90.0, "small flap low on the front", 0.0),
        "panel": (500.0, 840.0, 130.0, "panel", 20.0),
        "under": (343.0, 10.0, 120.0, "under the machine", -60.0),
        "knob": (330.0, 840.0, 70.0, "knob or power button", 90.0),
    }
    if state == "trickle":
        drops(d, 120, 780, 4, 60)
        d.tell("from the drawer?", 120, 720, 180)
        drops(d, 343, 205, 3, 50)
        d.tell("from the door?", 343, 180, 0)
    elif state == "smell":
        for key in ("drawer", "door", "flap"):
            x, y, r, text, side = places[key]
            d.look(x, y, r * 0.7, text, side)
        d.tell("nose to each in turn", 343, TALL, 90)
    elif state == "beads":
        for x, y in ((120, 650), (240, 690), (420, 700), (560, 640), (90, 300), (600, 320), (130, 120), (400, 130)):
            drops(d, x, y, 1, 50)
        d.tell("drops all over the outside", 560, 620, 0)
    elif state == "listen":
        d.curve(
            (-110, 60),
            (-150, 40),
            (-175, 90),
            (-240, 190),
            (-220, 290),
            (-150, 310),
            (-100, 250),
            (-120, 180),
            closed=True,
            fill="paper",
        )
        d.curve((-120, 240), (-155, 265), (-190, 230), (-185, 180), (-150, 175), (-140, 140), (-160, 110))
        for far in (40, 75, 110):
            d.curve(*((60 - far * math.cos(a), 160 + 1.4 * far * math.sin(a)) for a in (-0.6, 0.0, 0.6)), accent=True)
        d.tell("ear low down: listen here", -170, 310, 90)
    elif state == "still":
        d.tell("washer off and still", 343, TALL, 90)
    elif state == "stream":
        d.look(343, 440, 190, "look through the glass: stream, drops or bursts?", 0)
        d.look(120, 840, 120, "listen: does water rush in?", 160)
    else:
        x, y, r, text, side = places[state]
        d.look(x, y, r, text, side)


def display(d: Drawing, state: str) -> None:
    """Draw the control panel with a sign on it."""
    d.box(0, 0, 520, 190, fill="paper")
    d.ring(420, 95, 62)
    d.line((420, 95), (455, 140))
    d.box(40, 50, 270, 100)
    d.room((0, -110))
    if state == "lock":
        d.box(150, 70, 50, 40, fill="ink")
        d.curve((158, 110), (160, 136), (175, 142), (190, 136), (192, 110))
        d.tell("lock, key or child's face lit", 175, 70, -90)
    elif state == "clock":
        d.ring(120, 100, 32)
        d.line((120, 100), (120, 124))
        d.line((120, 100), (138, 92))
        d.write("8 h", 220, 100)
        d.tell("clock sign, hours count down", 130, 70, -90)
    elif state == "demo":
        d.write("dEMO", 175, 100)
        d.tell("a word for demonstration", 175, 80, -90)
    elif state == "clean":
        d.write("CLEAN", 175, 100)
        d.tell("a word for cleaning", 175, 80, -90)
    elif state == "spin":
        d.write("400", 120, 100)
        d.curve((215, 100), (240, 125), (265, 100), (240, 78), (226, 92))
        d.tell("chosen spin speed: low", 130, 80, -90)
        d.tell("program knob", 420, 34, -90)
    elif state == "time":
        d.write("0:48", 175, 100)
        d.tell("time that is shown", 175, 80, -90)
    elif state == "dark":
        d.tell("no light at all?", 175, 60, -90)
        d.tell("power button or knob", 420, 34, -90)
    else:
        d.write("signs", 175, 100)
        d.tell("which sign is lit?", 175, 50, -90)
        d.name("program knob", 420, 34, -90)


def drawer(d: Drawing, state: str) -> None:
    """Draw the soap drawer pulled out, from above and slantwise."""
    d.line((0, 0), (360, 0), (430, 90), (70, 90), closed=True)
    d.line((0, 0), (0, -110), (360, -110), (360, 0))
    d.line((360, -110), (430, -20), (430, 90))
    d.line((130, 0), (200, 90))
    d.line((245, 0), (315, 90))
    if state == "caked":
        d.curve((40, 14), (90, 50), (130, 30), (160, 60), (120, 70), (70, 60), closed=True, fill="ink")
        d.tell("caked or blocked", 100, 40, 120)
        d.water((262, 16), (372, 16), (412, 70), (306, 70))
        d.tell("full of water", 340, 45, 40)
    elif state == "slime":
        d.curve((30, 10), (60, 20), (100, 12), (120, 24), (60, 34), closed=True, fill="ink")
        d.tell("black spots or slime", 80, 20, 120)
    else:
        d.tell("clean and empty", 215, 45, 60)
    d.write("soap drawer", 180, -55)


def dose(d: Drawing, state: str) -> None:
    """Draw a cap or cup with the line for the dose, and the package."""
    if state in ("package", "wrong-package"):
        d.line((-65, 0), (-65, 250), (-35, 300), (35, 300), (65, 250), (65, 0), closed=True, fill="paper")
        d.room((-130, 0), (130, 0))
        if state == "package":
            d.write("HE", 0, 160)
            d.ring(0, 160, 50, accent=True, dashed=True)
            d.tell("HE or high efficiency on the package", 40, 190, 60)
        else:
            d.write("DISH", 0, 160)
            d.tell("dish liquid, or no such mark", 40, 190, 60)
        return
    d.line((0, 180), (20, 0), (130, 0), (150, 180))
    level = {"line": 70.0, "full": 172.0, "half": 45.0}[state]
    d.water((20, 2), (130, 2), (130 + 20 * level / 180, level), (20 - 20 * level / 180, level))
    d.name("cap of detergent", 2, 170, 90)
    d.line((12, 70), (60, 70), accent=True)
    d.tell("line for this load", 20, 70, 180)
    if state == "full":
        d.tell("a full cap: too much", 110, 160, 20)
    elif state == "half":
        d.tell("soft water: half of it", 120, 30, 0)
    else:
        d.tell("no more than the line", 120, 60, 0)


def pump_filter(d: Drawing, state: str) -> None:
    """Draw the flap low on the front with the filter cap, a flat pan and towels below."""
    floor(d, -260, 420)
    d.line((-200, 520), (-200, 30), (320, 30), (320, 520))
    d.box(-90, 90, 300, 240)
    d.ring(90, 210, 84, fill="paper")
    d.box(20, 198, 140, 24, fill="paper")
    if state != "wheel":
        d.tube(22, (-60, 250), (-50, 160), (-40, 60), smooth=True)
    if state in ("pan", "slow"):
        d.line((-180, 30), (-160, 2), (250, 2), (270, 30))
        d.tell("flat pan and towels", 200, 8, -40)
        d.tell("empty by the small hose first", -50, 160, 180)
    if state == "slow":
        d.arrow((150, 290), (90, 316), (30, 290))
        d.tell("then turn the cap slowly, a little", 90, 300, 90)
    elif state == "cap":
        d.look(90, 210, 105, "wet round the cap? turn nothing", 60)
        drops(d, 90, 120, 2, 40)
    elif state == "content":
        d.curve((40, 180), (60, 250), (110, 230), (140, 190), (90, 150), closed=True, fill="ink")
        d.tell("lint, coin or cloth in the filter", 110, 220, 40)
    elif state == "wheel":
        d.ring(90, 210, 60)
        for k in range(6):
            a = k * math.pi / 3
            d.line((90, 210), (90 + 50 * math.cos(a), 210 + 50 * math.sin(a)))
        d.line((300, 420), (128, 240), accent=True)
        d.tell("wooden spoon", 300, 420, 60)
        d.tell("turn the small wheel", 60, 170, -120)
    if not d.narrow and state in ("pan", "slow", "cap"):
        d.name("flap low on the front", -90, 320, 140)


def door(d: Drawing, state: str) -> None:
    """Draw the washer from above with its door or lid shut or ajar, or the latch's hook."""
    if state in ("hook", "broken-hook"):
        d.box(-200, -150, 160, 300, fill="paper")
        d.box(-60, -24, 20, 48)
        d.line((60, -150), (60, 150), (120, 150), (120, -150), closed=True)
        if state == "hook":
            d.line((60, 12), (10, 12), (-6, 24), (-6, 0), (10, -6), (60, -6), fill="paper")
            d.tell("hook whole and straight", 0, 10, 100)
        else:
            d.line((60, 12), (34, 16), (26, 4), (36, -2), (60, -6), fill="paper")
            d.tell("hook broken, bent or missing", 30, 6, 100)
        d.name("lock", -120, 80, None)
        d.name("door", 90, -120, -90)
        return
    d.box(0, 0, CABINET, CABINET, fill="paper")
    d.name("washer from above", 343, 360, None)
    angle = {"ajar": 0.35, "shut": 0.0, "latch": 0.0}[state]
    wide = 480.0
    x, y = 100.0, 0.0
    d.line((x, y), (x + wide * math.cos(angle), y - wide * math.sin(angle)), (x + wide * math.cos(angle) - 30 * math.sin(angle),
            y - wide * math.sin(angle) - 30 * math.cos(angle)), (x - 30 * math.sin(angle), y - 30 * math.cos(angle)), closed=True, fill="paper")  # fmt: skip
    if state == "ajar":
        d.tell("door a little open, so that it dries", 420, -150, -60)
    elif state == "shut":
        d.tell("door shut: it stays wet inside", 340, -40, -90)
    else:
        hand(d, 540, -32, 90, 180)
        d.tell("press until it clicks", 540, -120, -20)


def clock(d: Drawing, state: str) -> None:
    """Draw a clock beside the washer, from one moment to another."""
    floor(d, -60, 1300)
    cabinet(d)
    d.ring(343, 440, 190)
    d.ring(1000, 360, 150)
    start, end = (810.0, 720.0), (1330.0, 720.0)  # no sweep of the hands: it would say how long
    d.room((1560, 0))
    d.line((1000, 360), (1000, 465))
    d.line((1000, 360), (1080, 315))
    d.parts.append(Arrow((start, end), bar=True))
    words = {
        "fill": ("first rush of water", "it starts to wash"),
        "pump": ("the pump's first sound", "no more water comes"),
        "left": ("the program ends", "the laundry is taken out"),
        "wait": ("the wash is over", "the door opens by itself"),
        "rest": ("switched off", "half an hour later"),
        "next-day": ("end of the wash", "a day later"),
    }[state]
    d.labels.append(Label(f"from: {words[0]}", start, 90, strong=True, accent=True, firm=True, along=180))
    figure = d.figures.get("time")
    if d.has("time") and figure and (figure.read or figure.limit):
        d.labels.append(Label(figure.read or figure.limit, (1070, 720), -90, accent=True, lead=False))
    d.labels.append(Label(f"to: {words[1]}", end, -70, strong=True, accent=True, firm=True, along=0))
    if state == "fill":
        d.arrow((120, TALL + 130), (120, TALL - 60))
    if state == "pump":
        d.arrow((CABINET - 40, 110), (CABINET + 120, 110))
    if state in ("fill", "pump"):
        d.water((160, 380), (526, 380), (480, 300), (206, 300))
    d.name("washer", 343, 700, None, lead=False)


def calendar(d: Drawing, state: str) -> None:
    """Draw a line of time with the day from which is counted, and today."""
    words = {
        "hoses": "when the hoses were fitted",
        "looked": "when they were last looked over",
        "hot-run": "last hot run, drum empty",
    }[state]
    d.line((-40, 0), (560, 0))
    for k in range(6):
        d.line((100 * k, -14), (100 * k, 14))
    d.room((-60, 150), (580, -150))
    d.ring(100, 0, 13, fill="accent", accent=True)
    d.ring(500, 0, 13, fill="accent", accent=True)
    d.tell(f"from: {words}", 100, -16, -90)
    d.tell("to: today", 500, -16, -90)
    figure = d.figures.get("age")
    if d.has("age") and figure and (figure.read or figure.limit):
        d.measure("age", (100, 60), (500, 60), reach=((100, 13), (500, 13)), towards=90)
    else:
        d.arrow((110, 60), (490, 60))


SCENES = {
    "front": Scene(
        "The washer from the front",
        front_of,
        {
            "door": "look at the door and its ring",
            "drawer": "look at the soap drawer",
            "flap": "look at the small flap low on the front",
            "panel": "look at the panel",
            "under": "look under the machine",
            "knob": "the knob or the power button",
            "trickle": "water can run from the drawer or from the door",
            "smell": "smell at drawer, door and flap in turn",
            "beads": "drops hang all over the outside",
            "listen": "listen low down",
            "still": "it is off and still",
            "stream": "watch the water through the glass, and listen to it at the drawer",
        },
        {},
    ),
    "display": Scene(
        "The control panel",
        display,
        {
            "signs": "look at the signs",
            "lock": "a lock, a key or a child's face is lit",
            "clock": "a clock is lit, or hours count down",
            "demo": "a word for demonstration is shown",
            "clean": "a word for cleaning is shown",
            "spin": "the spin speed chosen is low",
            "time": "the time is shown",
            "dark": "nothing is lit",
        },
        {},
    ),
    "drawer": Scene(
        "The soap drawer, pulled out",
        drawer,
        {
            "clean": "it is clean and empty",
            "caked": "it is caked, or stands full of water",
            "slime": "there are black spots or slime",
        },
        {},
    ),
    "dose": Scene(
        "A cap with the line for the dose",
        dose,
        {
            "line": "it is filled to the line",
            "full": "it is filled to the top",
            "half": "in soft water half of it is enough",
            "package": "the package says high efficiency",
            "wrong-package": "the package is dish liquid, or has no such mark",
        },
        {},
    ),
    "pump-filter": Scene(
        "The flap low on the front, open, with the filter's cap",
        pump_filter,
        {
            "pan": "a flat pan and towels lie below, and the small hose empties it first",
            "slow": "then the cap is turned slowly, a little",
            "cap": "look round the cap, turn nothing",
            "content": "lint, a coin or cloth is in the filter",
            "wheel": "a wooden spoon turns the small wheel",
        },
        {},
    ),
    "door": Scene(
        "The door of the washer",
        door,
        {
            "ajar": "it stands a little open",
            "shut": "it is shut",
            "latch": "it is pressed until it clicks",
            "hook": "its hook is whole and straight",
            "broken-hook": "its hook is broken, bent or missing",
        },
        {},
    ),
    "clock": Scene(
        "The washer and a clock",
        clock,
        {
            "fill": "from the first rush of water until it starts to wash",
            "pump": "from the pump's first sound until no more water comes",
            "left": "from the program's end until the laundry is taken out",
            "wait": "from the end of the wash until the door opens by itself",
            "rest": "half an hour switched off",
            "next-day": "a day later",
        },
        {"time": "the time between the two"},
    ),
    "calendar": Scene(
        "A line of time",
        calendar,
        {
            "hoses": "from when the hoses were fitted until today",
            "looked": "from when they were last looked over until today",
            "hot-run": "from the last hot run with nothing in it until today",
        },
        {"age": "the time until today"},
    ),
}
