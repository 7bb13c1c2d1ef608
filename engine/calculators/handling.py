"""Workings of handling a machine: what people may lift, and when it tips."""

from ..physics.stand.grip import FEET_FRICTION
from ..physics.stand.lifting import multipliers, screen, weight_limit_kg
from ..physics.stand.tipping import on_a_ramp, push_to_tip_N, slide_angles_rad, tip_angle_rad
from .calculator import Calculator, Input, Output, show

Values = dict[str, float]
Given = dict[str, float | None]
MASS = Input(
    name="mass",
    measures="mass",
    says="mass of the machine with its load",
    default="80 kg",
    basis="M, from memory, unverified: 60 to 110 kg empty",
)


def _lift(v: Values) -> Given:
    limit = weight_limit_kg(multipliers(v["reach"], v["height"], v["travel"]))
    found = screen(v["mass"], limit, max(1, round(v["people"])))
    return {
        "limit": limit,
        "index": found.lifting_index,
        "people": None if found.people is None else float(found.people),
    }


def _lift_says(v: Values, out: Given) -> list[str]:
    return [
        "a hand truck with a strap, and two people on it; nobody lifts it, and nobody stands below it on stairs or a ramp",
        f"working: the screening limit for one person is {show(out['limit'], 'mass')}; with {v['people']:.0f} sharing equally the index is {out['index'] or 0:.1f} "
        "(1 is the goal, above 3 is high risk for nearly all); a screen for lifting only, not for carrying or tilting",
    ]


def _tip(v: Values) -> Given:
    low, high = slide_angles_rad(FEET_FRICTION["unknown"])
    return {
        "slides_low_deg": low * 57.29578,
        "slides_high_deg": high * 57.29578,
        "angle_deg": tip_angle_rad(v["base"], v["middle"]) * 57.29578,
        "push": push_to_tip_N(v["mass"], v["base"], v["push_height"]) / 9.80665,
    }


def _tip_says(v: Values, out: Given) -> list[str]:
    return [
        f"it tips past {out['angle_deg'] or 0:.0f} degrees; a push of {show(out['push'], 'mass')} of weight at that height starts it, if the feet don't slide first",
        f"on its own feet on a ramp it slides from somewhere between {out['slides_low_deg'] or 0:.0f} and {out['slides_high_deg'] or 0:.0f} degrees, by how slick the ramp is: {RAMP[on_a_ramp(FEET_FRICTION['unknown'], v['base'], v['middle'])]}. "
        "Strap it to a hand truck, and nobody stands below it",
    ]


RAMP = {"slides": "it slides before it tips", "tips": "it tips before it slides", "either": "it can slide or tip"}
WORKINGS = [
    Calculator(
        name="lifting",
        title="Lifting screen",
        area="stand",
        inputs=(
            MASS,
            Input(
                name="reach", measures="length", says="hands out from the ankles", default="40 cm", basis="judgement"
            ),
            Input(
                name="height",
                measures="length",
                says="hands above the floor at the start",
                default="40 cm",
                basis="judgement",
            ),
            Input(name="travel", measures="length", says="how far it goes up", default="25 cm", basis="judgement"),
            Input(name="people", measures="number", says="people who share it", default="2", basis="judgement"),
        ),
        outputs=(
            Output(name="limit", measures="mass", says="screening limit for one person"),
            Output(name="index", measures="number", says="lifting index"),
            Output(
                name="people",
                measures="number",
                says="working: people who would have to share a bare lift for an index of 1",
            ),
        ),
        run=_lift,
        says=_lift_says,
        sources=("NIOSH 94-110 (S); sharing among people is a simplification (D)",),
        rules=("lift-alone",),
    ),
    Calculator(
        name="tipping",
        title="When a machine tips",
        area="stand",
        inputs=(
            Input(
                name="base",
                measures="length",
                says="feet apart, in the direction of tipping",
                default="500 mm",
                basis="judgement",
            ),
            Input(
                name="middle",
                measures="length",
                says="height of its weight's middle",
                default="425 mm",
                basis="judgement",
            ),
            MASS,
            Input(
                name="push_height", measures="length", says="where it is pushed", default="850 mm", basis="judgement"
            ),
        ),
        outputs=(
            Output(name="angle_deg", measures="number", says="angle at which it goes over, degrees"),
            Output(name="slides_low_deg", measures="number", says="ramp on which it starts to slide, slick, degrees"),
            Output(
                name="slides_high_deg", measures="number", says="ramp on which it starts to slide, good grip, degrees"
            ),
            Output(name="push", measures="mass", says="push that starts it, as weight"),
        ),
        run=_tip,
        says=_tip_says,
        sources=("statics, against solved textbook problems (S)",),
        rules=("lift-alone",),
    ),
]
