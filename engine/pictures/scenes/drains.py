"""Scenes of other drains and what belongs to a drain: tub, floor drain, branch under a sink, vent, slope."""

from .drawing import Drawing, Scene
from .parts import CABINET, PIPE, TALL, cabinet, drain_hose, drops, floor, pipe

WATER_LINE = 840.0  # 33 in: so high a top loader may fill (judgement)
R = PIPE / 2 - 3


def tub(d: Drawing, state: str) -> None:
    """Draw a laundry tub in section beside the washer, the drain hose over its edge."""
    rim = 620.0 if state == "low" else d.size("rim", 1000.0, 380.0, 2000.0)
    x, wide, deep = 800.0, 560.0, 340.0
    floor(d, -40, x + wide + 120)
    cabinet(d)
    d.line((x, rim), (x + 30, rim - deep), (x + wide - 30, rim - deep), (x + wide, rim))
    d.line((x + 50, rim - deep), (x + 50, 0))
    d.line((x + wide - 50, rim - deep), (x + wide - 50, 0))
    pipe(d, (x + wide / 2, rim - deep), (x + wide / 2, 0))
    level = rim - deep + {"in-water": 250.0, "over": 345.0, "plugged": 300.0}.get(state, 60.0)
    d.water((x + 28, rim - deep), (x + wide - 28, rim - deep), (x + wide - 6, level), (x + 6, level))
    end = {"in-water": rim - deep + 110, "slipped": 0.0}.get(state, rim - 60)
    if state == "slipped":
        drain_hose(d, (CABINET, 120), (730, 150), (735, 500), (745, 640), (775, 560), (770, 220))
        drops(d, 775, 190, 3, 60)
        d.tell("hose slipped out of the tub", 772, 240, 0)
    else:
        drain_hose(
            d, (CABINET, 120), (725, 160), (735, 600), (740, rim + 40), (790, rim + 110), (850, rim + 40), (855, end)
        )
    if state == "outlet":
        d.box(x + wide / 2 - 29, rim - deep - 8, 58, 16, fill="paper")
        d.tell("outlet open, water runs off", x + wide / 2, rim - deep, -60)
    if state == "in-water":
        d.tell("end under water: it can be drawn back", 855, end, 0)
    elif state == "good" and not d.has("rim"):
        d.curve((790, rim - 120), (784, rim + 60), (820, rim + 140), (866, rim + 60), (872, rim - 40), accent=True)
        d.tell("held in its hook, end free above the water", 870, end, 0)
    elif state == "plugged":
        d.box(x + wide / 2 - 60, rim - deep - 4, 120, 40, fill="ink")
        d.tell("plug, cloth or lint on the outlet", x + wide / 2, rim - deep, -60)
    elif state == "over":
        drops(d, x + wide + 16, rim - 20, 3, 60)
        d.tell("full: it runs over", x + wide, rim, 60)
    if state == "low":
        line = WATER_LINE
        d.line((70, line), (x + 100, line), dashed=True, accent=True)
        d.tell("water line in the washer", 300, line, 90)
        d.arrow((890, rim + 20), (890, rim - 200))
        d.tell("hose end below it: it runs off", 855, rim - 60, 0)
    if d.has("outlet") and state == "good":
        d.look(x + wide / 2, rim - deep, 60, "outlet open?", -60)
    if d.has("rim"):
        d.room((x + wide + 520, 0))
    d.measure(
        "rim",
        (x + wide + 90, 0),
        (x + wide + 90, rim),
        start_is="floor",
        end_is="top edge of the tub",
        reach=(None, (x + wide, rim)),
    )
    if state != "low":
        d.name("washer", 340, 480, None)


def tub_size(d: Drawing, state: str) -> None:
    """Draw a tub seen slantwise from above, with its walls, and its length, width and depth inside."""
    d.line((-20, 0), (620, 0), (800, 180), (160, 180), closed=True)
    d.line((20, 14), (596, 14), (748, 166), (172, 166), closed=True)
    d.line((-20, 0), (30, -360), (560, -360), (620, 0))
    d.line((560, -360), (720, -200), (800, 180))
    d.arrow((40, 34), (606, 34), both=True)
    d.tell("length inside", 320, 34, -90)
    d.arrow((606, 34), (730, 158), both=True)
    d.tell("width inside", 735, 120, 0)
    d.arrow((100, 34), (112, -330), both=True)
    d.tell("depth inside", 108, -150, 0)
    figure = d.figures.get("inside")
    if d.has("inside"):
        said = (figure.read or figure.limit) if figure else ""
        d.tell(f"holds {said}" if said else "how much does it hold?", 330, -290, None)


