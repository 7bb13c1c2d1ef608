"""Workings of the feet: a bubble as a slope, what a tilt takes from their grip, and what a torque does to their nuts."""

import math

from ..physics.stand.grip import FEET_FRICTION, friction_on_tilt, slip_share_off_middle
from ..physics.stand.levelling import slope, slope_in, vial_slope
from ..physics.stand.locknut import NUT_FACTOR, nut_pull_N, nut_torque_Nm, thread_torque_Nm
from .calculator import Calculator, Input, Output, show
from .handling import MASS
from .stand import DEPTH, PITCH, WIDTH

Values = dict[str, float]
Given = dict[str, float | None]
G_m_s2 = 9.80665
LIMIT = slope(1 / 8, "in/ft")  # of the two level rules: judgement


def _bubble(v: Values) -> Given:
    return {"slope": vial_slope(v["bubble"], v["vial"])}


def _bubble_says(v: Values, out: Given) -> list[str]:
    found = out["slope"] or 0.0
    word = "within" if abs(found) <= LIMIT else "past"
    return [
        f"that is {show(found, 'slope')}, {slope_in(found, 'mm/m'):.0f} mm on a metre or {slope_in(found, 'deg'):.1f} degrees: {word} the working limit of 1/8 in on a foot (judgement; the machine's own sheet governs)",
        "a share of a bubble means nothing without the vial's radius: two levels differ by a factor of four. Turn the level end for end and average",
    ]


def _grip(v: Values) -> Given:
    band = FEET_FRICTION["unknown"]
    low, high = friction_on_tilt(band, math.atan(abs(v["tilt"])))
    return {
        "slick": 1 - low / band[0],
        "good": 1 - high / band[1],
        "off_middle": 1 - slip_share_off_middle(v["offset"], v["width"] / 2, v["depth"] / 2),
    }


def _grip_says(v: Values, out: Given) -> list[str]:
    slick, good, off = (100 * (out[k] or 0.0) for k in ("slick", "good", "off_middle"))
    said = [
        f"a tilt of {show(v['tilt'], 'slope')} takes {good:.0f} in 100 of the feet's grip on a good floor, {slick:.0f} on a slick one: "
        + (
            "a lean alone seldom makes it walk; a foot that does not bear or a wet floor does"
            if slick < 25
            else "level it, and dry the floor"
        )
    ]
    if v["offset"]:
        said.append(
            f"a shake {show(v['offset'], 'length')} off the middle of the feet takes {off:.0f} in 100 more: it turns on the spot before it slides"
        )
    return said


def _nut(v: Values) -> Given:
    pull = nut_pull_N(v["torque"], v["diameter"], NUT_FACTOR["zinc"])
    frictionless = thread_torque_Nm(pull, v["diameter"], v["pitch"], 0.0, 0.0)
    return {
        "low": nut_pull_N(v["torque"], v["diameter"], NUT_FACTOR["black"]) / G_m_s2,
        "high": nut_pull_N(v["torque"], v["diameter"], NUT_FACTOR["anti-seize"]) / G_m_s2,
        "friction": 1 - frictionless / v["torque"],
        "foot": nut_torque_Nm(v["mass"] * G_m_s2 / 4, v["diameter"], NUT_FACTOR["zinc"]),
    }


def _nut_says(v: Values, out: Given) -> list[str]:
    return [
        f"{v['torque']:.3g} N m on this thread pull with {show(out['low'], 'mass')} to {show(out['high'], 'mass')} of weight, by how it is greased; {100 * (out['friction'] or 0):.0f} in 100 "
        "of the torque go into friction. Feet are often plastic or thin plate: never a torque from a bolt table",
        f"{out['foot'] or 0:.1f} N m already pull as hard as a foot's share of the machine. No torque is published: hold the foot, tighten the nut to the cabinet, snug and about a quarter turn (C)",
    ]


WORKINGS = [
    Calculator(
        name="bubble",
        title="How far out of level a bubble says it is",
        area="stand",
        inputs=(
            Input(name="bubble", measures="length", says="bubble off the middle of its vial"),
            Input(
                name="vial",
                measures="length",
                says="radius to which the vial is bent",
                default="200 mm",
                basis="S: a carpenter's level, on a forum; makers' pages have 60 to 240 mm (P)",
            ),
        ),
        outputs=(
            Output(
                name="slope",
                measures="slope",
                says="rise over run",
                spread=0.3,
                spread_basis="judgement: radius of the vial",
            ),
        ),
        run=_bubble,
        says=_bubble_says,
        sources=("arc over radius (D); radius from a forum (S)",),
        rules=("level-side-to-side", "level-front-to-back"),
    ),
    Calculator(
        name="grip-on-tilt",
        title="What a tilt takes from the grip of the feet",
        area="stand",
        inputs=(
            Input(name="tilt", measures="slope", says="out of level"),
            Input(
                name="offset",
                measures="length",
                says="line of the shake beside the middle of the feet",
                default="0 mm",
                basis="through the middle",
            ),
            WIDTH,
            DEPTH,
        ),
        outputs=(
            Output(name="slick", measures="number", says="share of the grip lost, slick floor"),
            Output(name="good", measures="number", says="share of the grip lost, good floor"),
            Output(name="off_middle", measures="number", says="share of the slip limit lost to the offset"),
        ),
        run=_grip,
        says=_grip_says,
        sources=(
            "statics of an incline and limit analysis of four feet (D)",
            "friction of rubber: a band of tables (S), none for tile or vinyl",
        ),
        rules=("level-side-to-side", "level-front-to-back", "floor-grips-feet"),
    ),
    Calculator(
        name="nut-torque",
        title="Why a foot's lock nut is not tightened by a bolt table",
        area="stand",
        inputs=(
            Input(
                name="torque",
                measures="number",
                says="torque on the nut, N m",
                default="15",
                basis="judgement: a strong hand on a short wrench",
            ),
            Input(
                name="diameter", measures="length", says="thread of the foot", default="10 mm", basis="judgement: M10"
            ),
            PITCH,
            MASS,
        ),
        outputs=(
            Output(name="low", measures="mass", says="pull in the thread, as weight, dry black steel"),
            Output(name="high", measures="mass", says="the same, greased"),
            Output(name="friction", measures="number", says="share of the torque that friction takes"),
            Output(
                name="foot", measures="number", says="torque that pulls as hard as a quarter of the machine weighs, N m"
            ),
        ),
        run=_nut,
        says=_nut_says,
        sources=("Shigley 9e, eq. 8-26, 8-27 and table 8-15 (P)", "quarter turn past snug: common practice (C)"),
        rules=("lock-nuts-tight",),
    ),
]
