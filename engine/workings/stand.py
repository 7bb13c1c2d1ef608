"""Workings of the stand: turning the feet, rocking, unbalance and slip, the floor's own frequency, lifting and tipping."""

from ..physics.floor import frequency_Hz, second_moment_m4
from ..physics.grip import FEET_FRICTION, hop_speed_Hz, slip_limit_N, speed_at_force_Hz
from ..physics.lifting import multipliers, screen, weight_limit_kg
from ..physics.resonance import against_spin, loaded_frequency_Hz
from ..physics.stand import Feet, foot_lifts_m, foot_turns, rocking
from ..physics.tipping import push_to_tip_N, tip_angle_rad
from ..physics.unbalance import transmissibility, unbalance_force_N
from .records import Input, Output, Working, show

Values = dict[str, float]
Given = dict[str, float | None]
FEET = ("left_front", "right_front", "left_rear", "right_rear")
QUARTER = 0.25


def _level(v: Values) -> Given:
    turns = foot_turns(foot_lifts_m(v["right_high"], v["rear_high"], v["width"], v["depth"]), v["pitch"])
    return dict(zip(FEET, turns, strict=True))


def _turns(value: float) -> str:
    return f"{round(value / QUARTER) * QUARTER:g}"


def _level_says(v: Values, out: Given) -> list[str]:
    said = ", ".join(f"{f.replace('_', ' ')} out {_turns(out[f] or 0)}" for f in FEET if (out[f] or 0) >= QUARTER / 2)
    return [
        f"turn to the nearest quarter: {said or 'nothing to turn'} turns. First make sure that it does not rock; then lock each foot"
    ]


def _rock(v: Values) -> Given:
    found = rocking(Feet(v["left_front"], v["right_front"], v["left_rear"], v["right_rear"]))
    return {"gap": found.gap_m, "turns": found.gap_m / v["pitch"]}


def _rock_says(v: Values, out: Given) -> list[str]:
    if (out["gap"] or 0) < 0.0005:
        return ["all four feet bear: a plane tilt does not rock"]
    return [
        f"one foot hangs {show(out['gap'], 'length')} free: turn it out {_turns(out['turns'] or 0)} turns, then lock it"
    ]


def _spin(v: Values) -> Given:
    force = unbalance_force_N(v["unbalance"], v["radius"], v["rpm"] / 60)
    passed = 1.0 if v["restrained"] >= 0.5 else transmissibility(v["rpm"] / 60 / v["tub_Hz"], v["damping"])
    limits = slip_limit_N(FEET_FRICTION["unknown"], v["mass"], "horizontal" if v["front"] >= 0.5 else "vertical")
    slips = speed_at_force_Hz(limits[0], v["unbalance"], v["radius"], passed) * 60
    hops = hop_speed_Hz(v["mass"], v["unbalance"], v["radius"], passed) * 60
    return {
        "force": force * passed / 9.80665,
        "passed": passed,
        "slips_low": slips,
        "slips_high": speed_at_force_Hz(limits[1], v["unbalance"], v["radius"], passed) * 60,
        "hops": hops,
    }


def _spin_says(v: Values, out: Given) -> list[str]:
    return [
        f"{100 * (out['passed'] or 0):.0f} in 100 of the unbalance force reaches the floor"
        + (" because the tub is held fast" if v["restrained"] >= 0.5 else ""),
        f"it slips from somewhere between {out['slips_low'] or 0:.0f} and {out['slips_high'] or 0:.0f} rpm, by how slick floor and feet are; a wet floor is at the low end",
    ]


def _floor(v: Values) -> Given:
    stiffness = v["modulus"] * 1e9 * second_moment_m4(v["joist_width"], v["joist_depth"])
    per_m = v["floor_load"] * v["spacing"]
    bare = frequency_Hz(v["span"], stiffness, per_m)
    loaded = loaded_frequency_Hz(v["span"], stiffness, per_m, v["mass"])
    return {"bare_rpm": bare * 60, "loaded_rpm": loaded * 60, "ratio": against_spin(loaded, v["rpm"] / 60).ratio}


def _floor_says(v: Values, out: Given) -> list[str]:
    found = against_spin((out["loaded_rpm"] or 0) / 60, v["rpm"] / 60)
    near = (
        "lies away from the spin, as far as this estimate goes"
        if found.state == "apart by estimate"
        else "may answer to the spin"
    )
    return [
        f"a single joist with the machine on it swings at about {out['loaded_rpm'] or 0:.0f} rpm, bare at {out['bare_rpm'] or 0:.0f}, each give or take 25 in 100: it {near}",
        "it passes through lower speeds on the way up. This judges no floor as sound: one that is cut, rotted, cantilevered or bouncy needs an engineer",
    ]


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
        f"the screening limit for one person is {show(out['limit'], 'mass')}; with {v['people']:.0f} sharing equally the index is {out['index'] or 0:.1f} (1 is the goal, above 3 is high risk for nearly all)",
        "use a hand truck and a second person; it is a screen for lifting only, not for carrying or tilting",
    ]


def _tip(v: Values) -> Given:
    return {
        "angle_deg": tip_angle_rad(v["base"], v["middle"]) * 57.29578,
        "push": push_to_tip_N(v["mass"], v["base"], v["push_height"]) / 9.80665,
    }


def _tip_says(v: Values, out: Given) -> list[str]:
    return [
        f"it tips past {out['angle_deg'] or 0:.0f} degrees; a push of {show(out['push'], 'mass')} of weight at that height starts it, if the feet don't slide first"
    ]


