"""Workings of hoses and leaks: whether a drain hose siphons, how high its pump lifts, what drips and holes come to."""

from ..physics.drain.full_bore import EXIT_K, Stretch
from ..physics.drain.pump import Pump, affinity, pump_duty
from ..physics.drain.siphon import hose_end_height, max_crest, siphon_flow, siphon_head, siphon_outlet, siphon_speed
from ..physics.supply.flow import spilled_volume
from ..physics.supply.leak_rate import drip_volume_per_day, hole_volume_per_day
from .calculator import Calculator, Input, Output, show

BENDS_K = 2.5  # bends and the way out of the machine, in speed heads: judgement


def _siphon(v: dict[str, float]) -> dict[str, float | None]:
    end = hose_end_height(v["standpipe"], v["insertion"])
    outlet = siphon_outlet(end, v["weir"], v["sealed"] >= 0.5)
    head = siphon_head(v["water_line"], outlet)
    return {
        "above": outlet - v["water_line"],
        "flow": siphon_flow(head, v["hose_bore"], v["hose"]) if head > 0 else 0.0,
        "speed": siphon_speed(head),
        "crest": max_crest(),
    }


def _siphon_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    above = out["above"] or 0.0
    line = show(v["water_line"], "length")
    if above >= 0:
        return [
            f"the hose end hangs {show(above, 'length')} above this machine's highest water line ({line}): it can't siphon"
        ]
    return [
        f"the outlet lies {show(-above, 'length')} below this machine's highest water line ({line}): once the drain has run it can go on "
        f"siphoning, at most {show(out['flow'], 'flow')} ({(out['speed'] or 0) / 0.3048:.0f} ft/s without friction)",
        f"a high loop alone does not stop that, since water holds together over a loop of up to {show(out['crest'], 'length')}: the end must hang above "
        "the water line, or air must get in",
    ]


def _lift(v: dict[str, float]) -> dict[str, float | None]:
    hose = [Stretch(v["hose_bore"], v["hose"], EXIT_K + BENDS_K, v["corrugated"])]
    at_speed = affinity(v["free"], v["shutoff"], 0.0, v["speed"])
    duty = pump_duty(Pump(at_speed.head_m, at_speed.flow_m3s), v["top"] - v["level"], hose)
    return {"flow": duty.flow_m3s, "head": duty.head_m}


def _lift_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    slower = f", running at {100 * v['speed']:.0f} in 100 of its speed," if v["speed"] != 1 else ""
    curve = f"a pump that lifts {show(v['shutoff'], 'length')} at most and sends {show(v['free'], 'flow')} with no lift{slower}"
    if not out["flow"]:
        return [f"{curve} sends nothing up to {show(v['top'], 'length')}"]
    return [
        f"{curve} sends about {show(out['flow'], 'flow')} up to {show(v['top'], 'length')}, give or take 40 in 100: the two ends of the curve are "
        "assumed, no maker publishes them; suds, gas and lint lower it"
    ]


def _drips(v: dict[str, float]) -> dict[str, float | None]:
    return {"per_day": drip_volume_per_day(v["drips"] / 60, v["drop"])}


def _drips_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"{v['drips']:.0f} drips a minute come to about {show(out['per_day'], 'volume')} a day; a drop is 0.25 to 0.36 mL, so this may be off by a third"
    ]


def _burst(v: dict[str, float]) -> dict[str, float | None]:
    return {"spilled": spilled_volume(v["time"])}


def _burst_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"a burst fill hose lets out about {show(out['spilled'], 'volume')} in {show(v['time'], 'time')}: close the taps when nobody is there"
    ]


def _hole(v: dict[str, float]) -> dict[str, float | None]:
    return {"per_day": hole_volume_per_day(v["hole"], v["pressure"])}


def _hole_says(v: dict[str, float], out: dict[str, float | None]) -> list[str]:
    return [
        f"a {show(v['hole'], 'length')} hole at {show(v['pressure'], 'pressure')} lets out about {show(out['per_day'], 'volume')} a day"
    ]


