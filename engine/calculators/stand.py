"""Workings of the stand: turning the feet, rocking, unbalance and slip."""

from ..physics.stand.grip import FEET_FRICTION, slip_limit_N, speed_at_force_Hz
from ..physics.stand.levelling import Feet, foot_lifts_m, foot_turns, rocking
from ..physics.stand.slip_speed import SlipSpeeds, slip_speeds_Hz
from ..physics.stand.unbalance import (
    G_M_PER_S2,
    drum_g,
    sag_frequency_Hz,
    transmissibility,
    unbalance_force_N,
    unbalance_swing_m,
)
from .calculator import Calculator, Input, Output, show, show_value
from .handling import MASS

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
    passed = 1.0 if _held(v) else transmissibility(v["rpm"] / 60 / v["tub_Hz"], v["damping"])
    slick, good = (_slips(v, limit) for limit in _limits(v))
    hops = _slips(v, v["mass"] * G_M_PER_S2).above_Hz if v["front"] >= 0.5 else None  # a top loader's shake lies flat
    return {
        "force": force * passed / G_M_PER_S2,
        "passed": passed,
        "slips_low": _rpm(slick.above_Hz),
        "slips_high": _rpm(good.above_Hz),
        "hops": _rpm(hops),
        **dict(zip(("band_low_from", "band_low_to"), map(_rpm, slick.band_Hz or (None, None)), strict=True)),
        **dict(zip(("band_high_from", "band_high_to"), map(_rpm, good.band_Hz or (None, None)), strict=True)),
    }


def _held(v: Values) -> bool:
    return v["restrained"] >= 0.5


def _limits(v: Values) -> tuple[float, float]:
    return slip_limit_N(FEET_FRICTION["unknown"], v["mass"], "horizontal" if v["front"] >= 0.5 else "vertical")


def _slips(v: Values, force_N: float) -> SlipSpeeds:
    if _held(v):
        return SlipSpeeds(None, speed_at_force_Hz(force_N, v["unbalance"], v["radius"]))
    return slip_speeds_Hz(force_N, v["unbalance"], v["radius"], v["tub_Hz"], v["damping"])


def _rpm(speed_Hz: float | None) -> float | None:
    return None if speed_Hz is None else speed_Hz * 60


def _spin_says(v: Values, out: Given) -> list[str]:
    force, rpm = (out["force"] or 0) * G_M_PER_S2, show_value(v["rpm"], "number")
    slick, good = _limits(v)
    does = (
        "feet hold that even on a slick floor"
        if force < slick
        else "feet hold that on a dry, clean floor and may slip on a wet or soapy one"
        if force < good
        else "feet are likely to slip even on a dry floor"
    )
    return [
        f"{100 * (out['passed'] or 0):.0f} in 100 of the unbalance force reaches the floor at {rpm} rpm"
        + (" because the tub is held fast" if _held(v) else "")
        + f": {does}",
        f"on a wet, slick floor it slips {_from(out['slips_low'])}, on a dry, clean one {_from(out['slips_high'])}; home washers spin at 800 to 1400 rpm (S)"
        + _bands(out),
    ]


def _from(rpm: float | None) -> str:
    return "at no high speed" if rpm is None else f"from {show_value(rpm, 'number')} rpm up"


def _bands(out: Given) -> str:
    """Return what happens at the tub's own frequency, as the end of a sentence."""
    bands = [
        f"{show_value(out[f'band_{end}_from'], 'number')} to {show_value(out[f'band_{end}_to'], 'number')} rpm {where}"
        for end, where in (("low", "on a slick floor"), ("high", "even on a dry one"))
        if out[f"band_{end}_from"] is not None
    ]
    if not bands:
        return ""
    return f". On its way up it can slip at {' and '.join(bands)} too, where the tub swings widest; at most that, as it runs through quickly"


def _swing(v: Values) -> Given:
    own = sag_frequency_Hz(v["sag"])
    at = (v["rpm"] / 60 / own, 1.0)
    spin, passing = (unbalance_swing_m(v["unbalance"], v["radius"], v["moving"], r, v["damping"]) for r in at)
    return {"own_rpm": own * 60, "spin": spin, "passing": passing}


def _swing_says(v: Values, out: Given) -> list[str]:
    return [
        f"on springs that give {show(v['sag'], 'length')} under it the tub swings by itself at about {show_value(out['own_rpm'], 'number')} rpm; a spin passes that on its way up, and the tub "
        f"then swings by up to {show(out['passing'], 'length')} either way, at full speed by {show(out['spin'], 'length')}: a shudder at the start that dies away is the springs at work",
        "worn dampers or a bunched load make that shudder larger, up to the cabinet; a tub that is held fast can't swing, and shakes the cabinet instead",
    ]