def floor_drain(d: Drawing, state: str) -> None:
    """Draw a washer that drains through the floor, with a siphon break in its hose level with its top."""
    floor(d, -40, 930)
    floor(d, 988, 1200)
    cabinet(d)
    d.line((930, 0), (930, -200))
    d.line((988, 0), (988, -200))
    at = {"low": 380.0}.get(state, TALL)
    if state == "without":
        drain_hose(d, (CABINET, 120), (740, 150), (800, 60), (880, 40), (945, 60), (959, 10), (959, -120))
        d.tell("no air opening: the drain sucks the washer empty", 840, 60, 90)
        d.arrow((850, 130), (930, 120), (1010, 40))
    else:
        drain_hose(d, (CABINET, 120), (730, 150), (745, at - 200), (770, at + 30), (820, at + 80), (870, at + 30), (900, at - 200),
                   (930, 200), (959, 60), (959, -120))  # fmt: skip
        d.box(795, at + 70, 50, 60, fill="paper")
        d.line((800, at + 160), (820, at + 130), (840, at + 160), accent=True)
        d.arrow((820, at + 240), (820, at + 140))
        d.tell(
            "siphon break: air gets in here" if state == "with" else "air opening below the top: too low",
            845,
            at + 110,
            0,
        )
        d.line((0, TALL), (1100, TALL), dashed=True, accent=True)
        if not d.narrow:
            d.tell("level with the washer's top", 1100, TALL, -90)
    d.name("washer", 340, 480, None)
    if not d.narrow:
        d.name("floor drain", 988, -60, 0)


def sink_branch(d: Drawing, state: str) -> None:
    """Draw the drain under a sink in section, with the branch for the washer's hose."""
    d.line((-150, 520), (-120, 380), (-26, 350), (-26, 230), (-26, -60))
    d.line((150, 520), (120, 380), (26, 350), (26, 230))
    d.line((26, 170), (26, -60))
    d.line((26, 230), (140, 307))
    d.line((26, 170), (152, 250))
    if state == "closed":
        d.line((70, 194), (86, 205), (86, 275), (70, 262), closed=True, accent=True, fill="accent")
        d.tell("wall of plastic still in the branch", 86, 215, -80)
    elif state == "branch":
        d.look(90, 240, 60, "branch: is it open inside?", -60)
    else:
        d.tell("branch cut open", 60, 228, -80)
    if state in ("closed", "open", "branch"):
        drain_hose(d, (118, 262), (210, 318), (290, 380))
    elif state == "low-loop":
        drain_hose(d, (140, 276), (220, 200), (250, -40), (330, -60))
        d.arrow((0, 420), (0, 260), (80, 236), (200, 190))
        d.tell("sink water runs into the hose", 235, 100, 0)
    elif state == "high-loop":
        drain_hose(d, (140, 276), (210, 380), (255, 500), (300, 400), (310, -40))
        d.tell("hose tied up high under the sink's top", 260, 490, 0)
    d.name("sink", 0, 460, None)


def pour(d: Drawing, state: str) -> None:
    """Draw a bucket that is poured into something: the drain pipe, the drum, the tub."""
    d.line((-120, 420), (30, 560), (150, 420), (20, 300), closed=True)
    d.water((20, 360), (90, 360), (60, 340), (20, 310))
    d.curve((20, 300), (0, 260), (-4, 160), (-4, 60))
    d.curve((34, 312), (14, 260), (10, 160), (10, 60))
    if state == "drum":
        d.line((-260, 120), (-260, -160), (260, -160), (260, 120))
        d.box(-180, -130, 360, 250, dashed=True)
        d.water((-180, -130), (180, -130), (180, -60), (-180, -60))
        d.tell("into the drum", 10, 20, 0)
    elif state == "tub":
        d.line((-220, 120), (-190, -160), (190, -160), (220, 120))
        d.water((-190, -160), (190, -160), (200, -60), (-200, -60))
        d.tell("into the tub: does it run off?", 60, -60, -60)
        d.line((-20, -160), (-20, -220))
        d.line((20, -160), (20, -220))
    else:
        d.line((-R, 60), (-R, -220))
        d.line((R, 60), (R, -220))
        d.tell("down the drain pipe", R, -40, 0)
    d.name("bucket", 60, 480, 30)


def vent(d: Drawing, state: str) -> None:
    """Draw a house from the yard, with the vent pipe that comes out of its roof."""
    d.box(0, 0, 800, 420)
    d.line((-80, 400), (400, 760), (880, 400))
    d.box(120, 120, 130, 150)
    d.name("laundry", 185, 95, -90, lead=False)
    if state != "none":
        d.box(170, 560 if state == "x" else 555, 44, 190, fill="paper")
    if state == "open":
        d.arrow((192, 760), (192, 880))
        d.tell("plain pipe, open top", 214, 720, 30)
    elif state == "covered":
        d.curve((120, 745), (160, 830), (230, 830), (270, 745), closed=True, fill="paper")
        d.tell("snow or a nest on it", 230, 820, 20)
    else:
        d.look(192, 640, 120, "no pipe here", 60)
    d.line((-260, 0), (900, 0))
    d.ring(-220, 150, 26)
    d.line((-220, 124), (-220, 50), (-245, 0))
    d.line((-220, 50), (-195, 0))
    d.line((-190, 160), (150, 700), dashed=True)
    d.name("you, on the ground", -220, 180, 120)