WORKINGS = [
    Calculator(
        name="hose-siphon",
        title="Hose end against this machine's highest water line",
        area="drain",
        inputs=(
            Input(name="standpipe", measures="length", says="open top of the standpipe above what the feet stand on"),
            Input(
                name="insertion",
                measures="length",
                says="hose inside the pipe",
                default="6 in",
                basis="judgement; practice is at most 8 in (C)",
            ),
            Input(name="water_line", measures="length", says="highest water line above what the feet stand on"),
            Input(
                name="weir",
                measures="length",
                says="trap weir above what the feet stand on",
                default="12 in",
                basis="UPC 804.1: trap 6 to 18 in above the floor (P), its middle",
            ),
            Input(
                name="sealed",
                measures="number",
                says="1 if the hose is taped or squeezed in, else 0",
                default="0",
                basis="a hose that hangs loose",
            ),
            Input(
                name="hose_bore",
                measures="length",
                says="inside diameter of the drain hose",
                default="7/8 in",
                basis="judgement",
            ),
            Input(name="hose", measures="length", says="length of the drain hose", default="6 ft", basis="judgement"),
        ),
        outputs=(
            Output(name="above", measures="length", says="outlet above the water line; negative: below it"),
            Output(
                name="flow",
                measures="flow",
                says="what a siphon runs at",
                spread=0.3,
                spread_basis="judgement: corrugation, the pump in the way",
                bound="upper",
            ),
            Output(name="speed", measures="number", says="speed without friction, m/s", bound="upper"),
            Output(
                name="crest",
                measures="length",
                says="highest loop over which a siphon of cold water holds",
                bound="upper",
            ),
        ),
        run=_siphon,
        says=_siphon_says,
        sources=(
            "siphon head by geometry (D); speed by Torricelli (S, textbook), flow with losses (D)",
            "highest loop: IAPWS (D)",
        ),
        rules=(
            "hose-insertion-depth-shallow",
            "hose-outlet-height-low-practice",
            "hose-outlet-height-high-practice",
            "hose-end-above-water-line",
            "tub-hose-end-above-water-line",
            "standpipe-height",
            "tub-rim-height",
            "hose-insertion-depth",
            "drain-hose-high-point",
            "drain-air-break",
            "floor-drain-siphon-break",
        ),
    ),
    Calculator(
        name="pump-lift",
        title="How much a pump sends up a drain hose",
        area="drain",
        inputs=(
            Input(name="top", measures="length", says="highest point of the drain hose above what the feet stand on"),
            Input(
                name="level",
                measures="length",
                says="water in the tub above what the feet stand on",
                default="6 in",
                basis="judgement: nearly empty",
            ),
            Input(
                name="shutoff",
                measures="length",
                says="lift at which the pump sends nothing",
                default="10 ft",
                basis="judgement: common practice has it reach 8 ft (C)",
            ),
            Input(
                name="free",
                measures="flow",
                says="what it sends with no lift and no hose",
                default="20 gpm",
                basis="M, from memory, unverified: 15 to 20 gpm",
            ),
            Input(
                name="hose_bore",
                measures="length",
                says="inside diameter of the drain hose",
                default="7/8 in",
                basis="judgement",
            ),
            Input(name="hose", measures="length", says="length of the drain hose", default="8 ft", basis="judgement"),
            Input(
                name="corrugated",
                measures="number",
                says="friction of a ribbed hose over a smooth one",
                default="2",
                basis="M, from memory, unverified: 2 to 4",
            ),
            Input(
                name="speed",
                measures="number",
                says="pump's speed as a share of its usual one; 0.83 for 60 Hz on 50 Hz",
                default="1",
                basis="its usual speed",
            ),
        ),
        outputs=(
            Output(
                name="flow",
                measures="flow",
                says="what it sends",
                spread=0.4,
                spread_basis="judgement: the curve's ends are assumed",
            ),
            Output(name="head", measures="length", says="head at which the pump then runs"),
        ),
        run=_lift,
        says=_lift_says,
        sources=(
            "pump curve against lift and friction (D), method against a practice question with answer (S)",
            "speed by the affinity laws (S)",
        ),
        rules=("standpipe-height", "drain-hose-unkinked", "drain-hose-open", "pump-out-time"),
    ),
    Calculator(
        name="drips",
        title="What drips come to in a day",
        area="drain",
        inputs=(
            Input(name="drips", measures="number", says="drips in a minute"),
            Input(
                name="drop",
                measures="volume",
                says="volume of a drop",
                default="0.333 mL",
                basis="USGS (P); other pages use 0.25 (S) and imply 0.36 mL (S)",
            ),
        ),
        outputs=(
            Output(
                name="per_day",
                measures="volume",
                says="water in a day",
                spread=0.15,
                spread_basis="spread of published drop volumes",
            ),
        ),
        run=_drips,
        says=_drips_says,
        sources=("drops times volume (D), drop USGS (P)",),
        rules=("supply-couplings-dry",),
    ),
    Calculator(
        name="hole",
        title="What a hole under pressure lets out",
        area="drain",
        inputs=(
            Input(name="hole", measures="length", says="diameter of the hole"),
            Input(
                name="pressure",
                measures="pressure",
                says="pressure behind it",
                default="60 psi",
                basis="judgement: a usual house",
            ),
        ),
        outputs=(
            Output(
                name="per_day",
                measures="volume",
                says="water in a day",
                spread=0.05,
                spread_basis="P: two towns' pages within 3 %",
            ),
        ),
        run=_hole,
        says=_hole_says,
        sources=("sharp-edged orifice, Cd 0.62 (S), against municipal pages (P)",),
        rules=("fill-hose-sound",),
    ),
    Calculator(
        name="burst-hose",
        title="What a burst fill hose lets out",
        area="supply",
        inputs=(Input(name="time", measures="time", says="until somebody closes the tap"),),
        outputs=(
            Output(
                name="spilled",
                measures="volume",
                says="water on the floor",
                spread=0.3,
                spread_basis="judgement: pressure and tear differ",
            ),
        ),
        run=_burst,
        says=_burst_says,
        sources=("650 gallons an hour, insurers' guide (S)",),
        rules=("fill-hose-sound", "fill-hose-age", "fill-hose-age-three-years", "fill-hose-inspected"),
    ),
]