def _drum(v: Values) -> Given:
    return {"g": drum_g(v["rpm"] / 60, v["radius"])}


def _drum_says(v: Values, out: Given) -> list[str]:
    return [
        f"at {show_value(v['rpm'], 'number')} rpm the drum's wall pulls with {show_value(out['g'], 'number')} times the weight of what lies on it: twice the speed, four times "
        "the pull, so a slower spin leaves wetter washing"
    ]


RADIUS = Input(
    name="radius", measures="length", says="drum radius", default="0.25 m", basis="M, from memory, unverified"
)
PITCH = Input(
    name="pitch",
    measures="length",
    says="thread of the foot, advance a turn (M10 1.5 mm, 3/8-16 1.59 mm)",
    default="1.5 mm",
    basis="ISO 262, M10 (via tables)",
)
WIDTH = Input(name="width", measures="length", says="feet, left to right", default="560 mm", basis="judgement")
DEPTH = Input(name="depth", measures="length", says="feet, front to back", default="500 mm", basis="judgement")
WORKINGS = [
    Calculator(
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
        rules=("level-side-to-side", "level-front-to-back", "level-in-final-place"),
    ),
    Calculator(
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
        rules=("all-feet-bear", "lock-nuts-tight"),
    ),
    Calculator(
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
            RADIUS,
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
            Output(name="slips_low", measures="number", says="rpm from which up it slips, slick floor"),
            Output(name="slips_high", measures="number", says="rpm from which up it slips, good grip"),
            Output(name="hops", measures="number", says="rpm at which the shake lifts all of a front loader's weight"),
            *(
                Output(
                    name=f"band_{end}_{edge}",
                    measures="number",
                    says=f"rpm at which it {does} slipping at the tub's own frequency, {floor}",
                )
                for end, floor in (("low", "slick floor"), ("high", "good grip"))
                for edge, does in (("from", "starts"), ("to", "stops"))
            ),
        ),
        run=_spin,
        says=_spin_says,
        sources=(
            "rotating unbalance and transmissibility, Inman (P); slip limits and the speeds at which they are reached derived here (D); friction of rubber feet is a band of tables (S), none for tile or vinyl",
        ),
        rules=("restraints-out", "floor-grips-feet", "all-feet-bear"),
    ),
    Calculator(
        name="tub-swing",
        title="How far a hung tub swings on its way up and in the spin",
        area="stand",
        inputs=(
            Input(
                name="sag",
                measures="length",
                says="how far the springs give under the full tub",
                default="20 mm",
                basis="judgement: 3.5 Hz",
            ),
            Input(
                name="unbalance",
                measures="mass",
                says="clothes on one side",
                default="0.5 kg",
                basis="judgement; no published value",
            ),
            RADIUS,
            Input(
                name="moving",
                measures="mass",
                says="tub with drum, water and clothes",
                default="35 kg",
                basis="judgement",
            ),
            Input(
                name="damping",
                measures="number",
                says="damping ratio of the suspension",
                default="0.15",
                basis="judgement",
            ),
            Input(name="rpm", measures="number", says="spin speed, rpm", default="1000", basis="S: 800 to 1400"),
        ),
        outputs=(
            Output(
                name="own_rpm", measures="number", says="the tub's own speed, rpm", spread=0.3, spread_basis="judgement"
            ),
            Output(
                name="passing",
                measures="length",
                says="swing if it stayed at that speed",
                spread=0.3,
                spread_basis="judgement",
                bound="upper",
            ),
            Output(name="spin", measures="length", says="swing at full speed", spread=0.3, spread_basis="judgement"),
        ),
        run=_swing,
        says=_swing_says,
        sources=("rotating unbalance, Inman eq. 2.75 (P); frequency from sag (S)",),
        rules=("restraints-out", "waterproof-not-spun"),
    ),
    Calculator(
        name="spin-pull",
        title="How hard a spin pulls water out",
        area="stand",
        inputs=(
            Input(name="rpm", measures="number", says="spin speed, rpm", default="1000", basis="S: 800 to 1400"),
            RADIUS,
        ),
        outputs=(Output(name="g", measures="number", says="pull at the drum's wall, multiples of the weight"),),
        run=_drum,
        says=_drum_says,
        sources=("circular motion (D), against US DOE 86 FR 49226, a proposed rule (P)",),
        rules=("spun-towel-water", "floor-off-spin-speed"),
    ),
]