PITCH = Input(
    name="pitch",
    measures="length",
    says="thread of the foot, advance a turn (M10 1.5 mm, 3/8-16 1.59 mm)",
    default="1.5 mm",
    basis="ISO 262, M10 (via tables)",
)
WIDTH = Input(name="width", measures="length", says="feet, left to right", default="560 mm", basis="judgement")
DEPTH = Input(name="depth", measures="length", says="feet, front to back", default="500 mm", basis="judgement")
MASS = Input(
    name="mass",
    measures="mass",
    says="mass of the machine with its load",
    default="80 kg",
    basis="M, from memory, unverified: 60 to 110 kg empty",
)
WORKINGS = [
    Working(
        name="level-turns",
        title="Turns of each foot to level from two slopes",
        area="stand",
        inputs=(
            Input(name="right_high", measures="slope", says="right side high is plus"),
            Input(name="rear_high", measures="slope", says="rear high is plus"),
            WIDTH,
            DEPTH,
            PITCH,
        ),
        outputs=tuple(Output(name=f, measures="number", says=f"turns out, {f.replace('_', ' ')}") for f in FEET),
        run=_level,
        says=_level_says,
        sources=("plane geometry (D)",),
        rules=("level-side-to-side", "level-front-to-back"),
    ),
    Working(
        name="rocking",
        title="The foot that carries nothing",
        area="stand",
        inputs=(
            *(
                Input(
                    name=f,
                    measures="length",
                    says=f"gap under the {f.replace('_', ' ')} foot",
                    default="0 mm",
                    basis="a foot that bears",
                )
                for f in FEET
            ),
            PITCH,
        ),
        outputs=(
            Output(name="gap", measures="length", says="free gap"),
            Output(name="turns", measures="number", says="turns to close it"),
        ),
        run=_rock,
        says=_rock_says,
        sources=("plane geometry (D): rocking is what is left after any tilt",),
        rules=("all-feet-bear",),
    ),
    Working(
        name="spin-slip",
        title="Unbalance in the spin against the grip of the feet",
        area="stand",
        inputs=(
            Input(name="rpm", measures="number", says="spin speed, rpm", default="1000", basis="S: 800 to 1400"),
            Input(
                name="unbalance",
                measures="mass",
                says="clothes on one side",
                default="0.5 kg",
                basis="judgement; no published value",
            ),
            Input(
                name="radius",
                measures="length",
                says="drum radius",
                default="0.25 m",
                basis="M, from memory, unverified",
            ),
            MASS,
            Input(name="front", measures="number", says="1 front loader, 0 top loader", default="0", basis="judgement"),
            Input(
                name="restrained",
                measures="number",
                says="1 with shipping restraints in",
                default="0",
                basis="they are out",
            ),
            Input(
                name="tub_Hz",
                measures="number",
                says="the hung tub's own frequency, Hz",
                default="3.5",
                basis="judgement",
            ),
            Input(
                name="damping",
                measures="number",
                says="damping ratio of the suspension",
                default="0.15",
                basis="judgement",
            ),
        ),
        outputs=(
            Output(
                name="force",
                measures="mass",
                says="force on the floor, as weight",
                spread=0.3,
                spread_basis="judgement",
            ),
            Output(name="passed", measures="number", says="share of the unbalance force that is passed on"),
            Output(name="slips_low", measures="number", says="rpm at which it slips, slick floor"),
            Output(name="slips_high", measures="number", says="rpm at which it slips, good grip"),
            Output(name="hops", measures="number", says="rpm at which a foot lifts clear"),
        ),
        run=_spin,
        says=_spin_says,
        sources=(
            "rotating unbalance and transmissibility, Inman (P); slip limits derived here (D); friction of rubber feet is a band of tables (S), none for tile or vinyl",
        ),
        rules=("restraints-out", "floor-grips-feet"),
    ),
    Working(
        name="floor-frequency",
        title="A wooden floor's own frequency against the spin",
        area="stand",
        inputs=(
            Input(name="span", measures="length", says="clear span of the joists"),
            Input(
                name="joist_width", measures="length", says="joist thickness", default="1.5 in", basis="S: dressed size"
            ),
            Input(name="joist_depth", measures="length", says="joist depth", default="9.25 in", basis="S: 2x10"),
            Input(name="spacing", measures="length", says="joist spacing", default="16 in", basis="judgement"),
            Input(
                name="modulus",
                measures="number",
                says="stiffness of the wood, GPa",
                default="9.65",
                basis="NDS, SPF No.2 (S)",
            ),
            Input(
                name="floor_load",
                measures="number",
                says="weight of the floor, kg/m2",
                default="48.8",
                basis="judgement: 10 psf",
            ),
            MASS,
            Input(name="rpm", measures="number", says="spin speed, rpm", default="1000", basis="S: 800 to 1400"),
        ),
        outputs=(
            Output(
                name="bare_rpm",
                measures="number",
                says="floor alone, rpm",
                spread=0.125,
                spread_basis="judgement: within 25 in 100",
            ),
            Output(
                name="loaded_rpm",
                measures="number",
                says="with the machine at mid-span, rpm",
                spread=0.125,
                spread_basis="judgement",
            ),
            Output(name="ratio", measures="number", says="floor over spin; 0.8 to 1.25 is near"),
        ),
        run=_floor,
        says=_floor_says,
        sources=("beam formulas, against Eurocode 5 and code span tables (P, S); band judgement",),
        rules=("floor-off-spin-speed",),
    ),
    Working(
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
            Output(name="people", measures="number", says="people needed for an index of 1"),
        ),
        run=_lift,
        says=_lift_says,
        sources=("NIOSH 94-110 (S); sharing among people is a simplification (D)",),
        rules=("lift-alone",),
    ),
    Working(
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
            Output(name="push", measures="mass", says="push that starts it, as weight"),
        ),
        run=_tip,
        says=_tip_says,
        sources=("statics, against solved textbook problems (S)",),
        rules=("lift-alone",),
    ),
]
