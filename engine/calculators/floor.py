"""Workings of a wooden floor: its own frequency against the spin, and what the machine's weight does to it."""

from ..physics.stand.floor import (
    footprint_Pa,
    frequency_Hz,
    sag_point_m,
    sag_spread_m,
    second_moment_m4,
    stiffness_span_m,
)
from ..physics.stand.resonance import against_spin, loaded_frequency_Hz, sag_frequency_Hz
from .calculator import Calculator, Input, Output, show
from .handling import MASS

Values = dict[str, float]
Given = dict[str, float | None]
PSF = 47.880259  # pound-force a square foot [Pa]
ROOM_PSF, SAG_SHARE, CARRIES = 40.0, 360.0, 0.5  # IRC T R301.5 and R301.7 (S); one joist's part of a point load (D)
JOISTS = (
    Input(name="span", measures="length", says="clear span of the joists"),
    Input(name="joist_width", measures="length", says="joist thickness", default="1.5 in", basis="S: dressed size"),
    Input(name="joist_depth", measures="length", says="joist depth", default="9.25 in", basis="S: 2x10"),
    Input(name="spacing", measures="length", says="joist spacing", default="16 in", basis="judgement"),
    Input(
        name="modulus",
        measures="number",
        says="stiffness of the wood, GPa",
        default="9.65",
        basis="NDS, SPF No.2 (S)",
    ),
)


def _floor(v: Values) -> Given:
    stiffness = v["modulus"] * 1e9 * second_moment_m4(v["joist_width"], v["joist_depth"])
    per_m = v["floor_load"] * v["spacing"]
    bare = frequency_Hz(v["span"], stiffness, per_m)
    loaded = loaded_frequency_Hz(v["span"], stiffness, per_m, v["mass"])
    sags = [sag_spread_m(per_m * 9.80665, v["span"], stiffness)] + ([v["girder_sag"]] if v["girder_sag"] > 0 else [])
    return {
        "bare_rpm": bare * 60,
        "with_girder_rpm": sag_frequency_Hz(*sags) * 60,
        "loaded_rpm": loaded * 60,
        "ratio": against_spin(loaded, v["rpm"] / 60).ratio,
    }


def _floor_says(v: Values, out: Given) -> list[str]:
    found = against_spin((out["loaded_rpm"] or 0) / 60, v["rpm"] / 60)
    near = (
        "lies away from the spin, as far as this estimate goes"
        if found.state == "apart by estimate"
        else "may answer to the spin"
    )
    return [
        f"a single joist with the machine on it swings at about {out['loaded_rpm'] or 0:.0f} rpm, bare at {out['bare_rpm'] or 0:.0f}, each give or take 25 in 100: it {near}"
        + (
            f"; a beam under the joists that bends as well brings the bare floor down to about {out['with_girder_rpm'] or 0:.0f} rpm"
            if v["girder_sag"] > 0
            else ""
        ),
        "it passes through lower speeds on the way up. This judges no floor as sound: one that is cut, rotted, cantilevered or bouncy needs an engineer",
    ]


def _load(v: Values) -> Given:
    stiffness = v["modulus"] * 1e9 * second_moment_m4(v["joist_width"], v["joist_depth"])
    return {
        "footprint_psf": footprint_Pa(v["mass"], v["width"], v["depth"]) / PSF,
        "sag": sag_point_m(CARRIES * v["mass"] * 9.80665, v["span"], stiffness),
        "sag_room": sag_spread_m(ROOM_PSF * PSF * v["spacing"], v["span"], stiffness),
        "longest": stiffness_span_m(stiffness, ROOM_PSF * PSF * v["spacing"], SAG_SHARE),
    }


def _load_says(v: Values, out: Given) -> list[str]:
    return [
        f"under its own outline the machine weighs {out['footprint_psf'] or 0:.0f} lb on a square foot; a room's 40 is an average, so this is no breach of it",
        f"it bends a joist by about {1000 * (out['sag'] or 0):.1f} mm at mid-span; under 40 psf all over they bend {1000 * (out['sag_room'] or 0):.0f} mm, where span/360 is {1000 * v['span'] / SAG_SHARE:.0f} mm. Stiffness alone allows these joists {show(out['longest'], 'length')} under 40 psf, "
        "and bending strength can ask for less. No floor is called sound by this: rot, cuts and notches are for an engineer",
    ]


WORKINGS = [
    Calculator(
        name="floor-frequency",
        title="A wooden floor's own frequency against the spin",
        area="stand",
        inputs=(
            *JOISTS,
            Input(
                name="floor_load",
                measures="number",
                says="weight of the floor, kg/m2",
                default="48.8",
                basis="judgement: 10 psf",
            ),
            Input(
                name="girder_sag",
                measures="length",
                says="bend of a beam that carries the joists, under the floor's own weight",
                default="0 mm",
                basis="joists on walls",
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
                name="with_girder_rpm",
                measures="number",
                says="floor alone with the bending beam under it, rpm",
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
    Calculator(
        name="floor-load",
        title="What the machine's weight does to a wooden floor",
        area="stand",
        inputs=(
            *JOISTS,
            Input(
                name="mass",
                measures="mass",
                says="full machine with water and clothes",
                default="300 lb",
                basis="C, common practice",
            ),
            Input(name="width", measures="length", says="outline, left to right", default="27 in", basis="judgement"),
            Input(name="depth", measures="length", says="outline, front to back", default="30 in", basis="judgement"),
        ),
        outputs=(
            Output(name="footprint_psf", measures="number", says="pressure on its outline, lb a square foot"),
            Output(
                name="sag",
                measures="length",
                says="bend of one joist that carries half of it",
                spread=0.3,
                spread_basis="judgement: sharing",
            ),
            Output(
                name="sag_room",
                measures="length",
                says="bend under 40 psf all over",
                spread=0.3,
                spread_basis="judgement: sharing, real supports",
            ),
            Output(
                name="longest",
                measures="length",
                says="span that stiffness allows under 40 psf, span/360",
                bound="upper",
            ),
        ),
        run=_load,
        says=_load_says,
        sources=("beam formulas (D), against IRC 2018 T R802.5.1(2) (P); room load IRC T R301.5, T R301.7 (S)",),
        rules=("floor-carries-weight", "floor-deflection", "base-bears-load", "floor-firm"),
    ),
]
