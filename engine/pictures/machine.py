"""Scenes of the machine itself: drum, door, drawer, panel, pump filter, detergent, and what is in it."""

import math

from .drawing import Drawing
from .parts import CABINET, TALL, cabinet, drops, floor, front, hand
from .scene import Scene


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
        cloth(-40, -160, 50)
        d.tell("a few pieces only", -30, -160, 10)
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
        d.ring(-190, 160, 60)
        d.arrow((60, 140), (-100, 150))
        d.tell("ear low down", -190, 220, 90)
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
    if not d.narrow:
        d.name("soap drawer", 180, -55, None)


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


def clock(d: Drawing, state: str) -> None:
    """Draw a clock beside the washer, from one moment to another."""
    floor(d, -60, 1300)
    cabinet(d)
    d.ring(343, 440, 190)
    d.ring(1000, 480, 190)
    d.room((1560, 0))
    d.line((1000, 480), (1000, 610))
    d.line((1000, 480), (1100, 425))
    d.arrow((1000, 705), (1130, 665), (1215, 550), (1205, 390))
    words = {
        "fill": ("first rush of water", "it starts to wash"),
        "pump": ("the pump's first sound", "no more water comes"),
        "left": ("the program ends", "the laundry is taken out"),
        "wait": ("the wash is over", "the door opens by itself"),
        "rest": ("switched off", "half an hour later"),
        "next-day": ("end of the wash", "a day later"),
    }[state]
    d.tell(f"from: {words[0]}", 1000, 705, 90)
    figure = d.figures.get("time")
    if d.has("time") and figure and (figure.read or figure.limit):
        words = (words[0], f"{words[1]}, {figure.read or figure.limit}")
    d.tell(f"to: {words[1]}", 1205, 390, -90)
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
        "hot-run": "last hot run, empty",
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


def glove(d: Drawing, state: str) -> None:
    """Draw gloved fingers with a little of the water between them."""
    hand(d, 0, 0, 20, 240)
    hand(d, -6, -30, 160, 240)
    d.foam((-60, 90), (60, 90), (50, 30), (-50, 30))
    drops(d, 0, -40, 2, 60)
    d.tell("rub a little: soapy, or clear?", 0, 90, 90)


def lift_pump(d: Drawing, state: str) -> None:
    """Draw a covered basin with a lift pump, in section."""
    floor(d, -300, -140)
    floor(d, 240, 500)
    d.line((-140, 0), (-140, -360), (240, -360), (240, 0))
    d.box(-150, 0, 400, 20, fill="paper")
    d.box(0, -330, 110, 150, fill="paper")
    d.water((-138, -358), (238, -358), (238, -230), (-138, -230))
    d.tube(40, (55, -180), (55, 300), smooth=False)
    d.tube(40, (-300, 60), (-60, 40), (-60, -120), smooth=False)
    d.name("pump", 55, -260, None)
    d.tell("covered basin: does it hum, stand still, run over?", 240, 10, 40)
    d.name("from the washer", -280, 70, 100)


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
    "towel": Scene(
        "One bath towel wrung over a bowl",
        towel,
        {"wrung": "what comes out is measured"},
        {"water": "the water of one towel, in a cup"},
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
    "wet-place": Scene("The laundry from the front", wet_place, {"follow": "follow the wet to where it begins"}, {}),
    "water-feel": Scene("Gloved fingers with a little of the water", glove, {"rub": "is it soapy or clear"}, {}),
    "lift-pump": Scene("A covered basin with a lift pump, in section", lift_pump, {"look": "look what it does"}, {}),
}