def side_by_side_sink(d: Drawing, state: str) -> None:
    """Draw a sink and the washer on one drain line."""
    floor(d, -40, 1500)
    cabinet(d)
    d.line((1050, 900), (1080, 760), (1320, 760), (1350, 900))
    d.line((1180, 760), (1180, 60))
    d.line((1220, 760), (1220, 60))
    pipe(d, (830, 950), (830, 90), (1480, 60))
    drain_hose(d, (CABINET, 120), (730, 160), (745, 800), (790, 1040), (830, 1000), (830, 860))
    d.arrow((1200, 1060), (1200, 860))
    d.tell("water running at the sink", 1200, 1000, 0)
    d.arrow((900, 140), (1100, 130))
    if state == "backs-up":
        d.water((1076, 770), (1324, 770), (1345, 880), (1055, 880))
        d.tell("water comes up in the sink", 1330, 850, 60)
    else:
        d.tell("sink stays empty", 1300, 780, 60)
    if not d.narrow:
        d.name("one line for both", 1000, 70, -90)
    d.name("washer", 340, 480, None)


def falls(d: Drawing, state: str) -> None:
    """Draw a drain pipe under a floor with a level on it, and how far it falls on a foot."""
    fall = {"flat": 0.0}.get(state, 70.0)
    pipe(d, (-300, fall), (300, 0), thick=60)
    d.room((0, 230), (0, -190))
    d.box(-200, 45 + fall * 0.66, 305, 36)
    d.line((-200, 45 + fall * 0.66), (105, 45 + fall * 0.66), accent=True)
    d.write("level", -50, 63 + fall * 0.66)
    d.measure(
        "fall",
        (150, 45 + fall * 0.66),
        (150, 33 + fall * 0.25),
        start_is="level line",
        end_is="pipe",
        reach=((105, 45 + fall * 0.66), None),
    )
    d.arrow((-240, -60 + fall * 0.9), (240, -60 + fall * 0.1))
    d.tell("water runs this way" if fall else "no fall: it stands", -60, -50, -90)
    d.arrow((-200, 110 + fall * 0.66), (105, 110 + fall * 0.66), both=True)
    d.tell("1 ft along the level", -50, 110 + fall * 0.66, 90)
    d.room((420, 0))


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
    "tub": Scene(
        "A laundry tub in section beside the washer, the drain hose over its edge",
        tub,
        {
            "good": "the hose is held in its hook, its end free above the water",
            "low": "the tub's edge is below the water line in the washer",
            "in-water": "the hose end lies under water",
            "slipped": "the hose has slipped out of the tub",
            "outlet": "the outlet is open, and the water runs off",
            "plugged": "something lies on the tub's outlet",
            "over": "the tub is full and runs over",
        },
        {
            "rim": "the height is measured from the floor up to the tub's top edge",
            "outlet": "look at the outlet in the tub's bottom",
        },
    ),
    "tub-size": Scene(
        "A tub seen slantwise from above",
        tub_size,
        {"open": "it is measured inside"},
        {"inside": "length, width and depth inside"},
    ),
    "floor-drain": Scene(
        "A washer that drains into the floor",
        floor_drain,
        {
            "with": "a siphon break in the hose, level with the washer's top, lets air in",
            "without": "nothing lets air in, and the drain sucks the washer empty",
            "low": "the air opening is below the washer's top",
        },
        {"break": "look for a small fitting with an air opening, level with the washer's top"},
    ),
    "sink-branch": Scene(
        "The drain under a sink in section, with the branch for the washer's hose",
        sink_branch,
        {
            "open": "the branch is cut open",
            "closed": "a wall of plastic still closes the branch",
            "branch": "the branch on the sink's drain",
            "low-loop": "the hose hangs low, and sink water runs into it",
            "high-loop": "the hose is tied up high under the sink's top",
        },
        {"branch": "look into the branch"},
    ),
    "pour": Scene(
        "A bucket of water is poured",
        pour,
        {"pipe": "it goes down the drain pipe", "drum": "it goes into the drum", "tub": "it goes into the tub"},
        {},
    ),
    "vent": Scene(
        "A house seen from the yard",
        vent,
        {
            "open": "a plain pipe with an open top comes out of the roof",
            "covered": "the pipe is covered",
            "none": "there is no pipe",
        },
        {},
    ),
    "shared-line": Scene(
        "A sink and the washer on one drain line",
        side_by_side_sink,
        {"runs": "both run off", "backs-up": "one backs up into the other"},
        {},
    ),
    "drain-fall": Scene(
        "A drain pipe with a level over it",
        falls,
        {"falls": "it falls toward the stack", "flat": "it lies flat"},
        {"fall": "the fall is measured from the level line down to the pipe, over one foot"},
    ),
    "lift-pump": Scene("A covered basin with a lift pump, in section", lift_pump, {"look": "look what it does"}, {}),
}
